"""Where a light stands from the nose line, and what the pattern is called."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.geometry.vectors import turned
from kinlight.light.pattern import head_axes, light_angles, lowest_deg, pattern_name, raise_m

NOSE, FACING, UP = np.array([0.2, 1.0, 1.2]), np.array([0.0, -1, 0]), np.array([0.0, 0, 1])
AWAY = st.tuples(*[st.floats(-3, 3)] * 3).filter(lambda v: math.hypot(*v) > 0.1)
AZIMUTH, ELEVATION = st.floats(-180, 180), st.floats(-90, 90)


def _from_nose(away):
    """Return a place so far from the tip of the nose."""
    return NOSE + np.array(away)


def _rotation(axis, angle):
    """Return a rotation matrix by Rodrigues's formula, textbook."""
    x, y, z = np.array(axis) / math.hypot(*axis)
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * k + (1 - math.cos(angle)) * k @ k


def test_angles_count_from_the_nose_line():
    """A metre ahead, one to the person's left and one up: 45 and atan(1/sqrt 2); by hand.

    Whoever faces the camera (-y) has their left on the camera's right (+x).
    """
    azimuth, elevation = light_angles(NOSE, FACING, UP, _from_nose([1, -1, 1]))
    assert azimuth == pytest.approx(45, abs=1e-9)
    assert elevation == pytest.approx(math.degrees(math.atan(1 / math.sqrt(2))), abs=1e-9)
    assert light_angles(NOSE, FACING, UP, _from_nose([-1, 0, 0])) == pytest.approx((-90, 0))
    assert light_angles(NOSE, FACING, UP, _from_nose([0, 0, 2]))[1] == pytest.approx(90)


def test_a_lifted_chin_lowers_the_light():
    """The head tipped back by 20 degrees, light straight ahead in the room: 20 below; by hand."""
    tip = math.radians(20)
    facing = np.array([0, -math.cos(tip), math.sin(tip)])
    up = np.array([0, math.sin(tip), math.cos(tip)])
    assert light_angles(NOSE, facing, up, _from_nose([0, -2, 0])) == pytest.approx((0, -20))
    assert light_angles(NOSE, facing, UP, _from_nose([0, -2, 0])) == pytest.approx((0, -20))


def test_how_much_higher_a_light_must_stand_by_hand():
    """Two metres off and level with the nose, 25 degrees are 2 tan 25 = 0.9326 m higher."""
    level = _from_nose([-1.2, -1.6, 0])
    risen = raise_m(NOSE, FACING, UP, level, elevation_deg=25)
    assert risen == pytest.approx(2 * math.tan(math.radians(25)), abs=1e-9)
    low = _from_nose([-1.2, -1.6, 0.4])
    assert raise_m(NOSE, FACING, UP, low, elevation_deg=25) == pytest.approx(risen - 0.4, abs=1e-9)
    assert raise_m(NOSE, FACING, UP, _from_nose([0, -1, 1]), elevation_deg=25) == 0


def test_a_head_tipped_far_back_never_gets_the_light_over_it():
    """Tipped back by 70 degrees, straight up in the room is 20 over its own level; by hand."""
    tip = math.radians(70)
    facing, up = (0, -math.cos(tip), math.sin(tip)), (0, math.sin(tip), math.cos(tip))
    away = _from_nose([0, -2, 0.3])
    assert raise_m(NOSE, facing, up, away, elevation_deg=25) == math.inf


@given(away=AWAY, tip_deg=st.floats(-40, 40), wanted_deg=st.floats(0, 45))
@settings(max_examples=60)
def test_a_light_risen_so_far_stands_as_high_as_wanted(away, tip_deg, wanted_deg):
    """Whatever the head's tilt, for a light that is not straight under or over the nose."""
    assume(math.hypot(away[0], away[1]) > 0.1)
    facing = np.array([0, -math.cos(math.radians(tip_deg)), math.sin(math.radians(tip_deg))])
    up = np.array([0, math.sin(math.radians(tip_deg)), math.cos(math.radians(tip_deg))])
    risen = raise_m(NOSE, facing, up, _from_nose(away), elevation_deg=wanted_deg)
    if 0 < risen < 1e3:
        at = np.array(away) + np.array([0, 0, risen])
        found = light_angles(NOSE, facing, up, _from_nose(at))[1]
        assert found == pytest.approx(wanted_deg, abs=1e-4)
        assert light_angles(NOSE, facing, up, _from_nose(away))[1] < wanted_deg


