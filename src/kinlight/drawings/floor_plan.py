"""The floor plan: the set to scale, seen from above, with the distances to tape."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.drawings import floor_things as things
from kinlight.drawings.floor_scale import Floor, floor_of
from kinlight.drawings.lettering import line_height_mm, spread, text_width_mm, wrapped
from kinlight.drawings.svg import (
    ACCENT,
    HAIR,
    SMALL,
    SOFT,
    Point,
    dimension,
    document,
    dot,
    line,
    polyline,
    text,
    text_block,
)
from kinlight.drawings.title_block import people_list, people_list_height_mm, title_block
from kinlight.drawings.words import (
    camera_text,
    chosen_picture,
    front_text,
    light_name,
    stated_picture,
)
from kinlight.geometry.people import Figure
from kinlight.plan.model import PicturePlan, Plan
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Reflector

_COLUMN, _GUTTER, _TOP, _STRIP_GAP = 33.0, 6.0, 9.0, 5.0
_ARC_SHARE = 0.33
_NUMBER, _LEAST_NUMBER = 2.2, 1.2
_Thing = tuple[float, float, tuple[str, ...]]


@dataclass(frozen=True)
class _Label:
    """Words about a thing, and the point of the thing their leader ends at."""

    lines: tuple[str, ...]
    anchor: Point

    @property
    def height_mm(self) -> float:
        return line_height_mm(SMALL) * len(self.lines)


def floor_plan(
    plan: Plan, picture: str | None = None, *, width_mm: float = 182.0, height_mm: float = 160.0
) -> str:
    """Return the floor plan as SVG, at the largest usual scale that fits.

    Parameters
    ----------
    picture : whose people are drawn; left out, the picture with most people.
    width_mm, height_mm : the paper there is; what is not needed of the height is left off [mm].
    """
    sitting, shown = plan.sitting, chosen_picture(plan, picture)
    strip_mm = people_list_height_mm(len(shown.people), width_mm=width_mm)
    room_w = width_mm - 2 * (_COLUMN + _GUTTER)
    room_h = max(height_mm - strip_mm - _TOP - _STRIP_GAP, 40.0)
    fit = floor_of(sitting, width_mm=room_w, height_mm=room_h, corner=(0.0, _TOP))
    drawn_w, drawn_h = fit.mm(fit.right_x_m - fit.left_x_m), fit.mm(fit.far_y_m - fit.near_y_m)
    floor = Floor(**{**vars(fit), "corner": ((width_mm - drawn_w) / 2, _TOP)})
    below = _TOP + max(drawn_h, _least_height(plan)) + _STRIP_GAP
    order = _left_to_right(shown.scene.figures)
    body = [
        *_things(plan, shown, floor),
        *_dimensions(plan, floor),
        *_people(floor, order),
        things.mark(floor),
        *_labels(plan, floor, width_mm, below - _STRIP_GAP),
        people_list(sitting, stated_picture(sitting, shown.name), [f.person for f in order],
                    at=(0.0, below), width_mm=width_mm),
        title_block(sitting, shown.name, f"1:{floor.scale}", floor.mm(1.0), at=(width_mm, below)),
    ]  # fmt: skip
    return document(
        body,
        width_mm=width_mm,
        height_mm=below + strip_mm,
        title=f"Floor plan, 1:{floor.scale}",
        desc=_description(plan, shown),
    )


def _least_height(plan: Plan) -> float:
    """Return the height that all labels need on one side at the worst [mm]."""
    count = len(plan.sitting.lights) + len(plan.sitting.reflectors) + 2
    return line_height_mm(SMALL) * 4 * math.ceil(count / 2)


def _things(plan: Plan, shown: PicturePlan, floor: Floor) -> list[str]:
    sitting = plan.sitting
    camera = _camera_m(sitting)
    figures = {f.person: f for f in shown.scene.figures}
    return [
        things.walls(floor),
        things.backdrop(floor, sitting),
        things.seats(floor, sitting, stated_picture(sitting, shown.name)),
        *(things.reflector(floor, r, camera, figures) for r in sitting.reflectors),
        *(
            things.light(floor, stated, lamp)
            for stated, lamp in zip(sitting.lights, shown.scene.lamps, strict=True)
        ),
        things.camera(floor, sitting),
    ]


def _camera_m(sitting: Sitting) -> np.ndarray:
    return np.array(sitting.camera.place.xyz_m() if sitting.camera.place else (0.0, -3.0, 1.0))


def _left_to_right(figures: Sequence[Figure]) -> list[Figure]:
    return sorted(figures, key=lambda f: (round(float(f.face.nose_m[0]), 3), f.face.nose_m[1]))


def _people(floor: Floor, order: Sequence[Figure]) -> list[str]:
    """Return the people, those farther back first so that held children lie on top."""
    labels = {f.person: str(i) for i, f in enumerate(order, start=1)}
    size = _number_size_mm(floor, order)
    back_first = sorted(order, key=lambda f: -float(f.shoulders_m[:, 1].mean()))
    return [things.person(floor, f, labels[f.person], size_mm=size) for f in back_first]


def _number_size_mm(floor: Floor, order: Sequence[Figure]) -> float:
    """Return the type size at which no number of a crowded group lies on another."""
    middles = [f.shoulders_m[:, :2].mean(axis=0) for f in order]
    places = [floor.at(float(x), float(y)) for x, y in middles]
    wide = [text_width_mm(str(i), 1.0) for i in range(1, len(order) + 1)]
    sizes = [_NUMBER]
    for i, j in itertools.combinations(range(len(order)), 2):
        dx, dy = abs(places[i][0] - places[j][0]), abs(places[i][1] - places[j][1])
        sizes.append(max(2 * dx / (wide[i] + wide[j]), dy / line_height_mm(1.0)))
    return max(min(sizes), _LEAST_NUMBER)


def _dimensions(plan: Plan, floor: Floor) -> list[str]:
    """Return the dimension lines: mark to lens, backdrop and key, the key's angle, the room."""
    sitting, units = plan.sitting, plan.sitting.preferences.units
    mark, camera = floor.at(0.0, 0.0), _camera_m(sitting)

    def tape(point: Point, length_m: float, at: float) -> str:
        words = length_text(length_m, units=units)
        return dimension(mark, point, words, fill=ACCENT, at=at)

    lens = floor.at(float(camera[0]), float(camera[1]))
    back = sitting.backdrop.distance_m
    drawn = [tape(lens, math.hypot(camera[0], camera[1]), 0.6)]
    drawn.append(tape(floor.at(0.0, back), back, 0.72))
    key = next((x for x in sitting.lights if x.role == "key"), None)
    if key is not None:
        x, y, _ = key.place.xyz_m()
        drawn.append(tape(floor.at(x, y), math.hypot(x, y), 0.62))
        drawn += _angle(floor, (x, y), (float(camera[0]), float(camera[1])))
    room = sitting.room
    left, right = floor.at(floor.left_x_m, floor.far_y_m), floor.at(floor.right_x_m, floor.far_y_m)
    lift = 3.5
    width = length_text(room.width_m, units=units)
    drawn.append(dimension((left[0], left[1] - lift), (right[0], right[1] - lift), width))
    drawn += [
        line((x, y - 0.8), (x, y - lift - 1), width_mm=HAIR, stroke=SOFT) for x, y in (left, right)
    ]
    near_left = floor.at(floor.left_x_m, floor.near_y_m)
    length, ceiling = (length_text(v, units=units) for v in (room.length_m, room.ceiling_m))
    words = f"room {length} long, ceiling {ceiling}"
    drawn.append(text(words, (near_left[0] + 2, near_left[1] - 2), fill=SOFT))
    return drawn


