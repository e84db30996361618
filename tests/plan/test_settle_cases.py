"""Sittings of many kinds settle into a plan, or one sentence says why they cannot."""

from __future__ import annotations

import math
import tomllib
from typing import Any

import pytest
from plan_cases import (
    BABY,
    BLACK,
    IDA,
    NORA,
    TODDLER,
    TOM,
    TWO,
    failing,
    light,
    named,
    picture,
    planned,
    read,
    settled,
)

from kinlight.errors import SittingError
from kinlight.plan.check import check
from kinlight.plan.settle.settle import settle
from kinlight.sitting.files import parse, toml_text

KEY = light("key", "key", -1.4, -1.4, 2.0)
ELDER = {"name": "Ada", "age": 80}
SEATED = ("stool", "chair", "wheelchair")


def grown(count: int) -> list[dict[str, Any]]:
    """Return so many adults."""
    return [{"name": f"P{i}", "age": 20 + i} for i in range(count)]


def test_one_baby_sits_on_the_floor() -> None:
    """Eight months alone: on the floor, as nobody is there to hold it; the plan cautions."""
    plan = planned({"name": "Bo", "age": "8 months"})
    (spot,) = plan.sitting.pictures[0].places
    assert spot.posture == "floor"
    assert any("helper's hand" in text for text in plan.cautions)


def test_a_new_walker_alone_is_not_put_on_a_stool() -> None:
    """Fifteen months alone: on the floor."""
    (spot,) = settled(TODDLER).pictures[0].places
    assert spot.posture == "floor"


def test_a_baby_is_on_a_lap() -> None:
    """Its mother sits and holds it, where she is."""
    once = settled(NORA, BABY, pictures=[{"name": "x", "people": ["Nora", "Bo"]}])
    nora, bo = once.pictures[0].places
    assert nora.posture in SEATED
    assert (bo.posture, bo.held_by) == ("lap", "Nora")
    holder, held = check(once).pictures[0].scene.figures
    gap = held.face.chin_m - holder.face.chin_m
    assert math.hypot(*(float(v) for v in gap[:2])) < 0.5
    assert held.hips_m[:, 2].min() > holder.feet_m[:, 2].max() + 0.3


def test_nobody_able_to_hold_the_baby() -> None:
    """Someone of 80 is not asked to: the baby sits on the floor."""
    once = settled(ELDER, BABY, pictures=[{"name": "x", "people": ["Ada", "Bo"]}])
    bo = next(s for s in once.pictures[0].places if s.person == "Bo")
    assert (bo.posture, bo.held_by) == ("floor", None)


def test_a_wheelchair_is_sat_in() -> None:
    """At the height of its own seat, with its caution."""
    plan = planned({"name": "Wim", "age": 70, "wheelchair_seat": 0.52}, IDA)
    spots = [s for p in plan.sitting.pictures for s in p.places if s.person == "Wim"]
    assert spots
    assert all((s.posture, s.seat_m) == ("wheelchair", 0.52) for s in spots)
    assert any("Brakes on" in text for text in plan.cautions)


def test_without_lights_it_is_said() -> None:
    """No strobe is stated: a plan comes out and fails, saying what is missing."""
    plan = planned(NORA, lights=[])
    assert "no strobes are stated" in plan.first_five[0]
    assert failing(plan) == {"exposure", "ambient light"}
    assert named(picture(plan), "exposure").sentence == "no key or fill lights the mark: add one"
    assert named(picture(plan), "ambient light").sentence == "no flash reaches the faces"


def test_one_light_gives_the_whole_exposure() -> None:
    """A lone fill works as the key does: the mark reads the working aperture within a tenth."""
    for role in ("key", "fill"):
        plan = planned(NORA, lights=[light("one", role, -1.4, -1.4, 2.0)])
        assert 1 / 3 - named(picture(plan), "exposure").leeway <= 0.1


def test_two_keys_read_alike() -> None:
    """Placed as mirror images, they are set alike and read alike.

    Where nothing sends light back: what does is found by rays, whose pattern has no mirror image.
    """
    plan = planned(NORA, lights=[KEY, light("other", "key", 1.4, -1.4, 2.0)], **BLACK)
    one, two = plan.lights
    assert one.set_stops == two.set_stops
    assert one.reading_f_number == pytest.approx(two.reading_f_number, rel=1e-9)


