"""Where hands rest: beside the body, on thighs, in the lap, on the knees, on arm-rests, a floor."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from kinlight.errors import Fault, RangeError
from kinlight.figures.draft import ARMS, SIDES, Draft
from kinlight.figures.hands import curled, flat, hand_turn, placed_hand, with_hand
from kinlight.geometry.vectors import UP, Array, unit

_RELAXED_DEG = 14.0
_HANGING = 0.97
"""How far a hanging arm reaches, as a share of its length: the elbow is a little bent."""
_CLEAR = 0.03
"""Gap between a wrist and the hip beside it, as a share of stature, for half the wrist."""

_OVER = 0.008
"""How far the middle of a palm is over what the hand lies on, as a share of stature."""

_NEAR_ENOUGH = 0.005
"""How far from the floor a hand may stay that still leans on it, as a share of stature."""
_UPRIGHT = 0.94


def hanging(draft: Draft) -> Draft:
    """Return the draft with its arms down beside the body, palms inward."""
    draft = curled(draft, _RELAXED_DEG)
    body = np.concatenate([draft.region("trunk"), draft.region("thigh.L"), draft.region("thigh.R")])
    for side, s in SIDES.items():
        shoulder = draft.joint_m(f"upperarm01.{side}")
        reach_m = _HANGING * draft.length_m(ARMS[side])
        below_m = shoulder[2] - body[:, 2]
        level = body[(below_m > 0.85 * reach_m) & (below_m < 1.25 * reach_m)]
        hip_m = float((s * level[:, 0]).max()) if len(level) else 0.0
        aside_m = max(hip_m + _CLEAR * draft.rest.body.stature_m - s * float(shoulder[0]), 0.0)
        aside_m = min(max(aside_m, 0.06 * reach_m), 0.5 * reach_m)
        ahead_m = 0.12 * reach_m
        down_m = float(np.sqrt(reach_m**2 - aside_m**2 - ahead_m**2))
        wrist = shoulder + np.array([s * aside_m, -ahead_m, -down_m])
        turn = hand_turn(draft.rest, side, np.array([0.0, -0.15, -1.0]), np.array([-s, 0.25, 0.0]))
        draft = with_hand(
            draft, side, wrist_m=wrist, turn=turn, elbow=np.array([0.35 * s, 1.0, 0.0])
        )
    return draft


def on_thighs(draft: Draft) -> Draft:
    """Return the draft with each palm on its own thigh."""
    return _on_legs(draft, share=0.62, inward=0.25)


def on_knees(draft: Draft) -> Draft:
    """Return the draft with each palm on its own leg, just above the knee."""
    return _on_legs(draft, share=0.82, inward=0.1)


def _on_legs(draft: Draft, *, share: float, inward: float) -> Draft:
    draft = flat(draft)
    for side, s in SIDES.items():
        at, normal, along = top_of_thigh(draft, side, share)
        draft = placed_hand(
            draft,
            side,
            palm_m=at + _OVER * draft.rest.body.stature_m * normal,
            fingers=along - 0.07 * normal - inward * s * np.array([1.0, 0.0, 0.0]),
            facing=-normal,
            elbow=np.array([0.7 * s, 0.8, -0.3]),
        )
    return draft


def top_of_thigh(draft: Draft, side: str, share: float) -> tuple[Array, Array, Array]:
    """Return a place on top of a thigh (in front of an upright one), its normal, and kneeward.

    `share` is how far along the place is, from hip joint to knee [-].
    """
    hip, knee = draft.joint_m(f"upperleg01.{side}"), draft.joint_m(f"lowerleg01.{side}")
    along = unit(knee - hip)
    wish = UP if abs(along[2]) < _UPRIGHT else -draft.level[:, 1]
    normal = unit(wish - (wish @ along) * along)
    surface = draft.region(f"thigh.{side}") - hip
    length_m = float(np.linalg.norm(knee - hip))
    middle = share * (knee - hip)
    near = np.abs(surface @ along - share * length_m) < 0.12 * length_m
    height_m = float((surface[near] @ normal).max())
    return hip + middle + height_m * normal, normal, along


def in_lap(draft: Draft, upper: str = "L") -> Draft:
    """Return the draft with the hands folded, one over the other, between the thighs."""
    draft = curled(draft, _RELAXED_DEG)
    tall_m = draft.rest.body.stature_m
    tops = [top_of_thigh(draft, side, 0.56) for side in SIDES]
    middle = (tops[0][0] + tops[1][0]) / 2
    along = unit(tops[0][2] + tops[1][2])
    for side, s in SIDES.items():
        above_m = 0.012 * tall_m + (0.026 * tall_m if side == upper else 0.0)
        draft = placed_hand(
            draft,
            side,
            palm_m=middle + np.array([0.02 * s * tall_m, 0.0, above_m]),
            fingers=0.6 * along + np.array([-s, 0.0, -0.1]),
            facing=-UP + 0.3 * along,
            elbow=np.array([s, 0.7, -0.3]),
        )
    return draft


def on_armrests(draft: Draft) -> Draft:
    """Return the draft with level forearms beside the body, palms down."""
    draft = curled(draft, _RELAXED_DEG)
    of, tall_m = draft.rest.skeleton, draft.rest.body.stature_m
    for side, s in SIDES.items():
        shoulder = draft.joint_m(f"upperarm01.{side}")
        upper_m = of.length_m(f"upperarm01.{side}", f"lowerarm01.{side}")
        lower_m = of.length_m(f"lowerarm01.{side}", f"wrist.{side}")
        wrist = shoulder + np.array([s * 0.065 * tall_m, -0.95 * lower_m, -0.93 * upper_m])
        turn = hand_turn(draft.rest, side, np.array([-0.1 * s, -1.0, -0.15]), -UP)
        draft = with_hand(
            draft, side, wrist_m=wrist, turn=turn, elbow=np.array([0.5 * s, 0.6, -1.0])
        )
    return draft


def before_body(draft: Draft) -> Draft:
    """Return the draft with its hands before the belly, as of a small child that is held."""
    draft = curled(draft, 2 * _RELAXED_DEG)
    chest, turn = draft.joint_m("spine02"), draft.pose.turn
    deep_m = float((chest - draft.region("trunk")).dot(turn @ np.array([0.0, 1.0, 0.0])).max())
    tall_m = draft.rest.body.stature_m
    for side, s in SIDES.items():
        at = chest + turn @ np.array([0.05 * s * tall_m, -deep_m - 0.02 * tall_m, -0.03 * tall_m])
        draft = placed_hand(
            draft,
            side,
            palm_m=at,
            fingers=turn @ np.array([-0.8 * s, -0.4, 0.2]),
            facing=turn @ np.array([-0.2 * s, 1.0, 0.0]),
            elbow=turn @ np.array([s, 0.3, -0.6]),
        )
    return draft


def one_on_floor(draft: Draft, side: str, floor_m: float) -> Draft:
    """Return the draft with one hand on the floor beside it if it reaches, else both on thighs."""
    draft = _on_legs(draft, share=0.78, inward=0.25)
    s, tall_m = SIDES[side], draft.rest.body.stature_m
    shoulder = draft.joint_m(f"upperarm01.{side}")
    at = np.array([shoulder[0] + 0.08 * s * tall_m, shoulder[1] + 0.05 * tall_m, floor_m])
    leaning = draft
    for _ in range(3):
        leaning = placed_hand(
            draft,
            side,
            palm_m=at,
            fingers=np.array([0.8 * s, -0.3, 0.0]),
            facing=-UP,
            elbow=np.array([0.3 * s, 1.0, 0.2]),
        )
        at[2] += floor_m - leaning.lowest_m(f"hand.{side}")
    reached = leaning.posed.missed_m[ARMS[side]] < _NEAR_ENOUGH * tall_m
    return leaning if reached else draft


def lying_down(draft: Draft) -> Draft:
    """Return the draft, on its back, with its arms beside it."""
    draft = curled(draft, _RELAXED_DEG)
    turn = draft.pose.turn
    for side, s in SIDES.items():
        shoulder = draft.joint_m(f"upperarm01.{side}")
        reach_m = 0.94 * draft.length_m(ARMS[side])
        wrist = shoulder + reach_m * (turn @ unit(np.array([0.55 * s, -0.10, -1.0])))
        hand = turn @ hand_turn(
            draft.rest, side, np.array([0.1 * s, -0.1, -1.0]), np.array([-0.8 * s, 0.6, 0.0])
        )
        draft = with_hand(
            draft, side, wrist_m=wrist, turn=hand, elbow=turn @ np.array([s, 0.3, 0.0])
        )
    return draft


HANDS: Mapping[str, Callable[[Draft], Draft]] = {
    "hanging": hanging,
    "thighs": on_thighs,
    "knees": on_knees,
    "lap": in_lap,
    "arm-rests": on_armrests,
    "before": before_body,
    "lying": lying_down,
}
"""Where both hands rest."""


def resting(draft: Draft, hands: str, side: str = "L") -> Draft:
    """Return the draft with its hands where they are said to rest, one of `HANDS`.

    `side` is the upper hand of folded ones, "L" or "R".
    """
    if hands not in HANDS:
        allowed = ", ".join(HANDS)
        raise RangeError(Fault("is no place for hands", allowed=allowed, given=repr(hands)))
    if hands == "lap":
        return in_lap(draft, side)
    return HANDS[hands](draft)
