"""Power settings. A stop is a doubling, so 1/2^n of full power is n stops below it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import QuantityError
from kinlight.quantities.power import (
    PowerScale,
    fraction_of_full,
    fraction_text,
    parse_fraction,
)

THIRDS = PowerScale(lowest_stops=5.0, step_stops=1 / 3)
TENTHS = PowerScale(lowest_stops=6.0, step_stops=0.1)
DIAL = PowerScale(lowest_stops=5.0, step_stops=0.1, dial_full=10.0)
WIDE_DIAL = PowerScale(lowest_stops=6.0, step_stops=0.5, dial_full=4.0, stops_per_number=2.0)
SCALES = [THIRDS, TENTHS, DIAL, WIDE_DIAL]


@pytest.mark.parametrize(
    ("written", "below_full"),
    [
        ("1/1", 0.0),
        ("full", 0.0),
        ("Full", 0.0),
        (1, 0.0),
        ("1/4", 2.0),
        ("1 / 4", 2.0),
        (0.25, 2.0),
        ("1/4 -0.3", 2.3),
        ("1/4 -0,3", 2.3),
        ("1/4 - 0.3 stop", 2.3),
        ("1/8 + 1/3", 3 - 1 / 3),
        ("full - 1/3", 1 / 3),
        ("1/3", math.log2(3)),
        (" 1/32 ", 5.0),
    ],
)
def test_a_fraction_is_read_in_stops_below_full(written: object, below_full: float) -> None:
    """A quarter is two stops below; what is added in stops makes it stronger."""
    assert parse_fraction(written) == pytest.approx(below_full, abs=1e-12)


@pytest.mark.parametrize(
    "written",
    [
        "",
        "quarter",
        "1/0",
        "1/4 -1/0",
        "2/4",
        "1/1/4",
        "full 1/4",
        "1/4 0.3",
        "1/" + "9" * 5000,
        0,
        0.0,
        1.5,
        -0.25,
        math.nan,
        math.inf,
        10**400,
        True,
        None,
    ],
)
def test_what_is_not_a_power_is_refused(written: object) -> None:
    """The sentence names what was given and shows two settings."""
    with pytest.raises(QuantityError) as refused:
        parse_fraction(written)
    expected = f'{written!r} is not a power; allowed: a fraction such as "1/4" or "1/4 -0.3"'
    assert str(refused.value) == expected


@pytest.mark.parametrize(
    ("below_full", "shown"),
    [
        (0.0, "1/1"),
        (2.0, "1/4"),
        (2.3, "1/4 -0.3"),
        (2 + 1 / 3, "1/4 -0.3"),
        (2 + 2 / 3, "1/8 +0.3"),
        (2.5, "1/4 -0.5"),
        (2.04, "1/4"),
        (6.9, "1/128 +0.1"),
    ],
)
def test_a_setting_is_shown_as_the_nearest_fraction_and_tenths(
    below_full: float, shown: str
) -> None:
    """As strobes show it: whole fractions, and what is left of a stop."""
    assert fraction_text(below_full) == shown


@given(st.floats(min_value=0.0, max_value=12.0))
def test_a_fractions_text_reads_back_to_the_tenth(below_full: float) -> None:
    """At most half a tenth of a stop is lost."""
    read = parse_fraction(fraction_text(below_full))
    assert read == pytest.approx(below_full, abs=0.05 + 1e-9)


@pytest.mark.parametrize("scale", SCALES)
def test_every_setting_of_a_strobe_goes_there_and_back(scale: PowerScale) -> None:
    """What the strobe shows for a step is read as that step, exactly."""
    for step in range(math.floor(scale.lowest_stops / scale.step_stops + 1e-9) + 1):
        setting = scale.clamped(step * scale.step_stops)
        assert setting == pytest.approx(step * scale.step_stops)
        assert scale.parse(scale.text(setting)) == pytest.approx(setting, abs=1e-9)


@given(st.sampled_from(SCALES), st.floats(min_value=-20, max_value=20))
def test_a_clamped_setting_is_a_step_inside_the_range(scale: PowerScale, wanted: float) -> None:
    """Inside the range it is the nearest step; beyond, the last one there is."""
    setting = scale.clamped(wanted)
    assert scale.within(setting)
    steps = setting / scale.step_stops
    assert steps == pytest.approx(round(steps), abs=1e-6)
    if 0 <= wanted <= scale.lowest_stops:
        assert abs(setting - wanted) <= scale.step_stops / 2 + 1e-9


def test_a_range_that_is_no_whole_number_of_steps_is_not_overstepped() -> None:
    """4.9 stops in thirds end at 4 2/3."""
    assert PowerScale(lowest_stops=4.9, step_stops=1 / 3).clamped(9) == pytest.approx(14 / 3)


def test_a_written_tenth_means_the_strobes_third() -> None:
    """A strobe of thirds takes 1/4 -0.3 as 2 1/3 stops down, one of tenths as 2.3."""
    assert THIRDS.parse("1/4 -0.3") == pytest.approx(2 + 1 / 3)
    assert TENTHS.parse("1/4 -0.3") == pytest.approx(2.3)


def test_a_quarter_of_a_stop_goes_there_and_back_through_tenths() -> None:
    """0.2 stands for everything that rounds to it, a quarter included."""
    quarters = PowerScale(lowest_stops=5.0, step_stops=0.25)
    assert quarters.parse(quarters.text(0.25)) == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("scale", "shown", "below_full"),
    [
        (DIAL, 10, 0.0),
        (DIAL, "7.5", 2.5),
        (DIAL, "7,5", 2.5),
        (DIAL, 5, 5.0),
        (WIDE_DIAL, 3, 2.0),
        (WIDE_DIAL, "3.5", 1.0),
    ],
)
def test_a_dials_numbers_count_down_from_full(
    scale: PowerScale, shown: object, below_full: float
) -> None:
    """One number is one stop, or as many as the maker says."""
    assert scale.parse(shown) == pytest.approx(below_full)


def test_a_dial_shows_one_decimal() -> None:
    """2.5 stops below a full of 10 is 7.5."""
    assert DIAL.text(2.5) == "7.5"
    assert WIDE_DIAL.text(1.0) == "3.5"


@pytest.mark.parametrize(
    ("scale", "given", "sentence"),
    [
        (THIRDS, "1/64", "'1/64' is beyond this strobe's range; allowed: 1/32 to 1/1"),
        (THIRDS, "full + 0.3", "'full + 0.3' is beyond this strobe's range; allowed: 1/32 to 1/1"),
        (DIAL, 4.5, "4.5 is beyond this strobe's range; allowed: 5.0 to 10.0"),
        (DIAL, 11, "11 is beyond this strobe's range; allowed: 5.0 to 10.0"),
    ],
)
def test_a_setting_beyond_the_range_is_refused(
    scale: PowerScale, given: object, sentence: str
) -> None:
    """The sentence says what the strobe can be set to."""
    with pytest.raises(QuantityError) as refused:
        scale.parse(given)
    assert str(refused.value) == sentence


@pytest.mark.parametrize("given", ["1/4", "high", "nan", "inf", math.nan, 10**400, True, None])
def test_what_a_dial_does_not_show_is_refused(given: object) -> None:
    """A dial has numbers, no fractions."""
    with pytest.raises(QuantityError) as refused:
        DIAL.parse(given)
    expected = (
        f"{given!r} is not a setting of this strobe's dial; allowed: a number from 5.0 to 10.0"
    )
    assert str(refused.value) == expected


def test_the_share_of_full_energy_halves_with_each_stop() -> None:
    """By definition of the stop."""
    assert fraction_of_full(0.0) == 1.0
    assert fraction_of_full(3.0) == 0.125


@given(st.floats(min_value=1e-3, max_value=1.0))
def test_a_share_and_its_stops_are_inverse(share: float) -> None:
    """Reading a share of full power as a number and taking the share again gives it back."""
    assert fraction_of_full(parse_fraction(share)) == pytest.approx(share, rel=1e-12)
