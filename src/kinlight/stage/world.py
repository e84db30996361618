"""The studio as light meets it: people, backdrop, sheets, lamps' bodies and the room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.light.layers import stack
from kinlight.light.world import BLACK, Being, Coat, Room, Sheet, World, sheet
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Reflector
from kinlight.sitting.room_fit import room_sides_m
from kinlight.sitting.tones import reflectance
from kinlight.stage.lamps import Lamp, aim_direction
from kinlight.stage.people import solids_of

BACKDROP, SWEEP = "backdrop", "floor sweep"
_WIDE_TILE_M = 0.7
_OFF_WALL_M = 0.01
_OFF_FLOOR_M = 0.005


def world_of(
    sitting: Sitting, figures: Sequence[Figure], lamps: Sequence[Lamp], camera_m: Array
) -> World:
    """Return what stands in the light of a picture, or of the empty set."""
    people = {f.person: f for f in figures}
    return World(
        tuple(being_of(sitting, f) for f in figures),
        (
            *_backdrop(sitting),
            *(reflector_of(r, camera_m, people) for r in sitting.reflectors),
            *(lamp.box for lamp in lamps),
        ),
        room_of(sitting),
    )


def being_of(sitting: Sitting, figure: Figure) -> Being:
    """Return a person as light meets them, with the tones of the sitting."""
    person = sitting.person(figure.person)
    return Being(
        figure.person,
        solids_of(figure),
        clothes=reflectance(person.clothes, "clothes"),
        skin=reflectance(person.skin, "skin"),
        hair=reflectance(person.hair, "hair"),
        facing=figure.face.facing,
        up=figure.face.up,
    )


def room_of(sitting: Sitting) -> Room:
    """Return the room's walls, floor and ceiling."""
    left, right, front, back = room_sides_m(sitting)
    room = sitting.room
    walls = (room.wall_reflectance,) * 4
    return Room(
        (left, front, 0.0),
        (right, back, room.ceiling_m),
        (*walls, room.floor_reflectance, room.ceiling_reflectance),
    )


def reflector_of(reflector: Reflector, camera_m: Array, people: Mapping[str, Figure]) -> Sheet:
    """Return a reflector, panel, flag or scrim with its sheets laid together."""
    centre = np.array(reflector.place.xyz_m())
    layer = stack(reflector.sheets)
    return sheet(
        reflector.id,
        centre,
        aim_direction(reflector.aim, centre, camera_m, people),
        width_m=reflector.width_m,
        height_m=reflector.height_m,
        front=layer.front,
        back=layer.back,
        transmittance=layer.transmittance,
    )


def backdrop_y_m(sitting: Sitting) -> float:
    """Return how far behind the mark the backdrop hangs: never in the wall itself [m]."""
    return min(sitting.backdrop.distance_m, room_sides_m(sitting)[3] - _OFF_WALL_M)


def _backdrop(sitting: Sitting) -> list[Sheet]:
    """Return the backdrop, and what of it lies on the floor."""
    behind, y = sitting.backdrop, backdrop_y_m(sitting)
    matt = Coat(behind.reflectance)
    hung = sheet(
        BACKDROP,
        (0.0, y, behind.height_m / 2),
        (0.0, -1.0, 0.0),
        width_m=behind.width_m,
        height_m=behind.height_m,
        front=matt,
        back=matt,
        tile_m=_WIDE_TILE_M,
        near=False,
    )
    if behind.sweep_m <= 0:
        return [hung]
    laid = sheet(
        SWEEP,
        (0.0, y - behind.sweep_m / 2, _OFF_FLOOR_M),
        (0.0, 0.0, 1.0),
        width_m=behind.width_m,
        height_m=behind.sweep_m,
        front=matt,
        back=BLACK,
        tile_m=_WIDE_TILE_M,
        near=False,
    )
    return [hung, laid]
