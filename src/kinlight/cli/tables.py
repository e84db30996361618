"""What the tables of a plan say, cell by cell."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rich.text import Text

from kinlight.drawings.words import (
    band_words,
    dial_text,
    known_words,
    leeway_words,
    metering_text,
    turned_text,
)
from kinlight.light.stands import pull_text
from kinlight.plan.checks import COLUMNS, Check
from kinlight.plan.metering import held_note, held_words
from kinlight.plan.model import OrderLine, PicturePlan, Plan
from kinlight.plan.steady import StandPlan
from kinlight.quantities.lengths import length_text
from kinlight.quantities.stops import f_number_text, stops_text
from kinlight.quantities.times import shutter_text, span_text

Row = tuple[str | Text, ...]
_STYLE = {"holds": "", "tight": "underline", "fails": "bold reverse"}


@dataclass(frozen=True)
class Block:
    """A table: its title, the heads of its columns, its rows; a row may continue the one before.

    A row that continues has nothing in its first cell. What is the same in every row can be said
    once, in `beneath`.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    beneath: Row = ()


def hold_table(plan: Plan) -> Block:
    """Return for every picture the tightest check of each column; what is common, once."""
    cells = {column: [_cell(p.cell(column)) for p in plan.to_make] for column in COLUMNS}
    common = [c for c in COLUMNS if len(cells[c]) > 2 and all(x == cells[c][0] for x in cells[c])]
    shown = [c for c in COLUMNS if c not in common]
    names = [p.name for p in plan.to_make]
    return Block(
        "Does the set hold? The tightest check of each",
        ("Picture", *shown),
        tuple(zip(names, *(cells[c] for c in shown), strict=True)),
        tuple(Text.assemble(f"{c}, in all of them: ", cells[c][0]) for c in common),
    )


def _cell(check: Check) -> Text:
    text = Text().append(check.verdict, style=_STYLE[check.verdict])
    return text.append(f" {leeway_words(check)}")


def order_table(plan: Plan) -> Block:
    """Return the running order; who is in a picture is said where its name does not."""
    people = {p.name: p for p in plan.pictures}
    rows = [_order_row(line, people.get(line.name)) for line in plan.order.lines]
    heads = ("Time", "Picture", "At the camera", "Frames", "Willing")
    reached, most = plan.order.expected_value, plan.order.possible_value
    worth = f"By the values given this order is expected to bring {reached:.1f}"
    if most > reached * 1.0005:
        worth += f"; no order of these pictures can bring more than {most:.1f}"
    return Block("Running order", heads, tuple(rows), (f"{worth}.",))


def _order_row(line: OrderLine, picture: PicturePlan | None) -> Row:
    time = f"{line.start:%H:%M}"
    if picture is None:
        return time, line.name, "", "", ""
    unnamed = not all(re.search(rf"\b{re.escape(p)}\b", line.name) for p in picture.people)
    name = f"{line.name}: {'; '.join(picture.people)}" if unnamed else line.name
    needed = picture.time.needed
    spread = f" ({needed.least} to {needed.most})" if needed.least != needed.most else ""
    return time, name, line.change, f"{line.frames}{spread}", f"{line.chance:.0%}"


def tape_table(plan: Plan) -> Block:
    """Return where everything stands, from the mark."""
    units = plan.sitting.preferences.units
    rows = [
        (
            tape.what,
            length_text(tape.distance_m, units=units),
            tape.aside,
            "" if tape.height_m is None else length_text(tape.height_m, units=units),
        )
        for tape in plan.tapes
    ]
    heads = ("What", "From the mark", "Where", "Height of its middle")
    return Block("To tape, along the floor", heads, tuple(rows))


def light_table(plan: Plan) -> Block:
    """Return how each strobe is set and what it does."""
    heads = ("Light", "Set to", "Alone it reads", "Its output", "Recycle", "t0.1")
    rows = tuple(
        (
            x.light,
            x.setting,
            x.reading,
            known_words(x),
            span_text(x.recycle_s),
            shutter_text(x.t01_s),
        )
        for x in plan.lights
    )
    said = (metering_text(plan), dial_text(plan), *(f"{x.limit}." for x in plan.lights if x.limit))
    return Block("Lights", heads, rows, tuple(said))


def meter_table(plan: Plan) -> Block:
    """Return the readings to expect, beside those taken."""
    rows: list[Row] = []
    units = plan.sitting.preferences.units
    for m in plan.meter:
        off = "" if m.off_stops is None else f" ({stops_text(m.off_stops)})"
        then = f", set to {m.set_then}" if m.set_then else ""
        band = band_words(m.band_stops)
        held = held_words(m, units=units)
        shown = m.stated + off + then
        rows.append((str(m.number), m.where, held, m.lights, m.expected, band, shown))
    heads: tuple[str, ...] = (
        "No.", "What", "Hold it", "Lights", "Expect", "May be off", "It showed",
    )  # fmt: skip
    if not any(m.stated for m in plan.meter):
        heads, rows = heads[:-1], [row[:-1] for row in rows]
    note = held_note(plan.sitting)
    return Block("Meter, in this order", heads, tuple(rows), (note,) if note else ())


