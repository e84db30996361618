"""Keeping what meter readings have shown: copied into a sitting, with its date."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kinlight.errors import Fault, SittingError
from kinlight.light.misfit import amount_text
from kinlight.plan.fit_plan import WHITEST, FitPlan, LightFit, reflectances_at
from kinlight.plan.lit import known_to_text
from kinlight.plan.model import Plan
from kinlight.sitting.base import document_key
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import MeterPoint
from kinlight.sitting.strobes import Fitted

MOST_STOPS = 6.0
"""A light is not taken to be farther than that from its figures: something else is wrong."""
_DIGITS = 3


@dataclass(frozen=True)
class FitKept:
    """A sitting with what its readings have shown, and what changed in it.

    Attributes
    ----------
    sitting : the sitting.
    fitted : what is now known of each light that the readings tell, by its id.
    room : the reflectances that changed, by their keys in the document.
    said : what changed and what did not, in sentences.
    """

    sitting: Sitting
    fitted: dict[str, Fitted]
    room: dict[str, float]
    said: tuple[str, ...]


def with_fit(stated: Sitting, filled: Sitting, plan: Plan) -> FitKept:
    """Return a sitting with the outputs, and the room, that its readings tell.

    Parameters
    ----------
    stated : the sitting as its file states it.
    filled : the same with its blanks filled from the usual set; lights may come from there.
    plan : its plan.

    Raises
    ------
    SittingError
        If there is no reading, one does not fit the others, or none tells the output of a light.
    """
    fit = _usable(plan)
    good = {x.light: _fitted(x) for x in fit.lights if x.metered and abs(x.stops) <= MOST_STOPS}
    lights_said = [_light_said(x, x.light in good) for x in fit.lights]
    if not good:
        raise SittingError([Fault(said) for said in lights_said])
    room = _room(filled, fit)
    lights = tuple(x.with_stated(fitted=good[x.id]) if x.id in good else x for x in filled.lights)
    points = tuple(_point_kept(plan, fit, p) for p in filled.meter_points)
    values = {"lights": lights, "meter_points": points}
    changed = stated.with_stated(**values)
    if room:
        changed = changed.with_stated(room=stated.room.with_stated(**room))
    paths = {"lights", "meter_points", *(f"room.{name}" for name in room)}
    origins = {path: origin for path, origin in changed.origins.items() if path not in paths}
    if changed.origins:
        changed = changed.with_stated(origins=origins)
    said = (*fit.findings, *lights_said, *_room_said(filled, fit, room), *_powers_said(plan))
    return FitKept(changed, good, {document_key(k): v for k, v in room.items()}, said)


def _usable(plan: Plan) -> FitPlan:
    """Return the fit of a plan if it may be kept."""
    fit = plan.fit
    if fit is None:
        remedy = "give meter points a reading, or copy those of the record with learned"
        raise SittingError(Fault("the sitting states no meter reading", remedy=remedy))
    if fit.wrong:
        remedy = "nothing is kept until that reading is mended or taken out"
        raise SittingError([Fault(finding, remedy=remedy) for finding in fit.findings])
    if not fit.lights:
        unused = (f"reading '{where}' does not count: {why}" for where, why in fit.unused)
        raise SittingError([Fault(said) for said in (*fit.findings, *unused)])
    return fit


def _fitted(found: LightFit) -> Fitted:
    return Fitted(
        stops=round(found.stops, _DIGITS), sd_stops=round(found.sd_stops, _DIGITS), on=found.on
    )


def _light_said(found: LightFit, kept: bool) -> str:
    """Return what became of a light, in a sentence."""
    if not found.metered:
        return f"{found.said}; nothing of it is changed"
    if not kept:
        far = f"{found.light}: {amount_text(found.stops)} is too far from its figures"
        return (
            f"{far} to be its output; check modifier, power and reading. Nothing of it is changed"
        )
    if abs(round(found.stops, 1)) == 0:
        figures = "what its figures say"
    else:
        way = "more" if found.stops > 0 else "less"
        figures = f"{amount_text(found.stops)} {way} than its figures say"
    on = f", metered {found.on}" if found.on is not None else ""
    return f"{found.light}: gives {figures}{on}, known to {known_to_text(found.sd_stops)}"


def _room(filled: Sitting, fit: FitPlan) -> dict[str, float]:
    """Return the reflectances that change, rounded to what a document shows."""
    if not fit.room_fitted:
        return {}
    found = reflectances_at(filled.room, fit.room_factor)
    return {
        name: round(rho, _DIGITS)
        for name, rho in found.items()
        if round(rho, _DIGITS) != getattr(filled.room, name)
    }


def _room_said(filled: Sitting, fit: FitPlan, room: dict[str, float]) -> Iterator[str]:
    if fit.room_at_limit:
        yield "room: as far from what is stated as is reckoned; look at the walls, then meter again"
    elif fit.room:
        yield f"room: {fit.room}"
    for name, rho in room.items():
        what = document_key(name).replace("_", " ")
        cap = ", no more than fresh white matt paint" if rho == WHITEST else ""
        yield f"room: {what} {getattr(filled.room, name):g} becomes {rho:g}{cap}"


def _powers_said(plan: Plan) -> Iterator[str]:
    proposed = [x.light for x in plan.lights if x.short_stops is not None]
    if proposed:
        yield f"the power of {', '.join(proposed)} is proposed anew; readings keep their settings"


def _point_kept(plan: Plan, fit: FitPlan, point: MeterPoint) -> MeterPoint:
    """Return a meter point whose reading counted with its day and the settings it was taken at.

    Powers may be proposed anew once the outputs are known; what it was read at must not follow.
    """
    if all(point.id != reading.where for reading in fit.readings):
        return point
    settings = {
        x.light: x.setting
        for x in plan.lights
        if (not point.lights or x.light in point.lights) and x.light not in point.set_to
    }
    kept: MeterPoint = point.with_stated(
        read_on=point.read_on or plan.sitting.date, set_to={**point.set_to, **settings}
    )
    return kept
