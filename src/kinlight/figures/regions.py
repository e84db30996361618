"""Regions of a figure's surface: where it touches what it stands, sits and kneels on."""

from __future__ import annotations

import re
from functools import cache

import numpy as np

from kinlight.figures.shapes import Index, Shapes, shapes
from kinlight.geometry.vectors import Array

_BONES = {
    "seat": r"root|pelvis|spine05|upperleg0[12]",
    "buttocks": r"root|pelvis|spine05|upperleg01",
    "trunk": r"root|pelvis|spine0\d|clavicle",
    "shoulder": r"shoulder01|upperarm01",
    "thigh": r"upperleg0\d",
    "shank": r"lowerleg0\d",
    "knee": r"upperleg02|lowerleg01",
    "foot": r"foot",
    "hand": r"wrist|metacarpal|finger",
    "head": r"head",
}
_MOST = 0.5
"""Vertices belong to a region if its bones move them for more than this share."""
_NEAR = {"seat": 0.16, "buttocks": 0.12, "knee": 0.06}
"""How far some regions reach from the hips and the knees, as shares of stature."""


def region(of: Shapes, name: str) -> Index:
    """Return the vertices of a region: "seat", "trunk", "head", or "foot.L" and the like of a side.

    Regions are the same vertices in all figures of a mesh.
    """
    return _regions(of is shapes(True))[name]


@cache
def _regions(light: bool) -> dict[str, Index]:
    of = shapes(light)
    found = {}
    for kind, bones in _BONES.items():
        if kind in ("seat", "buttocks", "trunk", "head"):
            found[kind] = _bound(of, bones, kind)
        else:
            for side in "LR":
                found[f"{kind}.{side}"] = _bound(of, rf"({bones}).*\.{side}", kind)
    found["whole"] = np.arange(len(of.mean_m))
    return found


def _bound(of: Shapes, bones: str, kind: str) -> Index:
    """Return the vertices that some bones move, and that are near enough."""
    chosen = [k for k, bone in enumerate(of.bones) if re.match(bones, bone)]
    share = of.skinning[:, chosen].sum(axis=1)
    inside = share > _MOST
    if kind in _NEAR:
        inside &= _from_middle(of, kind, bones) < _NEAR[kind] * float(of.mean_m[:, 2].max())
    return np.flatnonzero(inside)


def _from_middle(of: Shapes, kind: str, bones: str) -> Array:
    """Return how far vertices are from the middle of a region."""
    joints = of.joints_m.mean(axis=0)
    side = bones[-1] if kind == "knee" else ""
    names = [f"lowerleg01.{side}"] if side else ["upperleg01.L", "upperleg01.R"]
    middle = joints[[of.bones.index(name) for name in names]].mean(axis=0)
    return np.asarray(np.linalg.norm(of.mean_m - middle, axis=1))
