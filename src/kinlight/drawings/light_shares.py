"""Where each face's light comes from: one bar a person, a piece of it for every source."""

from __future__ import annotations

from collections.abc import Sequence

from kinlight.drawings.lettering import line_height_mm, shortened, text_width_mm
from kinlight.drawings.svg import PLAIN, SMALL, SOFT, THIN, document, rectangle, text

Shares = Sequence[tuple[str, float]]
_NAME_MM = 26.0
_BAR_MM = 5.6
_GAP_MM = 2.2
_TINTS = ("#ffffff", "#f5f1e8", "#e9e3d6", "#dcd5c5")
_PAD_MM = 1.2
_LEAST_SAID = 0.005


def light_shares(rows: Sequence[tuple[str, Shares]], *, title: str, width_mm: float) -> str:
    """Return the bars of some people as SVG.

    Parameters
    ----------
    rows : a name, and its sources with their shares of the light, together 1, largest first; those
        that round to nothing are drawn and not said.
    title : whose light it is.
    width_mm : the paper it takes.

    Notes
    -----
    Every piece carries its words. What is too small for them stands under the bar, in order.
    """
    long = width_mm - _NAME_MM - 0.5
    body, y = [], 1.0
    for name, shares in rows:
        drawn, below = _bar(name, shares, y, long)
        body += drawn
        y += _BAR_MM + _GAP_MM
        if below:
            body.append(text(below, (_NAME_MM, y + 0.6), size_mm=SMALL, fill=SOFT))
            y += line_height_mm(SMALL)
    said = "; ".join(f"{name}: {_sentence(shares)}" for name, shares in rows)
    return document(body, width_mm=width_mm, height_mm=y, title=title, desc=said)


def height_mm(rows: Sequence[tuple[str, Shares]], *, width_mm: float) -> float:
    """Return how high the bars of some people are [mm]."""
    long = width_mm - _NAME_MM - 0.5
    below = sum(1 for name, shares in rows if _bar(name, shares, 0.0, long)[1])
    return 1.0 + len(rows) * (_BAR_MM + _GAP_MM) + below * line_height_mm(SMALL)


def _bar(name: str, shares: Shares, y: float, long: float) -> tuple[list[str], str]:
    """Return one bar, and what stands under it."""
    middle = y + _BAR_MM / 2 + 0.35 * PLAIN
    drawn = [text(shortened(name, _NAME_MM - 2, PLAIN), (0.3, middle), size_mm=PLAIN)]
    x, small = _NAME_MM, []
    for k, (source, share) in enumerate(shares):
        wide = share * long
        tint = _TINTS[k % len(_TINTS)]
        drawn.append(rectangle((x, y), (x + wide, y + _BAR_MM), fill=tint, width_mm=THIN))
        words = f"{source} {share:.0%}"
        if text_width_mm(words, SMALL) + _PAD_MM <= wide:
            at = (x + wide / 2, y + _BAR_MM / 2 + 0.35 * SMALL)
            drawn.append(text(words, at, size_mm=SMALL, anchor="middle"))
        else:
            small.append((source, share))
        x += wide
    said = _sentence(small)
    return drawn, shortened(f"then {said}", long, SMALL) if said else ""


def _sentence(shares: Shares) -> str:
    said = [(source, share) for source, share in shares if share >= _LEAST_SAID]
    return ", ".join(f"{source} {share:.0%}" for source, share in said)
