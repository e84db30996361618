"""The `record` command: keeping what happens at a sitting, and what the plan makes of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from kinlight.cli.options import FILE, SITTING, USUAL
from kinlight.cli.out import say

if TYPE_CHECKING:
    from kinlight.plan.model import Plan


@dataclass(frozen=True)
class Kept:
    """The sitting whose record it is, and the usual set it is planned with."""

    sitting_file: Path
    usual: Path | None

    def plan(self) -> Plan:
        """Return the plan of the sitting as it is now."""
        from kinlight.cli.planning import planned

        return planned(self.sitting_file, self.usual)

    @property
    def path(self) -> Path:
        """Where the record lies."""
        from kinlight.studio.record import record_path

        return record_path(self.sitting_file)


class _Words(click.Group):
    """Shows the help of a further word also where FILE is left out: `record made --help`."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take the words of a command line."""
        word, *rest = args or [""]
        if word in self.commands and len(rest) == 1 and rest[0] in ctx.help_option_names:
            shown = click.Context(self.commands[word], info_name=word, parent=ctx)
            click.echo(shown.get_help())
            ctx.exit()
        return super().parse_args(ctx, args)


@click.group(cls=_Words, invoke_without_command=True)
@SITTING
@USUAL
@click.pass_context
def record(ctx: click.Context, sitting_file: Path, usual: Path | None) -> None:
    """Keep what happens at a sitting.

    Without a further word, what is kept is shown beside the plan. The record lies beside FILE and
    is only ever added to. Plans do not read it.
    """
    ctx.obj = Kept(sitting_file, usual)
    if ctx.invoked_subcommand is None:
        _show(ctx.obj)


@record.command()
@click.argument("point")
@click.argument("shown")
@click.pass_obj
def reading(kept: Kept, point: str, shown: str) -> None:
    """Keep what the meter showed.

    POINT is the name of a meter point of the sitting, or of a light for its reading alone; SHOWN
    is a reading such as "f/8 + 4/10".
    """
    from kinlight.errors import Fault, SittingError
    from kinlight.quantities.stops import meter_text, parse_meter_reading, stops, stops_text
    from kinlight.studio.record import Reading, append

    read = parse_meter_reading(shown)
    expected = _expected(kept.plan())
    if point not in expected:
        allowed = "; ".join(expected) or "none: add meter_points to the sitting"
        raise SittingError(Fault(f"there is no meter point or light '{point}'", allowed=allowed))
    append(kept.path, Reading(_now(), point, shown))
    words, f_number = expected[point]
    said = f"Kept: {point} {meter_text(read)}; expected {words}"
    say(said + (f" ({stops_text(2 * stops(read / f_number))})" if f_number > 0 else ""))


def _expected(plan: Plan) -> dict[str, tuple[str, float]]:
    """Return what a meter will show at each point and for each light alone, and its f-number.

    A point that is called like a light comes first.
    """
    lights = {x.light: (x.reading, x.reading_f_number) for x in plan.lights}
    return lights | {m.where: (m.expected, m.expected_f_number) for m in plan.meter}


@record.command()
@click.argument("picture")
@click.argument("frames", metavar="[FRAMES]", type=click.IntRange(1, 10_000), default=1)
@click.pass_obj
def made(kept: Kept, picture: str, frames: int) -> None:
    """Keep that a picture was made.

    PICTURE is its name in the plan, FRAMES how many, one if left out; frames kept before are
    counted on.
    """
    from kinlight.errors import Fault, SittingError
    from kinlight.studio.record import Made, append, events, frames_made

    planned = {p.name: p for p in kept.plan().pictures}
    if picture not in planned:
        allowed = "; ".join(planned)
        raise SittingError(Fault(f"there is no picture '{picture}'", allowed=allowed))
    append(kept.path, Made(_now(), picture, frames))
    total = frames_made(events(kept.path)[0])[picture]
    say(f"Kept: {picture}, {total} of {planned[picture].time.frames} frames")


@record.command()
@click.option("-o", "--output", type=FILE, required=True, metavar="FILE", help="Where to write it.")
@click.pass_obj
def learned(kept: Kept, output: Path) -> None:
    """Copy the last readings into a sitting.

    The last reading at each meter point is written into a copy of FILE with its date; the plan of
    that copy shows it beside what it expects. Nothing else changes. Readings of a light alone
    stay in the record.
    """
    from kinlight.cli.planning import refuse_same
    from kinlight.sitting.files import load, save
    from kinlight.studio.record import events, latest_readings

    refuse_same((kept.sitting_file, kept.usual, kept.path), (output,))
    sitting = load(kept.sitting_file, today=dt.date.today())
    last = latest_readings(events(kept.path)[0])
    points = tuple(
        p.with_stated(reading=last[p.id].shown, read_on=last[p.id].at.date()) if p.id in last else p
        for p in sitting.meter_points
    )
    save(sitting.with_stated(meter_points=points), output)
    count = sum(p.id in last for p in sitting.meter_points)
    say(f"Written: {output}  ({count} reading{'' if count == 1 else 's'} copied)")


def _now() -> dt.datetime:
    return dt.datetime.now().astimezone()


def _show(kept: Kept) -> None:
    from kinlight.studio.record import events, frames_made, latest_readings

    plan = kept.plan()
    found, faults = events(kept.path)
    for fault in faults:
        click.echo(f"{kept.path.name}: {fault.sentence()}", err=True)
    if not found:
        say("Nothing is recorded yet.")
        return
    made, readings = frames_made(found), latest_readings(found)
    done = sum(p.name in made for p in plan.to_make)
    lines = [f"{plan.sitting.title}: {done} of {len(plan.to_make)} pictures made"]
    lines += [
        f"  {made.get(p.name, 0):4d} of {p.time.frames:3d} frames  {p.name}" for p in plan.to_make
    ]
    lines += [
        f"  {where}: read {readings[where].shown}, expected {words}"
        for where, (words, _) in _expected(plan).items()
        if where in readings
    ]
    say("\n".join(lines))
