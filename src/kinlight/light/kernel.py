"""The compiled twin of `rays`: the same rays through the same shapes, many times faster.

Needs numba, which is an optional extra; `engine` decides which twin is used. Both do the same
sums in the same order, so that they agree but for the last digits.
"""

from __future__ import annotations

import math

import numpy as np

from kinlight.light.jit import fast, inline
from kinlight.light.kernel_fronts import dome_factor, flat_factor, through_grid, weight
from kinlight.light.kernel_shapes import ahead, between, blocked, boxes, first, stretches
from kinlight.light.packed import MORE


@inline
def _axes(nx, ny, nz):  # type: ignore[no-untyped-def]
    """Return two unit vectors square to a unit vector and to each other [duff2017]."""
    sign = 1.0 if nz >= 0.0 else -1.0
    a = -1.0 / (sign + nz)
    b = nx * ny * a
    return 1.0 + sign * nx * nx * a, sign * b, -sign * nx, b, sign + ny * ny * a, -ny


@inline
def _lists(bs, so):  # type: ignore[no-untyped-def]
    """Return squared radii of solids, boxes about people, and room for what `ahead` lists."""
    r2, most = stretches(so), bs.shape[0]
    return (
        r2,
        boxes(bs, so, r2),
        np.empty(most, np.int64),
        np.empty(most, np.int64),
        np.empty(so.shape[0] + 1, np.int64),
        np.empty(most),
    )


@fast
def first_hits(points, normals, dome, pattern, turn, s):  # type: ignore[no-untyped-def]
    """Return the patch each of a point's directions meets first; see `rays.first_hits`."""
    _be, bs, so, sp, sh, hp, room, walls = s
    count, groups = points.shape[0], points.shape[1]
    rays = pattern.shape[0]
    each = rays // groups
    found = np.empty((count, rays), np.int32)
    r2, box, who, starts, solids, away2 = _lists(bs, so)
    people = 0
    east, north = np.cos(2.0 * math.pi * pattern[:, 1]), np.sin(2.0 * math.pi * pattern[:, 1])
    for r in range(count):
        turned = 2.0 * math.pi * turn[r, 1]
        c, s_ = math.cos(turned), math.sin(turned)
        for k in range(rays):
            g = k // each
            ox, oy, oz = points[r, g, 0], points[r, g, 1], points[r, g, 2]
            nx, ny, nz = normals[r, g, 0], normals[r, g, 1], normals[r, g, 2]
            if k == g * each:
                ux, uy, uz, vx, vy, vz = _axes(nx, ny, nz)
                people = ahead(
                    ox, oy, oz, nx, ny, nz, dome[r], box, bs, so, r2, who, starts, solids, away2
                )
            p = pattern[k, 0] + turn[r, 0]
            p -= math.floor(p)
            if dome[r]:
                up = 2.0 * math.sqrt(p) - 1.0
                out = math.sqrt(max(1.0 - up * up, 0.0))
            else:
                up = math.sqrt(1.0 - p)
                out = math.sqrt(p)
            x, y = out * (east[k] * c - north[k] * s_), out * (north[k] * c + east[k] * s_)
            dx = x * ux + y * vx + up * nx
            dy = x * uy + y * vy + up * ny
            dz = x * uz + y * vz + up * nz
            found[r, k] = first(
                ox,
                oy,
                oz,
                dx,
                dy,
                dz,
                people,
                who,
                starts,
                solids,
                box,
                so,
                sp,
                sh,
                hp,
                room,
                walls,
            )
    return found


@inline
def _narrowed(bright, beam, leaves):  # type: ignore[no-untyped-def]
    """Return how bright a place of a front is at a cosine, by its beam."""
    if beam == 1.0:
        return bright
    return bright * ((beam + 1.0) / 2.0 * leaves ** (beam - 1.0))


