"""How much room words take in a drawing, and how they are kept from lying on each other."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

# Widths in shares of the type size, a little wider than the typefaces used: measured by eye.
_NARROW, _WIDE = frozenset(" ijlftrI.,:;'|!()[]/-"), frozenset("mwMW@%&—")
_LINE = 1.22


def text_width_mm(text: str, size_mm: float) -> float:
    """Return how wide a text of a type size is at most, estimated from its letters [mm]."""
    return size_mm * sum(_share(letter) for letter in text)


def _share(letter: str) -> float:
    if letter in _NARROW:
        return 0.32
    if letter in _WIDE:
        return 0.88
    if unicodedata.combining(letter):
        return 0.0
    if ord(letter) > 0x2E80:  # scripts that fill a square, and pictures
        return 1.05
    return 0.68 if letter.isupper() else 0.5


def line_height_mm(size_mm: float) -> float:
    """Return the distance from one line of text to the next [mm]."""
    return _LINE * size_mm


def shortened(text: str, width_mm: float, size_mm: float) -> str:
    """Return the text, cut and marked with an ellipsis where it is wider than allowed."""
    if text_width_mm(text, size_mm) <= width_mm:
        return text
    while text and text_width_mm(text + "…", size_mm) > width_mm:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, width_mm: float, size_mm: float, *, most: int = 99) -> tuple[str, ...]:
    """Return the text in lines no wider than allowed, at most so many; the last is cut to fit."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        fits = bool(lines) and text_width_mm(longer, size_mm) <= width_mm
        if fits or (lines and len(lines) == most):
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(shortened(line, width_mm, size_mm) for line in lines)


def spread(
    wanted: Sequence[float], heights: Sequence[float], *, low: float, high: float, gap: float
) -> list[float]:
    """Return middles for blocks on a line, near where they are wanted, none on another.

    Parameters
    ----------
    wanted : the middle each block would like, in any order [mm].
    heights : how long each block is along the line [mm].
    low, high : where the line ends; blocks overrun `high` only if all are too long for it [mm].
    gap : least distance between blocks [mm].
    """

    def extent(group: Sequence[int]) -> float:
        return sum(heights[i] for i in group) + gap * (len(group) - 1)

    def start(group: Sequence[int]) -> float:
        """Return where a run of touching blocks starts to be on average where it is wanted."""
        offset, before = 0.0, 0.0
        for i in group:
            offset += wanted[i] - before - heights[i] / 2
            before += heights[i] + gap
        return max(min(offset / len(group), high - extent(group)), low)

    groups: list[list[int]] = []
    for i in sorted(range(len(wanted)), key=lambda i: (wanted[i], i)):
        groups.append([i])
        while len(groups) > 1 and start(groups[-2]) + extent(groups[-2]) + gap > start(groups[-1]):
            last = groups.pop()
            groups[-1] += last
    middles = [0.0] * len(wanted)
    for group in groups:
        at = start(group)
        for i in group:
            middles[i] = at + heights[i] / 2
            at += heights[i] + gap
    return middles
