"""Whether the strobes can give the light wanted, what meters will show, and how faces are lit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinlight.errors import Fault, SittingError
from kinlight.geometry.vectors import Array
from kinlight.light.exposure import exposure_for_lxs, f_number_for, flash_over_ambient_stops
from kinlight.light.timing import fastest_rhythm_s, flash_time_s, recycle_s
from kinlight.optics.motion import flash_t01_s
from kinlight.quantities.power import fraction_of_full
from kinlight.quantities.stops import (
    exact_f_number,
    meter_text,
    parse_meter_reading,
    stops,
)
from kinlight.sitting.document import Sitting
from kinlight.sitting.strobes import Light
from kinlight.stage.lamps import Lamp
from kinlight.stage.scene import Transfer

RECYCLE_MARGIN_S = 0.2
"""Kept between a strobe's ready signal and the next frame: common practice, no source."""
USUAL_T01_S = 1 / 300
"""Assumed where a maker's figure is missing; 1/150 to 1/1000 s are usual (from memory)."""


@dataclass(frozen=True)
class LightPlan:
    """One strobe as it is set.

    `set_stops` is the setting in stops below full; `reading` what a flat receptor will show for it
    alone: at the mark facing the light, or for a backdrop light on the backdrop; `band_stops` how
    far its true output may lie below and above the estimate.
    """

    light: str
    role: str
    setting: str
    set_stops: float
    reading: str
    reading_f_number: float
    band_stops: tuple[float, float]
    recycle_s: float
    t01_s: float


@dataclass(frozen=True)
class FaceLight:
    """How one face is lit, in stops from the working aperture unless said otherwise."""

    person: str
    reading: str
    from_aperture_stops: float
    shadow_from_key_stops: float
    hair_from_aperture_stops: float | None
    key_side: str


@dataclass(frozen=True)
class MeterPlan:
    """A reading to expect; `stated` is what the meter showed, if the sitting says so."""

    where: str
    lights: str
    receptor: str
    expected: str
    expected_f_number: float
    stated: str
    off_stops: float | None

    def off_from(self, read_f_number: float) -> float | None:
        """Return how far a reading is from the expected one [stop]; None if none is expected."""
        if self.expected_f_number <= 0:
            return None
        return 2 * stops(read_f_number / self.expected_f_number)


def working_f_number(sitting: Sitting) -> float:
    """Return the settled working aperture, exact [-]."""
    if sitting.camera.f_number is None:
        remedy = "run kinlight settle first"
        raise SittingError(Fault("is blank", where="camera, f_number", remedy=remedy))
    return exact_f_number(sitting.camera.f_number)


def shares_of_full(sitting: Sitting) -> Array:
    """Return the settled powers as shares of full, one per light [-]."""
    settings = [light.setting_stops() for light in sitting.lights]
    blank = [x.id for x, s in zip(sitting.lights, settings, strict=True) if s is None]
    if blank:
        problem, remedy = "has no power", "run kinlight settle first"
        raise SittingError([Fault(problem, where=f"light '{n}'", remedy=remedy) for n in blank])
    return np.array([fraction_of_full(s) for s in settings if s is not None])


def t01_of(light: Light, below_full_stops: float) -> float:
    """Return the t0.1 of a light at a setting [s]."""
    full = USUAL_T01_S
    if light.t01_s is not None or light.t05_s is not None:
        full = flash_t01_s(t05_s=light.t05_s, t01_s=light.t01_s, cut_off=light.cut_off)
    lowest = light.t01_lowest_s or full
    return flash_time_s(below_full_stops, full_s=full, lowest_s=lowest, scale=light.dial.scale())


def recycle_of(light: Light, below_full_stops: float) -> float:
    """Return the recycle time of a light at a setting [s]."""
    return recycle_s(
        below_full_stops,
        full_s=light.recycle_s,
        lowest_s=min(light.recycle_lowest_s, light.recycle_s),
        scale=light.dial.scale(),
    )


def rhythm_s(sitting: Sitting) -> float:
    """Return the fastest safe rhythm at the settled powers [s]; 0 without lights."""
    times = [
        recycle_of(light, s) for light in sitting.lights if (s := light.setting_stops()) is not None
    ]
    return fastest_rhythm_s(times, margin_s=RECYCLE_MARGIN_S) if times else 0.0


def face_shares(sitting: Sitting, shares: Array) -> Array:
    """Return the powers of the lights that count on a face; those of hair and backdrop are 0 [-].

    Nothing blocks light yet: a hair light would seem to reach the chin through the head.
    """
    on_faces = [light.role in ("key", "fill") for light in sitting.lights]
    return shares * np.array(on_faces, dtype=np.float64)


def face_flash_t01_s(sitting: Sitting, moved: Transfer, shares: Array, person: str) -> float:
    """Return the longest t0.1 among lights that give a quarter or more of a face's light [s]."""
    row = moved.rows("chin", person)[0]
    light = moved.flash_lxs[row] * face_shares(sitting, shares)
    main = light >= 0.25 * light.sum()
    times = [
        t01_of(lamp, lamp.setting_stops() or 0.0)
        for lamp, counts in zip(sitting.lights, main, strict=True)
        if counts
    ]
    return max(times, default=USUAL_T01_S)


