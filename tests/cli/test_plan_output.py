"""How a plan looks: the five lines first, plain when piped, whole when narrow."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from running import TWO, plain_environment, run, start, written

from kinlight.cli.planning import planned
from kinlight.cli.show import _broken, plan_text
from kinlight.plan.model import Plan

ESCAPE = re.compile(r"\x1b\[[0-9;]*[A-Za-z]")
_NO_ROOM = "\n[wishes]\nworking_distance = 9.0\n"
COLOUR = re.compile(r"\x1b\[(?:[0-9;]*;)?(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;[0-9;]*)?m")


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return a plan of two people with two pictures and a picture each."""
    folder = tmp_path_factory.mktemp("plan")
    return planned(written(folder, TWO + "\n[room]\nlength = 8\n"), None)


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    for name in ("COLUMNS", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)


def test_verdict_and_five_lines_come_first(plan: Plan) -> None:
    """Title, verdict, then one line for each of light, tape, focus, stops, clock."""
    lines = plan_text(plan, short=True).splitlines()
    assert lines[0] == "Tilda and her aunt"
    assert lines[1].startswith("The set holds")
    starts = [line.split()[0] for line in lines if line and not line.startswith(" ")]
    assert starts[-6:] == ["Light", "Tape", "Focus", "Stops", "Clock", "Each"]


def test_what_is_not_reckoned_and_how_to_hold_the_meter_are_always_said(plan: Plan) -> None:
    """Even in the short output: before the five lines, and after them."""
    words = " ".join(plan_text(plan, short=True).split())
    for line in plan.unreckoned:
        assert words.index(" ".join(line.split())) < words.index("Light f/")
    height = plan.sitting.camera.aim_height_m
    assert height is not None
    said = words.partition("Each light alone: ")[2]
    assert said.startswith("flat receptor at the mark, ")
    assert said.endswith("facing the light.")  # there is no backdrop light here


def test_then_what_is_assumed_the_hold_table_the_order_and_the_cautions(plan: Plan) -> None:
    """The three assumptions that matter most before any table; no other table unless asked for."""
    text = plan_text(plan)
    titles = ["Assumed", "Does the set hold?", "Running order", "If a child lasts", "Take care"]
    found = [text.index(f"\n{title}") for title in titles]
    assert found == sorted(found)
    words = " ".join(text.split())
    before, _, _ = words.partition("Does the set hold?")
    assert all(" ".join(line.split()) in before for line in plan.assumed[:3])
    for line in (*plan.cautions, plan.verdict):
        assert " ".join(line.split()) in words
    for title in ("To tape", "Lights", "Meter", "Framing", "Depth", "Faces", "What fails"):
        assert f"\n{title}" not in text
    assert "--tables" in text


def test_everything_else_is_printed_when_asked_for(plan: Plan) -> None:
    """All tables and every assumption, the cautions still last."""
    text = plan_text(plan, tables=True)
    titles = ["Running order", "To tape", "Lights", "Framing", "Depth", "Faces", "Proposed",
              "Also assumed", "Take care"]  # fmt: skip
    found = [text.index(f"\n{title}") for title in titles]
    assert found == sorted(found)
    words = " ".join(text.split())
    assert all(" ".join(line.split()) in words for line in plan.assumed)
    faces = text.partition("\nFaces\n")[2]
    assert "Ragnhild" in faces
    assert "toward" in faces


def test_every_failing_check_is_said_once_with_what_to_try(tmp_path: Path) -> None:
    """Under the five lines, before all else; a fault of every picture is not said for each."""
    late = TWO + '[camera]\nshutter = "1/500"\nsync = "1/125"\n' + _NO_ROOM
    plan = planned(written(tmp_path, late), None)
    failing = {(c.name, c.sentence) for p in plan.to_make for c in p.checks if c.leeway < 0}
    assert len(failing) >= 2
    part = plan_text(plan).partition("\nWhat fails\n")[2].partition("\n\n")[0]
    said = " ".join(part.split())
    for name, sentence in failing:
        assert said.count(sentence) == 1, name
    assert "Try: a longer shutter time." in said
    assert plan_text(plan).index("What fails") < plan_text(plan).index("Assumed")


def test_a_length_to_spare_is_not_read_as_a_distance(plan: Plan) -> None:
    """What is left over is said to be left over."""
    table = plan_text(plan).partition("Does the set hold?")[2].partition("Running order")[0]
    assert re.search(r"crop,\s+[\d.]+ c?m to\s+spare", table)


def test_the_camera_changes_and_frames_stand_in_the_running_order(plan: Plan) -> None:
    """Who is in a picture is said where its name does not say it."""
    order = plan_text(plan).partition("Running order")[2].partition("If a child")[0]
    assert "both: Tilda; Ragnhild" in order
    assert "10:00" in order
    picture = plan.to_make[0]
    assert str(picture.time.frames) in order


