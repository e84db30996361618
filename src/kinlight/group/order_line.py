"""The running order as a time line cut into slots, wide enough to hold every possible order."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.group.order_arrays import Arrays
from kinlight.group.order_model import Array, Sitter, survival, used_s

_SLOTS = 3000
_MOST_PAUSES = 3  # that stand on the line; each doubles the work
_NEAR_S = 1e-3


@dataclass(frozen=True)
class Line:
    """A time line of s slots for n items, with p of the breaks and feeds on it.

    The line exists in 2^p copies: in copy k those pauses have been taken whose bit is in k.

    Attributes
    ----------
    slot_s : length of a slot [s].
    worth : (2^p, n, s) the most that starting a picture in a slot can be worth, -inf where it
        cannot start, or where the item is no picture [-].
    slots : (n,) how long each item is, in whole slots, rounded down.
    pauses : the items that are pauses on the line.
    can_pause : (p, s) whether each of them can start in a slot.
    line_duration_s : (n,) what each item takes on the line; other pauses take nothing [s].
    """

    slot_s: float
    worth: Array
    slots: NDArray[np.intp]
    pauses: tuple[int, ...]
    can_pause: NDArray[np.bool_]
    line_duration_s: Array


def line_of(arrays: Arrays, weight: Array) -> Line:
    """Return the line on which every order of a programme can be laid without losing anything.

    Notes
    -----
    A picture starts in the slot its start falls into, at the best of that slot's times, and keeps
    later ones away for its duration rounded down. A pause that is not on the line takes no time
    there: it gives each child from the start what it gives back less what it lasts, if that is
    positive (all of it, if the child has times away), and everyone is there as long before as all
    such pauses last.
    """
    items = arrays.programme.items
    every = [i for i, item in enumerate(items) if item.kind in ("break", "feed")]
    pauses = tuple(sorted(every, key=lambda i: -arrays.restores_s[:, i].sum())[:_MOST_PAUSES])
    aside = [i for i in every if i not in pauses]
    line_duration_s = arrays.duration_s.copy()
    line_duration_s[aside] = 0.0
    span_s = min(float(line_duration_s.sum()), arrays.programme.ends_s)
    slot_s = max(span_s / _SLOTS, _NEAR_S)
    slots = max(1, int(np.ceil(span_s / slot_s)))
    edges_s = slot_s * np.arange(slots, dtype=np.float64)
    worth = np.full((2 ** len(pauses), len(items), edges_s.size), -np.inf)
    for i in np.flatnonzero(weight > 0).tolist():
        possible = _possible(arrays, i, edges_s, slot_s, aside)
        for taken in range(2 ** len(pauses)):
            back = [p for k, p in enumerate(pauses) if taken >> k & 1]
            chance = _chance(arrays, i, edges_s, back, aside)
            worth[taken, i] = np.where(possible, weight[i] * chance, -np.inf)
    can_pause = [_possible(arrays, i, edges_s, slot_s, aside) for i in pauses]
    return Line(
        slot_s=slot_s,
        worth=worth,
        slots=np.floor(line_duration_s / slot_s + 1e-9).astype(np.intp),
        pauses=pauses,
        can_pause=np.array(can_pause, dtype=bool).reshape(len(pauses), edges_s.size),
        line_duration_s=line_duration_s,
    )


def _chance(arrays: Arrays, i: int, edges_s: Array, back: list[int], aside: list[int]) -> Array:
    """Return the chance of a picture that starts at each edge, with those pauses taken."""
    item, chance = arrays.programme.items[i], np.ones(edges_s.size)
    for person in _people(arrays, i):
        if person.patience_s is not None:
            used = used_s(person, edges_s + item.duration_s)
            if person.id in arrays.helped:
                row = arrays.restores_s[arrays.helped.index(person.id)]
                lasts_s = 0.0 if person.away_s else arrays.duration_s[aside]
                used = used - row[back].sum() - np.maximum(row[aside] - lasts_s, 0.0).sum()
            chance *= survival(used / person.patience_s)
    return chance


def _possible(
    arrays: Arrays, i: int, edges_s: Array, slot_s: float, aside: list[int]
) -> NDArray[np.bool_]:
    """Return whether an item can start somewhere in each slot with everyone there."""
    early_s = float(arrays.duration_s[aside].sum()) + _NEAR_S
    possible = np.zeros(edges_s.size, dtype=bool)
    for from_s, to_s in _starts_s(arrays, i):
        possible |= (edges_s <= to_s + _NEAR_S) & (edges_s + slot_s >= from_s - early_s)
    return possible


def _starts_s(arrays: Arrays, i: int) -> list[tuple[float, float]]:
    """Return the spans in which an item can start with everyone there until its end."""
    people, duration_s = _people(arrays, i), arrays.programme.items[i].duration_s
    earliest = max((p.arrives_s for p in people), default=0.0)
    latest = min([*(p.leaves_s for p in people), arrays.programme.ends_s]) - duration_s
    spans = []
    for from_s, to_s in sorted(away for p in people for away in p.away_s):
        spans.append((earliest, min(latest, from_s - duration_s)))
        earliest = max(earliest, to_s)
    spans.append((earliest, latest))
    return [(a, b) for a, b in spans if b >= a - _NEAR_S]


def _people(arrays: Arrays, i: int) -> list[Sitter]:
    inside = arrays.programme.items[i].people
    return [s for s in arrays.programme.sitters if s.id in inside]
