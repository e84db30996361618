"""Rays through a world of solids, sheets and walls, in plain numpy.

`kernel` does the same sums compiled. Both take the arrays of `packed` and give the same numbers but
for the last digits; this one is the reference, and what runs where nothing can be compiled.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array
from kinlight.light.fronts import through_grid
from kinlight.light.packed import MORE, Lamps, Mirror, Shapes
from kinlight.light.polygon import dome_factor, flat_factor
from kinlight.light.sums import landed, paired, summed

__all__ = [
    "buried",
    "clear",
    "direct",
    "first_hits",
    "landed",
    "mirrored",
    "paired",
    "summed",
]

Flags = NDArray[np.bool_]
_END = 1 - 1e-6  # a ray to a point is free if nothing lies before this share of the way
_NEAR = 1e-9


def buried(points: Array, s: Shapes) -> Flags:
    """Return which points, shape (n, 3), lie inside a solid."""
    inside = np.zeros(len(points), dtype=np.bool_)
    for k in range(len(s.beings)):
        away = ((points - s.beings[k, :3]) ** 2).sum(axis=1)
        near = np.flatnonzero(away <= s.beings[k, 3] ** 2)
        for i in range(s.being_solids[k], s.being_solids[k + 1]):
            x, y, z = ((points[near] - s.solids[i, :3]) @ _map(s, i).T).T
            z = np.maximum(np.abs(z) - s.solids[i, 12], 0.0)
            inside[near] |= x * x + y * y + z * z < 1.0
    return inside


def direct(
    points: Array, normals: Array, dome: Flags, lamps: Lamps, s: Shapes, samples: int
) -> Array:
    """Return the light of each lamp at each point per unit exitance, what blocks it counted.

    Parameters
    ----------
    points, normals : receivers and the unit vectors they face, shape (n, 3).
    dome : which are hemispherical, shape (n,).
    lamps : k fronts.
    samples : points of each front used to reckon what is in the way, a power of two up to
        `MOST_SAMPLES`.

    Returns
    -------
    Shape (n, k) [-].

    Notes
    -----
    The closed form of the whole front times the weighed share of its points that is seen; with
    nothing in the way of a plain front it is exact. Profile, beam and grid are weights of the
    points in the same share.
    """
    out = np.zeros((len(points), len(lamps.centre)))
    for e in range(len(lamps.centre)):
        polygon = lamps.polygon[e, : lamps.corners[e]]
        factor = np.zeros(len(points))
        if dome.any():
            factor[dome] = dome_factor(points[dome], normals[dome], polygon)
        if not dome.all():
            factor[~dome] = flat_factor(points[~dome], normals[~dome], polygon)
        lit = np.flatnonzero(factor > 0)
        if len(lit):
            share = _seen_share(points[lit], normals[lit], dome[lit], lamps, e, s, samples)
            out[lit, e] = factor[lit] * share
    return out


def _seen_share(
    points: Array, normals: Array, dome: Flags, lamps: Lamps, e: int, s: Shapes, samples: int
) -> Array:
    """Return the share of a front's light that arrives at points it shines on.

    Where less than half of it does, for a grid or what stands in the way, but some, more points of
    the front are used.
    """
    toward = lamps.centre[e] - points
    solids = _between(points, toward, lamps.reach[e], s.solids[:, :3], s.solids[:, 13])
    sheets = _between(points, toward, lamps.reach[e], s.sheets[:, :3], s.sheets[:, 16])
    share = np.ones(len(points))
    rows = np.arange(len(points))
    if lamps.plain[e]:
        rows = np.flatnonzero(solids.any(axis=1) | sheets.any(axis=1))
    sums = np.zeros((len(points), 3))
    start = 0
    for upto in (samples, MORE * samples):
        if len(rows):
            sums[rows] += _sums(
                points[rows], normals[rows], dome[rows], lamps, e, s,
                slice(start, upto), solids[rows], sheets[rows],
            )  # fmt: skip
            plain, free, whole = sums[rows].T
            # A point of a grid's cell is moved into the part seen, which may lie above the horizon
            # where the point did not: no more arrives than without the grid all the same.
            seen = np.minimum(free, whole)
            # No point is over the horizon of one that a sliver of the front shines on.
            sliver = np.zeros_like(free) if lamps.grid_kind[e] else np.ones_like(free)
            share[rows] = np.divide(seen, plain, out=sliver, where=plain > 0)
            rows = rows[(2 * free < whole) & (free > 0) | (plain == 0)]
        start = upto
    return share


def _sums(
    o: Array,
    normals: Array,
    dome: Flags,
    lamps: Lamps,
    e: int,
    s: Shapes,
    part: slice,
    solids: Flags,
    sheets: Flags,
) -> Array:
    """Return the sums of a front's points: were it plain, as they arrive, and if all were seen."""
    at = lamps.samples[e, part]
    plain, leaves, d, length = _weights(at[None] - o[:, None], normals, dome, lamps, e)
    weight = whole = plain * lamps.profile[e, part] * _narrowing(lamps.beam[e], leaves)
    if lamps.grid_kind[e]:
        passed, from_ = through_grid(lamps, e, at, o[:, None])
        bare, leaves, d, length = _weights(from_ - o[:, None], normals, dome, lamps, e)
        weight = bare * passed * lamps.profile[e, part] * _narrowing(lamps.beam[e], leaves)
    free = ~_blocked(o, d, length * _END, s, solids, sheets)
    return np.stack([plain.sum(axis=1), (weight * free).sum(axis=1), whole.sum(axis=1)], axis=1)


