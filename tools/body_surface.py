"""Make one closed surface of the body data: head, neck and hands sewn to the clothes at their rims.

Everything is done on the left half, x >= 0; the right half is its mirror image. Faces that nobody
can see (inside of mouth and nose, behind the eyeballs) are found by casting rays and dropped, and
the holes they leave are closed, but for the two in which the eyeballs sit.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np

SKIN, CLOTHES, EYES, HAIR = range(4)
RIM_M = 0.003
"""How far beyond the clothes' rims skin begins; a strip joins the two [m]."""
RAYS, RAYS_SEED, OFF_M = 40, 0, 5e-4
FEW = 12  # a patch of fewer hidden faces stays
EYE_REACH = 0.3  # an eyeball is kept this far behind its middle, in radii

# Height of the hairline above the eyes [m] over the way from the front of the head to its back [-].
HAIRLINE = (
    [0, 0.12, 0.30, 0.48, 0.60, 0.75, 1],
    [0.075, 0.068, 0.05, 0.012, -0.035, -0.06, -0.065],
)
HAIR_EAR_M = 0.03  # over this distance from an ear too
HAIR_ROOT_M = 0.05  # over this height hair comes to its full thickness

HAIRED = 0.02  # a face is hair if one of its corners carries more of it than this


def surface(source):
    """Return the faces (f, 3) of the left half, and the part of each.

    The figure midway between the sexes decides: nothing here depends on age or build later.
    """
    shape = source.middle()
    clothes = _left(source.groups["helper-tights"], shape)
    eye = _front(source.groups["helper-l-eye"], shape)
    skin = _seen(_bare(source, shape), eye, clothes, shape, source.mirror)
    skin, clothes, eye = (triangles(quads, shape) for quads in (skin, clothes, eye))
    strips = _sewn(skin, clothes, shape, source.mirror)
    skin = np.concatenate([skin, strips])
    around = np.concatenate([skin, clothes])
    skin = np.concatenate([skin, _closed(around, eye, shape, source.mirror)])
    parts = [len(skin), len(clothes), len(eye)]
    return np.concatenate([skin, clothes, eye]), np.repeat([SKIN, CLOTHES, EYES], parts)


def normals(faces, points):
    """Return the normals of faces, twice their areas long."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    return np.cross(b - a, c - a)


def vertex_normals(faces, points):
    """Return the unit normal at each vertex of some faces, zero elsewhere."""
    facing = np.zeros(points.shape)
    np.add.at(facing, faces, normals(faces, points)[:, None])
    return facing / np.maximum(np.linalg.norm(facing, axis=1, keepdims=True), 1e-15)


def triangles(quads, points):
    """Split quads along their shorter diagonals."""
    a, b, c, d = quads.T
    across = np.linalg.norm(points[a] - points[c], axis=1)
    other = np.linalg.norm(points[b] - points[d], axis=1)
    first = (across <= other + 1e-9)[:, None]
    one = np.where(first, np.stack([a, b, c], 1), np.stack([a, b, d], 1))
    two = np.where(first, np.stack([a, c, d], 1), np.stack([b, c, d], 1))
    return np.concatenate([one, two])


def mirrored(faces, mirror):
    """Return the same faces on the other side, facing outward as well."""
    return mirror[faces][:, ::-1]


def loops(faces):
    """Return the border loops of faces as lists of vertices, in the faces' sense."""
    sides = {(f[k], f[k - len(f) + 1]) for f in faces.tolist() for k in range(len(f))}
    follows = {a: b for a, b in sorted(sides) if (b, a) not in sides}
    found = []
    while follows:
        loop = [next(iter(follows))]
        while (after := follows.pop(loop[-1])) != loop[0]:
            loop.append(after)
        found.append(loop)
    return found


def hair_weights(source, faces, parts):
    """Return for each vertex how much of the hair's thickness it carries, 0 to 1."""
    shape = source.middle()
    head = source.weights.argmax(axis=1) == source.bones.index("head")
    used = np.zeros(len(shape), dtype=bool)
    used[faces[parts == SKIN]] = True
    used |= used[source.mirror]
    front, back = shape[head & used, 1].min(), shape[head & used, 1].max()
    eye_height_m = shape[np.unique(source.groups["helper-l-eye"]), 2].mean()
    line_m = np.interp((shape[:, 1] - front) / (back - front), *HAIRLINE)
    rise = np.clip((shape[:, 2] - eye_height_m - line_m) / HAIR_ROOT_M, 0, 1)
    rise = np.minimum(rise, _away_from(shape, shape[source.ears & head]) / HAIR_EAR_M)
    return np.where(head & used, rise * rise * (3 - 2 * rise), 0.0)


def _away_from(points, others):
    """Return how far each point is from the nearest of some others."""
    square = (points**2).sum(axis=1)[:, None] - 2 * points @ others.T + (others**2).sum(axis=1)
    return np.sqrt(np.maximum(square.min(axis=1), 0))


