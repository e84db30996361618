"""What no running order can exceed: a relaxation on a time line, with prices on the pictures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinlight.group.order_arrays import Arrays
from kinlight.group.order_model import Array, Sitter, survival, used_s

_SLOTS = 3000
_ROUNDS = 150
_PATIENT_ROUNDS = 10  # without a better bound, until the step is halved
Progress = Callable[[float], None]


@dataclass(frozen=True)
class Bound:
    """What no order can exceed, and how it was found.

    Attributes
    ----------
    limit : no order is worth more [-].
    price : (n,) what each picture is charged for standing in the order once [-].
    rest : (slots + 1,) what the time from each slot on is worth after those prices [-].
    slot_s : length of a slot [s].
    """

    limit: float
    price: Array
    rest: Array
    slot_s: float


@dataclass(frozen=True)
class _Line:
    """The pictures on the time line: worth (k, slots) of starting in a slot, length in slots."""

    worth: Array
    length: Array
    slot_s: float


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
    Every order is mapped into a wider set, whose maximum is found, so that none can exceed it:
    (1) breaks and feeds take no time and are all enjoyed from the start: to each child they give
    what they give back less what they last, if that is positive (all of it, if the child has
    times away); everyone is taken to be there also as long before as all breaks last. (2) Time
    is cut into slots. A picture starts in the slot its start falls into, at the best of that
    slot's times, and keeps the next one away for its duration rounded down to slots. Standing
    idle is free, and so is walking; carrying twice running is allowed. (3) A picture may stand in
    the order more than once, against a price; any price not below 0 gives a bound, the sum of
    all prices plus the best way along the line after prices. The prices are improved by
    subgradient steps [held1974].
    """
    line = _line(arrays, weight)
    held = line.length > 0  # what is shorter than a slot is given away
    best_each = np.maximum(line.worth.max(axis=1, initial=0.0), 0.0)
    free = float(best_each[~held].sum())
    price, step = np.where(held, best_each / 2, 0.0), 1.0
    best, waited = Bound(np.inf, price, np.zeros(line.worth.shape[1] + 1), line.slot_s), 0
    for done in range(_ROUNDS):
        rest, times = _best_way(line, price, held)
        limit = free + float(rest[0] + price.sum())
        waited += 1
        if limit < best.limit:
            best, waited = Bound(limit, price, rest, line.slot_s), 0
        elif waited % _PATIENT_ROUNDS == 0:
            step /= 2
        wrong = np.where(held & ((times != 1) & ((times > 0) | (price > 0))), times - 1.0, 0.0)
        if not wrong.any() or best.limit <= known * (1 + 1e-6):
            break
        length = step * max(limit - known, 1e-9 * limit) / float(wrong @ wrong)
        price = np.maximum(price + length * wrong, 0.0)
        if progress is not None:
            progress((done + 1) / _ROUNDS)
    return best


def squeezed_s(arrays: Arrays) -> Array:
    """Return how long each item is on the bound's time line: breaks and feeds take no time [s]."""
    breaks = [item.kind in ("break", "feed") for item in arrays.programme.items]
    return np.where(breaks, 0.0, arrays.duration_s)


def _line(arrays: Arrays, weight: Array) -> _Line:
    """Return the relaxed time line."""
    on_line_s = squeezed_s(arrays)
    span_s = min(float(on_line_s.sum()), arrays.programme.ends_s)
    slot_s = max(span_s / _SLOTS, 1e-3)
    slots = max(1, int(np.ceil(span_s / slot_s)))
    edges_s = slot_s * np.arange(slots)
    worth = np.full((arrays.count, slots), -np.inf)
    for i, item in enumerate(arrays.programme.items):
        if item.is_picture and weight[i] > 0:
            worth[i] = weight[i] * _best_chance(arrays, i, edges_s, slot_s)
    length = np.where(worth.max(axis=1, initial=0.0) > 0, np.floor(on_line_s / slot_s + 1e-9), 1)
    return _Line(worth, length.astype(np.intp), slot_s)


def _best_chance(arrays: Arrays, i: int, edges_s: Array, slot_s: float) -> Array:
    """Return the best chance of a picture that starts in each slot; -inf where it cannot."""
    item, programme = arrays.programme.items[i], arrays.programme
    people = [s for s in programme.sitters if s.id in item.people]
    breaks_s = float((arrays.duration_s - squeezed_s(arrays)).sum())
    chance = np.ones(edges_s.size)
    for person in people:
        if person.patience_s is not None:
            used = used_s(person, edges_s + item.duration_s) - _net_gain_s(arrays, person)
            chance *= survival(used / person.patience_s)
    possible = np.zeros(edges_s.size, dtype=bool)
    for from_s, to_s in _starts_s(arrays, people, item.duration_s):
        possible |= (edges_s <= to_s + 1e-3) & (edges_s + slot_s >= from_s - breaks_s - 1e-3)
    return np.where(possible, chance, -np.inf)


def _net_gain_s(arrays: Arrays, person: Sitter) -> float:
    """Return the most patience all breaks can give a person beside the time they take."""
    if person.id not in arrays.helped:
        return 0.0
    back_s = arrays.restores_s[arrays.helped.index(person.id)]
    taken_s = 0.0 if person.away_s else arrays.duration_s
    return float(np.maximum(back_s - taken_s, 0.0).sum())


def _starts_s(arrays: Arrays, people: list[Sitter], duration_s: float) -> list[tuple[float, float]]:
    """Return the spans in which something of this duration can start with everyone there."""
    earliest = max((p.arrives_s for p in people), default=0.0)
    latest = min([*(p.leaves_s for p in people), arrays.programme.ends_s]) - duration_s
    spans = []
    for from_s, to_s in sorted(away for p in people for away in p.away_s):
        spans.append((earliest, min(latest, from_s - duration_s)))
        earliest = max(earliest, to_s)
    spans.append((earliest, latest))
    return [(a, b) for a, b in spans if b >= a - 1e-3]


def _best_way(line: _Line, price: Array, held: Array) -> tuple[Array, Array]:
    """Return what the time from each slot on is worth after prices, and how often each is used.

    Slots are worked through backward, as many at once as the shortest picture has.
    """
    rows = np.flatnonzero(held & (line.worth > -np.inf).any(axis=1))
    slots, times = line.worth.shape[1], np.zeros(price.size)
    rest = np.zeros(slots + 1 + int(line.length.max(initial=1)))
    if rows.size == 0:
        return rest[: slots + 1], times
    net, length = line.worth[rows] - price[rows, None], line.length[rows]
    gain = np.empty(slots)
    block = int(length.min())
    for end in range(slots, 0, -block):
        here = np.arange(max(0, end - block), end)
        gain[here] = (net[:, here] + rest[here[None, :] + length[:, None]]).max(axis=0)
        running = np.maximum.accumulate(np.append(rest[end], gain[here][::-1]))
        rest[here] = running[1:][::-1]
    at = 0
    taken = np.flatnonzero((gain >= rest[:slots]) & (gain > rest[1 : slots + 1]))
    while (k := int(np.searchsorted(taken, at))) < taken.size:
        at = int(taken[k])
        row = int(np.argmax(net[:, at] + rest[at + length]))
        times[rows[row]] += 1
        at += int(length[row])
    return rest[: slots + 1], times
