"""The front view: a picture as framed, seen from the lens, with the crops of its sizes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.drawings.figure_outline import BOTH, Project, Sides, around, outline
from kinlight.drawings.front_seats import seat
from kinlight.drawings.lettering import line_height_mm, shortened, spread, text_width_mm
from kinlight.drawings.svg import (
    ACCENT,
    BOLD,
    HAIR,
    SHEET,
    SMALL,
    SOFT,
    THIN,
    Point,
    document,
    polygon,
    polyline,
    rectangle,
    text,
)
from kinlight.drawings.words import lens_text, names, stated_picture
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.optics.crops import Rect
from kinlight.optics.framing import CameraView
from kinlight.plan.model import PicturePlan, Plan
from kinlight.plan.picture import focus_point_m
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Spot
from kinlight.sitting.room_fit import room_sides_m
from kinlight.stage.view import view_of

_MARGIN, _HEIGHTS = 0.6, 34.0
_CORNER_SHARE = 0.07
_NEAREST_M = 0.3
_TINY, _CLEAR = 2.3, 0.4
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class _Sheet:
    """Where the picture lies on the paper: scale, and where the middle of the frame falls."""

    view: CameraView
    times: float
    middle: Point

    def on_paper(self, x_mm: float, y_mm: float) -> Point:
        return self.middle[0] + self.times * x_mm, self.middle[1] - self.times * y_mm

    def project(self, points_m: Array) -> Array:
        flat = self.view.project_mm(points_m) * self.times
        return np.stack([self.middle[0] + flat[:, 0], self.middle[1] - flat[:, 1]], axis=-1)

    def frame(self) -> tuple[Point, Point]:
        width, height = self.view.frame_mm
        return self.on_paper(-width / 2, height / 2), self.on_paper(width / 2, -height / 2)


def front_view(
    plan: Plan,
    picture: PicturePlan,
    *,
    width_mm: float = 57.0,
    height_mm: float = 88.0,
    heights: bool = False,
) -> str:
    """Return a picture as framed, as SVG no larger than the paper there is.

    Parameters
    ----------
    width_mm, height_mm : the paper there is [mm].
    heights : whether the height of every crown over the floor stands beside the frame.
    """
    view = _view(plan, picture)
    aside = _HEIGHTS if heights else 0.0
    sheet, size = _laid_out(picture, view, width_mm - aside, height_mm)
    (left, top), (right, bottom) = sheet.frame()
    body = [
        f'<clipPath id="frame"><rect x="{left:.2f}" y="{top:.2f}" width="{right - left:.2f}" '
        f'height="{bottom - top:.2f}"/></clipPath><g clip-path="url(#frame)">',
        _set(plan.sitting, sheet),
        *_people(plan, picture, sheet),
        "</g>",
        rectangle((left, top), (right, bottom), width_mm=BOLD),
        *_crops(picture, sheet, size),
    ]
    if heights:
        body += _crown_heights(plan.sitting, picture, sheet)
    return document(
        body,
        width_mm=size[0] + aside,
        height_mm=size[1],
        title=f"{picture.name} as framed",
        desc=description(plan, picture),
    )


def description(plan: Plan, picture: PicturePlan) -> str:
    """Return a front view in words."""
    sizes = ", ".join(cut.size for cut in picture.framing.cuts)
    way = "upright" if picture.upright else "level"
    who = names(plan.sitting, _left_to_right(picture))
    lens = lens_text(plan.sitting, picture)
    return f"{picture.name}: {who}, from left to right. {lens}, camera {way}. Crops: {sizes}."


def _view(plan: Plan, picture: PicturePlan) -> CameraView:
    figures = {p.name: p.scene.figures for p in plan.pictures}
    point = focus_point_m(plan.sitting, figures)
    return view_of(plan.sitting, stated_picture(plan.sitting, picture.name), focus_on_m=point)


def _left_to_right(picture: PicturePlan) -> list[str]:
    figures = sorted(picture.scene.figures, key=lambda f: float(f.face.nose_m[0]))
    return [f.person for f in figures]


def _laid_out(
    picture: PicturePlan, view: CameraView, width_mm: float, height_mm: float
) -> tuple[_Sheet, tuple[float, float]]:
    """Return the frame and every crop at the largest scale that fits, and the paper they take."""
    across, up = view.frame_mm
    rects = [cut.crop.rect for cut in picture.framing.cuts]
    left = min(-across / 2, *(max(r.left_mm, -across) for r in rects))
    right = max(across / 2, *(min(r.right_mm, across) for r in rects))
    bottom = min(-up / 2, *(max(r.bottom_mm, -up) for r in rects))
    top = max(up / 2, *(min(r.top_mm, up) for r in rects))
    room = (width_mm - 2 * _MARGIN, height_mm - 2 * _MARGIN)
    times = min(room[0] / (right - left), room[1] / (top - bottom))
    middle = (_MARGIN - times * left, _MARGIN + times * top)
    size = (times * (right - left) + 2 * _MARGIN, times * (top - bottom) + 2 * _MARGIN)
    return _Sheet(view, times, middle), size


def _set(sitting: Sitting, sheet: _Sheet) -> str:
    """Return the back wall's foot, and the backdrop with its sweep."""
    drop, back = sitting.backdrop, room_sides_m(sitting)
    half, y = drop.width_m / 2, drop.distance_m
    nearest = float(sheet.view.entrance_pupil_m[1]) + _NEAREST_M
    end = max(y - drop.sweep_m, min(nearest, y))

    def at(*points: tuple[float, float, float]) -> list[Point]:
        return [(float(u), float(v)) for u, v in sheet.project(np.array(points))]

    foot = at((back[0], back[3], 0.0), (back[1], back[3], 0.0))
    hung = at((-half, y, drop.height_m), (half, y, drop.height_m), (half, y, 0.0), (-half, y, 0.0))
    swept = at((-half, y, 0.0), (half, y, 0.0), (half, end, 0.0), (-half, end, 0.0))
    return (
        polyline(foot, width_mm=THIN)
        + polygon(hung, fill=SHEET, width_mm=THIN)
        + polygon(swept, fill=SHEET, width_mm=THIN)
        + polyline(hung[2:], width_mm=THIN, stroke=SHEET)
        + polyline(hung[2:], width_mm=HAIR, stroke=SOFT, dash="1.2 0.8")
    )


