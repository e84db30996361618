"""What the camera sees behind the people: the backdrop, how they stand out, and their shadow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array
from kinlight.light.engine import engine_in_use
from kinlight.light.exposure import exposure_for_lxs, rendered_linear, srgb_code
from kinlight.light.packed import Shapes, shapes_of
from kinlight.optics.crops import Rect
from kinlight.optics.framing import CameraView
from kinlight.plan.in_print import in_print
from kinlight.plan.lit import face_shares, stops_from, working_f_number
from kinlight.plan.shadow_mends import SHADOW_STOPS, OnBackdrop, ShadowMends, shadow_mends
from kinlight.sitting.document import Sitting
from kinlight.sitting.tones import reflectance
from kinlight.stage.receivers import Receiver, shadow_points
from kinlight.stage.scene import Scene, Transfer, transfer
from kinlight.stage.world import backdrop_y_m

LEAST_SHADOW_STOPS = 0.1
"""A shallower shadow is not spoken of: our choice."""
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
    """The deepest shadow of the people on the backdrop in the prints.

    Where one beside shoulders and heads is deep enough to show, it is the deepest of these.

    Attributes
    ----------
    depth_stops : by how much the backdrop is darker there than if the people let key and fill
        through.
    side, person : it lies to that side of that head in the picture.
    height_m : over the floor.
    low : whether it lies below everybody's shoulders, behind bodies and legs.
    mends : moves that take it away; null where it is too shallow to show.
    """

    depth_stops: float
    side: str
    person: str
    height_m: float
    low: bool
    mends: ShadowMends | None


@dataclass(frozen=True)
class BackdropSeen:
    """How the part of the backdrop that is seen in the prints comes out.

    Attributes
    ----------
    from_aperture_stops : its mean light from the working aperture, flat receptor.
    evenness_stops : between its brightest and darkest point.
    brightest : where in the print its brightest point lies, "upper right".
    tone : its mean linear tone in the picture, 1 for full white.
    code : the same as an 8-bit sRGB value, of tones up to full white.
    """

    from_aperture_stops: float
    evenness_stops: float
    brightest: str
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
    sitting: Sitting,
    scene: Scene,
    moved: Transfer,
    view: CameraView,
    shares: Array,
    *,
    prints: Sequence[Rect],
) -> BehindPlan:
    """Return what the camera sees behind the people of a picture.

    Parameters
    ----------
    scene, moved : the picture staged, and its transfer.
    view : the camera's view of it.
    shares : the powers of the lights as shares of full [-].
    prints : what of the frame its sizes show; backdrop and shadow are looked for there.
    """
    shapes = shapes_of(scene.world)
    points = _seen_points(sitting, shapes, view, prints)
    edges = _edges(sitting, scene, moved, shares, shapes, view.entrance_pupil_m)
    if not points:
        return BehindPlan(None, edges, None)
    on_it = transfer(replace(scene, receivers=tuple(points)))
    light = on_it.flash_lxs @ shares
    at = np.array([p.point_m for p in points])
    found = OnBackdrop(
        sitting=sitting,
        scene=scene,
        lens_m=view.entrance_pupil_m,
        points_m=at,
        bounced_lxs=(on_it.flash_lxs - on_it.direct_lxs) @ shares,
        shares=shares,
        on_face=face_shares(sitting, shares),
    )
    brightest = _place_in_print(view.project_mm(at)[int(light.argmax())], prints)
    return BehindPlan(_backdrop(sitting, light, brightest), edges, _shadow(found, view))


def _place_in_print(at_mm: Array, prints: Sequence[Rect]) -> str:
    """Return where in thirds of the largest print a point lies: "upper right", "middle"."""
    whole = max(prints, key=lambda r: r.width_mm * r.height_mm)
    across = (at_mm[0] - whole.left_mm) / whole.width_mm
    up = (at_mm[1] - whole.bottom_mm) / whole.height_mm
    high = "lower" if up < 1 / 3 else "upper" if up > 2 / 3 else ""
    aside = "left" if across < 1 / 3 else "right" if across > 2 / 3 else "middle"
    return f"{high} {aside}".strip()


def _backdrop(sitting: Sitting, light: Array, brightest: str) -> BackdropSeen:
    f_number, iso = working_f_number(sitting), sitting.camera.iso
    mean = float(light.mean())
    wanted = float(exposure_for_lxs(f_number, iso=iso, c=sitting.meter.c_flat))
    tone = rendered_linear(sitting.backdrop.reflectance, mean, f_number=f_number, iso=iso)
    return BackdropSeen(
        from_aperture_stops=stops_from(mean, wanted),
        evenness_stops=stops_from(float(light.max()), float(light.min()))
        if light.min() > 0
        else (0.0 if mean == 0 else float("inf")),
        brightest=brightest,
        tone=float(tone),
        code=round(float(srgb_code(tone))),
    )


def _seen_points(
    sitting: Sitting, shapes: Shapes, view: CameraView, prints: Sequence[Rect]
) -> list[Receiver]:
    """Return points spread over the backdrop in the prints, those that the lens sees."""
    corners = np.vstack([_rect_on(backdrop_y_m(sitting), view, rect) for rect in prints])
    half, top = sitting.backdrop.width_m / 2, sitting.backdrop.height_m
    low = np.maximum(corners.min(axis=0), [-half, _LOWEST_M])
    high = np.minimum(corners.max(axis=0), [half, top])
    if not (np.isfinite(corners).all() and (high > low).all()):
        return []
    points = shadow_points(sitting, low, high)
    if not points:
        return []
    at = np.array([p.point_m for p in points])
    seen = in_print(at, view, prints) & _clear(shapes, view.entrance_pupil_m, at)
    return [p for p, is_seen in zip(points, seen, strict=True) if is_seen]


def _rect_on(y_m: float, view: CameraView, rect: Rect) -> Array:
    """Return where the corners of a crop fall on an upright plane, x and z, shape (4, 2) [m]."""
    at_mm = [(x, y) for x in (rect.left_mm, rect.right_mm) for y in (rect.bottom_mm, rect.top_mm)]
    slopes = np.array(at_mm) / view.principal_distance_mm
    ahead = view.axis + slopes @ np.stack([view.right, view.up])
    share = np.where(ahead[:, 1] > 0, (y_m - view.entrance_pupil_m[1]) / ahead[:, 1], np.nan)
    return np.asarray((view.entrance_pupil_m + share[:, None] * ahead)[:, [0, 2]])


def _clear(shapes: Shapes, from_m: Array, points: Array) -> Flags:
    """Return which points are seen from a place: no person, sheet or lamp stands in between."""
    starts = np.broadcast_to(from_m, points.shape).copy()
    return engine_in_use().clear(starts, points, shapes)


def _shadow(found: OnBackdrop, view: CameraView) -> Shadow | None:
    """Return the deepest shadow, if it is deep enough to speak of."""
    depth, figures = found.depth_stops(), found.scene.figures
    x, y = view.project_mm(found.points_m).T
    shoulders = np.array([f.shoulders_m for f in figures]).reshape(-1, 3)
    low = y < view.project_mm(shoulders)[:, 1].min()
    beside = np.where(low, 0.0, depth)
    deepest = int((beside if beside.max() >= SHADOW_STOPS else depth).argmax())
    if not depth[deepest] >= LEAST_SHADOW_STOPS:
        return None
    heads = np.array([f.head_points_m().mean(axis=0) for f in figures])
    aside = x[deepest] - view.project_mm(heads)[:, 0]
    nearest = int(np.abs(aside).argmin())
    return Shadow(
        depth_stops=float(depth[deepest]),
        side="right" if aside[nearest] > 0 else "left",
        person=figures[nearest].person,
        height_m=float(found.points_m[deepest, 2]),
        low=bool(low[deepest]),
        mends=shadow_mends(found, deepest) if depth[deepest] >= SHADOW_STOPS else None,
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
