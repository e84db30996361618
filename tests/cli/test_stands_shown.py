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
    # 3 kg of head and 5 of stand on a line at .25 m: by hand (8 + 7) x .25 / 2 = 1.875 kg at 2 m
    said = " ".join(plan_text(_plan(mass=5, head=3)).split())
    assert "key: with a usual bag, 7 kg on its foot, a pull of 1.8 kg at the lamp tips it;" in said


def test_the_table_says_what_is_needed_and_what_is_there() -> None:
    """20 N at 2 m: (1.5 x (2.85 + 40/9.80665) - 6.35) / .25 = 16.2 kg, over a leg 14.7, by hand."""
    block = stand_table(_plan(**BOOM, bag=4))
    said = dict(zip(block.columns, block.rows[0], strict=True))
    assert (said["Light"], said["Tipped by"], said["Has"]) == ("key", "itself", "4 kg")
    assert (said["Sand"], said["One leg under"]) == ("16.2 kg", "14.7 kg")
    assert said["Counterweight"] == "6.0 kg; has 0"


def test_pulls_are_said_in_kilograms_and_newtons_left_to_the_json() -> None:
    """By hand: (5 + 2) kg x .25 m / 2 m = .875 kg as it stands, against 20 N, 2.04 kg."""
    block = stand_table(_plan(mass=5, head=2))
    said = dict(zip(block.columns, block.rows[0], strict=True))
    assert said["Tipped by"] == "0.8 kg"
    assert block.beneath == (
        "Sand on the foot for 1.5 times a pull of 2 kg at the lamp, its boom balanced; less with "
        "one leg under the load.",
    )
    assert " N " not in plan_text(_plan(mass=5, head=2))


def test_a_light_without_a_stand_has_only_its_room() -> None:
    """And it is said that nothing is stated."""
    people = [{"name": "Nora", "age": 36}]
    block = stand_table(check(settle(parse({"people": people, "lights": [KEY]}))))
    assert block.columns == ("Light", "To ceiling")
    assert block.beneath == ("The stands are not stated.",)