def _people(plan: Plan, picture: PicturePlan, sheet: _Sheet) -> list[str]:
    """Return the figures, the farthest first, so that nearer ones hide it as they will.

    Each stands before what it sits on, and whoever is held within the arms of the holder.
    """
    project: Project = sheet.project
    figures = {f.person: f for f in picture.scene.figures}
    spots = {s.person: s for s in stated_picture(plan.sitting, picture.name).places}
    holding = {s.held_by: s for s in spots.values() if s.held_by}
    drawn = []
    for figure in sorted(picture.scene.figures, key=lambda f: -_along(sheet, f.shoulders_m)):
        spot, held = spots[figure.person], holding.get(figure.person)
        busy = _busy(figure, figures[held.person], held) if held else ()
        free = tuple(side for side in BOTH if side not in busy)
        scale = _scale(sheet, figure)
        drawn.append(seat(spot, plan.sitting.seats, project))
        drawn.append(outline(figure, project, scale=scale, ink_mm=THIN, forearms=free))
        if spot.held_by:
            holder = figures[spot.held_by]
            sides = _busy(holder, figure, spot)
            scale = _scale(sheet, holder)
            drawn.append(around(holder, figure, project, scale=scale, ink_mm=THIN, sides=sides))
    return drawn


def _busy(holder: Figure, held: Figure, spot: Spot) -> Sides:
    """Return the arms that hold: both for a lap, for a hip the one on that side."""
    if spot.posture == "lap":
        return BOTH
    away = np.linalg.norm(holder.hips_m - held.hips_m.mean(axis=0), axis=1)
    return (int(np.argmin(away)),)


def _scale(sheet: _Sheet, figure: Figure) -> float:
    """Return millimetres in the drawing for a metre at somebody's distance."""
    return sheet.view.principal_distance_mm / _along(sheet, figure.shoulders_m) * sheet.times


def _along(sheet: _Sheet, points_m: Array) -> float:
    return float(sheet.view.along_axis_m(points_m).mean())


def _box(figure: Figure, sheet: _Sheet) -> Box:
    """Return the box around a figure in the drawing: left, top, right, bottom."""
    pairs = (figure.head_points_m(), figure.shoulders_m, figure.hips_m, figure.knees_m)
    flat = sheet.project(np.concatenate([*pairs, figure.feet_m]))
    (left, top), (right, bottom) = flat.min(axis=0), flat.max(axis=0)
    return float(left), float(top), float(right), float(bottom)


