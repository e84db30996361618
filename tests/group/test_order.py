"""The best running order: the subset table against every order tried one by one, and its laws."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from order_cases import best_by_hand, family, programmes

from kinlight.group.order import EXACT_LIMIT, Item, Programme, Sitter, best_order, evaluate, score

IDA = Sitter("Ida", patience_s=600.0)


@settings(max_examples=60)
@given(programmes(most=5))
def test_the_table_finds_the_best_of_all_orders(programme: Programme) -> None:
    """No order of any subset that keeps the limits scores higher, and its own score is reached."""
    order = best_order(programme)
    assert order.exact
    assert order.score == pytest.approx(best_by_hand(programme), rel=1e-9, abs=1e-9)


@settings(max_examples=8)
@given(programmes(most=7, least=6))
def test_the_table_finds_the_best_of_seven(programme: Programme) -> None:
    """All 1,957 orders of six items, all 13,700 of seven, and fewer."""
    order = best_order(programme)
    assert order.score == pytest.approx(best_by_hand(programme), rel=1e-9, abs=1e-9)


@settings(max_examples=40)
@given(programmes(most=9))
def test_what_is_reported_is_what_the_order_comes_to(programme: Programme) -> None:
    """`evaluate` finds the same value and no broken limit; no picture is unaccounted for."""
    order = best_order(programme)
    found = evaluate(order.items, programme.sitters, ends_s=programme.ends_s)
    assert found == order.evaluation
    assert found.violations == ()
    assert order.score == score(found, programme)
    assert order.possible_value == found.expected_value
    done = {i.id for i in order.items}
    assert {left.item for left in order.left_out} == {
        i.id for i in programme.items if i.is_picture and i.id not in done
    }
    assert best_order(programme) == order


@settings(max_examples=30)
@given(programmes(most=7), st.sampled_from(["ida", "tom", "max"]), st.floats(1, 3))
def test_more_patience_never_lowers_the_best(
    programme: Programme, child: str, factor: float
) -> None:
    """The same order is worth no less, so the best is."""
    more = tuple(
        replace(s, patience_s=s.patience_s * factor) if s.id == child and s.patience_s else s
        for s in programme.sitters
    )
    patient = best_order(replace(programme, sitters=more))
    assert patient.score >= best_order(programme).score - 1e-9


@settings(max_examples=30)
@given(programmes(most=7))
def test_one_item_more_never_lowers_the_best(programme: Programme) -> None:
    """It may be left out; the bonus of musts is set aside, since it depends on all values."""
    plain = replace(programme, items=tuple(replace(i, must=False) for i in programme.items))
    plain = replace(plain, walk_share=0.0)
    fewer = replace(plain, items=plain.items[:-1])
    assert best_order(plain).score >= best_order(fewer).score - 1e-9


@settings(max_examples=20)
@given(programmes(most=6), st.randoms(use_true_random=False))
def test_the_order_of_the_list_does_not_matter(programme: Programme, random: object) -> None:
    """The score is the same however the items are listed."""
    shuffled = list(programme.items)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    again = best_order(replace(programme, items=tuple(shuffled)))
    assert again.score == pytest.approx(best_order(programme).score, rel=1e-9, abs=1e-9)


def test_the_impatient_child_comes_first() -> None:
    """By hand: Ida lasts, Tom does not; only with Tom first are both certain."""
    tom = Sitter("Tom", patience_s=240.0)
    ida = Item("Ida", 120.0, people=("Ida",), value=1.0)
    alone = Item("Tom", 120.0, people=("Tom",), value=1.0)
    order = best_order(Programme((ida, alone), (IDA, tom)))
    assert [i.id for i in order.items] == ["Tom", "Ida"]
    assert order.evaluation.expected_value == pytest.approx(2.0)
    assert order.short_percent == 0


def test_must_haves_come_first() -> None:
    """A picture worth ten times as much waits behind one that must be made."""
    must = Item("must", 300.0, people=("Ida",), value=1.0, must=True)
    dear = Item("dear", 300.0, people=("Ida",), value=10.0)
    order = best_order(Programme((dear, must), (IDA,)))
    assert [i.id for i in order.items] == ["must", "dear"]
    assert order.evaluation.expected_value == pytest.approx(1 + 10 * 0.5)
    free = best_order(Programme((dear, replace(must, must=False)), (IDA,)))
    assert [i.id for i in free.items] == ["dear", "must"]


def test_fewer_people_walk_where_nothing_else_decides() -> None:
    """By hand: three walk if Nora's two pictures stand side by side, her own in the middle."""
    nora, per = Sitter("Nora"), Sitter("Per")
    one = Item("one", 60.0, people=("Nora",), value=1.0)
    two = Item("two", 60.0, people=("Per",), value=1.0)
    three = Item("three", 60.0, people=("Nora", "Ida"), value=1.0)
    order = best_order(Programme((one, two, three), (nora, per, Sitter("Ida"))))
    assert order.evaluation.walks == 3
    assert order.items[1].id == "one"


