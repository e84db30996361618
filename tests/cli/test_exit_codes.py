"""What a command ends with, and what it says when it cannot go on."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from running import (
    BAD,
    DOES_NOT_HOLD,
    FIVE_LINES,
    TWO,
    plain_environment,
    run,
    start,
    written,
)

from kinlight.cli import planning


@pytest.fixture(autouse=True)
def _nobodys_usual_set(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.delenv("KINLIGHT_TRACEBACK", raising=False)


def test_a_set_that_holds_ends_with_0(tmp_path: Path) -> None:
    """Nothing is said on the error stream."""
    done = start("plan", written(tmp_path, TWO))
    assert (done.returncode, done.stderr) == (0, "")
    assert "The set holds for the one picture" in done.stdout


def test_a_set_that_does_not_hold_ends_with_3(tmp_path: Path) -> None:
    """Everything is printed all the same, and the verdict says what fails."""
    done = run("plan", written(tmp_path, DOES_NOT_HOLD))
    assert done.exit_code == 3
    assert "fails sync" in done.stdout
    assert "part of the frame would miss the flash" in done.stdout


def test_bad_input_ends_with_2_and_one_sentence_for_each_fault(tmp_path: Path) -> None:
    """All of them at once, on the error stream, no traceback and no half a plan."""
    done = start("plan", written(tmp_path, BAD))
    assert (done.returncode, done.stdout) == (2, "")
    *faults, count = done.stderr.splitlines()
    assert count == "3 things to mend; nothing was written."
    assert len(faults) == 3
    for what in ("age", "iso", "hight"):
        assert any(what in fault for fault in faults), what


def test_one_fault_is_one_line(tmp_path: Path) -> None:
    """And nothing is counted."""
    done = run("plan", written(tmp_path, FIVE_LINES.replace("age = 5", "age = -3")))
    assert (done.exit_code, done.stdout) == (2, "")
    assert len(done.stderr.splitlines()) == 1
    assert "-3" in done.stderr


@pytest.mark.parametrize("command", ["plan", "settle"])
@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "there is no such file; check the name, or make one with: kinlight new"),
        (b"\xff\xfe\x00", "is not a text file in UTF-8"),
        (b"", "people"),
        (b"[[people", "cannot be read as TOML"),
    ],
)
def test_a_file_that_cannot_be_used(
    command: str, content: bytes | None, said: str, tmp_path: Path
) -> None:
    """Missing, no text, empty, no TOML: exit 2 and one sentence."""
    path = tmp_path / "family.toml"
    if content is not None:
        path.write_bytes(content)
    done = run(command, path)
    assert (done.exit_code, done.stdout) == (2, "")
    assert len(done.stderr.splitlines()) == 1
    assert said in done.stderr


def test_a_folder_is_not_a_sitting(tmp_path: Path) -> None:
    """Said as such."""
    done = run("plan", tmp_path)
    assert done.exit_code == 2
    assert "is a folder, not a sitting file" in done.stderr


def _breaks(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise error

    monkeypatch.setattr(planning, "settled_from", broken)


def test_what_is_not_expected_ends_with_1_and_says_how_to_report_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence; no traceback unless it is asked for."""
    _breaks(ZeroDivisionError("division\nby zero"), monkeypatch)
    done = run("plan", written(tmp_path, FIVE_LINES))
    assert (done.exit_code, done.stdout) == (1, "")
    assert len(done.stderr.splitlines()) == 1
    assert done.stderr.startswith(
        "This should not have happened: ZeroDivisionError division by zero. Please report it"
    )
    assert "KINLIGHT_TRACEBACK=1" in done.stderr


def test_the_traceback_is_there_for_who_asks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With KINLIGHT_TRACEBACK=1 the error goes all the way up; with 0 it does not."""
    _breaks(ZeroDivisionError("division by zero"), monkeypatch)
    path = written(tmp_path, FIVE_LINES)
    monkeypatch.setenv("KINLIGHT_TRACEBACK", "1")
    assert isinstance(run("plan", path).exception, ZeroDivisionError)
    monkeypatch.setenv("KINLIGHT_TRACEBACK", "0")
    assert isinstance(run("plan", path).exception, SystemExit)


@pytest.mark.skipif(os.name != "posix", reason="signals as POSIX sends them")
def test_ctrl_c_stops_it_with_one_line() -> None:
    """A real interrupt while it computes: exit 130, no traceback."""
    code = (
        "import time\nfrom kinlight.cli import main, planning\n"
        "def wait(*_):\n    print('ready', flush=True)\n    time.sleep(60)\n"
        "planning.settled_from = wait\nmain(['plan', 'family.toml'])"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=plain_environment(),
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "ready\n"
    child.send_signal(signal.SIGINT)
    _, errors = child.communicate(timeout=30)
    assert (child.returncode, errors) == (130, "Stopped before the end.\n")
