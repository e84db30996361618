"""The long search against the subset table, and the bound against every order."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from order_cases import family, orders, programmes

from kinlight.group.order import Programme, best_order, evaluate, score
from kinlight.group.order_arrays import arrays_of
from kinlight.group.order_bound import bound
from kinlight.group.order_changes import neighbours
from kinlight.group.order_exact import exact_order
from kinlight.group.order_search import scores, search_order


def _score(programme: Programme, chosen: tuple[int, ...]) -> float:
    """Return an order's score by `evaluate`; it must break no limit."""
    order = [programme.items[i] for i in chosen]
    found = evaluate(order, programme.sitters, ends_s=programme.ends_s)
    assert found.violations == ()
    return score(found, programme)


@settings(max_examples=25)
@given(programmes(most=9))
def test_the_search_lies_between_nothing_and_the_bound(programme: Programme) -> None:
    """It keeps the limits, is never above the table's order, and that never above the bound."""
    arrays = arrays_of(programme)
    searched = _score(programme, search_order(arrays))
    exact = _score(programme, exact_order(arrays))
    limit = bound(arrays, arrays.weight, known=0.0).limit
    slack = 1e-9 * max(1.0, exact)
    assert -slack <= searched <= exact + slack
    assert exact <= limit + slack


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("count", [9, 12])
def test_the_search_reaches_the_best_of_a_dozen(count: int, seed: int) -> None:
    """On families of up to twelve items it finds an order as good as the table's."""
    programme = family(count, seed)
    arrays = arrays_of(programme)
    searched, exact = search_order(arrays), exact_order(arrays)
    assert _score(programme, searched) == pytest.approx(_score(programme, exact), rel=1e-9)


@settings(max_examples=25)
@given(programmes(most=5))
def test_no_order_exceeds_the_bound(programme: Programme) -> None:
    """Neither in value nor, with the bonus of musts, in score; whatever is known beforehand."""
    arrays = arrays_of(programme)
    values = np.array([i.value * i.is_picture for i in programme.items])
    limit = bound(arrays, values, known=0.0).limit
    with_bonus = bound(arrays, arrays.weight, known=1e3).limit
    for order in orders(programme.items):
        found = evaluate(order, programme.sitters, ends_s=programme.ends_s)
        if not found.violations:
            assert found.expected_value <= limit + 1e-9 * max(1.0, limit)
            assert score(found, programme) <= with_bonus + 1e-9 * max(1.0, with_bonus)


def test_more_pauses_than_stand_on_the_line_are_bounded_too() -> None:
    """Four feeds, of which one is set aside; the best of all orders stays under the bound."""
    plain = family(10, seed=2)
    feeds = tuple(
        type(plain.items[0])(
            f"feed {n}", 120.0 + n, "feed", ("child 1",), restores_s={"child 1": 300.0 + 60 * n}
        )
        for n in range(4)
    )
    programme = Programme((*plain.items[3:], *feeds), plain.sitters, ends_s=plain.ends_s)
    arrays = arrays_of(programme)
    exact = _score(programme, exact_order(arrays))
    assert exact <= bound(arrays, arrays.weight, known=0.0).limit


def test_a_long_search_is_sound_and_the_same_again() -> None:
    """Thirty items: limits kept, value under the bound, two runs alike, progress up to 1."""
    programme, told = family(30, seed=5), list[float]()
    order = best_order(programme, progress=told.append)
    assert not order.exact
    assert order.evaluation.violations == ()
    assert order.evaluation.expected_value <= order.possible_value <= programme.total_value + 1e-9
    assert 0 <= order.short_percent < 100
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert best_order(programme) == order


@settings(max_examples=25)
@given(programmes(most=6))
def test_many_orders_at_once_score_as_one_by_one(programme: Programme) -> None:
    """Padded orders give the score of `evaluate`, or -inf if a limit is broken."""
    arrays = arrays_of(programme)
    order = np.arange(arrays.count)[::-1]
    batch = neighbours(order[: (arrays.count + 1) // 2], arrays.count)
    for row, value in zip(batch, scores(arrays, batch), strict=True):
        items = [programme.items[i] for i in row if i >= 0]
        found = evaluate(items, programme.sitters, ends_s=programme.ends_s)
        wanted = -np.inf if found.violations else score(found, programme)
        assert value == pytest.approx(wanted, rel=1e-9, abs=1e-9)


def test_the_neighbours_of_an_order_are_all_one_change_away() -> None:
    """By hand for items 0 and 1 of three: five put, left out, exchanged and turned round."""
    rows = {tuple(r[r >= 0].tolist()) for r in neighbours(np.array([0, 1]), 3)}
    changed = {(1,), (0,), (1, 0), (2, 0, 1), (0, 2, 1), (0, 1, 2), (2, 1), (0, 2)}
    assert rows - {(0, 1)} == changed
