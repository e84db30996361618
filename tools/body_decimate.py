"""Thin out a triangle mesh by drawing vertices into their neighbours, one at a time.

No vertex moves, so what is left indexes the same shapes and weights as before. The order is that
of quadric errors (squared distances from the planes of the faces that were merged), summed over
several shapes of the same mesh; edges where parts meet and open borders are thinned along
themselves only, so that both halves of a mirrored body still meet, and skin still meets clothes.
"""

from __future__ import annotations

import heapq

import numpy as np

TURNED = 0.2
"""Least cosine between a new face and the mean normal of its corners, in every shape [-]."""
LEAST_M2 = 1e-8  # twice the least area of a new face
SLENDER = 0.06
"""Least area of a new face over the square of its longest side [-]; 0.43 is equilateral."""
BORDER = 2.0
"""What leaving the line of a border or of a seam costs against leaving a face's plane [-]."""
BEND_M = 0.02
"""A vertex bound to other bones than its heir costs as much as one so far off the surface [m]."""
SPREAD = 1e-3
"""What the length of an edge costs against its distance from the surface [-]."""


class Thinning:
    """A mesh being thinned: faces with their parts, and the error each vertex has gathered."""

    def __init__(self, faces, parts, *, shapes, weights, scale, every, facing):
        self.shapes, self.weights = shapes, weights  # (k, n, 3), (n, bones)
        self.every, self.facing = every, facing
        self.faces = dict(enumerate(map(tuple, faces.tolist())))
        self.parts = dict(enumerate(parts.tolist()))
        self.around = {vertex: set() for vertex in np.unique(faces).tolist()}
        for face, corners in self.faces.items():
            for vertex in corners:
                self.around[vertex].add(face)
        self._measure(faces, scale)
        self.heap, self.state = [], dict.fromkeys(self.around, 0)

    def _measure(self, faces, scale):
        """Set quadrics and areas of the vertices; `scale` (n,) enlarges distances."""
        count = self.shapes.shape[1]
        self.quadrics = np.zeros((count, len(self.shapes), 4, 4))
        self.area = np.zeros(count)
        for k, shape in enumerate(self.shapes):
            across = np.cross(
                shape[faces[:, 1]] - shape[faces[:, 0]], shape[faces[:, 2]] - shape[faces[:, 0]]
            )
            area = np.linalg.norm(across, axis=1) / 2
            plane = _planes(shape[faces[:, 0]], across)
            for corner in range(3):
                vertex = faces[:, corner]
                np.add.at(self.quadrics[:, k], vertex, area[:, None, None] * plane)
                np.add.at(self.area, vertex, area)
        self._guard_borders()
        self.quadrics *= scale[:, None, None, None] ** 4
        self.area *= scale**4

    def _guard_borders(self):
        """Add to the quadrics of border vertices planes through the border, square to its faces."""
        for face, corners in self.faces.items():
            for k in range(3):
                a, b = corners[k], corners[k - 2]
                if self.is_edge_fixed(a, b):
                    for s, shape in enumerate(self.shapes):
                        along = shape[b] - shape[a]
                        upright = np.cross(along, self._normal(face, shape))
                        plane = _planes(shape[a][None], upright[None])[0]
                        weight = BORDER * (along @ along)
                        self.quadrics[[a, b], s] += weight * plane

    def _normal(self, face, shape):
        a, b, c = (shape[vertex] for vertex in self.faces[face])
        return np.cross(b - a, c - a)

    def beside(self, vertex):
        """Return the vertices that share an edge with one, in order."""
        return sorted({v for face in self.around[vertex] for v in self.faces[face]} - {vertex})

    def is_edge_fixed(self, a, b):
        """Return whether an edge is a border, or lies between two parts."""
        shared = self.around[a] & self.around[b]
        return len(shared) == 1 or len({self.parts[face] for face in shared}) > 1

    def propose(self, vertex):
        """Put every neighbour a vertex might be drawn into on the heap."""
        self.state[vertex] += 1
        others = self.beside(vertex)
        fixed = [other for other in others if self.is_edge_fixed(vertex, other)]
        if len(fixed) not in (0, 2):
            return
        targets = np.array(fixed or others)
        for cost, target in zip(self._costs(vertex, targets), targets.tolist(), strict=True):
            heapq.heappush(self.heap, (float(cost), vertex, target, self.state[vertex]))

    def _costs(self, vertex, targets):
        place = np.concatenate(
            [self.shapes[:, targets], np.ones((len(self.shapes), len(targets), 1))], axis=2
        )
        off = np.einsum("kti,kij,ktj->t", place, self.quadrics[vertex], place)
        length = ((self.shapes[0, targets] - self.shapes[0, vertex]) ** 2).sum(axis=1)
        bend = ((self.weights[targets] - self.weights[vertex]) ** 2).sum(axis=1)
        return off + self.area[vertex] * (SPREAD * length + BEND_M**2 * bend)

    def is_sound(self, vertex, target):
        """Return whether drawing one vertex into another leaves a proper surface."""
        shared = self.around[vertex] & self.around[target]
        common = set(self.beside(vertex)) & set(self.beside(target))
        if len(common) != len(shared):
            return False
        kept = sorted(self.around[vertex] - shared)
        old = np.array([self.faces[face] for face in kept]).reshape(-1, 3)
        return bool(kept) and self._is_no_worse(old, np.where(old == vertex, target, old))

    def _is_no_worse(self, old, new):
        """Return whether faces (f, 3), changed, are neither slender nor turned, in every shape.

        Some are turned in some shapes as they come: those may become less so.
        """
        area, sides, cosine = self._form(new)
        if (area.max(axis=0) / 2 < SLENDER * sides.max(axis=0)).any():
            return False
        good = (cosine > TURNED) | (cosine >= self._form(old)[2])
        return bool(good.all() and (area > LEAST_M2).all())

    def _form(self, faces):
        """Return twice the area, the longest side squared and the cosine to the surface, (m, f)."""
        a, b, c = (self.every[:, faces[:, k]] for k in range(3))
        across = np.cross(b - a, c - a)
        area = np.linalg.norm(across, axis=2)
        sides = [((one - other) ** 2).sum(axis=2) for one, other in ((a, b), (b, c), (c, a))]
        around = self.facing[:, faces].mean(axis=2)
        cosine = (across * around).sum(axis=2) / np.maximum(area, 1e-12)
        return area, np.max(sides, axis=0), cosine

    def draw(self, vertex, target):
        """Draw a vertex into its neighbour."""
        for face in sorted(self.around[vertex]):
            corners = self.faces[face]
            if target in corners:
                for corner in corners:
                    self.around[corner].discard(face)
                del self.faces[face], self.parts[face]
            else:
                self.faces[face] = tuple(target if v == vertex else v for v in corners)
                self.around[target].add(face)
        del self.around[vertex], self.state[vertex]
        self.quadrics[target] += self.quadrics[vertex]
        self.area[target] += self.area[vertex]


