"""A stated order: times, chances, value and broken limits, all worked by hand.

The fall of the chance, 1 up to half the patience and 0 at one and a half, is our convention.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.group.order import (
    Item,
    Programme,
    Sitter,
    evaluate,
    half_patience_loss,
    picture_duration_s,
    survival,
    wait_items,
)
from kinlight.group.order_model import used_s

IDA = Sitter("Ida", patience_s=600.0)
NORA = Sitter("Nora")


def _picture(name: str, duration_s: float, *people: str, value: float = 1.0) -> Item:
    return Item(name, duration_s, people=people, value=value)


@pytest.mark.parametrize(
    ("share", "chance"),
    [(-1, 1), (0, 1), (0.5, 1), (0.75, 0.75), (1, 0.5), (1.25, 0.25), (1.5, 0), (9, 0)],
)
def test_the_chance_of_a_willing_child_falls_evenly(share: float, chance: float) -> None:
    """By hand from the convention: a straight line from 1 at 0.5 to 0 at 1.5."""
    assert float(survival(share)) == pytest.approx(chance, abs=1e-12)


@given(st.floats(-10, 10), st.floats(0, 10))
def test_the_chance_never_rises_with_time(share: float, more: float) -> None:
    """And stays a chance."""
    assert 0 <= survival(share + more) <= survival(share) <= 1


def test_times_chances_and_value_of_an_order() -> None:
    """By hand: patience 600 s, ends at 300, 540 and 660 s: chances 1, 0.6 and 0.4."""
    order = [
        _picture("a", 300.0, "Ida", value=2.0),
        _picture("b", 240.0, "Ida", "Nora", value=5.0),
        _picture("c", 120.0, "Ida", value=1.0),
    ]
    found = evaluate(order, [IDA, NORA])
    assert [(s.start_s, s.end_s) for s in found.steps] == [(0, 300), (300, 540), (540, 660)]
    assert [s.chance for s in found.steps] == pytest.approx([1.0, 0.6, 0.4])
    assert found.expected_value == pytest.approx(2 + 3 + 0.4)
    assert found.walks == 2  # Nora in, Nora out
    assert found.violations == ()


def test_two_children_multiply_and_adults_do_not_count() -> None:
    """By hand: at 600 s patience 600 s leaves 0.5, patience 800 s leaves 0.75."""
    both = [IDA, Sitter("Tom", patience_s=800.0), NORA]
    found = evaluate([_picture("a", 600.0, "Ida", "Tom", "Nora")], both)
    assert found.steps[0].chance == pytest.approx(0.375)


def test_a_break_gives_patience_back_to_those_it_is_for() -> None:
    """By hand: 540 s used less 240 given back is half of 600: chance 1; 0.6 for who had none."""
    pause = Item("feed", 240.0, "feed", ("Ida",), restores_s={"Ida": 240.0})
    order = [pause, _picture("a", 300.0, "Ida"), _picture("b", 1e-9, "Tom")]
    found = evaluate(order, [IDA, Sitter("Tom", patience_s=600.0)])
    assert found.steps[1].chance == pytest.approx(1.0)
    assert found.steps[2].chance == pytest.approx(0.6)


def test_patience_counts_from_arrival_and_not_while_away() -> None:
    """By hand: here from 100 s, away 200 to 500 and 450 to 600 s: at 700 s, 200 s are used."""
    tom = Sitter("Tom", arrives_s=100.0, away_s=((450.0, 600.0), (200.0, 500.0), (0.0, 50.0)))
    assert used_s(tom, [50, 100, 150, 300, 600, 700]).tolist() == [0, 0, 50, 100, 100, 200]
    early = Sitter("Tom", arrives_s=-300.0)
    assert float(used_s(early, 60.0)) == 360.0


@given(st.lists(st.tuples(st.integers(0, 900), st.integers(1, 300)), max_size=4))
def test_time_used_is_counted_second_by_second(away: list[tuple[int, int]]) -> None:
    """The formula agrees with counting the seconds in which someone is here and not away."""
    spans = tuple((float(a), float(a + b)) for a, b in away)
    seconds = np.arange(1000)
    here = (seconds >= 120) & ~np.any([(seconds >= a) & (seconds < b) for a, b in spans], axis=0)
    tom = Sitter("Tom", arrives_s=120.0, away_s=spans)
    assert used_s(tom, 1000.0) == pytest.approx(float(np.sum(here)))


def test_each_broken_limit_is_one_sentence() -> None:
    """Too early, too late, away, over time, carried twice running, unknown."""
    sitters = [
        Sitter("Ida", arrives_s=180.0),
        Sitter("Nora", leaves_s=100.0, away_s=((20.0, 60.0),)),
    ]
    carried = [Item(n, 60.0, people=("Ida",), carried=frozenset(["Ida"])) for n in "cd"]
    order = [_picture("a", 60.0, "Ida"), _picture("b", 120.0, "Nora"), *carried,
             _picture("e", 60.0, "Otto")]  # fmt: skip
    found = evaluate(order, sitters, ends_s=350.0)
    assert [(v.limit, v.item, v.person) for v in found.violations] == [
        ("arrival", "a", "Ida"),
        ("leaving", "b", "Nora"),
        ("carried", "d", "Ida"),
        ("end", "e", ""),
        ("unknown", "e", "Otto"),
    ]
    assert found.sentences == (
        "'a' starts 3 min before Ida arrives",
        "'b' ends 80 s after Nora has to leave",
        "Ida is carried in 'c' and again in 'd', with no pause",
        "'e' ends 10 s after the sitting is over",
        "'e': nobody is called Otto",
    )


def test_a_nap_is_kept_free_to_the_second() -> None:
    """A picture may end as the nap starts and start as it ends."""
    nora = Sitter("Nora", away_s=((60.0, 180.0),))
    fits = [_picture("a", 60.0, "Nora"), Item("wait", 120.0, "wait"), _picture("b", 60.0, "Nora")]
    assert evaluate(fits, [nora]).violations == ()
    assert [v.limit for v in evaluate(fits[::2], [nora]).violations] == ["away"]


def test_a_pause_between_lets_a_child_be_carried_again() -> None:
    """And everyone walks out for it and in again."""
    one, two = (Item(n, 60.0, people=("Ida",), carried=frozenset(["Ida"])) for n in "ab")
    found = evaluate([one, Item("wait", 60.0, "wait"), two], [IDA])
    assert found.violations == ()
    assert found.walks == 2


def test_half_the_patience_loses_what_ends_later() -> None:
    """By hand: pictures of Ida that end after 300 s are lost, with what was expected of them."""
    order = [
        _picture("a", 300.0, "Ida", value=2.0),
        _picture("b", 240.0, "Ida", value=5.0),
        _picture("c", 60.0, "Nora", value=9.0),
        _picture("d", 60.0, "Ida", value=10.0),
    ]
    lost = half_patience_loss(order, [IDA, NORA], child="Ida")
    assert lost.pictures == ("b", "d")
    assert lost.value == pytest.approx(5 * 0.6 + 10 * 0.4)
    assert half_patience_loss(order, [IDA, NORA], child="Nora").pictures == ()


def test_half_the_patience_counts_from_arrival_less_breaks() -> None:
    """By hand: 360 s from arrival less 60 s given back is half of 600 s, and still willing."""
    late = Sitter("Ida", arrives_s=60.0, patience_s=600.0)
    pause = Item("break", 120.0, "break", ("Ida",), restores_s={"Ida": 60.0})
    order = [Item("wait", 60.0, "wait"), pause, _picture("a", 240.0, "Ida"),
             _picture("b", 1.0, "Ida")]  # fmt: skip
    assert half_patience_loss(order, [late], child="Ida").pictures == ("b",)


def test_a_picture_takes_the_slower_of_rhythm_and_recycle() -> None:
    """By hand: 12 x 4 + 45 s, and 12 x 5 + 45 s."""
    assert picture_duration_s(12, rhythm_s=4.0, recycle_s=1.5, change_over_s=45.0) == 93.0
    assert picture_duration_s(12, rhythm_s=4.0, recycle_s=5.0, change_over_s=45.0) == 105.0


@given(st.integers(0, 12000))
def test_waits_can_meet_every_arrival(arrives_s: int) -> None:
    """Some of them add up to the arrival, less than the shortest block late; none is spare."""
    waits = wait_items([NORA, Sitter("Per", arrives_s=float(arrives_s))])
    sums = {0.0}
    for wait in waits:
        sums |= {s + wait.duration_s for s in sums}
    assert min(s for s in sums if s >= arrives_s) < arrives_s + 300
    assert sum(w.duration_s for w in waits[:-1]) < max(arrives_s, 1)
    assert len({w.id for w in waits}) == len(waits)
    assert all(w.value == 0 and w.kind == "wait" for w in waits)


def test_waits_for_nobody_late_are_none() -> None:
    """Nor is the return of someone who has left by then waited for."""
    gone = Sitter("Per", leaves_s=100.0, away_s=((60.0, 900.0),))
    assert wait_items([IDA, gone]) == ()
    assert [w.id for w in wait_items([Sitter("Per", away_s=((0.0, 400.0),))])] == [
        "wait 5 min",
        "wait 10 min",
    ]


@pytest.mark.parametrize(
    ("items", "sitters", "sentence"),
    [
        ((_picture("a", 0.0, "Ida"),), (IDA,), "'a': 0 s takes no time that can be planned"),
        ((_picture("a", 1.0, "Ida", value=-1.0),), (IDA,), "'a': -1 is no value; allowed: 0 or mo"),
        ((_picture("a", 1.0, "Otto"),), (IDA,), "'a': nobody here is called Otto"),
        ((_picture("a", 1.0, "Ida"),) * 2, (IDA,), "'a': stands in the list twice; give each a"),
        ((Item("a", 1.0, carried=frozenset(["Ida"])),), (IDA,), "'a': Ida is carried or fed in it"),
        ((), (Sitter("Ida", patience_s=0.0),), "Ida: has no patience; allowed: more than 0 s"),
        ((), (Sitter("Ida", arrives_s=9.0, leaves_s=9.0),), "Ida: leaves before arriving"),
        ((), (Sitter("Ida", away_s=((5.0, 5.0),)),), "Ida: is away for a time that does not end"),
        ((), (IDA, IDA), "two people have one name"),
    ],
)
def test_what_cannot_be_planned_with_is_said(
    items: tuple[Item, ...], sitters: tuple[Sitter, ...], sentence: str
) -> None:
    """One sentence for each fault."""
    with pytest.raises(RangeError) as error:
        Programme(items, sitters)
    assert str(error.value).startswith(sentence)


def test_not_a_number_is_refused() -> None:
    """In a duration, a value, a patience, a share."""
    with pytest.raises(RangeError):
        Programme((_picture("a", math.nan, "Ida"),), (IDA,))
    with pytest.raises(RangeError):
        Programme((_picture("a", 1.0, "Ida", value=math.nan),), (IDA,))
    with pytest.raises(RangeError):
        Programme((), (Sitter("Ida", patience_s=math.nan),))
    with pytest.raises(RangeError):
        Programme((), (), walk_share=math.nan)
