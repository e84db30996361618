"""People in their places: heights by posture, faces on heads, everything turning as one."""

from __future__ import annotations

import math
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.figures.growth import body
from kinlight.figures.legs import LEGS, knee_height_m, thigh_m
from kinlight.figures.posture import figure
from kinlight.geometry.people import FacePoints, Figure
from kinlight.geometry.vectors import turned

MAN, WOMAN = body(30, "male"), body(30, "female")
TODDLER = body(1.5, "male")
ALONE = [posture for posture in LEGS if posture not in ("hip", "lap")]
DIRECTIONS = ("facing", "up")
SEATS = {"stool": 0.45, "chair": 0.45, "wheelchair": 0.5, "box": 0.2}


def points_m(one: Figure) -> np.ndarray:
    """Return every point of a figure, shape (n, 3)."""
    face = [getattr(one.face, f.name) for f in fields(FacePoints) if f.name not in DIRECTIONS]
    pairs = (one.shoulders_m, one.elbows_m, one.hips_m, one.knees_m, one.feet_m)
    return np.vstack([np.stack(face), *pairs])


def posed(posture: str, sizes=MAN, **options) -> Figure:
    """Return someone in a posture at its usual seat."""
    options.setdefault("seat_height_m", SEATS.get(posture, 0.0))
    return figure("someone", sizes, posture, **options)


def eye_z(one: Figure) -> float:
    """Return the height of the eyes over the floor [m]."""
    return float(one.face.eyes_m()[:, 2].mean())


@pytest.mark.parametrize(("sizes", "share"), [(MAN, 0.9352), (WOMAN, 0.9331)])
def test_standing_eye_height_is_the_survey_s_share_of_stature(sizes, share):
    """ANSUR II, derived: .9352 and .9331 of stature, to 0.0005; Drillis and Contini say .936."""
    assert eye_z(posed("standing", sizes)) / sizes.stature_m == pytest.approx(share, abs=0.0005)
    assert eye_z(posed("standing", sizes)) / sizes.stature_m == pytest.approx(0.936, abs=0.004)


@pytest.mark.parametrize(("sizes", "eyes_mm"), [(MAN, 804.5), (WOMAN, 747.7)])
def test_sitting_eye_height_is_the_survey_s(sizes, eyes_mm):
    """ANSUR II eye height sitting, to the 0.1 mm of the last digits."""
    over_seat_m = eye_z(posed("stool", sizes, seat_height_m=0.45)) - 0.45
    assert over_seat_m * 1000 == pytest.approx(eyes_mm, abs=0.11)


@pytest.mark.parametrize(("sizes", "shoulder_mm"), [(MAN, 1440.7), (WOMAN, 1335.1)])
def test_standing_shoulders_are_at_the_survey_s_acromion(sizes, shoulder_mm):
    """ANSUR II acromial height; our share .12 is rounded from it, which leaves 2 mm."""
    shoulders = posed("standing", sizes).shoulders_m
    assert shoulders[:, 2] * 1000 == pytest.approx(shoulder_mm, abs=2)


def test_standing_joints_are_near_the_segment_tables():
    """Drillis and Contini (Winter 2009): chin .870; hip .530 and knee .285 (from memory)."""
    man = posed("standing")
    for height_m, share in (
        (man.face.chin_m[2], 0.870),
        (man.hips_m[0, 2], 0.530),
        (man.knees_m[0, 2], 0.285),
    ):
        assert height_m / MAN.stature_m == pytest.approx(share, abs=0.004)
    upper_arm_m = man.shoulders_m[0, 2] - man.elbows_m[0, 2]
    assert upper_arm_m / MAN.stature_m == pytest.approx(0.186)


def test_standing_crown_is_the_stature_and_a_box_adds_its_height():
    """The crown of someone standing level is their stature, on a box that much higher."""
    for sizes in (MAN, WOMAN, TODDLER, body(80)):
        ground, box = posed("standing", sizes), posed("box", sizes, seat_height_m=0.2)
        assert ground.face.crown_m[2] == pytest.approx(sizes.stature_m)
        np.testing.assert_allclose(points_m(box) - points_m(ground), np.full((17, 3), [0, 0, 0.2]))
        assert ground.feet_m[:, 2] == pytest.approx(0.0)


