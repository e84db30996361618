"""Copying what the meter showed from the record into a sitting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kinlight.plan.metering import MeterPlan
from kinlight.plan.model import Plan
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import MeterPoint
from kinlight.sitting.place import Place
from kinlight.studio.record import Reading


@dataclass(frozen=True)
class Learned:
    """A sitting with the readings of a record, how many they are, and what to say of the others."""

    sitting: Sitting
    count: int
    said: tuple[str, ...]


def with_readings(
    stated: Sitting, filled: Sitting, plan: Plan | None, last: Mapping[str, Reading]
) -> Learned:
    """Return a sitting with the last reading of each kind.

    A reading of the plan's own, of a light alone or of lights together, becomes a meter point.

    Parameters
    ----------
    stated : the sitting as its file states it.
    filled : the same with the usual set; meter points may come from there.
    plan : its plan; None if there is no reading.
    last : the readings by their names.
    """
    own = [p.id for p in filled.meter_points]
    usual = [] if plan is None else [m for m in plan.meter if m.where not in own]
    points = [*filled.meter_points, *(_as_point(m) for m in usual if m.where in last)]
    read = tuple(_read(p, last[p.id]) if p.id in last else p for p in points)
    known = {p.id for p in points}
    gone = tuple(
        f"Not copied: the reading of '{name}', since no reading of the plan is called so"
        for name in last
        if name not in known
    )
    count = sum(name in known for name in last)
    if not count:
        return Learned(stated, 0, gone)
    kept = {path: origin for path, origin in stated.origins.items() if path != "meter_points"}
    changed = stated.with_stated(meter_points=read)
    if stated.origins:
        changed = changed.with_stated(origins=kept)
    return Learned(changed, count, gone)


def _as_point(found: MeterPlan) -> MeterPoint:
    x, y, z = found.place_m
    return MeterPoint(
        id=found.where,
        place=Place(x_m=x, y_m=y, z_m=z),
        facing=found.facing,
        receptor=found.receptor,
        lights=found.fired if found.lights != "all" else (),
    )


def _read(point: MeterPoint, reading: Reading) -> MeterPoint:
    kept: MeterPoint = point.with_stated(
        reading=reading.shown, read_on=reading.at.date(), set_to=dict(reading.set_to)
    )
    return kept
