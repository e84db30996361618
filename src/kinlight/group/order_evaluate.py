"""What a stated order comes to: times, chances, expected value, and what is wrong with it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from kinlight.group.order_model import (
    SLACK_S,
    Array,
    Item,
    Sitter,
    conventions,
    survival,
    used_s,
)
from kinlight.quantities.times import span_text

Limit = Literal["end", "arrival", "leaving", "away", "carried", "unknown", "fresh"]


@dataclass(frozen=True)
class Step:
    """One item in its place in the order.

    `chance` is that every child in it is still willing at its end, `expected_value` the picture's
    value times that.
    """

    item: Item
    start_s: float
    end_s: float
    chance: float
    expected_value: float


@dataclass(frozen=True)
class Violation:
    """A hard limit that an order breaks at one item, and the sentence that says so."""

    limit: Limit
    item: str
    person: str
    sentence: str


@dataclass(frozen=True)
class Evaluation:
    """What an order comes to. `walks` counts everyone who walks in or out between its items."""

    steps: tuple[Step, ...]
    expected_value: float
    walks: int
    violations: tuple[Violation, ...]

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is wrong with the order, one sentence each."""
        return tuple(v.sentence for v in self.violations)


@dataclass(frozen=True)
class HalfPatienceLoss:
    """What is lost if one child lasts only half as long as planned."""

    child: str
    pictures: tuple[str, ...]
    value: float


def evaluate(
    order: Sequence[Item], sitters: Sequence[Sitter], *, ends_s: float = math.inf
) -> Evaluation:
    """Return what an order comes to, without any search.

    Parameters
    ----------
    order : what is done, one after the other from time 0 on.
    sitters : everyone named in it.
    ends_s : when the sitting must be over [s].

    Notes
    -----
    Expected value = sum over pictures of value x product over its children of `survival` at the
    picture's end, children independent of each other. A limit that is broken is reported and
    takes nothing from the value.
    """
    who = {s.id: s for s in sitters}
    steps, broken, now_s = [], list[Violation](), 0.0
    restored_s = dict.fromkeys(who, 0.0)
    before: Item | None = None
    for item in order:
        step = _step(item, now_s, who, restored_s)
        steps.append(step)
        broken += [*_broken(step, before, who, ends_s), *_fresh(step, who, restored_s)]
        for child, back_s in item.restores_s.items():
            restored_s[child] = restored_s.get(child, 0.0) + back_s
        now_s, before = step.end_s, item
    return Evaluation(
        steps=tuple(steps),
        expected_value=math.fsum(s.expected_value for s in steps),
        walks=sum(walks_between(a, b) for a, b in itertools.pairwise(order)),
        violations=tuple(broken),
    )


def walks_between(before: Item, after: Item) -> int:
    """Return how many people walk in or out between two items.

    In a wait, break or feed nobody is in front of the camera. A change at the camera from one
    picture to the next counts as so many people more (order.toml).
    """
    out = set(before.people) if before.is_picture else set()
    into = set(after.people) if after.is_picture else set()
    changed = before.is_picture and after.is_picture and before.camera != after.camera
    return len(out ^ into) + changed * int(conventions()["camera"]["change_walks"])


def half_patience_loss(
    order: Sequence[Item], sitters: Sequence[Sitter], *, child: str
) -> HalfPatienceLoss:
    """Return what the same order loses if a child is willing until half their patience, no longer.

    Notes
    -----
    A picture of the child that ends later is lost, with the value expected of it.
    """
    who = next((s for s in sitters if s.id == child), None)
    if who is None or who.patience_s is None:
        return HalfPatienceLoss(child, (), 0.0)
    lost, back_s = list[Step](), 0.0
    for step in evaluate(order, sitters).steps:
        late = float(used_s(who, step.end_s)) - back_s > who.patience_s / 2 + SLACK_S
        if step.item.is_picture and child in step.item.people and late:
            lost.append(step)
        back_s += step.item.restores_s.get(child, 0.0)
    return HalfPatienceLoss(
        child, tuple(s.item.id for s in lost), math.fsum(s.expected_value for s in lost)
    )


def willing(sitter: Sitter, *, at_s: float, restored_s: float) -> float:
    """Return the chance that someone is still willing at a time [-]."""
    if sitter.patience_s is None:
        return 1.0
    return float(survival((used_s(sitter, at_s) - restored_s) / sitter.patience_s))


def _step(
    item: Item, start_s: float, who: Mapping[str, Sitter], restored_s: Mapping[str, float]
) -> Step:
    """Return an item in its place."""
    end_s, chance = start_s + item.duration_s, 1.0
    if item.is_picture:
        here = [who[p] for p in item.people if p in who]
        chance = math.prod(willing(p, at_s=end_s, restored_s=restored_s[p.id]) for p in here)
    return Step(item, start_s, end_s, chance, item.value * chance if item.is_picture else 0.0)


def _broken(
    step: Step, before: Item | None, who: Mapping[str, Sitter], ends_s: float
) -> Iterator[Violation]:
    """Yield the limits that an item breaks in its place."""
    item, name = step.item, f"'{step.item.id}'"
    if step.end_s > ends_s + SLACK_S:
        late = span_text(step.end_s - ends_s)
        yield Violation("end", item.id, "", f"{name} ends {late} after the sitting is over")
    for person in item.people:
        if person not in who:
            yield Violation("unknown", item.id, person, f"{name}: nobody is called {person}")
        else:
            yield from _not_there(step, who[person])
    if before is not None and before.is_picture and item.is_picture:
        for child in sorted(before.carried & item.carried):
            twice = f"{child} is carried in '{before.id}' and again in {name}, with no pause"
            yield Violation("carried", item.id, child, twice)


def unused_s(sitter: Sitter, *, end_s: ArrayLike, restored_s: ArrayLike) -> Array:
    """Return how much patience has been used by a time and not been given back yet [s]."""
    return used_s(sitter, end_s) - np.asarray(restored_s, dtype=np.float64)


def _fresh(
    step: Step, who: Mapping[str, Sitter], restored_s: Mapping[str, float]
) -> Iterator[Violation]:
    """Yield whom a break would give back more patience than they have used by its end."""
    for child, back_s in step.item.restores_s.items():
        if child in who:
            spent = unused_s(who[child], end_s=step.end_s, restored_s=restored_s[child])
            if spent < back_s - SLACK_S:
                text = f"'{step.item.id}' comes before {child} has used up what it gives back"
                yield Violation("fresh", step.item.id, child, text)


def _not_there(step: Step, person: Sitter) -> Iterator[Violation]:
    """Yield why a person is not there for the whole of an item."""
    item, name = step.item, f"'{step.item.id}'"
    if step.start_s < person.arrives_s - SLACK_S:
        early = span_text(person.arrives_s - step.start_s)
        text = f"{name} starts {early} before {person.id} arrives"
        yield Violation("arrival", item.id, person.id, text)
    if step.end_s > person.leaves_s + SLACK_S:
        late = span_text(step.end_s - person.leaves_s)
        text = f"{name} ends {late} after {person.id} has to leave"
        yield Violation("leaving", item.id, person.id, text)
    for from_s, to_s in person.away_s:
        if step.end_s > from_s + SLACK_S and step.start_s < to_s - SLACK_S:
            span = f"{span_text(from_s)} to {span_text(to_s)} after the start"
            text = f"{name} falls into the time {person.id} is away, {span}"
            yield Violation("away", item.id, person.id, text)
