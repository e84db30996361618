"""The lens of a plan: framing, depth, focus and movement against hand calculation."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from plan_cases import (
    IDA,
    NORA,
    TOM,
    TWO,
    changed,
    changed_picture,
    named,
    picture,
    planned,
    read,
    settled,
)

from kinlight.plan.check import check
from kinlight.plan.framed import framing
from kinlight.plan.model import Plan
from kinlight.plan.settle.settle import settle
from kinlight.quantities.stops import exact_f_number
from kinlight.sitting.document import Sitting
from kinlight.stage.view import aim_point_m, view_of

FIXED = [{"id": "85", "shortest": 85}]


def two(**sections: object) -> Sitting:
    """Return Nora and Ida in one picture, settled."""
    return settled(NORA, IDA, pictures=[TWO], **sections)


def test_depth_limits_by_hand() -> None:
    """Thin lens, pupil ratio 1, a stated circle of confusion of 0.03 mm.

    u f^2 / (f^2 +- N c (u - f)), the c for defocus less the Airy disk: 2.44 x 550 nm x N (1 + m)
    in the square. The tolerance is that of floats.
    """
    plan = planned(NORA, lenses=FIXED, wishes={"circle_of_confusion": 0.03}, camera={"f_number": 8})
    found = picture(plan).sharpness
    f, n, u = 85.0, 8.0, picture(plan).focus_m * 1000
    airy = 2.44 * 550e-6 * n * (1 + f / (u - f))
    c = math.sqrt(0.03**2 - airy**2)
    assert found.coc_mm == 0.03
    assert found.limits.near_m * 1000 == pytest.approx(u * f**2 / (f**2 + n * c * (u - f)))
    assert found.limits.far_m * 1000 == pytest.approx(u * f**2 / (f**2 - n * c * (u - f)))


def test_how_far_people_may_move_is_from_their_eyes_to_the_limits() -> None:
    """Toward the camera by the nearer eye, away by the farther one; a turned face has both."""
    once = two()
    spots = tuple(s.with_stated(turned_deg=40.0) for s in once.pictures[0].places)
    plan = check(changed_picture(once, "two", places=spots))
    found = picture(plan).sharpness
    for person in found.people:
        assert person.far_eye_m - person.near_eye_m > 0.02  # some 6 cm apart, times sin 40 deg
        assert person.toward_m == pytest.approx(person.near_eye_m - found.limits.near_m)
        assert person.away_m == pytest.approx(found.limits.far_m - person.far_eye_m)
    least = min(min(p.toward_m, p.away_m) for p in found.people)
    assert named(picture(plan), "depth").leeway == pytest.approx(least)


@pytest.mark.parametrize("way", ["toward", "away"])
def test_a_person_moved_as_far_as_they_may_is_just_sharp(way: str) -> None:
    """Two centimetres less and the depth holds, two more and it fails; the camera is level."""
    once = two()
    focused = changed(once, "camera", focus_on="Nora")
    ida = next(p for p in picture(check(focused)).sharpness.people if p.person == "Ida")
    room_m = -ida.toward_m if way == "toward" else ida.away_m
    step_m = -0.02 if way == "toward" else 0.02
    for inside, shift_m in ((True, room_m - step_m), (False, room_m + step_m)):
        spots = tuple(
            s.with_stated(y_m=s.y_m + shift_m) if s.person == "Ida" else s
            for s in focused.pictures[0].places
        )
        moved = check(changed_picture(focused, "two", places=spots))
        people = {p.person: p for p in picture(moved).sharpness.people}
        left = people["Ida"].toward_m if way == "toward" else people["Ida"].away_m
        assert (left >= 0) is inside


def test_the_circle_of_confusion_of_a_print_by_hand() -> None:
    """40x50 cm is seen from its diagonal, 640 mm, at 2 arcminutes: 0.3725 mm on the print.

    Over the enlargement of the crop that is the blur allowed; the smallest size does not ask more.
    """
    found = picture(planned(NORA, sizes=["40x50 cm"]))
    crop = found.framing.cuts[0].crop.rect
    on_print = math.hypot(400, 500) * math.tan(math.radians(2 / 60))
    enlargement = max(
        500 / max(crop.width_mm, crop.height_mm), 400 / min(crop.width_mm, crop.height_mm)
    )
    pixels = 2 * 36 / 6000
    assert found.sharpness.coc_mm == pytest.approx(max(on_print / enlargement, pixels))


def test_someone_put_outside_the_frame_fails_the_crop() -> None:
    """Two metres to the right: the print is too tight at the right; to the left, at the left."""
    once = two()
    for side, x in (("right", 2.0), ("left", -2.0)):
        spots = [s.with_stated(x_m=x) if s.person == "Ida" else s for s in once.pictures[0].places]
        found = named(picture(check(changed_picture(once, "two", places=tuple(spots)))), "crop")
        assert found.verdict == "fails"
        assert f"too tight at the {side}" in found.sentence


def test_the_focus_leeway_is_the_least_of_all_pictures(demo_plan: Plan) -> None:
    """What the focus leaves is the least depth check; the circle of confusion may differ by 1 %."""
    least = min(named(p, "depth").leeway for p in demo_plan.pictures)
    assert demo_plan.focus.leeway_m == pytest.approx(least, abs=0.003)
    assert demo_plan.focus.cost_m >= 0


def test_focusing_on_the_one_behind_costs_what_the_leeway_says() -> None:
    """Ida before, Tom half a metre behind: the proposed eye leaves most, another one less.

    The ideal plane is the same for both, so what the one leaves less the other's cost has more.
    """
    spots = [
        {"person": "Ida", "posture": "standing", "x": -0.2, "y": 0.0},
        {"person": "Tom", "posture": "standing", "x": 0.2, "y": 0.4},
    ]
    both = {"name": "both", "people": ["Ida", "Tom"], "places": spots}
    once = settled(TOM, IDA, pictures=[both], camera={"f_number": 8})
    chosen = once.camera.focus_on
    assert chosen is not None
    other = "Tom" if chosen == "Ida" else "Ida"
    one, two = (check(changed(once, "camera", focus_on=who)).focus for who in (chosen, other))
    assert two.leeway_m <= one.leeway_m
    ideal = one.leeway_m + one.cost_m
    assert two.leeway_m + two.cost_m == pytest.approx(ideal)
    # by hand: the eye not focused on is 0.4 m off, less or more what their faces stand out
    limits = picture(check(changed(once, "camera", focus_on="Ida"))).sharpness.limits
    assert limits.far_m - limits.focus_m - 0.4 == pytest.approx(
        named(picture(check(changed(once, "camera", focus_on="Ida"))), "depth").leeway, abs=0.1
    )


def test_turning_the_camera_upright_moves_the_lens() -> None:
    """Not at all in a collar, up by the shift of the plate, aside and down with the head."""
    once = two()
    camera = {"axis_over_pivot_mm": 120.0, "plate_shift_mm": 25.0}
    moved = {}
    for turned_on in ("collar", "plate", "head"):
        sitting = changed(once, "camera", turned_on=turned_on, **camera)
        views = [
            view_of(sitting, p, focus_on_m=aim_point_m(sitting))
            for way in ("level", "upright")
            for p in changed_picture(sitting, "two", orientation=way).pictures
        ]
        shift = views[1].entrance_pupil_m - views[0].entrance_pupil_m
        moved[turned_on] = (float(shift @ views[0].right), float(shift @ views[0].up))
        assert shift @ views[0].axis == pytest.approx(0, abs=1e-9)
    assert moved["collar"] == pytest.approx((0, 0), abs=1e-9)
    assert moved["plate"] == pytest.approx((0, 0.025), abs=1e-9)
    assert moved["head"] == pytest.approx((-0.12, -0.12), abs=1e-9)


def test_the_crop_sees_the_camera_move() -> None:
    """A plate that lifts the lens by 5 cm leaves about as much more over the heads.

    The room is measured in the plane of focus, in which the heads are within a tenth of the
    distance; a head that drops the lens takes room from the top.
    """
    once = changed_picture(two(), "two", orientation="upright")
    tops = {}
    for turned_on in ("collar", "plate", "head"):
        sitting = changed(once, "camera", turned_on=turned_on, plate_shift_mm=50.0)
        cut = picture(check(sitting)).framing.cuts[0]
        tops[turned_on] = cut.crop.room_m.top
    assert tops["plate"] - tops["collar"] == pytest.approx(0.05, abs=0.005)
    assert tops["head"] - tops["collar"] == pytest.approx(-0.12, abs=0.012)


def test_the_best_spot_frames_all_and_a_nearer_one_does_not() -> None:
    """A family before one fixed lens: from four fifths of the distance it does not fit."""
    us = [{"name": "us", "people": ["Nora", "Tom", "Ida"]}]
    room = {"length": 12}
    once = settled(NORA, TOM, IDA, lenses=FIXED, pictures=us, room=room)
    assert once.camera.place is not None
    x, y, z = once.camera.place.xyz_m()
    assert named(picture(check(once)), "crop").leeway >= 0
    nearer = {"place": {"x": x, "y": 0.8 * y, "z": z}, "aim_height": once.camera.aim_height_m}
    near = settle(read(NORA, TOM, IDA, lenses=FIXED, pictures=us, room=room, camera=nearer))
    crop = named(picture(check(near)), "crop")
    assert crop.verdict == "fails"
    assert "too tight" in crop.sentence


def test_more_head_room_never_leaves_more_room() -> None:
    """The room in the frame falls, or stays, as more air is asked for around heads."""
    once = two()
    pic, figures = once.pictures[0], picture(check(once)).scene.figures
    view = view_of(once, pic, focus_on_m=aim_point_m(once))
    rooms = [
        framing(changed(once, "wishes", head_room=x), pic, figures, view).room_m
        for x in np.linspace(0, 1, 41)
    ]
    assert all(b <= a + 1e-12 for a, b in itertools.pairwise(rooms))
    assert rooms[-1] < rooms[0] - 0.1


def test_working_distance_and_nearest_focus_are_measured() -> None:
    """A tripod at 1.2 m is nearer to a face than the 1.5 m wished, and too near for the lens."""
    lens = [{"id": "z", "shortest": 24, "longest": 70, "nearest_focus": 1.5}]
    once = settled(NORA, lenses=lens)
    place = once.camera.place
    assert place is not None
    near = changed(once, "camera", place=place.with_stated(y_m=-1.2))
    found = picture(check(near))
    nose = found.scene.figures[0].face.nose_m
    pupil = np.array(near.camera.place.xyz_m()) if near.camera.place else np.zeros(3)
    by_hand = float(np.linalg.norm(nose - pupil)) - 1.5
    assert named(found, "working distance").leeway == pytest.approx(by_hand, abs=0.03)
    assert named(found, "working distance").verdict == "fails"
    assert named(found, "nearest focus").verdict == "fails"


def test_the_film_plane_lies_behind_the_lens() -> None:
    """With the tape to the film plane the lens is nearer by its image distance, f (1 + m)."""
    lens = [{"id": "85", "shortest": 85}]
    place = {"place": {"x": 0, "y": -4.0, "z": 1.2}, "aim_height": 1.2}
    by_lens, by_film = (
        picture(planned(NORA, lenses=lens, camera={**place, "measured_from": datum})).focus_m
        for datum in ("lens", "film plane")
    )
    m = 85 / (by_film * 1000 - 85)
    assert by_lens - by_film == pytest.approx(0.085 * (1 + m), abs=1e-6)


def test_diffraction_alone_can_be_too_much() -> None:
    """f/22 for a blur of 0.02 mm: the Airy disk is 2.44 x 0.55 um x 22.6 = 30 um."""
    plan = planned(NORA, wishes={"circle_of_confusion": 0.02}, camera={"f_number": 22})
    found = picture(plan)
    assert found.sharpness.limits.empty
    assert named(found, "depth").verdict == "fails"
    assert "diffraction at f/22" in named(found, "depth").sentence
    assert "nothing is sharp enough" in plan.first_five[2]


def test_a_shorter_focal_length_cropped_gains_depth() -> None:
    """The same view from a shorter lens is deeper and keeps the square of the scale in pixels."""
    found = picture(planned(NORA)).sharpness
    assert found.shorter is not None
    assert found.shorter.depth_m > found.limits.total_m
    now = picture(planned(NORA)).focal_length_mm
    scale = found.shorter.focal_length_mm / now  # to the change of magnification, some percent
    assert found.shorter.pixels_kept == pytest.approx(scale**2, rel=0.05)


def test_a_fixed_lens_has_no_shorter_way() -> None:
    """With one fixed lens there is nothing to crop from."""
    assert picture(planned(NORA, lenses=FIXED)).sharpness.shorter is None


def test_the_proposed_aperture_lets_everybody_sway() -> None:
    """A hand's breadth, if any marked aperture gives it; and the mark before it does not."""
    once = settled(NORA, lenses=FIXED)
    assert once.camera.f_number is not None
    assert check(once).focus.leeway_m >= 0.1
    wider = {7.1: 6.3, 6.3: 5.6, 8: 7.1, 9: 8, 10: 9, 11: 10}.get(once.camera.f_number)
    if wider is not None:
        assert check(changed(once, "camera", f_number=wider)).focus.leeway_m < 0.1
    assert exact_f_number(once.camera.f_number) >= exact_f_number(5.6) - 1e-9


def test_head_and_shoulders_shows_less_than_full_length() -> None:
    """From the same spot, more of the person leaves less room in the frame."""
    once = settled(NORA, pictures=[{"name": "x", "people": ["Nora"], "crop": "full length"}])
    crops = ["full length", "three-quarter", "half length", "head and shoulders"]
    rooms = [
        picture(check(changed_picture(once, "x", crop=crop))).framing.cuts[0].crop.room_m.bottom
        for crop in crops
    ]
    assert rooms == sorted(rooms)
    assert rooms[-1] > rooms[0] + 0.3
