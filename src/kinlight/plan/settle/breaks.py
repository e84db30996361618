"""Proposing a running order in which no pause is taken that gains nothing, or sooner than it need.

The best order may hold a break that does no harm, at a place where it does no good yet.
"""

from __future__ import annotations

from collections.abc import Callable

from kinlight.group.order import Item, Programme, best_order, evaluate, score

_SAME = 1e-9


def proposed_order(
    programme: Programme, *, progress: Callable[[float], None] | None = None
) -> tuple[Item, ...]:
    """Return the best running order, its pauses left out or put off where that is free."""
    items = best_order(programme, progress=progress).items
    for pause in [item for item in items if not item.is_picture]:
        items = _latest(programme, items, pause)
    return _one_wait(items)


def _one_wait(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """Return the order with waits that follow each other made one."""
    merged: list[Item] = []
    for item in items:
        if item.kind == "wait" and merged and merged[-1].kind == "wait":
            total_s = merged.pop().duration_s + item.duration_s
            item = Item(f"wait {total_s / 60:g} min", total_s, kind="wait")
        merged.append(item)
    return tuple(merged)


def _latest(programme: Programme, items: tuple[Item, ...], pause: Item) -> tuple[Item, ...]:
    """Return the order without a pause, or with it as late as it is worth as much."""
    reached = _worth(programme, items)
    rest = tuple(item for item in items if item is not pause)
    later = [(*rest[:at], pause, *rest[at:]) for at in range(len(rest), -1, -1)]
    for order in (rest, *later):
        if _worth(programme, order) >= reached - _SAME * max(1.0, abs(reached)):
            return order
    return items


def _worth(programme: Programme, items: tuple[Item, ...]) -> float:
    """Return what an order comes to, walking apart; minus infinity if it breaks a limit."""
    found = evaluate(items, programme.sitters, ends_s=programme.ends_s)
    if found.violations:
        return float("-inf")
    return score(found, programme) + programme.walk_cost * found.walks