@fast
def direct(points, normals, dome, lamps, s, samples):  # type: ignore[no-untyped-def]
    """Return the light of each lamp at each point per unit exitance; see `rays.direct`."""
    be, bs, so, _sp, sh, _hp, _room, _walls = s
    polygon, corners, centre, normal, u, v, half, reach, at, bright, beam, kind, grid, plain = lamps
    out = np.zeros((points.shape[0], centre.shape[0]))
    r2, box, who, starts, listed, away2 = _lists(bs, so)
    solids, sheets = np.empty(so.shape[0] + 1, np.int64), np.empty(sh.shape[0] + 1, np.int64)
    clipped = np.empty((polygon.shape[1] + 4, 3))
    for r in range(out.shape[0]):
        ox, oy, oz = points[r, 0], points[r, 1], points[r, 2]
        nx, ny, nz = normals[r, 0], normals[r, 1], normals[r, 2]
        is_dome, people = dome[r], -1
        for e in range(out.shape[1]):
            ax, ay, az = centre[e, 0] - ox, centre[e, 1] - oy, centre[e, 2] - oz
            fx, fy, fz = normal[e, 0], normal[e, 1], normal[e, 2]
            gone = -(ax * fx + ay * fy + az * fz)
            if gone <= 1e-9:
                continue
            if is_dome:
                factor = dome_factor(polygon, e, corners[e], ox, oy, oz, nx, ny, nz)
            elif ax * nx + ay * ny + az * nz < -reach[e]:
                continue
            else:
                factor = flat_factor(polygon, e, corners[e], ox, oy, oz, nx, ny, nz, clipped)
            if factor <= 0.0:
                continue
            if people < 0:
                people = ahead(
                    ox, oy, oz, nx, ny, nz, is_dome, box, bs, so, r2, who, starts, listed, away2
                )
            found, flat = between(
                ox, oy, oz, ax, ay, az, reach[e],
                be, people, who, starts, listed, so, sh, solids, sheets,
            )  # fmt: skip
            if found + flat == 0 and plain[e]:
                out[r, e] = factor
                continue
            full, free, whole, used = 0.0, 0.0, 0.0, 0
            for more in range(2):
                upto = min(samples if more == 0 else MORE * samples, at.shape[1])
                for k in range(used, upto):
                    px, py, pz = at[e, k, 0], at[e, k, 1], at[e, k, 2]
                    dx, dy, dz = px - ox, py - oy, pz - oz
                    d2 = dx * dx + dy * dy + dz * dz
                    d = math.sqrt(d2)
                    dx, dy, dz = dx / d, dy / d, dz / d
                    w, leaves = weight(dx, dy, dz, d2, nx, ny, nz, is_dome, fx, fy, fz)
                    full += w
                    g = _narrowed(bright[e, k], beam[e], leaves)
                    whole += w * g
                    if kind[e] != 0:
                        share, px, py, pz = through_grid(
                            e, px, py, pz, ox, oy, oz, gone, centre, u, v, half, kind[e], grid
                        )
                        if share == 0.0:
                            continue
                        dx, dy, dz = px - ox, py - oy, pz - oz
                        d2 = dx * dx + dy * dy + dz * dz
                        d = math.sqrt(d2)
                        dx, dy, dz = dx / d, dy / d, dz / d
                        w, leaves = weight(dx, dy, dz, d2, nx, ny, nz, is_dome, fx, fy, fz)
                        g = _narrowed(share * bright[e, k], beam[e], leaves)
                    if w == 0.0:
                        continue
                    if found + flat > 0 and blocked(
                        ox, oy, oz, dx, dy, dz, d, so, sh, solids, found, sheets, flat
                    ):
                        continue
                    free += w * g
                used = upto
                if 2.0 * free >= whole or free == 0.0:
                    break
            if full > 0.0:
                out[r, e] = factor * min(free, whole) / full
    return out


@fast
def summed(pairs, values):  # type: ignore[no-untyped-def]
    """Return sums over each patch's pairs; see `rays.summed`."""
    start, other, area = pairs
    out = np.empty(start.shape[0] - 1)
    for r in range(out.shape[0]):
        total = 0.0
        for p in range(start[r], start[r + 1]):
            total += area[p] * values[other[p]]
        out[r] = total
    return out


@fast
def clear(starts, ends, s):  # type: ignore[no-untyped-def]
    """Return which straight ways from start to end are free; see `rays.clear`."""
    be, bs, so, _sp, sh, _hp, _room, _walls = s
    out = np.empty(starts.shape[0], np.bool_)
    r2, box, who, rows, listed, away2 = _lists(bs, so)
    solids, sheets = np.empty(so.shape[0] + 1, np.int64), np.empty(sh.shape[0] + 1, np.int64)
    for r in range(starts.shape[0]):
        ox, oy, oz = starts[r, 0], starts[r, 1], starts[r, 2]
        dx, dy, dz = ends[r, 0] - ox, ends[r, 1] - oy, ends[r, 2] - oz
        d = math.sqrt(dx * dx + dy * dy + dz * dz)
        people = ahead(ox, oy, oz, 0.0, 0.0, 1.0, True, box, bs, so, r2, who, rows, listed, away2)
        found, flat = between(
            ox, oy, oz, dx, dy, dz, 0.0,
            be, people, who, rows, listed, so, sh, solids, sheets,
        )  # fmt: skip
        dx, dy, dz = dx / d, dy / d, dz / d
        out[r] = not blocked(ox, oy, oz, dx, dy, dz, d, so, sh, solids, found, sheets, flat)
    return out


