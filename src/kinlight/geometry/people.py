"""Landmarks of a person in the room: what framing, focus and light need to know of them."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from kinlight.geometry.vectors import Array, crossed


@dataclass(frozen=True)
class FacePoints:
    """Landmarks of one face [m], each of shape (3,); left and right are the person's own.

    `facing` is the unit vector out of the face (the nose line), `up` the head's own upright.
    """

    eye_left_m: Array
    eye_right_m: Array
    nose_m: Array
    chin_m: Array
    crown_m: Array
    cheek_left_m: Array
    cheek_right_m: Array
    facing: Array
    up: Array

    def eyes_m(self) -> Array:
        """Return both eyes, shape (2, 3)."""
        return np.stack([self.eye_left_m, self.eye_right_m])

    def moved(self, by_m: Array) -> FacePoints:
        """Return the face shifted by a vector."""
        points = [f.name for f in fields(self) if f.name.endswith("_m")]
        return replace(self, **{name: getattr(self, name) + by_m for name in points})

    def cheek_normal(self, side: str) -> Array:
        """Return the unit normal of a cheek, 45 degrees between nose line and ear line."""
        toward_left = crossed(self.up, self.facing)
        sign = 1.0 if side == "left" else -1.0
        normal: Array = (self.facing + sign * toward_left) / np.sqrt(2)
        return normal


@dataclass(frozen=True)
class Figure:
    """One person in their place: a face, and the body as pairs of points (left, right).

    Pairs have shape (2, 3) [m]. `head_breadth_m` is measured without hair.
    """

    person: str
    face: FacePoints
    head_breadth_m: float
    shoulders_m: Array
    elbows_m: Array
    hips_m: Array
    knees_m: Array
    feet_m: Array

    def moved(self, by_m: Array) -> Figure:
        """Return the figure shifted by a vector."""
        pairs = ("shoulders_m", "elbows_m", "hips_m", "knees_m", "feet_m")
        shifted = {name: getattr(self, name) + by_m for name in pairs}
        return replace(self, face=self.face.moved(by_m), **shifted)

    def head_points_m(self) -> Array:
        """Return crown, chin and the two sides of the head, shape (4, 3)."""
        face = self.face
        centre = (face.crown_m + face.chin_m) / 2
        aside = crossed(face.up, face.facing) * (self.head_breadth_m / 2)
        return np.stack([face.crown_m, face.chin_m, centre + aside, centre - aside])
