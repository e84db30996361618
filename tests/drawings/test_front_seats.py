"""Seats stand under those who sit, in their true height and size."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_plans import lines_of, root_of

from kinlight.drawings.front_seats import seat
from kinlight.geometry.vectors import Array
from kinlight.sitting.gear import Seat
from kinlight.sitting.pictures import Spot

SEATS = (Seat(id="low", height_m=0.3, width_m=0.5, depth_m=0.3),)


def _straight_on(points_m: Array) -> Array:
    """Return the room seen from the front without perspective, 100 mm a metre, up is up."""
    return points_m[:, [0, 2]] * 100


def _span(svg: str) -> tuple[float, float, float, float]:
    points = np.array([p for line in lines_of(root_of(f"<svg>{svg}</svg>")) for p in line])
    (left, low), (right, high) = points.min(axis=0), points.max(axis=0)
    return float(left), float(low), float(right), float(high)


def test_a_stool_reaches_from_the_floor_to_the_seat_in_its_own_width() -> None:
    """50 cm wide about 20 cm right of the mark, 30 cm high: by hand."""
    spot = Spot(person="a", posture="stool", seat_m=0.3, x_m=0.2)
    assert _span(seat(spot, SEATS, _straight_on)) == pytest.approx((-5, 0, 45, 30))


def test_a_seat_nobody_stated_is_forty_centimetres_wide() -> None:
    """The usual stool."""
    left, _, right, high = _span(seat(Spot(person="a", posture="stool", seat_m=0.6), SEATS,
                                      _straight_on))  # fmt: skip
    assert (right - left, high) == pytest.approx((40, 60))


def test_a_turned_seat_is_drawn_turned() -> None:
    """By a quarter turn, its depth of 30 cm is what the camera sees."""
    spot = Spot(person="a", posture="stool", seat_m=0.3, turned_deg=90)
    left, _, right, _ = _span(seat(spot, SEATS, _straight_on))
    assert right - left == pytest.approx(30, abs=0.02)


def test_a_wheelchair_has_wheels_on_the_floor_and_a_back_over_the_seat() -> None:
    """Wider than its seat, higher than it, down to the floor."""
    spot = Spot(person="a", posture="wheelchair", seat_m=0.5)
    left, low, right, high = _span(seat(spot, (), _straight_on))
    assert low == pytest.approx(0, abs=0.2)
    assert right - left > 46
    assert high > 60


def test_someone_who_stands_on_a_box_has_it_under_the_feet() -> None:
    """A block from the floor up to where the feet are; on the floor there is none."""
    spot = Spot(person="a", posture="box", seat_m=0.2)
    assert _span(seat(spot, (), _straight_on))[1::2] == pytest.approx((0, 20))
    assert seat(Spot(person="a"), SEATS, _straight_on) == ""
    assert seat(Spot(person="a", posture="lap", held_by="b", seat_m=0.3), (), _straight_on) == ""