def _crops(picture: PicturePlan, sheet: _Sheet, size: tuple[float, float]) -> list[str]:
    """Return corner marks for every crop, with the sizes it serves at its upper left."""
    sizes: dict[tuple[float, ...], list[str]] = {}
    rects: dict[tuple[float, ...], Rect] = {}
    for cut in picture.framing.cuts:
        r = cut.crop.rect
        key = tuple(round(v, 1) for v in (r.left_mm, r.right_mm, r.bottom_mm, r.top_mm))
        sizes.setdefault(key, []).append(cut.size)
        rects[key] = r
    (x0, y0), (x1, y1) = sheet.frame()
    edges = [(x0, y0, x1, y0), (x0, y1, x1, y1), (x0, y0, x0, y1), (x1, y0, x1, y1)]
    taken = edges + [_box(f, sheet) for f in picture.scene.figures]
    drawn, ends = [], {}
    for key, r in rects.items():
        upper, lower = sheet.on_paper(r.left_mm, r.top_mm), sheet.on_paper(r.right_mm, r.bottom_mm)
        ends[key] = _kept(upper, size), _kept(lower, size)
        arms = _corners(*ends[key])
        taken += [_around(arm) for arm in arms]
        drawn += [polyline(arm, width_mm=BOLD, stroke=ACCENT) for arm in arms]
    for key, named in sizes.items():
        drawn.append(_label(", ".join(named), *ends[key], taken, size))
    return drawn


def _around(points: Sequence[Point]) -> Box:
    """Return the box around points."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _kept(point: Point, size: tuple[float, float]) -> Point:
    """Return a corner moved onto the paper, should a crop reach beyond it."""
    return (min(max(point[0], 0.3), size[0] - 0.3), min(max(point[1], 0.3), size[1] - 0.3))


def _corners(a: Point, b: Point) -> list[list[Point]]:
    """Return the arms of the marks at the four corners of a crop."""
    arm = _CORNER_SHARE * min(abs(b[0] - a[0]), abs(b[1] - a[1])) + 1.0
    return [
        end
        for x, dx in ((a[0], arm), (b[0], -arm))
        for y, dy in ((a[1], arm), (b[1], -arm))
        for end in ([(x, y), (x + dx, y)], [(x, y), (x, y + dy)])
    ]


def _label(
    words: str,
    upper: Point,
    lower: Point,
    taken: list[Box],
    size: tuple[float, float],
) -> str:
    """Return the sizes of a crop at a corner of it where no other words stand."""
    words = shortened(words, size[0] - 6, _TINY)
    wide, high = text_width_mm(words, _TINY), _TINY
    left, right = upper[0] + 1.2, max(lower[0] - 1.2 - wide, 1.0)
    heights = (
        *(upper[1] - 1.0, upper[1] + high + 0.5, lower[1] + high + 0.4, lower[1] - 1.0),
        *(upper[1] + 2.6 * high, lower[1] - 2.4 * high),
    )
    places = [
        (x, y, x + wide, y + high) for y in [h - high for h in heights] for x in (left, right)
    ]
    free = [
        box for box in places if _inside(box, size) and not any(_overlap(box, t) for t in taken)
    ]
    if not free:  # the sizes also stand in the caption
        return ""
    box = free[0]
    taken.append(box)
    return text(words, (box[0], box[3] - 0.2), size_mm=_TINY, fill=ACCENT)


def _inside(box: Box, size: tuple[float, float]) -> bool:
    """Return whether a box lies on the paper."""
    return min(box[:2]) > 0.5 and box[2] < size[0] - 0.5 and box[3] < size[1] - 0.5


def _overlap(a: Box, b: Box) -> bool:
    """Return whether two boxes are nearer to each other than a hair's breadth."""
    return (
        a[0] < b[2] + _CLEAR
        and b[0] < a[2] + _CLEAR
        and a[1] < b[3] + _CLEAR
        and b[1] < a[3] + _CLEAR
    )


def _crown_heights(sitting: Sitting, picture: PicturePlan, sheet: _Sheet) -> list[str]:
    """Return beside the frame how high every crown is, each at its height in the picture."""
    (_, top), (right, bottom) = sheet.frame()
    figures = picture.scene.figures
    crowns = [float(sheet.project(f.face.crown_m[None, :])[0][1]) for f in figures]
    step = line_height_mm(SMALL)
    middles = spread(crowns, [step] * len(crowns), low=top, high=bottom, gap=0.2)
    drawn = []
    for figure, crown, y in zip(figures, crowns, middles, strict=True):
        height = length_text(float(figure.face.crown_m[2]), units=sitting.preferences.units)
        name = shortened(sitting.person(figure.person).name, _HEIGHTS - 22, SMALL)
        path = [(right, crown), (right + 1.5, crown), (right + 5.5, y), (right + 6.5, y)]
        drawn.append(polyline(path, width_mm=HAIR))
        drawn.append(text(f"{height} {name}", (right + 7.2, y + 0.33 * SMALL)))
    return drawn
