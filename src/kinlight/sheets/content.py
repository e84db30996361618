"""What stands on the set sheet, as plain text and lists: words and numbers of a plan, no layout."""

from __future__ import annotations

import re
from typing import Any

import kinlight
from kinlight.drawings.lettering import shortened
from kinlight.drawings.words import (
    camera_text,
    front_text,
    known_words,
    leeway_words,
    lens_text,
    light_name,
    metering_text,
    stated_picture,
    turned_text,
    unreckoned_text,
    where_text,
)
from kinlight.plan.checks import COLUMNS, Check
from kinlight.plan.lit import LightPlan
from kinlight.plan.model import OrderLine, PicturePlan, Plan, to_look_at
from kinlight.quantities.lengths import length_text
from kinlight.quantities.times import shutter_text, span_text
from kinlight.sheets.failing import what_fails

FIVE = ("Light", "Tape", "Focus", "Stops", "Clock")
_LONG_RUN = re.compile(r"\S{23,}")
_FOOTER_MM, _FOOTER_TYPE_MM = 120.0, 2.8


def content(plan: Plan) -> dict[str, Any]:
    """Return everything the sheet says, ready for JSON."""
    sitting = plan.sitting
    return {
        "title": sitting.title,
        "footer": shortened(sitting.title, _FOOTER_MM, _FOOTER_TYPE_MM),
        "date": f"{sitting.date.day} {sitting.date:%B %Y}" if sitting.date else "",
        "start": f"{sitting.start:%H:%M}",
        "version": kinlight.__version__,
        "verdict": plan.verdict,
        "look": to_look_at(plan.to_make),
        "unreckoned": unreckoned_text(plan),
        "metering": metering_text(plan),
        "five": [list(pair) for pair in zip(FIVE, plan.first_five, strict=True)],
        "camera": _camera_rows(plan),
        "lights": [_light_row(plan, x) for x in plan.lights],
        "tapes": _tape_rows(plan),
        "spots": _sentence(plan.spots.sentence),
        "assumed": list(plan.assumed),
        "proposed": _sentence("; ".join(plan.proposed)),
        "columns": list(COLUMNS),
        "hold": [_hold_row(p) for p in plan.to_make],
        "trouble": [[list(kind.lines), kind.remedy] for kind in what_fails(plan)],
        "order": _order_rows(plan),
        "left_out": [list(pair) for pair in plan.order.left_out],
        "problems": list(plan.order.problems),
        "half": [_half_text(plan, x.child, x.pictures) for x in plan.order.half_patience],
        "meter": [
            [m.where, "all", m.receptor, m.expected, m.stated]
            for m in plan.meter
            if m.kind == "together"
        ],
        "cautions": list(plan.cautions),
        "closing": _closing(plan),
    }  # fmt: skip


def _closing(plan: Plan) -> str:
    """Return the last line: what is still to do before the family has all the attention."""
    if not plan.holds:
        return "Mend what fails, plan again, then look at the family."
    if any(max(x.band_stops) > 0 and not x.metered for x in plan.lights):
        return "Tape it, meter it, set the dials by what the meter shows. Then look at the family."
    return "Tape it, and look at the family."


def _sentence(text: str) -> str:
    """Return words as a sentence, with a capital and a full stop; nothing stays nothing."""
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _camera_rows(plan: Plan) -> list[list[str]]:
    sitting, units = plan.sitting, plan.sitting.preferences.units
    place = sitting.camera.place
    height = length_text(place.xyz_m()[2], units=units) if place else ""
    aim = sitting.camera.aim_height_m
    rows = [
        ["set to", camera_text(sitting)],
        ["lenses", "; ".join(_lenses(plan))],
        ["lens height", height],
        ["aimed at", f"{length_text(aim, units=units)} over the mark" if aim is not None else ""],
        ["turned upright", turned_text(plan)],
        ["focus on", f"{_name(plan, plan.focus.person)}'s near eye in {plan.focus.picture}"],
    ]
    return [row for row in rows if row[1]]


