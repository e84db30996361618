"""What the tests of the command line share: small sittings, and ways to run the program."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from click.testing import CliRunner, Result

from kinlight.cli import main

FIVE_LINES = """\
date = "2026-05-30"
[[people]]
name = "Tilda"
age = 5
"""
TWO = """\
title = "Tilda and her aunt"
date = "2026-05-30"
sizes = ["20x25 cm"]

[[people]]
name = "Tilda"
age = 5

[[people]]
name = "Ragnhild"
age = 33

[[pictures]]
name = "both"
people = ["Tilda", "Ragnhild"]
must = true
"""
DOES_NOT_HOLD = FIVE_LINES + '[camera]\nshutter = "1/250"\nsync = "1/125"\n'
BAD = FIVE_LINES.replace("age = 5", "age = -3") + '[camera]\niso = "fast"\n[backdrop]\nhight = 2\n'


def run(*arguments: object) -> Result:
    """Run a command in this process."""
    return CliRunner().invoke(main, [str(a) for a in arguments])


def start(
    *arguments: object, environment: dict[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Run the program as a user does, piped, and wait for it."""
    return subprocess.run(
        [sys.executable, "-m", "kinlight", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        env=plain_environment() | (environment or {}),
        check=False,
    )


def plain_environment() -> dict[str, str]:
    """Return the environment without what would change how the output looks."""
    left_out = {"COLUMNS", "LINES", "NO_COLOR", "FORCE_COLOR", "TERM", "KINLIGHT_TRACEBACK"}
    return {k: v for k, v in os.environ.items() if k not in left_out} | {"PYTHONUTF8": "1"}


def written(folder: Path, text: str, name: str = "sitting.toml") -> Path:
    """Write a sitting file and return it."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path
