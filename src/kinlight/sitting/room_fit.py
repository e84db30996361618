"""Whether everything stated fits into the room: walls, ceiling, backdrop."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kinlight.errors import Fault
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Reflector
from kinlight.sitting.strobes import Light

_SUNK_M = 0.02  # a sheet set on the floor may be said to stand at half its height, rounded
_OVER_M = 1e-6  # what rounding may add
CLEARANCE_M = 0.05
"""Room left between a light's head and the ceiling: common practice, no source."""


def out_of_room(s: Sitting) -> Iterator[Fault]:
    """Return everything that is beyond a wall, the ceiling or the backdrop."""
    yield from _backdrop(s)
    yield from _in_room(s)
    yield from _heights(s)
    yield from _under_ceiling(s)
    yield from _booms(s)


def room_sides_m(s: Sitting) -> tuple[float, float, float, float]:
    """Return where the walls are: x of left and right, y behind the camera and the backdrop [m]."""
    room = s.room
    left = (
        room.mark_from_left_wall_m if room.mark_from_left_wall_m is not None else room.width_m / 2
    )
    back = room.mark_from_back_wall_m
    back = back if back is not None else min(s.backdrop.distance_m + 0.3, room.length_m)
    return -left, room.width_m - left, back - room.length_m, back


def _in_room(s: Sitting) -> Iterator[Fault]:
    things = [(gear_name(g), g.place.xyz_m()) for g in gear(s)]
    if s.camera.place:
        things.append(("camera", s.camera.place.xyz_m()))
    things += [(f"meter point '{m.id}'", m.place.xyz_m()) for m in s.meter_points]
    for pic in s.pictures:
        things += [(f"picture '{pic.key}', {x.person}", (x.x_m, x.y_m, 0.0)) for x in pic.places]
    left, right, front, back = room_sides_m(s)
    for name, (x, y, _) in things:
        for beyond, wall in (
            (left - x, "left wall"),
            (x - right, "right wall"),
            (front - y, "wall behind the camera"),
            (y - back, "wall behind the backdrop"),
        ):
            if beyond > 1e-6:
                yield Fault(
                    f"is {_length(beyond, s)} beyond the {wall}",
                    where=name,
                    remedy="move it, or mend the room's size or the mark's place in it",
                )


def _heights(s: Sitting) -> Iterator[Fault]:
    """Yield what has no height, and what would stand in the floor."""
    things = [(gear_name(g), g.place, _half_height_m(g)) for g in gear(s)]
    things += [(f"meter point '{m.id}'", m.place, 0.0) for m in s.meter_points]
    for name, place, half in things:
        if place.z_m is None and place.height_m is None:
            yield Fault("has no height", where=f"{name}, place", remedy="add height = 1.5")
        elif place.xyz_m()[2] < half - _SUNK_M:
            low = _length(half - place.xyz_m()[2], s)
            least = _length(half, s)
            remedy = f"its middle has to be at {least} or more"
            yield Fault(f"reaches {low} into the floor", where=name, remedy=remedy)


def _under_ceiling(s: Sitting) -> Iterator[Fault]:
    ceiling = s.room.ceiling_m
    for thing in gear(s):
        half = _half_height_m(thing)
        top = thing.place.xyz_m()[2] + half
        if top > ceiling:
            most = max(ceiling - half - CLEARANCE_M, 0.0)
            yield Fault(
                f"height {_length(thing.place.xyz_m()[2], s)} puts its top at {_length(top, s)}, "
                f"above the ceiling ({_length(ceiling, s)})",
                where=gear_name(thing),
                remedy=f"lower it to {_length(most, s)} or less to leave room for the head",
            )
    if s.camera.place and s.camera.place.xyz_m()[2] >= ceiling:
        yield Fault("is above the ceiling", where="camera", remedy="lower the tripod")
    if s.backdrop.height_m > ceiling + 1e-9:
        yield Fault(
            f"top at {_length(s.backdrop.height_m, s)} is above the ceiling, {_length(ceiling, s)}",
            where="backdrop",
        )


def _booms(s: Sitting) -> Iterator[Fault]:
    """Yield every boom for which no place of its column, and of its short arm, is in the room."""
    left, right, front, back = room_sides_m(s)
    for light in s.lights:
        if light.stand is None or light.stand.boom_m == 0:
            continue
        x, y, _ = light.place.xyz_m()
        farthest = math.hypot(max(x - left, right - x), max(y - front, back - y))
        reach = light.stand.boom_m + light.stand.short_arm_m
        if reach > farthest + _OVER_M:
            yield Fault(
                f"its boom reaches {_length(reach, s)} from below the head to its other end; "
                f"the farthest corner of the room is {_length(farthest, s)} away",
                where=f"{gear_name(light)}, stand",
                remedy="mend boom and short_arm, or the room's size",
            )


def _backdrop(s: Sitting) -> Iterator[Fault]:
    left, right, front, back = room_sides_m(s)
    if not left < 0 < right or not front < 0 < back:
        yield Fault(
            "the mark is outside the room", where="room", remedy="mend the mark's distances"
        )
    if s.backdrop.distance_m > back + 1e-9:
        yield Fault(
            f"stands {_length(s.backdrop.distance_m, s)} behind the mark, "
            f"beyond the wall at {_length(back, s)}",
            where="backdrop",
        )
    if s.backdrop.width_m > s.room.width_m:
        yield Fault("is wider than the room", where="backdrop")
    if s.camera.place and s.camera.place.xyz_m()[1] >= 0:
        yield Fault(
            "does not stand before the mark", where="camera", allowed="a place with y below 0"
        )
    for pic in s.pictures:
        yield from (
            Fault(f"{x.person} is behind the backdrop", where=f"picture '{pic.key}'")
            for x in pic.places
            if x.y_m > s.backdrop.distance_m
        )


def gear(s: Sitting) -> list[Light | Reflector]:
    """Return everything on a stand: lights and reflectors."""
    return [*s.lights, *s.reflectors]


def gear_name(thing: Light | Reflector) -> str:
    """Return what a fault calls a light or reflector."""
    return f"{'light' if isinstance(thing, Light) else 'reflector'} '{thing.id}'"


def _half_height_m(thing: Light | Reflector) -> float:
    if isinstance(thing, Light):
        return thing.modifier.front_m()[1] / 2
    return thing.height_m / 2


def _length(metres: float, s: Sitting) -> str:
    return length_text(metres, units=s.preferences.units)