@pytest.mark.parametrize(
    ("azimuth_deg", "lowest"), [(0, 25), (35, 25), (-47, 25), (55, 35), (90, 0), (170, None)]
)
def test_where_a_pattern_is_no_longer_low(azimuth_deg, lowest):
    """Loop from 25, a tutorial's range; the others' bounds are ours; none from behind."""
    assert lowest_deg(azimuth_deg) == lowest
    if lowest:
        assert "low" not in pattern_name(azimuth_deg, lowest)
        assert pattern_name(azimuth_deg, lowest - 1) in ("flat", *_low_names(azimuth_deg, lowest))


def _low_names(azimuth_deg, lowest):
    """Return the pattern's name there with ", but low" after it."""
    return [f"{pattern_name(azimuth_deg, lowest)}, but low"]


@given(away=AWAY, turn_deg=st.floats(-170, 170))
@settings(max_examples=50)
def test_the_pattern_turns_with_the_face(away, turn_deg):
    """Turning head and light together changes nothing; the head alone shifts the azimuth."""
    before = light_angles(NOSE, FACING, UP, NOSE + away)
    facing = turned(FACING, turn_deg)
    both = light_angles(NOSE, facing, UP, NOSE + turned(away, turn_deg))
    assert both[1] == pytest.approx(before[1], abs=1e-6)
    if abs(before[1]) < 80:
        alone = light_angles(NOSE, facing, UP, NOSE + away)
        shift = (before[0] - alone[0] - turn_deg + 180) % 360 - 180
        assert shift == pytest.approx(0, abs=1e-6)
        assert (both[0] - before[0] + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)


@given(away=AWAY, axis=AWAY, angle=st.floats(0, 6))
@settings(max_examples=50)
def test_nothing_depends_on_how_the_room_is_turned(away, axis, angle):
    """Head and light rotated about any axis: the axes go along, the direction stays the same."""
    r = _rotation(axis, angle)
    there = head_axes(r @ FACING, r @ UP) @ (r @ np.array(away))
    assert there == pytest.approx(head_axes(FACING, UP) @ np.array(away), abs=1e-9)


@pytest.mark.parametrize(
    ("azimuth", "elevation", "name"),
    [
        # Portrait lighting tutorials, seen: loop 20-50 / 25-60 (also 30-45), Rembrandt 45-60 / 45,
        # split about 90. Butterfly 0 / 25-60 and split at 0-20: common practice, no source.
        (0, 25, "butterfly"),
        (0, 60, "butterfly"),
        (20, 25, "loop"),
        (30, 45, "loop"),
        (44, 60, "loop"),
        (45, 45, "between loop and Rembrandt"),
        (50, 45, "between loop and Rembrandt"),
        (51, 45, "Rembrandt"),
        (60, 45, "Rembrandt"),
        (90, 0, "split"),
        (90, 20, "split"),
        # What lies between and beside them is named by our own rule.
        (15, 40, "between butterfly and loop"),
        (70, 30, "between Rembrandt and split"),
        (5, 10, "flat"),
        (15, 10, "flat"),
        (35, 10, "loop, but low"),
        (55, 70, "Rembrandt, but high"),
        (90, 45, "split, but high"),
        (120, 30, "from behind"),
        (180, 0, "from behind"),
        (30, 85, "from above"),
        (30, -40, "from below"),
    ],
)
def test_directions_have_the_trades_names(azimuth, elevation, name):
    """On either side of the face."""
    assert pattern_name(azimuth, elevation) == name
    assert pattern_name(-azimuth, elevation) == name


@given(azimuth=AZIMUTH, elevation=ELEVATION)
@settings(max_examples=100)
def test_every_direction_has_a_name_and_the_sides_are_alike(azimuth, elevation):
    """Left and right; and a full turn is none."""
    name = pattern_name(azimuth, elevation)
    assert name
    assert name == pattern_name(-azimuth, elevation)
    assert pattern_name(round(azimuth) + 360, elevation) == pattern_name(round(azimuth), elevation)


def test_a_light_in_the_face_is_refused():
    """It has no direction."""
    with pytest.raises(RangeError, match="a light stands in a face"):
        light_angles(NOSE, FACING, UP, NOSE)
