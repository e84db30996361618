"""The shapes of clothed lay figures from newborn to old age, before they are posed.

Two meshes of the same figures: a full one to draw, a light one to reckon light and shadow with.
Both stand with their arms held off, face -y, have their own left at +x, and z upward from the
soles. The data are made of open ones [makehuman-hm08]; see data/body_shapes.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from io import BytesIO
from types import MappingProxyType
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array

SKIN, CLOTHES, EYES, HAIR = range(4)
"""The parts of a figure that a face of its mesh can belong to."""
AXES = ("sex", "maturity", "weight")
"""What a shape depends on, in the order of the corners' columns."""

_T = TypeVar("_T", bound=np.generic)
Single = NDArray[np.float32]
Index = NDArray[np.int64]


@dataclass(frozen=True)
class Shapes:
    """A mesh of n vertices, its shapes in all corners, and the bones that move it.

    Attributes
    ----------
    corners : the coordinates of each corner, (c, 3) [-], columns as in `AXES`.
    mean_m : the mean of the corner shapes, (n, 3).
    differences_m : what each corner differs by from the mean, (c, n, 3).
    joints_m : where each bone begins, in each corner, (c, b, 3).
    bones : the name of each bone; those of a side end in .L or .R.
    parents : the bone that each bone hangs on, before it in order; -1 for the first.
    skinning : how far each bone moves each vertex, (n, b) [-]; rows sum to one.
    faces : corners of triangles, counterclockwise seen from outside, (f, 3).
    parts : SKIN, CLOTHES, EYES or HAIR of each face. Faces of hair are the scalp: push vertices out
        along their normals by the thickness of the hair times `hair`.
    hair : how much of the hair's thickness each vertex carries, (n,) [-].
    mirror : the vertex on the other side; itself for one in the middle.
    landmarks : the vertex of each landmark, by name ("nose", "cheek left").
    neighbours : the four vertices beside each landmark, to the figure's left and right, above and
        below: (first - second) x (third - fourth) is the outward normal of the patch.
    """

    corners: Array
    mean_m: Single
    differences_m: Single
    joints_m: Single
    bones: tuple[str, ...]
    parents: Index
    skinning: Single
    faces: Index
    parts: Index
    hair: Single
    mirror: Index
    landmarks: Mapping[str, int]
    neighbours: Mapping[str, Index]

    def rest(self, *, sex: float, maturity: float, weight: float) -> tuple[Array, Array]:
        """Return the vertices (n, 3) and joints (b, 3) of a figure at rest [m].

        Parameters
        ----------
        sex : 0 male to 1 female [-].
        maturity : -1 newborn, 0 baby, 1/3 child, 2/3 young adult, 1 old [-]; not an age in years.
        weight : 0 slight, 1/2 usual, 1 heavy, for the sex and maturity [-].

        Returns
        -------
        vertices and joints; the soles are at z = 0. Stature follows from the shape, and scaling
        both to another stature is the caller's.

        Raises
        ------
        RangeError
            If a coordinate is outside the range of the corners.

        Notes
        -----
        Linear between neighbouring corners along each axis (multilinear interpolation).
        """
        share = np.ones(len(self.corners))
        for axis, value in enumerate((sex, maturity, weight)):
            share *= _shares(AXES[axis], self.corners[:, axis], value)
        used = np.flatnonzero(share)
        part = share[used].astype(np.float32)
        vertices = self.mean_m + np.tensordot(part, self.differences_m[used], axes=1)
        joints = np.tensordot(share[used], self.joints_m[used], axes=1)
        return vertices.astype(np.float64), np.asarray(joints, dtype=np.float64)

    def eye(self, side: str) -> Index:
        """Return the vertices of the front of the left or the right eye.

        Its middle is where the bone eye.L or eye.R begins.
        """
        seen = np.unique(self.faces[self.parts == EYES])
        is_left = self.mean_m[seen, 0] > 0
        return np.asarray(seen[is_left if side == "left" else ~is_left], dtype=np.int64)


@cache
def shapes(light: bool) -> Shapes:
    """Return the shapes of the full mesh, or of the light one of fewer than 4,000 faces."""
    name = "body_shapes_light.npz" if light else "body_shapes.npz"
    return _unpacked((files("kinlight.figures") / "data" / name).read_bytes())


def _unpacked(content: bytes) -> Shapes:
    """Return the shapes in the bytes of a file, the right side added as the left one's mirror."""
    with np.load(BytesIO(content), allow_pickle=False) as held:
        stored = {name: held[name] for name in held.files}
    middle, count = int(stored["middle"]), len(stored["mean_m"])
    bones = tuple(stored["bones"].tolist())
    flip = np.array([-1, 1, 1], dtype=np.float32)
    differences_m = stored["steps_m"][:, None, None] * stored["differences"]
    skinning = _dense(stored["bound_to"], stored["bound_by"], len(bones))
    hair = stored["hair"].astype(np.float32) / np.float32(255)
    names = stored["landmarks"].tolist()
    neighbours = map(_fixed, stored["landmark_neighbours"].astype(np.int64))
    left, right = np.arange(middle, count), np.arange(count, 2 * count - middle)
    return Shapes(
        corners=_fixed(stored["corners"]),
        mean_m=_with(stored["mean_m"], stored["mean_m"][left] * flip),
        differences_m=_with(differences_m, differences_m[:, left] * flip, axis=1),
        joints_m=_fixed(stored["joints_m"]),
        bones=bones,
        parents=_fixed(stored["parents"].astype(np.int64)),
        skinning=_with(skinning, skinning[left][:, _swapped(bones)]),
        faces=_fixed(stored["faces"].astype(np.int64)),
        parts=_fixed(stored["parts"].astype(np.int64)),
        hair=_with(hair, hair[left]),
        mirror=_fixed(np.concatenate([np.arange(middle), right, left])),
        landmarks=MappingProxyType(dict(zip(names, stored["vertices"].tolist(), strict=True))),
        neighbours=MappingProxyType(dict(zip(names, neighbours, strict=True))),
    )


def _fixed(array: NDArray[_T]) -> NDArray[_T]:
    """Return an array after making it read-only."""
    array.setflags(write=False)
    return array


def _with(stored: Single, right: Single, axis: int = 0) -> Single:
    """Return what is stored followed by the right side, read-only."""
    return _fixed(np.concatenate([stored, right], axis=axis))


def _dense(bound_to: Index, bound_by: Index, bones: int) -> Single:
    """Return the share of every bone in every vertex, from those of its strongest bones."""
    skinning = np.zeros((len(bound_to), bones), dtype=np.float32)
    share = bound_by / bound_by.sum(axis=1, keepdims=True, dtype=np.float32)
    np.put_along_axis(skinning, bound_to.astype(np.int64), share.astype(np.float32), axis=1)
    return skinning


def _swapped(bones: tuple[str, ...]) -> list[int]:
    """Return for each bone the place of the one on the other side."""
    other = {".L": ".R", ".R": ".L"}
    return [bones.index(bone[:-2] + other.get(bone[-2:], bone[-2:])) for bone in bones]


def _shares(name: str, places: Array, value: float) -> Array:
    """Return the share each corner has along one axis."""
    levels = np.unique(places)
    if not levels[0] <= value <= levels[-1]:
        allowed = f"{levels[0]:g} to {levels[-1]:g}"
        fault = Fault(f"is no {name} a figure can have", allowed=allowed, given=f"{value:g}")
        raise RangeError(fault)
    level = np.searchsorted(levels, places)
    return np.array([np.interp(value, levels, row) for row in np.eye(len(levels))])[level]
