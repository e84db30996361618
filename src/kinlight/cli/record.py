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
    from kinlight.plan.fit_kept import FitKept
    from kinlight.plan.model import Plan
    from kinlight.sitting.document import Sitting


@dataclass(frozen=True)
class Kept:
    """The sitting whose record it is, and the usual set it is planned with."""

    sitting_file: Path
    usual: Path | None

    def plan(self) -> Plan:
        """Return the plan of the sitting as it is now."""
        from kinlight.cli.planning import planned

        return planned(self.sitting_file, self.usual)

    def sittings(self) -> tuple[Sitting, Sitting]:
        """Return the sitting as its file states it, and with the usual set."""
        from kinlight.cli.planning import usual_set
        from kinlight.sitting.files import load

        today = dt.date.today()
        filled = load(self.sitting_file, usual_set(self.usual), today=today)
        return load(self.sitting_file, today=today), filled

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

    Without a further word, what is kept is shown beside the plan; readings carry the numbers of
    the plan's own table. The record lies beside FILE and
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

    POINT is the name of a reading in the plan's table: a light for its reading alone, "all
    together", or a meter point of the sitting. SHOWN is a reading such as "f/8 + 4/10". What the
    lights are set to in the plan is kept with it.
    """
    from kinlight.errors import Fault, SittingError
    from kinlight.quantities.stops import meter_text, parse_meter_reading, stops, stops_text
    from kinlight.studio.record import Reading, append

    read = parse_meter_reading(shown)
    plan = kept.plan()
    expected = {m.where: m for m in plan.meter}
    if point not in expected:
        allowed = "; ".join(expected) or "none: add meter_points to the sitting"
        raise SittingError(Fault(f"there is no meter point or light '{point}'", allowed=allowed))
    found = expected[point]
    settings = {x.light: x.setting for x in plan.lights if x.light in found.fired}
    append(kept.path, Reading(_now(), point, shown, settings))
    said = f"Kept: {point} {meter_text(read)}; expected {found.expected}"
    f_number = found.expected_f_number
    say(said + (f" ({stops_text(2 * stops(read / f_number))})" if f_number > 0 else ""))


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

    The last reading of each kind is written into a copy of FILE with its date and what the lights
    were set to; the plan of that copy shows it beside what it expects, and what all of them say of
    the lights. A reading of a light alone, or of lights together at the mark, becomes a meter
    point of that name. Nothing else changes.
    """
    from kinlight.cli.planning import refuse_same, usual_set
    from kinlight.sitting.files import save
    from kinlight.studio.learned import with_readings
    from kinlight.studio.record import events, latest_readings

    refuse_same((kept.sitting_file, usual_set(kept.usual), kept.path), (output,))
    last = latest_readings(events(kept.path)[0])
    stated, filled = kept.sittings()
    found = with_readings(stated, filled, kept.plan() if last else None, last)
    save(found.sitting, output)
    copied = f"{found.count} reading{'' if found.count == 1 else 's'} copied"
    say("\n".join((f"Written: {output}  ({copied})", *found.said)))


@record.command()
@click.option("-o", "--output", type=FILE, required=True, metavar="FILE", help="Where to write it.")
@click.option(
    "--usual-copy",
    type=FILE,
    metavar="FILE",
    help="Write a copy of the usual set as well, that keeps it for every sitting.",
)
@click.pass_obj
def fit(kept: Kept, output: Path, usual_copy: Path | None) -> None:
    """Reckon with what the readings of a sitting show.

    The readings that FILE states of its meter points tell what each light gives; where there are
    enough of them, also how much the room gives back. Both are written into a copy of FILE with
    the day of the readings, and what changes is said. A reading that does not fit the others is
    named, and nothing is written. Outputs belong to a strobe with its modifier, so the usual set
    can keep them.
    """
    from kinlight.cli.planning import refuse_same, usual_set
    from kinlight.plan.fit_kept import with_fit
    from kinlight.sitting.files import save

    usual = usual_set(kept.usual)
    refuse_same((kept.sitting_file, usual, kept.path), (output, usual_copy))
    stated, filled = kept.sittings()
    found = with_fit(stated, filled, kept.plan())
    if usual_copy is not None:
        _write_usual(usual, usual_copy, filled, found)
    save(found.sitting, output)
    written = [f"Written: {path}" for path in (output, usual_copy) if path is not None]
    say("\n".join((*found.said, *written)))


def _write_usual(usual: Path | None, target: Path, filled: Sitting, found: FitKept) -> None:
    """Write a copy of the usual set with the outputs that were found; its comments are not kept."""
    from kinlight.errors import Fault, SittingError
    from kinlight.sitting.files import read_document, save_document
    from kinlight.sitting.usual import keeping

    if usual is None or filled.origins.get("lights") != "usual set":
        remedy = "copy the line fitted of each light into it by hand"
        raise SittingError(Fault("the lights are not those of a usual set", remedy=remedy))
    fitted = {x: f.model_dump(mode="json", exclude_none=True) for x, f in found.fitted.items()}
    room = {
        key: value
        for key, value in found.room.items()
        if filled.origins.get(f"room.{key}") == "usual set"
    }
    save_document(keeping(read_document(usual), fitted=fitted, room=room), target)


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
        f"  {m.number:3d}  {m.where}: read {readings[m.where].shown}, expected {m.expected}"
        for m in plan.meter
        if m.where in readings
    ]
    say("\n".join(lines))