def ambient_below_stops(sitting: Sitting, moved: Transfer, shares: Array, person: str) -> float:
    """Return how far ambient and modelling light lie under the flash at a face [stop]."""
    row = moved.rows("chin", person)[0]
    flash = float(moved.flash_lxs[row] @ face_shares(sitting, shares))
    steady = sitting.room.ambient_lx + float(moved.modelling_lx[row].sum())
    if steady == 0:
        return float("inf")
    return float(
        flash_over_ambient_stops(flash, ambient_lx=steady, time_s=sitting.camera.shutter_s)
    )


def face_lights(sitting: Sitting, moved: Transfer, shares: Array) -> tuple[FaceLight, ...]:
    """Return how every face of a picture is lit."""
    people = [r.whose for r in moved.receivers if r.what == "chin"]
    return tuple(_face_light(sitting, moved, shares, p) for p in people)


def _face_light(sitting: Sitting, moved: Transfer, shares: Array, person: str) -> FaceLight:
    aperture, iso = working_f_number(sitting), sitting.camera.iso
    roles = np.array([light.role for light in sitting.lights])
    on_face = face_shares(sitting, shares)
    chin = float(moved.flash_lxs[moved.rows("chin", person)[0]] @ on_face)
    reading = float(f_number_for(chin, iso=iso, c=sitting.meter.c_dome))
    cheeks = {
        side: float(moved.flash_lxs[moved.rows(f"cheek {side}", person)[0]] @ on_face)
        for side in ("left", "right")
    }
    key_side = max(cheeks, key=lambda side: cheeks[side])
    shadow = min(cheeks.values())
    hair = None
    if "hair" in roles:
        h = float(moved.flash_lxs[moved.rows("hair", person)[0]] @ (shares * (roles == "hair")))
        hair = _stops(h, float(exposure_for_lxs(aperture, iso=iso, c=sitting.meter.c_flat)))
    return FaceLight(
        person=person,
        reading=meter_text(reading) if reading > 0 else "nothing",
        from_aperture_stops=_stops(reading**2, aperture**2),
        shadow_from_key_stops=_stops(shadow, cheeks[key_side]),
        hair_from_aperture_stops=hair,
        key_side=key_side,
    )


def _stops(value: float, against: float) -> float:
    """Return log2 of a ratio; a very dark value counts as 20 stops under."""
    return stops(max(value, 1e-6 * against) / against) if against > 0 else 0.0


def backdrop_stops(sitting: Sitting, moved: Transfer, shares: Array) -> float:
    """Return the light on the backdrop from the working aperture, flat receptor [stop]."""
    light = float((moved.flash_lxs[moved.rows("backdrop")] @ shares).mean())
    wanted = exposure_for_lxs(
        working_f_number(sitting), iso=sitting.camera.iso, c=sitting.meter.c_flat
    )
    return _stops(light, float(wanted))


def light_plans(
    sitting: Sitting,
    lamps: Sequence[Lamp],
    moved: Transfer,
) -> tuple[LightPlan, ...]:
    """Return how each strobe is set and what it alone will read at the mark."""
    plans = []
    for k, (light, lamp) in enumerate(zip(sitting.lights, lamps, strict=True)):
        setting = light.setting_stops() or 0.0
        row = _own_row(moved, light)
        lxs = float(moved.flash_lxs[row, k].mean()) * fraction_of_full(setting)
        shown = float(f_number_for(lxs, iso=sitting.camera.iso, c=sitting.meter.c_flat))
        plans.append(
            LightPlan(
                light=light.id,
                role=light.role,
                setting=light.dial.scale().text(setting),
                set_stops=setting,
                reading=meter_text(shown) if shown > 0 else "nothing",
                reading_f_number=shown,
                band_stops=(lamp.output.below_stops, lamp.output.above_stops),
                recycle_s=recycle_of(light, setting),
                t01_s=t01_of(light, setting),
            )
        )
    return tuple(plans)


def _own_row(moved: Transfer, light: Light) -> list[int]:
    """Return where a light is metered alone: at the mark facing it, or on the backdrop."""
    return moved.rows("backdrop") if light.role == "backdrop" else moved.rows("toward", light.id)


def meter_plans(sitting: Sitting, moved: Transfer, shares: Array) -> tuple[MeterPlan, ...]:
    """Return the readings to expect at the sitting's meter points, beside those stated."""
    plans = []
    for point in sitting.meter_points:
        row = moved.rows("meter", point.id)[0]
        on = np.array([not point.lights or x.id in point.lights for x in sitting.lights])
        c = sitting.meter.c_dome if point.receptor == "dome" else sitting.meter.c_flat
        lxs = float(moved.flash_lxs[row] @ (shares * on))
        shown = float(f_number_for(lxs, iso=sitting.camera.iso, c=c))
        plan = MeterPlan(
            where=point.id,
            lights=" + ".join(point.lights) or "all",
            receptor=point.receptor,
            expected=meter_text(shown) if shown > 0 else "nothing",
            expected_f_number=shown,
            stated=point.reading or "",
            off_stops=None,
        )
        if point.reading is not None:
            plan = replace(plan, off_stops=plan.off_from(parse_meter_reading(point.reading)))
        plans.append(plan)
    return tuple(plans)


def exposure_stops(sitting: Sitting, moved: Transfer, shares: Array) -> float:
    """Return the dome reading at the mark from the working aperture, key and fill on [stop]."""
    light = float(moved.flash_lxs[moved.rows("mark")[0]] @ face_shares(sitting, shares))
    wanted = exposure_for_lxs(
        working_f_number(sitting), iso=sitting.camera.iso, c=sitting.meter.c_dome
    )
    return _stops(light, float(wanted))
