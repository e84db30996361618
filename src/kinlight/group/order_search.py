"""A good running order of many items: beams along the bound's prices, then small changes."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from kinlight.group.order_arrays import Arrays
from kinlight.group.order_beam import Found, beam_orders
from kinlight.group.order_bound import Progress, bound
from kinlight.group.order_changes import Orders, neighbours
from kinlight.group.order_model import Array

_HOPES = (1.0, 0.95, 0.8)  # how much of what the prices allow a beam believes in
_STARTS = 20  # orders that are changed while it helps
_ROUNDS = 60  # of small changes; each takes the best one


def search_order(arrays: Arrays, *, progress: Progress | None = None) -> tuple[int, ...]:
    """Return a good order of some of n items, as indices; the same one for the same programme.

    Notes
    -----
    Partial orders grow by one item at a time, and the most promising are kept, by their score and
    what the prices of `bound` allow for the rest. For each choice of pauses the best order found
    is kept; the best of these are changed while that improves them: an item put in, left out or
    exchanged, one to three moved, two swapped. The best of all is the answer.
    """
    told = progress or (lambda _: None)
    guide = bound(arrays, arrays.weight, known=0.0, progress=lambda f: told(0.2 * f))
    found: dict[int, Found] = {}
    for done, hope in enumerate(_HOPES):
        beam_orders(arrays, guide, hope, found)
        told(0.2 + 0.1 * (done + 1))
    starts = sorted(found.values(), key=lambda f: -f.score)[:_STARTS]
    best = Found(0.0, np.empty(0, dtype=np.intp))
    for done, start in enumerate(starts):
        best = better(best, _improved(arrays, start))
        told(0.5 + 0.5 * (done + 1) / len(starts))
    told(1.0)
    return tuple(int(i) for i in best.order)


def better(one: Found, other: Found) -> Found:
    """Return the second of two orders if it is clearly better, else the first."""
    return other if other.score > one.score + 1e-9 * max(1.0, abs(one.score)) else one


def scores(arrays: Arrays, orders: Orders) -> Array:
    """Return the score of each of many orders, -inf where a hard limit is broken, (m,)."""
    item, stands = np.maximum(orders, 0), orders >= 0
    durations = np.where(stands, arrays.duration_s[item], 0.0)
    start_s = np.cumsum(durations, axis=1) - durations
    back = np.where(stands, arrays.restores_s[:, item], 0.0)
    restored = (np.cumsum(back, axis=2) - back).reshape(len(arrays.helped), orders.size)
    result = np.zeros(orders.shape)
    if orders.shape[1] > 1:
        result[:, 1:] = np.where(stands[:, 1:], arrays.change[item[:, :-1], item[:, 1:]], 0.0)
    start_s, flat = start_s.ravel(), result.ravel()
    for j, at in _where_each(orders, arrays.count):
        flat[at] += arrays.worth(j, start_s[at], restored[:, at])
    return np.asarray(flat.reshape(orders.shape).sum(axis=1))


def _where_each(orders: Orders, count: int) -> Iterable[tuple[int, Orders]]:
    """Yield every item that stands somewhere, and where it stands in the orders laid end to end."""
    flat = orders.ravel()
    places = np.argsort(flat.astype(np.int16), kind="stable")
    edges = np.searchsorted(flat[places], np.arange(count + 1))
    for j in range(count):
        if edges[j] < edges[j + 1]:
            yield j, places[edges[j] : edges[j + 1]]


def _improved(arrays: Arrays, start: Found) -> Found:
    """Return an order after small changes, each the best of its round."""
    for _ in range(_ROUNDS):
        changed = neighbours(start.order, arrays.count)
        value = scores(arrays, changed)
        top = int(np.argmax(value))
        found = better(start, Found(float(value[top]), changed[top][changed[top] >= 0]))
        if found is start:
            break
        start = found
    return start
