"""What people can do by age, and what the document states goes first."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.group.abilities import Abilities, abilities, abilities_of_all
from kinlight.sitting.assumed import PATIENCE_UNTIL_YEARS
from kinlight.sitting.files import parse
from kinlight.sitting.people import Person


def _can(age: float, **fields: Any) -> Abilities:
    return abilities(Person(name="x", age_years=age, **fields), age)


@pytest.mark.parametrize(
    ("age", "motor", "held"),
    [
        (0.1, "lies", True),
        (0.5, "sits", True),
        (0.75, "crawls", True),
        (0.9, "pulls up", True),
        (1.0, "new walker", False),
        (1.6, "runs", False),
        (5.9, "runs", False),
        (6.0, None, False),
    ],
)
def test_motor_stages_by_age(age: float, motor: str | None, held: bool) -> None:
    """From lying to running; who cannot stand is held (milestones from memory, abilities.toml)."""
    found = _can(age)
    assert (found.motor, found.is_held) == (motor, held)
    assert found.stands == (not held)


def test_a_stated_stage_goes_before_age() -> None:
    """An early walker and a late one."""
    assert _can(0.8, motor="new walker").stands
    assert _can(1.3, motor="crawls").is_held


@given(st.floats(0, 115))
def test_children_are_those_whose_patience_ends(age: float) -> None:
    """Under 13 patience limits; the list of assumptions draws the line at the same age."""
    assert _can(age).is_child == (age < PATIENCE_UNTIL_YEARS)


def test_patience_grows_with_age() -> None:
    """From the second year on an older child gives no less."""
    minutes = [_can(age).patience_min for age in (1, 2, 3, 4, 5, 6, 8, 9, 12.9)]
    known = [m for m in minutes if m is not None]
    assert len(known) == len(minutes)
    assert known == sorted(known)


def test_stated_patience_limits_anyone() -> None:
    """Whoever says 20 minutes is planned with 20, a grandfather too; that makes nobody a child."""
    assert _can(15, patience_min=20).patience_min == 20
    assert _can(80, patience_min=20).patience_min == 20
    assert not _can(80, patience_min=20).is_child
    assert _can(12).is_child
    assert not _can(15).is_child


@pytest.mark.parametrize(
    ("age", "minutes"), [(10, 0), (14, 3), (18, 6), (40, 6), (65, 2), (75, 0), (90, 0)]
)
def test_holding_by_age(age: float, minutes: float) -> None:
    """Children and the very old are not asked to (common practice, no source)."""
    assert _can(age).holds_child_min == minutes


def test_stated_abilities_go_first() -> None:
    """Zero minutes is an answer, and so is no."""
    assert _can(40, holds_child_min=0).holds_child_min == 0
    assert _can(80, holds_child_min=4).holds_child_min == 4
    assert not _can(40, stands=False).stands
    assert _can(90, sits_on_floor=True).sits_on_floor
    assert not _can(30, kneels=False).kneels


def test_a_wheelchair_is_not_left_unasked() -> None:
    """Nobody in a wheelchair stands, kneels or sits on the floor unless they say so."""
    found = _can(40, wheelchair_seat_m=0.5)
    assert (found.stands, found.kneels, found.sits_on_floor) == (False, False, False)
    assert _can(40, wheelchair_seat_m=0.5, stands=True).stands


def test_floor_and_knees_have_their_ages() -> None:
    """Up to 70 on the floor, from 3 to 65 on the knees; a newborn does neither."""
    assert _can(69.9).sits_on_floor
    assert not _can(70).sits_on_floor
    assert [_can(age).kneels for age in (2.9, 3, 64.9, 65)] == [False, True, True, False]
    assert not _can(0.2).sits_on_floor


def test_everyone_has_abilities_by_id() -> None:
    """Ages from dates of birth count to the day of the sitting."""
    people = [{"name": "A", "id": "a", "born": "2025-05-30"}, {"name": "B", "age": 30}]
    found = abilities_of_all(parse({"people": people, "date": "2026-05-30"}))
    assert set(found) == {"a", "B"}
    assert found["a"].motor in ("pulls up", "new walker")
    assert found["a"].age_years == pytest.approx(1, abs=0.002)


@pytest.mark.parametrize(
    ("age", "walks_off"), [(0.7, False), (1.2, True), (2.0, True), (2.9, True), (3.0, False)]
)
def test_who_would_walk_off(age: float, walks_off: bool) -> None:
    """From the first steps until three a child that is stood somewhere does not stay."""
    assert _can(age).walks_off is walks_off
