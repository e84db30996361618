"""Reading, settling and checking a sitting for a command, with progress when it takes time."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from kinlight.plan.check import check
from kinlight.plan.model import Plan
from kinlight.plan.settle.settle import settle
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import load

USUAL_SET = "usual-set.toml"


def usual_set(stated: Path | None) -> Path | None:
    """Return the usual set to use: the one named, else the user's own if there is one."""
    if stated is not None:
        return stated
    kept = Path(click.get_app_dir("kinlight")) / USUAL_SET
    return kept if kept.exists() else None


def settled_from(path: Path, usual: Path | None) -> Sitting:
    """Read a sitting file and settle it."""
    sitting = load(path, usual_set(usual))
    with progress("Settling") as step:
        return settle(sitting, progress=step)


def planned(path: Path, usual: Path | None) -> Plan:
    """Read, settle and check a sitting file."""
    settled = settled_from(path, usual)
    with progress("Checking"):
        return check(settled)


@contextmanager
def progress(what: str) -> Iterator[Callable[[float], None]]:
    """Show a bar on a terminal while something runs, from half a second on; can be interrupted."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    task = bar.add_task(what, total=1.0, start=True)
    with bar:
        yield lambda share: bar.update(task, completed=share)
