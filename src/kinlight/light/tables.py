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


@dataclass(frozen=True)
class SheetFigures:
    """What is known of a material of reflectors' sheets, each a figure [-]."""

    reflectance: Figure
    transmittance: Figure
    gloss: Figure
    roughness: Figure


def parse_figures(
    text: str, *, table: str, key: str, field: str, may_be_zero: bool = False
) -> dict[str, Figure]:
    """Read one array of tables and return its rows as figures by name.

    Parameters
    ----------
    text : the file's TOML.
    table : the array's name.
    key : the field a row is named by.
    field : the field that holds the figure.
    may_be_zero : whether a figure of zero makes sense.

    Raises
    ------
    StoreError
        If a row lacks a name, a source, a known status or a positive figure inside its bounds,
        or if a name comes twice.
    """
    figures: dict[str, Figure] = {}
    for row in tomllib.loads(text)[table]:
        name = str(row.get(key, ""))
        fault = _row_fault(row, key, field, may_be_zero) or (
            "comes twice" if name in figures else ""
        )
        if fault:
            raise StoreError(Fault(fault, where=f"{table} {name!r}"))
        value = float(row[field])
        low, high = float(row.get("low", value)), float(row.get("high", value))
        figures[name] = Figure(value, low, high, row["status"], row["source"])
    return figures


def _row_fault(row: dict[str, Any], key: str, field: str, may_be_zero: bool) -> str:
    """Return what is wrong with a row, or nothing."""
    for needed in (key, "source"):
        if not row.get(needed):
            return f"has no {needed}"
    if row.get("status") not in STATUSES:
        return f"has no status out of {', '.join(STATUSES)}"
    value: Any = row.get(field)
    low, high = row.get("low", value), row.get("high", value)
    for number in (low, value, high):
        if not isinstance(number, int | float) or not math.isfinite(number) or number < 0:
            return f"has no positive {field}"
        if number == 0 and not may_be_zero:
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
def _modifiers(table: str, field: str) -> dict[str, Figure]:
    """Return one table of modifiers.toml."""
    return parse_figures(_text("modifiers.toml"), table=table, key="kind", field=field)


@cache
def _diffusers() -> dict[str, Figure]:
    """Return the rows of diffusers.toml."""
    text = _text("diffusers.toml")
    return parse_figures(text, table="diffuser", key="name", field="loss_stops")


@cache
def _sheets(table: str) -> dict[str, Figure]:
    """Return one table of sheets.toml."""
    text = _text("sheets.toml")
    return parse_figures(text, table=table, key="material", field="value", may_be_zero=True)


def constant(name: str) -> Figure:
    """Return a named row of constants.toml."""
    return _constants()[name]


@cache
def _eyes() -> dict[str, Figure]:
    """Return the rows of eyes.toml."""
    return parse_figures(_text("eyes.toml"), table="measure", key="name", field="value")


def eye_measure(name: str) -> Figure:
    """Return a named row of eyes.toml."""
    return _eyes()[name]


@cache
def pattern_angles(table: str) -> dict[str, Figure]:
    """Return one table of patterns.toml: "azimuth", "elevation" or "limit" [deg]."""
    text = _text("patterns.toml")
    return parse_figures(text, table=table, key="pattern", field="degrees", may_be_zero=True)


def typical_transmission(kind: str) -> Figure:
    """Return the share of the lamp's light that usually leaves a kind of modifier [-].

    Raises
    ------
    RangeError
        If the kind is not in the table.
    """
    figures = _modifiers("modifier", "transmission")
    return _found(figures, kind, "a modifier of which no typical loss is known", "its transmission")


def typical_beam(kind: str) -> Figure:
    """Return the cosine power by which the light of a kind of modifier usually falls off [-].

    Raises
    ------
    RangeError
        If the kind is not in the table.
    """
    figures = _modifiers("beam", "power")
    return _found(figures, kind, "a modifier of which no typical beam is known", "its beam angle")


def typical_edge_stops(kind: str) -> Figure:
    """Return how far the rim of a front with a hot middle is usually under the middle [stop].

    Raises
    ------
    RangeError
        If the kind is not in the table.
    """
    figures = _modifiers("hot_middle", "edge_stops")
    return _found(
        figures, kind, "a modifier of which no typical profile is known", "a flat profile"
    )


def diffuser_loss_stops(name: str) -> Figure:
    """Return the loss in one sheet of a diffusion cloth [stop].

    Raises
    ------
    RangeError
        If the cloth is not in the table.
    """
    return _found(_diffusers(), name, "a diffuser of which no loss is known", "its loss in stops")


SHEET_MATERIALS = ("white", "silver", "black", "translucent")
"""What sheets of reflectors are made of."""


def sheet_figures(material: str) -> SheetFigures:
    """Return what is known of a material of reflectors' sheets.

    Raises
    ------
    RangeError
        If the material is not in the table.
    """
    reflectance, transmittance, gloss, roughness = (
        _found(_sheets(table), material, "a sheet of which nothing is known", "another material")
        for table in ("reflectance", "transmittance", "gloss", "roughness")
    )
    return SheetFigures(reflectance, transmittance, gloss, roughness)


def _found(figures: dict[str, Figure], name: str, what: str, instead: str) -> Figure:
    """Return a figure by name, or refuse a name that is not there."""
    if name not in figures:
        known = ", ".join(figures)
        fault = Fault(f"is {what}", "", known, repr(name), remedy=f"state {instead}")
        raise RangeError(fault)
    return figures[name]


@cache
def iso_speeds() -> Sequence[float]:
    """Return the ISO speeds cameras are marked with, rising in thirds of a stop."""
    return tuple(float(speed) for speed in tomllib.loads(_text("iso_speeds.toml"))["speeds"])