def _narrowing(beam: float, leaves: Array) -> Array | float:
    """Return how much brighter than a matt front a narrower beam is at a cosine."""
    return 1.0 if beam == 1 else (beam + 1) / 2 * np.maximum(leaves, 0.0) ** (beam - 1)


def _weights(
    toward: Array, normals: Array, dome: Flags, lamps: Lamps, e: int
) -> tuple[Array, Array, Array, Array]:
    """Return weights of rays to a matt front, cosines they leave it at, directions and lengths."""
    length = np.linalg.norm(toward, axis=2)
    d = toward / length[..., None]
    arrives = (d * normals[:, None]).sum(axis=2)
    arrives = np.where(dome[:, None], (1 + arrives) / 2, arrives)
    leaves = -(d @ lamps.normal[e])
    weight = np.where((arrives > 0) & (leaves > 0), arrives * leaves / length**2, 0.0)
    return weight, leaves, d, length


def _between(points: Array, toward: Array, rim: float, centre: Array, reach: Array) -> Flags:
    """Return which balls may stand between points and a front of radius `rim`, shape (n, balls).

    All that lies between is in balls about the way to the middle that grow evenly to that of the
    front; the one looked at, at share `t` of the way, comes nearest.
    """
    room = (toward**2).sum(axis=1)[:, None] - rim**2
    away = centre[None] - points[:, None]
    along = (away * toward[:, None]).sum(axis=2) + rim * reach[None]
    t = np.clip(along / np.where(room > 0, room, 1.0), 0.0, 1.0)
    d2 = ((away - t[..., None] * toward[:, None]) ** 2).sum(axis=2)
    return np.asarray((d2 < (reach[None] + rim * t) ** 2) | (room <= 0))


def _blocked(o: Array, d: Array, end: Array, s: Shapes, solids: Flags, sheets: Flags) -> Flags:
    """Return which rays, shape (n, r), meet a listed shape before their end."""
    hit = np.zeros(end.shape, dtype=np.bool_)
    for i in np.flatnonzero(solids.any(axis=0)).tolist():
        rows = np.flatnonzero(solids[:, i])
        hit[rows] |= _enters(o[rows][:, None], d[rows], s, i) < end[rows]
    for q in np.flatnonzero(sheets.any(axis=0)).tolist():
        rows = np.flatnonzero(sheets[:, q])
        hit[rows] |= _crosses(o[rows][:, None], d[rows], s, q)[0] < end[rows]
    return hit


def _map(s: Shapes, i: int) -> Array:
    """Return the map into a solid's own space, shape (3, 3)."""
    return np.asarray(s.solids[i, 3:12].reshape(3, 3))


def _enters(o: Array, d: Array, s: Shapes, i: int) -> Array:
    """Return where rays enter a solid; inf if they do not. Starts and directions are (..., 3)."""
    m, h = _map(s, i), s.solids[i, 12]
    p, v = (o - s.solids[i, :3]) @ m.T, d @ m.T
    px, py, pz = p[..., 0], p[..., 1], p[..., 2]
    vx, vy, vz = v[..., 0], v[..., 1], v[..., 2]
    a, b = vx * vx + vy * vy, px * vx + py * vy
    c = px * px + py * py - 1
    steep = a <= 1e-18
    inside = b * b - a * c
    t = (-b - np.sqrt(np.maximum(inside, 0.0))) / np.where(steep, 1.0, a)
    z = pz + t * vz
    side = (np.abs(z) <= h) & ~steep
    cap = np.where(np.where(steep, vz < 0, z > 0), h, -h)
    q = pz - cap
    bb = b + q * vz
    aa = a + vz * vz
    ball = bb * bb - aa * (c + q * q)
    round_ = (-bb - np.sqrt(np.maximum(ball, 0.0))) / aa
    t = np.where(side, t, np.where(ball >= 0, round_, np.inf))
    misses = np.where(steep, c > 0, inside < 0) | (t <= 0)
    return np.asarray(np.where(misses, np.inf, t))


