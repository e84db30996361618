from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.figures.skinning import quaternions
from kinlight.figures.turns import (
    about,
    about_x,
    about_y,
    about_z,
    between,
    share_of,
    turn_vector_deg,
    twist_deg,
)
from kinlight.geometry.vectors import unit

_directions = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1)
_angles = st.floats(-179, 179)
LEFT, BACK, UP = np.eye(3)


def test_turns_go_the_way_they_say() -> None:
    """About x forward, about y to the own left, about z to the own left."""
    assert about_x(90) @ UP == pytest.approx(-BACK)
    assert about_y(90) @ UP == pytest.approx(LEFT)
    assert about_z(90) @ -BACK == pytest.approx(LEFT)


@given(axis=_directions, angle=_angles)
def test_a_turn_is_rigid_and_keeps_its_axis(axis: tuple[float, ...], angle: float) -> None:
    """Its inverse is its transpose, it does not mirror, and the axis stays."""
    turn = about(np.array(axis), angle)
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1)
    assert turn @ np.array(axis) == pytest.approx(np.array(axis), abs=1e-12)


@given(axis=_directions, angle=_angles)
def test_a_turn_is_told_by_axis_and_angle(axis: tuple[float, ...], angle: float) -> None:
    """The vector of a turn gives the turn; half of it, twice, gives it too."""
    turn = about(np.array(axis), angle)
    assert turn_vector_deg(turn) == pytest.approx(unit(axis) * angle, abs=1e-5)
    half = share_of(turn, 0.5)
    assert half @ half == pytest.approx(turn, abs=1e-7)


@given(one=_directions, other=_directions)
def test_the_turn_between_directions_takes_one_to_the_other(
    one: tuple[float, ...], other: tuple[float, ...]
) -> None:
    """And leaves what is square to both."""
    turn = between(np.array(one), np.array(other))
    assert turn @ unit(one) == pytest.approx(unit(other), abs=1e-9)


def test_opposite_directions_have_a_turn_between_them() -> None:
    """Half a turn, about some axis square to them."""
    assert between(UP, -UP) @ UP == pytest.approx(-UP, abs=1e-12)
    assert np.linalg.norm(turn_vector_deg(about_x(180))) == pytest.approx(180)


@given(swing=st.floats(-120, 120), twist=_angles)
def test_twist_is_what_is_left_without_the_swing(swing: float, twist: float) -> None:
    """First twisted about the axis, then swung square to it."""
    assert twist_deg(about_x(swing) @ about_z(twist), UP) == pytest.approx(twist, abs=1e-6)


@given(axis=_directions, angle=_angles)
def test_quaternions_hold_the_cosine_and_the_axis(axis: tuple[float, ...], angle: float) -> None:
    """Half the angle's cosine, and the axis times its sine; of either sign."""
    found = quaternions(about(np.array(axis), angle)[None])[0]
    half = np.radians(angle) / 2
    wanted = np.array([np.cos(half), *(np.sin(half) * unit(axis))])
    assert found * np.sign(found @ wanted) == pytest.approx(wanted, abs=1e-9)
