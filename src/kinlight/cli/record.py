"""The `record` command: keeping what happens at a sitting, and what the plan makes of it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from kinlight.plan.model import Plan

_FILE = click.Path(path_type=Path)


@click.group(invoke_without_command=True)
@click.argument("sitting_file", metavar="FILE", type=_FILE)
@click.pass_context
def record(ctx: click.Context, sitting_file: Path) -> None:
    """Keep what happens at a sitting; without a further word, show it beside the plan.

    The record lies beside FILE and is only ever added to. Plans do not read it.
    """
    ctx.obj = sitting_file
    if ctx.invoked_subcommand is None:
        _show(sitting_file)


@record.command()
@click.argument("point")
@click.argument("shown")
@click.pass_obj
def reading(sitting_file: Path, point: str, shown: str) -> None:
    """Keep what the meter showed at POINT: SHOWN is such as "f/8 + 4/10"."""
    from kinlight.errors import Fault, SittingError
    from kinlight.quantities.stops import meter_text, parse_meter_reading, stops_text
    from kinlight.studio.record import Reading, append, record_path

    plan = _planned(sitting_file)
    expected = {m.where: m for m in plan.meter}
    if point not in expected:
        allowed = ", ".join(expected) or "none: add meter_points to the sitting"
        raise SittingError(Fault(f"there is no meter point '{point}'", allowed=allowed))
    read = parse_meter_reading(shown)
    append(record_path(sitting_file), Reading(_now(), point, shown))
    off = expected[point].off_from(read)
    click.echo(
        f"Kept: {point} {meter_text(read)}; expected {expected[point].expected}"
        + ("" if off is None else f" ({stops_text(off)})")
    )


@record.command()
@click.argument("picture")
@click.option("--frames", type=click.IntRange(1, 10_000), default=1, help="How many frames.")
@click.pass_obj
def made(sitting_file: Path, picture: str, frames: int) -> None:
    """Keep that PICTURE was made, and in how many frames."""
    from kinlight.errors import Fault, SittingError
    from kinlight.studio.record import Made, append, events, frames_made, record_path

    planned = {p.name: p for p in _planned(sitting_file).pictures}
    if picture not in planned:
        allowed = ", ".join(planned)
        raise SittingError(Fault(f"there is no picture '{picture}'", allowed=allowed))
    append(record_path(sitting_file), Made(_now(), picture, frames))
    total = frames_made(events(record_path(sitting_file))[0])[picture]
    click.echo(f"Kept: {picture}, {total} of {planned[picture].time.frames} frames")


@record.command()
@click.option(
    "-o", "--output", type=_FILE, required=True, metavar="FILE", help="Where to write it."
)
@click.pass_obj
def learned(sitting_file: Path, output: Path) -> None:
    """Copy the last readings into a sitting, each with its date, so that a plan can use them."""
    from kinlight.cli.planning import refuse_same
    from kinlight.sitting.files import load, save
    from kinlight.studio.record import events, latest_readings, record_path

    sitting = load(sitting_file)
    found, _ = events(record_path(sitting_file))
    last = latest_readings(found)
    points = tuple(
        p.with_stated(reading=last[p.id].shown, read_on=last[p.id].at.date()) if p.id in last else p
        for p in sitting.meter_points
    )
    refuse_same((sitting_file,), (output,))
    save(sitting.with_stated(meter_points=points), output)
    count = sum(p.id in last for p in sitting.meter_points)
    click.echo(f"Written: {output}  ({count} readings copied)")


def _planned(sitting_file: Path) -> Plan:
    from kinlight.cli.planning import planned

    return planned(sitting_file, None)


def _now() -> dt.datetime:
    return dt.datetime.now().astimezone()


def _show(sitting_file: Path) -> None:
    from kinlight.studio.record import events, frames_made, latest_readings, record_path

    found, faults = events(record_path(sitting_file))
    for fault in faults:
        click.echo(f"{record_path(sitting_file).name}: {fault.sentence()}", err=True)
    if not found:
        click.echo("Nothing is recorded yet.")
        return
    plan = _planned(sitting_file)
    made, readings = frames_made(found), latest_readings(found)
    click.echo(f"{plan.sitting.title}: {len(made)} of {len(plan.to_make)} pictures made")
    for p in plan.to_make:
        click.echo(f"  {made.get(p.name, 0):4d} of {p.time.frames:3d} frames  {p.name}")
    for m in plan.meter:
        if m.where in readings:
            click.echo(f"  {m.where}: read {readings[m.where].shown}, expected {m.expected}")