def test_all_powers_stated_stay() -> None:
    """Nothing is left to propose for the lights."""
    once = settled(NORA, lights=[{**KEY, "power": "1/8 +0.3"}])
    assert once.lights[0].power == "1/8 +0.3"
    assert not [path for path in once.origins if path.endswith(".power")]


def test_all_places_stated_stay() -> None:
    """Where everyone stands is as written, in the order written."""
    spots = [
        {"person": "Ida", "posture": "standing", "x": -0.3, "y": -0.1},
        {"person": "Nora", "posture": "stool", "seat": 0.5, "x": 0.2},
    ]
    once = settled(NORA, IDA, pictures=[{**TWO, "places": spots}])
    assert [(s.person, s.x_m, s.y_m, s.seat_m) for s in once.pictures[0].places] == [
        ("Ida", -0.3, -0.1, 0.0),
        ("Nora", 0.2, 0.0, 0.5),
    ]
    assert not [path for path in once.origins if "places" in path]


def test_a_zoom_gets_a_focal_length_for_each_picture() -> None:
    """Whole millimetres within its range."""
    once = settled(NORA, IDA, lenses=[{"id": "z", "shortest": 24, "longest": 105}])
    for pic in once.pictures:
        assert pic.focal_length_mm is not None
        assert 24 <= pic.focal_length_mm <= 105
        assert pic.focal_length_mm == int(pic.focal_length_mm)


def test_two_fixed_lenses_are_chosen_between() -> None:
    """Each picture names one of them, and no focal length of its own."""
    fixed = [{"id": "50", "shortest": 50}, {"id": "85", "shortest": 85}]
    once = settled(NORA, IDA, lenses=fixed)
    assert {p.lens for p in once.pictures} <= {"50", "85"}
    assert all(p.focal_length_mm is None for p in once.pictures)


def test_a_focal_length_is_asked_of_a_lens_that_has_it() -> None:
    """50 mm is on the zoom, not on the fixed 85, though that one stands in the list too."""
    both = [{"id": "z", "shortest": 24, "longest": 70}, {"id": "85", "shortest": 85}]
    once = settled(NORA, lenses=both, pictures=[{"people": ["Nora"], "focal_length": 50}])
    assert (once.pictures[0].lens, once.pictures[0].focal_length_mm) == ("z", 50)


def test_the_film_plane_as_datum_keeps_the_working_distance() -> None:
    """The tape runs to the body, so the lens is nearer; still no face is nearer than wished."""
    fixed = [{"id": "135", "shortest": 135, "nearest_focus": 0.7}]
    child = [{"people": ["Ida"], "crop": "full length"}]
    for datum in ("lens", "film plane"):
        once = settled(IDA, lenses=fixed, camera={"measured_from": datum}, pictures=child)
        assert named(picture(check(once)), "working distance").verdict != "fails"
    assert check(once).tapes[0].what == "film plane"


def test_feet_are_printed_as_feet() -> None:
    """No length in the lines that matter is in metres."""
    plan = planned(NORA, IDA, preferences={"units": "feet"})
    assert "ft" in plan.first_five[1]
    assert " m " not in plan.first_five[1]
    assert "ft" in plan.spots.sentence


def test_twelve_people() -> None:
    """A dozen adults get one picture together that is framed."""
    pictures = [{"name": "all", "people": [p["name"] for p in grown(12)]}]
    plan = planned(*grown(12), pictures=pictures, room={"width": 8, "length": 11})
    assert named(picture(plan), "crop").leeway >= 0
    assert len({(s.x_m, s.y_m) for s in plan.sitting.pictures[0].places}) == 12


def test_a_toddler_is_proposed_in_arms() -> None:
    """At 15 months it would walk off: on its mother's lap it stays."""
    places = settled(NORA, TODDLER, pictures=[{"people": ["Nora", "Kim"]}]).pictures[0].places
    assert next(s for s in places if s.person == "Kim").held_by == "Nora"


