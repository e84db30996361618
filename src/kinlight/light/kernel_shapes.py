"""Compiled: solids and sheets, and which stand in a ray's way; a part of the twin of `rays`."""

from __future__ import annotations

import math

import numpy as np

from kinlight.light.jit import fast, inline

_NEAR, _END = 1e-9, 1.0 - 1e-6


@inline
def mapped(qx, qy, qz, so, i):  # type: ignore[no-untyped-def]
    """Return a start as a solid's own space has it, and how far it is from its wall there."""
    px = so[i, 3] * qx + so[i, 4] * qy + so[i, 5] * qz
    py = so[i, 6] * qx + so[i, 7] * qy + so[i, 8] * qz
    pz = so[i, 9] * qx + so[i, 10] * qy + so[i, 11] * qz
    return px, py, pz, px * px + py * py - 1.0


@inline
def enters(px, py, pz, c, dx, dy, dz, so, i):  # type: ignore[no-untyped-def]
    """Return where a ray from a start that is `mapped` enters a solid; inf if it does not."""
    vx = so[i, 3] * dx + so[i, 4] * dy + so[i, 5] * dz
    vy = so[i, 6] * dx + so[i, 7] * dy + so[i, 8] * dz
    vz = so[i, 9] * dx + so[i, 10] * dy + so[i, 11] * dz
    h = so[i, 12]
    a = vx * vx + vy * vy
    b = px * vx + py * vy
    if a > 1e-18:
        inside = b * b - a * c
        if inside < 0.0:
            return math.inf
        t = (-b - math.sqrt(inside)) / a
        z = pz + t * vz
        if abs(z) <= h:
            return t if t > 0.0 else math.inf
        cap = h if z > 0.0 else -h
    else:
        if c > 0.0:
            return math.inf
        cap = h if vz < 0.0 else -h
    z = pz - cap
    aa = a + vz * vz
    bb = b + z * vz
    inside = bb * bb - aa * (c + z * z)
    if inside < 0.0:
        return math.inf
    t = (-bb - math.sqrt(inside)) / aa
    return t if t > 0.0 else math.inf


@inline
def meets_ball(qx, qy, qz, d, count, reach, meets):  # type: ignore[no-untyped-def]
    """Fill in which of some rays meet a ball ahead, given the way to their start from its middle.

    No step depends on an outcome, so that several rays are reckoned at once; so below.
    """
    outside = qx * qx + qy * qy + qz * qz - reach * reach
    for n in range(count):
        along = qx * d[0, n] + qy * d[1, n] + qz * d[2, n]
        meets[n] = (along <= reach) & (along * along >= outside)


@inline
def _crosses(ox, oy, oz, dx, dy, dz, sh, q, limit):  # type: ignore[no-untyped-def]
    """Return where a ray crosses a sheet before a limit, and where on it; inf if it does not."""
    along = dx * sh[q, 9] + dy * sh[q, 10] + dz * sh[q, 11]
    if abs(along) < 1e-12:
        return math.inf, 0.0, 0.0
    rx, ry, rz = sh[q, 0] - ox, sh[q, 1] - oy, sh[q, 2] - oz
    t = (rx * sh[q, 9] + ry * sh[q, 10] + rz * sh[q, 11]) / along
    if t <= 0.0 or t >= limit:
        return math.inf, 0.0, 0.0
    px, py, pz = t * dx - rx, t * dy - ry, t * dz - rz
    x = px * sh[q, 3] + py * sh[q, 4] + pz * sh[q, 5]
    y = px * sh[q, 6] + py * sh[q, 7] + pz * sh[q, 8]
    a, b = sh[q, 12], sh[q, 13]
    if abs(x) > a or abs(y) > b:
        return math.inf, 0.0, 0.0
    if abs(x) / a + abs(y) / b > sh[q, 14]:
        return math.inf, 0.0, 0.0
    if sh[q, 15] > 0.0 and (x / a) ** 2 + (y / b) ** 2 > 1.0:
        return math.inf, 0.0, 0.0
    return t, x, y


@fast
def _stretches(so):  # type: ignore[no-untyped-def]
    """Return the squared radii of all solids, shape (n, 3)."""
    out = np.empty((so.shape[0], 3))
    for i in range(so.shape[0]):
        for k in range(3):
            x, y, z = so[i, 3 + 3 * k], so[i, 4 + 3 * k], so[i, 5 + 3 * k]
            out[i, k] = 1.0 / (x * x + y * y + z * z)
    return out


@inline
def _is_behind(cx, cy, cz, nx, ny, nz, so, r2, i):  # type: ignore[no-untyped-def]
    """Return whether all of a solid, its middle at c, lies behind the plane square to n."""
    x = (so[i, 3] * nx + so[i, 4] * ny + so[i, 5] * nz) * r2[i, 0]
    y = (so[i, 6] * nx + so[i, 7] * ny + so[i, 8] * nz) * r2[i, 1]
    z = (so[i, 9] * nx + so[i, 10] * ny + so[i, 11] * nz) * r2[i, 2]
    farthest = math.sqrt(x * x + y * y + z * z) + so[i, 12] * abs(z)
    return cx * nx + cy * ny + cz * nz + farthest < -_NEAR