def test_no_pause_is_taken_that_gains_nothing() -> None:
    """Everyone lasts: a wait and a break stay out, even if walking is free."""
    pause = Item("break", 60.0, "break", ("Ida",), restores_s={"Ida": 90.0})
    items = (Item("wait", 60.0, "wait"), pause, Item("a", 60.0, people=("Ida",), value=1.0))
    assert [i.id for i in best_order(Programme(items, (IDA,), walk_share=0.0)).items] == ["a"]


def test_a_late_arrival_is_waited_for() -> None:
    """The wait is taken, since the picture is worth it."""
    late = Sitter("Per", arrives_s=280.0)
    items = (Item("wait 5 min", 300.0, "wait"), Item("a", 60.0, people=("Per",), value=1.0))
    assert [i.id for i in best_order(Programme(items, (late,))).items] == ["wait 5 min", "a"]


@pytest.mark.parametrize(
    ("sitter", "item", "why", "sentence"),
    [
        (
            Sitter("Ida", arrives_s=900.0),
            Item("a", 60.0, people=("Ida", "Nora"), value=1.0),
            "arrival",
            "'a' starts 14 min before Ida arrives",
        ),
        (
            Sitter("Ida", leaves_s=300.0),
            Item("a", 420.0, people=("Ida",), value=1.0),
            "no time",
            "'a' ends 2 min after Ida has to leave",
        ),
        (
            Sitter("Ida", patience_s=100.0),
            Item("a", 420.0, people=("Ida", "Nora"), value=1.0),
            "patience",
            "Ida would have no patience left for 'a'",
        ),
        (
            Sitter("Ida", leaves_s=100.0),
            Item("a", 60.0, people=("Ida",), value=1.0),
            "no time",
            "there is no time for 'a' beside what brings more",
        ),
        (Sitter("Ida"), Item("a", 60.0, people=("Ida",)), "not worth it", "'a' brings nothing"),
    ],
)
def test_what_is_left_out_has_its_reason(
    sitter: Sitter, item: Item, why: str, sentence: str
) -> None:
    """One picture beside a dear one of Nora's that must be over soon."""
    nora = Sitter("Nora", leaves_s=110.0 if why == "no time" else math.inf)
    dear = Item("dear", 60.0, people=("Nora",), value=50.0)
    order = best_order(Programme((dear, item), (sitter, nora)))
    assert [i.id for i in order.items] == ["dear"]
    assert [(left.item, left.why, left.sentence) for left in order.left_out] == [
        ("a", why, sentence)
    ]


def test_nothing_to_do_is_an_empty_order() -> None:
    """No items, or none that can be done."""
    assert best_order(Programme((), ())).items == ()
    late = Programme((Item("a", 60.0, people=("Ida",), value=1.0),), (IDA,), ends_s=30.0)
    order = best_order(late)
    assert order.items == ()
    assert order.left_out[0].why == "no time"
    assert order.short_percent == 0


def test_eighteen_items_are_still_exact() -> None:
    """And one more is searched."""
    assert EXACT_LIMIT == 18
    order = best_order(family(18, seed=3))
    assert order.exact
    assert not best_order(family(19, seed=3)).exact
