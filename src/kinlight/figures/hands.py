"""Hands: which way they point and face, how fingers curl, how hands come to lie on things."""

from __future__ import annotations

import re
from collections.abc import Mapping

import numpy as np

from kinlight.figures.draft import ARMS, SIDES, Draft
from kinlight.figures.rest import Rest
from kinlight.figures.skeleton import Reach
from kinlight.figures.turns import about, twist_deg
from kinlight.geometry.vectors import Array, crossed, unit

WORDS: Mapping[str, str] = {"L": "left", "R": "right"}
_FINGER = re.compile(r"finger[2-5]-[123]\.")
_FLAT_DEG, _THUMB_DEG = 3.0, 28.0
"""How far fingers of a hand that lies flat stay bent, and its thumb is turned out of the way."""
_TWIST_BY_FOREARM = 0.5
"""How much of a hand's twist the end of the forearm takes up (from memory)."""


def curled(draft: Draft, bend_deg: float) -> Draft:
    """Return the draft with every joint of its fingers bent toward the palm, thumbs left out."""
    turns = {}
    for name in draft.rest.skeleton.names:
        if _FINGER.match(name):
            _, _, across = _hand_axes(draft.rest, name[-1])
            turns[name] = about(across, bend_deg)
    return draft.turned(turns)


def flat(draft: Draft) -> Draft:
    """Return the draft with its fingers nearly straight and its thumbs beside the palms."""
    turns = {}
    for side, s in SIDES.items():
        along, _, _ = _hand_axes(draft.rest, side)
        turns[f"finger1-1.{side}"] = about(along, -_THUMB_DEG * s)
    return curled(draft, _FLAT_DEG).turned(turns)


def placed_hand(
    draft: Draft, side: str, *, palm_m: Array, fingers: Array, facing: Array, elbow: Array
) -> Draft:
    """Return the draft with a palm at a place.

    Parameters
    ----------
    side : "L" or "R".
    palm_m : where the middle of the palm is to be.
    fingers, facing : which way the fingers point and the palm faces.
    elbow : toward which side the elbow bends.
    """
    rest = draft.rest
    turn = hand_turn(rest, side, fingers, facing)
    from_wrist = rest.landmark_m(f"palm {WORDS[side]}") - rest.skeleton.joint_m(f"wrist.{side}")
    return with_hand(draft, side, wrist_m=palm_m - turn @ from_wrist, turn=turn, elbow=elbow)


def with_hand(draft: Draft, side: str, *, wrist_m: Array, turn: Array, elbow: Array) -> Draft:
    """Return the draft with a wrist at a place, the hand turned in the room.

    What the hand is twisted against the forearm, the end of the forearm takes up in part.
    """
    draft = draft.reaching({ARMS[side]: Reach(wrist_m, elbow)})
    of = draft.rest.skeleton
    along = of.joint_m(f"wrist.{side}") - of.joint_m(f"lowerarm01.{side}")
    forearm = draft.posed.turn(f"lowerarm01.{side}")
    twist = _TWIST_BY_FOREARM * twist_deg(forearm.T @ turn, along)
    draft = draft.turned({f"lowerarm02.{side}": about(along, twist)})
    return draft.held({f"wrist.{side}": turn})


def hand_turn(rest: Rest, side: str, fingers: Array, facing: Array) -> Array:
    """Return the turn of a hand whose fingers point one way and whose palm faces another."""
    along, palm, _ = _hand_axes(rest, side)
    wanted = _frame(unit(fingers), facing)
    return np.asarray(wanted @ _frame(along, palm).T)


def _hand_axes(rest: Rest, side: str) -> tuple[Array, Array, Array]:
    """Return along the fingers, out of the palm, and the axis about which fingers bend to it."""
    of = rest.skeleton
    along = unit(of.joint_m(f"finger3-1.{side}") - of.joint_m(f"wrist.{side}"))
    across = of.joint_m(f"finger2-1.{side}") - of.joint_m(f"finger5-1.{side}")
    palm = unit(crossed(along, across)) * SIDES[side]
    return along, palm, crossed(along, palm)


def _frame(first: Array, second: Array) -> Array:
    """Return unit vectors as columns: the first, the second made square to it, and both crossed."""
    square = unit(second - (second @ first) * first)
    return np.stack([first, square, crossed(first, square)], axis=1)