def with_hair(faces, parts, weights):
    """Return the parts with the faces of the scalp as hair, their edge without single teeth."""
    haired = (parts == SKIN) & (weights[faces].max(axis=1) > HAIRED)
    return np.where(_smoothed(faces, haired) & (parts == SKIN), HAIR, parts)


def _left(quads, shape):
    """Return the quads on the left; none crosses the middle."""
    return quads[shape[quads, 0].mean(axis=1) > 0]


def _front(quads, shape):
    """Return the front of an eyeball."""
    middle = shape[np.unique(quads)].mean(axis=0)
    radius = np.linalg.norm(shape[np.unique(quads)] - middle, axis=1).mean()
    return quads[(shape[quads, 1].mean(axis=1) - middle[1]) < EYE_REACH * radius]


def _bare(source, shape):
    """Return the body's quads on the left beyond the rims of the clothes: head, neck, hand."""
    quads = _left(source.groups["body"], shape)
    beyond = np.full(len(shape), -1.0)
    for loop in loops(source.groups["helper-tights"]):
        rim = shape[loop]
        if rim[:, 0].max() < 0:
            continue  # the right cuff
        if (np.abs(rim[:, 0]) < 1e-6).any():
            near, above = _above_collar(rim, shape)
        else:
            near, above = _beyond_cuff(rim, shape, source.ends(shape, "finger3-1.L")[1])
        beyond = np.where(near, np.maximum(beyond, above), beyond)
    kept = (beyond[quads] > RIM_M).all(axis=1)
    return quads[_smoothed(quads, kept)]


def _above_collar(rim, shape):
    """Return which vertices are of head or neck, and how high above the collar each lies."""
    middle = rim.mean(axis=0)
    angle = np.arctan2(*(rim - middle)[:, :2].T)
    order = np.argsort(angle)
    around = np.arctan2(*(shape - middle)[:, :2].T)
    height_m = np.interp(around, angle[order], rim[order, 2], period=2 * np.pi)
    near = (np.abs(shape[:, 0]) < 0.12) & (shape[:, 2] > rim[:, 2].min() - 0.02)
    return near, shape[:, 2] - height_m


def _beyond_cuff(rim, shape, knuckle):
    """Return which vertices are of the left hand, and how far beyond the cuff each lies."""
    middle = rim.mean(axis=0)
    axis = np.linalg.svd(rim - middle)[2][2]
    axis = axis * np.sign(axis @ (knuckle - middle))
    return np.linalg.norm(shape - middle, axis=1) < 0.3, (shape - middle) @ axis


def _neighbours(quads):
    """Return for each face those it shares a side with."""
    by_side = defaultdict(list)
    for face, quad in enumerate(quads.tolist()):
        for k in range(len(quad)):
            by_side[frozenset((quad[k - 1], quad[k]))].append(face)
    beside = [[] for _ in quads]
    for pair in by_side.values():
        if len(pair) == 2:
            beside[pair[0]].append(pair[1])
            beside[pair[1]].append(pair[0])
    return beside


def _smoothed(quads, kept):
    """Return a choice of faces without single teeth or gaps along its edge.

    A face all of whose neighbours but one are of the other choice joins them; where two faces
    would touch at a corner alone, all faces around that corner are kept.
    """
    kept, beside = kept.copy(), _neighbours(quads)
    for _ in range(20):
        before = kept.copy()
        for face, others in enumerate(beside):
            unlike = sum(kept[other] != kept[face] for other in others)
            if unlike >= quads.shape[1] - 1:
                kept[face] = not kept[face]
        for corner in _pinched(quads[kept]):
            kept |= (quads == corner).any(axis=1)
        if (kept == before).all():
            break
    return kept


def _pinched(quads):
    """Return the vertices at which a border meets itself."""
    sides = {(q[k - 1], q[k]) for q in quads.tolist() for k in range(len(q))}
    starts = [a for a, b in sides if (b, a) not in sides]
    return sorted({a for a in starts if starts.count(a) > 1})


def _seen(quads, eye, clothes, shape, mirror):
    """Drop the faces that cannot be seen from anywhere outside."""
    scene = np.concatenate([triangles(part, shape) for part in (quads, eye, clothes)])
    scene = np.concatenate([scene, mirrored(scene, mirror)])
    seen = _visible(quads, scene, shape)
    beside = _neighbours(quads)
    for patch in _patches(~seen, beside):
        if len(patch) < FEW:
            seen[patch] = True
    seen = _smoothed(quads, seen)
    tops = [quads[patch] for patch in _patches(seen, beside)]
    return np.concatenate([top for top in tops if len(top) > 300])  # the head, the hand


def _patches(chosen, beside):
    """Return the connected patches among the chosen faces."""
    left, found = set(np.flatnonzero(chosen).tolist()), []
    while left:
        todo = [min(left)]
        left.discard(todo[0])
        for face in todo:  # grows as it is read
            fresh = [other for other in beside[face] if other in left]
            left.difference_update(fresh)
            todo += fresh
        found.append(sorted(todo))
    return found


