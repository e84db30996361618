"""The fixed sets of sample points that everything sampled in this package rests on.

One scrambled Sobol set is used for all: the same scene gives the same numbers each time, and two
places of a light differ by what the light does and not by chance.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array

_BITS = 32
# Primitive polynomials and first direction numbers of dimensions 2 to 4 of [joe2008].
_POLYNOMIALS = ((1, 0, (1,)), (2, 1, (1, 3)), (3, 1, (1, 3, 1)))
# The scrambling, of 400 tried, under which the first 64 and 128 points err least for the areas of
# 600 half planes and discs drawn over the square: `tools/choose_scrambling.py`.
SCRAMBLING = 282
_PLASTIC = 1.32471795724474602596  # the real root of x^3 = x + 1


@cache
def sobol(count: int, dimensions: int = 2) -> Array:
    """Return the first points of the scrambled Sobol sequence, shape (count, dimensions), 0 to 1.

    Notes
    -----
    Direction numbers of [joe2008], each coordinate scrambled by nested random flips [owen1998] from
    a fixed seed. A power of two of them, from the start or in a row after it, is well spread.
    """
    points = scrambled_points(count, seeds_of(SCRAMBLING)[:dimensions])
    points.setflags(write=False)
    return points


def seeds_of(scrambling: int) -> tuple[int, ...]:
    """Return the seeds of all coordinates for the number of a scrambling."""
    return tuple(scrambling * 7919 + d * 104729 for d in range(len(_POLYNOMIALS) + 1))


def scrambled_points(count: int, seeds: Sequence[int]) -> Array:
    """Return the first points of the sequence, a coordinate for each seed."""
    index = np.arange(count, dtype=np.uint64)
    columns = [_scrambled(_radical(index, d), seed) for d, seed in enumerate(seeds)]
    return np.asarray(np.stack(columns, axis=1) / 2.0**_BITS)


def turns(numbers: NDArray[np.int64]) -> Array:
    """Return a shift of the unit square for each number, evenly spread, shape (n, 2).

    Notes
    -----
    The additive recurrence with the plastic number [roberts2018].
    """
    steps = np.array([1 / _PLASTIC, 1 / _PLASTIC**2])
    return np.asarray((0.5 + numbers[:, None] * steps) % 1.0)


def _directions(dimension: int) -> list[int]:
    """Return the direction numbers of a dimension, the first one filling the highest bit."""
    if dimension == 0:
        return [1 << (_BITS - 1 - k) for k in range(_BITS)]
    degree, inner, first = _POLYNOMIALS[dimension - 1]
    m = list(first)
    for k in range(degree, _BITS):
        new = m[k - degree] ^ (m[k - degree] << degree)
        for j in range(1, degree):
            if (inner >> (degree - 1 - j)) & 1:
                new ^= m[k - j] << j
        m.append(new)
    return [m[k] << (_BITS - 1 - k) for k in range(_BITS)]


def _radical(index: NDArray[np.uint64], dimension: int) -> NDArray[np.uint64]:
    """Return one unscrambled coordinate as whole numbers of 32 bits."""
    value = np.zeros_like(index)
    for bit, direction in enumerate(_directions(dimension)):
        value ^= np.where((index >> np.uint64(bit)) & np.uint64(1), np.uint64(direction), 0)
    return value


def _scrambled(value: NDArray[np.uint64], seed: int) -> NDArray[np.uint64]:
    """Return numbers with each bit flipped or not by a hash of the bits above it."""
    result = value.copy()
    for bit in range(_BITS):
        above = value >> np.uint64(_BITS - bit) if bit else np.zeros_like(value)
        mixed = _hash(above * np.uint64(0x9E3779B1) + np.uint64(seed + bit * 0x632BE5AB))
        result ^= (mixed & np.uint64(1)) << np.uint64(_BITS - 1 - bit)
    return result


def _hash(x: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Return well mixed bits of whole numbers (the finaliser of a 64-bit mixing function)."""
    x = x ^ (x >> np.uint64(30))
    x = x * np.uint64(0xBF58476D1CE4E5B9)
    x = x ^ (x >> np.uint64(27))
    x = x * np.uint64(0x94D049BB133111EB)
    return np.asarray(x ^ (x >> np.uint64(31)))
