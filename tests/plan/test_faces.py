"""What the plan says of a face is what the laws of light say of it."""

from __future__ import annotations

import math

import pytest
from black_room import bare, dark, face, point_lxs, shown, spot, stops_over_aperture
from plan_cases import NORA, light, named, planned

from kinlight.light.exposure import C_DOME, C_FLAT
from kinlight.plan.faces import COVERED_STOPS, LEAST_SHARE, REST, SPILL, ratio_text

A = dark("A")
POINT = 0.002  # of the light: a disk 5 cm wide counts as a point at 2 m to (r/d)^2 = 0.0002


def test_the_dome_at_the_chin_by_hand() -> None:
    """A small matt lamp: Q / pi ahead, inverse square, (1 + cos)/2; 330 for the dome [iso2720]."""
    _, found = shown(A, lights=[bare("key", "key", -1.5, -2.5, 2.2)])
    by_hand = stops_over_aperture(point_lxs(found, "chin", 0), C_DOME)
    assert found.faces[0].from_aperture_stops == pytest.approx(by_hand, abs=POINT)


def test_both_cheeks_by_hand() -> None:
    """Flat on each, 250 for the flat receptor; the ratio is the quotient of the two.

    The lamp stands 25 degrees to the person's right: cheeks 45 degrees to either side both see it.
    """
    lamp = bare("key", "key", -3 * math.sin(0.436), -3 * math.cos(0.436), 1.55)
    _, found = shown(A, lights=[lamp])
    right, left = (point_lxs(found, f"cheek {side}", 0) for side in ("right", "left"))
    reading = found.faces[0]
    assert reading.key_side == "right"
    assert reading.key_side_stops == pytest.approx(stops_over_aperture(right, C_FLAT), abs=POINT)
    assert reading.shadow_side_stops == pytest.approx(stops_over_aperture(left, C_FLAT), abs=POINT)
    assert reading.ratio == pytest.approx(right / left, rel=POINT)
    assert reading.shadow_from_key_stops == pytest.approx(-math.log2(reading.ratio), abs=1e-9)


def test_lamps_alike_on_both_sides_give_no_ratio() -> None:
    """The set is its own mirror image, so the cheeks are alike."""
    reading = face(A, lights=[bare("key", "key", -2, -2, 1.55), bare("fill", "fill", 2, -2, 1.55)])
    assert reading.ratio == pytest.approx(1.0, abs=1e-6)
    assert reading.ratio_text == "1.0:1"


def test_key_and_fill_give_their_additive_ratio() -> None:
    """A key that the far cheek does not see, and a fill from the lens: (K + F) : F by hand."""
    lights = [bare("key", "key", -2.6, -0.6, 1.55), bare("fill", "fill", 0, -3, 1.55)]
    _, found = shown(A, lights=lights)
    assert point_lxs(found, "cheek left", 0) == 0
    key, fill = (point_lxs(found, "cheek right", k) for k in (0, 1))
    far = point_lxs(found, "cheek left", 1)
    assert found.faces[0].ratio == pytest.approx((key + fill) / far, rel=2 * POINT)


def test_a_cheek_without_any_light() -> None:
    """There is no number for that ratio; it is said."""
    reading = face(A, lights=[bare("key", "key", -2.6, -0.6, 1.55)])
    assert reading.ratio == math.inf
    assert reading.ratio_text == "one side dark"


@pytest.mark.parametrize(("role", "more"), [("hair", 0), ("backdrop", 1)])
def test_hair_lights_are_off_for_ratio_and_chin_and_backdrop_lights_for_the_ratio_alone(
    role: str, more: int
) -> None:
    """A lamp before the face, as bright as the key there, called a hair or a backdrop light."""
    key = bare("key", "key", -1.5, -2.5, 1.55)
    stray = bare("stray", role, 1.5, -2.5, 1.55)
    alone, both = face(A, lights=[key]), face(A, lights=[key, stray])
    assert both.ratio == pytest.approx(alone.ratio, rel=1e-9)
    assert both.from_aperture_stops == pytest.approx(alone.from_aperture_stops + more, abs=0.05)


