"""The commands of `kinlight`. Heavy modules are imported by the command that needs them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

import kinlight
from kinlight.errors import KinlightError

HOLDS, UNEXPECTED, BAD_INPUT, DOES_NOT_HOLD = 0, 1, 2, 3
_FILE = click.Path(path_type=Path)
_SITTING = click.argument("sitting_file", metavar="FILE", type=_FILE)
_USUAL = click.option(
    "--usual",
    type=_FILE,
    metavar="FILE",
    help="The studio's usual set; left out, the one kept for this user, if any.",
)


class _Commands(click.Group):
    """Turns errors into sentences and exit codes."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except KinlightError as error:
            for fault in error.faults:
                click.echo(fault.sentence(), err=True)
            count = len(error.faults)
            if count > 1:
                click.echo(f"{count} things to mend; nothing was written.", err=True)
            ctx.exit(BAD_INPUT)
        except BrokenPipeError:
            sys.stderr.close()
            ctx.exit(UNEXPECTED)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(kinlight.__version__, "--version", prog_name="kinlight")
def main() -> None:
    """Plan a family portrait sitting and prove in numbers that the set holds.

    Exit codes: 0 the set holds, 3 it does not, 2 something in the input is wrong, 1 unexpected.
    """


@main.command()
@_SITTING
@_USUAL
@click.option("--json", "json_file", type=_FILE, metavar="FILE", help="Write the plan as JSON.")
@click.option("--pdf", "pdf_file", type=_FILE, metavar="FILE", help="Write the set sheet as PDF.")
@click.option("--short", is_flag=True, help="Print the verdict and the first five numbers only.")
def plan(
    sitting_file: Path,
    usual: Path | None,
    json_file: Path | None,
    pdf_file: Path | None,
    short: bool,
) -> None:
    """Plan a sitting: settle what is blank, check it, and print what to do.

    FILE is a sitting in TOML or JSON. What the plan assumes or proposes is said.
    """
    from kinlight.cli.planning import planned
    from kinlight.cli.show import show_plan

    made = planned(sitting_file, usual)
    show_plan(made, short=short)
    _write_papers(made, json_file, pdf_file)
    sys.exit(HOLDS if made.holds else DOES_NOT_HOLD)


def _write_papers(made: Any, json_file: Path | None, pdf_file: Path | None) -> None:
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
@_SITTING
@_USUAL
@click.option(
    "-o", "--output", type=_FILE, metavar="FILE", help="Where to write it; left out, it is printed."
)
@click.option("--accept", is_flag=True, help="Count what is proposed as stated from now on.")
def settle(sitting_file: Path, usual: Path | None, output: Path | None, accept: bool) -> None:
    """Fill in what a sitting leaves blank, and mark it as proposed.

    Nothing that is stated is changed. Comments of the file are not kept, so the result goes to
    another file or to the screen, never over FILE.
    """
    from kinlight.cli.planning import settled_from
    from kinlight.sitting.files import json_text, save, toml_text
    from kinlight.sitting.origins import accepted

    settled = settled_from(sitting_file, usual)
    if accept:
        settled = accepted(settled)
    if output is None:
        as_json = sitting_file.suffix.lower() == ".json"
        click.echo(json_text(settled) if as_json else toml_text(settled), nl=False)
        return
    _refuse_same(sitting_file, output)
    save(settled, output)
    click.echo(f"Written: {output}  (comments of {sitting_file.name} are not in it)")


def _refuse_same(source: Path, output: Path) -> None:
    from kinlight.errors import Fault, StoreError

    if output.exists() and source.exists() and output.samefile(source):
        remedy = "name another file; comments in this one would be lost"
        raise StoreError(Fault("would be written over", where=str(source), remedy=remedy))


@main.command()
@click.argument("new_file", metavar="FILE", type=_FILE, default=Path("sitting.toml"))
@click.option("--usual", "usual_set", is_flag=True, help="A usual set instead of a sitting.")
def new(new_file: Path, usual_set: bool) -> None:
    """Write a commented starter file to fill in."""
    from kinlight.errors import Fault, StoreError
    from kinlight.sitting.files import write_whole
    from kinlight.sitting.starter import starter_text, usual_starter_text

    if new_file.exists():
        raise StoreError(Fault("is there already", where=str(new_file), remedy="name another file"))
    write_whole(new_file, usual_starter_text() if usual_set else starter_text())
    click.echo(f"Written: {new_file}")
    if usual_set:
        click.echo(f"Fill it in, then: kinlight plan SITTING --usual {new_file}")
    else:
        click.echo(f"Put the family in, then: kinlight plan {new_file}")


@main.command()
@click.argument("folder", metavar="FOLDER", type=_FILE, default=Path("kinlight-demo"))
def demo(folder: Path) -> None:
    """Plan an invented sitting and write its file, its PDF and its JSON into FOLDER."""
    from kinlight.cli.planning import planned
    from kinlight.cli.show import show_plan
    from kinlight.sitting.files import write_whole
    from kinlight.sitting.starter import demo_text

    source = folder / "sitting.toml"
    write_whole(source, demo_text())
    made = planned(source, None)
    show_plan(made)
    papers = folder / "plan.json", folder / "plan.pdf"
    _write_papers(made, *papers)
    click.echo(f"\nThe sitting: {source}\nThe sheets:  {papers[1]}\nThe numbers: {papers[0]}")
    sys.exit(HOLDS if made.holds else DOES_NOT_HOLD)


@main.command()
def schema() -> None:
    """Print the JSON Schema of the sitting document."""
    from kinlight.sitting.files import schema_text

    click.echo(schema_text(), nl=False)
