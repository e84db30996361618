"""The usual cautions for what this sitting contains."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from kinlight.group.abilities import Abilities
from kinlight.sitting.document import Sitting

OVERHEAD_M = 1.0
"""A light this near the mark or nearer, along the floor, hangs over people."""


@functools.cache
def _data() -> dict[str, Any]:
    text = files("kinlight.plan").joinpath("data/cautions.toml").read_text("utf-8")
    return tomllib.loads(text)


def cautions(sitting: Sitting, can: Mapping[str, Abilities]) -> tuple[str, ...]:
    """Return the cautions that apply, and whom to follow before them."""
    cases = _cases(sitting, can)
    apply = [c["text"] for c in _data()["caution"] if c["case"] in cases]
    return (*apply, _data()["closing"])


def unreckoned(sitting: Sitting) -> tuple[str, ...]:
    """Return what this plan leaves out of account and the photographer has to look at herself."""
    lines = list(_data()["unreckoned"]["always"])
    if sitting.reflectors:
        lines.append(_data()["unreckoned"]["reflectors"])
    if any(light.modifier.grid_cell_m is not None for light in sitting.lights):
        lines.append(_data()["unreckoned"]["grids"])
    if any(light.modifier.profile == "hot" for light in sitting.lights):
        lines.append(_data()["unreckoned"]["profiles"])
    return tuple(lines)


def _cases(sitting: Sitting, can: Mapping[str, Abilities]) -> set[str]:
    cases = {"always"}
    spots = [spot for picture in sitting.pictures for spot in picture.places]
    if any(c.age_years < 1 for c in can.values()):
        cases.add("infant")
    if any(c.wheelchair_seat_m is not None for c in can.values()):
        cases.add("wheelchair")
    if any(s.held_by for s in spots):
        cases.add("held")
    if any(can[s.person].is_child and s.posture in ("stool", "box", "chair") for s in spots):
        cases.add("child on box")
    for light in sitting.lights:
        x, y, z = light.place.xyz_m()
        if (x**2 + y**2) ** 0.5 < OVERHEAD_M and z > 1.5:
            cases.add("overhead")
    return cases
