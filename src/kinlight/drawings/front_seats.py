"""What people sit and stand on, seen from the lens: stools, chairs, boxes and wheelchairs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kinlight.drawings.figure_outline import Project
from kinlight.drawings.svg import HAIR, INK, SHEET, THIN, Point, polygon, polyline
from kinlight.geometry.vectors import Array
from kinlight.sitting.gear import Seat
from kinlight.sitting.pictures import Spot

# From memory, for drawing alone; nothing is reckoned from them.
_SLAB_M, _CHAIR_BACK_M, _USUAL_M = 0.05, 0.42, 0.40
_WHEELCHAIR_M, _WHEEL_RADIUS_M = 0.46, 0.30
_LEAST_BOX_M = 0.01
_ON_BOXES = ("standing", "box", "kneeling", "on heels", "floor")


def seat(spot: Spot, seats: Sequence[Seat], project: Project) -> str:
    """Return what somebody sits or stands on, at its height and size; nothing if on the floor.

    Parameters
    ----------
    spot : where somebody is and how.
    seats : those of the sitting; one of the spot's height is drawn in its own size.
    project : from points of the room, shape (n, 3) [m], to the drawing, shape (n, 2) [mm].
    """
    if spot.held_by or spot.seat_m < _LEAST_BOX_M:
        return ""
    wide, deep = _size_m(spot, seats)
    if spot.posture in _ON_BOXES:
        return _slab(spot, project, (wide, deep), (0.0, spot.seat_m))
    top = _slab(spot, project, (wide, deep), (spot.seat_m - _SLAB_M, spot.seat_m))
    if spot.posture == "wheelchair":
        return _back(spot, project, (wide, deep)) + _wheels(spot, project, wide) + top
    back = _back(spot, project, (wide, deep)) if spot.posture == "chair" else ""
    return back + _feet(spot, project, (wide, deep)) + top


def _size_m(spot: Spot, seats: Sequence[Seat]) -> tuple[float, float]:
    """Return width and depth of the seat at a spot [m]."""
    if spot.posture == "wheelchair":
        return _WHEELCHAIR_M, _WHEELCHAIR_M
    fit = [s for s in seats if abs(s.height_m - spot.seat_m) < 0.005]
    return (fit[0].width_m, fit[0].depth_m) if fit else (_USUAL_M, _USUAL_M)


def _drawn(
    spot: Spot, project: Project, points: Sequence[tuple[float, float, float]]
) -> list[Point]:
    """Return points that are across, toward the camera and up from a spot, in the drawing."""
    turn = np.radians(spot.turned_deg)
    c, s = float(np.cos(turn)), float(np.sin(turn))
    room: Array = np.array(
        [(spot.x_m + c * x + s * f, spot.y_m + s * x - c * f, z) for x, f, z in points]
    )
    return [(float(u), float(v)) for u, v in project(room)]


def _slab(
    spot: Spot, project: Project, size_m: tuple[float, float], heights_m: tuple[float, float]
) -> str:
    """Return the front and the top of a block."""
    (x, f), (low, high) = (v / 2 for v in size_m), heights_m
    top = [(-x, f, high), (x, f, high), (x, -f, high), (-x, -f, high)]
    front = [(-x, f, low), (x, f, low), (x, f, high), (-x, f, high)]
    return "".join(
        polygon(_drawn(spot, project, side), fill=SHEET, width_mm=THIN) for side in (top, front)
    )


def _feet(spot: Spot, project: Project, size_m: tuple[float, float]) -> str:
    """Return the four legs of a stool or chair."""
    x, f = (0.9 * v / 2 for v in size_m)
    ends = [_drawn(spot, project, [(i * x, j * f, spot.seat_m), (i * x, j * f, 0.0)])
            for i in (-1, 1) for j in (-1, 1)]  # fmt: skip
    return "".join(polyline(end, width_mm=2 * THIN, stroke=INK) for end in ends)


def _back(spot: Spot, project: Project, size_m: tuple[float, float]) -> str:
    """Return the back of a chair."""
    x, f = (v / 2 for v in size_m)
    low, high = spot.seat_m, spot.seat_m + _CHAIR_BACK_M
    corners = [(-x, -f, low), (x, -f, low), (x, -f, high), (-x, -f, high)]
    return polygon(_drawn(spot, project, corners), fill=SHEET, width_mm=THIN)


def _wheels(spot: Spot, project: Project, wide_m: float) -> str:
    """Return two large wheels beside the seat."""
    round_ = np.linspace(0.0, 2 * np.pi, 32, endpoint=False)
    drawn = ""
    for x in (-wide_m / 2 - 0.05, wide_m / 2 + 0.05):
        for radius in (_WHEEL_RADIUS_M, _WHEEL_RADIUS_M - 0.03):
            rim = [
                (x, radius * float(np.cos(a)), _WHEEL_RADIUS_M + radius * float(np.sin(a)))
                for a in round_
            ]
            drawn += polygon(_drawn(spot, project, rim), fill=SHEET, width_mm=HAIR)
    return drawn
