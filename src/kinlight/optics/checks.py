"""Refusals shared by the optics: values outside the range in which the formulas hold."""

from __future__ import annotations

import math

from kinlight.errors import Fault, RangeError

_UNITS = {"mm": " mm", "m": " m", "s": " s", "nm": " nm", "arcmin": " arcmin"}


def _words(name: str) -> tuple[str, str]:
    """Split a parameter's name into words and its unit."""
    stem, _, unit = name.rpartition("_")
    words = (stem if unit in _UNITS else name).replace("f_number", "f-number").replace("_", " ")
    return words, _UNITS.get(unit, "")


def require_positive(**values: float) -> None:
    """Raise RangeError for the first value that is not a finite number above zero."""
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            words, unit = _words(name)
            problem = f"cannot be the {words}"
            raise RangeError(Fault(problem, allowed=f"more than 0{unit}", given=f"{value:g}{unit}"))


def require_beyond(*, focus_m: float, least_m: float) -> None:
    """Raise RangeError if the focus is not farther away than `least_m`, where an image forms."""
    require_positive(focus_m=focus_m)
    if focus_m <= least_m:
        raise RangeError(
            Fault(
                "is too near for this lens to form an image of",
                allowed=f"more than {least_m:.3g} m",
                given=f"{focus_m:.3g} m",
                remedy="give the distance in metres, and the focal length in millimetres",
            )
        )
