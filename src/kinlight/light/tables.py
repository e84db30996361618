"""Figures of light with their sources, read from this package's data files."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from kinlight.errors import Fault, RangeError, StoreError

STATUSES = ("published", "computed", "from memory", "common practice")


@dataclass(frozen=True)
class Figure:
    """A figure from a data file, with its bounds and where it comes from.

    Attributes
    ----------
    value : the figure used, in the unit its name or its table says.
    low, high : bounds; the value itself where no range is known.
    status : how well it is known, one of `STATUSES`.
    source : where it was seen.
    """

    value: float
    low: float
    high: float
    status: str
    source: str


def parse_figures(text: str, *, table: str, key: str, field: str) -> dict[str, Figure]:
    """Read one array of tables and return its rows as figures by name.

    Parameters
    ----------
    text : the file's TOML.
    table : the array's name.
    key : the field a row is named by.
    field : the field that holds the figure.

    Raises
    ------
    StoreError
        If a row lacks a name, a source, a known status or a positive figure inside its bounds,
        or if a name comes twice.
    """
    figures: dict[str, Figure] = {}
    for row in tomllib.loads(text)[table]:
        name = str(row.get(key, ""))
        fault = _row_fault(row, key, field) or ("comes twice" if name in figures else "")
        if fault:
            raise StoreError(Fault(fault, where=f"{table} {name!r}"))
        value = float(row[field])
        low, high = float(row.get("low", value)), float(row.get("high", value))
        figures[name] = Figure(value, low, high, row["status"], row["source"])
    return figures


def _row_fault(row: dict[str, Any], key: str, field: str) -> str:
    """Return what is wrong with a row, or nothing."""
    for needed in (key, "source"):
        if not row.get(needed):
            return f"has no {needed}"
    if row.get("status") not in STATUSES:
        return f"has no status out of {', '.join(STATUSES)}"
    value: Any = row.get(field)
    low, high = row.get("low", value), row.get("high", value)
    for number in (low, value, high):
        if not isinstance(number, int | float) or not math.isfinite(number) or number <= 0:
            return f"has no positive {field}"
    return "" if low <= value <= high else f"has its {field} outside its bounds"


def _text(filename: str) -> str:
    """Return the text of one of this package's data files."""
    return (files("kinlight.light") / "data" / filename).read_text(encoding="utf-8")


@cache
def _constants() -> dict[str, Figure]:
    """Return the rows of constants.toml."""
    return parse_figures(_text("constants.toml"), table="constant", key="name", field="value")


@cache
def _modifiers() -> dict[str, Figure]:
    """Return the rows of modifiers.toml."""
    text = _text("modifiers.toml")
    return parse_figures(text, table="modifier", key="kind", field="transmission")


def constant(name: str) -> Figure:
    """Return a named row of constants.toml."""
    return _constants()[name]


def typical_transmission(kind: str) -> Figure:
    """Return the share of the lamp's light that usually leaves a kind of modifier [-].

    Raises
    ------
    RangeError
        If the kind is not in the table.
    """
    if kind not in _modifiers():
        raise RangeError(
            Fault(
                "is a modifier of which no typical loss is known",
                allowed=", ".join(_modifiers()),
                given=repr(kind),
                remedy="state its transmission",
            )
        )
    return _modifiers()[kind]


@cache
def iso_speeds() -> Sequence[float]:
    """Return the ISO speeds cameras are marked with, rising in thirds of a stop."""
    return tuple(float(speed) for speed in tomllib.loads(_text("iso_speeds.toml"))["speeds"])
