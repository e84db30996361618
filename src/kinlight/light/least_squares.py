"""Least squares whose answers cannot be negative, as a lamp cannot take light away."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array

_RELATIVE = 1e-12  # a pull this small against the columns and the wanted values is rounding


def nonnegative_least_squares(matrix: ArrayLike, wanted: ArrayLike) -> Array:
    """Return the x >= 0 for which matrix @ x comes nearest to the wanted values.

    Parameters
    ----------
    matrix : shape (rows, columns).
    wanted : shape (rows,).

    Raises
    ------
    RangeError
        If rounding keeps the search from settling.

    Notes
    -----
    Active sets after [lawson1974], chapter 23: unknowns are freed one by one, the one that pulls
    hardest first, and each is held at zero again when the free ones would turn it negative.
    Columns are scaled to length one first, which does not change the answer.
    """
    a, b = np.asarray(matrix, dtype=np.float64), np.asarray(wanted, dtype=np.float64)
    length = np.linalg.norm(a, axis=0)
    length[length == 0] = 1.0
    a = a / length
    x = np.zeros(a.shape[1])
    free = np.zeros(a.shape[1], dtype=np.bool_)
    for _ in range(10 * (a.shape[1] + 1)):
        pull = np.where(free, -np.inf, a.T @ (b - a @ x))
        if free.all() or pull.max() <= _RELATIVE * np.linalg.norm(b):
            return np.asarray(x / length)
        free[pull.argmax()] = True
        x, free = _settled(a, b, x, free)
    raise RangeError(
        Fault("the powers cannot be told apart", remedy="drop a light or ask for fewer values")
    )


def _settled(
    a: Array, b: Array, x: Array, free: NDArray[np.bool_]
) -> tuple[Array, NDArray[np.bool_]]:
    """Return the best positive x on a free set, and what is left of that set."""
    while free.any():
        trial = np.zeros_like(x)
        trial[free] = np.linalg.lstsq(a[:, free], b, rcond=None)[0]
        stopped = free & (trial <= 0)
        if not stopped.any():
            return trial, free
        # Go toward the trial until the first unknown reaches zero, and hold it there.
        room = np.where(stopped, 0.0, np.inf)
        moving = stopped & (x > 0)
        room[moving] = x[moving] / (x[moving] - trial[moving])
        x = x + room.min() * (trial - x)
        free = free & ~(stopped & (room <= room.min()))
        x = np.where(free, x, 0.0)
    return np.zeros_like(x), free
