"""Bones that turn about their joints, and arms and legs that reach for places.

All axes are those of the figure that stands at rest: x to its left, y to its back, z up, whatever
way a bone runs. So the same turn means the same movement in a newborn and a grandmother.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array, crossed, unit

Limb = Literal["arm.L", "arm.R", "leg.L", "leg.R"]
_STRAIGHTEST, _MOST_BENT = 0.999, 1.05
"""How near to its whole length a limb may reach, and how near to nothing, as shares."""
_CHAINS: dict[str, tuple[str, str, str]] = {
    "arm": ("upperarm01", "lowerarm01", "wrist"),
    "leg": ("upperleg01", "lowerleg01", "foot"),
}


@dataclass(frozen=True, eq=False)
class Skeleton:
    """Joints at rest: names, the number of each one's parent (-1 for the first) and places [m]."""

    names: tuple[str, ...]
    parents: NDArray[np.int64]
    joints_m: Array

    @cached_property
    def numbers(self) -> Mapping[str, int]:
        """Return the number of each joint by its name."""
        return {name: k for k, name in enumerate(self.names)}

    def joint_m(self, name: str) -> Array:
        """Return where a joint is at rest, shape (3,)."""
        return np.asarray(self.joints_m[self.numbers[name]])

    def length_m(self, one: str, other: str) -> float:
        """Return the distance between two joints."""
        return float(np.linalg.norm(self.joint_m(one) - self.joint_m(other)))


@dataclass(frozen=True)
class Reach:
    """Where a wrist or ankle is to be, and toward which side the elbow or knee points."""

    at_m: Array
    bend_toward: Array


@dataclass(frozen=True)
class Pose:
    """A posture of a skeleton.

    Attributes
    ----------
    turn, hips_m : of the whole figure: a turn about the middle between the hip joints, shape
        (3, 3), and where that middle is, shape (3,) [m].
    turns : of single joints against their parents.
    held : joints, such as feet and hands, that keep a turn in the room whatever moves above them.
    reaches : what arms and legs reach for.
    """

    turn: Array
    hips_m: Array
    turns: Mapping[str, Array] = field(default_factory=dict)
    held: Mapping[str, Array] = field(default_factory=dict)
    reaches: Mapping[Limb, Reach] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Posed:
    """Joints of a posed skeleton: their turns, shape (b, 3, 3), and places, shape (b, 3) [m].

    `missed_m` is how far wrists and ankles stay from what they reach for.
    """

    skeleton: Skeleton
    turns: Array
    joints_m: Array
    missed_m: Mapping[Limb, float]

    def joint_m(self, name: str) -> Array:
        """Return where a joint is, shape (3,)."""
        return np.asarray(self.joints_m[self.skeleton.numbers[name]])

    def turn(self, name: str) -> Array:
        """Return how a bone is turned, shape (3, 3)."""
        return np.asarray(self.turns[self.skeleton.numbers[name]])


def posed(skeleton: Skeleton, pose: Pose) -> Posed:
    """Return the joints of a skeleton in a pose.

    Notes
    -----
    Joint after joint from the hips outward; an arm or leg that reaches is solved when its first
    joint is met, by the law of cosines, and stops short of what is too far or too near.
    """
    count, rest = len(skeleton.names), skeleton.joints_m
    middle = (skeleton.joint_m("upperleg01.L") + skeleton.joint_m("upperleg01.R")) / 2
    turns, places = np.zeros((count, 3, 3)), np.zeros((count, 3))
    local, missed = dict(pose.turns), {}
    for k, name in enumerate(skeleton.names):
        parent = int(skeleton.parents[k])
        if parent < 0:
            turns[k] = pose.turn @ local.get(name, np.eye(3))
            places[k] = pose.hips_m + turns[k] @ (rest[k] - middle)
            continue
        places[k] = places[parent] + turns[parent] @ (rest[k] - rest[parent])
        limb = _limb_from(name)
        if limb is not None and limb in pose.reaches:
            found, missed[limb] = _bent(skeleton, limb, pose.reaches[limb], places[k])
            (first, upper), (second, lower) = found
            local[first], local[second] = turns[parent].T @ upper, upper.T @ lower
        if name in pose.held:
            turns[k] = pose.held[name]
        else:
            turns[k] = turns[parent] @ local[name] if name in local else turns[parent]
    return Posed(skeleton, turns, places, missed)


def _limb_from(joint: str) -> Limb | None:
    """Return the arm or leg that begins at a joint."""
    for kind, (first, _, _) in _CHAINS.items():
        if joint.startswith(first):
            return f"{kind}.{joint[-1]}"  # type: ignore[return-value]
    return None


def _bent(
    skeleton: Skeleton, limb: Limb, reach: Reach, start_m: Array
) -> tuple[tuple[tuple[str, Array], tuple[str, Array]], float]:
    """Return the turns in the room of a limb's two bones, and by how much it misses [m]."""
    kind, side = limb.split(".")
    names = [f"{name}.{side}" for name in _CHAINS[kind]]
    at_rest = [skeleton.joint_m(name) for name in names]
    one, two = at_rest[1] - at_rest[0], at_rest[2] - at_rest[1]
    upper, lower = float(np.linalg.norm(one)), float(np.linalg.norm(two))
    away = np.asarray(reach.at_m, dtype=np.float64) - start_m
    wanted = float(np.linalg.norm(away))
    far = min(max(wanted, _MOST_BENT * abs(upper - lower) + 1e-6), _STRAIGHTEST * (upper + lower))
    toward = unit(away) if wanted > 0 else np.array([0.0, 0.0, -1.0])
    out = _square_to(toward, np.asarray(reach.bend_toward, dtype=np.float64))
    along = (upper**2 - lower**2 + far**2) / (2 * far)
    middle = along * toward + math.sqrt(max(upper**2 - along**2, 0.0)) * out
    hinge = crossed(out, toward)
    # A leg at rest is straight: its hinge runs to the left. An arm at rest is a little bent.
    hinge_at_rest = crossed(one, two) if kind == "arm" else np.array([1.0, 0.0, 0.0])
    first = _frame(middle, hinge) @ _frame(one, hinge_at_rest).T
    second = _frame(far * toward - middle, hinge) @ _frame(two, hinge_at_rest).T
    return ((names[0], first), (names[1], second)), abs(wanted - far)


def _square_to(axis: Array, wish: Array) -> Array:
    """Return the unit vector square to an axis that is nearest to a wish."""
    left = wish - (wish @ axis) * axis
    if np.linalg.norm(left) < 1e-9:  # the wish runs along the axis: back or up, alike on both sides
        left = np.array([0.0, 0.0, 1.0]) if abs(axis[1]) > 0.9 else np.array([0.0, 1.0, 0.0])
        left = left - (left @ axis) * axis
    return unit(left)


def _frame(first: Array, second: Array) -> Array:
    """Return three unit vectors as columns: along the first, the second made square to it, both."""
    one = unit(first)
    two = _square_to(one, second)
    return np.stack([one, two, crossed(one, two)], axis=1)
