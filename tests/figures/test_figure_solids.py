"""Bodies as light meets them: as heavy as people, on the floor, alike left and right."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.figures.growth import Body, body
from kinlight.figures.legs import LEGS
from kinlight.figures.posture import figure
from kinlight.figures.solids import solids
from kinlight.geometry.people import Figure
from kinlight.geometry.solids import Solids, holds_points, lifted

MAN, WOMAN = body(30, "male"), body(30, "female")
SEATS = {"stool": 0.45, "chair": 0.45, "wheelchair": 0.5, "box": 0.2}
ALONE = [posture for posture in LEGS if posture not in ("hip", "lap")]
KG_PER_M3 = 985.0  # from memory: a body with air in its lungs
PARTS = ["head", "neck", "shoulders", "chest", "pelvis"] + 2 * [
    "upper arm",
    "forearm",
    "thigh",
    "shank",
]

ages = st.floats(0, 100)
sexes = st.sampled_from(["female", "male"])


def posed(posture: str, sizes: Body = MAN, **options: float) -> Figure:
    """Return someone in a posture at its usual seat, held by a grown woman if need be."""
    if posture in ("hip", "lap"):
        holder = posed("standing" if posture == "hip" else "chair", WOMAN)
        return figure("child", sizes, posture, holder=holder, **options)
    options.setdefault("seat_height_m", SEATS.get(posture, 0.0))
    return figure("someone", sizes, posture, **options)


def extent_m(one: Solids, direction: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return how far each body reaches along a direction, least and most, each (m,) [m].

    By hand: a ball of radius 1, stretched, reaches as far as the stretched direction is long.
    """
    pull = (one.axes @ direction) * one.radius_m
    middle = one.centre_m @ direction
    half = np.linalg.norm(pull, axis=1) + one.straight * np.abs(pull[:, 2])
    return middle - half, middle + half


def named(one: Solids, *parts: str) -> np.ndarray:
    """Return which bodies are these parts."""
    return np.array([part in parts for part in one.part])


def sampled(one: Solids, count: int) -> tuple[np.ndarray, float]:
    """Return which bodies hold each of many random points, and the volume of a point [m3]."""
    bounds = [extent_m(one, axis) for axis in np.eye(3)]
    low, high = (np.array([f(b[k]) for b in bounds]) for k, f in ((0, np.min), (1, np.max)))
    points = np.random.default_rng(20).uniform(low, high, (count, 3))
    return holds_points(one, points), float(np.prod(high - low)) / count


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("age_years", [1.5, 3, 6, 8, 12, 16, 30, 60, 90])
def test_people_weigh_what_their_bodies_hold(age_years: float, sex: str) -> None:
    """A person is about as dense as water: within a quarter, at every age that stands."""
    sizes = body(age_years, sex)
    held, volume_m3 = sampled(solids(posed("standing", sizes)), 40_000)
    kg = KG_PER_M3 * volume_m3 * held.any(axis=1).sum()
    assert kg == pytest.approx(sizes.mass_kg, rel=0.25)


@pytest.mark.parametrize("sizes", [MAN, WOMAN])
def test_parts_have_their_share_of_the_mass(sizes: Body) -> None:
    """Shares of body mass after Winter 2009 (from memory), to 0.04: a limb has one radius only."""
    shares = {
        ("shoulders", "chest", "pelvis"): 0.497,
        ("head", "neck"): 0.081,
        ("upper arm",): 2 * 0.028,
        ("forearm",): 2 * 0.022,
        ("shank",): 2 * 0.061,
        ("thigh",): 2 * 0.100,
    }
    one = solids(posed("standing", sizes))
    held, _ = sampled(one, 100_000)
    free, total = np.ones(len(held), dtype=bool), held.any(axis=1).sum()
    for parts, share in shares.items():  # what lies in two parts counts for the first
        own = held[:, named(one, *parts)].any(axis=1) & free
        free &= ~own
        assert own.sum() / total == pytest.approx(share, abs=0.04), parts


@pytest.mark.parametrize(("sizes", "girth_m"), [(MAN, 0.5744), (WOMAN, 0.5611)])
def test_a_head_is_nearly_as_far_round_as_surveyed(sizes: Body, girth_m: float) -> None:
    """Head circumference of ANSUR II, to 5 %: skulls are squarer than an ellipse (Ramanujan)."""
    one = solids(posed("standing", sizes))
    a, b = one.radius_m[one.part.index("head"), :2]
    around = math.pi * (3 * (a + b) - math.sqrt((3 * a + b) * (a + 3 * b)))
    assert around == pytest.approx(girth_m, rel=0.05)
    assert around < girth_m


