"""A person as one clean outline, seen from the lens: head, trunk, arms and legs."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from kinlight.drawings.svg import INK, SKIN, Point, dot, ellipse, line, polygon, polyline
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import UP, Array

# Widths over the shoulders' breadth: from memory, for drawing alone; nothing is reckoned from them.
_ARM, _FOREARM, _THIGH, _SHANK, _NECK = 0.22, 0.17, 0.34, 0.22, 0.26
_SEATED, _WAIST = 0.5, 0.35
Project = Callable[[Array], Array]
Limb = tuple[list[Array], float]
Sides = tuple[int, ...]
BOTH: Sides = (0, 1)


def outline(
    figure: Figure, project: Project, *, scale: float, ink_mm: float, forearms: Sides = BOTH
) -> str:
    """Return somebody as an outline filled with paper, eyes and nose marked.

    Parameters
    ----------
    project : from points of the room, shape (n, 3) [m], to the drawing, shape (n, 2) [mm].
    scale : millimetres in the drawing for a metre at the person's distance [mm/m].
    ink_mm : width of the outline [mm].
    forearms : those drawn, 0 the person's left, 1 the right; `around` draws the others.

    Notes
    -----
    Every part is drawn twice, first in ink and wider by the outline, then in paper, so that only
    the outer edge of the whole stays.
    """
    breadth = float(np.linalg.norm(figure.shoulders_m[0] - figure.shoulders_m[1]))
    limbs = [*_legs(figure, breadth), *_arms(figure, breadth, forearms), _neck(figure, breadth)]
    paths = [([_point(project, p) for p in points], width * scale) for points, width in limbs]
    trunk = [_point(project, p) for p in _trunk(figure, breadth)]
    corner = _ARM * breadth * scale
    drawn = ""
    for stroke, extra in ((INK, 2 * ink_mm), (SKIN, 0.0)):
        drawn += "".join(
            polyline(path, width_mm=width + extra, stroke=stroke) for path, width in paths
        )
        drawn += polygon(trunk, fill=stroke, stroke=stroke, width_mm=corner + extra)
    inner = "".join(_inside(path, width, ink_mm / 2) for path, width in paths[2:4])
    return drawn + inner + _head(figure, project, ink_mm)


def around(
    holder: Figure, held: Figure, project: Project, *, scale: float, ink_mm: float, sides: Sides
) -> str:
    """Return the holder's forearms around somebody held, elbow to hands in front of them."""
    breadth = float(np.linalg.norm(holder.shoulders_m[0] - holder.shoulders_m[1]))
    width = _FOREARM * breadth
    middle = holder.shoulders_m.mean(axis=0)
    hips, shoulders = held.hips_m.mean(axis=0), held.shoulders_m.mean(axis=0)
    waist = hips + _WAIST * (shoulders - hips)
    drawn = ""
    for side in sides:
        inward = np.sign(middle[0] - holder.shoulders_m[side, 0]) * np.array([1.0, 0.0, 0.0])
        elbow = holder.elbows_m[side] + 0.8 * _ARM * breadth / 2 * inward
        hand = waist - 0.6 * width * inward + (0.5 - side) * width * UP
        bend = elbow + 0.4 * (holder.shoulders_m[side] - elbow) * np.array([0.0, 0.0, 1.0])
        forearm = [_point(project, elbow), _point(project, hand)]
        drawn += polyline(forearm, width_mm=width * scale + 2 * ink_mm, stroke=INK)
        # paper also over the end of the upper arm, so that no edge stays at the elbow
        drawn += polyline([_point(project, bend), *forearm], width_mm=width * scale, stroke=SKIN)
    return drawn


def _point(project: Project, point: Array) -> Point:
    x, y = project(point[None, :])[0]
    return float(x), float(y)


def _trunk(figure: Figure, breadth_m: float) -> list[Array]:
    """Return the trunk's corners, drawn in by half the width its edge is stroked with."""
    inset = _ARM * breadth_m / 2
    middle = figure.shoulders_m.mean(axis=0)
    across = (figure.shoulders_m[0] - figure.shoulders_m[1]) / breadth_m
    half = breadth_m / 2 - inset
    hips = figure.hips_m.mean(axis=0)
    wide = float(np.linalg.norm(figure.hips_m[0] - figure.hips_m[1])) / 2 - inset
    neck = middle + (0.62 * (figure.face.chin_m[2] - middle[2]) - inset) * UP
    top = middle - inset * UP
    return [neck, top + half * across, hips + wide * across, hips - wide * across,
            top - half * across]  # fmt: skip


