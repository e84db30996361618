"""Sitting on a stool, a chair, a wheelchair and a lap."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from kinlight.figures.draft import LEGS, SIDES, Draft
from kinlight.figures.rest import Rest
from kinlight.figures.skeleton import Limb, Reach
from kinlight.figures.turns import about_x, about_z
from kinlight.geometry.vectors import Array

_ROUNDS = 2
_BACK_DEG, _FORWARD_DEG = 6.0, 7.0
"""How far relaxed people tip the pelvis back, and bend the spine forward again (from memory)."""
_CHAIR_DEG = 5.0
"""How much further a chair's back lets them tip (from memory)."""
_GIVE = 0.005
"""How far flesh gives under someone who sits, as a share of stature (from memory)."""
_TOES_OUT_DEG = 8.0
_HANGING_TOES_DEG = 18.0
_STEEPEST = math.sin(math.radians(12.0))
"""How steeply thighs may slope down to knees over feet that still reach the floor [-]."""
_FOOTPLATE_DEG = 20.0
"""How far the shanks slope forward to the footplates of a wheelchair (from memory)."""
_FOOTPLATE_M = 0.05
"""The least height of a footplate over the floor (from memory)."""


def stool(rest: Rest, *, seat_m: float, knees_apart: float = 0.3) -> Draft:
    """Return someone on a seat, hips over the origin: feet on the floor, or hanging if short.

    Parameters
    ----------
    seat_m : height of the seat.
    knees_apart : how much wider than the hip joints the knees are, as a share [-].
    """
    return _seated(rest, seat_m, _feet_down(rest, knees_apart))


def chair(rest: Rest, *, seat_m: float, knees_apart: float = 0.2) -> Draft:
    """Return someone on a chair, tipped a little against its back."""
    return _seated(rest, seat_m, _feet_down(rest, knees_apart), back_deg=_CHAIR_DEG)


def wheelchair(rest: Rest, *, seat_m: float) -> Draft:
    """Return someone in a wheelchair, feet on its footplates, which are set to their legs."""
    return _seated(rest, seat_m, _feet_on_plates(rest), back_deg=_CHAIR_DEG)


def hanging(rest: Rest, *, seat_m: float, knees_apart: float = 0.1) -> Draft:
    """Return someone whose legs hang from a seat, as a child's from a lap."""
    return _seated(rest, seat_m, _legs_hang(rest, knees_apart))


_Legs = Callable[[Draft], Draft]


def _seated(rest: Rest, seat_m: float, legs: _Legs, *, back_deg: float = 0.0) -> Draft:
    """Return someone whose seat touches a height, whatever the legs do then."""
    turn = about_x(-_BACK_DEG - back_deg)
    draft = Draft(rest).spine(pitch_deg=_FORWARD_DEG + back_deg / 2)
    give_m = _GIVE * rest.body.stature_m
    height_m = seat_m + 0.05 * rest.body.stature_m
    for _ in range(_ROUNDS):
        sitting = legs(draft.hips(np.array([0.0, 0.0, height_m]), turn))
        height_m += seat_m - give_m - sitting.lowest_m("seat")
    return legs(draft.hips(np.array([0.0, 0.0, height_m]), turn))


def _feet_down(rest: Rest, knees_apart: float) -> _Legs:
    """Return what puts feet on the floor if they reach it."""
    hang, thigh_m = _legs_hang(rest, knees_apart), _thigh_m(rest)
    ankle_m = float(rest.skeleton.joint_m("foot.L")[2])
    most_m = _shank_m(rest) + _STEEPEST * thigh_m

    def legs(draft: Draft) -> Draft:
        if draft.pose.hips_m[2] - ankle_m > most_m:
            return hang(draft)
        ankle = np.array([_knee_x(rest, knees_apart), -0.97 * thigh_m, ankle_m])
        return _with_feet(draft, ankle, flat=True)

    return legs


def _legs_hang(rest: Rest, knees_apart: float) -> _Legs:
    """Return what lets the shanks hang from level thighs."""
    thigh_m, shank_m = _thigh_m(rest), _shank_m(rest)
    down = shank_m * np.array([0.0, 0.10, -math.sqrt(1 - 0.10**2)])

    def legs(draft: Draft) -> Draft:
        knee_m = float(draft.pose.hips_m[2]) - 0.03 * thigh_m
        ankle = np.array([_knee_x(rest, knees_apart), -0.995 * thigh_m, knee_m]) + down
        return _with_feet(draft, ankle, flat=False)

    return legs


def _feet_on_plates(rest: Rest) -> _Legs:
    """Return what puts feet on plates before the knees."""
    slope = math.radians(_FOOTPLATE_DEG)
    down = _shank_m(rest) * np.array([0.0, -math.sin(slope), -math.cos(slope)])
    least_m = float(rest.skeleton.joint_m("foot.L")[2]) + _FOOTPLATE_M

    def legs(draft: Draft) -> Draft:
        knee_m = float(draft.pose.hips_m[2])
        ankle = np.array([_knee_x(rest, 0.1), -0.99 * _thigh_m(rest), knee_m]) + down
        ankle[2] = max(ankle[2], least_m)
        return _with_feet(draft, ankle, flat=True)

    return legs


def _with_feet(draft: Draft, ankle: Array, *, flat: bool) -> Draft:
    """Return the draft with its left ankle at a place and the right one mirrored."""
    legs: dict[Limb, Reach] = {}
    for side, s in SIDES.items():
        at = ankle * [s, 1.0, 1.0]
        legs[LEGS[side]] = Reach(at, np.array([0.15 * s, -1.0, 0.6]))
    draft = draft.reaching(legs)
    if flat:
        turns = {f"foot.{side}": about_z(s * _TOES_OUT_DEG) for side, s in SIDES.items()}
        return draft.held(turns)
    return draft.turned({f"foot.{side}": about_x(_HANGING_TOES_DEG) for side in SIDES})


def _knee_x(rest: Rest, knees_apart: float) -> float:
    return (1 + knees_apart) * float(rest.skeleton.joint_m("upperleg01.L")[0])


def _thigh_m(rest: Rest) -> float:
    return rest.skeleton.length_m("upperleg01.L", "lowerleg01.L")


def _shank_m(rest: Rest) -> float:
    return rest.skeleton.length_m("lowerleg01.L", "foot.L")
