"""Why a picture stands nowhere in a running order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kinlight.group.order_evaluate import Evaluation, Violation, evaluate
from kinlight.group.order_model import Item, Programme

Why = Literal["no time", "patience", "arrival", "carried", "not worth it"]
_WHY: dict[str, Why] = {
    "end": "no time",
    "leaving": "no time",
    "arrival": "arrival",
    "away": "arrival",
    "carried": "carried",
}


@dataclass(frozen=True)
class LeftOut:
    """A picture that is not made, and why."""

    item: str
    why: Why
    sentence: str


@dataclass(frozen=True)
class _Tried:
    """An order with one more picture put in at `place`, and the limits that one breaks itself."""

    found: Evaluation
    place: int
    own: tuple[Violation, ...]

    @property
    def chance(self) -> float:
        return self.found.steps[self.place].chance


def left_out(programme: Programme, order: Sequence[Item]) -> Iterator[LeftOut]:
    """Yield the pictures of a programme that are not in an order, each with the reason.

    Notes
    -----
    The picture is put into the order at every place. If a limit forbids all of them, that limit
    is the reason; if no patience is left at any that is allowed, patience; if every allowed place
    makes another item break a limit, time; else it would bring less than it costs the others.
    """
    done = {item.id for item in order}
    for item in programme.items:
        if item.is_picture and item.id not in done:
            yield _reason(programme, order, item)


def _reason(programme: Programme, order: Sequence[Item], item: Item) -> LeftOut:
    """Return why one picture is not in an order."""
    tried = [_try(programme, order, item, place) for place in range(len(order) + 1)]
    allowed = [t for t in tried if not t.own]
    if not allowed:
        return _forbidden(item, tried)
    if all(t.chance == 0 for t in allowed):
        tired = _without_patience(programme, allowed[0], item)
        return LeftOut(item.id, "patience", f"{tired} would have no patience left for '{item.id}'")
    if item.value == 0 and not item.must:
        return LeftOut(item.id, "not worth it", f"'{item.id}' brings nothing")
    if all(t.found.violations for t in allowed):
        text = f"there is no time for '{item.id}' beside what brings more"
        return LeftOut(item.id, "no time", text)
    text = f"'{item.id}' would cost the other pictures more than it brings"
    return LeftOut(item.id, "not worth it", text)


def _try(programme: Programme, order: Sequence[Item], item: Item, place: int) -> _Tried:
    """Return the order with the picture put in before the item at `place`."""
    longer = [*order[:place], item, *order[place:]]
    found = evaluate(longer, programme.sitters, ends_s=programme.ends_s)
    return _Tried(found, place, tuple(v for v in found.violations if v.item == item.id))


def _forbidden(item: Item, tried: Sequence[_Tried]) -> LeftOut:
    """Return the limit that keeps a picture out: an arrival if it still holds at the end."""
    last, first = tried[-1].own, tried[0].own
    late = next((v for v in last if v.limit == "arrival"), None)
    limit = late or next((v for v in first if v.limit != "arrival"), None) or last[0]
    if limit.limit != "arrival" and any(v.limit == "arrival" for t in tried for v in t.own):
        text = f"not everyone in '{item.id}' is there together when there would be time for it"
        return LeftOut(item.id, "arrival", text)
    return LeftOut(item.id, _WHY[limit.limit], limit.sentence)


def _without_patience(programme: Programme, tried: _Tried, item: Item) -> str:
    """Return who has no patience left for a picture."""
    order = [step.item for step in tried.found.steps]
    for child in item.people:
        alone = [s if s.id == child else replace(s, patience_s=None) for s in programme.sitters]
        if evaluate(order, alone).steps[tried.place].chance == 0:
            return child
    return " and ".join(item.people)
