"""Figures with their sources, read from this package's data files."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from kinlight.errors import Fault, StoreError

STATUSES = ("defined", "published", "computed", "from memory", "common practice")


def parse_rows(text: str, table: str, *, numbers: tuple[str, ...]) -> dict[str, dict[str, Any]]:
    """Read one array of tables and return its rows by name.

    Parameters
    ----------
    text : the file's TOML.
    table : the array's name.
    numbers : the fields that must be positive finite numbers.

    Raises
    ------
    StoreError
        If a row lacks a name, a source, a known status or a number, or a name comes twice.
    """
    rows: dict[str, dict[str, Any]] = {}
    for row in tomllib.loads(text)[table]:
        name = row.get("name", "")
        fault = _fault(row, numbers) or (name in rows and "comes twice") or ""
        if fault:
            raise StoreError(Fault(fault, where=f"{table} {name!r}"))
        rows[name] = row
    return rows


def _fault(row: dict[str, Any], numbers: tuple[str, ...]) -> str:
    """Return what is wrong with a row, or nothing."""
    for field in ("name", "source"):
        if not row.get(field):
            return f"has no {field}"
    if row.get("status") not in STATUSES:
        return f"has no status out of {', '.join(STATUSES)}"
    for field in numbers:
        value = row.get(field)
        if not isinstance(value, int | float) or not math.isfinite(value) or value <= 0:
            return f"has no positive {field}"
    return ""


def data_text(filename: str) -> str:
    """Return the text of one of this package's data files."""
    return (files("kinlight.optics") / "data" / filename).read_text(encoding="utf-8")


@cache
def _constants() -> dict[str, dict[str, Any]]:
    """Return the rows of constants.toml."""
    return parse_rows(data_text("constants.toml"), "constant", numbers=("value",))


def constant(name: str) -> float:
    """Return the value of a named row of constants.toml, in the unit its name carries."""
    return float(_constants()[name]["value"])
