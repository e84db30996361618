"""A figure under construction: at rest, turned joint by joint, its limbs reaching for places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from kinlight.figures.regions import region
from kinlight.figures.rest import Rest
from kinlight.figures.shapes import Index
from kinlight.figures.skeleton import Limb, Pose, Posed, Reach, posed
from kinlight.figures.skinning import motions_of, skinned
from kinlight.figures.turns import STILL, about_x, about_y, about_z, share_of
from kinlight.geometry.vectors import Array

SIDES: dict[str, float] = {"L": 1.0, "R": -1.0}
"""Endings of a bone's name, and the sign of x on that side of a figure that faces -y."""
LEGS: dict[str, Limb] = {"L": "leg.L", "R": "leg.R"}
ARMS: dict[str, Limb] = {"L": "arm.L", "R": "arm.R"}
_SPINE = {"spine05": 0.05, "spine04": 0.35, "spine03": 0.30, "spine02": 0.20, "spine01": 0.10}
_NECK = {"neck01": 0.15, "neck02": 0.15, "neck03": 0.15, "head": 0.55}
"""What share of a bend of the spine and of the neck falls to each joint (from memory)."""


@dataclass(frozen=True, eq=False)
class Draft:
    """A figure at rest, its pose so far, and in which frame its head is level.

    Drafts never change: each step returns another. Until it is placed, a draft faces -y, has its
    left at +x, and the middle between its hip joints over the origin.
    """

    rest: Rest
    pose: Pose = field(default_factory=lambda: Pose(STILL, np.zeros(3)))
    level: Array = field(default_factory=lambda: STILL)

    @cached_property
    def posed(self) -> Posed:
        """Return the joints as they are now."""
        return posed(self.rest.skeleton, self.pose)

    @cached_property
    def _motions(self) -> Array:
        return motions_of(self.rest, self.posed)

    def vertices(self, which: slice | Index = slice(None)) -> Array:
        """Return the surface as it is now, or some vertices of it, (n, 3) [m]."""
        return skinned(self.rest, self._motions, which)

    def region(self, name: str) -> Array:
        """Return the vertices of a region of the surface, (n, 3) [m]."""
        return self.vertices(region(self.rest.shapes, name))

    def lowest_m(self, name: str) -> float:
        """Return how low a region reaches."""
        return float(self.region(name)[:, 2].min())

    def joint_m(self, name: str) -> Array:
        """Return where a joint is now, shape (3,)."""
        return self.posed.joint_m(name)

    def length_m(self, limb: Limb) -> float:
        """Return the length of a stretched arm to the wrist, or leg to the ankle."""
        kind, side = limb.split(".")
        end = {"arm": "wrist", "leg": "foot"}[kind]
        names = [f"{name}.{side}" for name in (f"upper{kind}01", f"lower{kind}01", end)]
        of = self.rest.skeleton.length_m
        return of(names[0], names[1]) + of(names[1], names[2])

    def turned(self, turns: Mapping[str, Array]) -> Draft:
        """Return the draft with joints turned against their parents."""
        return self._with(turns={**self.pose.turns, **turns})

    def held(self, held: Mapping[str, Array]) -> Draft:
        """Return the draft with joints that keep a turn in the room."""
        return self._with(held={**self.pose.held, **held})

    def reaching(self, reaches: Mapping[Limb, Reach]) -> Draft:
        """Return the draft with limbs that reach for places."""
        return self._with(reaches={**self.pose.reaches, **reaches})

    def hips(self, at_m: Array, turn: Array = STILL) -> Draft:
        """Return the draft with its hips at a place, turned."""
        return self._with(hips_m=np.asarray(at_m, dtype=np.float64), turn=turn)

    def spine(self, pitch_deg: float = 0.0, roll_deg: float = 0.0, yaw_deg: float = 0.0) -> Draft:
        """Return the draft with its spine bent forward, to its left, and turned to its left."""
        return self.turned(
            {
                name: about_z(share * yaw_deg)
                @ about_x(share * pitch_deg)
                @ about_y(share * roll_deg)
                for name, share in _SPINE.items()
            }
        )

    def head(self, turn_deg: float, chin_up_deg: float, tilt_deg: float = 0.0) -> Draft:
        """Return the draft with its head turned to its left, tipped back and tilted to its left.

        All against the level head that faces where the hips face, however the spine is bent.
        """
        wanted = self.level @ about_z(turn_deg) @ about_x(-chin_up_deg) @ about_y(tilt_deg)
        whole = self.posed.turn("spine01").T @ wanted
        return self.turned({name: share_of(whole, share) for name, share in _NECK.items()})

    def moved(self, by_m: Array) -> Draft:
        """Return the draft shifted, with all it reaches for."""
        return self.placed(STILL, by_m)

    def placed(self, turn: Array, at_m: Array) -> Draft:
        """Return the draft turned about the origin and then shifted, with all it reaches for."""
        pose = self.pose
        reaches = {
            limb: Reach(turn @ reach.at_m + at_m, turn @ reach.bend_toward)
            for limb, reach in pose.reaches.items()
        }
        held = {name: turn @ own for name, own in pose.held.items()}
        moved = replace(
            pose,
            turn=turn @ pose.turn,
            hips_m=turn @ pose.hips_m + at_m,
            held=held,
            reaches=reaches,
        )
        return replace(self, pose=moved, level=turn @ self.level)

    def _with(self, **changes: object) -> Draft:
        return replace(self, pose=replace(self.pose, **changes))  # type: ignore[arg-type]
