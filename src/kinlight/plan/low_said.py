"""Whose key stands too low for the pattern it draws, and how much higher it would have to be."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from kinlight.light.pattern import LOW
from kinlight.plan.faces import FaceReading
from kinlight.plan.faces_seen import Pattern
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting

LOW_BY_DEG = 5.0
"""A light is said to be low from so far under what its pattern asks for: our choice, for the
ranges of patterns are round figures."""
_SAID_M = 0.005  # what prints as a centimetre


def low_said(sitting: Sitting, faces: Sequence[FaceReading]) -> Iterator[str]:
    """Yield for each light that stands low who is under it, and the one height that suits all."""
    by_light: dict[str, dict[str, Pattern]] = {}
    for face in faces:
        pattern = face.seen.pattern
        if pattern is not None and _is_low(pattern):
            by_light.setdefault(pattern.light, {})[sitting.person(face.person).name] = pattern
    for light, found in by_light.items():
        yield _sentence(light, found, sitting.preferences.units)


def _is_low(pattern: Pattern) -> bool:
    if pattern.lowest_deg is None or not pattern.name.endswith(LOW):
        return False
    return pattern.elevation_deg <= pattern.lowest_deg - LOW_BY_DEG


def _sentence(light: str, found: Mapping[str, Pattern], units: str) -> str:
    heights = [round(pattern.elevation_deg) for pattern in found.values()]
    low, high, names = min(heights), max(heights), list(found)
    who = " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
    span = f"{low}" if low == high else f"{low} to {high}"
    least = {round(p.lowest_deg or 0.0): p.name.removesuffix(LOW) for p in found.values()}
    asked = ", ".join(f"{kind} asks for {deg} or more" for deg, kind in sorted(least.items()))
    lines = "nose line" if len(names) == 1 else "nose lines"
    said = f"the {light} is low on {who}, {span} degrees over the {lines}; {asked}: "
    rise = max(pattern.raise_m for pattern in found.values())
    room = min(pattern.free_m for pattern in found.values())
    if math.isinf(rise):
        return f"{said}no height of it is enough, so bring the chin down"
    if rise <= room:
        return f"{said}raise it {length_text(rise, units=units)}"
    left = f"only {length_text(room, units=units)}" if room >= _SAID_M else "nothing"
    ways = "bring it nearer or seat people" if low > 0 else "seat people"
    return (
        f"{said}it takes {length_text(rise, units=units)} more, with {left} free above, so {ways}"
    )
