"""Compiled: where a ray meets solids, sheets and walls; a part of the twin of `rays`."""

from __future__ import annotations

import math

from kinlight.light.jit import fast, inline


@inline
def _enters(ox, oy, oz, dx, dy, dz, so, i):  # type: ignore[no-untyped-def]
    """Return where a ray enters a solid; inf if it does not."""
    qx, qy, qz = ox - so[i, 0], oy - so[i, 1], oz - so[i, 2]
    along = qx * dx + qy * dy + qz * dz
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
def _crosses(ox, oy, oz, dx, dy, dz, sh, q):  # type: ignore[no-untyped-def]
    """Return where a ray crosses a sheet, and where on it; inf if it passes by."""
    along = dx * sh[q, 9] + dy * sh[q, 10] + dz * sh[q, 11]
    if abs(along) < 1e-12:
        return math.inf, 0.0, 0.0
    rx, ry, rz = sh[q, 0] - ox, sh[q, 1] - oy, sh[q, 2] - oz
    t = (rx * sh[q, 9] + ry * sh[q, 10] + rz * sh[q, 11]) / along
    if t <= 0.0:
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


@fast
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


@fast
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
def first(  # type: ignore[no-untyped-def]
    ox, oy, oz, dx, dy, dz, be, bs, so, sp, sh, hp, room, walls
):
    """Return the patch a ray meets first, -1 for none."""
    best, patch = _wall(ox, oy, oz, dx, dy, dz, room, walls)
    for q in range(sh.shape[0]):
        t, x, y = _crosses(ox, oy, oz, dx, dy, dz, sh, q)
        if t < best:
            best = t
            cell = _cell(y, sh[q, 13], hp[q, 3]) * hp[q, 2] + _cell(x, sh[q, 12], hp[q, 2])
            ahead = dx * sh[q, 9] + dy * sh[q, 10] + dz * sh[q, 11] < 0.0
            patch = (hp[q, 0] if ahead else hp[q, 1]) + cell
    solid = -1
    for k in range(be.shape[0]):
        cx, cy, cz = be[k, 0] - ox, be[k, 1] - oy, be[k, 2] - oz
        along = cx * dx + cy * dy + cz * dz
        room_ = be[k, 3] * be[k, 3] - (cx * cx + cy * cy + cz * cz - along * along)
        if room_ < 0.0:
            continue
        reach = math.sqrt(room_)
        if along + reach < 0.0 or along - reach > best:
            continue
        for i in range(bs[k], bs[k + 1]):
            t = _enters(ox, oy, oz, dx, dy, dz, so, i)
            if t < best:
                best, solid = t, i
    if solid >= 0:
        return _solid_patch(ox + best * dx, oy + best * dy, oz + best * dz, so, sp, solid)
    return patch


@inline
def _near_cone(mx, my, mz, reach, ax, ay, az, length2, length, rim):  # type: ignore[no-untyped-def]
    """Return whether a ball may stand between a point and a front seen from it."""
    t = min(max((mx * ax + my * ay + mz * az) / length2, 0.0), 1.0)
    d2 = (mx - t * ax) ** 2 + (my - t * ay) ** 2 + (mz - t * az) ** 2
    limit = reach + rim * min(1.0, t + reach / length)
    return d2 < limit * limit


@fast
def between(ox, oy, oz, ax, ay, az, rim, be, bs, so, sh, solids, sheets):  # type: ignore[no-untyped-def]
    """List the solids and sheets that may stand between a point and a front; return how many."""
    long2 = ax * ax + ay * ay + az * az
    long = math.sqrt(long2)
    found, flat = 0, 0
    for k in range(be.shape[0]):
        mx, my, mz = be[k, 0] - ox, be[k, 1] - oy, be[k, 2] - oz
        if not _near_cone(mx, my, mz, be[k, 3], ax, ay, az, long2, long, rim):
            continue
        for i in range(bs[k], bs[k + 1]):
            mx, my, mz = so[i, 0] - ox, so[i, 1] - oy, so[i, 2] - oz
            if _near_cone(mx, my, mz, so[i, 13], ax, ay, az, long2, long, rim):
                solids[found] = i
                found += 1
    for q in range(sh.shape[0]):
        mx, my, mz = sh[q, 0] - ox, sh[q, 1] - oy, sh[q, 2] - oz
        if _near_cone(mx, my, mz, sh[q, 16], ax, ay, az, long2, long, rim):
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
        if _enters(ox, oy, oz, dx, dy, dz, so, i) < end:
            if k > 0:  # what blocked one ray is likely to block the next
                solids[k], solids[0] = solids[0], i
            return True
    for k in range(flat):
        t, _x, _y = _crosses(ox, oy, oz, dx, dy, dz, sh, sheets[k])
        if t < end:
            return True
    return False
