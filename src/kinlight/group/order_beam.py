"""Running orders grown item by item, the most promising side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.group.order_arrays import Arrays
from kinlight.group.order_bound import Bound
from kinlight.group.order_changes import Orders
from kinlight.group.order_model import Array

_WIDTH = 1000


@dataclass(frozen=True)
class Found:
    """An order and its score."""

    score: float
    order: Orders


@dataclass(frozen=True)
class _Beam:
    """Partial orders of one length, side by side; `key` is the same for the same set of items."""

    orders: Orders
    done: NDArray[np.bool_]
    elapsed_s: Array
    restored_s: Array
    score: Array
    key: NDArray[np.uint64]


def beam_orders(arrays: Arrays, guide: Bound, hope: float, found: dict[int, Found]) -> None:
    """Enter into `found` the best order for each choice of pauses, by the pauses' bits.

    Parameters
    ----------
    guide : says what can still follow a partial order.
    hope : how much of that is believed in [-].
    """
    n = arrays.count
    pauses = np.flatnonzero([not item.is_picture for item in arrays.programme.items])[:60]
    names = np.random.default_rng(0).integers(0, 2**63, n, dtype=np.uint64)
    beam: _Beam | None = _Beam(
        orders=np.empty((1, 0), dtype=np.intp),
        done=np.zeros((1, n), dtype=bool),
        elapsed_s=np.zeros(1),
        restored_s=np.zeros((len(arrays.helped), 1)),
        score=np.zeros(1),
        key=np.zeros(1, dtype=np.uint64),
    )
    while beam is not None and (beam := _grown(arrays, guide, hope, beam, names)) is not None:
        code = beam.done[:, pauses] @ (1 << np.arange(pauses.size))
        ranked = np.argsort(-beam.score, kind="stable")
        for i in ranked[np.unique(code[ranked], return_index=True)[1]]:
            known = found.get(int(code[i]))
            if known is None or beam.score[i] > known.score:
                found[int(code[i])] = Found(float(beam.score[i]), beam.orders[i])


def _grown(
    arrays: Arrays, guide: Bound, hope: float, beam: _Beam, names: NDArray[np.uint64]
) -> _Beam | None:
    """Return the most promising orders that are one item longer; None if there is none."""
    n = arrays.count
    worth = [arrays.worth(j, beam.elapsed_s, beam.restored_s) for j in range(n)]
    score = np.stack(worth, axis=1) + beam.score[:, None]
    if beam.orders.shape[1]:
        score += arrays.change[beam.orders[:, -1]]
    score[beam.done] = -np.inf
    flat = np.flatnonzero(score > -np.inf)
    if flat.size == 0:
        return None
    promise = (score + hope * _allowed(arrays, guide, beam)).ravel()[flat]
    row, item = np.divmod(flat[np.argsort(-promise, kind="stable")], n)
    alike = (beam.key[row] + names[item]) * np.uint64(2 * n + 1) + item.astype(np.uint64)
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


def _allowed(arrays: Arrays, guide: Bound, beam: _Beam) -> Array:
    """Return what the prices allow for what comes after each item, (m, n)."""
    line = guide.line
    bit = np.zeros(arrays.count, dtype=np.intp)
    bit[list(line.pauses)] = 1 << np.arange(len(line.pauses))
    copy = (beam.done @ bit)[:, None] | bit
    end_s = (beam.done @ line.line_duration_s)[:, None] + line.line_duration_s
    slot = np.minimum(end_s / line.slot_s, guide.rest.shape[1] - 1).astype(np.intp)
    open_price = guide.price.sum() - beam.done @ guide.price
    return np.asarray(guide.rest[copy, slot] + open_price[:, None] - guide.price)
