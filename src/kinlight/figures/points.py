"""A posed draft as the few points that framing, focus and the stick figures know of a person."""

from __future__ import annotations

import numpy as np

from kinlight.figures.draft import SIDES, Draft
from kinlight.figures.tables import rule
from kinlight.geometry.people import FacePoints, Figure
from kinlight.geometry.vectors import Array, frozen, unit


def figure_of(person: str, draft: Draft, bald_m: Array) -> Figure:
    """Return a person as landmarks, from the draft and its surface without hair.

    Notes
    -----
    Shoulders and hips are half their breadths aside of the middle between the joints; elbows are on
    the outside of the arm; soles are under the ankles.
    """
    joint, body = draft.joint_m, draft.rest.body
    radius_m = rule("upper_arm_radius") * body.shoulder_breadth_m
    shoulders, out = _pair_apart(draft, "upperarm01", body.shoulder_breadth_m)
    hips, _ = _pair_apart(draft, "upperleg01", body.hip_breadth_m)
    elbows = [joint(f"lowerarm01.{side}") + s * radius_m * out for side, s in SIDES.items()]
    return Figure(
        person=person,
        face=_face(draft, bald_m),
        head_breadth_m=body.head_breadth_m,
        shoulders_m=shoulders,
        elbows_m=frozen(elbows),
        hips_m=hips,
        knees_m=frozen([joint(f"lowerleg01.{side}") for side in SIDES]),
        feet_m=frozen([_sole_m(draft, side) for side in SIDES]),
    )


def _face(draft: Draft, bald_m: Array) -> FacePoints:
    """Return the landmarks of the face; the chin is its lowest point."""
    marks = draft.rest.shapes.landmarks
    head = draft.posed.turn("head")

    def at(name: str) -> Array:
        return frozen(bald_m[marks[name]])

    return FacePoints(
        eye_left_m=at("pupil left"),
        eye_right_m=at("pupil right"),
        nose_m=at("nose"),
        chin_m=at("menton"),
        crown_m=at("crown"),
        cheek_left_m=at("cheek left"),
        cheek_right_m=at("cheek right"),
        facing=frozen(-head[:, 1]),
        up=frozen(head[:, 2]),
    )


def _sole_m(draft: Draft, side: str) -> Array:
    """Return the place of a sole under the ankle."""
    height_m = float(draft.rest.skeleton.joint_m(f"foot.{side}")[2])
    up = draft.posed.turn(f"foot.{side}")[:, 2]
    return np.asarray(draft.joint_m(f"foot.{side}") - height_m * up)


def _pair_apart(draft: Draft, joint: str, apart_m: float) -> tuple[Array, Array]:
    """Return points so far apart on the line through two joints, left first; and leftward."""
    left, right = (draft.joint_m(f"{joint}.{side}") for side in SIDES)
    out = unit(left - right)
    middle = (left + right) / 2
    return frozen([middle + apart_m / 2 * out, middle - apart_m / 2 * out]), out