def _neck(figure: Figure, breadth_m: float) -> Limb:
    """Return the neck, from within the head to within the trunk."""
    face = figure.face
    return [(face.chin_m + face.crown_m) / 2, figure.shoulders_m.mean(axis=0)], _NECK * breadth_m


def _arms(figure: Figure, breadth_m: float, forearms: Sides) -> list[Limb]:
    """Return both arms: hanging beside someone who stands, else with the hands on the thighs."""
    inset = _ARM * breadth_m / 2
    middle = figure.shoulders_m.mean(axis=0)
    limbs = []
    for side in (0, 1):
        inward = np.sign(middle[0] - figure.shoulders_m[side, 0]) * np.array([inset, 0.0, 0.0])
        shoulder = figure.shoulders_m[side] + inward - inset * UP
        elbow = figure.elbows_m[side] + inward * 0.8
        upper = float(figure.shoulders_m[side, 2] - figure.elbows_m[side, 2])
        thigh = figure.knees_m[side] - figure.hips_m[side]
        if np.linalg.norm(thigh[:2]) > _SEATED * upper:
            hand = figure.hips_m[side] + 0.55 * thigh + 0.25 * upper * UP
        else:
            hand = elbow - 0.85 * upper * UP + inward * 0.3
        whole = [shoulder, elbow, hand] if side in forearms else [shoulder, elbow]
        limbs.append((whole, _FOREARM * breadth_m))
    return limbs


def _legs(figure: Figure, breadth_m: float) -> list[Limb]:
    """Return both legs, hip to knee to sole; the hip in by half the width of a thigh."""
    middle = figure.hips_m.mean(axis=0)
    half = _THIGH * breadth_m / 2
    limbs = []
    for side in (0, 1):
        out = figure.hips_m[side] - middle
        hip = middle + out * max(0.0, 1 - half / max(float(np.linalg.norm(out)), 1e-6))
        knee, foot = figure.knees_m[side], figure.feet_m[side]
        raised = foot + _SHANK * breadth_m / 2 * UP
        limbs.append(([hip, knee, raised], (_THIGH + _SHANK) / 2 * breadth_m))
    return limbs


def _inside(path: Sequence[Point], width_mm: float, ink_mm: float) -> str:
    """Return the line between an arm and the trunk, from under the shoulder to the elbow."""
    (ax, ay), (bx, by) = path[0], path[1]
    inward = -1.0 if len(path) > 2 and path[2][0] < bx else 1.0
    x = width_mm / 2 * inward
    start = (ax + (bx - ax) * 0.35 + x, ay + (by - ay) * 0.35)
    return line(start, (bx + x, by), width_mm=ink_mm)


def _head(figure: Figure, project: Project, ink_mm: float) -> str:
    """Return the head as an ellipse, with two eyes and a nose that say where it looks."""
    face = figure.face
    crown, chin, one, other = (_point(project, p) for p in figure.head_points_m())
    centre = ((crown[0] + chin[0]) / 2, (crown[1] + chin[1]) / 2)
    high = float(np.hypot(chin[0] - crown[0], chin[1] - crown[1])) / 2
    wide = max(float(np.hypot(one[0] - other[0], one[1] - other[1])) / 2, 0.75 * high)
    tilt = float(np.degrees(np.arctan2(crown[0] - chin[0], chin[1] - crown[1])))
    drawn = ellipse(centre, (wide, high), turn_deg=tilt, fill=SKIN, width_mm=ink_mm)
    eyes = [_point(project, eye) for eye in face.eyes_m()]
    nose = _point(project, face.nose_m)
    bridge = ((eyes[0][0] + eyes[1][0]) / 2, (eyes[0][1] + eyes[1][1]) / 2)
    drawn += "".join(dot(eye, max(high * 0.065, 0.13)) for eye in eyes)
    start = (bridge[0] + (nose[0] - bridge[0]) * 0.35, bridge[1] + (nose[1] - bridge[1]) * 0.35)
    return drawn + line(start, nose, width_mm=ink_mm * 0.8)
