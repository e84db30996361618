"""Refusals shared by the modules of light: values no flash, meter or camera can have."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array


def require_positive(value: ArrayLike, *, what: str, unit: str = "") -> None:
    """Raise RangeError unless every number is finite and above zero."""
    numbers = _numbers(value)
    _refuse(numbers[~(numbers > 0) | np.isinf(numbers)], what, unit, allowed="more than {}")


def require_not_negative(value: ArrayLike, *, what: str, unit: str = "") -> None:
    """Raise RangeError unless every number is finite and zero or more."""
    numbers = _numbers(value)
    _refuse(numbers[~(numbers >= 0) | np.isinf(numbers)], what, unit, allowed="{} or more")


def _numbers(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64).ravel()


def _refuse(wrong: Array, what: str, unit: str, *, allowed: str) -> None:
    """Raise RangeError for the first of the wrong numbers, if there is one."""
    if wrong.size:
        unit = f" {unit}" if unit else ""
        given = f"{wrong[0]:g}{unit}"
        raise RangeError(
            Fault(f"cannot be {what}", allowed=allowed.format(f"0{unit}"), given=given)
        )
