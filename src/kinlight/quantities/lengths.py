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
_NUMBER = r"[-+]?\d+(?:[.,]\d+)?(?:\s+\d+/\d+|/\d+)?"
_PART = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z'\"]*)")


def number(text: str) -> float:
    """Read a plain number, a decimal comma, a fraction "1/3" or a mixed number "3 1/2"."""
    total = 0.0
    for part in text.replace(",", ".").split():
        over, _, under = part.partition("/")
        total += float(over) / float(under) if under else float(part)
    return total


def parse_length_m(value: object, *, bare_unit: str = "m") -> float:
    r"""Read a length and return metres.

    Parameters
    ----------
    value : a number, or text such as "2.4 m", "85 mm", "8 ft", "5 ft 6 in", "5' 6 1/2\"".
    bare_unit : the unit of a number without one.

    Raises
    ------
    QuantityError
        If the value is not a length.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise _not_a_length(value, bare_unit)
    if isinstance(value, int | float):
        metres = float(value) * _METRES_PER[bare_unit]
    else:
        metres = _parse_text_m(value, bare_unit)
    if not math.isfinite(metres):
        raise _not_a_length(value, bare_unit)
    return metres


def _parse_text_m(text: str, bare_unit: str) -> float:
    total, end, first = 0.0, 0, True
    text = text.replace("′", "'").replace("″", '"').replace("''", '"').strip()
    while end < len(text):
        match = _PART.match(text, end)
        unit = (match[2].lower() or bare_unit) if match else ""
        if not match or unit not in _METRES_PER or (not first and not match[2]):
            raise _not_a_length(text, bare_unit)
        try:
            total += number(match[1]) * _METRES_PER[unit]
        except (ValueError, ZeroDivisionError):
            raise _not_a_length(text, bare_unit) from None
        end, first = match.end(), False
    if first:
        raise _not_a_length(text, bare_unit)
    return total


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
    """
    if units == "feet":
        inches = round(abs(metres) / METRES_PER_INCH)
        feet, inches = divmod(inches, 12)
        sign = "-" if metres < 0 and (feet or inches) else ""
        if not feet:
            return f"{sign}{inches} in"
        return f"{sign}{feet} ft {inches} in" if inches else f"{sign}{feet} ft"
    centimetres = round(metres * 100)
    return f"{centimetres} cm" if abs(centimetres) < 100 else f"{centimetres / 100:.2f} m"