def test_a_seated_boy_of_eighteen_months_is_51_cm_over_the_seat():
    """WHO 82.3 cm x Fredriks .625 = 51.4 cm; 0.44 cm between lying and standing."""
    boy = posed("stool", TODDLER, seat_height_m=0.3)
    assert (boy.face.crown_m[2] - 0.3) * 100 == pytest.approx(51.4, abs=0.45)


def test_kneeling_upright_takes_a_quarter_off():
    """Kneeling height about .745 of stature: from memory of engineering tables of body size."""
    assert posed("kneeling").face.crown_m[2] / MAN.stature_m == pytest.approx(0.745, abs=0.01)


def test_postures_by_height():
    """Standing over kneeling over a stool over heels over the floor, for a man."""
    names = ("standing", "stool", "kneeling", "on heels", "floor")
    crowns = [float(posed(name).face.crown_m[2]) for name in names]
    assert crowns[0] > crowns[1] > crowns[3] > crowns[4]
    assert crowns[0] > crowns[2] > crowns[3]
    assert crowns[4] == pytest.approx(0.9183, abs=0.0001)  # ANSUR II sitting height


def test_short_legs_hang_and_long_ones_stand():
    """Feet reach the floor when the seat is no higher than the hollow of the knee (ANSUR II)."""
    assert posed("stool", MAN, seat_height_m=0.42).feet_m[:, 2] == pytest.approx(0.0)
    hanging = posed("stool", MAN, seat_height_m=0.75).feet_m[:, 2]
    assert hanging == pytest.approx(0.75 - 0.4298, abs=0.0002)


@pytest.mark.parametrize("posture", ["standing", "kneeling", "on heels", "floor", "box"])
def test_feet_are_on_what_carries_them(posture):
    """On the floor, or on the box."""
    assert posed(posture).feet_m[:, 2] == pytest.approx(SEATS.get(posture, 0.0))


@pytest.mark.parametrize("posture", ALONE)
@pytest.mark.parametrize("sizes", [MAN, WOMAN, TODDLER, body(8), body(85)])
def test_thighs_and_shanks_keep_their_length(posture, sizes):
    """Hip joint to knee, knee to sole as standing gives them; cross-legged shanks to a quarter."""
    one = posed(posture, sizes)
    joint = one.hips_m.mean(axis=0) + (one.hips_m[0] - one.hips_m[1]) / 4
    assert np.linalg.norm(one.knees_m[0] - joint) == pytest.approx(thigh_m(sizes), rel=1e-6)
    shank_m = np.linalg.norm(one.feet_m[0] - one.knees_m[0])
    loose = 0.25 if posture == "floor" else 0.03
    assert shank_m == pytest.approx(knee_height_m(sizes), rel=loose)


def test_left_is_the_camera_s_right_for_someone_who_faces_it():
    """Own left at +x, nose and feet toward -y: the convention of the room."""
    one = posed("stool")
    face = one.face
    assert face.facing == pytest.approx([0, -1, 0])
    assert face.eye_left_m[0] > 0 > face.eye_right_m[0]
    assert face.cheek_left_m[0] > 0 > face.cheek_right_m[0]
    assert one.shoulders_m[0, 0] > 0 > one.shoulders_m[1, 0]
    assert one.knees_m[0, 1] < -0.3


def test_a_turn_is_toward_the_own_left():
    """Turned 90 degrees someone looks toward +x."""
    assert posed("standing", facing_deg=90).face.facing == pytest.approx([1, 0, 0])
    assert posed("standing", head_turn_deg=90).face.facing == pytest.approx([1, 0, 0])


@given(st.sampled_from(ALONE), st.floats(0, 100), st.floats(-180, 180))
@settings(max_examples=60)
def test_turning_a_person_turns_every_point_about_the_vertical(posture, age, angle_deg):
    """Rigidly, about their place."""
    place = np.array([0.4, -0.7, 0.0])
    options = {"place_m": (0.4, -0.7), "head_turn_deg": 20, "chin_up_deg": -10}
    still = posed(posture, body(age), **options)
    moved = posed(posture, body(age), facing_deg=angle_deg, **options)
    expected = turned(points_m(still) - place, angle_deg) + place
    np.testing.assert_allclose(points_m(moved), expected, atol=1e-12)
    for name in DIRECTIONS:
        was, now = getattr(still.face, name), getattr(moved.face, name)
        np.testing.assert_allclose(now, turned(was, angle_deg), atol=1e-12)


