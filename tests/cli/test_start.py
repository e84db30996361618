"""Starting: help, version, the schema, and how little is loaded for it."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from running import plain_environment, run, start

import kinlight
from kinlight.cli import main

HEAVY = ("numpy", "pydantic", "rich", "typst", "tomli_w", "kinlight.plan", "kinlight.sitting")


def test_help_says_what_it_is_for_and_names_every_command() -> None:
    """And the exit codes, since scripts need them."""
    shown = run("--help")
    assert shown.exit_code == 0
    assert "family portrait sitting" in shown.stdout
    assert all(f"  {name} " in shown.stdout for name in main.commands)
    assert "..." not in shown.stdout.partition("Commands:")[2]
    codes = " ".join(shown.stdout.partition("Exit codes:")[2].split())
    assert codes.startswith("0 the set holds, 3 it does not, 2 something in the input is wrong")


@pytest.mark.parametrize("command", main.commands)
def test_every_command_has_help(command: str) -> None:
    """With a sentence of its own, by both spellings."""
    shown = run(command, "--help")
    assert shown.exit_code == 0
    assert shown.stdout == run(command, "-h").stdout
    assert shown.stdout.startswith(f"Usage: main {command}")
    assert (main.commands[command].help or "").strip().endswith(".")


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["plan", "--help"]])
def test_asking_for_help_loads_nothing_heavy(arguments: list[str]) -> None:
    """Neither numpy nor pydantic nor rich: help must come at once."""
    code = (
        "import sys\nfrom kinlight.cli import main\n"
        f"try:\n    main({arguments!r})\nexcept SystemExit:\n    pass\n"
        f"print([m for m in sys.modules if m.startswith({HEAVY!r})])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_version_is_that_of_the_package() -> None:
    """Of the program as it is started, too."""
    assert run("--version").stdout == f"kinlight, version {kinlight.__version__}\n"
    assert start("--version").stdout == f"kinlight, version {kinlight.__version__}\n"


def test_without_a_command_help_is_shown() -> None:
    """A newcomer who types the name alone is told what there is."""
    shown = start()
    assert "Commands:" in shown.stdout + shown.stderr
    assert shown.returncode in (0, 2)  # click 8.1 ends with 0, later ones with 2


def test_a_command_that_is_not_there_is_bad_input() -> None:
    """Said in one line after the usage, without a traceback."""
    shown = run("plna", "x.toml")
    assert shown.exit_code == 2
    assert "No such command 'plna'" in shown.stderr
    assert "Traceback" not in shown.stderr


def test_schema_is_json_schema_of_the_document() -> None:
    """With every part of the document, and only the people required."""
    shown = run("schema")
    assert shown.exit_code == 0
    schema = json.loads(shown.stdout)
    assert schema["required"] == ["people"]
    assert {"Person", "Light", "Picture", "Room"} <= schema["$defs"].keys()


def test_nothing_is_printed_into_a_closed_output() -> None:
    """`>&-` in a shell: no traceback, and the exit code of the command."""
    code = (
        "import os, sys\nos.close(1)\n"
        "os.execv(sys.executable, [sys.executable, '-m', 'kinlight', 'schema'])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        stderr=subprocess.PIPE,
        text=True,
        timeout=60,
        env=plain_environment(),
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
