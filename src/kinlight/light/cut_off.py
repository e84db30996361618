"""How far off its axis a front still shines, with a grid before it or without."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from kinlight.geometry.vectors import Array, frame
from kinlight.light.emitter import Emitter

OPEN_DEG = 90.0
"""Beyond this off its axis a front shines nowhere, grid or not [deg]."""


def shines_on(point_m: ArrayLike, emitter: Emitter) -> bool:
    """Return whether a point is before a front, and where its grid, if any, lets light go."""
    return off_axis_deg(point_m, emitter) < cut_off_deg(point_m, emitter)


def off_axis_deg(point_m: ArrayLike, emitter: Emitter) -> float:
    """Return the angle at a front's middle from where it faces to a point [deg]."""
    away = np.asarray(point_m, dtype=np.float64) - emitter.centre_m
    ahead = away @ emitter.normal
    return math.degrees(math.atan2(float(np.linalg.norm(np.cross(emitter.normal, away))), ahead))


def cut_off_deg(point_m: ArrayLike, emitter: Emitter) -> float:
    """Return how far off its axis a front stops shining, toward a point and in its distance [deg].

    Parameters
    ----------
    point_m : shape (3,) [m].
    emitter : the front; without a grid the answer is 90.

    Notes
    -----
    A cell of a grid, w wide and d deep, is dark from a point X beside its middle x once
    (d/w) (|x - X| - w/2) / (D - d) reaches 1, D being the distance from the front's plane. So the
    whole front is dark once |X| reaches h + (w/d) (D - d), h being half the front: across or up,
    whichever comes first. Round cells, as a honeycomb's count here: h + (w/d) (D - d/2), in the
    direction of the point. With r the distance from the middle and s the sine of the direction's
    part, r s sin a - (w/d) r cos a = h - w (h - w/2 if round), solved for a. Walls reflect nothing.
    Far away it is atan(w/d) for a point straight aside.
    """
    grid = emitter.grid
    away = np.asarray(point_m, dtype=np.float64) - emitter.centre_m
    r = float(np.linalg.norm(away))
    right, up = frame(emitter.normal)
    aside = np.array([away @ right, away @ up])
    length = float(np.linalg.norm(aside))
    if grid is None or r == 0:
        return OPEN_DEG
    along = aside / length if length > 0 else np.array([1.0, 0.0])
    slope = grid.cell_m / grid.depth_m
    outline = (emitter.polygon_m - emitter.centre_m) @ np.stack([right, up], axis=1)
    if grid.kind == "honeycomb":
        reach = float((outline @ along).max())
        return _dark_from_deg(1.0, slope, (reach - grid.cell_m / 2) / r)
    half = _whole_cells_m(np.abs(outline).max(axis=0), grid.cell_m)
    return min(
        _dark_from_deg(abs(float(part)), slope, (float(h) - grid.cell_m) / r)
        for part, h in zip(along, half, strict=True)
    )


def _whole_cells_m(half: Array, cell_m: float) -> Array:
    """Return half a front as counted in cells from its middle, as the light engine counts them."""
    count = np.maximum(np.rint(2 * half / cell_m), 1)
    reached = np.floor(2 * half / cell_m - 1e-9) + 1
    return np.asarray(np.maximum(reached * cell_m - count * cell_m / 2, count * cell_m / 2))


def _dark_from_deg(part: float, slope: float, offset: float) -> float:
    """Solve part sin a - slope cos a = offset for a, 0 to 90; 90 if it never comes to that."""
    length = math.hypot(part, slope)
    if offset >= length:
        return OPEN_DEG
    a = math.asin(max(offset / length, -1.0)) + math.atan2(slope, part)
    return min(max(math.degrees(a), 0.0), OPEN_DEG)
