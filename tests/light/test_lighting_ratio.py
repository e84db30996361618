from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.ratio import additive_ratio, key_over_fill_stops, sides_apart_stops


@pytest.mark.parametrize(("ratio", "stops"), [(2, 0), (3, 1), (4, 1.585), (5, 2), (9, 3)])
def test_key_over_fill_for_a_ratio(ratio, stops):
    """log2(R - 1): check values, three decimals."""
    assert key_over_fill_stops(ratio) == pytest.approx(stops, abs=0.001)
    assert additive_ratio(stops) == pytest.approx(ratio, rel=0.001)


def test_three_to_one_reads_a_stop_and_a_half_apart():
    """log2(3) = 1.585: check value."""
    assert sides_apart_stops(3) == pytest.approx(1.585, abs=0.001)


@given(st.floats(-6, 10))
def test_stops_and_ratio_are_inverse(stops):
    """There and back; the sides are farther apart than the lamps, by a stop at most from 2:1 up."""
    ratio = additive_ratio(stops)
    assert key_over_fill_stops(ratio) == pytest.approx(stops, abs=1e-9)
    assert stops < sides_apart_stops(ratio)
    assert stops < 0 or sides_apart_stops(ratio) <= stops + 1


@pytest.mark.parametrize("ratio", [1, 0.5, -2, math.nan, math.inf])
def test_ratios_no_key_can_give_are_refused(ratio):
    """With any key the lit side is the brighter."""
    with pytest.raises(RangeError, match=r"is no ratio a key can give; allowed: more than 1:1"):
        key_over_fill_stops(ratio)


@pytest.mark.parametrize("ratio", [0, -1, math.nan])
def test_a_ratio_is_above_zero(ratio):
    """Half-lit the other way is still a ratio; nothing is not."""
    with pytest.raises(RangeError, match=":1 is no lighting ratio"):
        sides_apart_stops(ratio)
