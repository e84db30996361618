"""Verdicts of checks, and what holds on the whole."""

from __future__ import annotations

import dataclasses
import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import IDA, NORA, settled

from kinlight.plan.check import check
from kinlight.plan.checks import Check, tightest
from kinlight.plan.model import Plan
from kinlight.sitting.origins import accepted


def _check(leeway: float, uncertainty: float = 0.1, *, scale: float = 1.0, name: str = "") -> Check:
    return Check("Framed", name, leeway, "m", uncertainty, "", "", scale)


@pytest.mark.parametrize(
    ("leeway", "verdict"),
    [(-1e-9, "fails"), (0.0, "tight"), (0.0999, "tight"), (0.1, "holds"), (5.0, "holds")],
)
def test_a_check_holds_by_more_than_its_uncertainty(leeway: float, verdict: str) -> None:
    """Negative fails, less than the uncertainty is tight."""
    assert _check(leeway).verdict == verdict


def test_a_certain_check_is_never_tight() -> None:
    """Known exactly, nothing to spare is enough."""
    assert _check(0.0, 0.0).verdict == "holds"


def test_the_tightest_fails_before_it_is_tight() -> None:
    """A failing check comes before a tight one, whatever their leeways in their own scales."""
    fails = _check(-0.01, 0.0, scale=100, name="fails")
    tight = _check(0.0, 50.0, name="tight")
    holds = _check(0.5, 0.5, name="holds")
    for order in itertools.permutations([fails, tight, holds]):
        assert tightest(order).name == "fails"
    assert tightest([holds, tight]).name == "tight"
    nearer, farther = _check(0.2, scale=1.0, name="a"), _check(0.2, scale=0.1, name="b")
    assert tightest([farther, nearer]).name == "a"  # 0.1 of its scale against 1.0


@given(st.lists(st.tuples(st.floats(-1, 1), st.floats(0, 1)), min_size=1, max_size=6))
def test_the_tightest_is_no_better_than_any(pairs: list[tuple[float, float]]) -> None:
    """No check has a worse verdict than the tightest."""
    rank = ["fails", "tight", "holds"]
    checks = [_check(a, b) for a, b in pairs]
    assert rank.index(tightest(checks).verdict) == min(rank.index(c.verdict) for c in checks)


def test_a_plan_holds_if_no_check_fails(demo_plan: Plan) -> None:
    """One failing check in one picture to be made, and the plan does not hold."""
    assert demo_plan.holds == all(c.verdict != "fails" for p in demo_plan.to_make for c in p.checks)
    first = demo_plan.pictures[0]
    bad = dataclasses.replace(first, checks=(*first.checks, _check(-1.0)))
    worse = dataclasses.replace(demo_plan, pictures=(bad, *demo_plan.pictures[1:]))
    assert first.made
    assert not worse.holds


def test_a_picture_not_made_may_fail() -> None:
    """What is left out of the order counts only if it is a must."""
    pictures = [
        {"name": "a", "people": ["Nora"]},
        {"name": "b", "people": ["Ida"], "frames": 200},
    ]
    whole = settled(NORA, IDA, pictures=pictures)
    short = accepted(whole).with_stated(order=("a",))
    plan = check(short)
    assert [p.name for p in plan.to_make] == ["a"]
    assert plan.holds == plan.to_make[0].holds
    assert plan.order.left_out == (("b", "not in the running order"),)


def test_a_must_left_out_does_not_hold() -> None:
    """The verdict names it."""
    pictures = [
        {"name": "a", "people": ["Nora"]},
        {"name": "b", "people": ["Ida"], "must": True},
    ]
    whole = settled(NORA, IDA, pictures=pictures)
    assert check(whole).holds
    plan = check(whole.with_stated(order=("a",)))
    assert not plan.holds
    assert plan.verdict.endswith("Left out though it must be made: b.")


def test_the_cell_of_a_column_is_its_tightest_check(demo_plan: Plan) -> None:
    """Each column of the hold table shows a check of that column."""
    for pic in demo_plan.pictures:
        for column in ("Framed", "Sharp", "Lit", "Timed"):
            cell = pic.cell(column)
            assert cell.column == column
            assert cell == tightest(c for c in pic.checks if c.column == column)
