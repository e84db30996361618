"""Illuminance from a flat, evenly bright panel: closed forms for a polygon.

Everything here is for unit luminous exitance (1 lx.s leaving each square metre of front, or 1 lx);
multiply by the panel's exitance. The panel is a planar convex polygon that shines to one side
only, equally bright from every angle (Lambertian). Its vertices run counter-clockwise as seen from
the side it shines to.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinlight.geometry.vectors import Array, unit

_TOUCHING_M = 1e-9  # a receiver this near the panel's plane counts as in it
_ON_HORIZON = 1e-12  # share of the distance within which a vertex counts as on the horizon


def area_vector_m2(polygon_m: ArrayLike) -> Array:
    """Return the vector along a polygon's shining side whose length is its area [m2].

    Parameters
    ----------
    polygon_m : vertices, shape (k, 3) [m].
    """
    v = np.asarray(polygon_m, dtype=np.float64)
    v = v - v[0]  # near zero, so that nothing is lost far from the origin
    x, y, z = v[1:-1].T  # the first vertex is the origin now, and adds nothing
    after_x, after_y, after_z = v[2:].T
    return (
        np.array([y @ after_z - z @ after_y, z @ after_x - x @ after_z, x @ after_y - y @ after_x])
        / 2
    )


def flat_factor(points_m: ArrayLike, normals: ArrayLike, polygon_m: ArrayLike) -> Array:
    """Return the illuminance on flat receptors per unit exitance of a panel [-].

    Parameters
    ----------
    points_m : receivers, shape (n, 3) [m].
    normals : directions the receivers face, shape (n, 3), or (3,) for all; any length [-].
    polygon_m : the panel's vertices, shape (k, 3) [m].

    Returns
    -------
    Shape (n,), 0 to 1; exactly 0 behind the panel, in its plane, and facing away from all of it.

    Notes
    -----
    Lambert's contour integral [baum1989]: E / M = -1/(2 pi) sum_i theta_i (r_i x r_j).n /
    |r_i x r_j|, with r the vectors from the receiver to the vertices and theta_i the angle an edge
    subtends; the part of the panel under the receiver's horizon is cut off first. For rectangles it
    equals C-11 and C-12 of [howell-catalog]. Exact; rounding
    errors grow as (distance / size)^2 and stay under 1e-6 up to 10 000 sizes away.

    Examples
    --------
    >>> square = [[-0.45, 1.5, -0.45], [0.45, 1.5, -0.45], [0.45, 1.5, 0.45], [-0.45, 1.5, 0.45]]
    >>> flat_factor([[0, 0, 0]], [0, 1, 0], square).round(4).tolist()
    [0.1024]
    """
    r, n, lit = _seen_from(points_m, normals, polygon_m)
    starts, ends = _above_horizon(r, n)
    flux = _dot(_contour(starts, ends), n) / np.pi
    factor: Array = np.where(lit, np.maximum(flux, 0.0), 0.0)
    return factor


def dome_factor(points_m: ArrayLike, axes: ArrayLike, polygon_m: ArrayLike) -> Array:
    """Return the illuminance on hemispherical receptors per unit exitance of a panel [-].

    Parameters
    ----------
    points_m : receivers, shape (n, 3) [m].
    axes : directions the domes face, shape (n, 3), or (3,) for all; any length [-].
    polygon_m : the panel's vertices, shape (k, 3) [m].

    Returns
    -------
    Shape (n,), 0 to 2; exactly 0 behind the panel and in its plane.

    Notes
    -----
    A dome weighs light from the angle t off its axis by (1 + cos t)/2, so it also sees behind its
    equator. Integrated over the panel: E / M = (Omega + Phi.n)/(2 pi), with Omega its solid angle
    and Phi its vector irradiance per unit radiance, nothing cut off (derived from [baum1989]).
    """
    r, n, lit = _seen_from(points_m, axes, polygon_m)
    along = _dot(_contour(r, np.roll(r, -1, axis=1)), n)
    seen = np.maximum(_solid_angle(r) + along, 0.0) / (2 * np.pi)
    factor: Array = np.where(lit, seen, 0.0)
    return factor


# Below, vectors lie along the first axis, x, y and z each a block of its own, which is several
# times as fast for thousands of receivers as vectors along the last.


def _seen_from(
    points_m: ArrayLike, directions: ArrayLike, polygon_m: ArrayLike
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Return vertices as receivers see them, unit directions, and which receivers are in front.

    The shapes are (3, k, n), (3, n) and (n,).
    """
    points = np.atleast_2d(np.asarray(points_m, dtype=np.float64))
    vertices = np.asarray(polygon_m, dtype=np.float64)
    n = np.ascontiguousarray(np.broadcast_to(unit(directions), points.shape).T)
    r = vertices.T[:, :, None] - np.ascontiguousarray(points.T)[:, None, :]
    ahead = (points - vertices[0]) @ unit(area_vector_m2(vertices))
    return r, n, ahead > _TOUCHING_M


