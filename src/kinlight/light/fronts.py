"""What a grid before a front lets through."""

from __future__ import annotations

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.packed import Lamps


def through_grid(lamps: Lamps, e: int, at: Array, points: Array) -> tuple[Array, Array]:
    """Return what a grid lets by of a front's light, and from where on the front it comes.

    Parameters
    ----------
    lamps, e : the fronts, and which of them.
    at, points : points of the front and receivers, shapes (..., 3) that broadcast [m].

    Returns
    -------
    Shares, shape (...), 0 to 1, and the points the light comes from, shape (..., 3) [m].

    Notes
    -----
    Seen from a receiver, the mouth of a cell lies nearer than its bottom by the grid's depth, and
    so covers a part of the bottom. Along each side of a square cell the part seen is
    1 - (d/w) max(0, |x - X| - w/2) / (D - d) of it, with x the middle of the cell, X the receiver,
    D its distance from the front, w and d the cell's width and depth. A point of the cell is moved
    into that part and counts for the share, so that the mean over many points is exact for thin
    black walls. Honeycomb cells count as round, the part seen is the overlap of two circles, and
    the light counts as coming from where the point was. Walls reflect nothing and have no width.
    """
    cell, depth = lamps.grid[e]
    gone = -((lamps.centre[e] - points) @ lamps.normal[e])
    behind = gone <= depth
    gone = np.where(behind, depth + 1.0, gone)
    sx, sy = _on_front(at, lamps, e)
    rx, ry = _on_front(points, lamps, e)
    if lamps.grid_kind[e] == 2:
        share = _round_share(np.hypot(sx - rx, sy - ry), cell, depth, gone)
        return np.where(behind, 0.0, share), np.broadcast_to(at, (*share.shape, 3))
    wide, x = _square_part(sx, rx, lamps.half[e, 0], cell, depth, gone)
    high, y = _square_part(sy, ry, lamps.half[e, 1], cell, depth, gone)
    from_ = at + (x - sx)[..., None] * lamps.right[e] + (y - sy)[..., None] * lamps.up[e]
    return np.where(behind, 0.0, wide * high), from_


def _on_front(points: Array, lamps: Lamps, e: int) -> tuple[Array, Array]:
    away = points - lamps.centre[e]
    return away @ lamps.right[e], away @ lamps.up[e]


def _square_part(
    x: Array, at: Array, half: float, cell: float, depth: float, gone: Array
) -> tuple[Array, Array]:
    """Return the share of a square cell's breadth that is seen, and a place in that part."""
    cells = max(round(2 * half / cell), 1)
    number = np.floor((x + half) / cell)
    middle = (number + 0.5) * cell - cells * cell / 2
    shift = (middle - at) * depth / (gone - depth)
    mouth = cell / 2 * gone / (gone - depth)
    low = np.maximum(middle - cell / 2, middle + shift - mouth)
    high = np.minimum(middle + cell / 2, middle + shift + mouth)
    seen = high > low
    share = np.where(seen, (high - low) / cell, 0.0)
    return share, np.where(seen, low + ((x + half) / cell - number) * (high - low), x)


def _round_share(apart: Array, cell: float, depth: float, gone: Array) -> Array:
    """Return the share of a round cell that a receiver sees: the overlap of two circles."""
    small = cell / 2
    large = small * gone / (gone - depth)
    off = apart * depth / (gone - depth)
    part = (off > large - small) & (off < large + small)
    safe = np.where(part, off, large)
    a = np.clip((safe**2 + small**2 - large**2) / (2 * safe * small), -1, 1)
    b = np.clip((safe**2 + large**2 - small**2) / (2 * safe * large), -1, 1)
    kite = (small + large - safe) * (safe + small - large)
    kite = kite * (safe - small + large) * (safe + small + large)
    area = small**2 * np.arccos(a) + large**2 * np.arccos(b) - np.sqrt(np.maximum(kite, 0.0)) / 2
    share = np.minimum(area / (np.pi * small**2), 1.0)
    return np.asarray(np.where(part, share, np.where(off <= large - small, 1.0, 0.0)))
