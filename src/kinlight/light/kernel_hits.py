"""Compiled: which patch each of a point's directions meets first; a part of the twin of `rays`.

Rays of one start are followed together, shape after shape, in loops in which no step depends on an
outcome wherever that can be: then the processor reckons several at once.
"""

from __future__ import annotations

import math

import numpy as np

from kinlight.light.jit import fast, inline
from kinlight.light.kernel_shapes import ahead, enters, lists, mapped, meets_ball

# What a ray ends on: a solid from 0 on, nothing, or a sheet or patch of a wall less its number.
_NOTHING, _SHEET, _WALL = -1.0, -2.0, -1e6


@inline
def _axes(nx, ny, nz):  # type: ignore[no-untyped-def]
    """Return two unit vectors square to a unit vector and to each other [duff2017]."""
    sign = 1.0 if nz >= 0.0 else -1.0
    a = -1.0 / (sign + nz)
    b = nx * ny * a
    return 1.0 + sign * nx * nx * a, sign * b, -sign * nx, b, sign + ny * ny * a, -ny


@inline
def _directions(pattern, turn, dome, east, north, x, y, z):  # type: ignore[no-untyped-def]
    """Fill in a point's directions in its own frame, z along its normal."""
    turned = 2.0 * math.pi * turn[1]
    c, s = math.cos(turned), math.sin(turned)
    for k in range(pattern.shape[0]):
        p = pattern[k, 0] + turn[0]
        p -= math.floor(p)
        high = 2.0 * math.sqrt(p) - 1.0 if dome else math.sqrt(1.0 - p)
        wide = math.sqrt(max(1.0 - high * high, 0.0)) if dome else math.sqrt(p)
        x[k] = wide * (east[k] * c - north[k] * s)
        y[k] = wide * (north[k] * c + east[k] * s)
        z[k] = high


@inline
def _cell(x, half, count):  # type: ignore[no-untyped-def]
    """Return the number of the cell a coordinate lies in."""
    return min(max(int((x + half) / (2.0 * half) * count), 0), count - 1)


@inline
def _leaves(o, d, low, high):  # type: ignore[no-untyped-def]
    """Return when a ray leaves a room along one axis."""
    if d > 1e-15:
        return (high - o) / d
    if d < -1e-15:
        return (low - o) / d
    return math.inf


@inline
def _cell_at(o, t, d, low, high, count):  # type: ignore[no-untyped-def]
    """Return the number of the cell, along one axis of a room, in which a ray ends."""
    half = (high - low) / 2.0
    cell = math.floor((o + t * d - (high + low) / 2.0 + half) / (2.0 * half) * count)
    cell = cell if cell > 0.0 else 0.0
    return cell if cell < count - 1.0 else count - 1.0


@fast
def _to_walls(ox, oy, oz, way, room, walls, best, what):  # type: ignore[no-untyped-def]
    """Fill in where rays leave the room and through which patch: `_WALL` - its number.

    No step depends on an outcome, so that several rays are reckoned at once.
    """
    for k in range(way.shape[1]):
        best[k], what[k] = math.inf, _NOTHING
    if room.shape[0] == 0:
        return
    lx, ly, lz, hx, hy, hz = room[0], room[1], room[2], room[3], room[4], room[5]
    nx, ny, nz = float(walls[2, 1]), float(walls[0, 1]), float(walls[0, 2])
    left, right, near = float(walls[0, 0]), float(walls[1, 0]), float(walls[2, 0])
    far, floor, ceiling = float(walls[3, 0]), float(walls[4, 0]), float(walls[5, 0])
    for k in range(way.shape[1]):
        dx, dy, dz = way[0, k], way[1, k], way[2, k]
        tx, ty, tz = _leaves(ox, dx, lx, hx), _leaves(oy, dy, ly, hy), _leaves(oz, dz, lz, hz)
        txy = tx if tx <= ty else ty
        t = txy if txy <= tz else tz
        x = _cell_at(ox, t, dx, lx, hx, nx)
        y = _cell_at(oy, t, dy, ly, hy, ny)
        z = _cell_at(oz, t, dz, lz, hz, nz)
        by_x = (right if dx > 0.0 else left) + z * ny + y
        by_y = (far if dy > 0.0 else near) + z * nx + x
        by_z = (ceiling if dz > 0.0 else floor) + y * nx + x
        patch = by_x if tx <= ty else by_y
        patch = patch if txy <= tz else by_z
        met = (t >= 0.0) & (t < math.inf)
        best[k] = t if met else math.inf
        what[k] = _WALL - patch if met else _NOTHING


