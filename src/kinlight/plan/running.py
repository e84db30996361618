"""The running order of a sitting: its programme, and what a stated order comes to."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence

import numpy as np

from kinlight.errors import Fault, SittingError
from kinlight.figures.growth import Body
from kinlight.group.abilities import Abilities
from kinlight.group.order import (
    Evaluation,
    Item,
    Programme,
    Sitter,
    evaluate,
    half_patience_loss,
    wait_items,
)
from kinlight.group.order_arrays import arrays_of
from kinlight.group.order_bound import bound
from kinlight.plan.model import HalfPatience, OrderLine, OrderPlan, PictureTime
from kinlight.quantities.lengths import length_text
from kinlight.quantities.times import parse_minutes
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Picture
from kinlight.sitting.studio import Break
from kinlight.stage.view import focal_length_mm

_WAIT = re.compile(r"wait (.+?)(?: \(\d+\))?$")


def sitters_of(sitting: Sitting, can: Mapping[str, Abilities]) -> tuple[Sitter, ...]:
    """Return when everyone is there and how long they are willing, from the sitting's start."""
    return tuple(
        Sitter(
            id=p.key,
            arrives_s=_after_start_s(sitting, p.arrives) if p.arrives else 0.0,
            leaves_s=_after_start_s(sitting, p.leaves) if p.leaves else float("inf"),
            away_s=tuple(
                (at, at + away.minutes_min * 60)
                for away in p.away
                for at in [_after_start_s(sitting, away.start)]
            ),
            patience_s=_seconds(can[p.key].patience_min),
        )
        for p in sitting.people
    )


def _seconds(minutes: float | None) -> float | None:
    return None if minutes is None else minutes * 60


def _after_start_s(sitting: Sitting, clock: dt.time) -> float:
    def minutes(t: dt.time) -> int:
        return t.hour * 60 + t.minute

    return (minutes(clock) - minutes(sitting.start)) * 60.0


def programme_of(
    sitting: Sitting,
    can: Mapping[str, Abilities],
    bodies: Mapping[str, Body],
    times: Mapping[str, PictureTime],
) -> Programme:
    """Return everything a running order can be chosen from."""
    sitters = sitters_of(sitting, can)
    pictures = [_picture_item(sitting, p, bodies, times[p.key]) for p in sitting.pictures]
    breaks = [_break_item(b, can) for b in sitting.breaks]
    return Programme(items=(*pictures, *breaks, *wait_items(sitters)), sitters=sitters)


def _picture_item(
    sitting: Sitting, picture: Picture, bodies: Mapping[str, Body], time: PictureTime
) -> Item:
    heavy = sitting.wishes.heavy_child_kg
    carried = {
        s.person for s in picture.places if s.posture == "hip" and bodies[s.person].mass_kg >= heavy
    }
    return Item(
        id=picture.key,
        duration_s=time.total_s,
        people=picture.people,
        value=picture.value,
        must=picture.must,
        carried=frozenset(carried),
        camera=f"{sitting.lens_for(picture).id} {focal_length_mm(sitting, picture):.0f}",
    )


def _break_item(pause: Break, can: Mapping[str, Abilities]) -> Item:
    children = [p for p, c in can.items() if c.patience_min is not None]
    people = pause.people or tuple(children)
    return Item(
        id=pause.id,
        duration_s=pause.lasts_min * 60,
        kind=pause.kind,
        people=people,
        restores_s={p: pause.restores_min * 60 for p in people if p in children},
    )


def stated_items(sitting: Sitting, programme: Programme) -> tuple[Item, ...]:
    """Return the items of the sitting's order; "wait 10 min" needs no entry of its own.

    Raises
    ------
    SittingError
        If the order names what is not there.
    """
    known = {item.id: item for item in programme.items}
    items = []
    for name in sitting.order:
        wait = _WAIT.fullmatch(name)
        if wait and name not in known:
            items.append(Item(name, parse_minutes(wait[1]) * 60, kind="wait"))
        elif name in known:
            items.append(known[name])
        else:  # a picture that was only proposed and has been proposed anew under another name
            remedy = "state that picture, or leave the order out to have it proposed"
            fault = Fault("names no picture or break there is", given=name, remedy=remedy)
            raise SittingError(fault.at("order"))
    return tuple(items)


