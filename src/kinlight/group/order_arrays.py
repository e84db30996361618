"""A programme as arrays, so that many partial orders are weighed at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.group.order_evaluate import unused_s, walks_between
from kinlight.group.order_model import SLACK_S, Array, Item, Programme, Sitter, survival, used_s


@dataclass(frozen=True)
class Arrays:
    """A programme of n items as arrays.

    Attributes
    ----------
    programme : what it was made from.
    duration_s : (n,) [s].
    weight : (n,) value, and the bonus of a must-have [-].
    change : (n, n) what is added when column follows row: minus the cost of walking, -inf where a
        heavy child would be carried twice running [-].
    helped : children to whom some break gives patience back.
    restores_s : (len(helped), n) how much [s].
    """

    programme: Programme
    duration_s: Array
    weight: Array
    change: Array
    helped: tuple[str, ...]
    restores_s: Array

    @property
    def count(self) -> int:
        """How many items there are."""
        return len(self.programme.items)

    def worth(self, item: int, start_s: Array, restored_s: Array) -> Array:
        """Return what doing an item is worth, -inf where a hard limit forbids it.

        Parameters
        ----------
        item : its index.
        start_s : (m,) times at which it would start [s].
        restored_s : (len(helped), m) patience given back before [s].
        """
        it, people = self.programme.items[item], self._people(item)
        end_s = start_s + it.duration_s
        result = np.full(start_s.shape, self.weight[item])
        if it.is_picture:
            for person in people:
                if person.patience_s is not None:
                    result *= self._willing(person, person.patience_s, end_s, restored_s)
        allowed = self._allowed(people, start_s, end_s) & self._used_up(item, end_s, restored_s)
        result[~allowed] = -np.inf
        return result

    def _used_up(self, item: int, end_s: Array, restored_s: Array) -> NDArray[np.bool_]:
        """Return where everyone has used the patience that a break gives back, (m,)."""
        used_up = np.ones(end_s.shape, dtype=np.bool_)
        for person in self._people(item):
            back_s = self.programme.items[item].restores_s.get(person.id, 0.0)
            if back_s:
                before = restored_s[self.helped.index(person.id)]
                spent = unused_s(person, end_s=end_s, restored_s=before)
                used_up &= spent >= back_s - SLACK_S
        return used_up

    def _people(self, item: int) -> list[Sitter]:
        inside = self.programme.items[item].people
        return [s for s in self.programme.sitters if s.id in inside]

    def _willing(self, person: Sitter, patience_s: float, end_s: Array, restored_s: Array) -> Array:
        """Return the chance that one child is still willing, (m,)."""
        used = used_s(person, end_s)
        if person.id in self.helped:
            used = used - restored_s[self.helped.index(person.id)]
        return survival(used / patience_s)

    def _allowed(self, people: list[Sitter], start_s: Array, end_s: Array) -> NDArray[np.bool_]:
        """Return where everyone is there from start to end and the sitting is not over."""
        earliest = max((p.arrives_s for p in people), default=0.0)
        latest = min((p.leaves_s for p in people), default=np.inf)
        latest = min(latest, self.programme.ends_s)
        allowed: NDArray[np.bool_] = (start_s >= earliest - SLACK_S) & (end_s <= latest + SLACK_S)
        for from_s, to_s in (away for p in people for away in p.away_s):
            allowed &= (end_s <= from_s + SLACK_S) | (start_s >= to_s - SLACK_S)
        return allowed


def arrays_of(programme: Programme) -> Arrays:
    """Return a programme as arrays."""
    items, bonus = programme.items, programme.must_bonus
    helped = tuple(s.id for s in programme.sitters if any(i.restores_s.get(s.id) for i in items))
    weight = [(i.value + bonus * i.must) * i.is_picture for i in items]
    change = [[_change(a, b, programme.walk_cost) for b in items] for a in items]
    restores = [[i.restores_s.get(child, 0.0) for i in items] for child in helped]
    return Arrays(
        programme=programme,
        duration_s=np.array([i.duration_s for i in items], dtype=np.float64),
        weight=np.array(weight, dtype=np.float64),
        change=np.array(change, dtype=np.float64).reshape(len(items), len(items)),
        helped=helped,
        restores_s=np.array(restores, dtype=np.float64).reshape(len(helped), len(items)),
    )


def _change(before: Item, after: Item, walk_cost: float) -> float:
    """Return what is added when one item follows another."""
    if before.is_picture and after.is_picture and before.carried & after.carried:
        return -np.inf
    return -walk_cost * walks_between(before, after)
