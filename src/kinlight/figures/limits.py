"""How far joints go, and by how much a pose breaks that."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

import numpy as np

from kinlight.figures.draft import SIDES
from kinlight.figures.hands import WORDS
from kinlight.figures.skeleton import Posed
from kinlight.figures.turns import turn_vector_deg, twist_deg
from kinlight.geometry.vectors import Array, unit

_DOWN = np.array([0.0, 0.0, -1.0])


@cache
def limits_deg() -> Mapping[tuple[str, str], tuple[float, float]]:
    """Return the least and the most of each joint's movements, from joint_limits.csv."""
    text = (files("kinlight.figures") / "data" / "joint_limits.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {
        (row["joint"], row["movement"]): (float(row["least_deg"]), float(row["most_deg"]))
        for row in rows
    }


def broken_deg(found: Posed) -> dict[str, float]:
    """Return by how much joints are beyond their limits; of joints within them, nothing.

    Keys are such as "neck tip" and "left knee bend".
    """
    beyond = {}
    for name, angle_deg in movements_deg(found).items():
        joint, movement = name.split()[-2:]
        least, most = limits_deg()[joint, movement]
        over = max(least - angle_deg, angle_deg - most)
        if over > 0:
            beyond[name] = over
    return beyond


def movements_deg(found: Posed) -> dict[str, float]:
    """Return how far every joint is moved; keys as of `broken_deg`.

    Notes
    -----
    Of neck and spine the components of the turn between the body parts (axis times angle). Of hips
    bend, spread and twist, made one after the other about axes that go along, as [wu2002] defines
    them. An upper arm is told by its direction against the chest alone.
    """
    moved = _three("neck", found.turn("spine01"), found.turn("head"))
    moved |= _three("spine", found.turn("root"), found.turn("spine01"))
    for side in SIDES:
        own = _arm(found, side) | _leg(found, side)
        moved |= {f"{WORDS[side]} {name}": value for name, value in own.items()}
    return moved


def _three(joint: str, one: Array, other: Array) -> dict[str, float]:
    """Return the turn of one body part against another as bend, tilt and turn."""
    x, y, z = turn_vector_deg(one.T @ other).tolist()
    forward = "tip" if joint == "neck" else "bend"
    return {f"{joint} {forward}": x, f"{joint} tilt": y, f"{joint} turn": z}


def _leg(found: Posed, side: str) -> dict[str, float]:
    s, pelvis = SIDES[side], found.turn("root")
    thigh, shank = _along(found, side, ("upperleg01", "lowerleg01", "foot"))
    bend, spread, twist = _in_turn_deg(pelvis.T @ found.turn(f"upperleg01.{side}"))
    foot = found.turn(f"lowerleg01.{side}").T @ found.turn(f"foot.{side}")
    return {
        "hip bend": bend,
        "hip spread": -s * spread,
        "hip twist": s * twist,
        "knee bend": _between_deg(thigh, shank),
        "ankle bend": float(turn_vector_deg(foot)[0]),
    }


def _arm(found: Posed, side: str) -> dict[str, float]:
    s, chest = SIDES[side], found.turn("spine01")
    upper, lower = _along(found, side, ("upperarm01", "lowerarm01", "wrist"))
    own = chest.T @ upper
    of = found.skeleton
    hand = found.turn(f"lowerarm01.{side}").T @ found.turn(f"wrist.{side}")
    bone = unit(of.joint_m(f"wrist.{side}") - of.joint_m(f"lowerarm01.{side}"))
    eye = found.turn("head").T @ found.turn(f"eye.{side}")
    return {
        "shoulder raise": _between_deg(own, _DOWN),
        "shoulder back": math.degrees(math.asin(float(own[1]))),
        "shoulder across": math.degrees(math.asin(-s * float(own[0]))),
        "elbow bend": _between_deg(upper, lower),
        "forearm twist": -s * twist_deg(hand, bone),
        "wrist bend": _between_deg(hand @ bone, bone),
        "eye turn": float(np.linalg.norm(turn_vector_deg(eye))),
    }


def _along(found: Posed, side: str, names: tuple[str, str, str]) -> tuple[Array, Array]:
    """Return the directions of a limb's two bones."""
    one, two, three = (found.joint_m(f"{name}.{side}") for name in names)
    return unit(two - one), unit(three - two)


def _in_turn_deg(turn: Array) -> tuple[float, float, float]:
    """Return the angles of a turn made about x (backward), then its own y, then its own z."""
    return (
        math.degrees(math.atan2(turn[1, 2], turn[2, 2])),
        math.degrees(math.asin(min(max(float(turn[0, 2]), -1.0), 1.0))),
        math.degrees(math.atan2(-turn[0, 1], turn[0, 0])),
    )


def _between_deg(one: Array, other: Array) -> float:
    return math.degrees(math.acos(min(max(float(unit(one) @ unit(other)), -1.0), 1.0)))
