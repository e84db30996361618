"""What no running order can exceed: the best way along a time line, with prices on the pictures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.group.order_arrays import Arrays
from kinlight.group.order_line import Line, line_of
from kinlight.group.order_model import Array

_ROUNDS = 120
_PATIENT_ROUNDS = 8  # without a better bound, until the step is halved
_FALLING_SHARE = 1e-4  # a bound that falls by less is no better
Progress = Callable[[float], None]


@dataclass(frozen=True)
class Bound:
    """What no order can exceed, and how it was found.

    Attributes
    ----------
    limit : no order is worth more [-].
    price : (n,) what each picture is charged for standing in the order once [-].
    rest : (2^p, slots + 1) what each copy of the line is worth from a slot on, after prices [-].
    line : the line.
    """

    limit: float
    price: Array
    rest: Array
    line: Line


def bound(
    arrays: Arrays, weight: Array, *, known: float, progress: Progress | None = None
) -> Bound:
    """Return an upper bound of the sum of weight x chance over every order that keeps the limits.

    Parameters
    ----------
    weight : (n,) what each item is worth at chance 1 [-].
    known : what some order is worth; only a guide for the steps [-].

    Notes
    -----
    Every order can be laid on the line of `line_of` without losing anything. On it standing idle
    and walking are free, carrying twice running is allowed, and a picture may stand more than
    once, against a price. Whatever the prices, as long as none is below 0, no order is worth more
    than the sum of all prices and the best way along the line after prices: one that takes each
    picture at most once pays no more than that sum. Subgradient steps [held1974] improve the
    prices. What is shorter than a slot is given away.
    """
    line = line_of(arrays, weight)
    most = np.maximum(line.worth.max(axis=(0, 2), initial=0.0), 0.0)
    priced = (most > 0) & (line.slots > 0)
    free = float(most[~priced].sum())
    price, step, waited = np.where(priced, most / 2, 0.0), 1.0, 0
    best = Bound(np.inf, price, np.zeros((line.worth.shape[0], line.worth.shape[2] + 1)), line)
    for done in range(_ROUNDS):
        rest, times = _best_way(line, price, priced)
        limit = free + float(rest[0, 0] + price.sum())
        waited += 1
        if limit < best.limit * (1 - _FALLING_SHARE):
            waited = 0
        if limit < best.limit:
            best = Bound(limit, price, rest, line)
        if waited >= _PATIENT_ROUNDS:
            step, waited = step / 2, 0
        wrong = np.where(priced & ((times > 0) | (price > 0)), times - 1.0, 0.0)
        if not wrong.any() or best.limit <= known * (1 + 1e-6):
            break
        length = step * max(limit - known, 1e-9 * limit) / float(wrong @ wrong)
        price = np.maximum(price + length * wrong, 0.0)
        if progress is not None:
            progress((done + 1) / _ROUNDS)
    return best


def _best_way(line: Line, price: Array, priced: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Return what each copy is worth from a slot on, and how often the best way takes each item."""
    copies, _, slots = line.worth.shape
    rest = np.zeros((copies, slots + 1 + int(line.slots.max(initial=1))))
    gain = np.full((copies, slots), -np.inf)
    rows = np.flatnonzero(priced)
    net = line.worth[:, rows] - price[rows, None]
    for copy in reversed(range(copies)):
        pause = _after_pause(line, rest, copy)
        _fill(net[copy], line.slots[rows], pause, rest[copy], gain[copy])
    return rest[:, : slots + 1], _times(line, net, rows, rest, gain)


def _after_pause(line: Line, rest: Array, copy: int) -> Array:
    """Return what it is worth to take the best open pause in each slot, (slots,)."""
    worth = np.full(line.worth.shape[2], -np.inf)
    for k, item in enumerate(line.pauses):
        if not copy >> k & 1:
            at = np.flatnonzero(line.can_pause[k])
            later = rest[copy | 1 << k, at + line.slots[item]]
            worth[at] = np.maximum(worth[at], later)
    return worth


def _fill(net: Array, length: NDArray[np.intp], pause: Array, rest: Array, gain: Array) -> None:
    """Fill in one copy backward, as many slots at once as the shortest picture has."""
    slots = gain.size
    block = int(length.min(initial=slots))
    for end in range(slots, 0, -block):
        start = max(0, end - block)
        here = np.arange(start, end)
        gain[start:end] = pause[start:end]
        if length.size:
            taken = (net[:, start:end] + rest[here + length[:, None]]).max(axis=0)
            np.maximum(gain[start:end], taken, out=gain[start:end])
        running = np.maximum.accumulate(np.append(rest[end], gain[start:end][::-1]))
        rest[start:end] = running[:0:-1]


def _times(line: Line, net: Array, rows: NDArray[np.intp], rest: Array, gain: Array) -> Array:
    """Return how often the best way along the line takes each item."""
    slots, copy, at = gain.shape[1], 0, 0
    times = np.zeros(line.slots.size)
    length = line.slots[rows]
    while at < slots and rest[copy, at] > 0:
        if gain[copy, at] < rest[copy, at]:  # idle until something is worth as much
            at += int(np.argmax(gain[copy, at:] >= rest[copy, at]))
        options = net[copy, :, at] + rest[copy, at + length]
        row = int(np.argmax(options)) if options.size else -1
        if row >= 0 and options[row] >= gain[copy, at]:
            times[rows[row]] += 1
            at += int(length[row])
        else:
            copy, at = _through_pause(line, rest, copy, at)
    return times


def _through_pause(line: Line, rest: Array, copy: int, at: int) -> tuple[int, int]:
    """Return where the best open pause leads."""
    ways = [
        (copy | 1 << k, at + int(line.slots[item]))
        for k, item in enumerate(line.pauses)
        if not copy >> k & 1 and line.can_pause[k, at]
    ]
    return max(ways, key=lambda way: float(rest[way]))
