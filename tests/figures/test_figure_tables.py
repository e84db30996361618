"""The data files of the figures: every row says where it is from."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest

from kinlight.errors import StoreError
from kinlight.figures import tables

DATA = files("kinlight.figures") / "data"
HEAD = "measure,unit,age,female,male,status,source,note\n"


def test_every_measure_has_unit_status_and_source():
    """The shipped table passes its own check and is not empty."""
    rows = tables.measure_rows((DATA / "measures.csv").read_text("utf-8"))
    assert len(rows) > 100
    assert {row["status"] for row in rows} <= set(tables.STATUSES)


def test_ages_of_a_measure_rise():
    """A curve needs its points in order."""
    for name in {
        row["measure"] for row in tables.measure_rows((DATA / "measures.csv").read_text())
    }:
        for sex in tables.SEXES:
            ages = tables.measure(name, sex).ages
            assert list(ages) == sorted(set(ages))


def test_sources_in_brackets_are_in_the_bibliography():
    """A key that names nothing is no source."""
    text = (DATA / "measures.csv").read_text("utf-8") + (DATA / "rules.toml").read_text("utf-8")
    keys = set(re.findall(r"\[([a-z][a-z0-9-]+)\]", text)) - {"rule"}
    bibliography = (Path(__file__).parents[2] / "docs" / "references.bib").read_text("utf-8")
    assert {key for key in keys if f"{{{key}," not in bibliography} == set()
    assert "ansur2" in keys


@pytest.mark.parametrize(
    "row",
    [
        "mass,stone,3 y,1,1,published,[x],",
        "mass,kg,3 y,1,1,guessed,[x],",
        "mass,kg,3 y,1,1,published,,",
    ],
)
def test_a_measure_without_unit_status_or_source_is_refused(row):
    """Nothing numeric without a source."""
    with pytest.raises(StoreError, match="mass at 3 y: has no known unit, status or source"):
        tables.measure_rows(HEAD + row)


@pytest.mark.parametrize(
    "row",
    [
        'name = "a"\nvalue = 0.1\nstatus = "from memory"',
        'name = "a"\nvalue = -0.1\nstatus = "from memory"\nsource = "x"',
        'name = "a"\nvalue = 0.1\nstatus = "guess"\nsource = "x"',
        'value = 0.1\nstatus = "from memory"\nsource = "x"',
    ],
)
def test_a_rule_without_name_value_status_or_source_is_refused(row):
    """Nothing numeric without a source."""
    with pytest.raises(StoreError, match="lacks a source"):
        tables.parse_rules(f"[[rule]]\n{row}\n")
