"""How high each posture carries the seat of a body, and where it puts knees and feet."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinlight.figures.growth import Body
from kinlight.figures.tables import rule
from kinlight.geometry.vectors import Array


@dataclass(frozen=True)
class Legs:
    """A posture from the seat down, in the person's own frame: left, ahead, up from the floor.

    `seat_z_m` is the height of the underside of the trunk; `knees_m` and `feet_m` (soles) have
    shape (2, 3), left first.
    """

    seat_z_m: float
    knees_m: Array
    feet_m: Array


def hip_rise_m(body: Body) -> float:
    """Return the height of the hip joints over the seat [m]."""
    return rule("hip_joint_rise") * body.sitting_height_m


def knee_height_m(body: Body) -> float:
    """Return sole to knee joint [m]."""
    return rule("knee_height") * body.leg_m


def thigh_m(body: Body) -> float:
    """Return hip joint to knee joint [m]."""
    return body.leg_m + hip_rise_m(body) - knee_height_m(body)


def pair(aside: float, ahead: float, above: float) -> Array:
    """Return a left and a right point, mirrored, shape (2, 3)."""
    return np.array([[aside, ahead, above], [-aside, ahead, above]])


def joint_aside_m(body: Body) -> float:
    """Return how far a hip joint is from the middle [m]: half-way to the side of the hip."""
    return body.hip_breadth_m / 4


def _rest(slope: float, drop: float) -> float:
    """Return the third side of a right triangle, zero if the drop is the longer one."""
    return math.sqrt(max(slope**2 - drop**2, 0.0))


def standing(body: Body, base_m: float) -> Legs:
    """On the feet, on a surface `base_m` over the floor."""
    x = joint_aside_m(body)
    return Legs(
        seat_z_m=base_m + body.leg_m,
        knees_m=pair(x, 0.0, base_m + knee_height_m(body)),
        feet_m=pair(x, 0.0, base_m),
    )


def seated(body: Body, base_m: float) -> Legs:
    """On a seat `base_m` high: shanks upright, feet on the floor or hanging if they are short."""
    x = joint_aside_m(body)
    hanging = max(base_m - body.popliteal_m, 0.0)
    knee_z = knee_height_m(body) + hanging
    ahead = _rest(thigh_m(body), base_m + hip_rise_m(body) - knee_z)
    return Legs(base_m, pair(x, ahead, knee_z), pair(x, ahead, hanging))


def cross_legged(body: Body, base_m: float) -> Legs:
    """On the floor, knees out, each foot before the other knee's shin."""
    knee_z = base_m + rule("cross_legged_knee_height") * body.stature_m
    out = _rest(thigh_m(body), base_m + hip_rise_m(body) - knee_z) * math.sqrt(0.5)
    x = joint_aside_m(body)
    return Legs(base_m, pair(x + out, out, knee_z), pair(-x, out, base_m))


def kneeling(body: Body, base_m: float) -> Legs:
    """Upright on both knees."""
    x = joint_aside_m(body)
    knee_z = base_m + rule("kneeling_knee_height") * body.stature_m
    return Legs(
        seat_z_m=knee_z + thigh_m(body) - hip_rise_m(body),
        knees_m=pair(x, 0.0, knee_z),
        feet_m=pair(x, -knee_height_m(body), base_m),
    )


def on_heels(body: Body, base_m: float) -> Legs:
    """On the knees, seat on the heels."""
    x = joint_aside_m(body)
    seat_z = base_m + rule("on_heels_seat") * body.stature_m
    knee_z = base_m + rule("kneeling_knee_height") * body.stature_m
    ahead = _rest(thigh_m(body), seat_z + hip_rise_m(body) - knee_z)
    return Legs(
        seat_z_m=seat_z,
        knees_m=pair(x, ahead, knee_z),
        feet_m=pair(x, ahead - knee_height_m(body), base_m),
    )


def astride(body: Body, base_m: float) -> Legs:
    """Held on a hip, seat `base_m` high: thighs out, ahead and down alike, shanks hanging."""
    x = joint_aside_m(body)
    reach = thigh_m(body) / math.sqrt(3)
    knee_z = base_m + hip_rise_m(body) - reach
    knees = pair(x + reach, reach, knee_z)
    return Legs(base_m, knees, knees - [0.0, 0.0, knee_height_m(body)])


LEGS: dict[str, Callable[[Body, float], Legs]] = {
    "standing": standing,
    "box": standing,
    "stool": seated,
    "chair": seated,
    "wheelchair": seated,
    "floor": cross_legged,
    "kneeling": kneeling,
    "on heels": on_heels,
    "hip": astride,
    "lap": seated,
}
