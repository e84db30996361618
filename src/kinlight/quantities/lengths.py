"""Lengths as people write them: metres, centimetres, millimetres, feet and inches."""

from __future__ import annotations

import math
import re

from kinlight.errors import Fault, QuantityError

METRES_PER_INCH = 0.0254  # exact: international inch, ISO 80000-3
_METRES_PER = {
    "m": 1.0,
    "metre": 1.0,
    "metres": 1.0,
    "meter": 1.0,
    "meters": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "ft": 12 * METRES_PER_INCH,
    "foot": 12 * METRES_PER_INCH,
    "feet": 12 * METRES_PER_INCH,
    "'": 12 * METRES_PER_INCH,
    "in": METRES_PER_INCH,
    "inch": METRES_PER_INCH,
    "inches": METRES_PER_INCH,
    '"': METRES_PER_INCH,
}
_NUMBER = r"\d+(?:[.,]\d+)?(?:\s+\d+/\d+|/\d+)?"
_PART = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z'\"]*)")
_MARKS = str.maketrans({"′": "'", "’": "'", "″": '"', "”": '"'})
_GROUPED = re.compile(r"\d+,\d{3}(?!\d)")  # "2,400": a decimal comma, or thousands set apart


def number(text: str) -> float:
    """Read a plain number, a decimal comma, a fraction "1/3" or a mixed number "-3 1/2"."""
    total = 0.0
    for part in text.replace(",", ".").lstrip("+-").split():
        over, _, under = part.partition("/")
        total += float(over) / float(under) if under else float(part)
    return -total if text.startswith("-") else total


def as_float(value: int | float) -> float:
    """Return a number as a float; a whole number too large to be one is infinite."""
    try:
        return float(value)
    except OverflowError:
        return math.inf


def parse_length_m(value: object, *, bare_unit: str = "m") -> float:
    r"""Read a length and return metres.

    Parameters
    ----------
    value : a number, or text: "2.4 m", "85 mm", "8 ft", "5 ft 6 in", "5' 6 1/2\"", "5'6".
    bare_unit : the unit of a number without one.

    Raises
    ------
    QuantityError
        If the value is not a length.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise _not_a_length(value, bare_unit)
    if isinstance(value, str):
        metres = _parse_text_m(value, bare_unit)
    else:
        metres = as_float(value) * _METRES_PER[bare_unit]
    if not math.isfinite(metres):
        raise _not_a_length(value, bare_unit)
    return metres


def _parse_text_m(given: str, bare_unit: str) -> float:
    text = given.translate(_MARKS).replace("''", '"').strip()
    if grouped := _GROUPED.search(text):
        raise _two_ways(given, grouped[0])
    sign, text = (-1.0, text[1:]) if text.startswith("-") else (1.0, text.removeprefix("+"))
    total, end, last_unit = 0.0, 0, ""
    while end < len(text):
        match = _PART.match(text, end)
        at_end = match is not None and match.end() == len(text)
        left_out = {0: bare_unit}.get(end, "in" if last_unit == "'" else "") if at_end else ""
        unit = last_unit = (match[2].lower() or left_out) if match else ""
        if not match or unit not in _METRES_PER:
            raise _not_a_length(given, bare_unit)
        try:
            total += number(match[1]) * _METRES_PER[unit]
        except ZeroDivisionError:
            raise _not_a_length(given, bare_unit) from None
        end = match.end()
    if end == 0:
        raise _not_a_length(given, bare_unit)
    return sign * total


def _two_ways(given: str, grouped: str) -> QuantityError:
    point, plain = grouped.replace(",", "."), grouped.replace(",", "")
    return QuantityError(
        Fault(
            "can be read two ways",
            given=repr(given),
            remedy=f"write {point} or {plain}, as you mean",
        )
    )


def _not_a_length(value: object, bare_unit: str) -> QuantityError:
    example = (
        '85, "85 mm" or "3 in"' if bare_unit == "mm" else '2.4, "2.4 m", "8 ft" or "5 ft 6 in"'
    )
    return QuantityError(
        Fault("is not a length", allowed=f"a length such as {example}", given=repr(value))
    )


def length_text(metres: float, *, units: str = "metric") -> str:
    """Return a length as a person would tape it: whole centimetres, or whole inches.

    Lengths under a metre read in cm, longer ones in m with two decimals; in feet, "5 ft 6 in".
    An infinite length, as the far limit of sharpness can be, reads "no limit".
    """
    if math.isinf(metres):
        return "no limit"
    if units == "feet":
        inches = round(abs(metres) / METRES_PER_INCH)
        feet, inches = divmod(inches, 12)
        sign = "-" if metres < 0 and (feet or inches) else ""
        if not feet:
            return f"{sign}{inches} in"
        return f"{sign}{feet} ft {inches} in" if inches else f"{sign}{feet} ft"
    centimetres = round(metres * 100)
    return f"{centimetres} cm" if abs(centimetres) < 100 else f"{centimetres / 100:.2f} m"