def test_a_baby_that_lies_is_not_proposed_without_arms() -> None:
    """Two weeks old: no picture alone is proposed; one that is wanted gets a sentence."""
    born = {"name": "Nils", "age": "2 weeks"}
    names = [p.people for p in settled(NORA, born, bonds=["Nora is parent of Nils"]).pictures]
    assert ("Nils",) not in names
    with pytest.raises(SittingError, match="Nils cannot sit yet and nobody in it is free"):
        settled(NORA, born, pictures=[{"name": "alone", "people": ["Nils"]}])


def test_elders_are_offered_the_seats() -> None:
    """Two of seventy sit, their grown children stand."""
    elders = [{"name": "Ada", "age": 70}, {"name": "Bert", "age": 72}]
    names = ["Ada", "Bert", "Nora", "Tom"]
    once = settled(*elders, NORA, TOM, pictures=[{"people": names}])
    how = {s.person: s.posture for s in once.pictures[0].places}
    assert (how["Ada"], how["Bert"]) == ("stool", "stool")
    assert (how["Nora"], how["Tom"]) == ("standing", "standing")


def test_thirty_people_in_a_usual_room_are_too_many() -> None:
    """A fixed 85 does not frame them: the plan comes out, and its crop fails."""
    pictures = [{"name": "all", "people": [p["name"] for p in grown(30)]}]
    plan = planned(*grown(30), pictures=pictures, lenses=[{"id": "85", "shortest": 85}])
    assert "too tight" in named(picture(plan), "crop").sentence
    assert not plan.holds


def test_thirty_people_in_a_hall() -> None:
    """There is room: the plan comes out, and its file can be read again."""
    pictures = [{"name": "all", "people": [p["name"] for p in grown(30)]}]
    room = {"width": 20, "length": 25}
    once = settled(*grown(30), pictures=pictures, room=room)
    assert named(picture(check(parse(tomllib.loads(toml_text(once))))), "crop").leeway >= 0


def test_a_late_arrival_is_waited_for_or_comes_last() -> None:
    """Ida comes twenty minutes late: none of her pictures starts before."""
    plan = planned(NORA, {**IDA, "arrives": "10:20"})
    theirs = {p.name for p in plan.pictures if "Ida" in p.people}
    starts = [line.start for line in plan.order.lines if line.name in theirs]
    assert starts
    assert all((s.hour, s.minute) >= (10, 20) for s in starts)
    assert any(line.name.startswith("wait") for line in plan.order.lines)
    assert plan.order.problems == ()


def test_one_who_leaves_early_is_done_by_then() -> None:
    """Ida goes after four minutes; her pictures end before that or are left out."""
    plan = planned(NORA, {**IDA, "leaves": "10:04"})
    theirs = {p.name for p in plan.pictures if "Ida" in p.people}
    ends = [line.end for line in plan.order.lines if line.name in theirs]
    assert ends
    assert all(end.minute < 4 or (end.minute, end.second) == (4, 0) for end in ends)


def test_no_time_at_all() -> None:
    """Ida must go before one picture is done."""
    with pytest.raises(SittingError, match="order: no picture fits into the time there is"):
        settle(read({**IDA, "leaves": "10:01"}))


def test_a_room_too_short_for_the_tripod() -> None:
    """Half a metre before the people there is no spot; the sentence names the room."""
    room = {"length": 3.0, "mark_from_back_wall": 2.1}
    with pytest.raises(SittingError, match=r"room: leaves no spot for the tripod.*30 cm before"):
        settle(read(NORA, room=room, lights=[]))


def test_a_room_too_short_for_the_lens() -> None:
    """A family before a fixed 135 in a short room: no spot frames it, and the plan says so."""
    room, fixed = {"length": 5.0, "width": 4}, [{"id": "135", "shortest": 135}]
    everyone = [{"name": "us", "people": ["Nora", "Tom", "Ida"], "crop": "full length"}]
    plan = planned(NORA, TOM, IDA, room=room, lenses=fixed, lights=[], pictures=everyone)
    assert named(picture(plan), "crop").verdict == "fails"
    assert not plan.holds


