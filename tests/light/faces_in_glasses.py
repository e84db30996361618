"""A level face, a camera before it, and lights aimed at the face."""

from __future__ import annotations

import numpy as np

from kinlight.geometry.people import FacePoints
from kinlight.light.emitter import rectangle
from kinlight.light.spectacles import Glare

FACING, UP = np.array([0.0, -1, 0]), np.array([0.0, 0, 1])
CAMERA, FAR = np.array([0.0, -3, 1.2]), np.array([0.0, -1000, 1.2])
NONE = Glare(0.0, 0.0)


def face_with(apart=0.063):
    """Return a level face toward the camera with its eyes 1.2 m high."""
    at = {
        "eye_left_m": [apart / 2, -0.08, 1.2],
        "eye_right_m": [-apart / 2, -0.08, 1.2],
        "nose_m": [0, -0.1, 1.16],
        "chin_m": [0, -0.08, 1.09],
        "crown_m": [0, 0, 1.31],
        "cheek_left_m": [0.06, -0.05, 1.16],
        "cheek_right_m": [-0.06, -0.05, 1.16],
    }
    return FacePoints(**{k: np.array(v) for k, v in at.items()}, facing=FACING, up=UP)


FACE = face_with()


def aimed(centre, *, width=0.9, height=0.9):
    """Return a light aimed at the face."""
    at = np.array(centre, dtype=float)
    return rectangle(at, [0, -0.08, 1.2] - at, width_m=width, height_m=height)
