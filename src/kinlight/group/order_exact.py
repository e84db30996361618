"""The best running order by dynamic programming over what is done and what was done last."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kinlight.group.order_arrays import Arrays
from kinlight.group.order_model import Array

_TIE = 1e-9  # relative; scores closer than this are equal, and the shorter order is taken


def exact_order(arrays: Arrays) -> tuple[int, ...]:
    """Return the best order of some of n items, as indices; at most about 18 of them.

    Notes
    -----
    The time at which an item starts, and what breaks have given back by then, depend on the set S
    done before it alone. With B(S, l) the best score of all orders of S that end in l,
    B(S + j, j) = worth(j, S) + max over l of B(S, l) + change(l, j); sets are worked through
    by size. The answer is the largest B; of equal ones that of the shortest time.
    """
    n = arrays.count
    if n == 0:
        return ()
    elapsed = _subset_sums(arrays.duration_s)
    restored = np.array([_subset_sums(row) for row in arrays.restores_s]).reshape(-1, 2**n)
    best = np.full((n, 2**n), -np.inf)
    sizes = np.bitwise_count(np.arange(2**n, dtype=np.uint32))
    by_size = np.argsort(sizes, kind="stable")
    edges = np.searchsorted(sizes[by_size], np.arange(n + 1))
    for size in range(n):
        sets = by_size[edges[size] : edges[size + 1]]
        for j in range(n):
            _extend(arrays, best, sets[(sets >> j) & 1 == 0], j, elapsed, restored)
    return _trace(arrays, best, elapsed)


def _subset_sums(terms: Array) -> Array:
    """Return the sum of the terms in every subset; bit i of the index says that i is in it."""
    sums = np.zeros(1)
    for term in terms:
        sums = np.concatenate([sums, sums + term])
    return sums


def _extend(
    arrays: Arrays,
    best: Array,
    sets: NDArray[np.intp],
    j: int,
    elapsed: Array,
    restored: Array,
) -> None:
    """Enter B(S + j, j) for all these sets S of one size, none of which has j in it."""
    worth = arrays.worth(j, elapsed[sets], restored[:, sets])
    possible = worth > -np.inf
    sets, worth = sets[possible], worth[possible]
    if sets.size == 0:
        return
    if sets[0] == 0:  # nothing done yet, and the only set of its size
        best[j, 1 << j] = worth[0]
        return
    so_far = np.full(sets.size, -np.inf)
    one = np.empty(sets.size)
    for last in np.flatnonzero(arrays.change[:, j] > -np.inf):
        np.take(best[last], sets, out=one, mode="clip")
        one += arrays.change[last, j]
        np.maximum(so_far, one, out=so_far)
    best[j, sets | (1 << j)] = so_far + worth


def _trace(arrays: Arrays, best: Array, elapsed: Array) -> tuple[int, ...]:
    """Return the best order, read backward from its last item."""
    per_set = best.max(axis=0)
    per_set[0] = 0.0
    top = per_set.max()
    equal = np.flatnonzero(per_set >= top - _TIE * max(1.0, abs(top)))
    done = int(equal[np.lexsort((equal, np.bitwise_count(equal), elapsed[equal]))[0]])
    order: list[int] = []
    while done:
        into = arrays.change[:, order[-1]] if order else 0.0
        order.append(int(np.argmax(best[:, done] + into)))
        done ^= 1 << order[-1]
    return tuple(reversed(order))
