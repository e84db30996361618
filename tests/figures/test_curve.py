"""The curve through growth tables: through its points, monotone, no overshoot."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.figures.curve import Curve

POINTS = st.lists(st.floats(0.01, 100), min_size=2, max_size=12).map(
    lambda values: [(float(age), value) for age, value in enumerate(values)]
)


@given(POINTS)
def test_the_curve_passes_through_every_point(points):
    """A table's own ages give the table's own values."""
    curve = Curve.through(points)
    for age, value in points:
        assert curve.at(age) == pytest.approx(value, rel=1e-9)


@given(POINTS, st.floats(0, 1))
def test_between_two_points_it_stays_between_them(points, part):
    """No overshoot: each piece lies between its ends."""
    curve = Curve.through(points)
    for (age, low), (_, high) in pairwise(points):
        low, high = sorted((low, high))
        assert low * (1 - 1e-9) <= curve.at(age + part) <= high * (1 + 1e-9)


@given(st.floats(0.1, 10), st.floats(-2, 2), st.floats(0, 20))
def test_a_power_of_the_stretched_age_is_followed_exactly(scale, power, age):
    """Straight in the logarithms is straight on the curve: a (age + 0.15)^p by hand."""

    def law(years):
        return scale * math.exp(power * math.log(years + 0.15))

    curve = Curve.through([(years, law(years)) for years in (0, 0.5, 3, 7, 20)])
    assert curve.at(age) == pytest.approx(law(age), rel=1e-9)


def test_before_and_after_the_table_its_ends_hold():
    """Nothing is extrapolated."""
    curve = Curve.through([(1.0, 2.0), (3.0, 5.0)])
    assert curve.at(0.0) == pytest.approx(2.0)
    assert curve.at(80.0) == pytest.approx(5.0)


def test_a_turn_of_the_values_is_a_level_place():
    """The slope is zero where the points go up and then down, so the top is a point."""
    curve = Curve.through([(1.0, 2.0), (3.0, 5.0), (6.0, 4.0)])
    assert curve.at(2.9) < 5.0 > curve.at(3.1)
