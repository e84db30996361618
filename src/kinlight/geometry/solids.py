"""Rounded bodies that stand in the light: stretched capsules, of which an ellipsoid is one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinlight.geometry.vectors import UP, Array, crossed, frozen, unit


@dataclass(frozen=True, eq=False)
class Solids:
    """Some rounded bodies, one a row.

    Each is a capsule of radius 1 along its own third axis, then stretched along all three axes:
    an ellipsoid if its straight part has no length, a round limb if all three radii are one.

    Attributes
    ----------
    centre_m : shape (n, 3) [m].
    axes : unit vectors square to each other, one a row, shape (n, 3, 3) [-].
    radius_m : stretch along each axis, shape (n, 3) [m].
    straight : half the length of the straight part, in units of the third radius, shape (n,) [-].
    part : what each is of a body: "head", "neck", "chest", "upper arm" and so on.
    """

    centre_m: Array
    axes: Array
    radius_m: Array
    straight: Array
    part: tuple[str, ...]

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.centre_m)

    def reach_m(self) -> Array:
        """Return the radius of a ball about each centre that holds the body, shape (n,) [m]."""
        # the farthest point of the rounded end, at cosine `u` from its pole
        wide, tall = self.radius_m[:, :2].max(axis=1, initial=0.0), self.radius_m[:, 2]
        flatter = np.maximum(wide**2 - tall**2, 1e-12 * tall**2)
        u = np.minimum(tall**2 * self.straight / flatter, 1.0)
        u = np.where(wide > tall, u, 1.0)
        return np.asarray(np.hypot(wide * np.sqrt(1 - u**2), tall * (self.straight + u)))

    def named(self, *parts: str) -> Solids:
        """Return only the bodies that are one of some parts, in the same order."""
        rows = [i for i, part in enumerate(self.part) if part in parts]
        return Solids(
            self.centre_m[rows],
            self.axes[rows],
            self.radius_m[rows],
            self.straight[rows],
            tuple(self.part[i] for i in rows),
        )

    def moved(self, by_m: ArrayLike) -> Solids:
        """Return the same bodies elsewhere."""
        centre = frozen(self.centre_m + np.asarray(by_m, dtype=np.float64))
        return Solids(centre, self.axes, self.radius_m, self.straight, self.part)


def ellipsoid(part: str, centre_m: ArrayLike, axes: ArrayLike, radius_m: ArrayLike) -> Solids:
    """Return one ellipsoid with its axes as rows, shape (3, 3), and its three radii [m]."""
    return _one(part, centre_m, axes, radius_m, 0.0)


def limb(part: str, start_m: ArrayLike, end_m: ArrayLike, *, radius_m: float) -> Solids:
    """Return one round limb from joint to joint, rounded off beyond both by its radius [m]."""
    start, end = np.asarray(start_m, dtype=np.float64), np.asarray(end_m, dtype=np.float64)
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length if length > 0 else UP
    radii = (radius_m, radius_m, radius_m)
    return _one(part, (start + end) / 2, square_axes(along), radii, length / (2 * radius_m))


def trunk(
    part: str,
    start_m: ArrayLike,
    end_m: ArrayLike,
    *,
    aside: ArrayLike,
    half_breadth_m: float,
    half_depth_m: float,
) -> Solids:
    """Return one trunk of oval cross section from end to end, its breadth along `aside`.

    Its ends are rounded off inward: it is exactly as long as from `start_m` to `end_m`, and no
    thinner than a third of its depth is rounded.
    """
    start, end = np.asarray(start_m, dtype=np.float64), np.asarray(end_m, dtype=np.float64)
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length
    out = np.asarray(aside, dtype=np.float64)
    out = unit(out - (out @ along) * along)
    axes = np.stack([out, crossed(along, out), along])
    cap = min(half_depth_m, length / 2)
    radii = (half_breadth_m, half_depth_m, cap)
    return _one(part, (start + end) / 2, axes, radii, length / (2 * cap) - 1)


def together(parts: Sequence[Solids]) -> Solids:
    """Return several bodies as one list, in the order given."""
    if not parts:
        return Solids(np.zeros((0, 3)), np.zeros((0, 3, 3)), np.zeros((0, 3)), np.zeros(0), ())
    return Solids(
        frozen(np.concatenate([p.centre_m for p in parts])),
        frozen(np.concatenate([p.axes for p in parts])),
        frozen(np.concatenate([p.radius_m for p in parts])),
        frozen(np.concatenate([p.straight for p in parts])),
        tuple(name for p in parts for name in p.part),
    )


def square_axes(along: ArrayLike) -> Array:
    """Return three unit vectors square to each other as rows, the third along a direction."""
    third = unit(along)
    helper = UP if abs(third[2]) < 0.9 else np.array([0.0, 1.0, 0.0])
    first = unit(crossed(helper, third))
    return np.stack([first, crossed(third, first), third])


def holds_points(solids: Solids, points_m: ArrayLike) -> NDArray[np.bool_]:
    """Return which points (n, 3) lie inside which bodies (m), shape (n, m)."""
    points = np.atleast_2d(np.asarray(points_m, dtype=np.float64))
    away = points[:, None, :] - solids.centre_m[None]
    local = np.einsum("nmi,mji->nmj", away, solids.axes) / solids.radius_m[None]
    beyond = np.maximum(np.abs(local[..., 2]) - solids.straight[None], 0.0)
    inside = local[..., 0] ** 2 + local[..., 1] ** 2 + beyond**2 < 1.0
    return np.asarray(inside)


def lifted(
    points_m: ArrayLike,
    normals: ArrayLike,
    solids: Solids,
    *,
    by_m: float = 0.001,
    most_m: float = 0.06,
) -> tuple[Array, NDArray[np.bool_]]:
    """Move points outward along their own normals until they are clear of every body.

    Parameters
    ----------
    points_m, normals : shape (n, 3) [m], [-].
    solids : the bodies to be clear of: for the points of a face,
        `solids.named("head", "neck")` of its own.
    by_m : how far from a body is clear of it.
    most_m : how far a point may be moved.

    Returns
    -------
    points : shape (n, 3); one that is clear from the start, or would have to move too far, is where
        it was.
    clear : which points are clear now, shape (n,).

    Notes
    -----
    Closed form: each body is swollen about its centre by `by_m` at its thinnest, so by no less
    anywhere, and the ways of a ray through the swollen bodies are strung together.
    """
    points = np.atleast_2d(np.asarray(points_m, dtype=np.float64))
    along = np.broadcast_to(unit(normals), points.shape)
    enter, leave = _ways_m(_swollen(solids, by_m), points, along)
    way = np.zeros(len(points))
    for _ in range(len(solids)):
        through = (enter <= way[:, None]) & (leave > way[:, None])
        way = np.where(through, leave, way[:, None]).max(axis=1, initial=0.0)
    clear = way <= most_m
    return points + np.where(clear, way, 0.0)[:, None] * along, np.asarray(clear)


def _swollen(solids: Solids, by_m: float) -> Solids:
    """Return every body larger about its centre, by a length at its thinnest."""
    share = 1 + by_m / solids.radius_m.min(axis=1, initial=np.inf, keepdims=True)
    return Solids(
        solids.centre_m, solids.axes, solids.radius_m * share, solids.straight, solids.part
    )


def _ways_m(solids: Solids, points: Array, along: Array) -> tuple[Array, Array]:
    """Return where straight lines enter and leave bodies, (n, m); inf and -inf if they miss."""
    away = points[:, None, :] - solids.centre_m[None]
    start = np.einsum("nmi,mji->nmj", away, solids.axes) / solids.radius_m[None]
    step = np.einsum("ni,mji->nmj", along, solids.axes) / solids.radius_m[None]
    return -_leave(start, -step, solids.straight), _leave(start, step, solids.straight)


def _leave(start: Array, step: Array, straight: Array) -> Array:
    """Return where lines leave capsules of radius 1, -inf if they miss: the last of three exits."""
    offset = np.zeros_like(start)
    offset[..., 2] = straight
    ends = [_last_root(start + o, step) for o in (offset, -offset)]
    side = _last_root(start[..., :2], step[..., :2])
    height = start[..., 2] + np.where(np.isfinite(side), side, 0.0) * step[..., 2]
    beside = np.isfinite(side) & (np.abs(height) <= straight)
    return np.asarray(np.maximum.reduce([*ends, np.where(beside, side, -np.inf)]))


def _last_root(start: Array, step: Array) -> Array:
    """Return the larger t with |start + t step| = 1, -inf if there is none."""
    a, b = (step**2).sum(-1), (start * step).sum(-1)
    inner = b**2 - a * ((start**2).sum(-1) - 1)
    hit = (inner >= 0) & (a > 0)
    root = (np.sqrt(np.where(hit, inner, 0.0)) - b) / np.where(hit, a, 1.0)
    return np.asarray(np.where(hit, root, -np.inf))


def _one(
    part: str, centre_m: ArrayLike, axes: ArrayLike, radius_m: ArrayLike, straight: float
) -> Solids:
    row = frozen(np.asarray(centre_m, dtype=np.float64)[None])
    frame = frozen(np.asarray(axes, dtype=np.float64)[None])
    radii = frozen(np.asarray(radius_m, dtype=np.float64)[None])
    return Solids(row, frame, radii, frozen([straight]), (part,))