@given(ages, sexes, st.floats(-90, 90), st.floats(-40, 40))
@settings(max_examples=40)
def test_a_head_reaches_from_chin_to_crown_and_has_its_breadth(
    age_years: float, sex: str, turn_deg: float, tip_deg: float
) -> None:
    """Along the head's own axes, however it is turned and tipped."""
    one = posed("standing", body(age_years, sex), head_turn_deg=turn_deg, chin_up_deg=tip_deg)
    head, face = solids(one), one.face
    low, high = (e[0] for e in extent_m(head, face.up))
    assert head.part[0] == "head"
    assert low == pytest.approx(face.chin_m @ face.up)
    assert high == pytest.approx(face.crown_m @ face.up)
    assert not holds_points(head, face.crown_m + 1e-6 * face.up)[0, 0]
    assert holds_points(head, face.crown_m - 1e-6 * face.up)[0, 0]
    low, high = (e[0] for e in extent_m(head, np.cross(face.up, face.facing)))
    assert high - low == pytest.approx(one.head_breadth_m)


@pytest.mark.parametrize("posture", LEGS)
@given(age_years=ages, sex=sexes)
@settings(max_examples=12)
def test_every_posture_at_every_age_gives_a_whole_body(
    posture: str, age_years: float, sex: str
) -> None:
    """Finite, none without thickness, axes square; the parts in their order."""
    one = solids(posed(posture, body(age_years, sex)))
    assert list(one.part) == PARTS
    assert all(np.isfinite(a).all() for a in (one.centre_m, one.axes, one.radius_m, one.straight))
    assert (one.radius_m > 0.005).all()
    assert (one.straight >= 0).all()
    assert np.allclose(one.axes @ one.axes.transpose(0, 2, 1), np.eye(3), atol=1e-9)
    assert np.allclose(np.linalg.det(one.axes), 1)


@pytest.mark.parametrize("posture", ALONE)
@given(age_years=ages, sex=sexes)
@settings(max_examples=8)
def test_left_and_right_are_mirrored(posture: str, age_years: float, sex: str) -> None:
    """A point and its mirror image are held alike, by a body's pair if it has one."""
    one = solids(posed(posture, body(age_years, sex)))
    pairs = [*range(5), 9, 10, 11, 12, 5, 6, 7, 8]
    points = np.random.default_rng(4).uniform([-0.6, -0.8, 0], [0.6, 0.8, 1.9], (3000, 3))
    mirrored = holds_points(one, points * [-1, 1, 1])[:, pairs]
    assert (holds_points(one, points) == mirrored).all()


@pytest.mark.parametrize("posture", ["standing", "box", "stool", "chair", "wheelchair"])
@given(age_years=ages, sex=sexes)
@settings(max_examples=12)
def test_nobody_sinks_into_the_floor(posture: str, age_years: float, sex: str) -> None:
    """By no more than 2 cm, and whoever stands touches it."""
    low, _ = extent_m(solids(posed(posture, body(age_years, sex))), np.array([0.0, 0.0, 1.0]))
    assert low.min() > -0.02
    if posture == "standing":
        assert low.min() == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("posture", ["floor", "kneeling", "on heels"])
@pytest.mark.parametrize("sizes", [MAN, WOMAN, body(6, "male"), body(1.5, "female")])
def test_nobody_on_the_floor_sinks_in_deep(posture: str, sizes: Body) -> None:
    """Thighs have one radius, so a knee may go in by as much as a thigh is thicker: 4 cm."""
    low, _ = extent_m(solids(posed(posture, sizes)), np.array([0.0, 0.0, 1.0]))
    assert low.min() > -0.04


@given(ages, sexes, st.sampled_from(ALONE), st.floats(-180, 180))
@settings(max_examples=40)
def test_shoulders_are_as_broad_as_measured(
    age_years: float, sex: str, posture: str, facing_deg: float
) -> None:
    """Over the upper arms, whichever way someone faces: to 2 % (here exactly)."""
    sizes = body(age_years, sex)
    one = posed(posture, sizes, facing_deg=facing_deg)
    parts = solids(one)
    across = one.shoulders_m[0] - one.shoulders_m[1]
    low, high = extent_m(parts, across / np.linalg.norm(across))
    arms = named(parts, "upper arm", "shoulders")
    assert high[arms].max() - low[arms].min() == pytest.approx(sizes.shoulder_breadth_m, rel=0.02)


@pytest.mark.parametrize("posture", LEGS)
@pytest.mark.parametrize("sizes", [MAN, WOMAN, body(6, "male"), body(1.5, "female"), body(0)])
def test_bodies_hang_together(posture: str, sizes: Body) -> None:
    """Each part begins inside the one it grows from: no gap at neck, shoulder, waist or knee."""
    one = solids(posed(posture, sizes))
    ends = one.radius_m[:, 2:] * one.straight[:, None] * one.axes[:, 2]
    first, last = one.centre_m - ends, one.centre_m + ends
    held = holds_points(one, np.concatenate([first, last, one.centre_m]))
    k, n = {part: i for i, part in enumerate(PARTS[:5])}, len(one)
    assert held[n + k["neck"], k["head"]]
    assert held[k["neck"], k["chest"]]
    assert held[n + k["pelvis"], k["chest"]]
    assert held[2 * n + k["shoulders"], k["chest"]]
    for upper, lower in ((5, 6), (7, 8), (9, 10), (11, 12)):
        assert held[n + upper, lower] or held[lower, upper]
    for side in (5, 9):
        assert held[side, k["shoulders"]]
        assert held[side + 2, k["pelvis"]]