def test_sources_by_hand() -> None:
    """In a black room each lamp has its share, and a stray backdrop light is named as such."""
    lights = [
        bare("key", "key", -1.5, -2.0, 1.55),
        bare("fill", "fill", 2.0, -3.0, 1.55),
        bare("stray", "backdrop", 0.0, -3.5, 1.8),
    ]
    _, found = shown(A, lights=lights)
    light = [point_lxs(found, "chin", k) for k in range(3)]
    by_hand = dict(zip(("key", "fill", SPILL), (x / sum(light) for x in light), strict=True))
    sources = found.faces[0].sources
    assert dict(sources) == pytest.approx(by_hand, rel=POINT)
    assert [name for name, _ in sources] == sorted(by_hand, key=lambda name: -by_hand[name])


def test_sources_of_a_pale_room_add_up() -> None:
    """Walls, ceiling and floor are among them; what is under a hundredth is put together."""
    plan = planned(NORA, room={"wall_reflectance": 0.8})
    (reading,) = plan.pictures[0].faces
    shares = dict(reading.sources)
    assert sum(shares.values()) == pytest.approx(1, abs=1e-9)
    assert {"key", "fill", "walls", "ceiling", "floor"} <= set(shares)
    assert all(share >= LEAST_SHARE for name, share in shares.items() if name != REST)
    in_order = [share for name, share in reading.sources if name != REST]
    assert in_order == sorted(in_order, reverse=True)


def test_a_face_in_the_dark() -> None:
    """No lamp at all: nothing reads, nothing comes from anywhere, and nothing fails twice."""
    _, found = shown(A, lights=[])
    (reading,) = found.faces
    assert reading.reading == "nothing"
    assert reading.sources == ()
    assert math.isnan(reading.ratio)
    assert ratio_text(reading.ratio) == "no light"
    assert not {"faces", "evenness"} & {c.name for c in found.checks}


@pytest.mark.parametrize(("power", "share", "clips"), [(1, 1.0, True), ("1/16", 1 / 16, False)])
def test_white_hair_burns_out_under_too_much_light(
    power: object, share: float, clips: bool
) -> None:
    """Its tone is its reflectance times its light over the aperture's; 1 is full white.

    White hair sends back 0.55 (from memory), so it is full white 0.86 stop over the aperture.
    """
    lamp = bare("hair", "hair", 0, 0.9, 2.6, power=power)
    _, found = shown(dark("A", hair=0.55), lights=[lamp, bare("key", "key", -1.5, -2.5, 1.9)])
    reading = found.faces[0].hair
    assert reading is not None
    by_lamp, by_key = share * point_lxs(found, "hair", 0), point_lxs(found, "hair", 1)
    assert reading.crown_stops == pytest.approx(stops_over_aperture(by_lamp, C_FLAT), abs=0.01)
    crown = 0.55 * 2 ** stops_over_aperture(by_lamp + by_key, C_FLAT)
    assert reading.tone >= crown * 0.99
    assert reading.clips == (reading.tone > 1) == clips
    assert sum("A's hair burns out" in said for said in found.findings) == clips


def test_a_hair_light_that_misses_a_head() -> None:
    """A narrow grid over one of two: the other gets nothing, and it is said by name."""
    grid = {"kind": "dish", "width": 0.18, "grid_cell": 0.01, "grid_depth": 0.06}
    lamp = {
        "id": "hair",
        "role": "hair",
        "place": {"x": -0.6, "y": 1.0, "z": 2.7},
        "aim": {"x": -0.6, "y": 0, "height": 1.6},
        "modifier": grid,
        "power": 1,
    }
    people = dark("A"), dark("B")
    places = [spot("A", -0.6), spot("B", 0.6)]
    _, found = shown(*people, lights=[bare("key", "key", 0, -3, 2), lamp], places=places)
    one, other = (f.hair for f in found.faces)
    assert one is not None
    assert other is not None
    assert (one.best_share, one.covered) == (1.0, True)
    assert other.best_share == 0
    assert not other.covered
    assert any("the hair light misses B" in f for f in found.findings)


