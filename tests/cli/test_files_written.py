"""What the commands write, and what they refuse to write over."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from running import FIVE_LINES, TWO, run, written

from kinlight.cli.planning import refuse_same
from kinlight.errors import StoreError
from kinlight.sitting.files import load, plain
from kinlight.sitting.starter import demo_text, starter_text, usual_starter_text


@pytest.fixture(autouse=True)
def _nobodys_usual_set(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.chdir(tmp_path)


def _no_such_number(text: str) -> Any:
    raise AssertionError(f"{text} is not JSON")


def test_the_plan_as_json_is_json_to_the_letter(tmp_path: Path) -> None:
    """No NaN, no Infinity, the verdict and the pictures in it."""
    target = tmp_path / "a folder" / "plan.json"
    target.parent.mkdir()
    done = run("plan", written(tmp_path, TWO), "--short", "--json", target)
    assert done.exit_code == 0
    plan = json.loads(target.read_text("utf-8"), parse_constant=_no_such_number)
    assert plan["holds"] is True
    assert plan["verdict"] in " ".join(done.stdout.split())
    assert [p["name"] for p in plan["pictures"]] == ["both"]
    assert {p["name"] for p in plan["sitting"]["people"]} == {"Tilda", "Ragnhild"}


def test_a_plan_is_the_same_every_time(tmp_path: Path) -> None:
    """The same sitting, the same bytes."""
    source = written(tmp_path, TWO)
    for name in ("one.json", "two.json"):
        run("plan", source, "--short", "--json", tmp_path / name)
    assert (tmp_path / "one.json").read_bytes() == (tmp_path / "two.json").read_bytes()


def test_a_settled_sitting_is_printed_as_it_was_written(tmp_path: Path) -> None:
    """TOML for TOML, JSON for JSON; what was stated is in it, what was not is marked proposed."""
    done = run("settle", written(tmp_path, TWO))
    assert done.exit_code == 0
    settled = load(written(tmp_path, done.stdout, "settled.toml"))
    assert settled.title == "Tilda and her aunt"
    assert settled.origins["order"] == "proposed"
    as_json = run("settle", written(tmp_path, json.dumps(plain(settled)), "settled.json"))
    assert json.loads(as_json.stdout)["order"] == ["both"]


def test_settling_writes_another_file_and_says_what_is_lost(tmp_path: Path) -> None:
    """With --accept nothing is marked as proposed any more, and it is still the same set."""
    source, target = written(tmp_path, TWO), tmp_path / "settled.toml"
    done = run("settle", source, "-o", target, "--accept")
    assert done.exit_code == 0
    assert done.stdout == f"Written: {target}  (comments of sitting.toml are not in it)\n"
    assert source.read_text("utf-8") == TWO
    settled = load(target)
    assert "proposed" not in settled.origins.values()
    assert settled.order == ("both",)


@pytest.mark.parametrize("option", [["plan", "--json"], ["plan", "--pdf"], ["settle", "-o"]])
@pytest.mark.parametrize("by", ["name", "detour", "link"])
def test_the_sitting_is_never_written_over(option: list[str], by: str, tmp_path: Path) -> None:
    """Nor by another way to the same file; refused before anything is computed."""
    source = written(tmp_path, TWO)
    target = {"name": source, "detour": tmp_path / "x" / ".." / source.name}.get(by)
    if target is None:
        target = tmp_path / "link.toml"
        os.link(source, target)
    command, name = option
    done = run(command, source, name, target)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "would be written over; name another file" in done.stderr
    assert source.read_text("utf-8") == TWO


def test_neither_is_the_usual_set(tmp_path: Path) -> None:
    """It is read as well."""
    usual = written(tmp_path, "[room]\nlength = 9\n", "usual.toml")
    done = run("plan", written(tmp_path, TWO), "--usual", usual, "--json", usual)
    assert done.exit_code == 2
    assert usual.read_text("utf-8") == "[room]\nlength = 9\n"


def test_two_papers_need_two_files(tmp_path: Path) -> None:
    """The second would replace the first."""
    with pytest.raises(StoreError, match="is named twice; give each its own file"):
        refuse_same((), (tmp_path / "a", tmp_path / "." / "a"))
    refuse_same((tmp_path / "a", None), (tmp_path / "b", None))


def test_where_nothing_can_be_written_it_says_so(tmp_path: Path) -> None:
    """A file where a folder would have to be: exit 2, one sentence."""
    source = written(tmp_path, TWO)
    done = run("plan", source, "--short", "--json", source / "plan.json")
    assert done.exit_code == 2
    assert len(done.stderr.splitlines()) == 1
    assert "plan.json: cannot be written" in done.stderr


def test_new_writes_a_starter_that_can_be_planned_at_once(tmp_path: Path) -> None:
    """And says what to type next."""
    done = run("new")
    assert done.exit_code == 0
    assert done.stdout.endswith("Put the family in, then: kinlight plan sitting.toml\n")
    assert (tmp_path / "sitting.toml").read_text("utf-8") == starter_text()
    assert run("plan", "sitting.toml", "--short").exit_code in (0, 3)


def test_new_can_write_a_usual_set(tmp_path: Path) -> None:
    """Which a plan then takes its blanks from."""
    done = run("new", "--usual", "ours.toml")
    assert done.stdout.endswith("Fill it in, then: kinlight plan SITTING --usual ours.toml\n")
    assert (tmp_path / "ours.toml").read_text("utf-8") == usual_starter_text()


@pytest.mark.parametrize("option", [[], ["--usual"]])
def test_new_leaves_alone_what_is_there(option: list[str], tmp_path: Path) -> None:
    """A family's file is not replaced by a starter."""
    source = written(tmp_path, FIVE_LINES)
    done = run("new", *option, source)
    assert done.exit_code == 2
    assert "is there already; name another file" in done.stderr
    assert source.read_text("utf-8") == FIVE_LINES


def test_the_demo_leaves_alone_what_is_there(tmp_path: Path) -> None:
    """Somebody's own sitting.toml in the folder is not replaced by the demo's."""
    source = written(tmp_path, FIVE_LINES)
    done = run("demo", tmp_path)
    assert done.exit_code == 2
    assert "is there already and is not the demo" in done.stderr
    assert source.read_text("utf-8") == FIVE_LINES


def test_the_demo_writes_sitting_sheets_and_numbers(tmp_path: Path) -> None:
    """And can be run again over its own files."""
    folder = tmp_path / "demo"
    folder.mkdir()
    (folder / "sitting.toml").write_text(demo_text(), encoding="utf-8")
    done = run("demo", folder)
    assert done.exit_code in (0, 3), done.stderr
    assert (folder / "plan.pdf").read_bytes().startswith(b"%PDF")
    plan = json.loads((folder / "plan.json").read_text("utf-8"), parse_constant=_no_such_number)
    assert done.exit_code == (0 if plan["holds"] else 3)
    assert f"The sheets:  {folder / 'plan.pdf'}" in done.stdout


def test_the_kept_usual_set_is_used_unless_another_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The one in the user's own folder, if there is one."""
    config = tmp_path / "config" / "kinlight"
    config.mkdir(parents=True)
    (config / "usual-set.toml").write_text("[camera]\niso = 200\n", encoding="utf-8")
    source = written(tmp_path, TWO)
    assert "ISO 200" in run("plan", source, "--short").stdout
    other = written(tmp_path, "[camera]\niso = 160\n", "other.toml")
    assert "ISO 160" in run("plan", source, "--short", "--usual", other).stdout