def _dot(a: Array, b: Array) -> Array:
    """Return the scalar products of vectors along the first axis."""
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def _cross(a: Array, b: Array) -> Array:
    """Return the vector products of vectors along the first axis."""
    x = a[1] * b[2] - a[2] * b[1]
    y = a[2] * b[0] - a[0] * b[2]
    z = a[0] * b[1] - a[1] * b[0]
    return np.stack([x, y, z])


def _above_horizon(r: Array, n: Array) -> tuple[Array, Array]:
    """Return starts and ends of the edges of the panel's part above each receiver's horizon.

    `r` has shape (3, k, n), the result (3, k + 1, n): the last edge closes the cut along the
    horizon. Edges that are not there start and end in one point.
    """
    height = _dot(r, n[:, None, :])
    height[np.abs(height) < _ON_HORIZON * np.abs(r).max(axis=(0, 1))] = 0.0
    after, height_after = np.roll(r, -1, axis=1), np.roll(height, -1, axis=0)
    up, up_after = height >= 0, height_after >= 0
    sets, rises = up & ~up_after, ~up & up_after
    share = np.where(sets | rises, height, 0.0) / np.where(sets | rises, height - height_after, 1.0)
    crossing = r + share * (after - r)  # where an edge does not cross: its start
    starts, ends = np.where(up, r, crossing), np.where(up_after, after, crossing)
    # A convex panel sets in one point of the horizon and rises in one.
    leaves = np.where(sets, crossing, 0.0).sum(axis=1, keepdims=True)
    enters = np.where(rises, crossing, 0.0).sum(axis=1, keepdims=True)
    return np.concatenate([starts, leaves], axis=1), np.concatenate([ends, enters], axis=1)


def _contour(starts: Array, ends: Array) -> Array:
    """Return the vector irradiance per unit radiance of closed edge lists (3, k, n) as (3, n)."""
    across = _cross(starts, ends)
    length = np.sqrt(_dot(across, across))
    angle = np.arctan2(length, _dot(starts, ends))
    weight = np.divide(angle, length, out=np.zeros_like(angle), where=length > 0)
    return np.asarray(-(weight * across).sum(axis=1) / 2)


def _solid_angle(r: Array) -> Array:
    """Return the solid angle of polygons (3, k, n) seen from the origin, a fan of triangles [sr].

    The triangle formula is [oosterom1983].
    """
    long = np.sqrt(_dot(r, r))
    a, b, c = r[:, :1], r[:, 1:-1], r[:, 2:]
    la, lb, lc = long[:1], long[1:-1], long[2:]
    volume = np.abs(_dot(a, _cross(b, c)))
    level = la * lb * lc + _dot(a, b) * lc + _dot(b, c) * la + _dot(c, a) * lb
    return np.asarray(2 * np.arctan2(volume, level).sum(axis=0))
