"""The few elements our drawings are made of, as SVG text; all lengths are millimetres on paper."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape as _escape

from kinlight.drawings.lettering import line_height_mm, text_width_mm

Point = tuple[float, float]
INK, SOFT, ACCENT = "#222222", "#77736b", "#b5541c"
PAPER, SHEET, SKIN = "#fdfcf8", "#ffffff", "#f5f1e8"
HAIR, THIN, BOLD = 0.13, 0.22, 0.45
FONTS = "Libertinus Serif, Georgia, Cambria, serif"
SMALL, PLAIN = 2.7, 3.1
_SLASH = 1.0


def number(value: float) -> str:
    """Return a coordinate as SVG wants it, in hundredths of a millimetre."""
    return f"{round(value, 2) + 0.0:g}"


def escaped(text: str) -> str:
    """Return text that is safe in an element or a quoted attribute."""
    legal = "".join(c for c in text if c in "\t\n" or (ord(c) >= 32 and not _forbidden(ord(c))))
    return _escape(legal, {'"': "&quot;"})


def _forbidden(code: int) -> bool:
    """Return whether XML 1.0 forbids a character."""
    return 0xD800 <= code <= 0xDFFF or code in (0xFFFE, 0xFFFF)


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def _stroke(stroke: str, width_mm: float, dash: str) -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'stroke="{stroke}" stroke-width="{number(width_mm)}"{dashes}'


def line(a: Point, b: Point, *, width_mm: float = THIN, stroke: str = INK, dash: str = "") -> str:
    """Return a straight line."""
    return polyline([a, b], width_mm=width_mm, stroke=stroke, dash=dash)


def polyline(
    points: Sequence[Point], *, width_mm: float = THIN, stroke: str = INK, dash: str = ""
) -> str:
    """Return an open line through points."""
    look = _stroke(stroke, width_mm, dash)
    return (
        f'<polyline points="{_points(points)}" fill="none" {look} '
        'stroke-linecap="round" stroke-linejoin="round"/>'
    )


def polygon(
    points: Sequence[Point],
    *,
    fill: str = "none",
    width_mm: float = THIN,
    stroke: str = INK,
    dash: str = "",
) -> str:
    """Return a closed outline; it is filled as well as drawn if a fill is given."""
    look = _stroke(stroke, width_mm, dash)
    return f'<polygon points="{_points(points)}" fill="{fill}" {look} stroke-linejoin="round"/>'


def rectangle(
    a: Point, b: Point, *, fill: str = "none", width_mm: float = THIN, stroke: str = INK
) -> str:
    """Return an upright rectangle between two opposite corners."""
    corners = [a, (b[0], a[1]), b, (a[0], b[1])]
    return polygon(corners, fill=fill, width_mm=width_mm, stroke=stroke)


def ellipse(
    centre: Point,
    radii: Point,
    *,
    turn_deg: float = 0.0,
    fill: str = "none",
    width_mm: float = THIN,
    stroke: str = INK,
) -> str:
    """Return an ellipse, turned clockwise as seen on the paper."""
    (x, y), (a, b) = centre, radii
    turn = f' transform="rotate({number(turn_deg)} {number(x)} {number(y)})"' if turn_deg else ""
    return (
        f'<ellipse cx="{number(x)}" cy="{number(y)}" rx="{number(a)}" ry="{number(b)}" '
        f'fill="{fill}" {_stroke(stroke, width_mm, "")}{turn}/>'
    )


def dot(centre: Point, radius_mm: float) -> str:
    """Return a filled dot."""
    x, y = number(centre[0]), number(centre[1])
    return f'<circle cx="{x}" cy="{y}" r="{number(radius_mm)}" fill="{INK}"/>'


def text(
    words: str,
    at: Point,
    *,
    size_mm: float = SMALL,
    anchor: str = "start",
    turn_deg: float = 0.0,
    fill: str = INK,
    bold: bool = False,
) -> str:
    """Return one line of text standing on a point."""
    x, y = number(at[0]), number(at[1])
    turn = f' transform="rotate({number(turn_deg)} {x} {y})"' if turn_deg else ""
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{number(size_mm)}" text-anchor="{anchor}" '
        f'fill="{fill}"{weight}{turn}>{escaped(words)}</text>'
    )


def text_block(
    lines: Sequence[str],
    middle: Point,
    *,
    size_mm: float = SMALL,
    anchor: str = "start",
    bold_first: bool = True,
) -> str:
    """Return lines of text, their block centred in height on a point."""
    step = line_height_mm(size_mm)
    first = middle[1] - step * (len(lines) - 1) / 2 + 0.33 * size_mm
    return "".join(
        text(words, (middle[0], first + i * step), size_mm=size_mm, anchor=anchor,
             bold=bold_first and i == 0)
        for i, words in enumerate(lines)
    )  # fmt: skip


def dimension(
    a: Point,
    b: Point,
    words: str,
    *,
    size_mm: float = SMALL,
    fill: str = INK,
    at: float = 0.5,
    stroke: str = INK,
) -> str:
    """Return a dimension line with a slash at each end, and its number over the line.

    The line runs exactly from `a` to `b`; `at` says where along it the number stands. The number
    reads from below or from the right. A line too short for it leaves it out.
    """
    ends = line(a, b, width_mm=HAIR, stroke=stroke) + _slash(a) + _slash(b)
    length = math.dist(a, b)
    if length < text_width_mm(words, size_mm) + 1:
        return ends
    x, y = a[0] + (b[0] - a[0]) * at, a[1] + (b[1] - a[1]) * at
    turn = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    if not -90 <= turn < 90:
        turn += 180 if turn < -90 else -180
    lift = 0.8
    up = (math.sin(math.radians(turn)) * lift, -math.cos(math.radians(turn)) * lift)
    return ends + text(
        words, (x + up[0], y + up[1]), size_mm=size_mm, anchor="middle", turn_deg=turn, fill=fill
    )


def _slash(at: Point) -> str:
    x, y = at
    return line((x - _SLASH, y + _SLASH), (x + _SLASH, y - _SLASH), width_mm=THIN)


def document(
    body: Iterable[str], *, width_mm: float, height_mm: float, title: str, desc: str
) -> str:
    """Return a whole drawing with a title and a description for those who do not see it."""
    w, h = number(width_mm), number(height_mm)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w} {h}" width="{w}mm" '
        f'height="{h}mm" role="img" aria-labelledby="title desc" font-family="{FONTS}">'
        f'<title id="title">{escaped(title)}</title><desc id="desc">{escaped(desc)}</desc>'
        f'<rect x="0" y="0" width="{w}" height="{h}" fill="{PAPER}"/>' + "".join(body) + "</svg>\n"
    )