def _crosses(o: Array, d: Array, s: Shapes, q: int) -> tuple[Array, Array, Array]:
    """Return where rays cross a sheet and where on it; inf if they pass by."""
    along = d @ s.sheets[q, 9:12]
    level = np.abs(along) < 1e-12
    r = s.sheets[q, :3] - o
    t = (r @ s.sheets[q, 9:12]) / np.where(level, 1.0, along)
    p = t[..., None] * d - r
    x, y = p @ s.sheets[q, 3:6], p @ s.sheets[q, 6:9]
    a, b = s.sheets[q, 12:14]
    miss = level | (t <= 0) | (np.abs(x) > a) | (np.abs(y) > b)
    miss |= np.abs(x) / a + np.abs(y) / b > s.sheets[q, 14]
    if s.sheets[q, 15]:
        miss |= (x / a) ** 2 + (y / b) ** 2 > 1
    return np.where(miss, np.inf, t), x, y


def first_hits(
    points: Array, normals: Array, dome: Flags, pattern: Array, turn: Array, s: Shapes
) -> NDArray[np.int32]:
    """Return the patch that each of a receiver's directions meets first, -1 for none.

    Parameters
    ----------
    points, normals : where its rays start, g points for each receiver, shape (n, g, 3).
    dome : which receivers are hemispherical, shape (n,).
    pattern : r places in the unit square, g of them for each start in turn; shape (r, 2).
    turn : by how much each receiver shifts the pattern, shape (n, 2).

    Returns
    -------
    Shape (n, r). Directions are spread as a flat receptor weighs light, by the cosine, or as a
    dome does, by (1 + cosine)/2; so light is in proportion to the plain mean over them.
    """
    count, groups = points.shape[:2]
    rays = len(pattern)
    pick = np.arange(rays) // (rays // groups)
    o, n = points[:, pick].reshape(-1, 3), normals[:, pick].reshape(-1, 3)
    place = pattern[None] + turn[:, None]
    u = (place[..., 0] - np.floor(place[..., 0])).ravel()
    angle = (2 * np.pi * place[..., 1]).ravel()
    wide = np.repeat(dome, rays)
    up = np.where(wide, 2 * np.sqrt(u) - 1, np.sqrt(1 - u))
    out = np.where(wide, np.sqrt(np.maximum(1 - up * up, 0.0)), np.sqrt(u))
    first, second = _axes(n)
    d = (
        (out * np.cos(angle))[:, None] * first
        + (out * np.sin(angle))[:, None] * second
        + up[:, None] * n
    )
    return _first(o, d, s).reshape(count, rays)


def _axes(n: Array) -> tuple[Array, Array]:
    """Return two unit vectors square to unit vectors (n, 3) and to each other [duff2017]."""
    x, y, z = n.T
    sign = np.where(z >= 0, 1.0, -1.0)
    a = -1 / (sign + z)
    b = x * y * a
    first = np.stack([1 + sign * x * x * a, sign * b, -sign * x], axis=1)
    return first, np.stack([b, sign + y * y * a, -y], axis=1)


def _first(o: Array, d: Array, s: Shapes) -> NDArray[np.int32]:
    """Return the patch that each ray (r, 3) meets first, -1 for none."""
    best, patch = _walls(o, d, s)
    for q in range(len(s.sheets)):
        t, x, y = _crosses(o, d, s, q)
        nearer = np.flatnonzero(t < best)
        best[nearer] = t[nearer]
        base_front, base_back, across, up = s.sheet_patch[q]
        cell = _cell(y[nearer], s.sheets[q, 13], up) * across
        cell += _cell(x[nearer], s.sheets[q, 12], across)
        ahead = d[nearer] @ s.sheets[q, 9:12] < 0
        patch[nearer] = np.where(ahead, base_front, base_back) + cell
    for k in range(len(s.beings)):
        away = s.beings[k, :3] - o
        along = (away * d).sum(axis=1)
        room = s.beings[k, 3] ** 2 - ((away**2).sum(axis=1) - along**2)
        reach = np.sqrt(np.maximum(room, 0.0))
        rows = np.flatnonzero((room >= 0) & (along + reach >= 0) & (along - reach <= best))
        for i in range(s.being_solids[k], s.being_solids[k + 1]):
            t = _enters(o[rows], d[rows], s, i)
            won = np.flatnonzero(t < best[rows])
            hit = rows[won]
            best[hit] = t[won]
            patch[hit] = _solid_patch(o[hit] + t[won][:, None] * d[hit], s, i)
    return patch.astype(np.int32)


