"""The building blocks of the sitting document: its base class and its kinds of value.

In code a field's name ends in its unit (`distance_m`); in the document the same field is the
plain word (`distance`), and a bare number in it is in that unit.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import re
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictBool, WithJsonSchema

from kinlight.errors import Fault, QuantityError
from kinlight.quantities.lengths import as_float, number, parse_length_m
from kinlight.quantities.stops import parse_f_number, parse_meter_reading
from kinlight.quantities.times import (
    parse_age_years,
    parse_clock,
    parse_duration_s,
    parse_minutes,
)

UNIT_NAMES = {
    "m": "m",
    "mm": "mm",
    "s": "s",
    "min": "minutes",
    "years": "years",
    "deg": "degrees",
    "j": "J",
    "kg": "kg",
    "lx": "lx",
    "lm": "lm",
    "arcmin": "arcminutes",
    "stops": "stops",
    "percent": "percent",
}


def unit_of(field_name: str) -> str:
    """Return the unit a field's name ends in, as written; empty if it has none."""
    _, _, suffix = field_name.rpartition("_")
    return UNIT_NAMES.get(suffix, "")


def document_key(field_name: str) -> str:
    """Return the word that stands for a field in the document: its name without the unit."""
    stem, _, suffix = field_name.rpartition("_")
    return stem if stem and suffix in UNIT_NAMES else field_name


class Stated(BaseModel):
    """A part of the document: frozen, nothing unknown in it, every number finite."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        alias_generator=document_key,
        populate_by_name=True,
        serialize_by_alias=True,
        use_attribute_docstrings=True,
    )

    def states(self, *names: str) -> bool:
        """Return whether every one of these fields was stated and not left to a default."""
        return self.model_fields_set.issuperset(names)

    def with_stated(self, **values: Any) -> Any:
        """Return a copy that states these values too (already validated ones)."""
        return self.model_copy(update=values)


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise QuantityError(Fault("is not a number", given=repr(value)))
    return as_float(value)


def parse_part(value: object) -> float:
    """Read a part of a whole, 0.5 or "50%" [-]."""
    match = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*%\s*", value) if isinstance(value, str) else None
    return number(match[1]) / 100 if match else _number(value)


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise QuantityError(Fault("is not a whole number", given=repr(value)))
    return value


def _millimetres(value: object) -> float:
    metres = parse_length_m(value, bare_unit="mm")
    return float(value) if isinstance(value, int | float) else metres * 1000  # to the last bit


def _clock_minute(value: object) -> dt.time:
    clock = parse_clock(value)
    return dt.time(clock.hour, clock.minute)


def _setting(value: object) -> str | float:
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool) or not isinstance(value, int | float):
        fault = Fault(
            "is not a power",
            given=repr(value),
            allowed='a fraction such as "1/4" or "1/4 -0.3", or a number of the dial',
        )
        raise QuantityError(fault)
    return as_float(value)


def _reading(value: object) -> str:
    parse_meter_reading(value)
    return value.strip() if isinstance(value, str) else f"{value:g}"


def _date(value: object) -> dt.date:
    day = value if isinstance(value, dt.date) and not isinstance(value, dt.datetime) else None
    if isinstance(value, str):
        with contextlib.suppress(ValueError):
            day = dt.date.fromisoformat(value)
    if day is None or not 1700 <= day.year <= 2200:
        given = repr(value) if day is None else str(day)
        allowed = 'a date from 1700 to 2200, such as "2026-05-30"'
        raise QuantityError(Fault("is not a date", allowed=allowed, given=given))
    return day


def _read_as(read: Callable[[object], Any], json_types: list[str]) -> tuple[Any, Any]:
    return BeforeValidator(read), WithJsonSchema({"type": json_types})


_TEXT_OR_NUMBER = ["number", "string"]
_share = _read_as(parse_part, _TEXT_OR_NUMBER)
_metres = _read_as(parse_length_m, _TEXT_OR_NUMBER)
_mm = _read_as(_millimetres, _TEXT_OR_NUMBER)
_seconds = _read_as(parse_duration_s, _TEXT_OR_NUMBER)
_minutes = _read_as(parse_minutes, _TEXT_OR_NUMBER)
_age = _read_as(parse_age_years, _TEXT_OR_NUMBER)
_aperture = _read_as(parse_f_number, _TEXT_OR_NUMBER)
_clock = _read_as(_clock_minute, ["string"])
_day = _read_as(_date, ["string"])
_power = _read_as(_setting, _TEXT_OR_NUMBER)
_meter = _read_as(_reading, _TEXT_OR_NUMBER)

Number = Annotated[float, BeforeValidator(_number)]
Part = Annotated[float, _share[0], _share[1]]
Whole = Annotated[int, BeforeValidator(_whole)]
Metres = Annotated[float, _metres[0], _metres[1]]
Millimetres = Annotated[float, _mm[0], _mm[1]]
Seconds = Annotated[float, _seconds[0], _seconds[1]]
Minutes = Annotated[float, _minutes[0], _minutes[1]]
Years = Annotated[float, _age[0], _age[1]]
FNumber = Annotated[float, _aperture[0], _aperture[1]]
Clock = Annotated[dt.time, _clock[0], _clock[1]]
Day = Annotated[dt.date, _day[0], _day[1]]
PowerSetting = Annotated[str | float, _power[0], _power[1]]
MeterReading = Annotated[str, _meter[0], _meter[1]]
Id = Annotated[str, Field(min_length=1, max_length=60)]
YesNo = StrictBool
