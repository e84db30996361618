"""The readings to expect on the day, in the order a photographer takes them.

Each light alone, then those on the faces together, then all, then the sitting's own meter points.
Every reading is of one spot, with one receptor that faces one way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.exposure import K, f_number_for
from kinlight.plan.lit import alone_row
from kinlight.quantities.lengths import length_text
from kinlight.quantities.power import fraction_of_full
from kinlight.quantities.stops import meter_text, parse_meter_reading, stops
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import MeterPoint
from kinlight.sitting.place import Place
from kinlight.sitting.strobes import Light
from kinlight.stage.lamps import Lamp
from kinlight.stage.scene import Transfer

Receptor = Literal["dome", "flat", "reflected"]
Counts = Literal["flash", "ambient", "both"]
Kind = Literal["alone", "together", "point"]
_ROLES = ("key", "fill", "hair", "backdrop")
_ON_FACES = ("key", "fill")
_PLACE_DIGITS = 3  # a millimetre


@dataclass(frozen=True)
class MeterPlan:
    """A reading to expect.

    Attributes
    ----------
    number : its place in the order of metering, from 1.
    where : what it is called: a light alone by its name, "all together", a meter point's name.
    kind : a light alone, lights together, or one of the sitting's own meter points.
    place_m : where the receptor is, x, y, z from the mark.
    facing : what it faces: the camera, the backdrop, up, or a light.
    receptor : dome or flat; "reflected" reads a patch that lies there instead.
    patch_reflectance : of that patch [-].
    counts : whether the meter counts the flash, the light without it, or both.
    fired : the lights that are on, in the order of the sitting.
    lights : the same in words.
    expected, expected_f_number : what it will show; 0 is nothing.
    band_stops : how far that may be off, below and above, by what is known of the lights' outputs.
    stated : what the meter showed, if the sitting says so.
    set_then : what lights were set to then, where that is not what they are set to now.
    off_stops : how far that is over what was to be expected of those settings.
    """

    number: int
    where: str
    kind: Kind
    place_m: tuple[float, float, float]
    facing: str
    receptor: Receptor
    patch_reflectance: float
    counts: Counts
    fired: tuple[str, ...]
    lights: str
    expected: str
    expected_f_number: float
    band_stops: tuple[float, float]
    stated: str
    set_then: str
    off_stops: float | None


def meter_plans(
    sitting: Sitting, moved: Transfer, shares: Array, lamps: Sequence[Lamp]
) -> tuple[MeterPlan, ...]:
    """Return the readings to expect; a meter point named like one of the first stands for it.

    Parameters
    ----------
    moved : what the lamps bring to the meter points of the empty set.
    shares : the powers as shares of full, shape (lights,) [-].
    lamps : the strobes in their order.
    """
    own = {point.id: point for point in sitting.meter_points}
    usual = {point.id: (point, row) for point, row in _usual(sitting, moved)}
    rows = {name: row for name, (_, row) in usual.items()}
    rows |= {name: moved.rows("meter", name)[0] for name in own}
    bands = np.array([[x.output.below_stops, x.output.above_stops] for x in lamps]).reshape(-1, 2)
    plans = []
    for name in numbers(sitting):
        point = own[name] if name in own else usual[name][0]
        kind: Kind = "point"
        if name in usual and _same_reading(point, usual[name][0]):
            kind = "alone" if any(name == x.id for x in sitting.lights) else "together"
        plans.append(_planned(sitting, point, kind, moved, rows[name], shares, bands))
    return tuple(plans)


def numbers(sitting: Sitting) -> dict[str, int]:
    """Return by which number each reading is counted, from 1, in the order of the plan's table."""
    usual = [x.id for x in _by_role(sitting)]
    usual += [name for name, _ in _together(sitting)]
    names = dict.fromkeys((*usual, *(point.id for point in sitting.meter_points)))
    return {name: i for i, name in enumerate(names, start=1)}


