"""How the surface of a figure follows its bones."""

from __future__ import annotations

from functools import cache

import numpy as np

from kinlight.figures.rest import Rest
from kinlight.figures.shapes import Index, shapes
from kinlight.figures.skeleton import Posed
from kinlight.geometry.vectors import Array


def motions_of(rest: Rest, found: Posed) -> Array:
    """Return how each bone of a posed figure has moved from where it rested, as `skinned` takes it.

    Dual quaternions, (b, 8), signed so that each bone turns the short way from its parent's.
    """
    motions = _dual_quaternions(found.turns, found.joints_m, rest.skeleton.joints_m)
    return _same_way(motions, found.skeleton.parents)


def skinned(rest: Rest, motions: Array, which: slice | Index) -> Array:
    """Return where vertices of a figure come to be when its bones have moved, (n, 3) [m].

    Notes
    -----
    Dual quaternion blending [kavan2008]: each vertex is moved by the weighted mean of the motions
    of its bones, made a motion again. Unlike the mean of matrices it keeps the thickness of bent
    knees and turned wrists.
    """
    bones, shares = _strongest(rest.shapes is shapes(True))
    blended = np.einsum("cnk,nk->cn", motions.T[:, bones[which]], shares[which])
    blended /= np.sqrt((blended[:4] ** 2).sum(axis=0))
    return _moved(blended, rest.vertices_m[which].T).T


@cache
def _strongest(light: bool) -> tuple[Index, Array]:
    """Return the bones that move each vertex, and how far each does: both (n, most of one)."""
    skinning = shapes(light).skinning
    most = int((skinning > 0).sum(axis=1).max())
    bones = np.argsort(-skinning, axis=1, kind="stable")[:, :most]
    return bones, np.take_along_axis(skinning, bones, axis=1).astype(np.float64)


def _dual_quaternions(turns: Array, joints_m: Array, from_m: Array) -> Array:
    """Return the motion of each bone, (b, 8): a unit quaternion w, x, y, z, and its dual."""
    real = quaternions(turns)
    shift = joints_m - np.einsum("bij,bj->bi", turns, from_m)
    w, v = real[:, :1], real[:, 1:]
    dual_w = -np.einsum("bi,bi->b", shift, v)[:, None]
    dual_v = w * shift + np.cross(shift, v)
    return np.concatenate([real, dual_w / 2, dual_v / 2], axis=1)


def quaternions(turns: Array) -> Array:
    """Return turns, (n, 3, 3), as unit quaternions w, x, y, z, (n, 4); the sign is either."""
    xx, yy, zz = turns[:, 0, 0], turns[:, 1, 1], turns[:, 2, 2]
    squares = np.stack([xx + yy + zz, xx - yy - zz, yy - xx - zz, zz - xx - yy], axis=1)
    size = np.sqrt(np.maximum(1 + squares, 0.0)) / 2
    return _signed(size, turns)


def _signed(size: Array, turns: Array) -> Array:
    """Return quaternions of known parts' sizes: the largest is positive and gives the others."""
    apart = turns - np.swapaxes(turns, 1, 2)
    added = turns + np.swapaxes(turns, 1, 2)
    products = np.zeros((len(turns), 4, 4))
    products[:, 0, 1:] = products[:, 1:, 0] = np.stack(
        [apart[:, 2, 1], apart[:, 0, 2], apart[:, 1, 0]], axis=1
    )
    for one, other in ((0, 1), (0, 2), (1, 2)):
        products[:, 1 + one, 1 + other] = products[:, 1 + other, 1 + one] = added[:, one, other]
    products[:, range(4), range(4)] = 4 * size**2
    largest = np.argmax(size, axis=1)
    row = products[np.arange(len(turns)), largest]
    return np.asarray(row / np.linalg.norm(row, axis=1, keepdims=True))


def _same_way(motions: Array, parents: Index) -> Array:
    """Return the motions signed so that each bone turns the short way from its parent's."""
    alike = np.einsum("bi,bi->b", motions[:, :4], motions[parents, :4]) >= 0
    signs: list[float] = []
    for same, parent in zip(alike.tolist(), parents.tolist(), strict=True):
        before = signs[parent] if parent >= 0 else 1.0
        signs.append(before if same or parent < 0 else -before)
    return np.asarray(motions * np.array(signs)[:, None])


def _moved(motions: Array, places_m: Array) -> Array:
    """Return places (3, n) moved, each by its own motion (8, n)."""
    w, v, dual_w, dual_v = motions[0], motions[1:4], motions[4], motions[5:]
    turned = places_m + 2 * _crossed(v, _crossed(v, places_m) + w * places_m)
    shift = w * dual_v - dual_w * v + _crossed(v, dual_v)
    return np.asarray(turned + 2 * shift)


def _crossed(a: Array, b: Array) -> Array:
    """Return cross products of vectors in columns, (3, n)."""
    (ax, ay, az), (bx, by, bz) = a, b
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])
