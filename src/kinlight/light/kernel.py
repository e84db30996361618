"""The compiled twin of `rays`: the same rays through the same shapes, many times faster.

Needs numba, which is an optional extra; `engine` decides which twin is used. Both do the same
sums, if not in the same order, so that they agree but for the last digits.
"""

from __future__ import annotations

import math

import numpy as np

from kinlight.light.jit import fast
from kinlight.light.kernel_fronts import (
    arrive,
    dome_factor,
    flat_factor,
    narrow,
    through_grid,
    total,
)
from kinlight.light.kernel_hits import first_hits
from kinlight.light.kernel_shapes import ahead, between, lists, stop
from kinlight.light.kernel_sums import landed, paired, summed
from kinlight.light.packed import MORE

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


@fast
def _seen_light(  # type: ignore[no-untyped-def]
    ox, oy, oz, nx, ny, nz, is_dome, gone, e, lamps, samples,
    so, sh, solids, found, sheets, flat, room_for, meets,
):  # fmt: skip
    """Return the share of a front's light that arrives at a point; see `rays._seen_share`."""
    _p, _c, centre, normal, u, v, half, _r, at, bright, beam, kind, grid, _plain = lamps
    ends, way, away, light = room_for[0:3], room_for[3:6], room_for[6], room_for[7]
    leaves, share = room_for[8], room_for[9]
    fx, fy, fz = normal[e, 0], normal[e, 1], normal[e, 2]
    full, free, whole, used = 0.0, 0.0, 0.0, 0
    for more in range(2):
        count = min(samples if more == 0 else MORE * samples, at.shape[1]) - used
        for k in range(count):
            for axis in range(3):
                ends[axis, k] = at[e, used + k, axis]
            share[k] = bright[e, used + k]
        arrive(ox, oy, oz, nx, ny, nz, is_dome, fx, fy, fz, ends, count, way, away, light, leaves)
        full += total(light, count)
        narrow(light, leaves, beam[e], share, count)
        whole += total(light, count)
        if kind[e] != 0:
            for k in range(count):
                by, ends[0, k], ends[1, k], ends[2, k] = through_grid(
                    e, ends[0, k], ends[1, k], ends[2, k], ox, oy, oz,
                    gone, centre, u, v, half, kind[e], grid,
                )  # fmt: skip
                share[k] *= by
            arrive(
                ox, oy, oz, nx, ny, nz, is_dome, fx, fy, fz, ends, count, way, away, light, leaves
            )
            narrow(light, leaves, beam[e], share, count)
        stop(ox, oy, oz, way, away, count, so, sh, solids, found, sheets, flat, meets, light)
        free += total(light, count)
        used += count
        if full > 0.0 and (2.0 * free >= whole or free == 0.0):
            break
    if full == 0.0:  # no point is over the horizon of one that a sliver of the front shines on
        return 1.0 if kind[e] == 0 else 0.0
    return min(free, whole) / full


@fast
def direct(points, normals, dome, lamps, s, samples):  # type: ignore[no-untyped-def]
    """Return the light of each lamp at each point per unit exitance; see `rays.direct`."""
    be, bs, so, _sp, sh, _hp, _room, _walls = s
    polygon, corners, centre, normal, _u, _v, _h, reach, at, _b, _n, _k, _g, plain = lamps
    out = np.zeros((points.shape[0], centre.shape[0]))
    r2, box, who, starts, listed, away2 = lists(bs, so)
    solids, sheets = np.empty(so.shape[0] + 1, np.int64), np.empty(sh.shape[0] + 1, np.int64)
    clipped = np.empty((polygon.shape[1] + 4, 3))
    room_for, meets = np.empty((10, at.shape[1])), np.empty(at.shape[1], np.bool_)
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
            out[r, e] = factor * _seen_light(
                ox, oy, oz, nx, ny, nz, is_dome, gone, e, lamps, samples,
                so, sh, solids, found, sheets, flat, room_for, meets,
            )  # fmt: skip
    return out


