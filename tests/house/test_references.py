"""Sources are cited by key, as [iso2720]; every key is in docs/references.bib and is used."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from house_tree import ROOT, SOURCE, modules

BIBLIOGRAPHY = ROOT / "docs" / "references.bib"
# A key has a digit or a hyphen in it and is no shorter than five: so no unit ([m], [lm/m2]) is one.
KEY = re.compile(r"(?=[a-z0-9-]*[0-9-])[a-z][a-z0-9-]{3,}[a-z0-9]")
_ENTRY = re.compile(r"^@\w+\{(?P<key>[^,]+),(?P<rest>.*)", re.MULTILINE)
_BRACKETS = re.compile(r"\[([^\[\]\"']+)\](?!\()")  # not the text of a link, not a list of texts


def _keys() -> list[str]:
    return [m["key"] for m in _ENTRY.finditer(BIBLIOGRAPHY.read_text(encoding="utf-8"))]


def _cited(text: str) -> Iterator[str]:
    """Yield the keys cited in a text: [iso2720], [winter2009, smith-moe]."""
    for brackets in _BRACKETS.findall(text):
        for piece in re.split(r"[,;]", brackets):
            if KEY.fullmatch(piece.strip()):
                yield piece.strip()


def _texts(value: object) -> Iterator[str]:
    """Yield every text in a document of tables and lists."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _texts(inner)


def _docstrings(tree: ast.AST) -> Iterator[str]:
    holders = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    for node in ast.walk(tree):
        if isinstance(node, holders):
            yield ast.get_docstring(node) or ""
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield str(node.value.value)  # the docstring of a field


def _data_files() -> list[Path]:
    return sorted(p for p in SOURCE.rglob("*") if p.suffix in (".toml", ".csv"))


def test_every_citation_is_in_the_bibliography() -> None:
    """In docstrings, and in the data files' texts and comments."""
    known = set(_keys())
    cited = [(s.path, key) for s in modules() for d in _docstrings(s.tree) for key in _cited(d)]
    for path in _data_files():
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".toml":
            comments = "\n".join(x for x in text.splitlines() if x.lstrip().startswith("#"))
            text = "\n".join([comments, *_texts(tomllib.loads(text))])
        cited += [(path.relative_to(ROOT).as_posix(), key) for key in _cited(text)]
    assert cited, "the search finds too little to mean anything"
    unknown = sorted({f"{where}: [{key}]" for where, key in cited if key not in known})
    assert not unknown, "\n".join(unknown)


def test_every_entry_is_cited() -> None:
    """In the package, its data or the documentation; the tests may lean on it too."""
    places = [SOURCE, ROOT / "docs", ROOT / "tests"]
    kinds = {".py", ".toml", ".csv", ".md", ".typ"}
    files = [p for place in places for p in place.rglob("*") if p.suffix in kinds]
    words = {w for p in files for w in re.findall(r"[a-z0-9-]+", p.read_text(encoding="utf-8"))}
    unused = sorted(set(_keys()) - words)
    assert not unused, ", ".join(unused)


def test_every_entry_is_whole_and_stands_once() -> None:
    """Its key can be told from a unit, it has a title, and a year or a note on why not."""
    entries = list(_ENTRY.finditer(BIBLIOGRAPHY.read_text(encoding="utf-8")))
    keys = [entry["key"] for entry in entries]
    assert len(set(keys)) == len(keys)
    assert [key for key in keys if not KEY.fullmatch(key)] == []
    assert [e["key"] for e in entries if "title = {" not in e["rest"]] == []
    assert [e["key"] for e in entries if not re.search(r"\b(year|note) = \{", e["rest"])] == []


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("after [iso2720] and [iso80000-1]", ["iso2720", "iso80000-1"]),
        ("both [winter2009, smith-moe]", ["winter2009", "smith-moe"]),
        ("in [m], [-], [lm/m2], [lx s], [deg], [stop], shape [0, 1]", []),
        ("a [two-way](page.md) link", []),
        ("x[i-1], ['a-thing']", []),
    ],
)
def test_a_citation_is_told_from_a_unit(text: str, keys: list[str]) -> None:
    """And from a link, an index and a list."""
    assert list(_cited(text)) == keys
