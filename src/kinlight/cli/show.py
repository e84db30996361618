"""A plan on the terminal: the verdict, the first five numbers, then tables."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinlight.plan.checks import COLUMNS, Check
from kinlight.plan.model import PicturePlan, Plan
from kinlight.quantities.lengths import length_text
from kinlight.quantities.stops import f_number_text, stops_text
from kinlight.quantities.times import shutter_text, span_text

_FIVE = ("Light", "Tape", "Focus", "Stops", "Clock")
_STYLE = {"holds": "", "tight": "underline", "fails": "bold reverse"}
_PIPED_WIDTH = 120


def show_plan(plan: Plan, *, short: bool = False) -> None:
    """Print the plan; plain text without colour or lines when it is piped."""
    width = None if sys.stdout.isatty() else _PIPED_WIDTH
    console = Console(highlight=False, soft_wrap=False, width=width)
    console.print(Text(plan.sitting.title, style="bold"))
    console.print(Text(plan.verdict))
    console.print()
    _show_five(console, plan)
    if short:
        return
    _show_assumed(console, plan)
    tables = (_hold_table, _order_table, _frame_table, _depth_table, _light_table, _face_table)
    for make in tables:
        console.print()
        console.print(make(plan))
    _show_rest(console, plan)


def _show_five(console: Console, plan: Plan) -> None:
    grid = Table.grid(padding=(0, 2))
    grid.add_column(style="bold", no_wrap=True)
    grid.add_column()
    for name, line in zip(_FIVE, plan.first_five, strict=True):
        grid.add_row(name, Text(line))
    console.print(grid)


def _show_assumed(console: Console, plan: Plan) -> None:
    console.print()
    if plan.assumed:
        console.print(Text("Assumed, the most important first:", style="bold"))
        for line in plan.assumed:
            console.print(Text(f"  {line}"))
    if plan.proposed:
        console.print(Text(f"Proposed: {', '.join(plan.proposed)}."))


def _table(title: str, *columns: str) -> Table:
    table = Table(title=title, title_justify="left", title_style="bold", box=box.SIMPLE_HEAD)
    for column in columns:
        table.add_column(column)
    return table


def _hold_table(plan: Plan) -> Table:
    table = _table("Does the set hold?", "Picture", *COLUMNS)
    for picture in plan.to_make:
        cells = [_cell(picture.cell(column)) for column in COLUMNS]
        table.add_row(Text(picture.name), *cells)
    return table


def _cell(check: Check) -> Text:
    text = Text(f"{check.verdict}: ", style=_STYLE[check.verdict])
    return text.append(f"{check.name} {check.leeway_text}")


def _order_table(plan: Plan) -> Table:
    table = _table("Running order", "Time", "Picture", "Frames", "Who", "Willing")
    people = {p.name: p.people for p in plan.pictures}
    for line in plan.order.lines:
        who = ", ".join(people.get(line.name, ()))
        chance = f"{line.chance:.0%}" if line.is_picture else ""
        frames = str(line.frames) if line.is_picture else ""
        table.add_row(f"{line.start:%H:%M}", Text(line.name), frames, Text(who), chance)
    return table


def _frame_table(plan: Plan) -> Table:
    table = _table(
        "Framing", "Picture", "Lens", "Camera", "Size", "Pixels per inch", "Room left", "Frames"
    )
    units = plan.sitting.preferences.units
    for p in plan.to_make:
        for i, cut in enumerate(p.framing.cuts):
            room = length_text(min(cut.crop.room_m), units=units)
            table.add_row(
                Text(p.name if i == 0 else ""),
                f"{p.lens}, {p.focal_length_mm:.0f} mm" if i == 0 else "",
                ("upright" if p.upright else "level") if i == 0 else "",
                Text(cut.size),
                f"{cut.ppi:.0f}",
                room,
                _frames_text(p) if i == 0 else "",
            )
    return table


def _frames_text(picture: PicturePlan) -> str:
    needed = picture.time.needed
    return f"{picture.time.frames} ({needed.least} to {needed.most})"


def _depth_table(plan: Plan) -> Table:
    table = _table(
        "Depth", "Picture", "Blur allowed", "Before", "Behind", "Stop needed", "Best stop",
        "Least room", "Shorter and cropped",
    )  # fmt: skip
    units = plan.sitting.preferences.units
    for p in plan.to_make:
        sharp = p.sharpness
        least = min(sharp.people, key=lambda x: min(x.toward_m, x.away_m))
        room = length_text(min(least.toward_m, least.away_m), units=units)
        shorter = sharp.shorter
        table.add_row(
            Text(p.name),
            f"{sharp.coc_mm * 1000:.0f} µm ({sharp.coc_from})",
            length_text(sharp.limits.before_m, units=units),
            length_text(sharp.limits.behind_m, units=units),
            f_number_text(sharp.f_number_needed),
            f_number_text(sharp.f_number_best),
            Text(f"{room}, {least.person}"),
            ""
            if shorter is None
            else f"{shorter.focal_length_mm:.0f} mm: {length_text(shorter.depth_m, units=units)} "
            f"deep, {shorter.pixels_kept:.0%} of the pixels",
        )
    return table


def _light_table(plan: Plan) -> Table:
    table = _table("Lights", "Light", "Set to", "Alone it reads", "True output", "Recycle", "t0.1")
    for x in plan.lights:
        below, above = x.band_stops
        band = "as stated" if below == above == 0 else f"-{below:.1f} to +{above:.1f} stop"
        table.add_row(
            Text(x.light), x.setting, x.reading, band, span_text(x.recycle_s), shutter_text(x.t01_s)
        )
    return table


def _face_table(plan: Plan) -> Table:
    table = _table("Faces", "Picture", "Evenness", "Reads at the chin", "Shadow side", "May move")
    units = plan.sitting.preferences.units
    for p in plan.to_make:
        depth = {x.person: x for x in p.sharpness.people}
        for i, face in enumerate(p.faces):
            d = depth[face.person]
            table.add_row(
                Text(p.name if i == 0 else ""),
                f"{p.evenness_stops:.1f} stop" if i == 0 else "",
                Text(f"{face.person} {face.reading}"),
                stops_text(face.shadow_from_key_stops),
                f"{length_text(d.toward_m, units=units)} toward, "
                f"{length_text(d.away_m, units=units)} away",
            )
    return table


def _show_rest(console: Console, plan: Plan) -> None:
    if plan.meter:
        table = _table("Meter", "Point", "Lights", "Receptor", "Expect", "Read")
        for m in plan.meter:
            off = "" if m.off_stops is None else f" ({stops_text(m.off_stops)})"
            table.add_row(Text(m.where), Text(m.lights), m.receptor, m.expected, m.stated + off)
        console.print(table)
    _lines(console, "Left out", [f"{name}: {why}" for name, why in plan.order.left_out])
    _lines(console, "If a child lasts only half as long", _half_lines(plan))
    _lines(console, "The order as stated", plan.order.problems)
    _lines(console, "Take care", plan.cautions)


def _half_lines(plan: Plan) -> list[str]:
    return [
        f"{h.child}: {len(h.pictures)} pictures are lost ({', '.join(h.pictures)})"
        if h.pictures
        else f"{h.child}: nothing is lost"
        for h in plan.order.half_patience
    ]


def _lines(console: Console, title: str, lines: Sequence[str]) -> None:
    if lines:
        console.print()
        console.print(Text(title, style="bold"))
        for line in lines:
            console.print(Text(f"  {line}"))
