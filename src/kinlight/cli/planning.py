"""Reading, settling and checking a sitting for a command, with progress when it takes time."""

from __future__ import annotations

import datetime as dt
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from kinlight.errors import Fault, StoreError
from kinlight.light.engine import is_waiting
from kinlight.plan.check import check
from kinlight.plan.model import Plan
from kinlight.plan.settle.settle import settle
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import load

USUAL_SET = "usual-set.toml"
_PREPARING = (
    "Note: the light was reckoned the slow way, with the same result. The fast way is being "
    "compiled in the background, once, and will be there in a minute."
)
PATIENCE_S = 0.5
"""Nothing is shown about what takes no longer than this."""


def usual_set(stated: Path | None) -> Path | None:
    """Return the usual set to use: the one named, else the user's own if there is one."""
    if stated is not None:
        return stated
    kept = Path(click.get_app_dir("kinlight")) / USUAL_SET
    return kept if kept.exists() else None


def settled_from(path: Path, usual: Path | None) -> Sitting:
    """Read a sitting file and settle it."""
    sitting = load(path, usual_set(usual), today=dt.date.today())
    with progress("Settling") as step:
        return settle(sitting, progress=step)


def planned(path: Path, usual: Path | None) -> Plan:
    """Read, settle and check a sitting file."""
    settled = settled_from(path, usual)
    with progress("Checking"):
        plan = check(settled)
    if is_waiting():
        click.echo(_PREPARING, err=True)
    return plan


def refuse_same(sources: Iterable[Path | None], outputs: Iterable[Path | None]) -> None:
    """Refuse to write over a file that is read, or twice into one file.

    Raises
    ------
    StoreError
        Before anything is computed or written.
    """
    read = [source.resolve() for source in sources if source is not None]
    written: list[Path] = []
    for output in (output for output in outputs if output is not None):
        if any(_same(output, source) for source in read):
            remedy = "name another file; what is in this one would be lost"
            raise StoreError(Fault("would be written over", where=str(output), remedy=remedy))
        if output.resolve() in written:
            raise StoreError(
                Fault("is named twice", where=str(output), remedy="give each its own file")
            )
        written.append(output.resolve())


def _same(one: Path, other: Path) -> bool:
    if one.resolve() == other:
        return True
    return one.exists() and other.exists() and one.samefile(other)


@contextmanager
def progress(what: str) -> Iterator[Callable[[float], None]]:
    """Show a bar on a terminal while something runs, from half a second on; can be interrupted."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn()
    bar = Progress(*columns, console=Console(stderr=True), transient=True)
    task = bar.add_task(what, total=None)
    late = threading.Timer(PATIENCE_S, bar.start)
    late.start()
    try:
        yield lambda share: bar.update(task, total=1.0, completed=share)
    finally:
        late.cancel()
        late.join()
        bar.stop()
