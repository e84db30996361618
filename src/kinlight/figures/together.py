"""People who touch: a hand on a shoulder, hand in hand."""

from __future__ import annotations

import numpy as np

from kinlight.figures.draft import ARMS, Draft
from kinlight.figures.hands import WORDS, curled, placed_hand
from kinlight.figures.normals import crosses
from kinlight.geometry.vectors import UP, Array, unit

_REACH = 0.96
"""How much of an arm's length people use to hold hands."""


def hand_on_shoulder(draft: Draft, side: str, other: Draft, on: str) -> Draft:
    """Return someone with a hand on another's shoulder; both stand in the room.

    `side` is the hand's and `on` the other one's shoulder, "L" or "R". Who is too far off reaches
    toward it.
    """
    shoulder, normal = _mark(other, f"acromion {WORDS[on]}")
    ahead = -other.level[:, 1]
    facing = -unit(normal + UP)
    out = _out(draft, side)
    return placed_hand(
        curled(draft, 18.0),
        side,
        palm_m=shoulder - 0.004 * facing,
        fingers=unit(ahead + 0.5 * (shoulder - draft.joint_m(f"upperarm01.{side}"))),
        facing=facing,
        elbow=out - 0.6 * UP,
    )


def hand_in_hand(one: Draft, side: str, other: Draft, other_side: str) -> tuple[Draft, Draft]:
    """Return two people hand in hand: palms meet as low as both arms reach."""
    shoulders = [one.joint_m(f"upperarm01.{side}"), other.joint_m(f"upperarm01.{other_side}")]
    arms_m = [one.length_m(ARMS[side]), other.length_m(ARMS[other_side])]
    share = arms_m[0] / (arms_m[0] + arms_m[1])
    middle = (1 - share) * shoulders[0] + share * shoulders[1]
    lows = []
    for shoulder, arm_m in zip(shoulders, arms_m, strict=True):
        aside2 = float(((middle - shoulder)[:2] ** 2).sum())
        lows.append(float(shoulder[2]) - np.sqrt(max((_REACH * arm_m) ** 2 - aside2, 0.0)))
    meet = np.array([middle[0], middle[1], max(lows)])
    across = unit((shoulders[1] - shoulders[0]) * [1.0, 1.0, 0.0])
    hands = []
    for draft, k, shoulder, toward in (
        (one, side, shoulders[0], across),
        (other, other_side, shoulders[1], -across),
    ):
        hands.append(
            placed_hand(
                curled(draft, 25.0),
                k,
                palm_m=meet - 0.004 * toward,
                fingers=unit(meet - shoulder) + 0.3 * -draft.level[:, 1],
                facing=toward,
                elbow=_out(draft, k) * 0.3 + draft.level[:, 1],
            )
        )
    return hands[0], hands[1]


def _out(draft: Draft, side: str) -> Array:
    """Return the direction out of someone's left or right side."""
    return np.asarray(draft.level[:, 0] if side == "L" else -draft.level[:, 0])


def _mark(draft: Draft, name: str) -> tuple[Array, Array]:
    """Return a landmark's place and its normal."""
    of = draft.rest.shapes
    at = draft.vertices(np.array([of.landmarks[name], *of.neighbours[name]]))
    normal = crosses(at[1:2] - at[2:3], at[3:4] - at[4:5])[0]
    return at[0], unit(normal)