def test_piped_output_is_plain(tmp_path: Path) -> None:
    """No escape codes, no drawn lines, no spaces at the ends, 120 wide at most."""
    done = start("plan", written(tmp_path, TWO), "--tables")
    assert done.returncode == 0
    assert not ESCAPE.search(done.stdout)
    assert not re.search("[\u2500-\u257f\u2026]", done.stdout)
    lines = done.stdout.splitlines()
    assert max(map(len, lines)) <= 120
    assert all(line == line.rstrip() for line in lines)


@pytest.mark.parametrize("wide", [120, 100, 80, 60, 40])
def test_a_narrow_terminal_gets_the_same_words(
    wide: int, plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No line is longer than it is wide, and no cell is cut short or broken within a word."""
    monkeypatch.setenv("COLUMNS", str(wide))
    text = plan_text(plan, tables=True)
    assert max(map(len, text.splitlines())) <= wide
    monkeypatch.setenv("COLUMNS", "120")
    words = set(re.findall(r"[\w/.%]+", plan_text(plan, tables=True)))
    missing = words - set(re.findall(r"[\w/.%]+", text))
    assert missing <= {"Time", "What", "No."}  # in lines the first cell needs no head


def test_where_a_table_does_not_fit_its_cells_become_lines(
    plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each with the head of its column."""
    monkeypatch.setenv("COLUMNS", "40")
    depth = plan_text(plan, tables=True).partition("\nDepth")[2]
    assert re.search(r"^both\n  Blur allowed: ", depth, re.MULTILINE)
    assert re.search(r"^  Best at: f/", depth, re.MULTILINE)


@given(
    st.lists(st.text("abc d", min_size=1, max_size=30), min_size=1, max_size=8),
    st.integers(10, 60),
)
def test_a_line_is_broken_after_semicolons_only(parts: list[str], wide: int) -> None:
    """Nothing is lost, and a line is longer than it may be only if one part alone is."""
    lines = _broken("; ".join(parts), wide)
    assert " ".join(lines) == "; ".join(parts)
    for line in lines:
        assert len(line) <= wide or "; " not in line


def _on_a_terminal(path: Path, wide: int, **environment: str) -> str:
    """Return what `plan --short` shows on a terminal this many columns wide."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, wide, 0, 0))
    child = subprocess.Popen(
        [sys.executable, "-m", "kinlight", "plan", str(path), "--short"],
        stdout=theirs,
        stderr=subprocess.DEVNULL,
        env=plain_environment() | {"TERM": "xterm-256color"} | environment,
    )
    os.close(theirs)
    shown = b""
    while True:
        try:
            more = os.read(ours, 4096)
        except OSError:  # how Linux says that the other end is closed
            more = b""
        if not more:
            break
        shown += more
    os.close(ours)
    assert child.wait(timeout=60) == 0
    return shown.decode().replace("\r\n", "\n")


def test_on_a_terminal_heads_are_bold_and_lines_as_long_as_it_is_wide(tmp_path: Path) -> None:
    """The width is the terminal's."""
    shown = _on_a_terminal(written(tmp_path, TWO), 70)
    assert "\x1b[1mTilda and her aunt" in shown
    lines = ESCAPE.sub("", shown).splitlines()
    assert 55 < max(map(len, lines)) <= 70


def test_no_colour_is_used_where_none_is_wanted(tmp_path: Path) -> None:
    """NO_COLOR: the words are the same, nothing is coloured."""
    path = written(tmp_path, TWO)
    shown = _on_a_terminal(path, 100, NO_COLOR="1")
    assert not COLOUR.search(shown)
    assert ESCAPE.sub("", shown) == ESCAPE.sub("", _on_a_terminal(path, 100))


def test_a_terminal_that_does_not_know_a_letter_shows_a_question_mark(tmp_path: Path) -> None:
    """A woman called Łucja can be planned on one that knows western letters alone."""
    path = written(tmp_path, TWO.replace("her aunt", "Łucja"))
    western = {"PYTHONUTF8": "0", "PYTHONIOENCODING": "latin-1"}
    done = start("plan", path, "--short", environment=western)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Tilda and ?ucja\n")


def test_square_brackets_in_a_name_are_letters(tmp_path: Path) -> None:
    """Nothing a person writes is taken for a style."""
    path = written(tmp_path, TWO.replace('"both"', '"[bold]both[/bold]"'))
    assert "[bold]both[/bold]" in run("plan", path).stdout


def test_a_reader_that_leaves_is_no_fault(tmp_path: Path) -> None:
    """`| head -1`: nothing on the error stream, the papers are written, the exit code stays."""
    target = tmp_path / "plan.json"
    child = subprocess.Popen(
        [sys.executable, "-m", "kinlight", "plan", written(tmp_path, TWO), "--json", target],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=plain_environment(),
    )
    assert child.stdout is not None
    assert child.stderr is not None
    child.stdout.close()
    assert child.stderr.read() == ""
    child.stderr.close()
    assert child.wait(timeout=60) == 0
    assert target.exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_said(tmp_path: Path) -> None:
    """Exit 2, one sentence."""
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "kinlight", "schema"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            env=plain_environment(),
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr.startswith("the output: cannot be written")
    assert len(done.stderr.splitlines()) == 1