def thinned(faces, parts, *, shapes, every, facing, weights, scale, kept, count):
    """Return at most `count` of the faces of a mesh, thinned, and the part of each.

    `shapes` (k, n, 3) are the shapes whose errors count, `every` (m, n, 3) those in which no face
    may be turned over, `facing` the normals of the vertices in them, `weights` (n, bones) the
    skinning, `scale` (n,) how much larger than life errors count, `kept` the vertices that stay.
    """
    mesh = Thinning(
        faces, parts, shapes=shapes, weights=weights, scale=scale, every=every, facing=facing
    )
    free = sorted(set(mesh.around) - set(kept))
    for vertex in free:
        mesh.propose(vertex)
    free = set(free)
    while len(mesh.faces) > count and mesh.heap:
        _, vertex, target, state = heapq.heappop(mesh.heap)
        if mesh.state.get(vertex) != state or not mesh.is_sound(vertex, target):
            continue
        mesh.draw(vertex, target)
        for other in [target, *mesh.beside(target)]:
            if other in free:
                mesh.propose(other)
    order = sorted(mesh.faces)
    return np.array([mesh.faces[f] for f in order]), np.array([mesh.parts[f] for f in order])


def _planes(points, across):
    """Return the 4x4 forms that give the squared distance from planes, shape (n, 4, 4)."""
    unit = across / np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-18)
    plane = np.concatenate([unit, -(unit * points).sum(axis=1, keepdims=True)], axis=1)
    return plane[:, :, None] * plane[:, None]