@fast
def _to_sheets(ox, oy, oz, way, sh, best, what):  # type: ignore[no-untyped-def]
    """Fill in which rays a sheet ends sooner: `_SHEET` - its number.

    No step depends on an outcome, so that several rays are reckoned at once.
    """
    for q in range(sh.shape[0]):
        rx, ry, rz = sh[q, 0] - ox, sh[q, 1] - oy, sh[q, 2] - oz
        ax, ay, az = sh[q, 3], sh[q, 4], sh[q, 5]
        bx, by, bz = sh[q, 6], sh[q, 7], sh[q, 8]
        nx, ny, nz = sh[q, 9], sh[q, 10], sh[q, 11]
        a, b, cut, is_round = sh[q, 12], sh[q, 13], sh[q, 14], sh[q, 15]
        apart, this = rx * nx + ry * ny + rz * nz, _SHEET - q
        for k in range(way.shape[1]):
            dx, dy, dz = way[0, k], way[1, k], way[2, k]
            along = dx * nx + dy * ny + dz * nz
            t = apart / along
            px, py, pz = t * dx - rx, t * dy - ry, t * dz - rz
            x, y = abs(px * ax + py * ay + pz * az), abs(px * bx + py * by + pz * bz)
            on = (x <= a) & (y <= b) & (x / a + y / b <= cut)
            on &= (is_round == 0.0) | ((x / a) ** 2 + (y / b) ** 2 <= 1.0)
            on &= (abs(along) >= 1e-12) & (t > 0.0) & (t < best[k])
            best[k] = t if on else best[k]
            what[k] = this if on else what[k]


@inline
def _inverse(d):  # type: ignore[no-untyped-def]
    """Return 1 / d, of nothing something very large."""
    return 1.0 / d if abs(d) > 1e-15 else 1e15


@inline
def _meets_box(ox, oy, oz, inverse, box, b, best, meets):  # type: ignore[no-untyped-def]
    """Fill in which rays meet a box before they end."""
    x, y, z = box[b, 0] - ox, box[b, 1] - oy, box[b, 2] - oz
    rx, ry, rz = box[b, 3], box[b, 4], box[b, 5]
    for k in range(meets.shape[0]):
        ix, iy, iz = inverse[0, k], inverse[1, k], inverse[2, k]
        px, py, pz = x * ix, y * iy, z * iz
        u, v, w = rx * abs(ix), ry * abs(iy), rz * abs(iz)
        enters = px - u if px - u > py - v else py - v
        enters = enters if enters > pz - w else pz - w
        leaves = px + u if px + u < py + v else py + v
        leaves = leaves if leaves < pz + w else pz + w
        meets[k] = (leaves >= 0.0) & (enters <= leaves) & (enters < best[k])


@fast
def _to_people(  # type: ignore[no-untyped-def]
    ox, oy, oz, way, people, who, starts, solids, box, so, room_for, meets, some, best, what
):
    """Fill in which rays a solid ends sooner, of those listed by `ahead`, and which solid."""
    inverse, d = room_for[:3], room_for[3:]
    for k in range(way.shape[1]):
        inverse[0, k], inverse[1, k] = _inverse(way[0, k]), _inverse(way[1, k])
        inverse[2, k] = _inverse(way[2, k])
    for g in range(people):
        _meets_box(ox, oy, oz, inverse, box, who[g], best, meets)
        count = 0
        for k in range(way.shape[1]):
            if meets[k]:
                d[0, count], d[1, count], d[2, count] = way[0, k], way[1, k], way[2, k]
                some[count] = k
                count += 1
        if count == 0:
            continue
        for j in range(starts[g], starts[g + 1]):
            i = solids[j]
            qx, qy, qz = ox - so[i, 0], oy - so[i, 1], oz - so[i, 2]
            meets_ball(qx, qy, qz, d, count, so[i, 13], meets)
            px, py, pz, c = mapped(qx, qy, qz, so, i)
            for n in range(count):
                if meets[n]:
                    t = enters(px, py, pz, c, d[0, n], d[1, n], d[2, n], so, i)
                    if t < best[some[n]]:
                        best[some[n]], what[some[n]] = t, i


