"""The strobes of a sitting as lit fronts in their places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from kinlight.errors import Fault, SittingError
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import UP, Array, turned, unit
from kinlight.light.emitter import Emitter, Grid, octagon, rectangle, round_front
from kinlight.light.output import (
    OutputEstimate,
    as_metered,
    beam_power,
    diffuser_transmission,
    estimated_output,
    exitance_lxs,
    guide_number_cds,
)
from kinlight.light.tables import typical_beam, typical_edge_stops, typical_transmission
from kinlight.light.world import Shape, Sheet, sheet
from kinlight.sitting.document import Sitting
from kinlight.sitting.place import Aim
from kinlight.sitting.strobes import Light, Modifier

OVER_MARK_M = 1.2
"""Height over the mark aimed at where no other is known: common practice, no source."""
BEHIND_M = 0.005
"""How far behind its front the black body of a lamp begins, so that the front stays free."""
_HAIR_M = 1e-9


@dataclass(frozen=True)
class Lamp:
    """One strobe: its front, what it gives at full power, and its modelling lamp.

    `modelling_lm` is what leaves the front while the frame is made; 0 if it is off. `box` is the
    black body behind the front, which stands in the way of other light.
    """

    id: str
    role: str
    emitter: Emitter
    output: OutputEstimate
    modelling_lm: float
    box: Sheet

    @property
    def exitance_lxs(self) -> float:
        """Luminous exitance of the front at full power [lx s]."""
        return exitance_lxs(self.output.luminous_energy_lms, area_m2=self.emitter.area_m2)

    def moved(self, by_m: Array) -> Lamp:
        """Return the lamp shifted by a vector, front and body."""
        front = replace(self.emitter, polygon_m=self.emitter.polygon_m + by_m)
        centre = np.asarray(self.box.centre_m) + by_m
        return replace(self, emitter=front, box=replace(self.box, centre_m=centre))


def lamps_of(sitting: Sitting, camera_m: Array, figures: Mapping[str, Figure]) -> tuple[Lamp, ...]:
    """Return the strobes; one aimed at somebody who is not in the picture points at the mark."""
    return tuple(_lamp(light, camera_m, figures) for light in sitting.lights)


def _lamp(light: Light, camera_m: Array, figures: Mapping[str, Figure]) -> Lamp:
    centre = np.array(light.place.xyz_m())
    try:
        direction = aim_direction(light.aim, centre, camera_m, figures)
    except SittingError as error:
        raise SittingError([f.at(f"light '{light.id}', aim") for f in error.faults]) from None
    front = _front(light.modifier, centre, direction)
    passed = transmission_of(light.modifier)
    if passed is None:
        passed = typical_transmission(light.modifier.kind).value
    modelling = light.modelling_lm * passed if light.modelling_on else 0.0
    output = _output(light)
    if light.fitted is not None:
        output = as_metered(output, stops=light.fitted.stops, sd_stops=light.fitted.sd_stops)
    return Lamp(light.id, light.role, front, output, modelling, _box(light, centre, direction))


def _front(modifier: Modifier, centre: Array, direction: Array) -> Emitter:
    """Return the lit front of a modifier: its outline, beam, profile and grid."""
    width, height = modifier.front_m()
    if modifier.kind == "softbox":
        outline = rectangle(centre, direction, width_m=width, height_m=height)
    elif modifier.kind == "octagon":
        outline = octagon(centre, direction, across_corners_m=width)
    else:
        outline = round_front(centre, direction, diameter_m=width)
    grid = None
    if modifier.grid_cell_m is not None and modifier.grid_depth_m is not None:
        kind: Literal["egg-crate", "honeycomb"] = (
            "honeycomb" if modifier.grid_cells == "honeycomb" else "egg-crate"
        )
        grid = Grid(kind, modifier.grid_cell_m, modifier.grid_depth_m)
    edge = modifier.edge_stops
    if edge is None:
        edge = typical_edge_stops(modifier.kind).value if modifier.profile == "hot" else 0.0
    return replace(outline, beam=beam_of(modifier), edge_stops=edge, grid=grid)


def beam_of(modifier: Modifier) -> float:
    """Return the cosine power of a modifier's beam, stated by its angle or typical of its kind."""
    if modifier.beam_deg is not None:
        return beam_power(half_angle_deg=modifier.beam_deg / 2)
    return typical_beam(modifier.kind).value


