"""Times, spans, ages and clock times as people write them."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import QuantityError
from kinlight.quantities.times import (
    age_text,
    parse_age_years,
    parse_clock,
    parse_duration_s,
    parse_minutes,
    shutter_text,
    span_text,
)

NO_TIME = ["", "soon", "1/0", "2 lux", "1 2", "nan", math.nan, math.inf, 10**400, True, None, [1]]


@pytest.mark.parametrize(
    ("written", "seconds"),
    [
        ("1/125", 0.008),
        ("1/125 s", 0.008),
        (0.008, 0.008),
        ("0,5 s", 0.5),
        ("2 s", 2.0),
        ("2 sec", 2.0),
        ("2 seconds", 2.0),
        ("3 ms", 0.003),
        ("20 min", 1200.0),
        ("1 minute", 60.0),
        ("1 1/2 h", 5400.0),
        ("2 hours", 7200.0),
    ],
)
def test_a_duration_is_read_in_seconds(written: object, seconds: float) -> None:
    """Shutter times as fractions; a minute is sixty seconds."""
    assert parse_duration_s(written) == pytest.approx(seconds, rel=1e-14)


@pytest.mark.parametrize(
    ("written", "minutes"), [(15, 15.0), ("15 min", 15.0), ("1 h", 60.0), ("90 s", 1.5)]
)
def test_a_span_is_read_in_minutes(written: object, minutes: float) -> None:
    """A bare number is minutes."""
    assert parse_minutes(written) == pytest.approx(minutes, rel=1e-14)


@pytest.mark.parametrize(
    ("written", "years"),
    [
        (4, 4.0),
        ("4", 4.0),
        ("3 1/2", 3.5),
        ("3,5 years", 3.5),
        ("1 year", 1.0),
        ("18 months", 1.5),
        ("8 mo", 8 / 12),
        ("6 weeks", 42 / 365.25),
        ("10 days", 10 / 365.25),
    ],
)
def test_an_age_is_read_in_years(written: object, years: float) -> None:
    """Twelve months are a year, and so are 365.25 days (12 WHO months of 30.4375)."""
    assert parse_age_years(written) == pytest.approx(years, rel=1e-14)


@pytest.mark.parametrize(
    ("read", "sentence"),
    [
        (parse_duration_s, 'is not a time; allowed: a time such as "1/125", "2 s" or "20 min"'),
        (parse_minutes, 'is not a span of time; allowed: minutes, such as 15 or "15 min"'),
        (parse_age_years, 'is not an age; allowed: an age such as 4, "3 1/2" or "8 months"'),
    ],
)
@pytest.mark.parametrize("written", NO_TIME)
def test_what_is_no_time_is_refused(read: object, sentence: str, written: object) -> None:
    """The sentence names what was given and shows what can be read."""
    with pytest.raises(QuantityError) as refused:
        read(written)  # type: ignore[operator]
    assert str(refused.value) == f"{written!r} {sentence}"


def test_a_mixed_numbers_sign_is_that_of_the_whole() -> None:
    """Minus one and a half minutes is minus ninety seconds."""
    assert parse_duration_s("-1 1/2 min") == -90.0


@pytest.mark.parametrize("months", range(1, 24))
def test_an_age_in_months_goes_there_and_back(months: int) -> None:
    """Months under two years are shown and read as months."""
    shown = age_text(months / 12)
    assert shown == f"{months} month" + ("s" if months > 1 else "")
    assert parse_age_years(shown) == pytest.approx(months / 12)


@pytest.mark.parametrize(
    ("years", "shown"),
    [(0.0, "newborn"), (0.05, "newborn"), (2.0, "2 years"), (3.5, "3 years"), (90.0, "90 years")],
)
def test_an_age_is_said_as_people_say_it(years: float, shown: str) -> None:
    """Completed years from two years on; newborn in the first weeks."""
    assert age_text(years) == shown


@given(st.floats(min_value=2.0, max_value=110.0))
def test_nobody_is_said_to_be_older_than_they_are(years: float) -> None:
    """A shown age counts completed years."""
    said = int(age_text(years).split()[0])
    assert said <= years + 1e-9 < said + 1 + 2e-9


@pytest.mark.parametrize("denominator", [4, 30, 60, 125, 160, 200, 250, 500, 2000])
def test_a_shutter_time_goes_there_and_back(denominator: int) -> None:
    """Cameras show fractions of a second."""
    assert shutter_text(1 / denominator) == f"1/{denominator}"
    assert parse_duration_s(shutter_text(1 / denominator)) == 1 / denominator


@pytest.mark.parametrize(("seconds", "shown"), [(0.5, "0.5 s"), (1.0, "1 s"), (30.0, "30 s")])
def test_long_shutter_times_are_shown_in_seconds(seconds: float, shown: str) -> None:
    """From about half a second on."""
    assert shutter_text(seconds) == shown


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [(1.25, "1.2 s"), (12.0, "12 s"), (119.0, "119 s"), (120.0, "2 min"), (910.0, "15 min")],
)
def test_a_span_is_said_in_seconds_then_minutes(seconds: float, shown: str) -> None:
    """Minutes from two on, without a fraction."""
    assert span_text(seconds) == shown


@pytest.mark.parametrize(
    ("written", "time"),
    [
        ("10:30", dt.time(10, 30)),
        ("9.45", dt.time(9, 45)),
        (" 00:00 ", dt.time(0, 0)),
        ("23:59:59", dt.time(23, 59)),
        ("3:30 pm", dt.time(15, 30)),
        ("10.30 am", dt.time(10, 30)),
        ("3 PM", dt.time(15, 0)),
        ("3:30p.m.", dt.time(15, 30)),
        ("12:05 am", dt.time(0, 5)),  # common use: 12 am is midnight, 12 pm noon
        ("12 pm", dt.time(12, 0)),
        (dt.time(14, 5), dt.time(14, 5)),
    ],
)
def test_a_time_of_day_is_read(written: object, time: dt.time) -> None:
    """With a colon or a point, am or pm; seconds are let go."""
    assert parse_clock(written) == time


@pytest.mark.parametrize(
    "written",
    ["", "24:00", "10:60", "10:30:75", "10", "half past", 10.5, None, "13 pm", "0:30 am", "pm"],
)
def test_what_is_no_time_of_day_is_refused(written: object) -> None:
    """The sentence names what was given and shows a time."""
    with pytest.raises(QuantityError) as refused:
        parse_clock(written)
    expected = f'{written!r} is not a time of day; allowed: a time such as "10:30"'
    assert str(refused.value) == expected