def _angle(floor: Floor, key: Point, lens: Point) -> list[str]:
    """Return the arc from the lens line to the key's line, and its degrees."""
    turn = math.degrees(math.atan2(key[0], -key[1]))
    start = math.degrees(math.atan2(lens[0], -lens[1]))
    reach = _ARC_SHARE * min(math.hypot(*key), math.hypot(*lens))
    if abs(turn - start) < 5 or reach < 0.2:
        return []
    steps = np.radians(np.linspace(start, turn, 25))
    arc = [floor.at(reach * math.sin(a), -reach * math.cos(a)) for a in steps]
    middle = math.radians((start + turn) / 2)
    out = reach + 2.6 * floor.scale / 1000
    x, y = floor.at(out * math.sin(middle), -out * math.cos(middle))
    words = f"{abs(turn - start):.0f}°"
    return [polyline(arc, width_mm=HAIR), text(words, (x, y + 0.9), anchor="middle", fill=ACCENT)]


def _labels(plan: Plan, floor: Floor, width_mm: float, bottom_mm: float) -> list[str]:
    """Return the words in the two margins with their leaders, things on the left to the left."""
    labels = _all_labels(plan)
    sides: dict[bool, list[_Label]] = {False: [], True: []}
    for x, y, lines in labels:
        if abs(x) > 0.05:
            sides[x > 0].append(_Label(_fitted(lines), floor.at(x, y)))
    for x, y, lines in labels:  # things on the lens line go where there is room
        if abs(x) <= 0.05:
            fewer = min((False, True), key=lambda s: sum(b.height_mm for b in sides[s]))
            sides[fewer].append(_Label(_fitted(lines), floor.at(x, y)))
    return [
        part
        for right, found in sides.items()
        for part in _column(found, floor, width_mm, bottom_mm, right=right)
    ]