def transmission_of(modifier: Modifier) -> float | None:
    """Return what is stated of the light that leaves the front, all together; None if nothing."""
    if modifier.transmission is not None:
        return modifier.transmission
    inner, outer = modifier.inner_loss_stops, modifier.outer_loss_stops
    if inner is None and outer is None:
        return None
    return diffuser_transmission(inner_stops=inner or 0.0, outer_stops=outer or 0.0)


def _box(light: Light, centre: Array, direction: Array) -> Sheet:
    """Return the black body of a lamp, as large as its front and just behind it."""
    width, height = light.modifier.front_m()
    behind = centre - BEHIND_M * unit(direction)
    shape: Shape = "rectangle"
    if light.modifier.kind == "octagon":
        shape = "octagon"
        width = height = width * float(np.cos(np.pi / 8))
    elif light.modifier.kind != "softbox":
        shape, height = "ellipse", width
    return sheet(light.id, behind, direction, width_m=width, height_m=height, shape=shape)


def _output(light: Light) -> OutputEstimate:
    """Return the light at full power: from the guide number of a bare head, else from its energy.

    A guide number gives the intensity straight ahead; a front with a beam of power n has 2 pi /
    (n + 1) times that as its luminous energy. Makers' guide numbers count on a normal room and are
    rather hopeful than modest: taken to be up to a stop too high (from memory).
    """
    if light.guide_number_m is None:
        return estimated_output(
            light.energy_j,
            modifier=light.modifier.kind,
            efficacy_lms_per_j=light.efficacy,
            transmission=transmission_of(light.modifier),
        )
    ahead = guide_number_cds(light.guide_number_m, iso=100)
    return OutputEstimate(
        2 * np.pi * ahead / (beam_of(light.modifier) + 1),
        below_stops=1.0,
        above_stops=0.0,
        assumed=("the maker's guide number",),
    )


def aim_direction(aim: Aim, from_m: Array, camera_m: Array, figures: Mapping[str, Figure]) -> Array:
    """Return the unit vector in which something at `from_m` points.

    Raises
    ------
    SittingError
        If it points at where it is itself, or hangs straight and is turned up or down.
    """
    if aim.x_m is not None and aim.y_m is not None:
        target = np.array([aim.x_m, aim.y_m, aim.height_m or 0.0])
    elif aim.at in figures:
        target = figures[aim.at].face.eyes_m().mean(axis=0)
    else:
        height = aim.height_m if aim.height_m is not None else OVER_MARK_M
        target = np.array([0.0, 0.0, height])
    if np.linalg.norm(target - from_m) < _HAIR_M:
        remedy = "move it, or aim it elsewhere"
        raise SittingError(Fault("points at the very place where it stands", remedy=remedy))
    straight = unit(target - from_m)
    if aim.turn_deg == 0:
        return straight
    return _turned_toward(straight, aim, from_m, camera_m)


def _turned_toward(straight: Array, aim: Aim, from_m: Array, camera_m: Array) -> Array:
    """Turn a direction on its stand toward a side; tip it, if that is up or down or it hangs."""
    goal = {
        "camera": camera_m - from_m,
        "backdrop": np.array([0.0, 1.0, 0.0]),
        "left": np.array([-1.0, 0.0, 0.0]),
        "right": np.array([1.0, 0.0, 0.0]),
        "up": UP,
        "down": -UP,
    }[aim.toward]
    hangs = np.linalg.norm(straight[:2]) < _HAIR_M  # straight down: turning on the stand is nothing
    if hangs or aim.toward in ("up", "down"):
        return _tipped(straight, goal, aim)
    anticlockwise = straight[0] * goal[1] - straight[1] * goal[0] > 0
    return turned(straight, aim.turn_deg if anticlockwise else -aim.turn_deg)


def _tipped(straight: Array, goal: Array, aim: Aim) -> Array:
    """Turn a direction in the plane of itself and a goal."""
    square = goal - (goal @ straight) * straight
    if np.linalg.norm(square) < _HAIR_M:
        problem = f"points straight up or down and cannot be turned toward {aim.toward}"
        remedy = "turn it toward another side"
        raise SittingError(Fault(problem, remedy=remedy))
    angle = np.radians(aim.turn_deg)
    return np.asarray(np.cos(angle) * straight + np.sin(angle) * unit(square))