def _by_role(sitting: Sitting) -> list[Light]:
    return sorted(sitting.lights, key=lambda x: _ROLES.index(x.role))


def _together(sitting: Sitting) -> list[tuple[str, list[str]]]:
    """Return the readings of several lights: their names, and which lights; none named is all."""
    on_faces = [x.id for x in sitting.lights if x.role in _ON_FACES]
    found: list[tuple[str, list[str]]] = []
    if len(sitting.lights) > len(on_faces) > 1:
        found.append((f"{' and '.join(on_faces)} together", on_faces))
    if len(sitting.lights) > 1:
        found.append(("all together", []))
    return found


def _same_reading(one: MeterPoint, other: MeterPoint) -> bool:
    return all(
        getattr(one, field) == getattr(other, field)
        for field in ("facing", "receptor", "counts", "lights")
    )


def _usual(sitting: Sitting, moved: Transfer) -> list[tuple[MeterPoint, int]]:
    """Return the readings every set is metered by, as meter points with their rows."""
    found = [(_alone(light, moved), alone_row(moved, light)) for light in _by_role(sitting)]
    (mark,) = moved.rows("mark")
    found += [
        (_at(name, moved, mark, "camera", "dome", lights), mark)
        for name, lights in _together(sitting)
    ]
    return found


def _alone(light: Light, moved: Transfer) -> MeterPoint:
    facing = "camera" if light.role == "backdrop" else light.id
    return _at(light.id, moved, alone_row(moved, light), facing, "flat", [light.id])


def _at(
    name: str,
    moved: Transfer,
    row: int,
    facing: str,
    receptor: Receptor,
    lights: Sequence[str] = (),
) -> MeterPoint:
    x, y, z = (round(float(c), _PLACE_DIGITS) for c in moved.receivers[row].point_m)
    place = Place(x_m=x, y_m=y, z_m=z)
    return MeterPoint(id=name, place=place, facing=facing, receptor=receptor, lights=tuple(lights))


def _planned(
    sitting: Sitting,
    point: MeterPoint,
    kind: Kind,
    moved: Transfer,
    row: int,
    shares: Array,
    bands: Array,
) -> MeterPlan:
    now = moved.flash_lxs[row] * shares * fires(sitting, point)
    shown = _shown(sitting, point, moved, row, now)
    read, then, off = None, shares_then(sitting, point, shares), None
    if point.reading is not None:
        read = parse_meter_reading(point.reading)
        light = moved.flash_lxs[row] * then * fires(sitting, point)
        expected = _shown(sitting, point, moved, row, light)
        off = 2 * stops(read / expected) if expected > 0 else None
    x, y, z = point.place.xyz_m()
    return MeterPlan(
        number=numbers(sitting)[point.id],
        where=point.id,
        kind=kind,
        place_m=(x, y, z),
        facing=point.facing,
        receptor=point.receptor,
        patch_reflectance=point.patch_reflectance,
        counts=point.counts,
        fired=tuple(
            x.id for x, on in zip(sitting.lights, fires(sitting, point), strict=True) if on
        ),
        lights=_lights_text(point),
        expected=meter_text(shown) if shown > 0 else "nothing",
        expected_f_number=shown,
        band_stops=_band(now, ambient_lxs(sitting, point, moved, row), bands),
        stated=point.reading or "",
        set_then=_set_then(sitting, point),
        off_stops=off,
    )


def _shown(
    sitting: Sitting, point: MeterPoint, moved: Transfer, row: int, flash_lxs: Array
) -> float:
    """Return what a meter shows there, as an f-number [-]."""
    lxs = float(flash_lxs.sum()) + ambient_lxs(sitting, point, moved, row)
    c = meter_constant(sitting, point)
    return float(f_number_for(lxs, iso=sitting.camera.iso, c=c)) if math.isfinite(c) else 0.0


