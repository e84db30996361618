from __future__ import annotations

import itertools
import math

import pytest

from kinlight.group.order import Item, Programme, Sitter, best_order, evaluate
from kinlight.group.order_model import conventions

CHILD = Sitter("Ida", patience_s=1200)


def _feed(back_s: float) -> Item:
    return Item("a feed", 480, kind="feed", people=("Ida",), restores_s={"Ida": back_s})


def test_a_break_cannot_give_back_patience_that_is_not_used_yet() -> None:
    """After 8 minutes of feed at the start 8 have been used, not the 16 it would give back."""
    found = evaluate([_feed(960)], [CHILD])
    assert found.sentences == ("'a feed' comes before Ida has used up what it gives back",)
    assert evaluate([_feed(480)], [CHILD]).sentences == ()


def test_two_breaks_cannot_give_back_the_same_minutes() -> None:
    """What the first gave back does not count as used for the second."""
    again = Item("a biscuit", 60, kind="break", people=("Ida",), restores_s={"Ida": 480})
    found = evaluate([_feed(480), again], [CHILD])
    assert [v.item for v in found.violations] == ["a biscuit"]


def test_the_best_order_puts_the_feed_where_it_helps() -> None:
    """Four pictures of five minutes, twenty of patience: the feed stands between them."""
    pictures = [Item(f"p{i}", 300, people=("Ida",), value=1) for i in range(4)]
    found = best_order(Programme(items=(*pictures, _feed(960)), sitters=(CHILD,)))
    at = [item.id for item in found.items].index("a feed")
    assert found.evaluation.violations == ()
    assert 2 <= at < 4  # 10 or 15 minutes of pictures and 8 of feed use up the 16 given back


@pytest.mark.parametrize("cameras", [("a", "b", "a", "b"), ("b", "a", "a", "b")])
def test_pictures_with_one_lens_are_made_together(cameras: tuple[str, ...]) -> None:
    """Nothing else tells them apart, so the lens is changed once."""
    pictures = tuple(
        Item(f"p{i}", 60, people=("Ida",), value=1, camera=c) for i, c in enumerate(cameras)
    )
    found = best_order(Programme(items=pictures, sitters=(Sitter("Ida"),)))
    used = [item.camera for item in found.items]
    assert sum(a != b for a, b in itertools.pairwise(used)) == 1
    assert found.evaluation.walks == int(conventions()["camera"]["change_walks"])
    assert math.isclose(found.evaluation.expected_value, 4)