@fast
def mirrored(points, normals, dome, ways, s):  # type: ignore[no-untyped-def]
    """Return the light of a lamp in a glossy sheet at each point; see `rays.mirrored`."""
    be, bs, so, _sp, sh, _hp, _room, _walls = s
    at, toward, amount, centre, normal, reach, roughness = ways
    count = points.shape[0]
    out = np.zeros(count)
    r2, box, who, starts, listed, away2 = _lists(bs, so)
    solids, sheets = np.empty(so.shape[0] + 1, np.int64), np.empty(sh.shape[0] + 1, np.int64)
    gx, gy, gz = normal[0], normal[1], normal[2]
    a2 = roughness * roughness
    for r in range(count):
        ox, oy, oz = points[r, 0], points[r, 1], points[r, 2]
        cx, cy, cz = centre[0] - ox, centre[1] - oy, centre[2] - oz
        if -(cx * gx + cy * gy + cz * gz) <= 1e-9:
            continue
        nx, ny, nz = normals[r, 0], normals[r, 1], normals[r, 2]
        people = ahead(ox, oy, oz, nx, ny, nz, dome[r], box, bs, so, r2, who, starts, listed, away2)
        found, flat = between(
            ox, oy, oz, cx, cy, cz, reach,
            be, people, who, starts, listed, so, sh, solids, sheets,
        )  # fmt: skip
        total = 0.0
        for k in range(at.shape[0]):
            if amount[k] <= 0.0:
                continue
            dx, dy, dz = at[k, 0] - ox, at[k, 1] - oy, at[k, 2] - oz
            d2 = dx * dx + dy * dy + dz * dz
            d = math.sqrt(d2)
            dx, dy, dz = dx / d, dy / d, dz / d
            arrives = dx * nx + dy * ny + dz * nz
            arrives = (1.0 + arrives) / 2.0 if dome[r] else arrives
            leaves = -(dx * gx + dy * gy + dz * gz)
            if arrives <= 0.0 or leaves <= 1e-9:
                continue
            ix, iy, iz = toward[k, 0], toward[k, 1], toward[k, 2]
            hx, hy, hz = ix - dx, iy - dy, iz - dz
            hl = math.sqrt(hx * hx + hy * hy + hz * hz)
            h = (hx * gx + hy * gy + hz * gz) / hl
            into = ix * gx + iy * gy + iz * gz
            spread = h * h * (a2 - 1.0) + 1.0
            lobe = a2 / (math.pi * spread * spread)
            g1 = 2.0 / (1.0 + math.sqrt(1.0 + a2 * (1.0 / (into * into) - 1.0)))
            g2 = 2.0 / (1.0 + math.sqrt(1.0 + a2 * (1.0 / (leaves * leaves) - 1.0)))
            w = amount[k] * lobe * g1 * g2 / (4.0 * into * leaves) * leaves * arrives / d2
            if found + flat and blocked(
                ox, oy, oz, dx, dy, dz, d, so, sh, solids, found, sheets, flat
            ):
                continue
            total += w
        out[r] = total
    return out


@fast
def buried(points, s):  # type: ignore[no-untyped-def]
    """Return which points lie inside a solid; see `rays.buried`."""
    be, bs, so, _sp, _sh, _hp, _room, _walls = s
    out = np.zeros(points.shape[0], np.bool_)
    for r in range(points.shape[0]):
        px, py, pz = points[r, 0], points[r, 1], points[r, 2]
        for k in range(be.shape[0]):
            away = (be[k, 0] - px) ** 2 + (be[k, 1] - py) ** 2 + (be[k, 2] - pz) ** 2
            if out[r] or away > be[k, 3] ** 2:
                continue
            for i in range(bs[k], bs[k + 1]):
                qx, qy, qz = px - so[i, 0], py - so[i, 1], pz - so[i, 2]
                x = so[i, 3] * qx + so[i, 4] * qy + so[i, 5] * qz
                y = so[i, 6] * qx + so[i, 7] * qy + so[i, 8] * qz
                z = so[i, 9] * qx + so[i, 10] * qy + so[i, 11] * qz
                z = max(abs(z) - so[i, 12], 0.0)
                if x * x + y * y + z * z < 1.0:
                    out[r] = True
                    break
    return out
