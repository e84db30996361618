"""The stop ladder: how a face, its clothes and the backdrop stand around the working aperture."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kinlight.drawings.lettering import line_height_mm, shortened, spread, text_width_mm
from kinlight.drawings.svg import (
    ACCENT,
    BOLD,
    HAIR,
    INK,
    PLAIN,
    SMALL,
    SOFT,
    document,
    dot,
    line,
    polyline,
    text,
)
from kinlight.plan.faces import FaceReading
from kinlight.plan.model import PicturePlan, Plan
from kinlight.quantities.stops import f_number_text, stops, stops_text
from kinlight.sitting.tones import reflectance

MID_GREY = 0.18
"""Reflectance that is rendered as itself at the meter's reading, facts on ISO 2720 [-]."""
_LEAST_STOPS = 3
_DARKEST = -7.0
_TOP = 16.0
_FOOT = 5.0
_RAIL = 6.0
Mark = tuple[str, float]


@dataclass(frozen=True)
class _Rungs:
    """The ladder's ends in whole stops, millimetres for a stop, and where its middle is."""

    low: int
    high: int
    step_mm: float
    middle_mm: float

    def at(self, value: float) -> float:
        """Return the height of a mark on the paper; one beyond the ends stands at the end."""
        return _TOP + (self.high - min(max(value, self.low), self.high)) * self.step_mm


def light_marks(plan: Plan, face: FaceReading) -> tuple[Mark, ...]:
    """Return what falls where, in stops from the working aperture."""
    marks = [("key side", face.key_side_stops), ("shadow side", face.shadow_side_stops)]
    if face.hair_from_aperture_stops is not None:
        marks.append(("hair light", face.hair_from_aperture_stops))
    return (*marks, ("backdrop", plan.backdrop_stops))


def tone_marks(plan: Plan, face: FaceReading) -> tuple[Mark, ...]:
    """Return how bright things come out, in stops from mid grey: their light and reflectance."""
    person, key = plan.sitting.person(face.person), face.key_side_stops
    skin = _tone(reflectance(person.skin, "skin"))
    return (
        ("skin, key side", key + skin),
        ("skin, shadow side", face.shadow_side_stops + skin),
        ("hair", face.hair_lit_stops + _tone(reflectance(person.hair, "hair"))),
        ("clothes", key + _tone(reflectance(person.clothes, "clothes"))),
        ("backdrop", plan.backdrop_stops + _tone(plan.sitting.backdrop.reflectance)),
    )


def _tone(share: float) -> float:
    """Return a reflectance in stops from mid grey; black without any counts as 20 under."""
    return stops(max(share, 1e-6 * MID_GREY) / MID_GREY)


def stop_ladder(
    plan: Plan,
    picture: PicturePlan,
    person: str,
    *,
    width_mm: float = 84.0,
    height_mm: float = 84.0,
) -> str:
    """Return the stop ladder of one face as SVG.

    Parameters
    ----------
    person : whose face.
    width_mm, height_mm : the paper it takes [mm].

    Notes
    -----
    The sides are the two cheeks, flat on each. Hair is what its brightest part gets, all lights on;
    clothes are taken to have the key side's light.
    """
    face = next(f for f in picture.faces if f.person == person)
    light, tone = light_marks(plan, face), tone_marks(plan, face)
    values = [v for _, v in (*light, *tone)]
    low = min(-_LEAST_STOPS, math.floor(max(min(values), _DARKEST)))
    high = max(_LEAST_STOPS, math.ceil(max(values)))
    step = (height_mm - _TOP - _FOOT) / (high - low)
    rungs = _Rungs(low, high, step, width_mm / 2)
    name = plan.sitting.person(person).name
    body = [
        *_head(name, picture, width_mm),
        *_rungs(plan, rungs),
        *_side(light, rungs, right=False),
        *_side(tone, rungs, right=True),
    ]
    said = "; ".join(f"{what} {stops_text(value)}" for what, value in (*light, *tone))
    return document(
        body,
        width_mm=width_mm,
        height_mm=height_mm,
        title=f"Stop ladder of {name} in {picture.name}",
        desc=f"Stops from the working aperture: {said}.",
    )


def _head(name: str, picture: PicturePlan, width_mm: float) -> list[str]:
    middle = width_mm / 2
    title = shortened(f"{name} in {picture.name}", width_mm - 2, PLAIN)
    return [
        text(title, (middle, 4.0), size_mm=PLAIN, anchor="middle", bold=True),
        text("light that falls", (middle - _RAIL - 5, 10.0), anchor="end", fill=SOFT),
        text("tone it gives", (middle + _RAIL + 5, 10.0), fill=SOFT),
    ]


def _rungs(plan: Plan, rungs: _Rungs) -> list[str]:
    """Return two rails and a rung for every whole stop, its number in the middle."""
    aperture = plan.sitting.camera.f_number
    middle, drawn = rungs.middle_mm, []
    for x in (middle - _RAIL, middle + _RAIL):
        drawn.append(line((x, rungs.at(rungs.high) - 2), (x, rungs.at(rungs.low) + 2)))
    for value in range(rungs.low, rungs.high + 1):
        words, y = f"{value:+d}".replace("-", "−"), rungs.at(value)
        ink, width = (ACCENT, BOLD) if value == 0 else (INK, HAIR)
        if value == 0:
            words = f_number_text(aperture) if aperture else "0"
        half = text_width_mm(words, SMALL) / 2 + 0.4
        for side in (-1, 1):
            ends = (middle + side * half, y), (middle + side * _RAIL, y)
            drawn.append(line(*ends, width_mm=width, stroke=ink))
        drawn.append(text(words, (middle, y + 0.33 * SMALL), anchor="middle", fill=ink))
    return drawn


def _side(marks: Sequence[Mark], rungs: _Rungs, *, right: bool) -> list[str]:
    """Return the marks of one side, each at its height, their words kept apart."""
    out = 1.0 if right else -1.0
    rail = rungs.middle_mm + out * _RAIL
    heights = [rungs.at(value) for _, value in marks]
    middles = spread(
        heights,
        [line_height_mm(SMALL)] * len(marks),
        low=rungs.at(rungs.high) - 3,
        high=rungs.at(rungs.low) + 3,
        gap=0.3,
    )
    drawn = []
    for (what, value), y, at in zip(marks, heights, middles, strict=True):
        words = f"{what} {_signed(value)}"
        path = [(rail, y), (rail + out * 2, y), (rail + out * 5, at), (rail + out * 6, at)]
        drawn.append(polyline(path, width_mm=HAIR))
        drawn.append(dot((rail, y), 0.7))
        words_at = (rail + out * 6.8, at + 0.33 * SMALL)
        drawn.append(text(words, words_at, anchor="start" if right else "end"))
    return drawn


def _signed(value: float) -> str:
    """Return stops with a sign and a tenth, "even" as 0."""
    return f"{value:+.1f}".replace("-", "−") if round(value, 1) else "0"
