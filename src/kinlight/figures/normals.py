"""Normals of a mesh, and how deep points are in it."""

from __future__ import annotations

import numpy as np

from kinlight.figures.shapes import Index
from kinlight.geometry.vectors import Array


def normals(vertices_m: Array, faces: Index) -> Array:
    """Return the outward unit normals of vertices, (n, 3): the mean of their faces, by area."""
    a, b, c = (vertices_m[faces[:, k]] for k in range(3))
    of_faces = crosses(b - a, c - a)
    corners, count = faces.T.ravel(), len(vertices_m)
    added = np.stack(
        [np.bincount(corners, np.tile(of_faces[:, k], 3), count) for k in range(3)], axis=1
    )
    lengths = np.sqrt(np.einsum("ij,ij->i", added, added))
    return np.asarray(added / np.maximum(lengths, 1e-30)[:, None])


def crosses(a: Array, b: Array) -> Array:
    """Return the cross products of the rows of two arrays, (n, 3)."""
    (ax, ay, az), (bx, by, bz) = a.T, b.T
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=1)


def depths_m(points_m: Array, surface_m: Array, outward: Array) -> Array:
    """Return how deep each point is under a surface, (n,): negative outside.

    Notes
    -----
    The distance behind the tangent plane of the nearest vertex: an estimate, good near the surface.
    """
    squares = (
        (points_m**2).sum(axis=1)[:, None]
        + (surface_m**2).sum(axis=1)
        - 2 * np.einsum("ik,jk->ij", points_m, surface_m)
    )
    nearest = np.argmin(squares, axis=1)
    behind = surface_m[nearest] - points_m
    return np.asarray(np.einsum("ij,ij->i", behind, outward[nearest]))
