"""Printing, and ending well: into a closed pipe, on a full disk, when stopped, when surprised."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from typing import Any

import click

from kinlight.errors import Fault, KinlightError, StoreError

HOLDS, UNEXPECTED, BAD_INPUT, DOES_NOT_HOLD, STOPPED = 0, 1, 2, 3, 130
TRACEBACK = "KINLIGHT_TRACEBACK"


def say(text: str) -> None:
    """Print text; a reader that has left (`| head`) is no fault, and the work goes on.

    Raises
    ------
    StoreError
        If it cannot be printed: the disk is full.
    """
    if sys.stdout is None:  # closed by whoever started the program
        return
    try:
        click.echo(text)
        sys.stdout.flush()
    except BrokenPipeError:
        _into_nothing()
    except OSError as error:
        _into_nothing()
        problem = f"cannot be written: {error.strerror or error}"
        raise StoreError(Fault(problem, where="the output")) from None


def _into_nothing() -> None:
    """Send what is still to be printed nowhere, so that ending does not fail as well."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


class Commands(click.Group):
    """Turns whatever happens into sentences and exit codes."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was named."""
        _print_what_can_be_printed()
        return _ending_well(ctx, super().invoke)


def _print_what_can_be_printed() -> None:
    """Show a question mark for a letter the terminal does not know."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _ending_well(ctx: click.Context, run: Callable[[click.Context], Any]) -> Any:
    try:
        return run(ctx)
    except (click.exceptions.Exit, click.ClickException, click.Abort):
        raise
    except KinlightError as error:
        _tell_faults(error)
        ctx.exit(BAD_INPUT)
    except KeyboardInterrupt:
        click.echo("Stopped before the end.", err=True)
        ctx.exit(STOPPED)
    except Exception as error:
        if os.environ.get(TRACEBACK, "0") not in ("", "0"):
            raise
        click.echo(_surprise(error), err=True)
        ctx.exit(UNEXPECTED)


def _tell_faults(error: KinlightError) -> None:
    for fault in error.faults:
        click.echo(fault.sentence(), err=True)
    if len(error.faults) > 1:
        click.echo(f"{len(error.faults)} things to mend; nothing was written.", err=True)


def _surprise(error: Exception) -> str:
    what = " ".join(f"{type(error).__name__} {error}".split())
    return (
        f"This should not have happened: {what}. Please report it with what the same command "
        f"prints under {TRACEBACK}=1, and with the file if you may share it."
    )
