"""Standing and kneeling upright, the trunk leaning forward or not."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from kinlight.errors import Fault, RangeError
from kinlight.figures.draft import LEGS, SIDES, Draft
from kinlight.figures.rest import Rest
from kinlight.figures.skeleton import Limb, Reach
from kinlight.figures.turns import about_x, about_z
from kinlight.geometry.vectors import Array

_TOES_OUT_DEG = 14.0
_WEIGHT_AHEAD = 0.25
"""How far before the ankles someone's weight is, as a share of ankle to toe (from memory)."""
_STRETCHED = 0.998
_BACK = 0.20
"""How far the hips go back as the trunk leans, of stature and the sine of the lean (from memory).
"""
_WIDEST = 1.2
"""Feet apart as a share of the leg's length, beyond which nobody poses (common practice)."""
_MOST_LEAN_DEG = 60.0
_INSTEP_DEG = 142.0
"""How far a foot is turned over to lie on its instep behind someone who kneels (from memory)."""


_ROUNDS, _ROUNDS_LOW = 2, 4


def standing(
    rest: Rest, *, base_m: float = 0.0, feet_apart_m: float | None = None, lean_deg: float = 0.0
) -> Draft:
    """Return someone on their feet, their weight over the origin.

    Parameters
    ----------
    base_m : height of what they stand on.
    feet_apart_m : between the ankles; None puts them under the hips. The wider, the lower the head.
    lean_deg : of the trunk, forward from the hips, which go back for balance.
    """
    _require_lean(lean_deg)
    joint, ankle = _middle(rest, "upperleg01"), rest.skeleton.joint_m("foot.L")
    hip_x = float(rest.skeleton.joint_m("upperleg01.L")[0])
    x = hip_x if feet_apart_m is None else feet_apart_m / 2
    long_m = _STRETCHED * Draft(rest).length_m("leg.L")
    _require_apart(2 * x, _WIDEST * long_m)
    ahead_m = _WEIGHT_AHEAD * float(ankle[1] - rest.landmark_m("toe left")[1])
    back_m = float(joint[1] - ankle[1]) + _leaning_back_m(rest, lean_deg)
    straight_m = math.sqrt(long_m**2 - (x - hip_x) ** 2 - back_m**2)
    hips = [0.0, ahead_m + back_m, min(float(joint[2]), float(ankle[2]) + straight_m)]
    legs: dict[Limb, Reach] = {
        LEGS[side]: Reach(np.array([s * x, ahead_m, ankle[2]]), np.array([0.15 * s, -1.0, 0.0]))
        for side, s in SIDES.items()
    }
    draft = Draft(rest).hips(np.array(hips), about_x(lean_deg)).reaching(legs)
    draft = draft.held({f"foot.{side}": about_z(s * _TOES_OUT_DEG) for side, s in SIDES.items()})
    soles_m = min(draft.lowest_m("foot.L"), draft.lowest_m("foot.R"))
    return draft.moved(np.array([0.0, 0.0, base_m - soles_m]))


def kneeling(rest: Rest, *, base_m: float = 0.0, lean_deg: float = 0.0) -> Draft:
    """Return someone upright on both knees, insteps on the floor, hips over the origin."""
    _require_lean(lean_deg)
    back_m = _leaning_back_m(rest, lean_deg) / 2
    return on_knees(rest, base_m=base_m, thigh_back_m=back_m, turn=about_x(lean_deg))


def on_knees(
    rest: Rest,
    *,
    base_m: float,
    turn: Array,
    thigh_back_m: float = 0.0,
    over: Callable[[Draft], float] | None = None,
) -> Draft:
    """Return someone whose knees and insteps rest on a surface.

    Parameters
    ----------
    base_m : its height.
    turn : of the hips.
    thigh_back_m : how far the hips are behind the knees, the thighs being upright otherwise.
    over : says how much too low the hips of a draft are, for hips that rest on something.
    """
    tall_m = rest.body.stature_m
    knees_m, ankles_m = dict.fromkeys(SIDES, 0.04 * tall_m), dict.fromkeys(SIDES, 0.05 * tall_m)
    hips_m = None if over is None else 0.16 * tall_m
    for _ in range(_ROUNDS if over is None else _ROUNDS_LOW):
        draft = _on_knees(rest, thigh_back_m, turn, knees_m, ankles_m, hips_m)
        for side in SIDES:
            knees_m[side] -= draft.lowest_m(f"knee.{side}")
            ankles_m[side] -= draft.lowest_m(f"foot.{side}")
        if over is not None and hips_m is not None:
            hips_m += over(draft)
    draft = _on_knees(rest, thigh_back_m, turn, knees_m, ankles_m, hips_m)
    return draft.moved(np.array([0.0, 0.0, base_m]))


def _on_knees(
    rest: Rest,
    back_m: float,
    turn: Array,
    knees_m: dict[str, float],
    ankles_m: dict[str, float],
    hips_m: float | None,
) -> Draft:
    """Return someone on knees and ankles of given heights, side by side."""
    of = rest.skeleton
    thigh_m = of.length_m("upperleg01.L", "lowerleg01.L")
    shank_m = of.length_m("lowerleg01.L", "foot.L")
    hip_x = float(of.joint_m("upperleg01.L")[0])
    level_m = sum(knees_m.values()) / 2
    rise_m = math.sqrt(thigh_m**2 - back_m**2)
    height_m = rise_m + level_m if hips_m is None else hips_m
    legs: dict[Limb, Reach] = {}
    for side, s in SIDES.items():
        ahead_m = math.sqrt(max(thigh_m**2 - (height_m - knees_m[side]) ** 2, 0.0))
        knee = np.array([s * hip_x, -ahead_m, knees_m[side]])
        down_m = knees_m[side] - ankles_m[side]
        ankle = knee + np.array([0.0, math.sqrt(shank_m**2 - down_m**2), -down_m])
        legs[LEGS[side]] = Reach(ankle, knee - np.array([0.0, 0.0, height_m]))
    draft = Draft(rest).hips(np.array([0.0, 0.0, height_m]), turn).reaching(legs)
    return draft.held({f"foot.{side}": about_x(_INSTEP_DEG) for side in SIDES})


def _middle(rest: Rest, joint: str) -> Array:
    """Return the middle between a joint and the one on the other side, at rest."""
    left, right = (rest.skeleton.joint_m(f"{joint}.{side}") for side in SIDES)
    return np.asarray((left + right) / 2)


def _leaning_back_m(rest: Rest, lean_deg: float) -> float:
    return _BACK * rest.body.stature_m * math.sin(math.radians(lean_deg))


def _require_lean(lean_deg: float) -> None:
    """Raise RangeError for a lean nobody holds."""
    if not -10.0 <= lean_deg <= _MOST_LEAN_DEG:  # nan is refused too
        allowed = f"-10 to {_MOST_LEAN_DEG:g} degrees forward"
        raise RangeError(
            Fault("is no lean from the hips", allowed=allowed, given=f"{lean_deg:g} degrees")
        )


def _require_apart(apart_m: float, most_m: float) -> None:
    """Raise RangeError for feet that nobody puts so far apart."""
    if not 0.0 <= apart_m <= most_m:
        raise RangeError(
            Fault(
                "between the ankles is not how they can stand",
                allowed=f"0 to {most_m:.2f} m",
                given=f"{apart_m:g} m",
            )
        )
