"""The lit fronts of lights: softboxes, octagons, umbrellas and bare heads as polygons."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array, frame, frozen, unit
from kinlight.light.checks import require_not_negative, require_positive
from kinlight.light.polygon import area_vector_m2

_FLATNESS = 1e-6  # of its size, by which a front may be bent and still count as flat
ROUND_SIDES = 24


@dataclass(frozen=True)
class Grid:
    """Black cells before a front that stop light going off to the side.

    Attributes
    ----------
    kind : "egg-crate" (square cells) or "honeycomb".
    cell_m : width of a cell [m].
    depth_m : how far the cells reach forward [m].
    """

    kind: Literal["egg-crate", "honeycomb"]
    cell_m: float
    depth_m: float

    def __post_init__(self) -> None:
        """Raise RangeError unless a cell has a width and a depth."""
        require_positive(self.cell_m, what="the width of a grid's cell", unit="m")
        require_positive(self.depth_m, what="the depth of a grid", unit="m")


@dataclass(frozen=True, eq=False)
class Emitter:
    """A flat front that shines to one side.

    Attributes
    ----------
    polygon_m : vertices, shape (k, 3) [m], counter-clockwise seen from the side it shines to;
        flat and convex.
    beam : power n of the cosine by which its intensity falls off to the side; 1 is a matt front,
        equally bright from everywhere, larger is narrower [-].
    edge_stops : how far its rim is darker than its middle, falling off evenly in stops with the
        square of the distance from the middle; 0 is even [stop].
    grid : cells before it, if any.
    """

    polygon_m: Array
    beam: float = 1.0
    edge_stops: float = 0.0
    grid: Grid | None = None

    def __post_init__(self) -> None:
        """Keep a read-only copy of the vertices.

        Raises
        ------
        RangeError
            If they do not outline a flat, convex shape, the beam's power is not above zero, or the
            rim is brighter than the middle.
        """
        require_positive(self.beam, what="the power of a beam")
        require_not_negative(
            self.edge_stops, what="how far a front's rim is darker than its middle", unit="stops"
        )
        object.__setattr__(self, "polygon_m", frozen(self.polygon_m))
        problem = _outline_problem(self.polygon_m)
        if problem:
            remedy = "split it into flat shapes without inward corners"
            raise RangeError(Fault(f"the front of a light {problem}", remedy=remedy))

    @property
    def centre_m(self) -> Array:
        """The mean of its corners, shape (3,) [m]."""
        return np.asarray(self.polygon_m.mean(axis=0))

    @property
    def normal(self) -> Array:
        """The unit vector it faces, shape (3,) [-]."""
        return unit(area_vector_m2(self.polygon_m))

    @property
    def plain(self) -> bool:
        """Whether it is even, matt and without a grid: then its closed form is all there is."""
        return self.beam == 1 and self.edge_stops == 0 and self.grid is None

    @property
    def area_m2(self) -> float:
        """The area of the front [m2]."""
        return float(np.linalg.norm(area_vector_m2(self.polygon_m)))


def _outline_problem(polygon: Array) -> str:
    """Return what keeps vertices from outlining a flat convex front, or nothing."""
    if polygon.ndim != 2 or polygon.shape[1] != 3 or len(polygon) < 3:
        return "needs at least three corners"
    size = float(np.abs(polygon - polygon[0]).max())
    area = area_vector_m2(polygon)
    if not np.linalg.norm(area) > (_FLATNESS * size) ** 2:
        return "has no area"
    normal = unit(area)
    if np.abs((polygon - polygon[0]) @ normal).max() > _FLATNESS * size:
        return "is not flat"
    edges = np.concatenate([polygon[1:], polygon[:1]]) - polygon
    x, y, z = edges.T
    after_x, after_y, after_z = np.concatenate([edges[1:], edges[:1]]).T
    turns = (y * after_z - z * after_y) * normal[0]
    turns += (z * after_x - x * after_z) * normal[1]
    turns += (x * after_y - y * after_x) * normal[2]
    return "has an inward corner" if turns.min() < -_FLATNESS * size**2 else ""


def rectangle(
    centre_m: ArrayLike, direction: ArrayLike, *, width_m: float, height_m: float
) -> Emitter:
    """Return a square, rectangular or strip front.

    Parameters
    ----------
    centre_m : its middle, shape (3,) [m].
    direction : where it faces, shape (3,), any length [-].
    width_m, height_m : its sides; the width lies level [m].

    Raises
    ------
    RangeError
        If a side is not above zero or the direction has no length.
    """
    require_positive(width_m, what="the width of a front", unit="m")
    require_positive(height_m, what="the height of a front", unit="m")
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) / 2
    return _placed(centre_m, direction, corners * [width_m, height_m])


def octagon(centre_m: ArrayLike, direction: ArrayLike, *, across_corners_m: float) -> Emitter:
    """Return a regular octagonal front with two sides level.

    Parameters
    ----------
    centre_m : its middle, shape (3,) [m].
    direction : where it faces, shape (3,), any length [-].
    across_corners_m : from corner to opposite corner, along two rods [m].

    Raises
    ------
    RangeError
        If the size is not above zero or the direction has no length.

    Notes
    -----
    Across its corners is how octagons are sold (from memory). Across flats it is 0.924 of that,
    and its area is 0.900 of the circle through the corners: such a circle would be 0.13 stop
    brighter on axis than the octagon for the same exitance.
    """
    require_positive(across_corners_m, what="the size of an octagon", unit="m")
    return _placed(centre_m, direction, _regular(8) * (across_corners_m / 2))


def round_front(
    centre_m: ArrayLike, direction: ArrayLike, *, diameter_m: float, sides: int = ROUND_SIDES
) -> Emitter:
    """Return a round front (umbrella, dish or bare head) as a regular polygon of equal area.

    Parameters
    ----------
    centre_m : its middle, shape (3,) [m].
    direction : where it faces, shape (3,), any length [-].
    diameter_m : the circle's diameter [m].
    sides : corners of the polygon, 8 or more [-].

    Raises
    ------
    RangeError
        If the size is not above zero, the sides are too few or the direction has no length.

    Notes
    -----
    With the area kept, the error against the circle falls as sides^-4; 24 sides are within 0.0001
    stop of it. An umbrella's depth is left out: it counts as its rim's disk.
    """
    require_positive(diameter_m, what="the diameter of a front", unit="m")
    if sides < 8:
        fault = Fault("are too few for a round front", allowed="8 or more", given=f"{sides} sides")
        raise RangeError(fault)
    step = 2 * np.pi / sides
    radius_m = diameter_m / 2 * np.sqrt(step / np.sin(step))
    return _placed(centre_m, direction, _regular(sides) * radius_m)


def _regular(sides: int) -> Array:
    """Return a regular polygon in the unit circle with level sides, shape (sides, 2)."""
    angle = 2 * np.pi * (np.arange(sides) + 0.5) / sides
    return np.stack([np.cos(angle), np.sin(angle)], axis=-1)


def _placed(centre_m: ArrayLike, direction: ArrayLike, outline_m: Array) -> Emitter:
    """Return the front with a (right, up) outline at its place."""
    d = np.asarray(direction, dtype=np.float64)
    if not (np.isfinite(d).all() and np.linalg.norm(d) > 0):
        raise RangeError(Fault("a light points nowhere", remedy="aim it at a person or the mark"))
    right, up = frame(d)
    corners = outline_m[:, :1] * right + outline_m[:, 1:] * up
    return Emitter(np.asarray(centre_m, dtype=np.float64) + corners)
