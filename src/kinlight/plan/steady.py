"""How steadily every light stands, what is missing for it to be safe, and whom it hangs over.

Which way a boom points is not known: its column stands where the photographer puts it, and what is
said of the stand holds for every direction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.light.world import Sheet
from kinlight.plan.stands import (
    BagPlan,
    CounterweightPlan,
    Headroom,
    bag_plan,
    counterweight_plan,
    headroom,
)
from kinlight.plan.stands_said import findings, says
from kinlight.sitting.document import Sitting
from kinlight.sitting.strobes import Light
from kinlight.stage.scene import Scene

OVERHEAD_MARGIN_M = 0.5
"""Whose head is this near the outline of a front above it, along the floor, counts as under it:
people move and booms swing. Common practice, no source."""


@dataclass(frozen=True)
class StandPlan:
    """How one light stands.

    `over` names whom it hangs over in any picture; `bags` is null if no stand is stated,
    `counterweight` if it has no boom with a short arm; `says` is how it stands as stated,
    `findings` what is missing, the worst first.
    """

    light: str
    over: tuple[str, ...]
    headroom: Headroom
    bags: BagPlan | None
    counterweight: CounterweightPlan | None
    says: str
    findings: tuple[str, ...]

    @property
    def falls(self) -> bool:
        """Whether it falls by itself as it is stated."""
        return self.bags is not None and self.bags.falls


def stand_plans(sitting: Sitting, scenes: Sequence[Scene]) -> tuple[StandPlan, ...]:
    """Return how every light of a settled sitting stands.

    Parameters
    ----------
    sitting : the settled document.
    scenes : its pictures, one at least; a light aimed at somebody is tilted as in each.
    """
    return tuple(_stand_plan(sitting, light, scenes) for light in sitting.lights)


def _stand_plan(sitting: Sitting, light: Light, scenes: Sequence[Scene]) -> StandPlan:
    units, depth_m = sitting.preferences.units, light.modifier.depth_m
    boxes = [_box(scene, light.id) for scene in scenes]
    under = {p for s, b in zip(scenes, boxes, strict=True) for p in people_under(b, s.figures)}
    room = headroom(boxes, depth_m=depth_m or 0.0, ceiling_m=sitting.room.ceiling_m)
    balance = counterweight_plan(light.stand) if light.stand is not None else None
    bags = None
    if light.stand is not None:
        bags = bag_plan(light.stand, balance, light.place.xyz_m()[2])
    known = depth_m is not None
    return StandPlan(
        light=light.id,
        over=tuple(p.name for p in sitting.people if p.key in under),
        headroom=room,
        bags=bags,
        counterweight=balance,
        says=says(bags, balance, room, units=units),
        findings=findings(light.id, bags, balance, room, depth_stated=known, units=units),
    )


def _box(scene: Scene, light: str) -> Sheet:
    return next(lamp.box for lamp in scene.lamps if lamp.id == light)


def people_under(box: Sheet, figures: Sequence[Figure]) -> tuple[str, ...]:
    """Return who is under a lamp: near its outline on the floor, their eyes below its middle.

    Parameters
    ----------
    box : the lamp's body, as wide and high as its front.
    figures : the people of a picture.

    Notes
    -----
    As a front's width lies level, its outline seen from above is a rectangle: as wide as the front,
    and as deep as its height is leaning. Corners that a round front has not are counted in.
    """
    return tuple(
        figure.person
        for figure in figures
        if figure.face.eyes_m().mean(axis=0)[2] < box.centre_m[2]
        and _beyond_m(box, (figure.face.crown_m - box.centre_m)[:2]) <= OVERHEAD_MARGIN_M
    )


def _beyond_m(box: Sheet, away_m: Array) -> float:
    """Return how far beyond a front's outline on the floor a place is, shape (2,) [m]."""
    across = box.right[:2]
    lean = float(np.hypot(*box.up[:2]))
    along = np.array([-across[1], across[0]])
    sides = np.abs([away_m @ across, away_m @ along])
    half = np.array([box.half_m[0], box.half_m[1] * lean])
    return float(np.hypot(*np.maximum(sides - half, 0)))
