"""A good running order of many items: a beam along the bound's prices, then small changes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.group.order_arrays import Arrays
from kinlight.group.order_bound import Bound, Progress, bound
from kinlight.group.order_model import Array

Orders = NDArray[np.intp]  # (m, length); -1 after the last item
_WIDTH = 1500
_ROUNDS = 60  # of small changes; each takes the best one
_LONGEST_MOVED = 3


@dataclass(frozen=True)
class _Beam:
    """Partial orders of one length, side by side."""

    orders: Orders
    done: NDArray[np.bool_]
    elapsed_s: Array
    restored_s: Array
    score: Array
    key: NDArray[np.uint64]


def search_order(arrays: Arrays, *, progress: Progress | None = None) -> tuple[int, ...]:
    """Return a good order of some of n items, as indices; the same one for the same programme.

    Notes
    -----
    Partial orders grow by one item at a time; the most promising are kept, by their score and
    what `bound`'s prices allow for the rest. The best is then changed while that improves it: an
    item put in, left out, exchanged, one to three moved, two swapped.
    """
    told = progress or (lambda _: None)
    guide = bound(arrays, arrays.weight, known=0.0, progress=lambda f: told(0.3 * f))
    order = _beam(arrays, guide, lambda f: told(0.3 + 0.3 * f))
    order = _improved(arrays, order, lambda f: told(0.6 + 0.4 * f))
    told(1.0)
    return tuple(int(i) for i in order)


def scores(arrays: Arrays, orders: Orders) -> Array:
    """Return the score of each of many orders, -inf where a hard limit is broken, (m,)."""
    item = np.maximum(orders, 0)
    stands = orders >= 0
    durations = np.where(stands, arrays.duration_s[item], 0.0)
    start_s = np.cumsum(durations, axis=1) - durations
    back = np.where(stands, arrays.restores_s[:, item], 0.0)
    restored = np.cumsum(back, axis=2) - back
    result = np.zeros(orders.shape)
    if orders.shape[1] > 1:
        result[:, 1:] = np.where(stands[:, 1:], arrays.change[item[:, :-1], item[:, 1:]], 0.0)
    for j in range(arrays.count):
        at = np.nonzero(orders == j)
        if at[0].size:
            result[at] += arrays.worth(j, start_s[at], restored[:, at[0], at[1]])
    return np.asarray(result.sum(axis=1))


def _beam(arrays: Arrays, guide: Bound, progress: Progress) -> Orders:
    """Return the best order a beam finds."""
    n = arrays.count
    names = np.random.default_rng(0).integers(0, 2**63, n, dtype=np.uint64)
    beam = _Beam(
        orders=np.empty((1, 0), dtype=np.intp),
        done=np.zeros((1, n), dtype=bool),
        elapsed_s=np.zeros(1),
        restored_s=np.zeros((len(arrays.helped), 1)),
        score=np.zeros(1),
        key=np.zeros(1, dtype=np.uint64),
    )
    best, best_score = beam.orders[0], 0.0
    for depth in range(n):
        grown = _grown(arrays, guide, beam, names)
        if grown is None:
            break
        beam = grown
        top = int(np.argmax(beam.score))
        if beam.score[top] > best_score + 1e-9 * max(1.0, best_score):
            best, best_score = beam.orders[top], float(beam.score[top])
        progress((depth + 1) / n)
    return best


def _grown(arrays: Arrays, guide: Bound, beam: _Beam, names: NDArray[np.uint64]) -> _Beam | None:
    """Return the most promising orders that are one item longer."""
    score = np.stack(
        [arrays.worth(j, beam.elapsed_s, beam.restored_s) for j in range(arrays.count)], axis=1
    )
    score += beam.score[:, None]
    if beam.orders.shape[1]:
        score += arrays.change[beam.orders[:, -1]]
    score[beam.done] = -np.inf
    flat = np.flatnonzero(score > -np.inf)
    if flat.size == 0:
        return None
    hope = (score + _hope(arrays, guide, beam)).ravel()[flat]
    flat = flat[np.argsort(-hope, kind="stable")]
    row, item = np.divmod(flat, arrays.count)
    alike = (beam.key[row] + names[item]) * np.uint64(2 * arrays.count + 1) + item.astype(np.uint64)
    first = np.sort(np.unique(alike, return_index=True)[1])[:_WIDTH]  # one of same set, same last
    row, item = row[first], item[first]
    done = beam.done[row]
    done[np.arange(row.size), item] = True
    return _Beam(
        orders=np.column_stack([beam.orders[row], item]),
        done=done,
        elapsed_s=beam.elapsed_s[row] + arrays.duration_s[item],
        restored_s=beam.restored_s[:, row] + arrays.restores_s[:, item],
        score=score[row, item],
        key=beam.key[row] + names[item],
    )


def _hope(arrays: Arrays, guide: Bound, beam: _Beam) -> Array:
    """Return what the prices allow for what comes after each item, (m, n)."""
    line = guide.line
    bit = np.zeros(arrays.count, dtype=np.intp)
    bit[list(line.pauses)] = 1 << np.arange(len(line.pauses))
    copy = (beam.done @ bit)[:, None] | bit
    end_s = (beam.done @ line.on_line_s)[:, None] + line.on_line_s
    slot = np.minimum(end_s / line.slot_s, guide.rest.shape[1] - 1).astype(np.intp)
    open_price = guide.price.sum() - beam.done @ guide.price
    return np.asarray(guide.rest[copy, slot] + open_price[:, None] - guide.price)


def _improved(arrays: Arrays, order: Orders, progress: Progress) -> Orders:
    """Return an order after small changes, each the best of its round."""
    best_score = float(scores(arrays, order[None, :])[0])
    for done in range(_ROUNDS):
        changed = _neighbours(order, arrays.count)
        value = scores(arrays, changed)
        top = int(np.argmax(value))
        if not value[top] > best_score + 1e-9 * max(1.0, abs(best_score)):
            break
        order, best_score = changed[top][changed[top] >= 0], float(value[top])
        progress((done + 1) / _ROUNDS)
    return order


def _neighbours(order: Orders, count: int) -> Orders:
    """Return every order that is one small change away, (m, length + 1)."""
    length, outside = order.size, np.setdiff1d(np.arange(count), order)
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
            rows += [np.insert(left, k, part) for k in range(left.size + 1) if k != i]
    padded = np.full((len(rows), length + 1), -1, dtype=np.intp)
    for row, places in zip(padded, rows, strict=True):
        row[: places.size] = order[places]
    return np.vstack([padded, _with_outside(order, outside)])


def _with_outside(order: Orders, outside: Orders) -> Orders:
    """Return the orders with one item more, and with one exchanged for another."""
    rows = [np.insert(order, k, j) for j in outside for k in range(order.size + 1)]
    for j in outside:
        for k in range(order.size):
            exchanged = np.append(order, -1)
            exchanged[k] = j
            rows.append(exchanged)
    return np.array(rows, dtype=np.intp).reshape(-1, order.size + 1)
