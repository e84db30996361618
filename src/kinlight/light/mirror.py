"""Mirrors, flat and round: where a camera sees a light in them.

For a camera and a point of a light there is one point on a convex sphere at which the light is
mirrored into the lens.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array, frame
from kinlight.light.emitter import Emitter

_NEWTON_STEPS = 60
_EXACT = 1e-14  # of an angle [rad]
_EDGE_POINTS = 8
_ON_AXIS = 1e-12  # of the distance, beside the way to the camera: then any plane will do


def mirrored(v: ArrayLike, normal: ArrayLike) -> Array:
    """Return directions as a mirror sends them on.

    Parameters
    ----------
    v : directions of travel, shape (..., 3), any length [-].
    normal : unit normals of the mirror, shapes that broadcast [-].

    Returns
    -------
    Directions of the same length.
    """
    way, n = np.asarray(v, dtype=np.float64), np.asarray(normal, dtype=np.float64)
    return np.asarray(way - 2 * (way * n).sum(axis=-1, keepdims=True) * n)


def flat_mirror_points_m(
    point_m: ArrayLike, normal: ArrayLike, camera_m: ArrayLike, lights_m: ArrayLike
) -> tuple[Array, NDArray[np.bool_]]:
    """Return where on a plane lights are mirrored to a camera.

    Parameters
    ----------
    point_m, normal : a point of the plane and the unit vector it faces, shape (3,) [m], [-].
    camera_m : shape (3,) [m].
    lights_m : shape (n, 3) [m].

    Returns
    -------
    Points on the plane, shape (n, 3) [m], and whether both the camera and the light are before it,
    shape (n,): if not, the point means nothing.
    """
    n, camera = np.asarray(normal, dtype=np.float64), np.asarray(camera_m, dtype=np.float64)
    point = np.asarray(point_m, dtype=np.float64)
    lights = np.atleast_2d(np.asarray(lights_m, dtype=np.float64))
    before = float((camera - point) @ n)
    heights = (lights - point) @ n
    above = (heights > 0) & (before > 0)
    share = before / np.where(above, before + heights, 1.0)
    image = lights - 2 * heights[:, None] * n
    return camera + share[:, None] * (image - camera), above


def mirror_points_m(
    centre_m: ArrayLike, radius_m: float, camera_m: ArrayLike, lights_m: ArrayLike
) -> tuple[Array, NDArray[np.bool_]]:
    """Return where on a convex sphere lights are mirrored to a camera.

    Parameters
    ----------
    centre_m, radius_m : the sphere, shape (3,) [m].
    camera_m : shape (3,), outside the sphere [m].
    lights_m : shape (n, 3), outside the sphere [m].

    Returns
    -------
    Points on the sphere, shape (n, 3) [m], and whether both the camera and the light are above the
    sphere's horizon there, shape (n,): if not, the sphere hides the light and the point means
    nothing.

    Raises
    ------
    RangeError
        If the camera or a light is not outside the sphere.

    Notes
    -----
    The normal of a mirror lies in the plane of camera, light and centre and halves the angle
    between the ways to the two. At the angle t from the camera, of phi between the two, the camera
    is seen under atan2(K sin t, K cos t - r) off the normal, and the light likewise under
    phi - t; K is the distance from the centre. The difference of the two rises with t, so its one
    zero is found by Newton's steps kept between bounds. Exact for finite distances.
    """
    centre = np.asarray(centre_m, dtype=np.float64)
    to_camera = np.asarray(camera_m, dtype=np.float64) - centre
    to_lights = np.atleast_2d(np.asarray(lights_m, dtype=np.float64)) - centre
    k, far = np.linalg.norm(to_camera), np.linalg.norm(to_lights, axis=1)
    if not (k > radius_m and (far > radius_m).all()):
        raise RangeError(Fault("a camera or a light stands in a mirror", remedy="move it away"))
    toward, lights = to_camera / k, to_lights / far[:, None]
    square = lights - (lights @ toward)[:, None] * toward
    square -= (square @ toward)[:, None] * toward  # once more, for what rounding left
    aside = np.linalg.norm(square, axis=1)
    phi = np.arctan2(aside, lights @ toward)
    t = _halving_angle(phi, float(k) / radius_m, far / radius_m)
    on_axis = aside < _ON_AXIS
    square = np.where(on_axis[:, None], frame(toward)[0], square)
    square = square / np.where(on_axis, 1.0, aside)[:, None]
    normals = np.cos(t)[:, None] * toward + np.sin(t)[:, None] * square
    above = (k * np.cos(t) > radius_m) & (far * np.cos(phi - t) > radius_m)
    return centre + radius_m * normals, above


def _halving_angle(phi: Array, camera: float, light: Array) -> Array:
    """Return the angle from the camera to the mirror's normal; distances in radii [rad]."""
    low, high, t = np.zeros_like(phi), phi.copy(), phi / 2
    for _ in range(_NEWTON_STEPS):
        u = phi - t
        off = np.arctan2(camera * np.sin(t), camera * np.cos(t) - 1)
        off -= np.arctan2(light * np.sin(u), light * np.cos(u) - 1)
        low, high = np.where(off < 0, t, low), np.where(off < 0, high, t)
        slope = _slope(t, np.full_like(light, camera)) + _slope(u, light)
        step = t - off / slope
        step = np.where((step >= low) & (step <= high), step, (low + high) / 2)
        done = np.abs(step - t).max() < _EXACT
        t = step
        if done:
            break
    return t


def _slope(t: Array, distance: Array) -> Array:
    """Return how fast the angle off the normal changes with t; the distance in radii."""
    c = np.cos(t)
    return np.asarray(distance * (distance - c) / (distance**2 + 1 - 2 * distance * c))


def rim_m(emitter: Emitter) -> Array:
    """Return points along a front's edges, for a sphere bows them between corners; (n, 3) [m]."""
    polygon = emitter.polygon_m
    share = (np.arange(_EDGE_POINTS) / _EDGE_POINTS)[:, None, None]
    along = polygon + share * (np.roll(polygon, -1, axis=0) - polygon)
    return np.asarray(along.reshape(-1, 3))
