"""Shutter times, clock times, durations and ages as people write them."""

from __future__ import annotations

import datetime as dt
import math
import re

from kinlight.errors import Fault, QuantityError
from kinlight.quantities.lengths import as_float, number

DAYS_PER_YEAR = 365.25  # WHO growth tables count months of 30.4375 days, that is 365.25 / 12
_UNIT_S = {
    "s": 1.0,
    "sec": 1.0,
    "second": 1.0,
    "seconds": 1.0,
    "ms": 1e-3,
    "min": 60.0,
    "minutes": 60.0,
    "minute": 60.0,
    "h": 3600.0,
    "hour": 3600.0,
    "hours": 3600.0,
}
_UNIT_YEARS = {
    "": 1.0,
    "y": 1.0,
    "yr": 1.0,
    "year": 1.0,
    "years": 1.0,
    "mo": 1 / 12,
    "month": 1 / 12,
    "months": 1 / 12,
    "w": 7 / DAYS_PER_YEAR,
    "week": 7 / DAYS_PER_YEAR,
    "weeks": 7 / DAYS_PER_YEAR,
    "d": 1 / DAYS_PER_YEAR,
    "day": 1 / DAYS_PER_YEAR,
    "days": 1 / DAYS_PER_YEAR,
}
_QUANTITY = re.compile(
    r"\s*([-+]?\d+(?:[.,]\d+)?(?:\s+\d+/\d+|/\d+)?)\s*([a-z]*)\s*$", re.IGNORECASE
)
_CLOCK = re.compile(
    r"\s*(?P<hour>\d{1,2})(?:[:.](?P<minute>\d{2})(?::[0-5]\d)?)?\s*(?:(?P<half>[ap])\.?m\.?)?\s*",
    re.IGNORECASE,
)


def _parse(value: object, units: dict[str, float], bare: str, fault: Fault) -> float:
    """Read a number with one of `units`; without one it is `bare`."""
    result = math.nan
    if isinstance(value, int | float) and not isinstance(value, bool):
        result = as_float(value) * units[bare]
    elif isinstance(value, str) and (match := _QUANTITY.match(value)):
        unit = match[2].lower() or bare
        try:
            result = number(match[1]) * units[unit] if unit in units else math.nan
        except ZeroDivisionError:
            result = math.nan
    if not math.isfinite(result):
        raise QuantityError(fault)
    return result


def parse_duration_s(value: object) -> float:
    """Read a duration such as "1/125", 0.008, "2 s", "3 ms" or "20 min"; return seconds."""
    fault = Fault(
        "is not a time", allowed='a time such as "1/125", "2 s" or "20 min"', given=repr(value)
    )
    return _parse(value, _UNIT_S, "s", fault)


def parse_minutes(value: object) -> float:
    """Read a span such as 15, "15 min" or "1 h"; return minutes."""
    fault = Fault(
        "is not a span of time", allowed='minutes, such as 15 or "15 min"', given=repr(value)
    )
    return _parse(value, {k: v / 60 for k, v in _UNIT_S.items()}, "min", fault)


def parse_age_years(value: object) -> float:
    """Read an age such as 4, "3 1/2", "8 months", "6 weeks"; return years."""
    fault = Fault(
        "is not an age", allowed='an age such as 4, "3 1/2" or "8 months"', given=repr(value)
    )
    return _parse(value, _UNIT_YEARS, "", fault)


def parse_clock(value: object) -> dt.time:
    """Read a time of day: "10:30", "9.45", "3:30 pm", "10 am"."""
    if isinstance(value, dt.time):
        return value
    match = _CLOCK.fullmatch(value) if isinstance(value, str) else None
    hour, minute = _hour_minute(match) if match else (24, 0)
    if hour > 23 or minute > 59:
        raise QuantityError(
            Fault("is not a time of day", allowed='a time such as "10:30"', given=repr(value))
        )
    return dt.time(hour, minute)


def _hour_minute(match: re.Match[str]) -> tuple[int, int]:
    """Return an hour of the day, past 23 if there is no such, and a minute."""
    hour, minute, half = int(match["hour"]), match["minute"], (match["half"] or "").lower()
    if not half:
        return (hour if minute else 24), int(minute or 0)
    if not 1 <= hour <= 12:
        return 24, 0
    return hour % 12 + (12 if half == "p" else 0), int(minute or 0)


def age_text(years: float) -> str:
    """Return an age in the words used for it: months under two years, then years."""
    if years < 2:
        months = max(0, round(years * 12 - 0.3))  # a child is "8 months" until nearly nine
        return "newborn" if months == 0 else f"{months} month" + ("s" if months > 1 else "")
    return f"{math.floor(years + 1e-9)} years"


def shutter_text(seconds: float) -> str:
    """Return a shutter time as a camera shows it."""
    return f"{seconds:g} s" if seconds >= 0.4 else f"1/{round(1 / seconds)}"


def span_text(seconds: float) -> str:
    """Return a duration in words: seconds under two minutes, else minutes."""
    if seconds < 119.5:
        return f"{seconds:.0f} s" if seconds >= 10 else f"{seconds:.1f} s"
    return f"{seconds / 60:.0f} min"
