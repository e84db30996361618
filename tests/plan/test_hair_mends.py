"""What is said to do about an uneven hair light does even it, when it is done."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from black_room import bare, dark, shown, spot

from kinlight.plan.faces import COVERED_STOPS
from kinlight.plan.model import PicturePlan

KEY = bare("key", "key", 0, -3, 2)


def two(
    x: float, y: float, z: float, aim: dict[str, float], *, ceiling: float = 3.2, **hair: Any
) -> PicturePlan:
    """Return the picture of two people under a hair light."""
    lamp = bare("strip", "hair", x, y, z, aim=aim) | hair
    places = [spot("A", -0.6), spot("B", 0.6)]
    return shown(
        dark("A"), dark("B"), lights=[KEY, lamp], places=places, room={"ceiling": ceiling}
    )[1]


def spread_stops(found: PicturePlan) -> float:
    """Return how far one head's hair is under the other's, as the table prints it."""
    most = [f.hair.brightest_stops for f in found.faces if f.hair is not None]
    return abs(most[0] - most[1])


def advice(found: PicturePlan) -> str:
    """Return what is said of heads that get too little."""
    (said,) = [f for f in found.findings if f.startswith("the hair light is weaker on")]
    return said


def test_moved_back_as_said_it_evens_the_heads() -> None:
    """Over one of two heads; back is away from them both along the floor, the aim kept."""
    at, aim = (-0.7, 0.5, 2.4), {"x": -0.6, "y": 0.0, "height": 1.6}
    found = two(*at, aim)
    assert spread_stops(found) > -COVERED_STOPS
    move = re.search(r"move the strip (\d+) cm back", advice(found))
    assert move
    back_m = int(move[1]) / 100
    way = math.hypot(at[0], at[1])  # the heads' middle is on the mark
    x, y = (c * (1 + back_m / way) for c in at[:2])
    done = two(x, y, at[2], aim)
    # Everything is as it was reckoned but for the aim, a little nearer or farther along its axis.
    assert spread_stops(done) <= -COVERED_STOPS + 0.1
    less = back_m - 0.2
    if less > 0:
        x, y = (c * (1 + less / way) for c in at[:2])
        assert spread_stops(two(x, y, at[2], aim)) > -COVERED_STOPS - 0.1


def test_raising_is_offered_only_where_the_ceiling_leaves_room() -> None:
    """At 2.4 m, the front 5 cm: under 3.2 m there is room for 70 cm, under 2.7 m for 20."""
    at, aim = (-0.7, 0.5, 2.4), {"x": -0.6, "y": 0.0, "height": 1.6}
    raised = re.search(r"raise the strip (\d+) cm", advice(two(*at, aim)))
    assert raised
    assert int(raised[1]) > 20
    low = two(*at, aim, ceiling=2.7)
    assert "back" in advice(low)
    assert "raise" not in advice(low)


def test_even_heads_get_no_advice() -> None:
    """A hair light in the middle behind both: nothing is said of either."""
    found = two(0.0, 1.2, 2.6, {"x": 0.0, "y": 0.0, "height": 1.6})
    assert spread_stops(found) == pytest.approx(0, abs=0.01)
    assert not any("weaker on" in f or "misses" in f for f in found.findings)


def test_the_wish_is_told_where_hair_is_far_from_it() -> None:
    """Four times the energy of what is about even, and a thirty-second: in stops, one for all."""
    near = {"x": 0.0, "y": 0.0, "height": 1.6}
    for energy, power, way in ((400, 1, "over"), (100, "1/32", "under")):
        found = two(0.0, 1.2, 2.6, near, power=power, energy=energy)
        most = [f.hair.brightest_stops for f in found.faces if f.hair is not None]
        said = [f for f in found.findings if f.startswith("the hair's brightest side is")]
        off = sum(most) / 2
        assert abs(off) > 0.5
        assert len(said) == 1
        assert f"is {abs(off):.1f} stop {way} what is wished" in said[0]
