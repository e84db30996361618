"""Whether the strobes can give the light wanted, what meters will show, and how faces are lit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import Fault, SittingError
from kinlight.geometry.vectors import Array
from kinlight.light.exposure import exposure_for_lxs, f_number_for, flash_over_ambient_stops
from kinlight.light.output import OutputEstimate
from kinlight.light.powers import LightPower
from kinlight.light.readings import METER_SD_STOPS
from kinlight.light.timing import fastest_rhythm_s, flash_time_s, recycle_s
from kinlight.optics.motion import flash_t01_s
from kinlight.quantities.power import fraction_of_full
from kinlight.quantities.stops import exact_f_number, meter_text, stops
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
    alone: at the mark facing the light, or for a backdrop light on the backdrop behind the mark;
    `band_stops` how far its true output may lie below and above what is reckoned with, if it is
    `metered` one standard deviation; `known` where that comes from, in words. `short_stops` is how
    much weaker it is set than the wishes ask for, and `limit` what keeps it from them; null and
    empty if its power is stated.
    """

    light: str
    role: str
    setting: str
    set_stops: float
    reading: str
    reading_f_number: float
    band_stops: tuple[float, float]
    metered: bool
    known: str
    short_stops: float | None
    limit: str
    recycle_s: float
    t01_s: float


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
    """Return the powers of key and fill; those of hair and backdrop lights are 0 [-]."""
    on_faces = [light.role in ("key", "fill") for light in sitting.lights]
    return shares * np.array(on_faces, dtype=np.float64)


def exposing_shares(sitting: Sitting, shares: Array) -> Array:
    """Return the powers of all lights by which faces are exposed: all but the hair lights' [-].

    These graze a cheek at most; a dome under the chin, which sees far round it, is shaded from them
    or read with them off.
    """
    return shares * np.array([light.role != "hair" for light in sitting.lights], dtype=np.float64)


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


def stops_from(value: float, against: float) -> float:
    """Return log2 of a ratio; a very dark value counts as 20 stops under."""
    return stops(max(value, 1e-6 * against) / against) if against > 0 else 0.0


def backdrop_stops(sitting: Sitting, moved: Transfer, shares: Array) -> float:
    """Return the light on the backdrop from the working aperture, flat receptor [stop]."""
    light = float((moved.flash_lxs[moved.rows("backdrop")] @ shares).mean())
    wanted = exposure_for_lxs(
        working_f_number(sitting), iso=sitting.camera.iso, c=sitting.meter.c_flat
    )
    return stops_from(light, float(wanted))


def light_plans(
    sitting: Sitting,
    lamps: Sequence[Lamp],
    moved: Transfer,
    *,
    asked: Sequence[LightPower] = (),
) -> tuple[LightPlan, ...]:
    """Return how each strobe is set and what it alone will read at the mark.

    `asked` is what the wishes ask of the lights whose power is proposed.
    """
    plans, wanted = [], {power.light: power for power in asked}
    for k, (light, lamp) in enumerate(zip(sitting.lights, lamps, strict=True)):
        setting = light.setting_stops() or 0.0
        lxs = float(moved.flash_lxs[alone_row(moved, light), k]) * fraction_of_full(setting)
        power = wanted.get(light.id)
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
                metered=lamp.output.metered,
                known=known_text(light, lamp.output),
                short_stops=None if power is None else setting - power.asked_stops,
                limit="" if power is None or power.fault is None else power.fault.sentence(),
                recycle_s=recycle_of(light, setting),
                t01_s=t01_of(light, setting),
            )
        )
    return tuple(plans)


def alone_row(moved: Transfer, light: Light) -> int:
    """Return where a light is metered alone: at the mark facing it, or behind it on the backdrop.

    One spot, as a meter is held at one: of the points on the backdrop the middle one.
    """
    if light.role != "backdrop":
        return moved.rows("toward", light.id)[0]
    rows = moved.rows("backdrop")
    return rows[len(rows) // 2]


def known_text(light: Light, output: OutputEstimate) -> str:
    """Return where the output of a light comes from: "metered 2026-05-30, known to 0.2 stop"."""
    if light.fitted is not None:
        on = f" {light.fitted.on}" if light.fitted.on is not None else ""
        return f"metered{on}, known to {known_to_text(light.fitted.sd_stops)}"
    return "estimate" if output.assumed else "from stated figures, not metered"


def known_to_text(sd_stops: float) -> str:
    """Return how well something metered is known; never better than a meter repeats itself."""
    return f"{max(sd_stops, METER_SD_STOPS):.1f} stop"


def exposure_stops(sitting: Sitting, moved: Transfer, shares: Array) -> float:
    """Return the dome reading at the mark from the working aperture, key and fill on [stop]."""
    light = float(moved.flash_lxs[moved.rows("mark")[0]] @ face_shares(sitting, shares))
    wanted = exposure_for_lxs(
        working_f_number(sitting), iso=sitting.camera.iso, c=sitting.meter.c_dome
    )
    return stops_from(light, float(wanted))
