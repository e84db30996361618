"""Sizes of paper that have a name."""

from __future__ import annotations

import functools
import tomllib
from importlib.resources import files


@functools.cache
def _sides_mm() -> dict[str, list[int]]:
    text = files("kinlight.sitting").joinpath("data/paper_sizes.toml").read_text("utf-8")
    return dict(tomllib.loads(text))


def paper_sides_m(name: str) -> tuple[float, float] | None:
    """Return the short and the long side of a named paper [m]; None if there is no such [iso216].

    The names are A0 to A6, in capitals or not.
    """
    sides = _sides_mm().get(name.strip().upper())
    return None if sides is None else (sides[0] / 1000, sides[1] / 1000)