@given(st.sampled_from(ALONE), st.floats(0, 100))
@settings(max_examples=60)
def test_left_mirrors_right_about_the_nose_line(posture, age):
    """Facing the camera, left and right differ in the sign of x alone."""
    one = posed(posture, body(age), chin_up_deg=7)
    mirror = np.array([-1, 1, 1])
    face = one.face
    pairs = [
        np.stack([face.eye_left_m, face.eye_right_m]),
        np.stack([face.cheek_left_m, face.cheek_right_m]),
        *(getattr(one, f"{name}_m") for name in ("shoulders", "elbows", "hips", "knees", "feet")),
    ]
    for left, right in pairs:
        np.testing.assert_allclose(left * mirror, right, atol=1e-12)
    for middle in (face.nose_m, face.chin_m, face.crown_m):
        assert middle[0] == pytest.approx(0, abs=1e-12)


@given(
    st.sampled_from(ALONE),
    st.floats(0, 115),
    st.sampled_from([None, "female", "male"]),
    st.floats(0.55, 1.55),
    st.floats(-60, 60),
    st.floats(-45, 45),
)
@settings(max_examples=120)
def test_faces_keep_their_make_at_every_age_and_posture(posture, age, sex, share, turn, tip):
    """Finite points, right distances, and eyes, nose, cheeks and chin where a face has them."""
    sizes = body(age, sex, stature_m=share * body(age, sex).stature_m)
    one = posed(posture, sizes, head_turn_deg=turn, chin_up_deg=tip)
    face = one.face
    assert np.isfinite(points_m(one)).all()
    assert points_m(one)[:, 2].min() > -1e-9
    eyes = face.eyes_m().mean(axis=0)
    apart = face.eye_left_m - face.eye_right_m
    assert np.linalg.norm(apart) == pytest.approx(sizes.pupil_distance_m)
    assert apart @ np.cross(face.up, face.facing) == pytest.approx(sizes.pupil_distance_m)
    assert (face.crown_m - face.chin_m) @ face.up == pytest.approx(sizes.head_height_m)
    assert (face.crown_m - eyes) @ face.up == pytest.approx(sizes.crown_to_eye_m)
    assert np.linalg.norm(face.facing) == pytest.approx(1)
    assert face.facing @ face.up == pytest.approx(0, abs=1e-12)
    ahead = {n: getattr(face, f"{n}_m") @ face.facing for n in ("nose", "cheek_left", "chin")}
    assert ahead["nose"] > eyes @ face.facing > ahead["cheek_left"]
    assert ahead["nose"] > ahead["chin"] > face.crown_m @ face.facing
    assert eyes @ face.up > face.nose_m @ face.up > face.chin_m @ face.up


@given(st.floats(0, 115), st.sampled_from(["female", "male"]))
def test_cheeks_lie_on_a_face_that_faces_outward_there(age, sex):
    """A chord of the ellipse near the cheek point is square to the cheek's own normal."""
    sizes = body(age, sex)
    face = posed("standing", sizes).face
    length_m = 1.29 * sizes.head_breadth_m  # rules.toml, as the face's breadth and depth
    a, b = 0.91 * sizes.head_breadth_m / 2, 0.45 * length_m
    x, y = face.cheek_left_m[0], -face.cheek_left_m[1]
    assert (x / a) ** 2 + (y / b) ** 2 == pytest.approx(1)
    outward = np.array([x / a**2, -y / b**2, 0])
    outward /= np.linalg.norm(outward)
    np.testing.assert_allclose(outward, face.cheek_normal("left"), atol=1e-9)


