from __future__ import annotations

import numpy as np
import pytest
from lay_cases import AGES, CASES, SEAT_M, person, volume_m3

from kinlight.errors import RangeError
from kinlight.figures.growth import Sex, body
from kinlight.figures.lay import LayFigure, lay_figure
from kinlight.figures.postures import POSTURES
from kinlight.figures.shapes import HAIR, SKIN
from kinlight.geometry.vectors import crossed, turned

CONTACT_M = 0.01
FLAT = ("floor", "legs aside", "baby sitting")
SEATS = ("stool", "chair", "wheelchair")
MIRROR = np.array([-1.0, 1.0, 1.0])


def _lowest(figure: LayFigure, *regions: str) -> list[float]:
    return [figure.draft.lowest_m(name) for name in regions]


@pytest.mark.parametrize(("age", "sex", "posture"), CASES)
def test_everyone_can_take_every_posture_of_their_age(
    age: float, sex: Sex | None, posture: str
) -> None:
    """All numbers are numbers, the body keeps its volume, arms and legs reach what they are to."""
    figure = person(age, sex, posture)
    rest = figure.draft.rest.vertices_m
    assert np.isfinite(figure.vertices_m).all()
    assert np.isfinite(figure.normals).all()
    kept = volume_m3(figure.bald_m, figure.faces) / volume_m3(rest, figure.faces)
    assert kept == pytest.approx(1, abs=0.03 if posture in ("standing", "box") else 0.12)
    assert max(figure.skeleton.missed_m.values(), default=0.0) < 0.005 * figure.body.stature_m


@pytest.mark.parametrize(("age", "sex", "posture"), CASES)
def test_everyone_touches_what_carries_them(age: float, sex: Sex | None, posture: str) -> None:
    """Seat, soles, knees and insteps are within a centimetre of it, and nothing is deeper in it."""
    figure = person(age, sex, posture)
    base = SEAT_M.get(posture, 0.0)
    if posture in SEATS:
        assert _lowest(figure, "seat") == pytest.approx([base], abs=CONTACT_M)
        base = 0.0
    elif posture in FLAT:
        touching = _lowest(figure, "seat", "foot.L", "foot.R")
        assert touching == pytest.approx([0, 0, 0], abs=CONTACT_M)
    elif posture in ("kneeling", "on heels"):
        touching = _lowest(figure, "knee.L", "knee.R", "foot.L", "foot.R")
        assert touching == pytest.approx([0, 0, 0, 0], abs=CONTACT_M)
    else:
        assert _lowest(figure, "whole") == pytest.approx([base], abs=CONTACT_M)
    assert figure.bald_m[:, 2].min() > base - CONTACT_M


@pytest.mark.parametrize("sex", ["female", "male", None])
@pytest.mark.parametrize("age", [a for a in AGES if a >= 1])
def test_who_stands_straight_is_as_tall_as_asked(age: float, sex: Sex | None) -> None:
    """Crown over the floor; the eyes are as far below it as the body says."""
    figure = person(age, sex, "standing")
    sizes = figure.body
    assert figure.landmark_m("crown")[2] == pytest.approx(sizes.stature_m, abs=0.002)
    eyes_m = sizes.stature_m - sizes.crown_to_eye_m
    assert figure.eyes_m()[:, 2] == pytest.approx([eyes_m] * 2, rel=0.02)


@pytest.mark.parametrize("posture", SEATS)
@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("age", [a for a in AGES if a >= 4])
def test_who_sits_has_the_eyes_where_the_sitting_height_puts_them(
    age: float, sex: Sex, posture: str
) -> None:
    """Seat plus sitting height less crown to eye, within 2 % of it."""
    figure = person(age, sex, posture)
    sizes = figure.body
    eyes_m = SEAT_M[posture] + sizes.sitting_height_m - sizes.crown_to_eye_m
    assert figure.eyes_m()[:, 2] == pytest.approx([eyes_m] * 2, rel=0.02)


@pytest.mark.parametrize(("seat_m", "age", "down"), [(0.45, 34.0, True), (0.45, 4.0, False)])
def test_feet_that_reach_the_floor_stand_on_it(seat_m: float, age: float, down: bool) -> None:
    """The others hang over it."""
    soles = _lowest(person(age, "male", "stool", seat_height_m=seat_m), "foot.L", "foot.R")
    assert (max(soles) < CONTACT_M) == down
    assert min(soles) > -CONTACT_M


@pytest.mark.parametrize("seat_m", np.arange(0.2, 0.85, 0.05).tolist())
def test_no_seat_puts_feet_under_the_floor(seat_m: float) -> None:
    """Low or high, of a bar stool or a child's bench."""
    for age in (2.0, 8.0, 34.0):
        assert person(age, None, "stool", seat_height_m=seat_m).bald_m[:, 2].min() > -CONTACT_M


