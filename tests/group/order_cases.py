"""Running orders to test with: drawn at random, or of a made-up family of a given size."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator, Sequence

from hypothesis import strategies as st

from kinlight.group.order import Item, Programme, Sitter, evaluate, score

CHILDREN = ("ida", "tom", "max")
ADULTS = ("ada", "per")


@st.composite
def sitters(draw: st.DrawFn) -> tuple[Sitter, ...]:
    """Draw three children of little patience and two adults who come, go and are away."""
    found = []
    for name in CHILDREN + ADULTS:
        arrives = draw(st.sampled_from([0, 0, 0, -60, 100, 240]))
        leaves = draw(st.sampled_from([math.inf, math.inf, 500, 800]))
        nap = draw(st.sampled_from([(), (), ((150.0, 300.0),), ((50.0, 200.0), (180.0, 260.0))]))
        patience = draw(st.sampled_from([150, 300, 500])) if name in CHILDREN else None
        found.append(Sitter(name, float(arrives), float(leaves), nap, patience))
    return tuple(found)


@st.composite
def pictures(draw: st.DrawFn, name: str) -> Item:
    """Draw one picture."""
    people = draw(st.sets(st.sampled_from(CHILDREN + ADULTS), min_size=1, max_size=4))
    heavy = [p for p in sorted(people) if p in CHILDREN and draw(st.integers(0, 3)) == 0]
    return Item(
        id=name,
        duration_s=float(draw(st.sampled_from([40, 60, 75, 120]))),
        people=tuple(sorted(people)),
        value=float(draw(st.integers(0, 4))),
        must=draw(st.integers(0, 4)) == 0,
        carried=frozenset(heavy),
    )


@st.composite
def pauses(draw: st.DrawFn, name: str) -> Item:
    """Draw a wait, or a break or feed for one or two children."""
    lasts = float(draw(st.sampled_from([50, 100, 240])))
    fed = draw(st.sets(st.sampled_from(CHILDREN), max_size=2))
    if not fed:
        return Item(name, lasts, kind="wait")
    restores = {child: float(draw(st.sampled_from([0, 60, 200]))) for child in sorted(fed)}
    return Item(name, lasts, draw(st.sampled_from(["break", "feed"])), tuple(sorted(fed)),
                restores_s=restores)  # fmt: skip


@st.composite
def programmes(draw: st.DrawFn, most: int = 6, least: int = 1) -> Programme:
    """Draw `least` to `most` items, about a third of them pauses, and a cost of walking."""
    count = draw(st.integers(least, most))
    kinds = [draw(st.sampled_from([pictures, pictures, pauses])) for _ in range(count)]
    return Programme(
        items=tuple(draw(kind(f"{n}")) for n, kind in enumerate(kinds)),
        sitters=draw(sitters()),
        ends_s=draw(st.sampled_from([math.inf, 450.0, 700.0])),
        walk_share=draw(st.sampled_from([0.0, 0.005, 0.2])),
    )


def orders(items: Sequence[Item]) -> Iterator[tuple[Item, ...]]:
    """Yield every order of every subset."""
    for size in range(len(items) + 1):
        yield from itertools.permutations(items, size)


def best_by_hand(programme: Programme) -> float:
    """Return the best score, by trying every order that breaks no limit."""
    best = 0.0
    for order in orders(programme.items):
        found = evaluate(order, programme.sitters, ends_s=programme.ends_s)
        if not found.violations:
            best = max(best, score(found, programme))
    return best


def family(count: int, seed: int, *, musts: int = 2) -> Programme:
    """Return a made-up programme: five children, six adults, pauses as needed, `count` items."""
    draw = random.Random(seed)
    children = [
        Sitter(
            f"child {i}",
            arrives_s=draw.choice([0.0, 0.0, 0.0, 600.0, 1200.0]),
            patience_s=draw.choice([900.0, 1200.0, 1500.0, 2100.0]),
            away_s=((2400.0, 4200.0),) if i == 0 else (),
        )
        for i in range(5)
    ]
    adults = [
        Sitter(f"adult {i}", leaves_s=draw.choice([math.inf, math.inf, 5400.0])) for i in range(6)
    ]
    rest = Item("break", 600.0, "break", ("child 1", "child 2"),
                restores_s={"child 1": 720.0, "child 2": 720.0})  # fmt: skip
    items = [rest, Item("wait 5 min", 300.0, "wait"), Item("wait 10 min", 600.0, "wait")]
    while len(items) < count:
        inside = draw.sample(children, draw.choice([1, 1, 2, 2, 3]))
        inside += draw.sample(adults, draw.choice([0, 1, 1, 2, 3]))
        items.append(
            Item(
                f"picture {len(items) - 2}",
                40.0 + 8 * len(inside) + 4 * draw.randint(4, 30),
                people=tuple(p.id for p in inside),
                value=draw.choice([1.0, 2.0, 3.0, 5.0]),
                must=len(items) - 3 < musts,
                carried=frozenset(p.id for p in inside if p.id == "child 0"),
            )
        )
    return Programme(tuple(items), (*children, *adults), ends_s=7200.0)