def test_a_short_room_is_used_to_its_end() -> None:
    """No spot keeps the usual three metres: a nearer one is proposed, within the walls."""
    room = {"length": 4.7, "mark_from_back_wall": 2.1}
    wide = [{"id": "28", "shortest": 28}]
    once = settled(NORA, IDA, room=room, lenses=wide, lights=[], pictures=[TWO])
    assert once.camera.place is not None
    y = once.camera.place.xyz_m()[1]
    assert -2.0 - 1e-9 <= y < -1.0  # 4.7 less 2.1 to the wall, less 0.6 for the photographer
    assert parse(tomllib.loads(toml_text(once))) is not None


def test_strobes_too_weak() -> None:
    """At full power and still under: the sentence names the light and a marked ISO speed.

    By hand: from 400 J to 20 J are log2(20) = 4.3 stops, of which the stronger strobe had some in
    hand; the rest has to come from ISO, marked in thirds of a stop.
    """
    camera = {"f_number": 5.6}
    strong = planned(NORA, camera=camera, lights=[{**KEY, "energy": 400}])
    weak = planned(NORA, camera=camera, lights=[{**KEY, "energy": 20}])
    below = named(picture(weak), "exposure")
    assert below.verdict == "fails"
    assert "key at full power: raise ISO to" in below.sentence
    need = strong.lights[0].set_stops  # what is left in the strong one
    iso = 100 * 20 * 2**-need
    said = float(below.sentence.split("raise ISO to ")[1].split(",")[0])
    assert abs(math.log2(said / iso)) <= 1 / 3 + 0.05


def test_a_shutter_faster_than_sync() -> None:
    """Part of the frame would miss the flash."""
    plan = planned(NORA, camera={"shutter": "1/400", "sync": "1/200"})
    found = named(picture(plan), "sync")
    assert found.leeway == -1.0  # half the time is one stop
    assert "miss the flash" in found.sentence
    assert not plan.holds


def test_a_walking_toddler_smears() -> None:
    """Standing beside its mother at 15 months it may walk off.

    By hand: a streak of speed x t0.1 x magnification, the speed the middle of 0.64 and 0.86 m/s
    (Sutherland 1980, from memory).
    """
    places = [{"person": "Kim", "x": 0.4}]
    pictures = [{"name": "x", "people": ["Nora", "Kim"], "places": places}]
    plan = planned(NORA, TODDLER, pictures=pictures)
    found = picture(plan)
    kim = next(p for p in found.sharpness.people if p.person == "Kim")
    scale = found.focal_length_mm / (found.focus_m * 1000)  # to a few percent
    assert kim.motion == "walking toddler"
    assert kim.motion_blur_mm == pytest.approx((0.64 * 0.86) ** 0.5 * 1000 / 400 * scale, rel=0.1)
    assert named(found, "movement").verdict == "fails"
    assert "Kim (walking toddler) smears" in named(found, "movement").sentence


def test_bright_ambient_light_fails() -> None:
    """A sunlit room: the flash hardly shows, and the sentence says which way."""
    found = named(picture(planned(NORA, room={"ambient": 60_000})), "ambient light")
    assert found.verdict == "fails"
    assert "stops over the flash" in found.sentence


def test_no_light_but_the_flash() -> None:
    """A dark room holds without end."""
    found = named(picture(planned(NORA, room={"ambient": 0})), "ambient light")
    assert found.leeway == math.inf
    assert found.sentence == "there is no light but the flash"


def test_recycling_slower_than_the_rhythm() -> None:
    """Nine to eight seconds of recycling against a frame every four: it fails and takes longer."""
    slow = {**KEY, "recycle": 9, "recycle_lowest": 8}
    found = picture(planned(NORA, lights=[slow]))
    assert named(found, "recycle").verdict == "fails"
    assert 8.2 <= found.time.between_frames_s <= 9.2  # with 0.2 s to spare, by convention
    assert found.time.shooting_s == found.time.frames * found.time.between_frames_s


def test_a_holder_asked_too_long() -> None:
    """300 frames at four seconds are 20 minutes; Nora is said to hold a child for five."""
    people = [{**NORA, "holds_child": "5 min"}, BABY]
    plan = planned(*people, pictures=[{"name": "x", "people": ["Nora", "Bo"], "frames": 300}])
    found = named(picture(plan), "holding")
    assert found.leeway == pytest.approx(5 - 20)
    assert "Nora can hold a child for 5 min and is asked for 20.0" in found.sentence