@fast
def clear(starts, ends, s):  # type: ignore[no-untyped-def]
    """Return which straight ways from start to end are free; see `rays.clear`."""
    be, bs, so, _sp, sh, _hp, _room, _walls = s
    out = np.empty(starts.shape[0], np.bool_)
    r2, box, who, rows, listed, away2 = lists(bs, so)
    solids, sheets = np.empty(so.shape[0] + 1, np.int64), np.empty(sh.shape[0] + 1, np.int64)
    way, away, light, meets = np.empty((3, 1)), np.empty(1), np.empty(1), np.empty(1, np.bool_)
    for r in range(starts.shape[0]):
        ox, oy, oz = starts[r, 0], starts[r, 1], starts[r, 2]
        dx, dy, dz = ends[r, 0] - ox, ends[r, 1] - oy, ends[r, 2] - oz
        d = math.sqrt(dx * dx + dy * dy + dz * dz)
        people = ahead(ox, oy, oz, 0.0, 0.0, 1.0, True, box, bs, so, r2, who, rows, listed, away2)
        found, flat = between(
            ox, oy, oz, dx, dy, dz, 0.0,
            be, people, who, rows, listed, so, sh, solids, sheets,
        )  # fmt: skip
        way[0, 0], way[1, 0], way[2, 0], away[0], light[0] = dx / d, dy / d, dz / d, d, 1.0
        stop(ox, oy, oz, way, away, 1, so, sh, solids, found, sheets, flat, meets, light)
        out[r] = light[0] > 0.0
    return out


@fast
def mirrored(points, normals, dome, ways, s):  # type: ignore[no-untyped-def]
    """Return the light of a lamp in a glossy sheet at each point; see `rays.mirrored`."""
    be, bs, so, _sp, sh, _hp, _room, _walls = s
    at, toward, amount, centre, normal, reach, roughness = ways
    count = at.shape[0]
    out = np.zeros(points.shape[0])
    r2, box, who, starts, listed, away2 = lists(bs, so)
    solids, sheets = np.empty(so.shape[0] + 1, np.int64), np.empty(sh.shape[0] + 1, np.int64)
    way, away, light = np.empty((3, count)), np.empty(count), np.empty(count)
    meets = np.empty(count, np.bool_)
    gx, gy, gz = normal[0], normal[1], normal[2]
    a2 = roughness * roughness
    for r in range(points.shape[0]):
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
        for k in range(count):
            dx, dy, dz = at[k, 0] - ox, at[k, 1] - oy, at[k, 2] - oz
            d2 = dx * dx + dy * dy + dz * dz
            d = math.sqrt(d2)
            dx, dy, dz = dx / d, dy / d, dz / d
            way[0, k], way[1, k], way[2, k], away[k] = dx, dy, dz, d
            arrives = dx * nx + dy * ny + dz * nz
            arrives = (1.0 + arrives) / 2.0 if dome[r] else arrives
            leaves = -(dx * gx + dy * gy + dz * gz)
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
            comes = (amount[k] > 0.0) & (arrives > 0.0) & (leaves > 1e-9)
            light[k] = w if comes else 0.0
        stop(ox, oy, oz, way, away, count, so, sh, solids, found, sheets, flat, meets, light)
        out[r] = total(light, count)
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
                if qx * qx + qy * qy + qz * qz > so[i, 13] * so[i, 13]:
                    continue
                x = so[i, 3] * qx + so[i, 4] * qy + so[i, 5] * qz
                y = so[i, 6] * qx + so[i, 7] * qy + so[i, 8] * qz
                z = so[i, 9] * qx + so[i, 10] * qy + so[i, 11] * qz
                z = max(abs(z) - so[i, 12], 0.0)
                if x * x + y * y + z * z < 1.0:
                    out[r] = True
                    break
    return out