def meter_constant(sitting: Sitting, point: MeterPoint) -> float:
    """Return the constant that turns light falling there into a reading [lx s].

    Notes
    -----
    Of a matt patch of reflectance rho comes the luminance L = rho E / pi, and a reflected-light
    meter shows N^2 = L t S / K [iso2720]: as a flat receptor on the patch whose constant were
    pi K / rho. Infinite for a patch that reflects nothing.
    """
    if point.receptor == "reflected":
        rho = point.patch_reflectance
        return math.pi * K / rho if rho > 0 else math.inf
    return sitting.meter.c_dome if point.receptor == "dome" else sitting.meter.c_flat


def ambient_lxs(sitting: Sitting, point: MeterPoint, moved: Transfer, row: int) -> float:
    """Return the light in a reading that is not flash, over the shutter time [lx s].

    The room's own light counts as the same everywhere and from everywhere; modelling lamps that
    are left on burn whether or not their flash is fired.
    """
    if point.counts == "flash":
        return 0.0
    steady = sitting.room.ambient_lx + float(moved.modelling_lx[row].sum())
    return steady * sitting.camera.shutter_s


def fires(sitting: Sitting, point: MeterPoint) -> Array:
    """Return 1 for each light whose flash counts in a reading, else 0, shape (lights,) [-]."""
    flash = point.counts != "ambient"
    on = [flash and (not point.lights or x.id in point.lights) for x in sitting.lights]
    return np.array(on, dtype=np.float64)


def shares_then(sitting: Sitting, point: MeterPoint, shares: Array) -> Array:
    """Return the powers as they were when a reading was taken, shape (lights,) [-]."""
    then = [
        fraction_of_full(x.dial.scale().parse(point.set_to[x.id])) if x.id in point.set_to else now
        for x, now in zip(sitting.lights, shares, strict=True)
    ]
    return np.array(then, dtype=np.float64)


def _band(light_lxs: Array, ambient: float, bands: Array) -> tuple[float, float]:
    """Return how far a sum of lights may be off, all of them at an end of their bands at once."""
    whole = float(light_lxs.sum()) + ambient
    if whole <= 0:
        return 0.0, 0.0
    low = float(light_lxs @ np.exp2(-bands[:, 0])) + ambient
    high = float(light_lxs @ np.exp2(bands[:, 1])) + ambient
    return stops(whole / low), stops(high / whole)


def _lights_text(point: MeterPoint) -> str:
    if point.counts == "ambient":
        return "none fired"
    lights = " + ".join(point.lights) or "all"
    return f"{lights}, with the ambient light" if point.counts == "both" else lights


def _set_then(sitting: Sitting, point: MeterPoint) -> str:
    """Return the settings of a reading that are not those of now: "key 1/4, fill 1/8"."""
    if point.reading is None:
        return ""
    other = []
    for light in sitting.lights:
        if light.id in point.set_to:
            scale = light.dial.scale()
            then = scale.text(scale.parse(point.set_to[light.id]))
            if then != scale.text(light.setting_stops() or 0.0):
                other.append(f"{light.id} {then}")
    return ", ".join(other)


def held_words(found: MeterPlan, *, units: str) -> str:
    """Return which receptor is held how: "flat, facing the key"; a point of your own, how high."""
    names = {"camera": "the camera", "backdrop": "the backdrop", "up": "up"}
    facing = names.get(found.facing, f"the {found.facing}")
    up = f" {length_text(found.place_m[2], units=units)} up" if found.kind == "point" else ""
    if found.receptor == "reflected":
        patch = f"a patch of {found.patch_reflectance:.0%}{up}"
        return f"reflected, off {patch} that faces {facing}"
    on = " on the backdrop" if found.kind == "alone" and found.facing == "camera" else up
    return f"{found.receptor}{on}, facing {facing}"


def held_note(sitting: Sitting) -> str:
    """Return where a hair light is metered, as that may be taken otherwise; nothing without one."""
    hair = " and ".join(x.id for x in sitting.lights if x.role == "hair")
    return f"{hair}: at the mark too, as high as the eyes there, not at a head." if hair else ""