def _lenses(plan: Plan) -> list[str]:
    """Return the lenses used, each with the focal lengths it is used at."""
    used: dict[str, list[PicturePlan]] = {}
    for picture in plan.to_make:
        used.setdefault(picture.lens, []).append(picture)
    said = []
    for lens in sorted(used):
        first, *_, last = sorted(used[lens] * 2, key=lambda p: p.focal_length_mm)
        low, high = f"{first.focal_length_mm:.0f}", f"{last.focal_length_mm:.0f}"
        same = low == high
        said.append(lens_text(plan.sitting, first) if same else f"{lens}, {low} to {high} mm")
    return said


def _name(plan: Plan, person: str) -> str:
    return plan.sitting.person(person).name


def _light_row(plan: Plan, found: LightPlan) -> dict[str, str]:
    light = next(x for x in plan.sitting.lights if x.id == found.light)
    return {
        "name": light_name(light),
        "front": front_text(light, plan.sitting.preferences.units),
        "setting": found.setting,
        "reading": found.reading,
        "band": known_words(found),
        "recycle": span_text(found.recycle_s),
        "t01": f"{shutter_text(found.t01_s)} s".replace(" s s", " s"),
    }


def _tape_rows(plan: Plan) -> list[list[str]]:
    units = plan.sitting.preferences.units
    return [
        [
            t.what,
            length_text(t.distance_m, units=units),
            t.aside.replace(" degrees from the lens line", "°"),
            length_text(t.height_m, units=units) if t.height_m is not None else "",
        ]
        for t in plan.tapes
    ]


def _hold_row(picture: PicturePlan) -> dict[str, Any]:
    cells = [_cell(picture.cell(column)) for column in COLUMNS]
    return {"name": picture.name, "must": picture.must, "cells": cells}


def _cell(check: Check) -> list[str]:
    return [check.verdict, leeway_words(check)]


def _order_rows(plan: Plan) -> list[dict[str, Any]]:
    """Return the running order; where the focal length changes, what to do at the camera first."""
    rows, before = [], None
    pictures = {p.name: p for p in plan.pictures}
    for line in plan.order.lines:
        row = _order_row(plan, line)
        if line.is_picture:
            now = pictures[line.name].lens, pictures[line.name].focal_length_mm
            row["change"] = _sentence(line.change) if before not in (None, now) else ""
            before = now
        rows.append(row)
    return rows


def _order_row(plan: Plan, line: OrderLine) -> dict[str, Any]:
    if not line.is_picture:
        minutes = round((line.end - line.start).total_seconds() / 60)
        return {"time": f"{line.start:%H:%M}", "name": line.name, "minutes": minutes}
    picture = next(p for p in plan.pictures if p.name == line.name)
    stated = stated_picture(plan.sitting, line.name)
    who = "; ".join(_name(plan, person) for person in picture.people)
    return {
        "time": f"{line.start:%H:%M}",
        "name": line.name,
        "who": "" if all(_name(plan, p) in line.name for p in picture.people) else who,
        "frames": line.frames,
        "lens": lens_text(plan.sitting, picture),
        "way": "upright" if picture.upright else "level",
        "where": [where_text(plan.sitting, s) for s in sorted(stated.places, key=lambda s: s.x_m)],
    }


def _half_text(plan: Plan, child: str, pictures: tuple[str, ...]) -> str:
    if not pictures:
        return f"{_name(plan, child)}: nothing is lost"
    return f"{_name(plan, child)}: {'; '.join(pictures)}"


def view_caption(plan: Plan, picture: PicturePlan) -> dict[str, Any]:
    """Return what stands under a front view: name, lens, sizes, and who is where."""
    by_x = sorted(picture.scene.figures, key=lambda f: float(f.face.nose_m[0]))
    sizes = ", ".join(cut.size for cut in picture.framing.cuts)
    way = "upright" if picture.upright else "level"
    return {
        "name": picture.name,
        "line": f"{lens_text(plan.sitting, picture)}, {way}; for {sizes}",
        "who": "; ".join(_name(plan, f.person) for f in by_x) if len(by_x) > 1 else "",
    }


def breakable(words: Any) -> Any:
    """Return words of any depth in which a run of letters too long for a column may be broken.

    Between its letters stand zero-width spaces, which print as nothing.
    """
    if isinstance(words, dict):
        return {key: breakable(inner) for key, inner in words.items()}
    if isinstance(words, list | tuple):
        return [breakable(inner) for inner in words]
    if isinstance(words, str):
        return _LONG_RUN.sub(lambda run: "\u200b".join(run[0]), words)
    return words
