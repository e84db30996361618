from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light import tables
from kinlight.light.booms import ceiling_clearance, counterweight
from kinlight.light.stands import (
    PUSH_N,
    SAFETY_FACTOR,
    STANDARD_GRAVITY,
    Load,
    Stand,
    steadiness,
    tip_distance_m,
)

LIGHT_STAND = Stand(legs=3, radius_m=0.5, mass_kg=5)
BOOMED = [Load(3, 1.2)]
MASSES, OFFSETS = st.floats(0.1, 20), st.floats(-2, 2)
STANDS = st.builds(
    Stand, legs=st.integers(3, 6), radius_m=st.floats(0.2, 1), mass_kg=st.floats(1, 20)
)
LOADS = st.lists(st.builds(Load, mass_kg=MASSES, offset_m=OFFSETS), max_size=4)


def _moments(stand, loads, first_leg_deg):
    """Return each mass's moment about each line between two feet, from the feet's places [N m].

    The boom points along x; the masses are the stand's own and the loads', shape (lines, masses).
    """
    angle = np.radians(first_leg_deg) + 2 * np.pi * np.arange(stand.legs) / stand.legs
    feet = stand.radius_m * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    along = np.roll(feet, -1, axis=0) - feet
    inward = np.stack([-along[:, 1], along[:, 0]], axis=1)
    inward /= np.linalg.norm(inward, axis=1)[:, None]
    places = np.array([[0.0, 0.0], *([x.offset_m, 0.0] for x in loads)])
    mass = np.array([stand.mass_kg, *(x.mass_kg for x in loads)])
    inside = ((places[None] - feet[:, None]) * inward[:, None]).sum(axis=2)
    return STANDARD_GRAVITY * mass * inside


def _holds(moments, push_moment, factor):
    """Return whether what holds is `factor` times what tips, over every line."""
    tips = np.maximum(-moments, 0).sum(axis=1) + push_moment
    return bool(np.all(np.maximum(moments, 0).sum(axis=1) >= factor * tips - 1e-6))


@pytest.mark.parametrize(("legs", "distance_m", "digits"), [(3, 0.25, 1e-12), (4, 0.3536, 5e-5)])
def test_a_stand_tips_over_the_line_between_two_feet(legs, distance_m, digits):
    """Feet .5 m from the column, computed check values: R cos(pi / n)."""
    assert tip_distance_m(legs=legs, radius_m=0.5) == pytest.approx(distance_m, abs=digits)


def test_the_push_that_tips_a_loaded_stand():
    """7 kg on three legs of .5 m fall to 8.6 N at 2 m; a bag of 10 kg at the column makes it 20.8.

    Computed check values, to the digits printed.
    """
    bare = steadiness(Stand(3, 0.5, 5), [Load(2)], push_height_m=2)
    assert bare.any_way.tips_at_n == pytest.approx(8.6, abs=0.1)
    bagged = steadiness(Stand(3, 0.5, 5), [Load(2), Load(10)], push_height_m=2)
    assert bagged.any_way.tips_at_n == pytest.approx(20.8, abs=0.05)


def test_a_counterweight_balances_moments():
    """3 kg at 1.2 m needs 6.0 kg at .6 m: check value by moment balance.

    With a tube of 2 kg whose middle is .3 m out on the long arm it is 7.0; with a factor of 1.5 on
    both, 10.5: computed by hand.
    """
    arms = {"load_kg": 3, "arm_m": 1.2, "counter_arm_m": 0.6}
    found = counterweight(**arms)
    assert found.mass_kg == pytest.approx(6.0)
    assert found.text() == (
        "Hang 6.0 kg on the short arm, 0.6 m from the pivot, while someone holds the boom."
    )
    assert counterweight(**arms, boom_kg=2, boom_offset_m=0.3).mass_kg == pytest.approx(7.0)
    heavy = counterweight(**arms, boom_kg=2, boom_offset_m=0.3, factor=1.5)
    assert heavy.mass_kg == pytest.approx(10.5)


@given(factor=st.floats(1, 3), load_kg=st.floats(0, 5), boom_kg=st.floats(0.1, 9))
def test_a_factor_is_one_of_moments_whatever_pulls_the_long_arm_down(factor, load_kg, boom_kg):
    """The counterweight's moment over that of load and tube is the factor: a law of levers."""
    arms = {"arm_m": 1.2, "counter_arm_m": 0.6, "boom_offset_m": 0.4}
    found = counterweight(load_kg=load_kg, boom_kg=boom_kg, factor=factor, **arms)
    pulls_kg_m = 1.2 * load_kg + 0.4 * boom_kg
    assert found.mass_kg * 0.6 / pulls_kg_m == pytest.approx(factor, rel=1e-9)


def test_a_tube_may_outweigh_its_load():
    """Then nothing is to be hung."""
    found = counterweight(load_kg=0.5, arm_m=0.5, counter_arm_m=0.5, boom_kg=4, boom_offset_m=-0.3)
    assert found.mass_kg == 0
    assert "already outweighs" in found.text()


