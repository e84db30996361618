"""The bars of where light comes from: whole, in order, and said in words."""

from __future__ import annotations

import re

import pytest
from drawn_plans import SVG, root_of
from hypothesis import given
from hypothesis import strategies as st

from kinlight.drawings.light_shares import light_shares

ROWS = [("Ada", [("key", 0.6), ("walls", 0.3), ("people", 0.1)])]


def _pieces_mm(svg: str) -> list[float]:
    """Return how wide each piece is, in order."""
    found = []
    for points in re.findall(r'<polygon points="([^"]+)"', svg):
        xs = [float(p.split(",")[0]) for p in points.split()]
        found.append(max(xs) - min(xs))
    return found


def _said(svg: str) -> str:
    """Return every word of a drawing."""
    return " ".join("".join(e.itertext()) for e in root_of(svg).iter(f"{SVG}text"))


def test_pieces_are_as_wide_as_their_shares() -> None:
    """Of one bar: 6 to 3 to 1."""
    wide = _pieces_mm(light_shares(ROWS, title="x", width_mm=120))
    assert [w / sum(wide) for w in wide] == pytest.approx([0.6, 0.3, 0.1], abs=2e-3)


def test_every_source_is_said() -> None:
    """In its piece, or under the bar if that is too narrow."""
    words = _said(light_shares(ROWS, title="x", width_mm=120))
    assert "key 60%" in words
    assert "walls 30%" in words
    assert "then people 10%" in words


def test_what_a_person_typed_is_no_markup() -> None:
    """Names and sources are escaped."""
    svg = light_shares([("<b>&", [('"x"', 1.0)])], title="<t>", width_mm=120)
    assert "<b>&" in _said(svg)


@given(st.lists(st.floats(0.01, 1.0), min_size=1, max_size=9))
def test_the_bar_is_full_whatever_the_shares(parts: list[float]) -> None:
    """Pieces fill it without a gap."""
    shares = [(f"s{i}", p / sum(parts)) for i, p in enumerate(parts)]
    wide = _pieces_mm(light_shares([("Ada", shares)], title="x", width_mm=150))
    assert sum(wide) == pytest.approx(150 - 26.5, abs=0.2)
