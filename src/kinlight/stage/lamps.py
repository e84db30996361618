"""The strobes of a sitting as lit fronts in their places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import UP, Array, turned, unit
from kinlight.light.emitter import Emitter, octagon, rectangle, round_front
from kinlight.light.output import OutputEstimate, estimated_output, exitance_lxs
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Light
from kinlight.sitting.place import Aim


@dataclass(frozen=True)
class Lamp:
    """One strobe: its front, what it gives at full power, and its modelling lamp.

    `modelling_lm` is what leaves the front while the frame is made; 0 if it is off.
    """

    id: str
    role: str
    emitter: Emitter
    output: OutputEstimate
    modelling_lm: float

    @property
    def exitance_lxs(self) -> float:
        """Luminous exitance of the front at full power [lx s]."""
        return exitance_lxs(self.output.luminous_energy_lms, area_m2=self.emitter.area_m2)


def lamps_of(sitting: Sitting, camera_m: Array, figures: Mapping[str, Figure]) -> tuple[Lamp, ...]:
    """Return the strobes; one aimed at somebody who is not in the picture points at the mark."""
    return tuple(_lamp(light, camera_m, figures) for light in sitting.lights)


def _lamp(light: Light, camera_m: Array, figures: Mapping[str, Figure]) -> Lamp:
    centre = np.array(light.place.xyz_m())
    direction = aim_direction(light.aim, centre, camera_m, figures)
    modifier = light.modifier
    height = modifier.height_m or modifier.width_m
    if modifier.kind == "softbox":
        front = rectangle(centre, direction, width_m=modifier.width_m, height_m=height)
    elif modifier.kind == "octagon":
        front = octagon(centre, direction, across_corners_m=modifier.width_m)
    else:
        front = round_front(centre, direction, diameter_m=modifier.width_m)
    output = estimated_output(
        light.energy_j,
        modifier=modifier.kind,
        efficacy_lms_per_j=light.efficacy,
        transmission=modifier.transmission,
    )
    share = (
        output.luminous_energy_lms
        / estimated_output(
            light.energy_j,
            modifier=modifier.kind,
            efficacy_lms_per_j=light.efficacy,
            transmission=1.0,
        ).luminous_energy_lms
    )
    modelling = light.modelling_lm * share if light.modelling_on else 0.0
    return Lamp(light.id, light.role, front, output, modelling)


def aim_direction(aim: Aim, from_m: Array, camera_m: Array, figures: Mapping[str, Figure]) -> Array:
    """Return the unit vector in which something at `from_m` points."""
    if aim.x_m is not None and aim.y_m is not None:
        target = np.array([aim.x_m, aim.y_m, aim.height_m or 0.0])
    elif aim.at in figures:
        target = figures[aim.at].face.eyes_m().mean(axis=0)
    else:
        target = np.array([0.0, 0.0, aim.height_m if aim.height_m is not None else 1.2])
    straight = unit(target - from_m)
    if aim.turn_deg == 0:
        return straight
    return _turned_toward(straight, aim, from_m, camera_m)


def _turned_toward(straight: Array, aim: Aim, from_m: Array, camera_m: Array) -> Array:
    if aim.toward in ("up", "down"):
        toward = UP if aim.toward == "up" else -UP
        square = unit(toward - (toward @ straight) * straight)
        angle = np.radians(aim.turn_deg)
        return np.asarray(np.cos(angle) * straight + np.sin(angle) * square)
    goal = {
        "camera": camera_m - from_m,
        "backdrop": np.array([0.0, 1.0, 0.0]),
        "left": np.array([-1.0, 0.0, 0.0]),
        "right": np.array([1.0, 0.0, 0.0]),
    }[aim.toward]
    anticlockwise = straight[0] * goal[1] - straight[1] * goal[0] > 0
    return turned(straight, aim.turn_deg if anticlockwise else -aim.turn_deg)
