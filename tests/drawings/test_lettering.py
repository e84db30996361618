"""Words keep to the room they have, and blocks do not lie on each other."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.drawings.lettering import shortened, spread, text_width_mm, wrapped

_BLOCKS = st.lists(
    st.tuples(st.floats(-50, 250), st.floats(1, 12)), min_size=1, max_size=12
)  # where wanted, how long


@given(_BLOCKS)
def test_spread_blocks_never_lie_on_each_other(blocks: list[tuple[float, float]]) -> None:
    """Each keeps the gap to the next, in the order they were wanted, inside the line."""
    wanted, heights = zip(*blocks, strict=True)
    middles = spread(wanted, heights, low=0, high=200, gap=1)
    placed = sorted(range(len(blocks)), key=lambda i: middles[i])
    for a, b in itertools.pairwise(placed):
        assert middles[b] - middles[a] >= (heights[a] + heights[b]) / 2 + 1 - 1e-9
        assert wanted[a] <= wanted[b]
    assert min(m - h / 2 for m, h in zip(middles, heights, strict=True)) >= -1e-9
    assert max(m + h / 2 for m, h in zip(middles, heights, strict=True)) <= 200 + 1e-9


def test_blocks_with_room_stay_where_they_are_wanted() -> None:
    """Nothing moves that need not; two on one spot share the way, worked out by hand."""
    assert spread([50.0, 10.0], [4.0, 4.0], low=0, high=100, gap=1) == [50.0, 10.0]
    assert spread([50.0, 50.0], [4.0, 4.0], low=0, high=100, gap=1) == pytest.approx([47.5, 52.5])


@given(st.text(max_size=80), st.floats(8, 60))
def test_shortened_text_is_no_wider_than_allowed(text: str, width_mm: float) -> None:
    """Whatever the letters; text that fits is left alone."""
    found = shortened(text, width_mm, 3.0)
    assert text_width_mm(found, 3.0) <= width_mm
    if text_width_mm(text, 3.0) <= width_mm:
        assert found == text


@given(st.text(alphabet="abc WÄ名", max_size=120), st.integers(1, 4))
def test_wrapped_lines_keep_to_width_and_number(text: str, most: int) -> None:
    """No line is too wide, there are no more than allowed, and no word is lost if all fit."""
    lines = wrapped(text, 30.0, 3.0, most=most)
    assert len(lines) <= most
    assert all(text_width_mm(line, 3.0) <= 30.0 for line in lines)
    if not any("…" in line for line in lines):
        assert " ".join(lines).split() == text.split()
