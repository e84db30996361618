"""Refusals shared by the modules of light: values no flash, meter or camera can have."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError


def require_positive(value: ArrayLike, *, what: str, unit: str = "") -> None:
    """Raise RangeError unless every number is finite and above zero."""
    _require(value, what, unit, allowed="more than 0", zero=False)


def require_not_negative(value: ArrayLike, *, what: str, unit: str = "") -> None:
    """Raise RangeError unless every number is finite and zero or more."""
    _require(value, what, unit, allowed="0 or more", zero=True)


def _require(value: ArrayLike, what: str, unit: str, *, allowed: str, zero: bool) -> None:
    numbers = np.atleast_1d(np.asarray(value, dtype=np.float64))
    wrong = ~np.isfinite(numbers) | ((numbers < 0) if zero else (numbers <= 0))
    if wrong.any():
        unit = f" {unit}" if unit else ""
        first = numbers[wrong].flat[0]
        fault = Fault(f"{what} cannot be used", allowed=allowed + unit, given=f"{first:g}{unit}")
        raise RangeError(fault)
