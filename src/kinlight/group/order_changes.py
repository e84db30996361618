"""Every order that is one small change away from an order."""

from __future__ import annotations

import functools

import numpy as np
from numpy.typing import NDArray

Orders = NDArray[np.intp]  # (m, length); -1 after the last item
_LONGEST_MOVED = 3


def neighbours(order: Orders, count: int) -> Orders:
    """Return every order that is one small change away, (m, length + 1).

    Parameters
    ----------
    order : (length,) items that are done, as indices.
    count : how many items there are to choose from.
    """
    outside = np.setdiff1d(np.arange(count), order)
    within = np.append(order, -1)[_rearranged(order.size)]
    extended = np.column_stack([np.tile(np.append(order, -1), (outside.size, 1)), outside])
    joined = extended[:, _joined(order.size)].reshape(-1, order.size + 1)
    return np.vstack([within, joined])


@functools.lru_cache(maxsize=64)
def _rearranged(length: int) -> Orders:
    """Return places with one left out, two swapped, or one to three moved; `length` is none."""
    plain = np.arange(length)
    rows = [np.delete(plain, i) for i in range(length)]
    for i in range(length):
        for k in range(i + 1, length):
            swapped = plain.copy()
            swapped[[i, k]] = k, i
            rows.append(swapped)
    for size in range(1, _LONGEST_MOVED + 1):
        for i in range(length - size + 1):
            left, part = np.delete(plain, slice(i, i + size)), plain[i : i + size]
            rows += [np.concatenate([left[:k], part, left[k:]]) for k in range(left.size + 1)]
    padded = np.full((len(rows), length + 1), length, dtype=np.intp)
    for row, places in zip(padded, rows, strict=True):
        row[: places.size] = places
    return padded


@functools.lru_cache(maxsize=64)
def _joined(length: int) -> Orders:
    """Return places with a further item, `length + 1`, put in or exchanged for another."""
    plain = np.arange(length)
    put_in = [np.insert(plain, k, length + 1) for k in range(length + 1)]
    exchanged = np.tile(np.append(plain, length), (length, 1))
    exchanged[plain, plain] = length + 1
    return np.vstack([np.array(put_in, dtype=np.intp), exchanged]).astype(np.intp)
