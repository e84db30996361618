"""The commands of `kinlight`. Heavy modules are imported by the command that needs them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

import kinlight
from kinlight.cli.options import FILE, SITTING, USUAL
from kinlight.cli.out import DOES_NOT_HOLD, HOLDS, Commands, say
from kinlight.cli.record import record

if TYPE_CHECKING:
    from kinlight.plan.model import Plan


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit codes: 0 the set holds, 3 it does not, 2 something in the input is wrong, "
    "1 something unexpected, 130 stopped by you.",
)
@click.version_option(kinlight.__version__, "--version", prog_name="kinlight")
def main() -> None:
    """Plan a family portrait sitting, and prove in numbers that the set holds.

    Begin with `kinlight new`, put the family into the file, then `kinlight plan` it.
    """


@main.command()
@SITTING
@USUAL
@click.option("--json", "json_file", type=FILE, metavar="FILE", help="Write the plan as JSON.")
@click.option("--pdf", "pdf_file", type=FILE, metavar="FILE", help="Write the set sheet as PDF.")
@click.option("--short", is_flag=True, help="Print the verdict and the first five numbers only.")
@click.option("--tables", is_flag=True, help="Print every table and every assumption as well.")
def plan(
    sitting_file: Path,
    usual: Path | None,
    json_file: Path | None,
    pdf_file: Path | None,
    short: bool,
    tables: bool,
) -> None:
    """Plan a sitting, and print what to do.

    FILE is a sitting in TOML or JSON. What it leaves blank is settled first, then everything is
    checked. What fails is said with what to try first.
    """
    from kinlight.cli.planning import planned, refuse_same
    from kinlight.cli.show import plan_text

    refuse_same((sitting_file, usual), (json_file, pdf_file))
    made = planned(sitting_file, usual)
    say(plan_text(made, short=short, tables=tables))
    _write_papers(made, json_file, pdf_file)
    sys.exit(HOLDS if made.holds else DOES_NOT_HOLD)


def _write_papers(made: Plan, json_file: Path | None, pdf_file: Path | None) -> None:
    from kinlight.sitting.files import write_whole

    if json_file is not None:
        from kinlight.plan.export import plan_json

        write_whole(json_file, plan_json(made))
    if pdf_file is not None:
        from kinlight.cli.planning import progress
        from kinlight.sheets.set_sheet import set_sheet_pdf

        with progress("Setting the sheets"):
            pdf = set_sheet_pdf(made)
        write_whole(pdf_file, pdf)


@main.command()
@SITTING
@USUAL
@click.option(
    "--picture", "names", multiple=True, metavar="NAME", help="Of this picture only; repeatable."
)
def light(sitting_file: Path, usual: Path | None, names: tuple[str, ...]) -> None:
    """Say where the light comes from.

    Prints how the lights are set, the readings to expect in the order they are taken, how every
    face is lit, and what share of its light comes from each lamp, panel, wall and person.
    """
    from kinlight.cli.planning import planned
    from kinlight.cli.show import light_text

    say(light_text(planned(sitting_file, usual), names))


@main.command()
@SITTING
@USUAL
@click.option(
    "-o", "--output", type=FILE, metavar="FILE", help="Where to write it; left out, it is printed."
)
@click.option("--accept", is_flag=True, help="Count what is proposed as stated from now on.")
def settle(sitting_file: Path, usual: Path | None, output: Path | None, accept: bool) -> None:
    """Fill in what a sitting leaves blank.

    What is filled in is marked as proposed; nothing that is stated is changed. Comments of the
    file are not kept, so the result goes to another file or to the screen, never over FILE.
    """
    from kinlight.cli.planning import refuse_same, settled_from
    from kinlight.sitting.files import json_text, save, toml_text
    from kinlight.sitting.origins import accepted

    refuse_same((sitting_file, usual), (output,))
    settled = settled_from(sitting_file, usual)
    if accept:
        settled = accepted(settled)
    if output is None:
        as_json = sitting_file.suffix.lower() == ".json"
        say((json_text(settled) if as_json else toml_text(settled)).rstrip("\n"))
        return
    save(settled, output)
    say(f"Written: {output}  (comments of {sitting_file.name} are not in it)")


@main.command()
@click.argument("new_file", metavar="[FILE]", type=FILE, default=Path("sitting.toml"))
@click.option("--usual", "usual_set", is_flag=True, help="A usual set instead of a sitting.")
def new(new_file: Path, usual_set: bool) -> None:
    """Write a commented starter file to fill in.

    Without FILE it is called sitting.toml. A file that is there already is left alone.
    """
    from kinlight.errors import Fault, StoreError
    from kinlight.sitting.files import write_whole
    from kinlight.sitting.starter import starter_text, usual_starter_text

    if new_file.exists():
        raise StoreError(Fault("is there already", where=str(new_file), remedy="name another file"))
    write_whole(new_file, usual_starter_text() if usual_set else starter_text())
    if usual_set:
        say(f"Written: {new_file}\nFill it in, then: kinlight plan SITTING --usual {new_file}")
    else:
        say(f"Written: {new_file}\nPut the family in, then: kinlight plan {new_file}")


@main.command()
@click.argument("folder", metavar="[FOLDER]", type=FILE, default=Path("kinlight-demo"))
def demo(folder: Path) -> None:
    """Plan an invented sitting.

    The sitting, its set sheet (PDF) and its numbers (JSON) are written into FOLDER; without
    FOLDER, into kinlight-demo.
    """
    from kinlight.cli.planning import planned
    from kinlight.cli.show import plan_text

    source = folder / "sitting.toml"
    _write_demo(source)
    made = planned(source, None)
    say(plan_text(made))
    papers = folder / "plan.json", folder / "plan.pdf"
    _write_papers(made, *papers)
    say(f"\nThe sitting: {source}\nThe sheets:  {papers[1]}\nThe numbers: {papers[0]}")
    sys.exit(HOLDS if made.holds else DOES_NOT_HOLD)


def _write_demo(source: Path) -> None:
    """Write the demo's sitting, but never over a sitting that is somebody's own."""
    from kinlight.errors import Fault, StoreError
    from kinlight.sitting.files import write_whole
    from kinlight.sitting.starter import demo_text

    text = demo_text()
    if source.exists() and source.read_bytes() != text.encode():
        problem = "is there already and is not the demo as it is now"
        remedy = "name another folder, or move it away"
        raise StoreError(Fault(problem, where=str(source), remedy=remedy))
    write_whole(source, text, make_folder=True)


@main.command()
def schema() -> None:
    """Print the JSON Schema of the sitting document."""
    from kinlight.sitting.files import schema_text

    say(schema_text().rstrip("\n"))


main.add_command(record)