def test_a_raised_chin_tips_the_head_about_the_neck():
    """Ten degrees up: the nose rises, the crown goes back and down, the trunk stays."""
    level, raised = posed("standing"), posed("standing", chin_up_deg=10)
    assert math.degrees(math.asin(raised.face.facing[2])) == pytest.approx(10)
    assert raised.face.nose_m[2] > level.face.nose_m[2]
    assert raised.face.crown_m[1] > level.face.crown_m[1]
    assert raised.face.crown_m[2] < level.face.crown_m[2]
    np.testing.assert_array_equal(raised.shoulders_m, level.shoulders_m)


def test_place_moves_everything_along_the_floor():
    """Feet are at the place; seen from above everything moves by it."""
    here, there = posed("standing"), posed("standing", place_m=(1.0, 2.0))
    shift = points_m(there) - points_m(here)
    np.testing.assert_allclose(shift, np.full_like(shift, [1, 2, 0]), atol=1e-12)
    assert there.feet_m.mean(axis=0) == pytest.approx([1, 2, 0])


@pytest.mark.parametrize(("side", "sign"), [("left", 1), ("right", -1)])
def test_a_child_on_a_hip_is_beside_the_holder_s_head_and_clear_of_it(side, sign):
    """Its head is between the holder's hip and crown, and the two heads do not meet."""
    mother = posed("standing", WOMAN, place_m=(0.5, 0.2), facing_deg=15)
    child = figure("child", TODDLER, "hip", holder=mother, side=side, facing_deg=-20)
    across = np.cross(mother.face.up, mother.face.facing)
    aside_m = (child.face.crown_m - mother.face.crown_m) @ across
    assert sign * aside_m > (mother.head_breadth_m + child.head_breadth_m) / 2
    assert mother.face.chin_m[2] - 0.15 < child.face.crown_m[2] < mother.face.crown_m[2]
    assert child.feet_m[:, 2].min() > 0.3


def test_a_child_on_a_lap_sits_on_one_thigh():
    """Higher than the seat by a thigh, half-way to the knee, crown below the holder's eyes."""
    mother = posed("chair", WOMAN, place_m=(0.1, 0.3))
    child = figure("child", TODDLER, "lap", holder=mother, side="right")
    seat_z = child.face.crown_m[2] - TODDLER.sitting_height_m
    assert 0.45 + 0.08 < seat_z < 0.45 + 0.20
    hip_y, knee_y = mother.hips_m[1, 1], mother.knees_m[1, 1]
    assert child.hips_m[:, 1].mean() == pytest.approx((hip_y + knee_y) / 2)
    assert child.hips_m[:, 0].mean() < 0.1
    assert child.face.crown_m[2] < eye_z(mother)


def test_whoever_is_held_moves_with_the_holder():
    """A holder moved and turned takes the child along."""
    for posture, base in (("hip", "standing"), ("lap", "stool")):
        here = posed(base, WOMAN)
        there = posed(base, WOMAN, place_m=(0.3, -0.4), facing_deg=40)
        child = figure("c", TODDLER, posture, holder=here)
        carried = figure("c", TODDLER, posture, (9.0, 9.0), facing_deg=40, holder=there)
        expected = turned(points_m(child), 40) + np.array([0.3, -0.4, 0])
        np.testing.assert_allclose(points_m(carried), expected, atol=1e-12)


def test_figures_cannot_be_changed():
    """Arrays are read-only, so that a scene can share them."""
    one = posed("floor")
    for array in (one.knees_m, one.face.nose_m, one.face.facing):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1.0


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: posed("lying"), "'lying' is not a posture; allowed: standing, box, stool"),
        (lambda: posed("lap"), "nobody holds them on the lap; say who does"),
        (lambda: posed("stool", seat_height_m=0.0), "0 m is not a height for the stool posture"),
        (lambda: posed("box", seat_height_m=-0.2), r"-0\.2 m is not a height"),
        (lambda: posed("box", seat_height_m=math.nan), "nan m is not a height"),
        (lambda: posed("standing", facing_deg=math.nan), "nan is not a place or an angle"),
        (lambda: posed("standing", place_m=(math.inf, 0)), "inf is not a place or an angle"),
    ],
)
def test_what_cannot_be_posed_is_refused_in_words(call, sentence):
    """The sentence says what was given and what is allowed."""
    with pytest.raises(RangeError, match=sentence):
        call()
