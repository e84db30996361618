"""Compiled: closed forms of a front, and what its grid lets by; twin of `polygon`, `fronts`."""

from __future__ import annotations

import math

from kinlight.light.jit import fast, inline, summing


@fast
def flat_factor(polygons, e, corners, ox, oy, oz, nx, ny, nz, clipped):  # type: ignore[no-untyped-def]
    """Return Lambert's contour integral over the part of a polygon above the horizon."""
    k = 0
    for i in range(corners):
        j = i + 1 if i + 1 < corners else 0
        ax, ay, az = polygons[e, i, 0] - ox, polygons[e, i, 1] - oy, polygons[e, i, 2] - oz
        bx, by, bz = polygons[e, j, 0] - ox, polygons[e, j, 1] - oy, polygons[e, j, 2] - oz
        ha = ax * nx + ay * ny + az * nz
        hb = bx * nx + by * ny + bz * nz
        if ha >= 0.0:
            clipped[k, 0], clipped[k, 1], clipped[k, 2] = ax, ay, az
            k += 1
        if (ha >= 0.0) != (hb >= 0.0):
            f = ha / (ha - hb)
            clipped[k, 0] = ax + f * (bx - ax)
            clipped[k, 1] = ay + f * (by - ay)
            clipped[k, 2] = az + f * (bz - az)
            k += 1
    total = 0.0
    for i in range(k):
        j = i + 1 if i + 1 < k else 0
        ax, ay, az = clipped[i, 0], clipped[i, 1], clipped[i, 2]
        bx, by, bz = clipped[j, 0], clipped[j, 1], clipped[j, 2]
        cx, cy, cz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
        length = math.sqrt(cx * cx + cy * cy + cz * cz)
        if length > 0.0:
            angle = math.atan2(length, ax * bx + ay * by + az * bz)
            total -= angle / length * (cx * nx + cy * ny + cz * nz)
    return max(total / (2.0 * math.pi), 0.0)


@fast
def dome_factor(polygons, e, corners, ox, oy, oz, nx, ny, nz):  # type: ignore[no-untyped-def]
    """Return (solid angle + vector irradiance along the axis) / 2 pi of a polygon."""
    solid, along = 0.0, 0.0
    ax, ay, az = polygons[e, 0, 0] - ox, polygons[e, 0, 1] - oy, polygons[e, 0, 2] - oz
    la = math.sqrt(ax * ax + ay * ay + az * az)
    for i in range(corners):
        j = i + 1 if i + 1 < corners else 0
        bx, by, bz = polygons[e, i, 0] - ox, polygons[e, i, 1] - oy, polygons[e, i, 2] - oz
        cx, cy, cz = polygons[e, j, 0] - ox, polygons[e, j, 1] - oy, polygons[e, j, 2] - oz
        ux, uy, uz = by * cz - bz * cy, bz * cx - bx * cz, bx * cy - by * cx
        length = math.sqrt(ux * ux + uy * uy + uz * uz)
        if length > 0.0:
            angle = math.atan2(length, bx * cx + by * cy + bz * cz)
            along -= angle / length * (ux * nx + uy * ny + uz * nz) / 2.0
        if i == 0 or j == 0:
            continue
        lb, lc = math.sqrt(bx * bx + by * by + bz * bz), math.sqrt(cx * cx + cy * cy + cz * cz)
        volume = abs(ax * ux + ay * uy + az * uz)
        level = (
            la * lb * lc
            + (ax * bx + ay * by + az * bz) * lc
            + (bx * cx + by * cy + bz * cz) * la
            + (cx * ax + cy * ay + cz * az) * lb
        )
        solid += 2.0 * math.atan2(volume, level)
    return max(solid + along, 0.0) / (2.0 * math.pi)


@inline
def _square_part(x, at, half, cell, depth, gone):  # type: ignore[no-untyped-def]
    """Return the share of a square cell's breadth that is seen, and a place in that part."""
    cells = max(round(2.0 * half / cell), 1.0)
    number = math.floor((x + half) / cell)
    middle = (number + 0.5) * cell - cells * cell / 2.0
    shift = (middle - at) * depth / (gone - depth)
    mouth = cell / 2.0 * gone / (gone - depth)
    low = max(middle - cell / 2.0, middle + shift - mouth)
    high = min(middle + cell / 2.0, middle + shift + mouth)
    if high <= low:
        return 0.0, x
    return (high - low) / cell, low + ((x + half) / cell - number) * (high - low)


