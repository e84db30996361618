"""What the meter readings typed into a sitting say of its lights and of its room.

The plan shows it beside its predictions and goes on reckoning with the document's own figures;
`plan.fit_kept` copies it into a sitting.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from kinlight.errors import RangeError
from kinlight.geometry.vectors import Array
from kinlight.light.exposure import exposure_for_lxs
from kinlight.light.fit import FittedLight, band_sd_stops, fit_readings
from kinlight.light.misfit import amount_text
from kinlight.light.readings import METER_SD_STOPS, Otherwise, Reading
from kinlight.plan.lit import known_to_text, shares_of_full
from kinlight.plan.metering import (
    ambient_lxs,
    fires,
    meter_constant,
    numbers,
    shares_then,
)
from kinlight.quantities.stops import parse_meter_reading
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import MeterPoint
from kinlight.sitting.studio import Room
from kinlight.stage.lamps import Lamp
from kinlight.stage.receivers import Receiver
from kinlight.stage.scene import Scene, Transfer, stage_meter, transfer

ROOM_FACTORS = (0.5, 0.75, 1.0, 1.25)
"""On the stated reflectances of walls, ceiling and floor; between these the light is drawn in."""
WHITEST = 0.90
"""No surface is taken to reflect more, unless it is stated to: fresh white matt paint; common
practice, no source."""
_OTHER = {"dome": "the flat receptor", "flat": "the dome"}
_SURFACES = ("wall_reflectance", "ceiling_reflectance", "floor_reflectance")


@dataclass(frozen=True)
class LightFit:
    """What readings say of one light.

    Attributes
    ----------
    light : its name.
    stops : how much more it gives than its figures say, what was fitted before left aside [stop].
    correction_stops : how much more than the plan reckons with [stop].
    sd_stops : how well that is known, one standard deviation [stop].
    metered : whether the readings by themselves tell it, to half a stop or better.
    on : the day of the last reading that counts for it.
    said : the same in a sentence.
    """

    light: str
    stops: float
    correction_stops: float
    sd_stops: float
    metered: bool
    on: dt.date | None
    said: str


@dataclass(frozen=True)
class ReadingFit:
    """One reading, and how far it is over what the fitted lights lead to expect [stop]."""

    where: str
    residual_stops: float


@dataclass(frozen=True)
class FitPlan:
    """What all readings say together.

    Attributes
    ----------
    lights : one entry for each light; empty if nothing could be fitted.
    readings : those that count, in the order of the sitting.
    room_factor : on the stated reflectances of the room [-].
    room_fitted : whether it is clearly another than stated; if not, it is 1.
    room_at_limit : whether it lies at an end of the factors that were reckoned.
    room : the same in a sentence, or why the room was left as stated.
    wrong : the reading that does not fit the others, by its name; empty if all do.
    findings : what is wrong, one thing at a time; empty if all fits.
    unused : readings that say nothing of the lights, each with why.
    """

    lights: tuple[LightFit, ...]
    readings: tuple[ReadingFit, ...]
    room_factor: float
    room_fitted: bool
    room_at_limit: bool
    room: str
    wrong: str
    findings: tuple[str, ...]
    unused: tuple[tuple[str, str], ...]

    def lines(self) -> tuple[str, ...]:
        """Return everything to tell of it, what is wrong first."""
        unused = (f"reading '{where}' does not count: {why}" for where, why in self.unused)
        lights = (x.said for x in self.lights)
        return (*self.findings, *unused, *lights, *([self.room] if self.room else []))


@dataclass(frozen=True, eq=False)
class _Taken:
    """The readings with what each light brings to them, by room factor."""

    points: tuple[MeterPoint, ...]
    readings: tuple[Reading, ...]
    direct_lxs: Array
    bounced_lxs: Array


def fit_plan(sitting: Sitting, *, height_m: float) -> FitPlan | None:
    """Return what the readings of a settled sitting say; None if it states none.

    Parameters
    ----------
    height_m : of the mark's own receivers over the floor, as for `stage.scene.stage_meter`.

    Notes
    -----
    Each light starts from the estimate of its figures. What was fitted before counts instead if
    every reading of that light was taken on a later day: else it may rest on the same readings, and
    they would count twice.
    """
    if not any(point.reading for point in sitting.meter_points):
        return None
    bare = _less_fitted(sitting)
    scenes = [_scene(_with_room(bare, f), height_m) for f in room_factors(sitting.room)]
    moved = [transfer(scene) for scene in scenes]
    taken, unused = _taken(bare, moved)
    if not taken.points:
        return _nothing((), unused)
    lamps = scenes[0].lamps
    try:
        found = fit_readings(
            taken.readings,
            lights=[lamp.id for lamp in lamps],
            direct_lxs=taken.direct_lxs,
            bounced_lxs=taken.bounced_lxs,
            room_factors=room_factors(sitting.room),
            prior_stops=[_prior_stops(lamp) for lamp in lamps],
        )
    except RangeError as error:
        return _nothing(tuple(fault.sentence() for fault in error.faults), unused)
    return FitPlan(
        lights=tuple(_light(sitting, bare, taken, x) for x in found.lights),
        readings=tuple(ReadingFit(x.label, x.residual_stops) for x in found.readings),
        room_factor=found.room.factor,
        room_fitted=found.room.fitted,
        room_at_limit=found.room.at_limit,
        room=found.room.text(),
        wrong=found.misfit.label if found.misfit is not None else "",
        findings=found.findings(),
        unused=unused,
    )


def _nothing(findings: tuple[str, ...], unused: tuple[tuple[str, str], ...]) -> FitPlan:
    return FitPlan((), (), 1.0, False, False, room="", wrong="", findings=findings, unused=unused)


def room_factors(room: Room) -> tuple[float, ...]:
    """Return the factors at which a room is reckoned; of a black one nothing can be told."""
    black = not any(getattr(room, surface) for surface in _SURFACES)
    return (1.0,) if black else ROOM_FACTORS


def reflectances_at(room: Room, factor: float) -> dict[str, float]:
    """Return walls, ceiling and floor at a factor; none whiter than 0.90 or than stated."""
    stated = {surface: float(getattr(room, surface)) for surface in _SURFACES}
    return {name: min(factor * rho, max(rho, WHITEST)) for name, rho in stated.items()}


def _with_room(sitting: Sitting, factor: float) -> Sitting:
    values: dict[str, Any] = reflectances_at(sitting.room, factor) if factor != 1 else {}
    changed: Sitting = sitting.with_stated(room=sitting.room.with_stated(**values))
    return changed


def taken_on(sitting: Sitting, point: MeterPoint) -> dt.date | None:
    """Return the day of a reading; left out, that of the sitting."""
    return point.read_on or sitting.date


def _fired_for(sitting: Sitting, light: str) -> list[MeterPoint]:
    """Return the meter points with a reading in which a light counts."""
    read = [p for p in sitting.meter_points if p.reading and p.counts != "ambient"]
    return [p for p in read if not p.lights or light in p.lights]


def _less_fitted(sitting: Sitting) -> Sitting:
    """Return the sitting without those fitted outputs that may rest on readings it states."""
    lights = []
    for light in sitting.lights:
        known = light.fitted.on if light.fitted is not None else None
        days = [taken_on(sitting, point) for point in _fired_for(sitting, light.id)]
        later = known is not None and all(day is not None and day > known for day in days)
        keep = light.fitted is None or later or not days
        lights.append(light if keep else light.with_stated(fitted=None))
    changed: Sitting = sitting.with_stated(lights=tuple(lights))
    return changed


def _prior_stops(lamp: Lamp) -> tuple[float, float]:
    """Return how unsure a light is before the readings, below and above [stop]."""
    if lamp.output.metered:
        sd = max(lamp.output.above_stops, METER_SD_STOPS)
        return sd, sd
    return band_sd_stops(lamp.output.below_stops, lamp.output.above_stops)


def _scene(sitting: Sitting, height_m: float) -> Scene:
    """Return the empty set with each meter point once more, under the other receptor."""
    scene = stage_meter(sitting, height_m=height_m)
    turned = (r for r in scene.receivers if r.what == "meter")
    return replace(scene, receivers=(*scene.receivers, *(_otherwise(r) for r in turned)))


def _otherwise(receiver: Receiver) -> Receiver:
    return replace(receiver, what="otherwise", dome=not receiver.dome)


def _taken(
    sitting: Sitting, moved: Sequence[Transfer]
) -> tuple[_Taken, tuple[tuple[str, str], ...]]:
    """Return the readings that say something of the lights, and the others with why not."""
    stated = moved[room_factors(sitting.room).index(1.0)]
    points, unused = [], []
    for point in (p for p in sitting.meter_points if p.reading):
        light = stated.flash_lxs[stated.rows("meter", point.id)[0]] @ fires(sitting, point)
        if point.counts == "ambient":
            unused.append((point.id, "it is of the ambient light"))
        elif not light > 0 or not np.isfinite(meter_constant(sitting, point)):
            unused.append((point.id, "no light that fired arrives there"))
        else:
            points.append(point)
    shares = shares_of_full(sitting)
    rows = [stated.rows("meter", p.id)[0] for p in points]
    then = np.array([shares_then(sitting, p, shares) for p in points])
    readings = tuple(
        _reading(sitting, p, moved, stated, s) for p, s in zip(points, then, strict=True)
    )
    direct = stated.direct_lxs[rows] * then if points else np.zeros((0, len(sitting.lights)))
    bounced = np.array([_bounced(m, rows) * then for m in moved]) if points else direct[None]
    return _Taken(tuple(points), readings, direct, _at_all_factors(bounced)), tuple(unused)


def _bounced(moved: Transfer, rows: Sequence[int]) -> Array:
    return np.asarray(moved.bounced_lxs[:, list(rows)].sum(axis=0))


def _at_all_factors(bounced: Array) -> Array:
    """Return bounced light with what is there at some room factors only taken as nothing."""
    return np.where(bounced.min(axis=0) > 0, bounced, 0.0)


def _reading(
    sitting: Sitting, point: MeterPoint, moved: Sequence[Transfer], stated: Transfer, then: Array
) -> Reading:
    c = meter_constant(sitting, point)
    (row,) = stated.rows("meter", point.id)
    read = parse_meter_reading(point.reading)
    return Reading(
        label=point.id,
        fired=tuple(bool(on) for on in fires(sitting, point)),
        observed_lxs=float(exposure_for_lxs(read, iso=sitting.camera.iso, c=c)),
        ambient_lxs=ambient_lxs(sitting, point, stated, row),
        alternatives=_alternatives(sitting, point, moved, stated, then),
        number=numbers(sitting)[point.id],
    )


def _alternatives(
    sitting: Sitting, point: MeterPoint, moved: Sequence[Transfer], stated: Transfer, then: Array
) -> dict[str, Otherwise]:
    """Return what the other receptor would have shown, counted with this one's constant."""
    if point.receptor == "reflected":
        return {}
    domes = sitting.meter.c_dome, sitting.meter.c_flat
    own, other = domes if point.receptor == "dome" else domes[::-1]
    rows = stated.rows("otherwise", point.id)
    direct = stated.direct_lxs[rows][0] * then * own / other
    bounced = np.array([_bounced(m, rows)[0] for m in moved]) * then * own / other
    return {_OTHER[point.receptor]: Otherwise(direct, _at_all_factors(bounced))}


