"""What the camera sees behind the people: the backdrop, how they stand out, and their shadow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.light.engine import engine_in_use
from kinlight.light.exposure import exposure_for_lxs, rendered_linear, srgb_code
from kinlight.light.packed import Shapes, lamps_of, shapes_of
from kinlight.light.transport import SAMPLES
from kinlight.light.world import World
from kinlight.optics.framing import CameraView
from kinlight.plan.lit import face_shares, stops_from, working_f_number
from kinlight.sitting.document import Sitting
from kinlight.sitting.tones import reflectance
from kinlight.stage.receivers import Receiver, as_receivers, shadow_points
from kinlight.stage.scene import Scene, Transfer, transfer
from kinlight.stage.world import backdrop_y_m

LEAST_SHADOW_STOPS = 0.1
"""A shallower shadow is not spoken of: our choice."""
DARKEST_STOPS = 20.0
"""What no light at all counts as."""
_LOWEST_M = 0.02  # where the backdrop begins over the floor
_HAIR_M = 1e-6
_EDGES = (("head", "hair"), ("arm", "clothes"))
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Edge:
    """One edge of a person that the camera sees against the backdrop.

    Attributes
    ----------
    person : who it is.
    part : hair, at the side of the head, or clothes, at the upper arm.
    side : the person's own left or right.
    from_backdrop_stops : how much brighter it comes out than the backdrop beside it; darker is
        negative.
    """

    person: str
    part: str
    side: str
    from_backdrop_stops: float


@dataclass(frozen=True)
class Shadow:
    """The deepest shadow of the people on the backdrop that the camera sees.

    Attributes
    ----------
    depth_stops : by how much the backdrop is darker there than if the people let key and fill
        through.
    side, person : it lies to that side of that head in the picture.
    height_m : over the floor.
    """

    depth_stops: float
    side: str
    person: str
    height_m: float


@dataclass(frozen=True)
class BackdropSeen:
    """How the part of the backdrop that the camera sees comes out.

    Attributes
    ----------
    from_aperture_stops : its mean light from the working aperture, flat receptor.
    evenness_stops : between its brightest and darkest point.
    tone : its mean linear tone in the picture, 1 for full white.
    code : the same as an 8-bit sRGB value, of tones up to full white.
    """

    from_aperture_stops: float
    evenness_stops: float
    tone: float
    code: int


@dataclass(frozen=True)
class BehindPlan:
    """What the camera sees behind the people of a picture.

    Attributes
    ----------
    backdrop : how it comes out; null if none of it is seen.
    edges : every edge of head and arms that is seen against it.
    shadow : the deepest shadow on it; null if there is none to speak of.
    """

    backdrop: BackdropSeen | None
    edges: tuple[Edge, ...]
    shadow: Shadow | None

    def least(self) -> tuple[Edge, ...]:
        """Return for each person the edge that stands out least."""
        people = dict.fromkeys(e.person for e in self.edges)
        return tuple(
            min((e for e in self.edges if e.person == p), key=lambda e: abs(e.from_backdrop_stops))
            for p in people
        )


def behind_plan(
    sitting: Sitting, scene: Scene, moved: Transfer, view: CameraView, shares: Array
) -> BehindPlan:
    """Return what the camera sees behind the people of a picture.

    Parameters
    ----------
    scene, moved : the picture staged, and its transfer.
    view : the camera's view of it.
    shares : the powers of the lights as shares of full [-].
    """
    shapes = shapes_of(scene.world)
    points = _seen_points(sitting, shapes, view)
    edges = _edges(sitting, scene, moved, shares, shapes, view.entrance_pupil_m)
    if not points:
        return BehindPlan(None, edges, None)
    on_it = transfer(replace(scene, receivers=tuple(points)))
    light = on_it.flash_lxs @ shares
    lost = _kept_off_lxs(scene, on_it, face_shares(sitting, shares))
    return BehindPlan(
        _backdrop(sitting, light), edges, _shadow(points, light, lost, scene.figures, view)
    )


def _backdrop(sitting: Sitting, light: Array) -> BackdropSeen:
    f_number, iso = working_f_number(sitting), sitting.camera.iso
    mean = float(light.mean())
    wanted = float(exposure_for_lxs(f_number, iso=iso, c=sitting.meter.c_flat))
    tone = rendered_linear(sitting.backdrop.reflectance, mean, f_number=f_number, iso=iso)
    return BackdropSeen(
        from_aperture_stops=stops_from(mean, wanted),
        evenness_stops=stops_from(float(light.max()), float(light.min()))
        if light.min() > 0
        else (0.0 if mean == 0 else float("inf")),
        tone=float(tone),
        code=round(float(srgb_code(tone))),
    )


def _seen_points(sitting: Sitting, shapes: Shapes, view: CameraView) -> list[Receiver]:
    """Return points spread over the backdrop in the frame, those that the lens sees."""
    corners = _frame_on(backdrop_y_m(sitting), view)
    half, top = sitting.backdrop.width_m / 2, sitting.backdrop.height_m
    low = np.maximum(corners.min(axis=0), [-half, _LOWEST_M])
    high = np.minimum(corners.max(axis=0), [half, top])
    if not (np.isfinite(corners).all() and (high > low).all()):
        return []
    points = shadow_points(sitting, low, high)
    if not points:
        return []
    at = np.array([p.point_m for p in points])
    inside = np.abs(view.project_mm(at)) <= np.array(view.frame_mm) / 2 + _HAIR_M
    seen = inside.all(axis=1) & _clear(shapes, view.entrance_pupil_m, at)
    return [p for p, is_seen in zip(points, seen, strict=True) if is_seen]


def _frame_on(y_m: float, view: CameraView) -> Array:
    """Return where the corners of the frame fall on an upright plane, x and z, shape (4, 2) [m]."""
    half = np.array(view.frame_mm) / 2 / view.principal_distance_mm
    signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    ahead = view.axis + (signs * half) @ np.stack([view.right, view.up])
    share = np.where(ahead[:, 1] > 0, (y_m - view.entrance_pupil_m[1]) / ahead[:, 1], np.nan)
    return np.asarray((view.entrance_pupil_m + share[:, None] * ahead)[:, [0, 2]])


def _clear(shapes: Shapes, from_m: Array, points: Array) -> Flags:
    """Return which points are seen from a place: no person, sheet or lamp stands in between."""
    starts = np.broadcast_to(from_m, points.shape).copy()
    return engine_in_use().clear(starts, points, shapes)


def _kept_off_lxs(scene: Scene, on_it: Transfer, on_face: Array) -> Array:
    """Return what people keep off points of the direct light of key and fill, (n,) [lx s]."""
    at = as_receivers(on_it.receivers)
    used = np.flatnonzero(on_face > 0)
    lamps = [scene.lamps[k] for k in used]
    if not lamps:
        return np.zeros(len(at))
    without = engine_in_use().direct(
        at.points_m,
        at.normals,
        at.dome,
        lamps_of([lamp.emitter for lamp in lamps]),
        shapes_of(World((), scene.world.sheets, None)),
        SAMPLES,
    )
    flash = np.array([lamp.exitance_lxs for lamp in lamps])
    kept_off = (without * flash - on_it.direct_lxs[:, used]) @ on_face[used]
    return np.asarray(np.maximum(kept_off, 0.0))


def _shadow(
    points: Sequence[Receiver],
    light: Array,
    lost: Array,
    figures: Sequence[Figure],
    view: CameraView,
) -> Shadow | None:
    """Return the deepest shadow, if it is deep enough to speak of."""
    with np.errstate(divide="ignore", invalid="ignore"):
        depth = np.where(lost > 0, np.log2((light + lost) / light), 0.0)
    depth = np.minimum(depth, DARKEST_STOPS)
    deepest = int(depth.argmax())
    if not depth[deepest] >= LEAST_SHADOW_STOPS:
        return None
    at = points[deepest].point_m
    heads = np.array([f.head_points_m().mean(axis=0) for f in figures])
    aside = view.project_mm(at)[0, 0] - view.project_mm(heads)[:, 0]
    nearest = int(np.abs(aside).argmin())
    return Shadow(
        depth_stops=float(depth[deepest]),
        side="right" if aside[nearest] > 0 else "left",
        person=figures[nearest].person,
        height_m=float(at[2]),
    )


def _edges(
    sitting: Sitting,
    scene: Scene,
    moved: Transfer,
    shares: Array,
    shapes: Shapes,
    lens_m: Array,
) -> tuple[Edge, ...]:
    """Return the edges of head and arms that the camera sees against the backdrop.

    An edge counts if the way from the lens to the backdrop just beside it is free, of everybody and
    everything, and ends on the backdrop itself.
    """
    row = {(r.what, r.whose): i for i, r in enumerate(moved.receivers)}
    asked = [
        (
            f.person,
            part,
            side,
            row[f"behind {limb} {side}", f.person],
            row[f"{part} {side}", f.person],
        )
        for f in scene.figures
        for limb, part in _EDGES
        for side in ("left", "right")
    ]
    at = np.array([moved.receivers[behind].point_m for *_, behind, _ in asked])
    seen = _clear(shapes, lens_m, at) & _on_backdrop(sitting, at)
    light = moved.flash_lxs @ shares
    edges = []
    for (person, part, side, behind, own), is_seen in zip(asked, seen, strict=True):
        if is_seen:
            stated = sitting.person(person)
            worn = stated.hair if part == "hair" else stated.clothes
            tone = reflectance(worn, part) * float(light[own])
            beside = sitting.backdrop.reflectance * float(light[behind])
            edges.append(Edge(person, part, side, _apart_stops(tone, beside)))
    return tuple(edges)


def _on_backdrop(sitting: Sitting, at: Array) -> Flags:
    """Return which points lie within the backdrop; those kept on it by force lie on its rim."""
    half, top = sitting.backdrop.width_m / 2, sitting.backdrop.height_m
    aside = np.abs(at[:, 0]) < half - _HAIR_M
    return np.asarray(aside & (at[:, 2] > _LOWEST_M + _HAIR_M) & (at[:, 2] < top - _HAIR_M))


def _apart_stops(tone: float, beside: float) -> float:
    """Return how much brighter one tone is than another; black beside black is no difference."""
    if tone <= 0 and beside <= 0:
        return 0.0
    return -stops_from(beside, tone) if tone > beside else stops_from(tone, beside)
