"""docs/reference/glossary.md names every quantity of the public names, and no other."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass

from house_tree import ROOT, modules, public_names
from house_units import UNITS, is_numeric, singular, split_unit

GLOSSARY = ROOT / "docs" / "reference" / "glossary.md"
_ROW = re.compile(
    r"^\| `(?P<name>\w+)` \|(?P<symbol>[^|]*)\| (?P<unit>[^|]+) \|(?P<meaning>[^|]*)\|$"
)


@dataclass(frozen=True)
class Row:
    """One row of the glossary's tables."""

    name: str
    unit: str
    meaning: str


@functools.cache
def _rows() -> list[Row]:
    lines = GLOSSARY.read_text(encoding="utf-8").splitlines()
    found = [match for line in lines if (match := _ROW.match(line))]
    return [Row(m["name"], m["unit"].strip(), m["meaning"].strip()) for m in found]


@functools.cache
def _used() -> dict[str, str]:
    """Return every public name of a number, and one place where it is used."""
    found = [name for source in modules() for name in public_names(source)]
    return {n.name: n.where for n in found if is_numeric(n.annotation)}


def _row_for(name: str, rows: list[str]) -> str | None:
    """Return the glossary's name for a public name: itself, or the longest it ends in.

    `aim_height_m` is a `height_m`; the plural `distances_m` is a `distance_m`.
    """
    stem, suffix = split_unit(name)
    for candidate in (stem, singular(stem)):
        words = candidate.split("_")
        for first in range(len(words)):
            shorter = "_".join([*words[first:], *([suffix] if suffix else [])])
            if shorter in rows:
                return shorter
    return None


def test_every_quantity_in_a_public_name_is_in_the_glossary() -> None:
    """Arguments and fields that carry a unit."""
    rows = [row.name for row in _rows()]
    carrying = {name: where for name, where in _used().items() if split_unit(name)[1]}
    missing = [f"{n} ({w})" for n, w in sorted(carrying.items()) if not _row_for(n, rows)]
    assert not missing, "\n".join(missing)


def test_nothing_in_the_glossary_is_unused() -> None:
    """Each row is what some public name is, or ends in."""
    rows = [row.name for row in _rows()]
    unused = sorted(set(rows) - {_row_for(name, rows) for name in _used()})
    assert not unused, ", ".join(unused)


def test_a_rows_unit_is_that_of_its_name() -> None:
    """`distance_m` is in metres; a name without a unit is a plain number or a term."""
    terms = {"c_flat": "lx s", "c_dome": "lx s", "efficacy": "lm s/J", "ppi": "px/in"}
    for row in _rows():
        expected = UNITS.get(split_unit(row.name)[1]) or terms.get(row.name, "-")
        assert row.unit == expected, row.name


def test_every_row_is_whole_and_stands_once() -> None:
    """Each line of a table is read, has a meaning, and its name is not there already."""
    rows = _rows()
    lines = [x for x in GLOSSARY.read_text(encoding="utf-8").splitlines() if x.startswith("| `")]
    assert len(rows) == len(lines) > 0
    assert [row.name for row in rows if not row.meaning] == []
    assert len({row.name for row in rows}) == len(rows)


def test_a_name_is_found_by_the_quantity_it_ends_in() -> None:
    """The longest ending wins, and the unit must agree."""
    rows = ["height_m", "sitting_height_m", "distance_m", "ratio"]
    assert _row_for("aim_height_m", rows) == "height_m"
    assert _row_for("mean_sitting_height_m", rows) == "sitting_height_m"
    assert _row_for("distances_m", rows) == "distance_m"
    assert _row_for("pupil_ratio", rows) == "ratio"
    assert _row_for("height_mm", rows) is None
    assert _row_for("weight_m", rows) is None