@fast
def _round_share(apart, cell, depth, gone):  # type: ignore[no-untyped-def]
    """Return the share of a round cell that a point sees past its walls: two circles' overlap."""
    small = cell / 2.0
    large = small * gone / (gone - depth)
    off = apart * depth / (gone - depth)
    if off <= large - small:
        return 1.0
    if off >= large + small:
        return 0.0
    a = (off * off + small * small - large * large) / (2.0 * off * small)
    b = (off * off + large * large - small * small) / (2.0 * off * large)
    a, b = min(max(a, -1.0), 1.0), min(max(b, -1.0), 1.0)
    kite = math.sqrt(
        max(
            (small + large - off)
            * (off + small - large)
            * (off - small + large)
            * (off + small + large),
            0.0,
        )
    )
    area = small * small * math.acos(a) + large * large * math.acos(b) - kite / 2.0
    return min(area / (math.pi * small * small), 1.0)


@fast
def through_grid(e, px, py, pz, ox, oy, oz, gone, c, u, v, half, kind, grid):  # type: ignore[no-untyped-def]
    """Return the share of a front's light at a point that a grid lets by, and from where on it."""
    cell, depth = grid[e, 0], grid[e, 1]
    if gone <= depth:
        return 0.0, px, py, pz
    ax, ay, az = px - c[e, 0], py - c[e, 1], pz - c[e, 2]
    bx, by, bz = ox - c[e, 0], oy - c[e, 1], oz - c[e, 2]
    sx = ax * u[e, 0] + ay * u[e, 1] + az * u[e, 2]
    sy = ax * v[e, 0] + ay * v[e, 1] + az * v[e, 2]
    rx = bx * u[e, 0] + by * u[e, 1] + bz * u[e, 2]
    ry = bx * v[e, 0] + by * v[e, 1] + bz * v[e, 2]
    if kind == 2:
        share = _round_share(math.sqrt((sx - rx) ** 2 + (sy - ry) ** 2), cell, depth, gone)
        return share, px, py, pz
    wide, x = _square_part(sx, rx, half[e, 0], cell, depth, gone)
    if wide == 0.0:
        return 0.0, px, py, pz
    high, y = _square_part(sy, ry, half[e, 1], cell, depth, gone)
    dx, dy = x - sx, y - sy
    return (
        wide * high,
        px + dx * u[e, 0] + dy * v[e, 0],
        py + dx * u[e, 1] + dy * v[e, 1],
        pz + dx * u[e, 2] + dy * v[e, 2],
    )


@fast
def arrive(  # type: ignore[no-untyped-def]
    ox, oy, oz, nx, ny, nz, dome, fx, fy, fz, ends, count, way, away, light, leaves
):
    """Fill in ways to points of a matt front, their lengths and how much light comes by them.

    No step depends on an outcome, so that several rays are reckoned at once.
    """
    for k in range(count):
        dx, dy, dz = ends[0, k] - ox, ends[1, k] - oy, ends[2, k] - oz
        d2 = dx * dx + dy * dy + dz * dz
        d = math.sqrt(d2)
        dx, dy, dz = dx / d, dy / d, dz / d
        arrives = dx * nx + dy * ny + dz * nz
        arrives = (1.0 + arrives) / 2.0 if dome else arrives
        out = -(dx * fx + dy * fy + dz * fz)
        way[0, k], way[1, k], way[2, k], away[k], leaves[k] = dx, dy, dz, d, out
        light[k] = arrives * out / d2 if (arrives > 0.0) & (out > 0.0) else 0.0


@fast
def narrow(light, leaves, beam, share, count):  # type: ignore[no-untyped-def]
    """Multiply light by how bright places of a front are, and by its beam."""
    for k in range(count):
        light[k] *= share[k]
    if beam != 1.0:
        for k in range(count):
            if light[k] > 0.0:
                light[k] *= (beam + 1.0) / 2.0 * leaves[k] ** (beam - 1.0)


@summing
def total(values, count):  # type: ignore[no-untyped-def]
    """Return the sum of the first values, in whichever order is quickest."""
    found = 0.0
    for k in range(count):
        found += values[k]
    return found
