"""The strip under a floor plan: who the numbers are, and the title block."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kinlight.drawings.lettering import line_height_mm, shortened, wrapped
from kinlight.drawings.svg import (
    BOLD,
    HAIR,
    PLAIN,
    SMALL,
    SOFT,
    THIN,
    Point,
    line,
    rectangle,
    text,
)
from kinlight.drawings.words import where_text
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Picture

BLOCK_MM = (58.0, 23.0)
_GAP = 6.0
_SINGLE = 6


def _columns(count: int) -> int:
    return 1 if count <= _SINGLE else 2


def people_list_height_mm(count: int, *, width_mm: float) -> float:
    """Return how high the strip is for so many people [mm]."""
    rows = math.ceil(count / _columns(count))
    return max(BLOCK_MM[1], line_height_mm(SMALL) * (rows + 0.5)) + 0.5


def people_list(
    sitting: Sitting, picture: Picture, order: Sequence[str], *, at: Point, width_mm: float
) -> str:
    """Return the numbers of a picture's people with name, posture and place, in columns."""
    spots = {s.person: s for s in picture.places}
    columns = _columns(len(order))
    rows = math.ceil(len(order) / columns)
    each = (width_mm - BLOCK_MM[0] - _GAP) / columns
    drawn = []
    for i, person in enumerate(order):
        x, y = at[0] + (i // rows) * each, at[1] + line_height_mm(SMALL) * (i % rows + 0.75)
        words = shortened(where_text(sitting, spots[person]), each - 6, SMALL)
        drawn.append(text(str(i + 1), (x + 3.2, y), anchor="end", bold=True))
        drawn.append(text(words, (x + 4.4, y)))
    return "".join(drawn)


def title_block(sitting: Sitting, picture: str, scale: str, metre_mm: float, *, at: Point) -> str:
    """Return the title block with its upper right corner at a point, a scale bar in it.

    Parameters
    ----------
    picture : the picture that is drawn.
    scale : such as "1:60".
    metre_mm : how long a metre is on the paper [mm].
    """
    (wide, high), (right, top) = BLOCK_MM, at
    left, bottom = right - wide, top + high
    shelf, post = top + 14.0, left + 25.0
    titles = wrapped(sitting.title, wide - 4, PLAIN, most=2)
    drawn = [
        rectangle((left + THIN, top), (right - THIN, bottom), width_mm=BOLD),
        line((left, shelf), (right, shelf), width_mm=HAIR),
        line((post, shelf), (post, bottom), width_mm=HAIR),
        *(
            text(words, (left + 2, top + 4.4 + i * line_height_mm(PLAIN)), size_mm=PLAIN, bold=True)
            for i, words in enumerate(titles)
        ),
        text(shortened(f"drawn: {picture}", wide - 4, SMALL), (left + 2, shelf - 1.6)),
        text(sitting.date.isoformat() if sitting.date else "", (left + 2, shelf + 4.2)),
        text(f"scale {scale}", (left + 2, shelf + 7.4)),
    ]
    return "".join(drawn) + _scale_bar(sitting, metre_mm, (post + 3, shelf + 6.6), right - post - 6)


def _scale_bar(sitting: Sitting, metre_mm: float, at: Point, width_mm: float) -> str:
    """Return a bar of as many whole metres, or of three-foot steps, as fit."""
    feet = sitting.preferences.units == "feet"
    step_m = 0.9144 if feet else 1.0
    step = metre_mm * step_m
    count = max(1, math.floor(width_mm / step))
    (x, y), drawn = at, ""
    for i in range(min(count, 5)):
        fill = "#222222" if i % 2 == 0 else "none"
        drawn += rectangle((x + i * step, y - 1), (x + (i + 1) * step, y), fill=fill, width_mm=HAIR)
    whole = length_text(min(count, 5) * step_m, units=sitting.preferences.units)
    words = whole if feet else f"{min(count, 5)} m"
    return drawn + text(words, (x, y - 2.2), fill=SOFT)
