"""How long `kinlight --help` takes, and what is imported for it."""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys

from bench.timing import TIMES, tell

TARGET_S = 0.25
_DEAREST = 5


def main() -> None:
    """Time help, version and nothing at all; name the dearest imports."""
    bare = _processor_s("-c", "pass")
    tell("Python alone", bare)
    tell("kinlight --help", _processor_s("-m", "kinlight", "--help"), TARGET_S)
    tell("kinlight --version", _processor_s("-m", "kinlight", "--version"), TARGET_S)
    for what, taken_s in _imports("kinlight.cli"):
        tell(f"  importing {what}", taken_s)
    for module in ("numpy", "pydantic", "rich.console", "kinlight.plan.settle.settle"):
        tell(
            f"import {module}, which help does without",
            _processor_s("-c", f"import {module}") - bare,
        )


def _processor_s(*arguments: str) -> float:
    """Return the processor time of Python with these arguments, the middle of some runs [s]."""
    taken = []
    for _ in range(TIMES + 1):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)
    return statistics.median(taken[1:])


def _imports(module: str) -> list[tuple[str, float]]:
    """Return the modules that take longest by themselves, and for how long [s]."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", f"import {module}"],
        stderr=subprocess.PIPE,
        text=True,
        check=True,
        env=dict(os.environ),
    )
    found = []
    for line in done.stderr.splitlines()[1:]:
        own, _, name = line.removeprefix("import time:").split("|")
        found.append((name.strip(), int(own) / 1e6))
    return sorted(found, key=lambda pair: -pair[1])[:_DEAREST]
