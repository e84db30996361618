"""Measures of bodies by age and rules of proportion, read from this package's data files."""

from __future__ import annotations

import csv
import math
import tomllib
from collections import defaultdict
from functools import cache
from importlib.resources import files

from kinlight.errors import Fault, StoreError
from kinlight.figures.curve import Curve
from kinlight.quantities.times import parse_age_years

STATUSES = ("published", "computed", "from memory", "common practice")
SEXES = ("female", "male")
_PER_UNIT = {"cm": 0.01, "mm": 0.001, "kg": 1.0, "-": 1.0}


def _text(filename: str) -> str:
    """Return the text of one of this package's data files."""
    return (files("kinlight.figures") / "data" / filename).read_text(encoding="utf-8")


def measure_rows(text: str) -> list[dict[str, str]]:
    """Return the rows of a table of measures, each checked for unit, status and source.

    Raises
    ------
    StoreError
        If a row has no known unit or status, or neither a source nor a note of where it is from.
    """
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    for row in rows:
        known = row["unit"] in _PER_UNIT and row["status"] in STATUSES
        if not known or not (row["source"] or row["status"] == "from memory"):
            where = f"{row['measure']} at {row['age']}"
            raise StoreError(Fault("has no known unit, status or source", where=where))
    return rows


@cache
def _points() -> dict[tuple[str, str], list[tuple[float, float]]]:
    """Return (age in years, value in SI) of every measure and sex."""
    points = defaultdict(list)
    for row in measure_rows(_text("measures.csv")):
        age_years, scale = parse_age_years(row["age"]), _PER_UNIT[row["unit"]]
        for sex in SEXES:
            if row[sex]:
                points[row["measure"], sex].append((age_years, float(row[sex]) * scale))
    return dict(points)


@cache
def measure(name: str, sex: str) -> Curve:
    """Return a measure of one sex as a curve over age: m, kg or a share [-].

    Stature below two years is the recumbent length less what lying adds.
    """
    points = list(_points()[name, sex])
    if name == "stature":
        lying = _points()["recumbent length", sex]
        points = [(age, value - rule("lying_to_standing_m")) for age, value in lying] + points
    return Curve.through(points)


def rule(name: str) -> float:
    """Return the value of a named row of rules.toml."""
    return _rules()[name]


@cache
def _rules() -> dict[str, float]:
    """Return rules.toml as a value for each name."""
    return parse_rules(_text("rules.toml"))


def parse_rules(text: str) -> dict[str, float]:
    """Read rules and return their values by name.

    Raises
    ------
    StoreError
        If a rule lacks a name, a source, a known status or a positive value, or comes twice.
    """
    values: dict[str, float] = {}
    for row in tomllib.loads(text)["rule"]:
        name, value = row.get("name", ""), row.get("value")
        sourced = row.get("source") and row.get("status") in STATUSES
        usable = isinstance(value, float) and math.isfinite(value) and value > 0
        if not (name and sourced and usable) or name in values:
            fault = "lacks a source, a known status or a positive value, or comes twice"
            raise StoreError(Fault(fault, where=f"rule {name!r}"))
        values[name] = value
    return values
