from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.timing import FLASH_GAP_S, fastest_rhythm_s, flash_time_s, recycle_s
from kinlight.quantities.power import PowerScale

SCALE = PowerScale(lowest_stops=5, step_stops=1 / 3)
SETTINGS = st.floats(0, 5)
TIMES = st.floats(0.05, 10)


def test_recycle_time_is_linear_in_energy():
    """1.5 s at full, 0.2 s at 1/32; at half power (16 - 1)/31 of the way up, by hand 0.8290 s."""
    times = [recycle_s(s, full_s=1.5, lowest_s=0.2, scale=SCALE) for s in (0, 1, 5)]
    assert times == pytest.approx([1.5, 0.2 + 1.3 * 15 / 31, 0.2])
    assert times[1] == pytest.approx(0.8290, abs=5e-5)


def test_flash_time_is_geometric_in_stops():
    """1/400 s at full, 1/6400 s at four stops down: half and half again each stop, by hand."""
    scale = PowerScale(lowest_stops=4)
    times = [flash_time_s(s, full_s=1 / 400, lowest_s=1 / 6400, scale=scale) for s in range(5)]
    assert times == pytest.approx([1 / 400, 1 / 800, 1 / 1600, 1 / 3200, 1 / 6400])


@given(below=SETTINGS, full=TIMES, lowest=TIMES)
def test_times_stay_between_the_makers_figures(below, full, lowest):
    """Neither rule leaves the range, whichever way the time runs."""
    for rule in (recycle_s, flash_time_s):
        value = rule(below, full_s=full, lowest_s=lowest, scale=SCALE)
        assert min(full, lowest) * (1 - 1e-12) <= value <= max(full, lowest) * (1 + 1e-12)


@given(first=SETTINGS, second=SETTINGS, lowest=st.floats(0.1, 1))
def test_equal_energies_take_equal_times(first, second, lowest):
    """Recycling is a straight line in energy: differences are in proportion."""
    full = 3.0
    a, b = (recycle_s(s, full_s=full, lowest_s=lowest, scale=SCALE) for s in (first, second))
    slope = (full - lowest) / (1 - 1 / 32)
    assert a - b == pytest.approx(slope * (2**-first - 2**-second), abs=1e-9)


@pytest.mark.parametrize("rule", [recycle_s, flash_time_s])
def test_a_strobe_of_one_power_has_one_time(rule):
    """Without a range there is nothing between."""
    scale = PowerScale(lowest_stops=0)
    assert rule(0, full_s=1.0, lowest_s=0.5, scale=scale) == 1.0


@pytest.mark.parametrize("rule", [recycle_s, flash_time_s])
@pytest.mark.parametrize("below", [-0.5, 5.5, math.nan])
def test_a_setting_beyond_the_range_is_refused(rule, below):
    """Neither figure is stretched past its end."""
    with pytest.raises(RangeError) as caught:
        rule(below, full_s=1.0, lowest_s=0.5, scale=SCALE)
    assert str(caught.value) == (
        f"a power of {below:g} stops below full is beyond the strobe's range; allowed: 0 to 5"
    )


def test_times_no_strobe_has_are_refused():
    """Zero and negative times."""
    with pytest.raises(RangeError, match=r"^0 s cannot be a recycle time"):
        recycle_s(0, full_s=0, lowest_s=1, scale=SCALE)
    with pytest.raises(RangeError, match=r"^-1 s cannot be a flash duration"):
        flash_time_s(0, full_s=1, lowest_s=-1, scale=SCALE)


def test_the_slowest_light_sets_the_rhythm():
    """1.5 s and a margin of 0.5 s, by hand."""
    assert fastest_rhythm_s([0.4, 1.5, 0.9], margin_s=0.5) == pytest.approx(2.0)


def test_fast_strobes_are_still_fired_well_under_three_times_a_second():
    """WCAG 2.3.1: three flashes in any one second are the most; two are kept to."""
    rhythm = fastest_rhythm_s([0.05, 0.1], margin_s=0)
    assert rhythm == FLASH_GAP_S
    assert math.floor(1 / rhythm) + 1 <= 3  # counting both ends of the second


def test_a_rhythm_needs_lights_and_sense():
    """No light, no time, no negative margin."""
    with pytest.raises(RangeError, match="no light fires"):
        fastest_rhythm_s([], margin_s=0.5)
    with pytest.raises(RangeError, match="a recycle time"):
        fastest_rhythm_s([1, 0], margin_s=0.5)
    with pytest.raises(RangeError, match="the margin on the recycle time"):
        fastest_rhythm_s([1], margin_s=-0.1)