@inline
def _solid_patch(hx, hy, hz, so, patch, i):  # type: ignore[no-untyped-def]
    """Return the patch of a solid that a point on it belongs to."""
    qx, qy, qz = hx - so[i, 0], hy - so[i, 1], hz - so[i, 2]
    x = so[i, 3] * qx + so[i, 4] * qy + so[i, 5] * qz
    y = so[i, 6] * qx + so[i, 7] * qy + so[i, 8] * qz
    z = so[i, 9] * qx + so[i, 10] * qy + so[i, 11] * qz
    rings, sectors = patch[i, 1], patch[i, 2]
    ring = _cell(z, so[i, 12] + 1.0, rings)
    sector = min(int((math.atan2(y, x) / (2.0 * math.pi) + 0.5) * sectors), sectors - 1)
    return patch[i, 0] + ring * sectors + sector


@inline
def _sheet_patch(hx, hy, hz, dx, dy, dz, sh, hp, q):  # type: ignore[no-untyped-def]
    """Return the patch of a sheet that a point on it belongs to, from where a ray comes."""
    px, py, pz = hx - sh[q, 0], hy - sh[q, 1], hz - sh[q, 2]
    x = px * sh[q, 3] + py * sh[q, 4] + pz * sh[q, 5]
    y = px * sh[q, 6] + py * sh[q, 7] + pz * sh[q, 8]
    front = dx * sh[q, 9] + dy * sh[q, 10] + dz * sh[q, 11] < 0.0
    cell = _cell(y, sh[q, 13], hp[q, 3]) * hp[q, 2] + _cell(x, sh[q, 12], hp[q, 2])
    return (hp[q, 0] if front else hp[q, 1]) + cell


@inline
def _patch_met(  # type: ignore[no-untyped-def]
    ox, oy, oz, way, k, best, what, so, sp, sh, hp
):
    """Return the patch a ray ends on, -1 for none."""
    if what[k] == _NOTHING:
        return -1
    if what[k] <= _WALL:
        return int(_WALL - what[k])
    t, dx, dy, dz = best[k], way[0, k], way[1, k], way[2, k]
    hx, hy, hz = ox + t * dx, oy + t * dy, oz + t * dz
    if what[k] >= 0.0:
        return _solid_patch(hx, hy, hz, so, sp, int(what[k]))
    return _sheet_patch(hx, hy, hz, dx, dy, dz, sh, hp, int(_SHEET - what[k]))


@fast
def first_hits(points, normals, dome, pattern, turn, s):  # type: ignore[no-untyped-def]
    """Return the patch each of a point's directions meets first; see `rays.first_hits`."""
    _be, bs, so, sp, sh, hp, room, walls = s
    count, groups = points.shape[0], points.shape[1]
    rays = pattern.shape[0]
    each = rays // groups
    found = np.empty((count, rays), np.int32)
    r2, box, who, starts, solids, away2 = lists(bs, so)
    east, north = np.cos(2.0 * math.pi * pattern[:, 1]), np.sin(2.0 * math.pi * pattern[:, 1])
    x, y, z = np.empty(rays), np.empty(rays), np.empty(rays)
    way, room_for, meets = np.empty((3, each)), np.empty((6, each)), np.empty(each, np.bool_)
    best, what, some = np.empty(each), np.empty(each), np.empty(each, np.int64)
    for r in range(count):
        _directions(pattern, turn[r], dome[r], east, north, x, y, z)
        for g in range(groups):
            ox, oy, oz = points[r, g, 0], points[r, g, 1], points[r, g, 2]
            nx, ny, nz = normals[r, g, 0], normals[r, g, 1], normals[r, g, 2]
            ux, uy, uz, vx, vy, vz = _axes(nx, ny, nz)
            for k in range(each):
                i = g * each + k
                way[0, k] = x[i] * ux + y[i] * vx + z[i] * nx
                way[1, k] = x[i] * uy + y[i] * vy + z[i] * ny
                way[2, k] = x[i] * uz + y[i] * vz + z[i] * nz
            people = ahead(
                ox, oy, oz, nx, ny, nz, dome[r], box, bs, so, r2, who, starts, solids, away2
            )
            _to_walls(ox, oy, oz, way, room, walls, best, what)
            _to_sheets(ox, oy, oz, way, sh, best, what)
            _to_people(
                ox, oy, oz, way, people, who, starts, solids, box, so, room_for, meets, some,
                best, what,
            )  # fmt: skip
            for k in range(each):
                found[r, g * each + k] = _patch_met(ox, oy, oz, way, k, best, what, so, sp, sh, hp)
    return found
