"""A person in a place and a posture, from the proportions of their body."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from kinlight.errors import Fault, RangeError
from kinlight.figures.face import TOWARD_CAMERA, face_points
from kinlight.figures.growth import Body
from kinlight.figures.legs import LEGS, Legs, hip_rise_m, pair
from kinlight.figures.tables import rule
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import UP, Array, crossed, frozen, turned, unit

Side = Literal["left", "right"]
_ON_A_SEAT = ("stool", "chair", "wheelchair")
_HELD = ("hip", "lap")
_HIGHEST_SEAT_M = 1.5
_ORIGIN = (0.0, 0.0)


def figure(
    person: str,
    body: Body,
    posture: str,
    place_m: tuple[float, float] = _ORIGIN,
    *,
    seat_height_m: float = 0.0,
    facing_deg: float = 0.0,
    head_turn_deg: float = 0.0,
    chin_up_deg: float = 0.0,
    holder: Figure | None = None,
    side: Side = "left",
) -> Figure:
    """Return a person posed in the room.

    Parameters
    ----------
    person : how the plan refers to them.
    body : their sizes.
    posture : "standing", "box", "stool", "chair", "wheelchair", "floor" (cross-legged),
        "kneeling" (upright), "on heels", "hip" or "lap" (of `holder`).
    place_m : x and y on the floor: between the feet of someone standing, else under the trunk;
        whoever is held is where the holder has them.
    seat_height_m : height over the floor of the seat, or of the box they stand, sit or kneel on.
    facing_deg : 0 toward the camera (-y), positive toward the person's own left, which for someone
        who faces the camera is the camera's right (+x).
    head_turn_deg, chin_up_deg : the head on the trunk, toward the own left, and tipped back.
    holder : who holds them; for a lap someone seated, for a hip someone standing.
    side : which hip or thigh, the holder's own.

    Raises
    ------
    RangeError
        For an unknown posture, a seat without a height, someone held by nobody, or a number out of
        range.

    Notes
    -----
    Everyone sits and stands upright, arms hanging, barefoot, as they were measured; relaxed people
    are a few centimetres lower, shoes raise those who stand (from memory). Shoulders and hips of
    the figure are the outermost points, at the height of the joints; elbows hang below the
    shoulders; feet are the soles. Proportions and their sources are in rules.toml.
    """
    _require_posture(posture, holder)
    _require_numbers(place_m, facing_deg, head_turn_deg, chin_up_deg)
    if posture in _HELD and holder is not None:
        place_m, seat_height_m = _held(body, posture, holder, side)
    else:
        _require_seat(posture, seat_height_m)
    return _assembled(
        person,
        body,
        LEGS[posture](body, seat_height_m),
        np.array([*place_m, 0.0]),
        facing_deg=facing_deg,
        head=(head_turn_deg, chin_up_deg),
    )


def _assembled(
    person: str,
    body: Body,
    legs: Legs,
    place_m: Array,
    *,
    facing_deg: float,
    head: tuple[float, float],
) -> Figure:
    """Return the figure over given legs; `head` is how far it is turned and tipped [deg]."""
    ahead = turned(TOWARD_CAMERA, facing_deg)
    axes = np.stack([crossed(UP, ahead), ahead, UP])
    chin_z = legs.seat_z_m + body.sitting_height_m - body.head_height_m
    trunk_m = body.sitting_height_m - body.head_height_m
    shoulder_z = chin_z - rule("shoulder_drop") * trunk_m
    elbow_z = shoulder_z - rule("upper_arm") * body.stature_m
    half_shoulders, half_hips = body.shoulder_breadth_m / 2, body.hip_breadth_m / 2
    face = face_points(
        body,
        place_m + chin_z * UP,
        facing_deg=facing_deg + head[0],
        chin_up_deg=head[1],
    )

    def in_room(points: Array) -> Array:
        return frozen(place_m + points @ axes)

    return Figure(
        person=person,
        face=face,
        head_breadth_m=body.head_breadth_m,
        shoulders_m=in_room(pair(half_shoulders, 0.0, shoulder_z)),
        elbows_m=in_room(pair(half_shoulders, 0.0, elbow_z)),
        hips_m=in_room(pair(half_hips, 0.0, legs.seat_z_m + hip_rise_m(body))),
        knees_m=in_room(legs.knees_m),
        feet_m=in_room(legs.feet_m),
    )


def _held(
    body: Body, posture: str, holder: Figure, side: Side
) -> tuple[tuple[float, float], float]:
    """Return where the seat of someone held is: x and y, and its height [m]."""
    own, other = (0, 1) if side == "left" else (1, 0)
    hip = holder.hips_m[own]
    if posture == "lap":
        knee = holder.knees_m[own]
        middle = (hip + knee) / 2
        above = rule("thigh_radius") * float(np.linalg.norm(knee - hip))
    else:
        out = unit(hip - holder.hips_m[other])
        middle = hip + rule("hip_seat_out") * body.hip_breadth_m * out
        above = rule("hip_seat_rise") * float(holder.shoulders_m[own, 2] - hip[2])
    return (float(middle[0]), float(middle[1])), float(middle[2]) + above


def _require_posture(posture: str, holder: Figure | None) -> None:
    """Raise RangeError for an unknown posture, or one that needs a holder and has none."""
    if posture not in LEGS:
        raise RangeError(Fault("is not a posture", allowed=", ".join(LEGS), given=repr(posture)))
    if posture in _HELD and holder is None:
        raise RangeError(Fault(f"nobody holds them on the {posture}", remedy="say who does"))


def _require_seat(posture: str, seat_height_m: float) -> None:
    """Raise RangeError unless the height fits the posture."""
    least = 0.05 if posture in _ON_A_SEAT else 0.0
    if not least <= seat_height_m <= _HIGHEST_SEAT_M:  # nan is refused too
        raise RangeError(
            Fault(
                f"is not a height for the {posture} posture",
                allowed=f"{least:g} to {_HIGHEST_SEAT_M:g} m over the floor",
                given=f"{seat_height_m:g} m",
            )
        )


def _require_numbers(place_m: tuple[float, float], *angles_deg: float) -> None:
    """Raise RangeError unless places and angles are numbers."""
    for value in (*place_m, *angles_deg):
        if not math.isfinite(value):
            raise RangeError(Fault("is not a place or an angle", given=f"{value:g}"))
