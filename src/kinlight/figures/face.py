"""Where the points of a face are on a head of a given size."""

from __future__ import annotations

import numpy as np

from kinlight.figures.growth import Body
from kinlight.figures.tables import rule
from kinlight.geometry.people import FacePoints
from kinlight.geometry.vectors import UP, Array, crossed, frozen, turned, unit

TOWARD_CAMERA = frozen([0.0, -1.0, 0.0])


def face_points(
    body: Body, neck_m: Array, *, facing_deg: float, chin_up_deg: float = 0.0
) -> FacePoints:
    """Return the landmarks of a head on its neck.

    Parameters
    ----------
    body : the person's sizes.
    neck_m : the middle of the head at the height of the chin, shape (3,); the head turns and tips
        about it.
    facing_deg : 0 toward the camera (-y), positive toward the person's own left.
    chin_up_deg : the head tipped back; negative looks down.

    Notes
    -----
    Heights are those of `Body`; how far eyes, nose and chin stand out from the middle of the head
    is from memory (rules.toml). A cheek's point is where an ellipse over the cheekbones, half the
    face's breadth by its depth, faces 45 degrees outward, at the height of the nose tip.
    """
    level = turned(TOWARD_CAMERA, facing_deg)
    left = crossed(UP, level)
    tip = np.radians(chin_up_deg)
    facing = np.cos(tip) * level + np.sin(tip) * UP
    axes = np.stack([left, facing, crossed(facing, left)])

    def at(aside: float, ahead: float, above: float) -> Array:
        return frozen(neck_m + np.array([aside, ahead, above]) @ axes)

    length_m = rule("head_length") * body.head_breadth_m
    eye_z = body.head_height_m - body.crown_to_eye_m
    nose_z = (1 - rule("nose_drop")) * eye_z
    eye_x, eye_y = body.pupil_distance_m / 2, rule("eye_depth") * length_m
    cheek_x, cheek_y = _cheek(body.head_breadth_m, length_m)
    return FacePoints(
        eye_left_m=at(eye_x, eye_y, eye_z),
        eye_right_m=at(-eye_x, eye_y, eye_z),
        nose_m=at(0.0, rule("nose_depth") * length_m, nose_z),
        chin_m=at(0.0, rule("chin_depth") * length_m, 0.0),
        crown_m=at(0.0, 0.0, body.head_height_m),
        cheek_left_m=at(cheek_x, cheek_y, nose_z),
        cheek_right_m=at(-cheek_x, cheek_y, nose_z),
        facing=frozen(unit(facing)),
        up=frozen(unit(axes[2])),
    )


def _cheek(head_breadth_m: float, head_length_m: float) -> tuple[float, float]:
    """Return how far a cheek's point is to the side of and before the middle of the head [m]."""
    a = rule("face_breadth") * head_breadth_m / 2
    b = rule("face_depth") * head_length_m
    reach = np.hypot(a, b)
    return float(a * a / reach), float(b * b / reach)
