"""The examples in the documentation are sittings that can be planned, and show what is printed."""

from __future__ import annotations

import re
import tomllib

import pytest
from doc_pages import ROOT, examples, pages, script

from kinlight.plan.check import check
from kinlight.plan.settle.settle import settle
from kinlight.sitting.files import parse
from kinlight.sitting.usual import with_usual_set

PASTE = script("paste_output")
SOMEBODY = {"people": [{"name": "Ida", "age": 40}]}


@pytest.mark.parametrize(("where", "text"), examples("sitting"))
def test_a_sitting_that_is_shown_can_be_planned(where: str, text: str) -> None:
    """It loads, settles and is checked; that it holds is another matter."""
    plan = check(settle(parse(tomllib.loads(text))))
    assert plan.verdict.startswith("The set holds for"), where
    assert plan.to_make


@pytest.mark.parametrize(("where", "text"), examples("usual"))
def test_a_usual_set_that_is_shown_can_be_used(where: str, text: str) -> None:
    """With somebody in front of it."""
    sitting = parse(with_usual_set(SOMEBODY, tomllib.loads(text)))
    assert "usual set" in sitting.origins.values(), where


@pytest.mark.parametrize(
    ("where", "text"),
    [e for e in examples("") if "sitting-file.md" not in e[0]],  # that page has its own test
)
def test_a_part_that_is_shown_can_be_read(where: str, text: str) -> None:
    """As TOML at least; what is whole by itself in a sitting as well."""
    document = tomllib.loads(text)
    if document.keys() & {"meter_points", "people"}:
        assert parse(SOMEBODY | document), where


def test_there_are_examples() -> None:
    """So that none of these tests is about nothing."""
    assert len(examples("sitting")) >= 4
    assert examples("usual")
    assert examples("")


@pytest.mark.parametrize("page", PASTE.pages(), ids=lambda page: page.stem)
def test_what_is_shown_is_what_is_printed(page: object) -> None:
    """If this fails: python tools/paste_output.py."""
    text = page.read_text("utf-8")  # type: ignore[attr-defined]
    assert PASTE.page(text) == text


def test_every_block_of_output_has_its_command() -> None:
    """No page but the generated ones shows output that nothing keeps true."""
    for page in pages():
        if page.name in ("commands.md", "plan-json.md"):
            continue
        text = page.read_text("utf-8")
        assert len(re.findall(r"^```text$", text, re.MULTILINE)) == len(
            re.findall(r"^<!-- kinlight [^\n]* -->\n```text$", text, re.MULTILINE)
        ), page.name


def test_the_readme_opens_with_the_job_the_picture_and_two_commands() -> None:
    """In this order, each command with a line of what it does."""
    text = (ROOT / "README.md").read_text("utf-8")
    job, picture, run, test = (
        text.index(part)
        for part in ("photographer", "docs/images/set-sheet.png", "    make run", "    make test")
    )
    assert job < picture < run < test
    assert "pipx install '.[fast]'" in text
    assert "Apache-2.0" in text
