"""The usual cautions for what this sitting contains."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from importlib.resources import files
from typing import Any

from kinlight.group.abilities import Abilities
from kinlight.plan.steady import StandPlan
from kinlight.sitting.document import Sitting

_FEW = 4
"""Up to so many people are named where they are under a light."""


@functools.cache
def _data() -> dict[str, Any]:
    text = files("kinlight.plan").joinpath("data/cautions.toml").read_text("utf-8")
    return tomllib.loads(text)


def cautions(
    sitting: Sitting, can: Mapping[str, Abilities], stands: Sequence[StandPlan]
) -> tuple[str, ...]:
    """Return what is missing for the stands, the cautions that apply, and whom to follow first.

    A stand that falls by itself comes before everything else.
    """
    cases = _cases(sitting, can)
    missing = [text for s in sorted(stands, key=lambda s: not s.falls) for text in s.findings]
    apply = [
        text
        for caution in _data()["caution"]
        for text in (
            _overhead(caution["text"], stands)
            if caution["case"] == "overhead"
            else [caution["text"]] * (caution["case"] in cases)
        )
    ]
    return (*missing, *apply, _data()["closing"])


def _overhead(text: str, stands: Sequence[StandPlan]) -> Iterator[str]:
    """Yield the caution for each light over people, with who they are."""
    for stand in (s for s in stands if s.over):
        few = len(stand.over) <= _FEW
        who = ", ".join(stand.over) if few else f"{len(stand.over)} people"
        yield text.format(light=stand.light, who=who)


def unreckoned() -> tuple[str, ...]:
    """Return what plans leave out of account and the photographer has to look at herself."""
    return tuple(_data()["unreckoned"]["always"])


def _cases(sitting: Sitting, can: Mapping[str, Abilities]) -> set[str]:
    cases = {"always"}
    spots = [spot for picture in sitting.pictures for spot in picture.places]
    if any(light.stand is not None for light in sitting.lights):
        cases.add("stands")
    if any(c.age_years < 1 for c in can.values()):
        cases.add("infant")
    if any(c.wheelchair_seat_m is not None for c in can.values()):
        cases.add("wheelchair")
    if any(s.held_by for s in spots):
        cases.add("held")
    if any(can[s.person].is_child and s.posture in ("stool", "box", "chair") for s in spots):
        cases.add("child on box")
    return cases
