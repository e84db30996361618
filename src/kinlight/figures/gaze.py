"""Where someone looks: the head turned and tipped as far as it likes, the eyes the rest."""

from __future__ import annotations

import math

import numpy as np

from kinlight.figures.draft import SIDES, Draft
from kinlight.figures.turns import about_x, about_z
from kinlight.geometry.vectors import Array, unit

MOST_TURN_DEG, MOST_TIP_DEG = 60.0, 35.0
"""How far a head is turned aside, and tipped up or down, to look at something (from memory)."""
MOST_EYE_DEG = 30.0
"""How far eyes are turned in a head, either way (from memory)."""
_ROUNDS = 2


def looking_at(draft: Draft, target_m: Array, *, tilt_deg: float = 0.0) -> Draft:
    """Return someone who looks at a place in the room: head first, eyes for what is left."""
    for _ in range(_ROUNDS):
        turn_deg, up_deg = _toward_deg(draft.level, target_m - _between_eyes(draft))
        draft = draft.head(
            min(max(turn_deg, -MOST_TURN_DEG), MOST_TURN_DEG),
            min(max(up_deg, -MOST_TIP_DEG), MOST_TIP_DEG),
            tilt_deg,
        )
    turns = {}
    for side in SIDES:
        aim = target_m - draft.joint_m(f"eye.{side}")
        turn_deg, up_deg = _toward_deg(draft.posed.turn("head"), aim)
        beyond = max(abs(turn_deg), abs(up_deg)) / MOST_EYE_DEG
        share = 1 / max(beyond, 1.0)
        turns[f"eye.{side}"] = about_z(share * turn_deg) @ about_x(-share * up_deg)
    return draft.turned(turns)


def _between_eyes(draft: Draft) -> Array:
    return (draft.joint_m("eye.L") + draft.joint_m("eye.R")) / 2


def _toward_deg(frame: Array, aim: Array) -> tuple[float, float]:
    """Return how far left and how far up a direction is, seen in a frame that faces its -y."""
    x, y, z = (frame.T @ unit(np.asarray(aim))).tolist()
    return math.degrees(math.atan2(x, -y)), math.degrees(math.asin(min(max(z, -1.0), 1.0)))
