"""Keeping what happens, from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest
from running import FIVE_LINES, TWO, run, written

from kinlight.cli.planning import planned
from kinlight.quantities.stops import meter_text
from kinlight.sitting.files import load

POINT = '\n[[meter_points]]\nid = "at the mark"\nplace = { x = 0, y = 0, z = 1.2 }\n'


@pytest.fixture(autouse=True)
def _nobodys_usual_set(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def test_frames_and_readings_are_kept_and_shown_beside_the_plan(tmp_path: Path) -> None:
    """Beside the sitting, which stays as it is."""
    source = written(tmp_path, TWO + POINT)
    assert run("record", source).stdout == "Nothing is recorded yet.\n"
    kept = run("record", source, "reading", "at the mark", "f/4 + 2/10")
    assert kept.stdout.startswith("Kept: at the mark f/4 + 2/10; expected f/")
    assert run("record", source, "made", "both", "4").stdout.startswith("Kept: both, 4")
    assert run("record", source, "made", "both").stdout.startswith("Kept: both, 5 of ")
    shown = run("record", source)
    assert shown.exit_code == 0
    assert shown.stdout.startswith("Tilda and her aunt: 1 of 1 pictures made\n")
    number = next(m.number for m in planned(source, None).meter if m.where == "at the mark")
    assert f"    {number}  at the mark: read f/4 + 2/10, expected f/" in shown.stdout
    assert source.read_text("utf-8") == TWO + POINT


def test_what_was_learned_goes_into_another_sitting_with_its_date(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan then sets it beside what it expects."""
    source, target = written(tmp_path, TWO + POINT), tmp_path / "learned.toml"
    run("record", source, "reading", "at the mark", "f/4 + 2/10")
    run("record", source, "reading", "at the mark", "f/4 + 3/10")
    done = run("record", source, "learned", "-o", target)
    assert done.stdout == f"Written: {target}  (1 reading copied)\n"
    point = load(target).meter_points[0]
    assert point.reading == "f/4 + 3/10"
    assert point.read_on is not None
    monkeypatch.setenv("COLUMNS", "120")
    assert "f/4 + 3/10 (" in run("plan", target, "--tables").stdout


def test_the_reading_of_a_light_alone_is_kept_beside_what_was_expected(tmp_path: Path) -> None:
    """By the light's name; the answer says how far off it is: f/4 is two stops over f/2."""
    source = written(tmp_path, TWO)
    key = next(x for x in planned(source, None).lights if x.role == "key")
    twice = meter_text(2 * key.reading_f_number)
    kept = run("record", source, "reading", key.light, twice)
    assert kept.exit_code == 0
    assert f"expected {key.reading} (+2.0 stops)" in kept.stdout
    assert f"{key.light}: read {twice}, expected {key.reading}" in run("record", source).stdout


@pytest.mark.parametrize("word", ["made", "reading", "learned"])
def test_help_is_that_of_the_further_word(word: str) -> None:
    """With FILE before it and without."""
    for words in ([word, "--help"], ["family.toml", word, "--help"]):
        done = run("record", *words)
        assert done.exit_code == 0
        assert f"FILE {word} [OPTIONS]" in done.stdout
    assert "Commands:" in run("record", "--help").stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["reading", "at the mark", "8.4"], "can be read two ways"),
        (
            ["reading", "at the door", "f/8"],
            "there is no meter point or light 'at the door'; allowed: ",
        ),
        (["made", "nobody"], "there is no picture 'nobody'; allowed: both"),
    ],
)
def test_what_cannot_be_kept_is_not(words: list[str], said: str, tmp_path: Path) -> None:
    """Exit 2, one sentence, and no record."""
    done = run("record", written(tmp_path, TWO + POINT), *words)
    assert done.exit_code == 2
    assert said in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert [p.name for p in tmp_path.iterdir()] == ["sitting.toml"]


def test_a_sitting_that_is_not_there_has_no_record(tmp_path: Path) -> None:
    """A misspelt name is said, not taken for a sitting without a record."""
    done = run("record", tmp_path / "sittting.toml")
    assert done.exit_code == 2
    assert "there is no such file" in done.stderr


def test_a_line_that_cannot_be_read_is_passed_over_and_said(tmp_path: Path) -> None:
    """On the error stream."""
    source = written(tmp_path, FIVE_LINES)
    written(tmp_path, "torn\n", "sitting.record.jsonl")
    done = run("record", source)
    assert done.stdout == "Nothing is recorded yet.\n"
    assert done.stderr.startswith("sitting.record.jsonl: line 1: ")


def test_the_sitting_is_not_written_over(tmp_path: Path) -> None:
    """Nor is the record itself."""
    source = written(tmp_path, TWO + POINT)
    run("record", source, "reading", "at the mark", "f/4")
    for target in (source, tmp_path / "sitting.record.jsonl"):
        done = run("record", source, "learned", "-o", target)
        assert done.exit_code == 2
        assert "would be written over" in done.stderr