@pytest.mark.parametrize("posture", ["chair", "floor", "on heels"])
@pytest.mark.parametrize("sizes", [MAN, WOMAN, body(8, "male")])
def test_hands_rest_on_the_thighs_of_whoever_sits(posture: str, sizes: Body) -> None:
    """The fist touches the thigh to a millimetre: distance between axes is the sum of radii."""
    one = solids(posed(posture, sizes))
    for arm, leg in ((6, 7), (10, 11)):
        ends = one.radius_m[:, 2:] * one.straight[:, None] * one.axes[:, 2]
        hand = one.centre_m[arm] + ends[arm]
        half_m = np.linalg.norm(ends[leg])
        along = np.clip((hand - one.centre_m[leg]) @ one.axes[leg, 2], -half_m, half_m)
        gap = np.linalg.norm(hand - one.centre_m[leg] - along * one.axes[leg, 2])
        assert gap == pytest.approx(one.radius_m[arm, 0] + one.radius_m[leg, 0], abs=1e-3)


@pytest.mark.parametrize("sizes", [MAN, WOMAN, body(8, "male"), body(1.5, "female")])
@pytest.mark.parametrize("posture", ["standing", "kneeling"])
def test_hanging_hands_are_clear_of_hips_and_thighs(posture: str, sizes: Body) -> None:
    """The outside half of a hand is in no other part."""
    one = solids(posed(posture, sizes))
    for arm in (6, 10):
        hand = one.centre_m[arm] + one.radius_m[arm, 2] * one.straight[arm] * one.axes[arm, 2]
        held = holds_points(one, hand)[0]
        assert [one.part[i] for i in np.flatnonzero(held)] == ["forearm"]


def landmarks(one: Figure) -> tuple[np.ndarray, np.ndarray]:
    """Return the points of a face that light is asked for, and the way each faces."""
    face = one.face
    points = [face.eye_left_m, face.eye_right_m, face.nose_m, face.chin_m, face.crown_m]
    points += [face.cheek_left_m, face.cheek_right_m]
    normals = [face.facing] * 4 + [face.up, face.cheek_normal("left"), face.cheek_normal("right")]
    return np.stack(points), np.stack(normals)


@given(ages, sexes, st.floats(-90, 90), st.floats(-40, 40))
@settings(max_examples=40)
def test_landmarks_of_a_face_come_clear_of_the_own_head_and_neck(
    age_years: float, sex: str, turn_deg: float, tip_deg: float
) -> None:
    """By less than 12 mm: they lie on the skin, and the ellipsoid is near it."""
    one = posed("standing", body(age_years, sex), head_turn_deg=turn_deg, chin_up_deg=tip_deg)
    own, (points, normals) = solids(one).named("head", "neck"), landmarks(one)
    moved, clear = lifted(points, normals, own)
    assert clear.all()
    assert not holds_points(own, moved).any()
    assert np.linalg.norm(moved - points, axis=1).max() < 0.012


@pytest.mark.parametrize("posture", ALONE)
@given(ages, sexes, st.floats(-60, 60), st.floats(-30, 30))
@settings(max_examples=10)
def test_no_face_is_buried_in_the_own_body(
    posture: str, age_years: float, sex: str, turn_deg: float, tip_deg: float
) -> None:
    """As far as a head turns and tips without the shoulder, even a newborn's with no neck."""
    one = posed(posture, body(age_years, sex), head_turn_deg=turn_deg, chin_up_deg=tip_deg)
    points, _ = landmarks(one)
    held = holds_points(solids(one), points).any(axis=0)
    assert {part for part, any_held in zip(PARTS, held, strict=True) if any_held} <= {"head"}


@pytest.mark.parametrize("holder", [MAN, WOMAN, body(16, "female")])
@pytest.mark.parametrize("child", [body(0.5), body(1.5), body(3), body(5)])
@pytest.mark.parametrize(("posture", "of"), [("hip", "standing"), ("lap", "chair")])
def test_neither_face_of_holder_and_child_is_buried_in_the_other(
    posture: str, of: str, child: Body, holder: Body
) -> None:
    """A child on a hip or lap overlaps its holder's arm, never a face."""
    carrier = posed(of, holder)
    held = figure("child", child, posture, holder=carrier)
    for one, other in ((carrier, held), (held, carrier)):
        assert not holds_points(solids(one), landmarks(other)[0]).any()
