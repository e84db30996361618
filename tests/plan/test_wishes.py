from __future__ import annotations

from typing import Any

import pytest
from plan_cases import BABY, IDA, NORA, TOM, light, named, picture, planned, settled

from kinlight.plan.check import check
from kinlight.plan.settle.settle import settle
from kinlight.sitting.origins import accepted, without_proposed

KEY = light("key", "key", -1.4, -1.4, 2.0)


def _power(plan: Any, name: str) -> Any:
    return named(picture(plan), f"power of {name}")


def test_a_fill_too_weak_for_its_wish_fails() -> None:
    """A hundredth of the key's energy lies 6.6 stops under it at full power; wished is one."""
    weak = light("fill", "fill", 1.4, -1.4, 2.0) | {"energy": 5.0}
    strong = KEY | {"energy": 500.0}
    found = _power(planned(IDA, lights=[strong, weak], camera={"iso": 100}), "fill")
    assert found.verdict == "fails"
    assert "less than wished" in found.sentence


def test_accepting_what_is_proposed_changes_no_verdict() -> None:
    """A plan does not depend on how a value came about."""
    weak = light("fill", "fill", 1.4, -1.4, 2.0) | {"energy": 5.0}
    once = settled(IDA, lights=[KEY | {"energy": 500.0}, weak])
    before, after = check(once), check(accepted(once))
    assert [c.verdict for c in picture(before).checks] == [c.verdict for c in picture(after).checks]
    assert _power(after, "fill").verdict == "fails"


def test_a_power_stated_within_the_range_is_meant() -> None:
    """Far under the wish at a sixteenth, it could be set higher: that is the photographer's."""
    low = light("fill", "fill", 1.4, -1.4, 2.0) | {"power": "1/16"}
    found = _power(planned(IDA, lights=[KEY | {"power": "1/1"}, low]), "fill")
    assert found.leeway >= 0


def test_proposing_anew_keeps_the_places_stated_in_a_picture_of_the_same_people() -> None:
    """One picture of two has a name and stated places, the other neither."""
    places = [{"person": "Nora", "x": -0.4}, {"person": "Tom", "x": 0.4}]
    close = {"name": "close", "people": ["Nora", "Tom"], "places": places}
    once = settled(NORA, TOM, pictures=[{"people": ["Nora", "Tom"]}, close])
    again = without_proposed(once)
    assert [spot.x_m for spot in again.pictures[1].places] == [-0.4, 0.4]
    assert again.pictures[0].places == ()
    assert settle(once) == once


def test_many_adults_stand_in_several_rows() -> None:
    """Fourteen side by side would be some five metres; no row holds more than six."""
    people = [{"name": f"P{i}", "age": 20 + i} for i in range(14)]
    names = [p["name"] for p in people]
    room = {"width": 8, "length": 14}
    lenses = [{"id": "35", "shortest": 35}]
    once = settled(*people, pictures=[{"people": names}], room=room, lenses=lenses)
    rows: dict[float, int] = {}
    for spot in once.pictures[0].places:
        rows[spot.y_m] = rows.get(spot.y_m, 0) + 1
    assert len(rows) >= 3
    assert max(rows.values()) <= 6


def test_the_one_with_a_child_on_the_lap_gets_more_room() -> None:
    """Side by side with a neighbour she sits farther off with the baby than without."""
    gap = {}
    for name, people in {"with": (NORA, TOM, BABY), "without": (NORA, TOM)}.items():
        seat = [{"id": "stool", "count": 3}]
        picture_of = [{"people": [p["name"] for p in people]}]
        persons = [p | {"stands": False} if p is TOM else p for p in people]
        once = settled(*persons, pictures=picture_of, seats=seat)
        x = {s.person: s.x_m for s in once.pictures[0].places if s.y_m == 0}
        gap[name] = abs(x["Nora"] - x["Tom"]) if "Nora" in x and "Tom" in x else 0.0
    assert gap["with"] > gap["without"]


@pytest.mark.parametrize("stands", [True, False])
def test_nobody_is_put_on_a_stool_that_is_not_there(stands: bool) -> None:
    """Without seats an adult alone stands, or sits on the floor."""
    (spot,) = settled(NORA | {"stands": stands}, seats=[]).pictures[0].places
    assert spot.posture == ("standing" if stands else "floor")
    assert spot.seat_m == 0
