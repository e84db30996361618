"""A figure at rest that measures what its body measures: the shape of an age, then stretched.

The shapes know how people of an age look; `Body` knows what they measure. Bones are stretched until
stature, sitting height, head and shoulders of the one are those of the other.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

import numpy as np

from kinlight.figures.growth import Body, Sex
from kinlight.figures.shapes import Shapes, shapes
from kinlight.figures.skeleton import Skeleton
from kinlight.figures.tables import rule
from kinlight.geometry.vectors import Array, frozen

NEWBORN, YOUNG, OLD = -1.0, 2 / 3, 1.0
"""Maturity of a newborn, of a young adult and of old age, as `Shapes` counts it [-]."""
_GROWN_YEARS = 20.0
_STEPS = 21
_DENSITY_KG_M3 = 1010.0
"""Of a whole body, about that of water (from memory)."""
_GIRTHS = 0.7, 1.4
_LEGS = re.compile(r"(upper|lower)leg0\d")
_TRUNK = re.compile(r"root|pelvis|spine0\d|clavicle|shoulder01")
_HEAD = re.compile(r"head|eye")
_GIRTH = re.compile(r"root|pelvis|spine0\d|(upper|lower)leg0\d")
_SHOULDERS = re.compile(r"clavicle|shoulder01")


@dataclass(frozen=True, eq=False)
class Rest:
    """A figure before it is posed: a mesh, its skeleton and the body it was made for.

    It stands with its arms held off, faces -y, has its left at +x and its soles at z = 0;
    `vertices_m` has shape (n, 3).
    """

    shapes: Shapes
    vertices_m: Array
    skeleton: Skeleton
    body: Body

    def landmark_m(self, name: str) -> Array:
        """Return where a landmark is, shape (3,)."""
        return np.asarray(self.vertices_m[self.shapes.landmarks[name]])


def rest_of(body: Body, *, age_years: float, sex: Sex | None, light: bool) -> Rest:
    """Return the figure of a body at rest.

    Parameters
    ----------
    body : what the person measures.
    age_years, sex : from which the shape is taken; None is half-way between the sexes.
    light : of the light mesh, to reckon with, or of the full one, to draw.

    Notes
    -----
    Of growing people the shape is the one whose head is as large a share of the stature as theirs;
    of adults that of a young one, which turns toward an old one from 45 to 90 years (from memory).
    Weight gives the build; beyond the slight and the heavy shape trunk and legs are made thinner or
    thicker, to half or twice their section at most. Head (breadth, length, height), trunk, legs and
    shoulders are then stretched to the measures, each bone for itself, its surface with it as
    skinning binds it.
    """
    of = shapes(light)
    womanly = {"male": 0.0, "female": 1.0, None: 0.5}[sex]
    maturity = _maturity(of, body, age_years, womanly)
    builds = [_stretched(of, body, womanly, maturity, w) for w in (0.0, 0.5, 1.0)]
    masses_kg = [_DENSITY_KG_M3 * _volume_m3(of, vertices) for vertices, _ in builds]
    weight = float(np.interp(body.mass_kg, masses_kg, (0.0, 0.5, 1.0)))
    vertices, joints = _stretched(of, body, womanly, maturity, weight)
    if not masses_kg[0] <= body.mass_kg <= masses_kg[-1]:
        thin_kg, thick_kg = (
            _DENSITY_KG_M3
            * _volume_m3(of, _stretched(of, body, womanly, maturity, weight, girth)[0])
            for girth in _GIRTHS
        )
        # Volume follows the square of the girth.
        area = np.interp(body.mass_kg, (thin_kg, thick_kg), np.square(_GIRTHS))
        vertices, joints = _stretched(of, body, womanly, maturity, weight, float(np.sqrt(area)))
    return Rest(of, frozen(vertices), Skeleton(of.bones, of.parents, frozen(joints)), body)


def _maturity(of: Shapes, body: Body, age_years: float, womanly: float) -> float:
    """Return the maturity of the shape to begin with."""
    if age_years >= _GROWN_YEARS:
        since = age_years - rule("loss_from_years")
        aged = since / (rule("loss_until_years") - rule("loss_from_years"))
        return YOUNG + (OLD - YOUNG) * float(np.clip(aged, 0.0, 1.0))
    steps, shares = _head_shares(of is shapes(True), womanly)
    return float(np.interp(-body.head_height_m / body.stature_m, -shares, steps))


@cache
def _head_shares(light: bool, womanly: float) -> tuple[Array, Array]:
    """Return maturities of growing shapes, and what share of the stature their heads are."""
    of, steps = shapes(light), np.linspace(NEWBORN, YOUNG, _STEPS)
    shares = []
    for maturity in steps.tolist():
        vertices, _ = of.rest(sex=womanly, maturity=maturity, weight=0.5)
        crown, menton = (vertices[of.landmarks[name], 2] for name in ("crown", "menton"))
        shares.append(float((crown - menton) / crown))
    return steps, np.minimum.accumulate(shares)


def _stretched(
    of: Shapes, body: Body, womanly: float, maturity: float, weight: float, girth: float = 1.0
) -> tuple[Array, Array]:
    """Return vertices and joints of a shape with the measures of a body [m]."""
    vertices, joints = of.rest(sex=womanly, maturity=maturity, weight=weight)
    stretch = _Stretch(of, vertices, joints)
    crown = of.landmarks["crown"]
    stretch.by[:] = body.stature_m / vertices[crown, 2]
    breadth_m, length_m, height_m = _head_measures(of, vertices)
    wanted = (body.head_breadth_m, rule("head_length") * body.head_breadth_m, body.head_height_m)
    stretch.by[_numbers(of, _GIRTH), :2] *= girth
    head = [w / m for w, m in zip(wanted, (breadth_m, length_m, height_m), strict=True)]
    stretch.by[_numbers(of, _HEAD)] = head
    _fit_shoulders(of, stretch, rule("acromion_share") * body.shoulder_breadth_m)
    _fit_heights(of, stretch, body.stature_m - body.sitting_height_m, body.stature_m)
    vertices, joints = stretch.applied()
    return _with_eyes_apart(of, vertices, joints, body.pupil_distance_m)


def _with_eyes_apart(
    of: Shapes, vertices: Array, joints: Array, apart_m: float
) -> tuple[Array, Array]:
    """Return the figure with its pupils so far apart, the face around them drawn along smoothly."""
    pupil = vertices[of.landmarks["pupil left"]]
    aside_m, wide_m = apart_m / 2 - pupil[0], _AROUND_EYES * apart_m
    mirrored = np.abs(vertices[:, 0])
    away2 = (mirrored - pupil[0]) ** 2 + ((vertices[:, 1:] - pupil[1:]) ** 2).sum(axis=1)
    by = aside_m * np.exp(-away2 / (2 * wide_m**2)) * np.sign(vertices[:, 0])
    vertices[:, 0] += by * of.skinning[:, _numbers(of, _HEAD)].sum(axis=1)
    joints[of.bones.index("eye.L"), 0] += aside_m
    joints[of.bones.index("eye.R"), 0] -= aside_m
    return vertices, joints


class _Stretch:
    """A mesh whose bones are stretched along x, y and z by factors `by`, shape (b, 3)."""

    def __init__(self, of: Shapes, vertices: Array, joints: Array) -> None:
        self.of, self.vertices, self.joints = of, vertices, joints
        self.by = np.ones((len(joints), 3))
        soles = np.argsort(vertices[:, 2], kind="stable")[:_SOLE_VERTICES].tolist()
        self.marks = {"soles": soles, **{name: [at] for name, at in of.landmarks.items()}}

    def moved_joints(self) -> Array:
        """Return where the joints come to be, the first left where it is."""
        moved = self.joints.copy()
        for k, parent in enumerate(self.of.parents.tolist()):
            if parent >= 0:
                moved[k] = moved[parent] + self.by[parent] * (self.joints[k] - self.joints[parent])
        return moved

    def at(self, name: str) -> Array:
        """Return where a landmark comes to be over the soles, shape (3,)."""
        moved = self.moved_joints()
        place: Array = self._vertices(moved, self.marks[name])[0]
        place[2] -= self._vertices(moved, self.marks["soles"])[:, 2].min()
        return place

    def applied(self) -> tuple[Array, Array]:
        """Return all vertices and joints, the soles at z = 0."""
        joints = self.moved_joints()
        vertices = self._vertices(joints, slice(None))
        down = np.array([0.0, 0.0, vertices[:, 2].min()])
        return vertices - down, joints - down

    def _vertices(self, moved: Array, which: slice | list[int]) -> Array:
        bound = self.of.skinning[which].astype(np.float64)
        shift = moved - self.by * self.joints
        found: Array = self.vertices[which] * (bound @ self.by) + bound @ shift
        return found


def _numbers(of: Shapes, pattern: re.Pattern[str]) -> list[int]:
    return [k for k, bone in enumerate(of.bones) if pattern.match(bone)]


def _head_measures(of: Shapes, vertices: Array) -> tuple[float, float, float]:
    """Return breadth over the ears, length from the glabella back and height to the chin [m]."""
    glabella, crown = vertices[of.landmarks["glabella"]], vertices[of.landmarks["crown"]]
    bound = of.skinning[:, of.bones.index("head")] > _ALL_HEAD
    skull = vertices[bound & (vertices[:, 2] > glabella[2])]  # above the ears
    return (
        float(2 * np.abs(skull[:, 0]).max()),
        float(skull[:, 1].max() - glabella[1]),
        float(crown[2] - vertices[of.landmarks["menton"], 2]),
    )


_ALL_HEAD = 0.95
_SOLE_VERTICES = 12
_AROUND_EYES = 0.35  # of the distance of the pupils, how far around them the face is drawn along


def _fit_shoulders(of: Shapes, stretch: _Stretch, acromia_m: float) -> None:
    """Stretch the shoulder girdle sideways until the acromia are so far apart."""
    bones = _numbers(of, _SHOULDERS)
    at = [stretch.at("acromion left")[0]]
    usual = stretch.by[bones[0], 0]
    stretch.by[bones, 0] = 1.1 * usual
    at.append(stretch.at("acromion left")[0])
    stretch.by[bones, 0] = usual * (1 + 0.1 * (acromia_m / 2 - at[0]) / (at[1] - at[0]))


def _fit_heights(of: Shapes, stretch: _Stretch, seat_m: float, crown_m: float) -> None:
    """Stretch legs and trunk upright until seat and crown are so high."""
    bones = [_numbers(of, _LEGS), _numbers(of, _TRUNK)]
    usual = stretch.by[bones[0][0], 2]
    base = _seat_and_crown(stretch)
    slopes = []
    for one in bones:
        stretch.by[one, 2] = 1.1 * usual
        slopes.append((_seat_and_crown(stretch) - base) / 0.1)
        stretch.by[one, 2] = usual
    more = np.linalg.solve(np.array(slopes).T, np.array([seat_m, crown_m]) - base)
    for one, by in zip(bones, more, strict=True):
        stretch.by[one, 2] = usual * (1 + by)


def _seat_and_crown(stretch: _Stretch) -> Array:
    return np.array([stretch.at("seat left")[2], stretch.at("crown")[2]])


def _volume_m3(of: Shapes, vertices: Array) -> float:
    """Return the volume within the faces but the eyes', which lie in their sockets [m3]."""
    a, b, c = np.moveaxis(vertices[of.faces], 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)
