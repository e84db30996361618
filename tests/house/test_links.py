"""The documentation's links lead somewhere."""

from __future__ import annotations

import re
from pathlib import Path

from house_tree import ROOT

_LINK = re.compile(r"\[[^\]]+\]\(([^)#\s]+)(?:#[^)]*)?\)")
_COMMAND = re.compile(r"(?:^    |`)make ([a-z]+)\b", re.MULTILINE)


def _pages() -> list[Path]:
    return sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")])


def test_every_link_to_a_file_finds_it() -> None:
    """From one page to another, wherever the repository lies."""
    links = [
        (page, target)
        for page in _pages()
        for target in _LINK.findall(page.read_text(encoding="utf-8"))
        if not re.match(r"https?:|mailto:", target)
    ]
    assert links
    lost = [f"{p.name}: {target}" for p, target in links if not (p.parent / target).exists()]
    assert not lost, "\n".join(lost)


def test_every_page_can_be_reached() -> None:
    """Each page of the documentation is linked from another."""
    pages = _pages()
    linked = {
        (page.parent / target).resolve()
        for page in pages
        for target in _LINK.findall(page.read_text(encoding="utf-8"))
    }
    docs = [p for p in pages if p.is_relative_to(ROOT / "docs") and p.name != "index.md"]
    assert [p.name for p in docs if p not in linked] == []


def test_every_make_target_that_is_named_exists() -> None:
    """What CONTRIBUTING tells someone to run can be run, and all there is is told."""
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", makefile, re.MULTILINE))
    told = set(_COMMAND.findall((ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")))
    assert told <= targets
    assert targets - told <= {"help", "clean"}