@pytest.mark.parametrize("posture", [p for p in POSTURES if p not in ("hip", "lap")])
@pytest.mark.parametrize("age", [2.0, 34.0])
def test_a_mirrored_request_gives_the_mirrored_figure(age: float, posture: str) -> None:
    """Within a millimetre, vertex for vertex; whoever is asked for on the other side is there."""
    asked = {"place_m": (0.3, -0.2), "facing_deg": 20.0, "head_turn_deg": 25.0}
    other = {"place_m": (-0.3, -0.2), "facing_deg": -20.0, "head_turn_deg": -25.0}
    one = person(age, None, posture, **asked, head_tilt_deg=8.0, side="left")
    two = person(age, None, posture, **other, head_tilt_deg=-8.0, side="right")
    swapped = one.bald_m[one.draft.rest.shapes.mirror] * MIRROR
    assert two.bald_m == pytest.approx(swapped, abs=0.001)


@pytest.mark.parametrize("posture", ["standing", "stool", "floor", "lying"])
def test_facing_turns_and_the_place_moves_everything(posture: str) -> None:
    """About the origin, then to the place."""
    plain = person(34.0, "female", posture)
    placed = person(34.0, "female", posture, place_m=(1.0, -2.0), facing_deg=70.0)
    moved = turned(plain.vertices_m, 70.0) + np.array([1.0, -2.0, 0.0])
    assert placed.vertices_m == pytest.approx(moved, abs=1e-6)
    assert placed.normals == pytest.approx(turned(plain.normals, 70.0), abs=1e-5)


def test_feet_further_apart_lower_the_head() -> None:
    """By what a leg of that length loses: Pythagoras on the stretched leg, within 1 cm."""
    narrow, wide = (person(34.0, "male", "standing", feet_apart_m=w) for w in (0.25, 0.9))
    of = narrow.draft.rest.skeleton
    hip = abs(of.joint_m("upperleg01.L")[0])
    leg = narrow.draft.length_m("leg.L")
    lost = np.sqrt(leg**2 - (0.125 - hip) ** 2) - np.sqrt(leg**2 - (0.45 - hip) ** 2)
    found = narrow.landmark_m("crown")[2] - wide.landmark_m("crown")[2]
    assert found == pytest.approx(lost, abs=0.01)
    ankles = [wide.skeleton.joint_m(f"foot.{side}")[0] for side in "LR"]
    assert ankles == pytest.approx([0.45, -0.45], abs=1e-6)


@pytest.mark.parametrize("posture", ["standing", "kneeling"])
def test_leaning_brings_the_head_forward_and_down_and_leaves_it_level(posture: str) -> None:
    """The feet stay, the hips go back."""
    upright, leaning = (person(34.0, "male", posture, lean_deg=angle) for angle in (0.0, 25.0))
    moved = leaning.landmark_m("crown") - upright.landmark_m("crown")
    assert moved[1] < -0.05
    assert moved[2] < -0.03
    assert leaning.head_frame == pytest.approx(upright.head_frame, abs=1e-9)
    hips = [f.skeleton.joint_m("upperleg01.L")[1] for f in (upright, leaning)]
    assert hips[1] > hips[0] or posture == "kneeling"


def test_hair_is_pushed_out_and_the_skull_stays() -> None:
    """As thick as asked at the crown; faces keep their parts; skin below the hair line stays."""
    bald, hairy = (person(34.0, "female", "standing", hair_m=h) for h in (0.0, 0.03))
    grown = np.linalg.norm(hairy.vertices_m - hairy.bald_m, axis=1)
    crown = bald.draft.rest.shapes.landmarks["crown"]
    assert grown[crown] == pytest.approx(0.03 * bald.draft.rest.shapes.hair[crown], abs=1e-9)
    assert grown[crown] > 0.02
    assert hairy.bald_m == pytest.approx(bald.vertices_m)
    hairless = np.setdiff1d(bald.faces[bald.parts == SKIN], bald.faces[bald.parts == HAIR])
    assert grown[hairless].max() < 0.03 * 0.5