def _visible(quads, scene, shape):
    """Return which faces see the outside along one of a few dozen directions."""
    import mitsuba

    mitsuba.set_variant("scalar_rgb")
    mesh = mitsuba.Mesh("body", len(shape), len(scene))
    held = mitsuba.traverse(mesh)
    held["vertex_positions"] = shape.astype(np.float32).ravel()
    held["faces"] = scene.astype(np.uint32).ravel()
    held.update()
    world = mitsuba.load_dict({"type": "scene", "mesh": mesh})
    rays = np.random.default_rng(RAYS_SEED).normal(size=(RAYS, 3))
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    across = np.cross(
        shape[quads[:, 2]] - shape[quads[:, 0]], shape[quads[:, 3]] - shape[quads[:, 1]]
    )
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    start = shape[quads].mean(axis=1) + OFF_M * across

    def free(face):
        ahead = rays[rays @ across[face] > 0.05]
        point = mitsuba.Point3f(*start[face])
        return any(
            not world.ray_test(mitsuba.Ray3f(point, mitsuba.Vector3f(*ray))) for ray in ahead
        )

    return np.array([free(face) for face in range(len(quads))])


def _half(loop, shape):
    """Return a loop's left part, from one middle vertex to the other, or a whole left loop."""
    x = shape[loop, 0]
    middle = np.flatnonzero(np.abs(x) < 1e-6)
    if len(middle) == 0:
        return loop
    one = [*loop[middle[0] : middle[-1] + 1]]
    other = [*loop[middle[-1] :], *loop[: middle[0] + 1]]
    return one if shape[one, 0].mean() > 0 else other


def _open(loop, shape):
    return bool((np.abs(shape[loop, 0]) < 1e-6).any())


def _left_borders(faces, shape, mirror):
    """Return the left part of each border of the whole figure; none for those on the right."""
    whole = np.concatenate([faces, mirrored(faces, mirror)])
    return [_half(loop, shape) for loop in loops(whole) if shape[_half(loop, shape), 0].mean() > 0]


def _sewn(skin, clothes, shape, mirror):
    """Return strips of faces between the clothes' rims and the skin that comes out of them."""
    borders = _left_borders(skin, shape, mirror)
    strips = []
    for rim in _left_borders(clothes, shape, mirror):
        middle = shape[rim].mean(axis=0)
        alike = [border for border in borders if _open(border, shape) == _open(rim, shape)]
        edge = min(alike, key=lambda b: np.linalg.norm(shape[b].mean(axis=0) - middle))
        rim = rim[::-1]
        if not _open(rim, shape):
            first = int(np.linalg.norm(shape[rim] - shape[edge[0]], axis=1).argmin())
            rim = [*rim[first:], *rim[: first + 1]]
            edge = [*edge, edge[0]]
        strips.append(_strip(edge, rim, shape))
    return np.concatenate(strips)


def _strip(a, b, shape):
    """Return the triangles between two chains that run the same way, with short sides across.

    The surface that `a` bounds has its sides in the sense of `a`.
    """
    gap = np.linalg.norm(shape[a][:, None] - shape[b][None], axis=2)
    cost = np.full(gap.shape, np.inf)
    cost[0, 0] = gap[0, 0]
    for i in range(len(a)):
        for j in range(len(b)):
            before = [cost[i - 1, j] if i else np.inf, cost[i, j - 1] if j else np.inf]
            cost[i, j] = min(cost[i, j], gap[i, j] + min(before))
    faces, i, j = [], len(a) - 1, len(b) - 1
    while i or j:
        if j == 0 or (i and cost[i - 1, j] <= cost[i, j - 1]):
            i -= 1
            faces.append([a[i + 1], a[i], b[j]])
        else:
            j -= 1
            faces.append([b[j], b[j + 1], a[i]])
    return np.array(faces)


def _closed(faces, eye, shape, mirror):
    """Return faces that close the holes of the left half, but for that of the eye."""
    socket = shape[np.unique(eye)].mean(axis=0)
    holes = _left_borders(faces, shape, mirror)
    away = [np.linalg.norm(shape[hole].mean(axis=0) - socket) for hole in holes]
    filled = [
        _filled(hole[::-1], shape) for hole, m in zip(holes, away, strict=True) if m != min(away)
    ]
    return np.concatenate([np.zeros((0, 3), dtype=int), *filled])


def _filled(polygon, shape):
    """Return the triangles of least area that fill a polygon in space."""
    count = len(polygon)
    points = shape[polygon]
    cost, split = np.zeros((count, count)), np.zeros((count, count), dtype=int)
    for span in range(2, count):
        for i in range(count - span):
            k = i + span
            middle = np.arange(i + 1, k)
            area = np.linalg.norm(
                np.cross(points[middle] - points[i], points[k] - points[i]), axis=1
            )
            total = cost[i, middle] + cost[middle, k] + area
            split[i, k] = middle[total.argmin()]
            cost[i, k] = total.min()
    faces, todo = [], [(0, count - 1)]
    for i, k in todo:  # grows as it is read
        if k - i > 1:
            j = int(split[i, k])
            faces.append([polygon[i], polygon[j], polygon[k]])
            todo += [(i, j), (j, k)]
    return np.array(faces)
