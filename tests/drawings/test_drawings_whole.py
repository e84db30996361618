"""What holds for every drawing: it is XML, has no gaps in its numbers, and keeps to its paper."""

from __future__ import annotations

import itertools
import re

import pytest
from drawn_plans import Words, lines_of, paper_of, plan_of, root_of, words_of

from kinlight.drawings.floor_plan import floor_plan
from kinlight.drawings.front_view import front_view
from kinlight.drawings.stop_ladder import stop_ladder

KINDS = ("plain", "feet", "hostile", "many", "bare")


def _drawings(kind: str) -> dict[str, str]:
    plan = plan_of(kind)
    first = plan.pictures[0]
    return {
        "floor": floor_plan(plan),
        "narrow floor": floor_plan(plan, plan.pictures[-1].name, width_mm=150, height_mm=120),
        "view": front_view(plan, first),
        "wide view": front_view(plan, first, width_mm=180, height_mm=100, heights=True),
        "last view": front_view(plan, plan.pictures[-1]),
        "ladder": stop_ladder(plan, first, first.people[-1]),
    }


@pytest.mark.parametrize("kind", KINDS)
def test_every_drawing_is_xml_with_a_title_and_a_description(kind: str) -> None:
    """Whoever does not see it is told what it is."""
    for svg in _drawings(kind).values():
        root = root_of(svg)
        title, desc = root[0], root[1]
        assert root.attrib["aria-labelledby"] == "title desc"
        assert (title.attrib["id"], desc.attrib["id"]) == ("title", "desc")
        assert title.text
        assert desc.text


@pytest.mark.parametrize("kind", KINDS)
def test_no_number_is_missing(kind: str) -> None:
    """No nan and no inf where a coordinate belongs."""
    for svg in _drawings(kind).values():
        attributes = " ".join(v for e in root_of(svg).iter() for v in e.attrib.values())
        assert not re.search(r"\b(nan|inf)\b", attributes)


@pytest.mark.parametrize("kind", KINDS)
def test_everything_lies_on_the_paper(kind: str) -> None:
    """Lines to within half a line's width, words with room for their widest letters."""
    for name, svg in _drawings(kind).items():
        root = root_of(svg)
        width, height = paper_of(root)
        points = [p for line in lines_of(root) for p in line]
        points += [corner for words in words_of(root) for corner in words.corners]
        assert min(x for x, _ in points) >= -0.01, name
        assert min(y for _, y in points) >= -0.01, name
        assert max(x for x, _ in points) <= width + 0.01, name
        assert max(y for _, y in points) <= height + 0.01, name


@pytest.mark.parametrize("kind", KINDS)
def test_no_words_lie_on_other_words(kind: str) -> None:
    """Estimated wide, no two texts of a drawing overlap; names and numbers can all be read."""
    for name, svg in _drawings(kind).items():
        for a, b in itertools.combinations(words_of(root_of(svg)), 2):
            assert not _overlap(a, b), f"{name}: {a.said!r} on {b.said!r}"


def test_words_that_overlap_are_noticed() -> None:
    """The check above sees two texts on one spot, and none where they stand apart."""
    here = ((0.0, 0.0), (5.0, 0.0), (5.0, 2.0), (0.0, 2.0))
    there = ((5.5, 0.0), (9.0, 0.0), (9.0, 2.0), (5.5, 2.0))
    assert _overlap(Words("a", 2, here), Words("b", 2, here))
    assert not _overlap(Words("a", 2, here), Words("b", 2, there))


def _overlap(a: Words, b: Words) -> bool:
    """Return whether two turned boxes overlap: no edge of either separates them."""
    for corners in (a.corners, b.corners):
        for (ax, ay), (bx, by) in itertools.pairwise([*corners, corners[0]]):
            across = (by - ay, ax - bx)
            spans = [
                [x * across[0] + y * across[1] for x, y in box] for box in (a.corners, b.corners)
            ]
            if max(spans[0]) <= min(spans[1]) + 1e-6 or max(spans[1]) <= min(spans[0]) + 1e-6:
                return False
    return True