def _walls(o: Array, d: Array, s: Shapes) -> tuple[Array, NDArray[np.int64]]:
    """Return where rays leave the room and through which patch of it."""
    best = np.full(len(o), np.inf)
    patch = np.full(len(o), -1, dtype=np.int64)
    if not len(s.room):
        return best, patch
    face = np.full(len(o), -1, dtype=np.int64)
    for axis in range(3):
        speed = d[:, axis]
        wall = np.where(speed > 0, s.room[3 + axis], s.room[axis])
        moves = np.abs(speed) > 1e-15
        t = np.where(moves, (wall - o[:, axis]) / np.where(moves, speed, 1.0), np.inf)
        nearer = t < best
        best = np.where(nearer, t, best)
        face = np.where(nearer, 2 * axis + (speed > 0), face)
    for f in range(6):
        rows = np.flatnonzero((face == f) & (best >= 0))
        one, two = (a for a in range(3) if a != f // 2)
        place = o[rows] + best[rows][:, None] * d[rows]
        middle, half = (s.room[:3] + s.room[3:]) / 2, (s.room[3:] - s.room[:3]) / 2
        first, along, beside = s.wall_patch[f]
        i = _cell(place[:, one] - middle[one], half[one], along)
        j = _cell(place[:, two] - middle[two], half[two], beside)
        patch[rows] = first + j * along + i
    gone = (face < 0) | (best < 0)
    return np.where(gone, np.inf, best), patch


def _cell(x: Array, half: float, count: int) -> NDArray[np.int64]:
    """Return the number of the cell a coordinate lies in."""
    cell = ((x + half) / (2 * half) * count).astype(np.int64)
    return np.clip(cell, 0, count - 1)


def _solid_patch(on: Array, s: Shapes, i: int) -> NDArray[np.int64]:
    """Return the patches of a solid that points on it belong to."""
    x, y, z = ((on - s.solids[i, :3]) @ _map(s, i).T).T
    first, rings, sectors = s.solid_patch[i]
    ring = _cell(z, s.solids[i, 12] + 1, rings)
    sector = ((np.arctan2(y, x) / (2 * np.pi) + 0.5) * sectors).astype(np.int64)
    return np.asarray(first + ring * sectors + np.minimum(sector, sectors - 1))


def clear(starts: Array, ends: Array, s: Shapes) -> Flags:
    """Return which straight ways from start to end, each (n, 3), nothing stands in."""
    toward = ends - starts
    length = np.linalg.norm(toward, axis=1)
    solids = _between(starts, toward, 0.0, s.solids[:, :3], s.solids[:, 13])
    sheets = _between(starts, toward, 0.0, s.sheets[:, :3], s.sheets[:, 16])
    d = (toward / length[:, None])[:, None]
    return np.asarray(~_blocked(starts, d, (length * _END)[:, None], s, solids, sheets)[:, 0])


def mirrored(points: Array, normals: Array, dome: Flags, ways: Mirror, s: Shapes) -> Array:
    """Return the light of a lamp mirrored in a glossy sheet, at each point, shape (n,).

    `ways` are pairs of a point of the lamp and a point of the sheet, with how much light goes
    along each; the lobe is that of [walter2007], see `gloss`.
    """
    out = np.zeros(len(points))
    toward = ways.centre - points
    before = np.flatnonzero(-(toward @ ways.normal) > _NEAR)
    if not len(before):
        return out
    o, n, toward = points[before], normals[before], toward[before]
    solids = _between(o, toward, ways.reach, s.solids[:, :3], s.solids[:, 13])
    sheets = _between(o, toward, ways.reach, s.sheets[:, :3], s.sheets[:, 16])
    d = ways.at[None] - o[:, None]
    length = np.linalg.norm(d, axis=2)
    d /= length[..., None]
    arrives = (d * n[:, None]).sum(axis=2)
    arrives = np.where(dome[before][:, None], (1 + arrives) / 2, arrives)
    leaves = -(d @ ways.normal)
    into = ways.toward @ ways.normal
    half = ways.toward[None] - d
    h = (half @ ways.normal) / np.linalg.norm(half, axis=2)
    a2 = ways.roughness**2
    used = (ways.weight[None] > 0) & (arrives > 0) & (leaves > _NEAR)
    leaves_, into_ = np.where(used, leaves, 1.0), np.where(ways.weight > 0, into, 1.0)
    lobe = a2 / (np.pi * (h * h * (a2 - 1) + 1) ** 2)
    g1 = 2 / (1 + np.sqrt(1 + a2 * (1 / into_**2 - 1)))
    g2 = 2 / (1 + np.sqrt(1 + a2 * (1 / leaves_**2 - 1)))
    w = ways.weight * lobe * g1 * g2 / (4 * into_ * leaves_) * leaves_ * arrives / length**2
    free = ~_blocked(o, d, length * _END, s, solids, sheets)
    out[before] = np.where(used & free, w, 0.0).sum(axis=1)
    return out
