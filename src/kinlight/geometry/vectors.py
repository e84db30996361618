"""Small vector helpers on numpy arrays whose last axis is x, y, z."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
UP.setflags(write=False)


def frozen(values: ArrayLike) -> Array:
    """Return a read-only float array of `values`."""
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


def unit(v: ArrayLike) -> Array:
    """Return `v` scaled to length one along its last axis."""
    array = np.asarray(v, dtype=np.float64)
    if array.ndim == 1:
        return np.asarray(array / np.sqrt(array @ array))
    length: Array = np.linalg.norm(array, axis=-1, keepdims=True)
    return array / length


def crossed(a: Array, b: Array) -> Array:
    """Return the cross product of two vectors, shape (3,): of single ones ten times as fast."""
    (ax, ay, az), (bx, by, bz) = a.tolist(), b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


def frame(direction: ArrayLike) -> tuple[Array, Array]:
    """Return the horizontal and the upward unit vector square to `direction`.

    For someone looking along -direction (at the front of a panel that faces `direction`), the
    first points to the right. A vertical direction takes +y as its "up".
    """
    d = unit(direction)
    upright = np.hypot(d[0], d[1]) < 1e-9
    up = np.array([0.0, 1.0, 0.0]) if upright else UP
    right = unit(crossed(up, d))
    return right, crossed(d, right)


def turned(v: ArrayLike, angle_deg: float) -> Array:
    """Return `v` turned about the vertical, anticlockwise seen from above."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    array = np.asarray(v, dtype=np.float64)
    x, y, z = array[..., 0], array[..., 1], array[..., 2]
    return np.stack([c * x - s * y, s * x + c * y, z], axis=-1)