def test_bags_for_a_head_on_a_boom():
    """3 kg at 1.2 m on a 5 kg stand, three legs of .5 m, factor 1.5, 20 N at 2 m; by hand.

    Legs anyhow: 3 x .95 = 2.85 kg m tip and 5 x .25 = 1.25 hold, so (1.5 x 2.85 - 1.25) / .25 =
    12.1 kg. A leg under the load: the lines lie .25 / cos 60 away along the boom, 3 x .35 = 1.05
    tip: 1.3 kg. The push adds 1.5 x 40 / 9.80665 / .25 = 24.473 kg to both.
    """
    found = steadiness(LIGHT_STAND, BOOMED, push_height_m=2, push_n=20, factor=1.5)
    assert found.any_way.hanging_bag_kg == pytest.approx(12.1)
    assert found.leg_under.hanging_bag_kg == pytest.approx(1.3)
    assert found.any_way.pushed_bag_kg == pytest.approx(36.573, abs=5e-4)
    assert found.leg_under.pushed_bag_kg == pytest.approx(25.773, abs=5e-4)
    assert found.any_way.restoring_n_m == pytest.approx(-1.6 * 9.80665)
    assert found.leg_under.restoring_n_m == pytest.approx(0.2 * 9.80665)
    assert found.any_way.tips_at_n == 0
    assert found.text() == (
        "It can fall by itself; to hold 1.5 times a pull of 2 kg at 2 m it needs 37 kg of bags "
        "at the foot of its column, or 26 kg of bags if one leg points under the load."
    )


def test_the_sentence_of_a_steady_stand():
    """What tips it as a weight, rounded down, and whether it needs a bag.

    By hand: 30 x .25 / 2 = 3.75 kg, 7 x .25 / 2 = .875 kg; 20 N are 2.04 kg.
    """
    heavy = steadiness(Stand(3, 0.5, 30), [], push_height_m=2, push_n=20, factor=1.5)
    assert heavy.text() == (
        "A pull of 3.7 kg at 2 m can tip it; "
        "it needs no bag to hold 1.5 times a pull of 2 kg at 2 m."
    )
    plain = steadiness(Stand(3, 0.5, 7), [], push_height_m=2, push_n=20, factor=1.5)
    assert plain.text() == (
        "A pull of 0.8 kg at 2 m can tip it; to hold 1.5 times a pull of 2 kg at 2 m it needs "
        "18 kg of bags at the foot of its column."
    )


@given(stand=STANDS, loads=LOADS, turns_deg=st.lists(st.floats(0, 360), min_size=5, max_size=5))
@settings(max_examples=80)
def test_whatever_way_the_legs_point_it_holds_as_stated(stand, loads, turns_deg):
    """Against moments from the feet's own places: never less, and that little in the worst way."""
    found = steadiness(stand, loads, push_height_m=1.5)
    worst_deg = [180 / stand.legs, 180 / stand.legs + 180]
    seen = [_moments(stand, loads, d).sum(axis=1).min() for d in [*turns_deg, *worst_deg]]
    assert min(seen) == pytest.approx(found.any_way.restoring_n_m, abs=1e-6)
    under = _moments(stand, loads, 0).sum(axis=1).min()
    assert under == pytest.approx(found.leg_under.restoring_n_m, abs=1e-6)
    assert found.leg_under.restoring_n_m >= found.any_way.restoring_n_m - 1e-6


@given(stand=STANDS, loads=LOADS, turn_deg=st.floats(0, 360), factor=st.floats(1, 3))
@settings(max_examples=80)
def test_the_bag_is_enough_whatever_way_the_legs_point_and_no_heavier(
    stand, loads, turn_deg, factor
):
    """By moments from the feet's own places; with a twentieth less it fails in the worst way."""
    found = steadiness(stand, loads, push_height_m=1.5, push_n=15, factor=factor)
    worst_deg = [180 / stand.legs, 180 / stand.legs + 180]
    for bag_kg, push_moment in (
        (found.any_way.hanging_bag_kg, 0.0),
        (found.any_way.pushed_bag_kg, 15 * 1.5),
    ):
        for way_deg in (turn_deg, *worst_deg):
            assert _holds(_moments(stand, [*loads, Load(bag_kg)], way_deg), push_moment, factor)
        if bag_kg > 0.01:
            less = [*loads, Load(0.95 * bag_kg)]
            assert not all(_holds(_moments(stand, less, d), push_moment, factor) for d in worst_deg)
    bag = Load(found.leg_under.pushed_bag_kg)
    assert _holds(_moments(stand, [*loads, bag], 0), 15 * 1.5, factor)


