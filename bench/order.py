"""Processor time of the running order: the subset table, and the search above its limit."""

from __future__ import annotations

import random
import resource
import time

from kinlight.group.order import Item, Programme, Sitter, best_order
from kinlight.group.order_arrays import arrays_of
from kinlight.group.order_exact import exact_order

_EXACT = (10, 12, 14, 16, 18, 19, 20)
_SEARCHED = (24, 36, 48, 60)


def main() -> None:
    """Print one line for each size."""
    for count in _EXACT:
        arrays = arrays_of(_programme(count))
        start_s = time.process_time()
        done = len(exact_order(arrays))
        took_s = time.process_time() - start_s
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"table, {count} items: {took_s:.2f} s, {done} done, {memory:.0f} MB at most so far")
    for count in _SEARCHED:
        programme = _programme(count)
        start_s = time.process_time()
        order = best_order(programme)
        took_s = time.process_time() - start_s
        short = f"value within {order.short_percent:.1f} % of the best possible"
        print(f"search, {count} items: {took_s:.2f} s, {len(order.items)} done, {short}")


def _programme(count: int) -> Programme:
    """Return a made-up programme of five children, six adults, a break and two waits."""
    draw = random.Random(1)
    sitters = [
        Sitter(
            f"child {i}",
            arrives_s=draw.choice([0.0, 0.0, 0.0, 600.0, 1200.0]),
            patience_s=draw.choice([900.0, 1200.0, 1500.0, 2100.0]),
        )
        for i in range(5)
    ]
    sitters += [Sitter(f"adult {i}") for i in range(6)]
    restores_s = {"child 1": 720.0, "child 2": 720.0}
    items = [
        Item("break", 600.0, "break", ("child 1", "child 2"), restores_s=restores_s),
        Item("wait 5 min", 300.0, "wait"),
        Item("wait 10 min", 600.0, "wait"),
    ]
    for number in range(count - len(items)):
        people = draw.sample(sitters[:5], draw.choice([1, 1, 2, 2, 3]))
        people += draw.sample(sitters[5:], draw.choice([0, 1, 1, 2, 3]))
        duration_s = 40.0 + 8 * len(people) + 4 * draw.randint(4, 30)
        value = draw.choice([1.0, 2.0, 3.0, 5.0])
        names = tuple(p.id for p in people)
        items.append(Item(f"{number}", duration_s, people=names, value=value, must=number < 2))
    return Programme(tuple(items), tuple(sitters), ends_s=7200.0)


if __name__ == "__main__":
    main()
