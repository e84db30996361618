"""Whether the light holds: exposure, the strobes' range, sync, and light that is not flash."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kinlight.light.tables import iso_speeds
from kinlight.plan.checks import EASY_STOPS, Check
from kinlight.plan.lit import LightPlan, known_to_text, working_f_number
from kinlight.quantities.stops import exact_f_number, f_number_text, stops, stops_text
from kinlight.quantities.times import shutter_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Lens

_ESTIMATE = "only an estimate, within {:.1f} stop: meter it first"
_AT_END_STOPS = 0.05
"""A setting this near the end of its range stands at it; settings are shown in tenths."""


def lit_checks(
    sitting: Sitting,
    lights: Sequence[LightPlan],
    *,
    exposure_off_stops: float,
    backdrop: float,
    ambient_below: float,
) -> tuple[Check, ...]:
    """Return the checks of the Lit column: exposure, power, sync, ambient light.

    Parameters
    ----------
    exposure_off_stops : the mark's reading from the working aperture [stop].
    backdrop : light on the backdrop from the working aperture [stop].
    ambient_below : steady light under the flash at the face where it is nearest [stop].
    """
    off = {plan.light: wish_off_stops(sitting, plan, lights, backdrop) for plan in lights}
    return (
        _exposure_check(sitting, lights, exposure_off_stops),
        *(_power_check(sitting, plan, off[plan.light]) for plan in lights),
        _sync_check(sitting),
        _ambient_check(sitting, ambient_below),
    )


def aperture_check(f_number: float, lens: Lens) -> Check:
    """Return whether a picture's lens has the working aperture, exact [-]."""
    wide, small = exact_f_number(lens.widest), exact_f_number(lens.smallest)
    leeway = round(2 * min(stops(f_number / wide), stops(small / f_number)), 2)
    said = f"lens {lens.id} has f/{lens.widest:g} to f/{lens.smallest:g}"
    if leeway < 0:
        said += f", not {f_number_text(f_number)}"
    return Check("Lit", "aperture", leeway, "stop", 0.0, f"{leeway:.1f} stop", said, EASY_STOPS)


def _exposure_check(sitting: Sitting, lights: Sequence[LightPlan], off_stops: float) -> Check:
    leeway = sitting.wishes.exposure_within_stops - abs(off_stops)
    front = [plan for plan in lights if plan.role in ("key", "fill")]
    said = f"the mark reads {stops_text(off_stops)} from the working aperture"
    if any(max(plan.band_stops) > 0 and not plan.metered for plan in front):
        said += ", by estimates until metered"
    if not front:
        said = "no key or fill lights the mark: add one"
    elif leeway < 0 and off_stops < 0:
        iso = _marked_iso(sitting.camera.iso * 2**-off_stops)
        front = [plan for plan in lights if plan.role in ("key", "fill")]
        at_full = [plan.light for plan in front if plan.set_stops < _AT_END_STOPS]
        who = f"{' and '.join(at_full)} at full power" if at_full else "these powers"
        raised = f"raise ISO to {iso:g}, " if iso else ""
        said += f" with {who}: {raised}open the lens, or move the light closer"
    elif leeway < 0:
        said += ": lower a power, lower ISO, or move the light away"
    return Check(
        "Lit",
        "exposure",
        leeway,
        "stop",
        0.0,
        f"{abs(off_stops):.1f} stop off",
        said,
        sitting.wishes.exposure_within_stops,
    )


def _marked_iso(least: float) -> float | None:
    """Return the lowest marked ISO speed that is enough, to a thirtieth of a stop; None if none."""
    enough = [speed for speed in iso_speeds() if speed >= least * 2 ** (-1 / 30)]
    return min(enough, default=None)


def wish_off_stops(
    sitting: Sitting, plan: LightPlan, lights: Sequence[LightPlan], backdrop: float
) -> float:
    """Return how far a light is from what was wished of it [stop]; 0 for the key.

    Fill is wished under the key, each alone; hair and backdrop light against the aperture.
    """
    wishes, shown = sitting.wishes, plan.reading_f_number
    keys = [x.reading_f_number for x in lights if x.role == "key"]
    if plan.role == "backdrop":
        return backdrop - wishes.backdrop_from_key_stops
    if plan.role == "hair" and shown > 0:
        return 2 * stops(shown / working_f_number(sitting)) - wishes.hair_from_key_stops
    if plan.role == "fill" and keys and keys[0] > 0 and shown > 0:
        return 2 * stops(shown / keys[0]) + wishes.fill_below_key_stops
    return 0.0


def _power_check(sitting: Sitting, plan: LightPlan, off_stops: float) -> Check:
    """Return how far a setting is from the ends of its range, or by how much it misses its wish.

    A light away from both ends could be set to the wish, so that missing it is meant.
    """
    light = next(x for x in sitting.lights if x.id == plan.light)
    below, above = plan.band_stops
    lowest = light.dial.scale().lowest_stops - plan.set_stops
    ends = [(plan.set_stops, below, "full"), (lowest, above, "lowest")]
    leeway, band, end = min(ends, key=lambda e: e[0] - e[1])
    said = f"{plan.light} at {plan.setting} is {leeway:.1f} stop from {end} power"
    if leeway < band:
        known = f"known to {known_to_text(band)}" if plan.metered else _ESTIMATE.format(band)
        said += f", and its output is {known}"
    text = f"{leeway:.1f} stop"
    spare = sitting.wishes.exposure_within_stops - abs(off_stops)
    if min(plan.set_stops, lowest) < _AT_END_STOPS and spare < 0:
        leeway, band, text = spare, 0.0, f"{abs(off_stops):.1f} stop off"
        way = "less" if off_stops < 0 else "more"
        said = f"{plan.light} at {plan.setting} gives {abs(off_stops):.1f} stop {way} than wished"
        said += f": {plan.limit}" if plan.limit else ""
    return Check("Lit", f"power of {plan.light}", leeway, "stop", band, text, said, EASY_STOPS)


def _sync_check(sitting: Sitting) -> Check:
    spare = round(stops(sitting.camera.shutter_s / sitting.camera.sync_s), 2)
    shutter, sync = shutter_text(sitting.camera.shutter_s), shutter_text(sitting.camera.sync_s)
    said = f"shutter {shutter}, sync {sync}"
    if spare < 0:
        said += ": part of the frame would miss the flash"
    return Check("Lit", "sync", spare, "stop", 0.0, f"{spare:.1f} stop", said, EASY_STOPS)


def _ambient_check(sitting: Sitting, below: float) -> Check:
    leeway = below - sitting.wishes.ambient_below_stops
    way = "under" if below >= 0 else "over"
    said = f"ambient light lies {abs(below):.1f} stops {way} the flash"
    if math.isinf(below):
        said = "there is no light but the flash" if below > 0 else "no flash reaches the faces"
    text = "" if math.isinf(leeway) else f"{leeway:.1f} stop"
    return Check("Lit", "ambient light", leeway, "stop", 0.0, text, said, EASY_STOPS)