@pytest.mark.parametrize(("aside", "covered"), [(0.2, True), (1.2, False)])
def test_a_head_far_under_the_best_lit_one_is_told_in_stops(aside: float, covered: bool) -> None:
    """By hand: of each head's three points the brightest counts, one head against the other.

    A bare hair light behind A; B stands a little or far to the side. What is printed as a
    difference is the same as between the columns: one measure.
    """
    lamp = bare("hair", "hair", -0.6, 0.9, 2.6, aim={"x": -0.6, "y": 0.0, "height": 1.6})
    places = [spot("A", -0.6), spot("B", aside)]
    key = bare("key", "key", 0, -3, 2)
    _, found = shown(dark("A"), dark("B"), lights=[key, lamp], places=places)
    one, other = (f.hair for f in found.faces)
    assert one is not None
    assert other is not None
    at = ("hair", "hair left", "hair right")
    best_a, best_b = (max(point_lxs(found, w, 1, who) for w in at) for who in ("A", "B"))
    under = math.log2(best_b / best_a)
    assert other.brightest_stops - one.brightest_stops == pytest.approx(under, abs=2 * POINT)
    assert math.log2(other.best_share) == pytest.approx(under, abs=2 * POINT)
    assert (other.covered, under >= COVERED_STOPS) == (covered, covered)
    said = [f for f in found.findings if "the hair light is weaker on" in f]
    assert len(said) == (not covered)
    if said:
        assert f"B ({-under:.1f} stops) than on A: " in said[0]


def test_the_lit_side_of_the_hair_is_the_one_toward_its_light() -> None:
    """A hair light behind to the camera's right lights the person's own left, more than the crown.

    By hand: low and far to the side, it meets the slanted side more squarely than the crown.
    """
    lamp = bare("hair", "hair", 1.8, 0.9, 1.9)
    _, found = shown(A, lights=[bare("key", "key", -1.5, -2.5, 1.9), lamp])
    hair = found.faces[0].hair
    assert hair is not None
    side = stops_over_aperture(point_lxs(found, "hair left", 1), C_FLAT)
    assert (hair.lit_side, hair.lit_side_stops) == ("left", pytest.approx(side, abs=2 * POINT))
    assert hair.brightest_stops == hair.lit_side_stops > hair.crown_stops


def test_spill_of_a_hair_light_by_hand() -> None:
    """A lamp that stands before the face spills on its nose as its light is to the key's there."""
    key, stray = bare("key", "key", 0, -3, 1.55), bare("stray", "hair", 0.8, -2.6, 1.55)
    _, found = shown(A, lights=[key, stray])
    hair = found.faces[0].hair
    assert hair is not None
    by_hand = math.log2(point_lxs(found, "nose", 1) / point_lxs(found, "nose", 0))
    assert hair.nose_stops == pytest.approx(by_hand, abs=2 * POINT)
    assert any("the hair light falls on A's" in f for f in found.findings)


def test_a_face_off_the_aperture_fails_by_name() -> None:
    """The one half as near to the lamp has two stops less, so that not both can be right."""
    places = [spot("A", -0.4, -1.5), spot("B", 0.4, 1.5)]
    people = dark("A"), dark("B")
    _, found = shown(*people, lights=[bare("key", "key", 0, -4.5, 1.6)], places=places)
    near, far = (point_lxs(found, "chin", 0, person) for person in ("A", "B"))
    evenness = named(found, "evenness")
    assert evenness.leeway == pytest.approx(2 / 3 - math.log2(near / far), abs=2 * POINT)
    assert evenness.verdict == "fails"
    assert evenness.sentence.startswith("A's face gets")
    exposure = named(found, "faces")
    assert exposure.sentence.startswith("B's face reads")


def test_until_metered_it_is_said() -> None:
    """An estimated output is no reason to count its band again; a metered one is not doubted."""
    plan = planned(NORA)
    assert named(plan.pictures[0], "faces").sentence.endswith("; not known until metered")
    lights = [light("key", "key", -1.2, -1.6, 1.9, fitted={"stops": 0, "sd": 0.1})]
    metered = planned(NORA, lights=lights)
    said = named(metered.pictures[0], "faces")
    assert "until metered" not in said.sentence
    assert said.uncertainty == named(plan.pictures[0], "faces").uncertainty == 0
