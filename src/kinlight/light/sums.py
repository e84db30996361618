"""What patches and receivers get of what leaves patches, in plain numpy; a part of `rays`."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array
from kinlight.light.packed import Exchange, Whole


def landed(hits: NDArray[np.int32], sent: Array, group: Whole, groups: int) -> Array:
    """Return sums of what is `sent` (k, m) by the patches that n receivers' rays hit, by groups.

    Shape (groups, n, k); -1 is no patch.
    """
    row, ray = np.nonzero(hits >= 0)
    patch = hits[row, ray]
    cell, shape = group[patch] * len(hits) + row, (groups, len(hits))
    out = np.zeros((*shape, len(sent)))
    for k, one in enumerate(sent):
        out[:, :, k] = np.bincount(cell, one[patch], groups * len(hits)).reshape(shape)
    return out


def paired(one: Whole, other: Whole, weight: Array, count: int) -> Exchange:
    """Return what `count` patches found of each other, either way, as one list of pairs.

    Of each find: who found, whom, and what it counts for; in the areas the counts are added up.
    """
    row, column = np.concatenate([one, other]), np.concatenate([other, one])
    order = np.lexsort((column, row))
    row, column = row[order], column[order]
    new = np.ones(len(row), dtype=np.bool_)
    new[1:] = (row[1:] != row[:-1]) | (column[1:] != column[:-1])
    at = np.flatnonzero(new)
    start = np.concatenate([[0], np.cumsum(np.bincount(row[at], minlength=count))])
    both = np.concatenate([weight, weight])[order]
    return Exchange(start, column[at], np.add.reduceat(both, at) if len(at) else np.zeros(0))


def summed(pairs: Exchange, values: Array) -> Array:
    """Return the sums over each patch's pairs of their areas times the others' values, (k, m)."""
    count = len(pairs.start) - 1
    row = np.repeat(np.arange(count), np.diff(pairs.start))
    sums = [np.bincount(row, pairs.area_m2 * one[pairs.other], minlength=count) for one in values]
    return np.array(sums, dtype=np.float64).reshape(values.shape)