@fast
def _boxes(bs, so, r2):  # type: ignore[no-untyped-def]
    """Return an upright box about each person: its middle and half its sides, shape (b, 6)."""
    out = np.empty((bs.shape[0] - 1, 6))
    for k in range(out.shape[0]):
        for axis in range(3):
            low, high = math.inf, -math.inf
            for i in range(bs[k], bs[k + 1]):
                x, y, z = so[i, 3 + axis], so[i, 6 + axis], so[i, 9 + axis]
                x, y, z = x * r2[i, 0], y * r2[i, 1], z * r2[i, 2]
                reach = math.sqrt(x * x + y * y + z * z) + so[i, 12] * abs(z) + _NEAR
                low, high = min(low, so[i, axis] - reach), max(high, so[i, axis] + reach)
            out[k, axis], out[k, 3 + axis] = (low + high) / 2.0, (high - low) / 2.0
    return out


@inline
def lists(bs, so):  # type: ignore[no-untyped-def]
    """Return squared radii of solids, boxes about people, and room for what `ahead` lists."""
    r2, most = _stretches(so), bs.shape[0]
    return (
        r2,
        _boxes(bs, so, r2),
        np.empty(most, np.int64),
        np.empty(most, np.int64),
        np.empty(so.shape[0] + 1, np.int64),
        np.empty(most),
    )


@fast
def ahead(ox, oy, oz, nx, ny, nz, everywhere, box, bs, so, r2, who, starts, solids, away2):  # type: ignore[no-untyped-def]
    """List people who rise over a point's horizon, the nearest first, and their solids.

    Returns how many people. Of those in whose box the point is, as with its own body, only solids
    that rise over it themselves are listed; for others that test is dearer than what it saves.
    """
    people = 0
    for k in range(box.shape[0]):
        cx, cy, cz = box[k, 0] - ox, box[k, 1] - oy, box[k, 2] - oz
        over = cx * nx + cy * ny + cz * nz
        over += box[k, 3] * abs(nx) + box[k, 4] * abs(ny) + box[k, 5] * abs(nz)
        if not everywhere and over < 0.0:
            continue
        x, y, z = abs(cx) - box[k, 3], abs(cy) - box[k, 4], abs(cz) - box[k, 5]
        x, y, z = max(x, 0.0), max(y, 0.0), max(z, 0.0)
        apart = x * x + y * y + z * z
        at = people
        while at > 0 and away2[at - 1] > apart:
            who[at], away2[at] = who[at - 1], away2[at - 1]
            at -= 1
        who[at], away2[at] = k, apart
        people += 1
    found = 0
    for g in range(people):
        starts[g] = found
        near = not everywhere and away2[g] == 0.0
        for i in range(bs[who[g]], bs[who[g] + 1]):
            if near:
                cx, cy, cz = so[i, 0] - ox, so[i, 1] - oy, so[i, 2] - oz
                if _is_behind(cx, cy, cz, nx, ny, nz, so, r2, i):
                    continue
            solids[found] = i
            found += 1
    starts[people] = found
    return people


@inline
def _near_cone(mx, my, mz, reach, ax, ay, az, length2, rim):  # type: ignore[no-untyped-def]
    """Return whether a ball may stand between a point and a front; see `rays`."""
    room = length2 - rim * rim
    if room <= 0.0:
        return True
    t = min(max((mx * ax + my * ay + mz * az + rim * reach) / room, 0.0), 1.0)
    d2 = (mx - t * ax) ** 2 + (my - t * ay) ** 2 + (mz - t * az) ** 2
    limit = reach + rim * t
    return d2 < limit * limit


@fast
def between(  # type: ignore[no-untyped-def]
    ox, oy, oz, ax, ay, az, rim, be, people, who, starts, listed, so, sh, solids, sheets
):
    """List the solids and sheets that may stand between a point and a front; return how many.

    Of solids only those listed by `ahead`.
    """
    long2 = ax * ax + ay * ay + az * az
    found, flat = 0, 0
    for g in range(people):
        k = who[g]
        mx, my, mz = be[k, 0] - ox, be[k, 1] - oy, be[k, 2] - oz
        if not _near_cone(mx, my, mz, be[k, 3], ax, ay, az, long2, rim):
            continue
        for j in range(starts[g], starts[g + 1]):
            i = listed[j]
            mx, my, mz = so[i, 0] - ox, so[i, 1] - oy, so[i, 2] - oz
            if _near_cone(mx, my, mz, so[i, 13], ax, ay, az, long2, rim):
                solids[found] = i
                found += 1
    for q in range(sh.shape[0]):
        mx, my, mz = sh[q, 0] - ox, sh[q, 1] - oy, sh[q, 2] - oz
        if _near_cone(mx, my, mz, sh[q, 16], ax, ay, az, long2, rim):
            sheets[flat] = q
            flat += 1
    return found, flat


@fast
def stop(  # type: ignore[no-untyped-def]
    ox, oy, oz, way, away, count, so, sh, solids, found, sheets, flat, meets, light
):
    """Set to nothing the light of those ways, `away` long, on which a listed shape stands."""
    for j in range(found):
        i = solids[j]
        qx, qy, qz = ox - so[i, 0], oy - so[i, 1], oz - so[i, 2]
        meets_ball(qx, qy, qz, way, count, so[i, 13], meets)
        px, py, pz, c = mapped(qx, qy, qz, so, i)
        for k in range(count):
            if meets[k] and light[k] > 0.0:
                t = enters(px, py, pz, c, way[0, k], way[1, k], way[2, k], so, i)
                if t < away[k] * _END:
                    light[k] = 0.0
    for j in range(flat):
        for k in range(count):
            if light[k] > 0.0:
                end = away[k] * _END
                t, _x, _y = _crosses(
                    ox, oy, oz, way[0, k], way[1, k], way[2, k], sh, sheets[j], end
                )
                if t < end:
                    light[k] = 0.0