def _fitted(lines: Sequence[str]) -> tuple[str, ...]:
    fitted = [wrapped(words, _COLUMN, SMALL * 1.05, most=2) for words in lines if words]
    return tuple(part for parts in fitted for part in parts)


def _column(
    labels: Sequence[_Label], floor: Floor, width_mm: float, bottom_mm: float, *, right: bool
) -> list[str]:
    middles = spread(
        [b.anchor[1] for b in labels],
        [b.height_mm for b in labels],
        low=_TOP,
        high=bottom_mm,
        gap=2.5,
    )
    edge = width_mm - _COLUMN if right else _COLUMN
    out = -1.0 if right else 1.0
    drawn = []
    for label, y in zip(labels, middles, strict=True):
        start, elbow = (edge + out * 0.8, y), (edge + out * (_GUTTER - 1.0), y)
        drawn.append(polyline([start, elbow, label.anchor], width_mm=HAIR))
        drawn.append(dot(label.anchor, 0.4))
        anchor = "start" if right else "end"
        drawn.append(text_block(label.lines, (edge, y), anchor=anchor))
    return drawn


def _all_labels(plan: Plan) -> list[_Thing]:
    """Return for every thing where it is and what is said of it."""
    sitting, units = plan.sitting, plan.sitting.preferences.units
    tapes = {t.what: t for t in plan.tapes}

    def tape(name: str) -> str:
        found = tapes[name]
        side, _, angle = found.aside.partition(", ")
        where = f"{length_text(found.distance_m, units=units)} {side}"
        return f"{where}, {angle.split()[0]}°" if angle else where

    drop = sitting.backdrop
    size = " × ".join(length_text(v, units=units) for v in (drop.width_m, drop.height_m))
    found: list[_Thing] = [(-drop.width_m / 2, drop.distance_m, ("backdrop", f"{size} high"))]
    settings: Mapping[str, str] = {x.light: x.setting for x in plan.lights}
    for lamp in sitting.lights:
        x, y, z = lamp.place.xyz_m()
        high = f"{settings[lamp.id]}, {length_text(z, units=units)} high"
        words = light_name(lamp), front_text(lamp, units), high, tape(lamp.id)
        found.append((x, y, words))
    for panel in sitting.reflectors:
        x, y, z = panel.place.xyz_m()
        found.append((x, y, (panel.id, _panel_text(panel, units), tape(panel.id))))
    x, y, z = (float(v) for v in _camera_m(sitting))
    lens = f"lens {length_text(z, units=units)} high"
    found.append((x, y - 0.1, ("camera", camera_text(sitting), lens)))
    return found


def _panel_text(panel: Reflector, units: str) -> str:
    size = " × ".join(length_text(v, units=units) for v in (panel.width_m, panel.height_m))
    return f"{' on '.join(panel.sheets)}, {size}"


def _description(plan: Plan, shown: PicturePlan) -> str:
    units = plan.sitting.preferences.units
    tapes = "; ".join(
        f"{t.what} {length_text(t.distance_m, units=units)} {t.aside}" for t in plan.tapes
    )
    return f"The set seen from above with the people of {shown.name}. From the mark: {tapes}."