@pytest.mark.parametrize("age", [1.0, 8.0, 34.0, 76.0])
def test_head_and_hands_are_not_turned_inside_out(age: float) -> None:
    """The volume between each and its joint is positive, standing and sitting."""
    for posture in ("standing", "stool"):
        figure = person(age, "female", posture)
        shapes = figure.draft.rest.shapes
        for joint, bones in (("head", "head"), ("wrist.L", "finger"), ("wrist.R", "finger")):
            named = [k for k, b in enumerate(shapes.bones) if b.startswith(bones)]
            named = [k for k in named if joint == "head" or shapes.bones[k][-1] == joint[-1]]
            share = shapes.skinning[:, named].sum(axis=1)[figure.faces].min(axis=1)
            faces = figure.faces[(share > 0.5) & (figure.parts != 2)]
            assert len(faces) > 20
            a, b, c = np.moveaxis(figure.bald_m[faces] - figure.skeleton.joint_m(joint), 1, 0)
            assert np.einsum("ij,ij->", a, np.cross(b, c)) > 0


@pytest.mark.parametrize(("facing", "turn"), [(0.0, 0.0), (30.0, 20.0), (-60.0, 45.0)])
def test_landmarks_are_on_their_side_of_the_head(facing: float, turn: float) -> None:
    """The nose looks where the face looks, cheeks to their sides, the crown up."""
    figure = person(34.0, None, "chair", facing_deg=facing, head_turn_deg=turn)
    left, ahead, up = figure.head_frame
    assert ahead == pytest.approx(turned([0.0, -1.0, 0.0], facing + turn), abs=1e-9)
    assert left == pytest.approx(crossed(up, ahead), abs=1e-9)
    assert figure.landmark_normal("crown") @ up > 0.8
    assert figure.landmark_normal("glabella") @ ahead > 0.7
    for side, sign in (("left", 1.0), ("right", -1.0)):
        normal = figure.landmark_normal(f"cheek {side}")
        assert sign * (normal @ left) > 0.2
        assert normal @ ahead > 0.2
        assert sign * (figure.landmark_m(f"tragus {side}") - figure.landmark_m("nose")) @ left > 0


def test_the_points_are_those_of_the_surface() -> None:
    """The present figure's landmarks: mirrored pairs, left first, soles on the floor."""
    figure = person(34.0, "male", "standing")
    points, sizes = figure.figure(), figure.body
    assert points.face.nose_m == pytest.approx(figure.landmark_m("nose"))
    assert points.face.eye_left_m[0] > 0 > points.face.eye_right_m[0]
    for pair in (points.shoulders_m, points.elbows_m, points.hips_m, points.knees_m, points.feet_m):
        assert pair[0] * MIRROR == pytest.approx(pair[1], abs=1e-6)
        assert pair[0, 0] > 0
    assert points.shoulders_m[0, 0] == pytest.approx(sizes.shoulder_breadth_m / 2)
    assert points.hips_m[0, 0] == pytest.approx(sizes.hip_breadth_m / 2)
    assert points.feet_m[:, 2] == pytest.approx([0, 0], abs=0.002)
    head_m = points.face.crown_m - points.face.chin_m
    assert head_m[2] == pytest.approx(sizes.head_height_m, abs=0.002)


def test_both_meshes_stand_alike() -> None:
    """The light and the full one have their landmarks within a centimetre of each other."""
    light, full = (person(8.0, "female", "stool", light=choice) for choice in (True, False))
    assert len(full.vertices_m) > 3 * len(light.vertices_m)
    for name in ("crown", "nose", "menton", "acromion left", "knee left"):
        assert light.landmark_m(name) == pytest.approx(full.landmark_m(name), abs=0.01)


@pytest.mark.parametrize(
    ("posture", "asked", "words"),
    [
        ("sprawling", {}, "not a posture"),
        ("stool", {"seat_height_m": 0.0}, "not a height for the stool"),
        ("stool", {"seat_height_m": np.nan}, "not a height for the stool"),
        ("standing", {"lean_deg": 80.0}, "no lean from the hips"),
        ("standing", {"feet_apart_m": 2.0}, "not how they can stand"),
        ("chair", {"lean_deg": 10.0}, "nobody leans"),
        ("floor", {"feet_apart_m": 0.5}, "feet that are stood on"),
        ("standing", {"hands": "pockets"}, "no place for hands"),
        ("standing", {"facing_deg": np.inf}, "not a place, an angle or a length"),
        ("lap", {}, "nobody holds them"),
    ],
)
def test_what_nobody_can_do_is_refused_in_a_sentence(
    posture: str, asked: dict[str, object], words: str
) -> None:
    """And says what is allowed."""
    with pytest.raises(RangeError, match=words):
        person(34.0, "male", posture, **asked)


def test_the_same_request_gives_the_same_figure() -> None:
    """Bit for bit."""
    sizes = body(34.0, "male")
    one, two = (lay_figure("a", sizes, "floor", age_years=34.0, sex="male") for _ in range(2))
    assert (one.vertices_m == two.vertices_m).all()
