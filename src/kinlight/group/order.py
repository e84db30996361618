"""The running order: which pictures are made, one after the other, so that most of them succeed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinlight.group.order_arrays import arrays_of
from kinlight.group.order_bound import bound
from kinlight.group.order_evaluate import (
    Evaluation,
    HalfPatienceLoss,
    Step,
    Violation,
    evaluate,
    half_patience_loss,
)
from kinlight.group.order_exact import exact_order
from kinlight.group.order_left_out import LeftOut, left_out
from kinlight.group.order_model import (
    Item,
    Programme,
    Sitter,
    picture_duration_s,
    survival,
    wait_items,
)
from kinlight.group.order_search import search_order

__all__ = [
    "EXACT_LIMIT",
    "Evaluation",
    "HalfPatienceLoss",
    "Item",
    "LeftOut",
    "Order",
    "Programme",
    "Sitter",
    "Step",
    "Violation",
    "best_order",
    "evaluate",
    "half_patience_loss",
    "picture_duration_s",
    "score",
    "survival",
    "wait_items",
]

EXACT_LIMIT = 18  # items; a subset table of more takes over 100 MB and seconds


@dataclass(frozen=True)
class Order:
    """A running order and what it comes to.

    Attributes
    ----------
    evaluation : the items in order with their times, chances and values.
    score : what was made as large as possible: value and bonus of musts times chance, less the
        cost of walking [-].
    left_out : the pictures not made.
    exact : whether no order has a higher score.
    possible_value : the expected value that no order can exceed; of an exact order, its own [-].
    """

    evaluation: Evaluation
    score: float
    left_out: tuple[LeftOut, ...]
    exact: bool
    possible_value: float

    @property
    def items(self) -> tuple[Item, ...]:
        """The items in order."""
        return tuple(step.item for step in self.evaluation.steps)

    @property
    def short_percent(self) -> float:
        """At most how much its expected value is under the best possible [%]."""
        if self.possible_value <= 0:
            return 0.0
        share = self.evaluation.expected_value / self.possible_value
        return 100 * max(0.0, 1 - share)


def best_order(programme: Programme, *, progress: Callable[[float], None] | None = None) -> Order:
    """Return the best running order; of more than `EXACT_LIMIT` items, a good one with a bound.

    Parameters
    ----------
    programme : what to choose from; items may be left out.
    progress : called with the share that is done, by the long search.

    Notes
    -----
    Durations are fixed, so the time at which an item starts depends only on the set of items done
    before it. Made as large as possible: sum of (value + bonus if a must) x chance, less the cost
    of walking; the bonus is the sum of all values. `evaluate` says what a chance is.
    """
    arrays = arrays_of(programme)
    exact = arrays.count <= EXACT_LIMIT
    chosen = exact_order(arrays) if exact else search_order(arrays, progress=progress)
    order = tuple(programme.items[i] for i in chosen)
    found = evaluate(order, programme.sitters, ends_s=programme.ends_s)
    possible = known = found.expected_value
    if not exact:
        values = [item.value * item.is_picture for item in programme.items]
        possible = max(known, bound(arrays, np.array(values), known=known).limit)
    return Order(
        evaluation=found,
        score=score(found, programme),
        left_out=tuple(left_out(programme, order)),
        exact=exact,
        possible_value=possible,
    )


def score(found: Evaluation, programme: Programme) -> float:
    """Return what `best_order` makes as large as possible [-]."""
    musts = math.fsum(s.chance for s in found.steps if s.item.must and s.item.is_picture)
    return found.expected_value + programme.must_bonus * musts - programme.walk_cost * found.walks