def _light(sitting: Sitting, bare: Sitting, taken: _Taken, found: FittedLight) -> LightFit:
    """Return what was found of a light, against its figures and against what the plan takes."""
    light = next(x for x in sitting.lights if x.id == found.light)
    kept = next(x for x in bare.lights if x.id == found.light).fitted
    before = light.fitted.stops if light.fitted is not None else 0.0
    stops = found.correction_stops + (kept.stops if kept is not None else 0.0)
    used = [p for p in taken.points if not p.lights or found.light in p.lights]
    days = [day for p in used if (day := taken_on(sitting, p)) is not None]
    correction = stops - before
    return LightFit(
        light=found.light,
        stops=stops,
        correction_stops=correction,
        sd_stops=found.sd_stops,
        metered=found.metered,
        on=max(days, default=None),
        said=_light_said(found, correction, taken=bool(used)),
    )


def _light_said(found: FittedLight, correction: float, *, taken: bool) -> str:
    """Return what readings say of a light, in a sentence."""
    if not taken:
        return f"{found.light}: no reading of it"
    if not found.metered:
        return f"{found.light}: the readings tell too little of it"
    known = f"known to {known_to_text(found.sd_stops)}"
    if abs(round(correction, 1)) == 0:
        return f"{found.light} gives what the plan reckons with, {known}"
    way = "more" if correction > 0 else "less"
    return (
        f"{found.light} gives {amount_text(correction)} {way} than the plan reckons with, {known}"
    )
