"""Compiled: where a ray meets solids, sheets and walls; a part of the twin of `rays`."""

from __future__ import annotations

import math

import numpy as np

from kinlight.light.jit import fast, inline

_NEAR = 1e-9


@inline
def _enters(ox, oy, oz, dx, dy, dz, so, i, limit):  # type: ignore[no-untyped-def]
    """Return where a ray enters a solid; inf if it does not, or surely not before a limit."""
    qx, qy, qz = ox - so[i, 0], oy - so[i, 1], oz - so[i, 2]
    along = qx * dx + qy * dy + qz * dz
    if along > so[i, 13] or along + so[i, 13] < -limit:
        return math.inf
    if qx * qx + qy * qy + qz * qz - along * along > so[i, 13] * so[i, 13]:
        return math.inf
    px = so[i, 3] * qx + so[i, 4] * qy + so[i, 5] * qz
    py = so[i, 6] * qx + so[i, 7] * qy + so[i, 8] * qz
    pz = so[i, 9] * qx + so[i, 10] * qy + so[i, 11] * qz
    vx = so[i, 3] * dx + so[i, 4] * dy + so[i, 5] * dz
    vy = so[i, 6] * dx + so[i, 7] * dy + so[i, 8] * dz
    vz = so[i, 9] * dx + so[i, 10] * dy + so[i, 11] * dz
    h = so[i, 12]
    a = vx * vx + vy * vy
    b = px * vx + py * vy
    c = px * px + py * py - 1.0
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
    qz = pz - cap
    aa = a + vz * vz
    bb = b + qz * vz
    inside = bb * bb - aa * (c + qz * qz)
    if inside < 0.0:
        return math.inf
    t = (-bb - math.sqrt(inside)) / aa
    return t if t > 0.0 else math.inf


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


@inline
def _cell(x, half, count):  # type: ignore[no-untyped-def]
    """Return the number of the cell a coordinate lies in."""
    return min(max(int((x + half) / (2.0 * half) * count), 0), count - 1)


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
def _leaves(o, d, low, high):  # type: ignore[no-untyped-def]
    """Return when a ray leaves a room along one axis."""
    if d > 1e-15:
        return (high - o) / d
    if d < -1e-15:
        return (low - o) / d
    return math.inf


@inline
def _wall(ox, oy, oz, dx, dy, dz, room, walls):  # type: ignore[no-untyped-def]
    """Return where a ray leaves the room and through which patch of it."""
    if room.shape[0] == 0:
        return math.inf, -1
    tx = _leaves(ox, dx, room[0], room[3])
    ty = _leaves(oy, dy, room[1], room[4])
    tz = _leaves(oz, dz, room[2], room[5])
    best, face, p, q, one, two = tx, 1 if dx > 0.0 else 0, oy + tx * dy, oz + tx * dz, 1, 2
    if ty < best:
        best, face, p, q, one, two = ty, 3 if dy > 0.0 else 2, ox + ty * dx, oz + ty * dz, 0, 2
    if tz < best:
        best, face, p, q, one, two = tz, 5 if dz > 0.0 else 4, ox + tz * dx, oy + tz * dy, 0, 1
    if best == math.inf or best < 0.0:
        return math.inf, -1
    half_p, half_q = (room[3 + one] - room[one]) / 2.0, (room[3 + two] - room[two]) / 2.0
    i = _cell(p - (room[3 + one] + room[one]) / 2.0, half_p, walls[face, 1])
    j = _cell(q - (room[3 + two] + room[two]) / 2.0, half_q, walls[face, 2])
    return best, walls[face, 0] + j * walls[face, 1] + i


@fast
def stretches(so):  # type: ignore[no-untyped-def]
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
def boxes(bs, so, r2):  # type: ignore[no-untyped-def]
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
def _passes(ox, oy, oz, ix, iy, iz, box, k, limit):  # type: ignore[no-untyped-def]
    """Return whether a ray, given the inverse of its direction, meets a box before a limit."""
    x, y, z = (box[k, 0] - ox) * ix, (box[k, 1] - oy) * iy, (box[k, 2] - oz) * iz
    u, v, w = box[k, 3] * abs(ix), box[k, 4] * abs(iy), box[k, 5] * abs(iz)
    enters = max(max(x - u, y - v), z - w)
    leaves = min(min(x + u, y + v), z + w)
    return leaves >= 0.0 and enters <= leaves and enters < limit


@inline
def _inverse(d):  # type: ignore[no-untyped-def]
    """Return 1 / d, of nothing something very large."""
    return 1.0 / d if abs(d) > 1e-15 else 1e15


@inline
def first(  # type: ignore[no-untyped-def]
    ox, oy, oz, dx, dy, dz, people, who, starts, solids, box, so, sp, sh, hp, room, walls
):
    """Return the patch a ray meets first, -1 for none; of solids only those listed by `ahead`."""
    best, patch = _wall(ox, oy, oz, dx, dy, dz, room, walls)
    for q in range(sh.shape[0]):
        t, x, y = _crosses(ox, oy, oz, dx, dy, dz, sh, q, best)
        if t < best:
            best = t
            cell = _cell(y, sh[q, 13], hp[q, 3]) * hp[q, 2] + _cell(x, sh[q, 12], hp[q, 2])
            front = dx * sh[q, 9] + dy * sh[q, 10] + dz * sh[q, 11] < 0.0
            patch = (hp[q, 0] if front else hp[q, 1]) + cell
    solid = -1
    ix, iy, iz = _inverse(dx), _inverse(dy), _inverse(dz)
    for g in range(people):
        if not _passes(ox, oy, oz, ix, iy, iz, box, who[g], best):
            continue
        for j in range(starts[g], starts[g + 1]):
            t = _enters(ox, oy, oz, dx, dy, dz, so, solids[j], best)
            if t < best:
                best, solid = t, solids[j]
    if solid >= 0:
        patch = _solid_patch(ox + best * dx, oy + best * dy, oz + best * dz, so, sp, solid)
    return patch


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
def blocked(  # type: ignore[no-untyped-def]
    ox, oy, oz, dx, dy, dz, length, so, sh, solids, found, sheets, flat
):
    """Return whether one of the listed shapes stands in the way before `length`."""
    end = length * (1.0 - 1e-6)
    for k in range(found):
        i = solids[k]
        if _enters(ox, oy, oz, dx, dy, dz, so, i, end) < end:
            if k > 0:  # what blocked one ray is likely to block the next
                solids[k], solids[0] = solids[0], i
            return True
    for k in range(flat):
        t, _x, _y = _crosses(ox, oy, oz, dx, dy, dz, sh, sheets[k], end)
        if t < end:
            return True
    return False
