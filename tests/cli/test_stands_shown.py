"""Stands on the terminal: a row for each light, and what falls is said however short it is."""

from __future__ import annotations

from kinlight.cli.show import plan_text
from kinlight.cli.tables import stand_table
from kinlight.plan.check import check
from kinlight.plan.model import Plan
from kinlight.plan.settle.settle import settle
from kinlight.sitting.files import parse

BOOM = {"mass": 5, "head": 3, "boom": 1.2, "short_arm": 0.6}
KEY = {"id": "key", "role": "key", "place": {"x": -1.5, "y": -1.5, "z": 2.0}}


def _plan(**stand: object) -> Plan:
    people = [{"name": "Nora", "age": 36}]
    return check(settle(parse({"people": people, "lights": [KEY | {"stand": stand}]})))


def test_a_stand_that_falls_is_said_in_the_short_form_too() -> None:
    """One that lacks only sand is not."""
    assert "key: as stated its stand falls over by itself" in plan_text(_plan(**BOOM), short=True)
    assert "Take care" not in plan_text(_plan(mass=5), short=True)
    assert "of sand on the foot of its stand" in plan_text(_plan(mass=5))


def test_the_table_says_what_is_needed_and_what_is_there() -> None:
    """20 N at 2 m: (1.5 x (2.85 + 40/9.80665) - 6.35) / .25 = 16.2 kg, over a leg 14.7, by hand."""
    block = stand_table(_plan(**BOOM, bag=4))
    said = dict(zip(block.columns, block.rows[0], strict=True))
    assert (said["Light"], said["Tipped by"], said["Has"]) == ("key", "itself", "4 kg")
    assert (said["Sand"], said["Over a leg"]) == ("16.2 kg", "14.7 kg")
    assert said["Counterweight"] == "6.0 kg; has 0"


def test_a_light_without_a_stand_has_only_its_room() -> None:
    """And it is said that nothing is stated."""
    people = [{"name": "Nora", "age": 36}]
    block = stand_table(check(settle(parse({"people": people, "lights": [KEY]}))))
    assert block.columns == ("Light", "To ceiling")
    assert block.beneath == ("The stands are not stated.",)
