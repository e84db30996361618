"""Every command, option and key is documented, and nothing is documented that is not there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest
from doc_pages import DOCS, ROOT, pages, script

from kinlight.cli import main
from kinlight.plan.model import Plan

COMMANDS = script("command_reference")
PLAN = script("plan_reference")
_CODE = re.compile(
    r"^    (kinlight [^\n]+)$|`(kinlight [^`\n]+)`|<!-- (kinlight [^|\n]+?) (?:\||-->)",
    re.MULTILINE,
)


def _command(path: str) -> click.Command:
    """Return the command at a path such as "kinlight record made"."""
    command: click.Command = main
    for word in path.split()[1:]:
        assert isinstance(command, click.Group)
        command = command.commands[word]
    return command


def _called(line: str) -> tuple[click.Command, list[str]]:
    """Return the command that a line calls, and the words left over for it."""
    command: click.Command = main
    words = shlex.split(line)[1:]
    while isinstance(command, click.Group):
        first = sum(isinstance(p, click.Argument) for p in command.params)
        if words[first : first + 1] == [] or words[first] not in command.commands:
            break
        command, words = command.commands[words[first]], words[first + 1 :]
    return command, words


def _options(command: click.Command) -> set[str]:
    context = click.Context(command, help_option_names=["-h", "--help"])
    return {
        name for option in command.get_params(context) for name in option.opts if name[0] == "-"
    }


def _shown() -> list[tuple[str, str]]:
    """Return every command line in the pages, with the page."""
    return [
        (str(page.relative_to(ROOT)), next(text for text in match.groups() if text))
        for page in pages()
        for match in _CODE.finditer(page.read_text("utf-8"))
    ]


def test_the_page_of_commands_is_what_the_program_says() -> None:
    """If this fails: python tools/command_reference.py."""
    page = (DOCS / "reference" / "commands.md").read_text("utf-8")
    assert COMMANDS.page(page) == page


def test_every_command_and_option_is_in_it() -> None:
    """A section for each command, and each option in its section with what it does."""
    page = (DOCS / "reference" / "commands.md").read_text("utf-8")
    sections = dict(part.split("\n", 1) for part in page.split("\n## ")[1:])
    paths = [path for path, _ in COMMANDS.helps()]
    assert "kinlight" in paths
    assert {f"kinlight {name}" for name in main.commands} <= set(paths)
    for path in paths:
        for option in _options(_command(path)):
            assert re.search(rf"^  .*{re.escape(option)}\b.*  \w", sections[path], re.MULTILINE)


def test_every_exit_code_is_explained() -> None:
    """Those the program ends with, and no others."""
    from kinlight.cli import out

    codes = {out.HOLDS, out.UNEXPECTED, out.BAD_INPUT, out.DOES_NOT_HOLD, out.STOPPED}
    page = (DOCS / "reference" / "commands.md").read_text("utf-8")
    assert {int(code) for code in re.findall(r"^\| (\d+) \|", page, re.MULTILINE)} == codes
    told = re.search(r"Exit codes: ([^`]*?)\.", page)
    assert told is not None
    assert {int(code) for code in re.findall(r"\d+", told[1])} == codes


def test_every_command_is_used_somewhere() -> None:
    """In a page that shows what it is for, beside the reference."""
    used = {_called(line)[0] for _, line in _shown()}
    assert {_command(path) for path, _ in COMMANDS.helps()} - {main} <= used


@pytest.mark.parametrize(("page", "line"), _shown())
def test_a_command_that_is_shown_can_be_typed(page: str, line: str) -> None:
    """The command is there, and so is each of its options."""
    command, rest = _called(line)
    takes = [p for p in command.params if isinstance(p, click.Argument)]
    if isinstance(command, click.Group):
        assert len([word for word in rest if word[0] != "-"]) <= len(takes), page
    assert {word for word in rest if word[0] == "-"} <= _options(command), page


def test_the_page_of_the_plan_is_what_the_plan_holds() -> None:
    """If this fails: python tools/plan_reference.py."""
    page = (DOCS / "reference" / "plan-json.md").read_text("utf-8")
    assert PLAN.page(page) == page


def test_every_part_of_a_plan_is_in_it() -> None:
    """A section for each part, a row for each field, a link for each part in a part."""
    page = (DOCS / "reference" / "plan-json.md").read_text("utf-8")
    sections = dict(part.split("\n", 1) for part in page.split("\n## ")[1:])
    parts = PLAN.parts()
    assert parts[0] is Plan
    for part in parts:
        section = sections[PLAN.title(part)]
        assert all(f"| `{name}` |" in section for name in PLAN.fields_of(part)), part
        assert len(section.partition("| key |")[0].strip()) > 10, part
    for target in re.findall(r"\(#([\w-]+)\)", page):
        assert target in {title.lower().replace(" ", "-") for title in sections}


def test_a_plan_in_json_holds_what_the_page_says(tmp_path: Path) -> None:
    """Key for key, down to the last part, in a real plan."""
    import json

    from click.testing import CliRunner

    source, target = tmp_path / "family.toml", tmp_path / "plan.json"
    text = (DOCS / "tutorial" / "first-sitting.md").read_text("utf-8")
    source.write_text(re.findall(r"```toml sitting: family.toml\n(.*?)```", text, re.DOTALL)[0])
    CliRunner().invoke(main, ["plan", str(source), "--short", "--json", str(target)])
    plan = json.loads(target.read_text("utf-8"))
    own = {name for part in PLAN.parts() for name in PLAN.fields_of(part)}
    own |= {"written_by", "holds", "verdict"}
    plan.pop("sitting")
    assert set(plan) == {*PLAN.fields_of(Plan), "written_by", "holds"} - {"sitting"}
    assert _keys(plan) <= own


def _keys(value: object) -> set[str]:
    if isinstance(value, dict):
        return set(value).union(*(_keys(inner) for inner in value.values()))
    if isinstance(value, list):
        return set[str]().union(*(_keys(inner) for inner in value))
    return set()
