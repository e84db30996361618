"""Sitting on the floor or low on a box: cross-legged, legs aside, legs out, on the heels; lying."""

from __future__ import annotations

import numpy as np

from kinlight.figures.draft import LEGS, SIDES, Draft
from kinlight.figures.rest import Rest
from kinlight.figures.skeleton import Limb, Reach
from kinlight.figures.stances import on_knees
from kinlight.figures.turns import about_x, about_y, about_z
from kinlight.geometry.vectors import Array, unit

_ROUNDS = 4
_LYING_DEG = -90.0
_BABY_M = 0.85
"""Those who are shorter lie with their legs drawn up (from memory)."""
_GIVE = 0.012
"""How far the seat sinks into the heels it sits on, as a share of stature (from memory)."""


def cross_legged(rest: Rest, *, base_m: float = 0.0, front: str = "L") -> Draft:
    """Return someone on the floor, knees out, shins crossed, hips over the origin.

    `front` is the leg, "L" or "R", whose shin is in front.
    """
    of = rest.skeleton
    thigh_m = of.length_m("upperleg01.L", "lowerleg01.L")
    ahead = {side: 0.98 if side == front else 0.66 for side in SIDES}
    ankles = {
        side: np.array([-0.26 * s * thigh_m, -ahead[side] * thigh_m, 0.05 * rest.body.stature_m])
        for side, s in SIDES.items()
    }
    bends = {side: np.array([s, -0.5, 0.25]) for side, s in SIDES.items()}
    feet = {f"foot.{side}": about_y(-18.0 * s) @ about_x(35.0) for side, s in SIDES.items()}
    start = Draft(rest).spine(pitch_deg=14.0).turned(feet)
    return _sat(start, about_x(-10.0), ankles, bends, base_m)


def legs_aside(rest: Rest, *, base_m: float = 0.0, side: str = "L") -> Draft:
    """Return someone on the floor, knees bent, both feet toward one side, "L" or "R"."""
    of, s = rest.skeleton, SIDES[side]
    other = "R" if side == "L" else "L"
    thigh_m = of.length_m("upperleg01.L", "lowerleg01.L")
    shank_m = of.length_m("lowerleg01.L", "foot.L")
    hip_x = float(of.joint_m("upperleg01.L")[0])
    near = np.array([-s * hip_x, 0.0, 0.0]) + thigh_m * unit(np.array([-0.55 * s, -0.84, 0.0]))
    far = np.array([s * hip_x, 0.0, 0.0]) + thigh_m * unit(np.array([0.50 * s, -0.87, 0.0]))
    low = np.array([0.0, 0.0, 0.04 * rest.body.stature_m])
    ankles = {
        other: near + shank_m * unit(np.array([0.93 * s, -0.06, 0.0])) + low,
        side: far + shank_m * unit(np.array([0.55 * s, 0.83, 0.0])) + low,
    }
    bends = {other: np.array([-s, -1.0, 0.3]), side: np.array([0.2 * s, -1.0, 0.55])}
    feet = {f"foot.{other}": about_x(25.0), f"foot.{side}": about_x(40.0)}
    start = Draft(rest).spine(pitch_deg=12.0, roll_deg=9.0 * s).turned(feet)
    return _sat(start, about_y(-20.0 * s) @ about_x(-6.0), ankles, bends, base_m)


def legs_out(rest: Rest, *, base_m: float = 0.0) -> Draft:
    """Return a baby or small child on the floor, legs out and apart, knees a little bent."""
    of = rest.skeleton
    hip_x = float(of.joint_m("upperleg01.L")[0])
    reach_m = 0.86 * Draft(rest).length_m("leg.L")
    ankles = {
        side: np.array([s * hip_x, 0.0, 0.05 * rest.body.stature_m])
        + reach_m * unit(np.array([0.5 * s, -1.0, 0.0]))
        for side, s in SIDES.items()
    }
    bends = {side: np.array([0.9 * s, 0.0, 0.6]) for side, s in SIDES.items()}
    start = Draft(rest).spine(pitch_deg=12.0).turned({f"foot.{k}": about_x(12.0) for k in SIDES})
    return _sat(start, about_x(-6.0), ankles, bends, base_m)


def _sat(
    draft: Draft, turn: Array, ankles: dict[str, Array], bends: dict[str, Array], base_m: float
) -> Draft:
    """Return someone whose seat and both feet touch the floor."""
    height_m = 0.1 * draft.rest.body.stature_m
    ankles = {side: at.copy() for side, at in ankles.items()}
    for round_ in range(_ROUNDS + 1):
        legs: dict[Limb, Reach] = {LEGS[side]: Reach(ankles[side], bends[side]) for side in SIDES}
        sitting = draft.hips(np.array([0.0, 0.0, height_m]), turn).reaching(legs)
        if round_ < _ROUNDS:
            height_m -= sitting.lowest_m("seat")
            for side in SIDES:
                ankles[side][2] -= sitting.lowest_m(f"foot.{side}")
    return sitting.moved(np.array([0.0, 0.0, base_m]))


def on_heels(rest: Rest, *, base_m: float = 0.0) -> Draft:
    """Return someone on their knees, seat on the heels, hips over the origin."""
    draft = on_knees(rest, base_m=base_m, turn=about_x(4.0), over=_over_heels)
    return draft.spine(pitch_deg=2.0)


def _over_heels(draft: Draft) -> float:
    """Return how much too low the seat is that is to sink a little into the heels [m]."""
    top_m = max(float(draft.region(f"foot.{side}")[:, 2].max()) for side in SIDES)
    return top_m - draft.lowest_m("buttocks") - _GIVE * draft.rest.body.stature_m


def lying(rest: Rest, *, base_m: float = 0.0) -> Draft:
    """Return someone on their back, feet toward -y, hips over the origin."""
    turn = about_x(_LYING_DEG)
    draft = Draft(rest).hips(np.zeros(3), turn)
    draft = _legs_up(draft) if rest.body.stature_m < _BABY_M else _legs_along(draft)
    low_m = draft.lowest_m("whole")
    draft = draft.moved(np.array([0.0, 0.0, base_m - low_m]))
    return Draft(draft.rest, draft.pose, turn)


def _legs_up(draft: Draft) -> Draft:
    """Return a baby on its back: hips and knees bent and fallen apart."""
    turns = {}
    for side, s in SIDES.items():
        turns[f"upperleg01.{side}"] = about_y(-38.0 * s) @ about_x(-62.0) @ about_z(20.0 * s)
        turns[f"lowerleg01.{side}"] = about_x(75.0)
        turns[f"foot.{side}"] = about_x(8.0)
    return draft.turned(turns)


def _legs_along(draft: Draft) -> Draft:
    """Return someone on their back with stretched legs, toes fallen out."""
    turns = {}
    for side, s in SIDES.items():
        turns[f"upperleg01.{side}"] = about_z(12.0 * s) @ about_x(-3.0)
        turns[f"lowerleg01.{side}"] = about_x(5.0)
        turns[f"foot.{side}"] = about_x(25.0)
    return draft.turned(turns)
