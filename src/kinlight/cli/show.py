"""A plan on the terminal: the verdict, the first five numbers, then tables."""

from __future__ import annotations

import contextlib
import io
import os
import re
import sys
from collections.abc import Sequence

from rich.box import Box
from rich.cells import cell_len
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from kinlight.cli.findings_said import behind_table, lens_table, seen_table
from kinlight.cli.light_tables import (
    chosen,
    hair_table,
    light_answer,
    lit_table,
    source_table,
)
from kinlight.cli.tables import (
    Block,
    depth_table,
    face_table,
    frame_table,
    hold_table,
    light_table,
    meter_table,
    order_table,
    picture_table,
    stand_table,
    tape_table,
)
from kinlight.drawings.words import metering_text, unreckoned_text
from kinlight.plan.model import PicturePlan, Plan, findings_lines, to_look_at
from kinlight.sheets.failing import what_fails

_FIVE = ("Light", "Tape", "Focus", "Stops", "Clock")
_SHORTEST_LINE, _LONGEST_LINE = 30, 120
_MATTER_MOST = 3
_GAP, _LEAST_COLUMN = 3, 8
_MORE = (
    "Tape, lights, meter, stands, framing, depth, faces, what is proposed and every assumption: "
    "the same with --tables"
)
_UNIT = re.compile(r"(?<=\d) (?=(?:mm|cm|m|ft|in|s|min|stops?)\b)")
_HELD = "\ue000"
"""Stands for a space at which no line is broken, until the text is whole."""
_RULE = Box("    \n    \n -- \n    \n    \n    \n    \n    \n", ascii=True)
"""One thin rule under the heads of a table, the same on a terminal and in a file."""


_TABLES = (
    picture_table,
    tape_table,
    light_table,
    meter_table,
    stand_table,
    frame_table,
    depth_table,
    face_table,
)


def plan_text(plan: Plan, *, short: bool = False, tables: bool = False) -> str:
    """Return the plan as text for wherever it goes: plain where that is not a terminal."""
    console = _console()
    console.print(Text(plan.sitting.title, style="bold"))
    console.print(Text(plan.verdict))
    _paragraph(console, _to_look_at(plan, listed=tables))
    _paragraph(console, unreckoned_text(plan))
    _show_five(console, plan)
    if not short:
        _show_failing(console, plan)
        _lines(console, "What the readings say", plan.fit.lines() if plan.fit else ())
        _show_assumed(console, plan)
        _show_block(console, hold_table(plan))
        _show_block(console, order_table(plan))
        _show_what_is_lost(console, plan)
        if tables:
            _show_tables(console, plan)
        _lines(console, "Take care", plan.cautions)
        if not tables:
            _paragraph(console, _MORE)
    else:
        _lines(console, "Take care", [t for s in plan.stands if s.falls for t in s.findings[:1]])
    return _printed(console)


def _to_look_at(plan: Plan, *, listed: bool) -> str:
    """Return how much there is to look at, and where it is listed unless it is further down."""
    words = to_look_at(plan.to_make)
    return words if listed or not words else f"{words} What to do: kinlight light, or --tables."


def light_text(plan: Plan, names: Sequence[str] = ()) -> str:
    """Return the light of some pictures as text: readings, faces and where their light comes from.

    Raises
    ------
    SittingError
        If a name is not that of a picture.
    """
    pictures = chosen(plan, names)
    console = _console()
    console.print(Text(plan.sitting.title, style="bold"))
    console.print(Text(f"{light_answer(plan, pictures)}."))
    for block in (light_table(plan), meter_table(plan)):
        _show_block(console, block)
    _lines(console, "What the readings say", plan.fit.lines() if plan.fit else ())
    for block in (lit_table(pictures), hair_table(pictures), source_table(pictures)):
        _show_block(console, block)
    _show_behind(console, plan, pictures)
    _lines(console, "Sheets, as such cloth usually is", plan.sheets)
    return _printed(console)


def _printed(console: Console) -> str:
    """Return what was printed, without spaces at the ends of lines."""
    file = console.file
    assert isinstance(file, io.StringIO)
    printed = file.getvalue().replace(_HELD, " ").rstrip()
    return "\n".join(line.rstrip() for line in printed.splitlines())


def _console() -> Console:
    """Return a console that writes into a text, as wide as what it is for."""
    terminal = sys.stdout is not None and sys.stdout.isatty()
    wide = max(_SHORTEST_LINE, min(_columns(), _LONGEST_LINE))
    return Console(file=io.StringIO(), width=wide, force_terminal=terminal, highlight=False)


def _columns() -> int:
    """Return how wide the terminal is, also for what is piped on; very wide without one."""
    stated = os.environ.get("COLUMNS", "")
    if stated.isdigit() and int(stated):
        return int(stated)
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, OSError, ValueError):
            return os.get_terminal_size(stream.fileno()).columns
    return _LONGEST_LINE


def _show_five(console: Console, plan: Plan) -> None:
    console.print()
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(style="bold", no_wrap=True)
    grid.add_column()
    wide = console.width - max(map(len, _FIVE)) - 2
    for name, line in zip(_FIVE, plan.first_five, strict=True):
        grid.add_row(name, Text("\n".join(_broken(line, wide))))
    console.print(grid)
    if words := metering_text(plan):
        console.print(Text(words))


