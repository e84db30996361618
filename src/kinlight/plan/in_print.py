"""What of the frame is printed, and which lamps and panels hang in it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array, unit
from kinlight.light.engine import engine_in_use
from kinlight.light.packed import shapes_of
from kinlight.light.world import Sheet
from kinlight.optics.crops import Rect
from kinlight.optics.framing import CameraView
from kinlight.plan.framed import Framing
from kinlight.stage.scene import Scene
from kinlight.stage.world import BACKDROP, SWEEP

_HAIR_MM = 1e-3
_OFF_M = 0.01  # toward the lens, out of the sheet itself
_ACROSS = 7  # points across a body and up it that are looked for


def printed_rects(framed: Framing, view: CameraView) -> tuple[Rect, ...]:
    """Return the crops of a picture's sizes, each as far as it lies in the frame [mm].

    Without sizes it is the frame.
    """
    across, up = (side / 2 for side in view.frame_mm)
    rects = [cut.crop.rect for cut in framed.cuts] or [Rect(-across, across, -up, up)]
    return tuple(
        Rect(
            max(r.left_mm, -across),
            min(r.right_mm, across),
            max(r.bottom_mm, -up),
            min(r.top_mm, up),
        )
        for r in rects
    )


def in_print(points_m: Array, view: CameraView, rects: Sequence[Rect]) -> NDArray[np.bool_]:
    """Return which points (n, 3) of the room fall within any of the crops, shape (n,)."""
    x, y = view.project_mm(points_m).T
    inside = np.zeros(len(x), dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        for r in rects:
            across = (x >= r.left_mm - _HAIR_MM) & (x <= r.right_mm + _HAIR_MM)
            inside |= across & (y >= r.bottom_mm - _HAIR_MM) & (y <= r.top_mm + _HAIR_MM)
    return inside


def gear_in_print(scene: Scene, view: CameraView, rects: Sequence[Rect]) -> tuple[str, ...]:
    """Return the lamps and panels of which the lens sees a part within a crop, lit or not.

    Notes
    -----
    By points all over each front or sheet: stands, booms and what reaches back behind a front are
    not reckoned.
    """
    lamps = {lamp.id for lamp in scene.lamps}
    panels = [s for s in scene.world.sheets if s.name not in {BACKDROP, SWEEP} | lamps]
    bodies = [*(lamp.box for lamp in scene.lamps), *panels]
    return tuple(body.name for body in bodies if _shows(body, scene, view, rects))


def _shows(body: Sheet, scene: Scene, view: CameraView, rects: Sequence[Rect]) -> bool:
    """Return whether any of a flat body's points is in a crop and seen past all else."""
    points = _points_of(body)
    points = points[in_print(points, view, rects)]
    if not len(points):
        return False
    lens = view.entrance_pupil_m
    starts = np.broadcast_to(lens, points.shape).copy()
    ends = points + _OFF_M * unit(lens - points)
    return bool(engine_in_use().clear(starts, ends, shapes_of(scene.world)).any())


def _points_of(body: Sheet) -> Array:
    """Return points all over a sheet, its rim included, shape (n, 3) [m]."""
    side = np.linspace(-1, 1, _ACROSS)
    x, y = (a.ravel() for a in np.meshgrid(side, side))
    on_it = body.covers(x, y)
    half_width, half_height = body.half_m
    across = np.outer(x[on_it] * half_width, body.right)
    return np.asarray(body.centre_m + across + np.outer(y[on_it] * half_height, body.up))