def order_plan(
    sitting: Sitting,
    programme: Programme,
    found: Evaluation,
    times: Mapping[str, PictureTime],
    focus_m: Mapping[str, float],
    *,
    left_out: Sequence[tuple[str, str]],
) -> OrderPlan:
    """Return the running order as clock times, and what it rests on."""
    start = dt.datetime.combine(sitting.date or dt.date.min, sitting.start)
    items = [step.item for step in found.steps]
    changes = camera_changes(sitting, [item.id for item in items if item.is_picture], focus_m)
    lines = tuple(
        OrderLine(
            name=step.item.id,
            is_picture=step.item.is_picture,
            start=start + dt.timedelta(seconds=step.start_s),
            end=start + dt.timedelta(seconds=step.end_s),
            frames=times[step.item.id].frames if step.item.is_picture else 0,
            chance=step.chance,
            value=step.expected_value,
            change=changes.get(step.item.id, ""),
        )
        for step in found.steps
    )
    return OrderPlan(
        lines=lines,
        left_out=tuple(left_out),
        problems=found.sentences,
        expected_value=found.expected_value,
        possible_value=_possible_value(programme, found),
        half_patience=tuple(
            HalfPatience(lost.child, lost.pictures, lost.value)
            for sitter in programme.sitters
            if sitter.patience_s is not None
            for lost in [half_patience_loss(items, programme.sitters, child=sitter.id)]
        ),
    )


def _possible_value(programme: Programme, found: Evaluation) -> float:
    """Return the expected value that no order of these pictures can exceed [-]."""
    arrays = arrays_of(programme)
    values = np.array([item.value * item.is_picture for item in programme.items])
    limit = bound(arrays, values, known=found.expected_value).limit
    return max(found.expected_value, limit)


def evaluated(sitting: Sitting, programme: Programme) -> Evaluation:
    """Return what the sitting's stated order comes to."""
    return evaluate(stated_items(sitting, programme), programme.sitters, ends_s=programme.ends_s)


def camera_changes(
    sitting: Sitting, names: Sequence[str], focus_m: Mapping[str, float]
) -> dict[str, str]:
    """Return for each picture what to change at the camera since the one before.

    After a change of lens, or a zoom that does not hold its focus, the focus is set anew to the
    same plane of the room.

    Parameters
    ----------
    names : the pictures, in order.
    focus_m : for each, from the lens to the plane of focus [m].
    """
    pictures = {p.key: p for p in sitting.pictures}
    changes: dict[str, str] = {}
    before: Picture | None = None
    for name in names:
        picture = pictures[name]
        said = _lens_change(sitting, before, picture, focus_m[name]) + _turn(before, picture)
        changes[name] = "; ".join(said)
        before = picture
    return changes


def _lens_change(
    sitting: Sitting, before: Picture | None, picture: Picture, focus_m: float
) -> list[str]:
    lens, focal = sitting.lens_for(picture), focal_length_mm(sitting, picture)
    what = f"{focal:.0f} mm" if lens.is_zoom else lens.id
    again = f"refocus at {length_text(focus_m, units=sitting.preferences.units)}"
    if before is None:
        return [f"lens {lens.id}, {focal:.0f} mm" if lens.is_zoom else f"lens {lens.id}"]
    if sitting.lens_for(before).id != lens.id:
        return [f"change to lens {what} and {again}"]
    if focal_length_mm(sitting, before) != focal:
        return [f"zoom to {what}" + ("" if lens.holds_focus else f" and {again}")]
    return []


def _turn(before: Picture | None, picture: Picture) -> list[str]:
    was = before.orientation if before else "level"
    if was == picture.orientation:
        return []
    return ["camera upright"] if picture.orientation == "upright" else ["camera level"]