def _show_failing(console: Console, plan: Plan) -> None:
    """Print every failing check, and what to try first for each kind."""
    lines: list[str] = []
    for kind in what_fails(plan):
        lines += kind.lines
        lines += [f"Try: {kind.remedy}."] if kind.remedy else []
    _lines(console, "What fails", lines)


def _paragraph(console: Console, words: str) -> None:
    """Print a paragraph with an empty line before it; no words are no paragraph."""
    if words:
        console.print()
        console.print(Text(words))


def _broken(line: str, wide: int) -> list[str]:
    """Return a line broken after semicolons where it can be, so that what belongs stays together.

    A part that is too long by itself is left for the console to break.
    """
    lines = [""]
    for part in line.split("; "):
        longer = f"{lines[-1]}; {part}" if lines[-1] else part
        if len(longer) < wide or not lines[-1]:
            lines[-1] = longer
        else:
            lines[-1] += ";"
            lines.append(part)
    return lines


def _show_assumed(console: Console, plan: Plan) -> None:
    most = plan.assumed[:_MATTER_MOST]
    more = len(plan.assumed) - len(most)
    tail = [f"and {more} more"] if more else []
    _lines(console, "Assumed, what matters most first", [*most, *tail])


def _show_tables(console: Console, plan: Plan) -> None:
    """Print everything else: the tables, what is proposed, and the other assumptions."""
    _paragraph(console, f"{plan.spots.sentence[:1].upper()}{plan.spots.sentence[1:]}.")
    for make in _TABLES:
        _show_block(console, make(plan))
    _show_behind(console, plan, plan.to_make)
    _lines(console, "Sheets, as such cloth usually is", plan.sheets)
    _lines(console, "Proposed, since it was left blank", ["; ".join(plan.proposed)])
    _lines(console, "Also assumed", plan.assumed[_MATTER_MOST:])


def _show_behind(console: Console, plan: Plan, pictures: Sequence[PicturePlan]) -> None:
    """Print what shows on faces and behind them, and what to look at in the light."""
    _show_block(console, seen_table(pictures))
    _show_block(console, lens_table(pictures))
    _show_block(console, behind_table(pictures, plan.sitting.preferences.units))
    _lines(console, "To look at in the pictures' light", findings_lines(pictures))


def _show_block(console: Console, block: Block) -> None:
    """Print a table, or where it is too narrow for one, the same as lines."""
    if not block.rows:
        return
    console.print()
    console.print(Text(block.title, style="bold"))
    rows = [[_together(Text.assemble(cell)) for cell in row] for row in block.rows]
    widths = _widths(block.columns, rows, console.width - _GAP * (len(block.columns) - 1) - 1)
    if widths:
        table = Table(box=_RULE, pad_edge=False, show_edge=False)
        for column, width in zip(block.columns, widths, strict=True):
            table.add_column(Text(column), width=width)
        for cells in rows:
            table.add_row(*cells)
        console.print(table)
    else:
        for row in block.rows:
            _show_as_lines(console, block.columns, row)
    for line in block.beneath:
        if len(line):
            console.print(Text.assemble(line))


def _together(text: Text) -> Text:
    """Hold a number and its unit together where a line is broken."""
    text.plain = _UNIT.sub(_HELD, text.plain)
    return text


def _widths(heads: Sequence[str], rows: Sequence[Sequence[Text]], room: int) -> list[int]:
    """Return how wide each column is, so that no word is broken; none if the room is too small.

    The widest columns give way first, down to their longest word.
    """
    columns = zip(heads, zip(*rows, strict=True), strict=True)
    cells = [[head, *(cell.plain for cell in column)] for head, column in columns]
    widths = [max(map(cell_len, column)) for column in cells]
    least = [max(cell_len(w) for c in column for w in (c.split() or [""])) for column in cells]
    if sum(least) > room or room < _LEAST_COLUMN * len(widths):
        return []
    while sum(widths) > room:
        wide = max(range(len(widths)), key=lambda i: (widths[i] > least[i], widths[i]))
        widths[wide] -= 1
    return widths


def _show_as_lines(console: Console, columns: Sequence[str], row: Sequence[str | Text]) -> None:
    if len(row[0]):
        console.print(Text.assemble(row[0], style="bold"))
    for column, cell in zip(columns[1:], row[1:], strict=True):
        if len(cell):
            _indented(console, Text.assemble(f"{column}: ", cell))


def _indented(console: Console, text: Text) -> None:
    """Print text two in, and four in where it goes on over the line."""
    console.print(Padding(_hanging(text, console.width - 4), (0, 0, 0, 2)))


def _hanging(text: Text, wide: int) -> Text:
    lines = text.wrap(Console(width=wide), wide)
    return Text("\n  ").join(lines)


def _show_what_is_lost(console: Console, plan: Plan) -> None:
    _lines(console, "Left out", [f"{name}: {why}" for name, why in plan.order.left_out])
    _lines(console, "If a child lasts only half as long", _half_lines(plan))
    _lines(console, "The order as stated", plan.order.problems)


def _half_lines(plan: Plan) -> list[str]:
    return [
        f"{h.child}: {len(h.pictures)} lost ({'; '.join(h.pictures)})"
        if h.pictures
        else f"{h.child}: nothing is lost"
        for h in plan.order.half_patience
    ]


def _lines(console: Console, title: str, lines: Sequence[str]) -> None:
    if any(lines):
        console.print()
        console.print(Text(title, style="bold"))
        for line in lines:
            _indented(console, Text(line))