@given(stand=STANDS, loads=LOADS)
def test_a_leg_under_the_load_never_makes_it_worse(stand, loads):
    """Nor does it change anything where nothing hangs out."""
    found = steadiness(stand, loads, push_height_m=2)
    assert found.leg_under.pushed_bag_kg <= found.any_way.pushed_bag_kg + 1e-9
    assert found.leg_under.hanging_bag_kg <= found.any_way.hanging_bag_kg + 1e-9
    upright = steadiness(stand, [Load(x.mass_kg) for x in loads], push_height_m=2)
    assert upright.leg_under.pushed_bag_kg == pytest.approx(upright.any_way.pushed_bag_kg)
    assert upright.any_way.hanging_bag_kg == 0


def test_the_defaults_say_whose_choice_they_are():
    """No source was found for either; the factor is at least 1."""
    for name, value in (("stand_safety_factor", SAFETY_FACTOR), ("stand_push_n", PUSH_N)):
        figure = tables.constant(name)
        assert (figure.value, figure.status) == (value, "common practice")
        assert "no source" in figure.source
    assert SAFETY_FACTOR > 1
    found = steadiness(LIGHT_STAND, BOOMED, push_height_m=2)
    assert (found.push_n, found.factor) == (PUSH_N, SAFETY_FACTOR)


@pytest.mark.parametrize(
    ("tilt_deg", "top_m"),
    [(0, 2.45), (45, 2 + 0.6 * math.sqrt(0.5)), (90, 2.6), (-45, 2 + 0.45 * math.sqrt(0.5))],
)
def test_the_top_of_a_tilted_box(tilt_deg, top_m):
    """A .9 m front at 2 m with a lamp reaching .6 m back: computed by hand.

    Level, its own edge is highest; pointing down, its lamp; pointing up, its edge.
    """
    found = ceiling_clearance(
        centre_height_m=2, front_height_m=0.9, tilt_deg=tilt_deg, ceiling_m=2.5, depth_m=0.6
    )
    assert found.top_m == pytest.approx(top_m)
    assert found.clearance_m == pytest.approx(2.5 - top_m)


@given(
    height_m=st.floats(1, 3),
    front_m=st.floats(0.1, 2),
    tilt_deg=st.floats(-90, 90),
    depth_m=st.floats(0, 1),
    back_m=st.floats(0, 0.5),
)
def test_the_top_is_the_highest_of_four_corners(height_m, front_m, tilt_deg, depth_m, back_m):
    """Turned as points in the upright plane; the front points to -x when level."""
    found = ceiling_clearance(
        centre_height_m=height_m,
        front_height_m=front_m,
        tilt_deg=tilt_deg,
        ceiling_m=3,
        depth_m=depth_m,
        back_height_m=back_m,
    )
    corners = np.array(
        [[0, front_m / 2], [0, -front_m / 2], [depth_m, back_m / 2], [depth_m, -back_m / 2]]
    )
    t = math.radians(tilt_deg)
    upward = np.array([math.sin(t), math.cos(t)])
    assert found.top_m == pytest.approx(height_m + (corners @ upward).max(), abs=1e-12)


def test_what_fits_and_what_does_not_is_said_plainly():
    """One sentence each."""
    box = {"centre_height_m": 2.2, "front_height_m": 0.9, "tilt_deg": 0}
    assert ceiling_clearance(**box, ceiling_m=3).text() == (
        "Its top is at 2.65 m, 0.35 m under the ceiling."
    )
    assert ceiling_clearance(**box, ceiling_m=2.4).text() == (
        "Its top is at 2.65 m, 0.25 m too high for the ceiling: lower it."
    )


@pytest.mark.parametrize(
    ("call", "problem"),
    [
        (lambda: tip_distance_m(legs=2, radius_m=0.5), "^2 legs cannot carry a stand"),
        (lambda: tip_distance_m(legs=3, radius_m=0), "^0 m cannot be the reach of a stand's legs"),
        (lambda: steadiness(LIGHT_STAND, [Load(-1)], push_height_m=2), "^-1 kg cannot be a mass"),
        (lambda: steadiness(LIGHT_STAND, [Load(1, math.nan)], push_height_m=2), "has no place"),
        (lambda: steadiness(LIGHT_STAND, [], push_height_m=0), "height of a push"),
        (lambda: steadiness(LIGHT_STAND, [], push_height_m=2, push_n=-1), "cannot be a push"),
        (
            lambda: steadiness(LIGHT_STAND, [], push_height_m=2, factor=0.9),
            "^0.9 cannot be a safety factor; allowed: 1 or more$",
        ),
        (lambda: counterweight(load_kg=1, arm_m=0, counter_arm_m=1), "arm of a boom"),
        (
            lambda: ceiling_clearance(
                centre_height_m=2, front_height_m=1, tilt_deg=100, ceiling_m=3
            ),
            "^100 deg cannot be the tilt of a lamp; allowed: -90 to 90 deg$",
        ),
    ],
)
def test_stands_and_lamps_that_cannot_be_are_refused(call, problem):
    """One plain sentence each."""
    with pytest.raises(RangeError, match=problem):
        call()