def stand_table(plan: Plan) -> Block:
    """Return how steadily every light stands, and the room over it; no columns without a word."""
    rows = tuple(_stand_row(x, plan.sitting.preferences.units) for x in plan.stands)
    heads = (
        "Light", "Tipped by", "Sand", "One leg under", "Has", "Counterweight", "To ceiling", "Over",
    )  # fmt: skip
    bags = next((x.bags for x in plan.stands if x.bags is not None), None)
    aim = "The stands are not stated."
    if bags is not None:
        push = f"{bags.factor:g} times a pull of {pull_text(bags.push_n)} at the lamp"
        aim = f"Sand on the foot for {push}, its boom balanced; less with one leg under the load."
    used = [i for i in range(len(heads)) if any(row[i] for row in rows)]
    shown = tuple(tuple(row[i] for i in used) for row in rows)
    return Block("Stands", tuple(heads[i] for i in used), shown, (aim,) if rows else ())


def _stand_row(found: StandPlan, units: str) -> Row:
    """Return what a stand needs, what it has, and what is over and under its light."""
    push = sand = over_leg = has = arm = ""
    if found.bags is not None:
        push = "itself" if found.falls else pull_text(found.bags.tips_at_n)
        sand = f"{found.bags.any_way_bag_kg:.1f} kg"
        over_leg = f"{found.bags.leg_under_bag_kg:.1f} kg"
        has = f"{found.bags.stated_bag_kg:g} kg"
    if found.counterweight is not None:
        stated = found.counterweight.stated_counterweight_kg
        arm = f"{found.counterweight.counterweight_kg:.1f} kg; has {stated:g}"
    left = length_text(found.headroom.clearance_m, units=units)
    return found.light, push, sand, over_leg, has, arm, left, ", ".join(found.over)


def frame_table(plan: Plan) -> Block:
    """Return lens, camera and the sizes of every picture."""
    rows = [row for p in plan.to_make for row in _frame_rows(plan, p)]
    heads = ("Picture", "Lens", "Camera", "Size", "Pixels per inch", "Room left")
    turned = turned_text(plan)
    beneath = (f"Turned upright {turned}; the crops are reckoned with that.",) if turned else ()
    return Block("Framing", heads, tuple(rows), beneath)


def picture_table(plan: Plan) -> Block:
    """Return every picture with what it is worth, for whom and why, made or not."""
    rows = tuple(
        (
            p.name,
            f"{p.value:g}, must" if p.must else f"{p.value:g}",
            p.household or "not said",
            (p.reason or "wanted") + ("" if p.made else "; left out"),
        )
        for p in plan.pictures
    )
    return Block("Pictures", ("Picture", "Value", "For", "Why"), rows)


def _frame_rows(plan: Plan, picture: PicturePlan) -> Iterator[Row]:
    lens = next(x for x in plan.sitting.lenses if x.id == picture.lens)
    focal = f"{picture.focal_length_mm:.0f}"
    said = f"{focal} mm" if lens.id == focal else f"{lens.id}, {focal} mm"
    head: tuple[str, ...] = (picture.name, said, "upright" if picture.upright else "level")
    for cut in picture.framing.cuts:
        room = length_text(min(cut.crop.room_m), units=plan.sitting.preferences.units)
        yield (*head, cut.size, f"{cut.ppi:.0f}", room)
        head = ("", "", "")


def depth_table(plan: Plan) -> Block:
    """Return from where to where every picture is sharp, and at which stop it would be best."""
    heads = (
        "Picture", "Blur allowed", "Before", "Behind", "Least room", "Needs", "Best at",
        "Shorter, cropped",
    )  # fmt: skip
    rows = tuple(_depth_row(plan, p) for p in plan.to_make)
    acuity = f"{plan.sitting.wishes.acuity_arcmin:g} arcminutes"
    return Block(f"Depth, for detail of {acuity} in the print", heads, rows)


def _depth_row(plan: Plan, picture: PicturePlan) -> Row:
    units, sharp = plan.sitting.preferences.units, picture.sharpness
    least = min(sharp.people, key=lambda x: min(x.toward_m, x.away_m))
    shorter = ""
    if sharp.shorter is not None:
        deep = length_text(sharp.shorter.depth_m, units=units)
        kept = f"{sharp.shorter.pixels_kept:.0%}"
        shorter = f"{sharp.shorter.focal_length_mm:.0f} mm, {deep} deep, {kept} of the pixels"
    return (
        picture.name,
        f"{sharp.coc_mm * 1000:.0f} µm, {sharp.coc_from.partition(',')[0]}",
        length_text(sharp.limits.before_m, units=units),
        length_text(sharp.limits.behind_m, units=units),
        f"{length_text(min(least.toward_m, least.away_m), units=units)}, {least.person}",
        f_number_text(sharp.f_number_needed),
        f_number_text(sharp.f_number_best),
        shorter,
    )


def named_with_evenness(picture: PicturePlan) -> str:
    """Return a picture's name, with how even its faces are if there are several."""
    if len(picture.faces) < 2:
        return picture.name
    return f"{picture.name} (even within {abs(picture.evenness_stops):.1f} stop)"


def face_table(plan: Plan) -> Block:
    """Return how every face of every picture is lit and how far it may move."""
    rows = [row for p in plan.to_make for row in _face_rows(plan, p)]
    heads = ("Picture", "Who", "At the chin", "Shadow side", "May move")
    return Block("Faces", heads, tuple(rows), (plan.all_faces.sentence(),))


def _face_rows(plan: Plan, picture: PicturePlan) -> Iterator[Row]:
    units = plan.sitting.preferences.units
    depth = {x.person: x for x in picture.sharpness.people}
    name = named_with_evenness(picture)
    for face in picture.faces:
        d = depth[face.person]
        toward, away = (length_text(x, units=units) for x in (d.toward_m, d.away_m))
        shadow = stops_text(face.shadow_from_key_stops)
        yield name, face.person, face.reading, shadow, f"{toward} toward, {away} away"
        name = ""
