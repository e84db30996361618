"""What to look at in the light of a picture, in sentences; nothing here makes it fail."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from kinlight.plan.behind import BehindPlan
from kinlight.plan.faces import FaceReading
from kinlight.plan.faces_seen import camera_side
from kinlight.plan.flares import LampToLens
from kinlight.plan.glares import LampInSpectacles
from kinlight.plan.low_said import low_said
from kinlight.plan.shadow_mends import SHADOW_STOPS
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting

APART_STOPS = 0.5
"""Hair or clothes nearer than this to the backdrop's tone melt into it: common practice, no
source."""
UNEVEN_STOPS = 0.5
"""A backdrop between whose brightest and darkest point is more does not look even: common practice,
no source."""
FLARE_STOPS = -3.0
"""A lamp on the lens nearer than this to the key on a face may veil the picture: common practice,
no source; lens and hood decide."""
_WORN = {"hair": "hair is", "clothes": "clothes are"}


Weighed = tuple[float, str]
"""How far beyond its limit something is, 0 or more and only to rank by, and the words."""


@dataclass(frozen=True)
class Finding:
    """Something to look at in the light of a picture.

    Attributes
    ----------
    text : in words.
    weight : how much it spoils, only to rank by [-].
    """

    text: str
    weight: float


def findings(
    sitting: Sitting,
    faces: Sequence[FaceReading],
    behind: BehindPlan,
    lamps: Sequence[LampToLens],
    *,
    glares: Sequence[LampInSpectacles],
    gear: Sequence[str],
    hair: Sequence[str] = (),
) -> tuple[Finding, ...]:
    """Return what to look at in a picture's light, the weightiest first.

    Parameters
    ----------
    glares : the lamps that show in spectacles.
    gear : the lamps and panels that hang in the print.
    hair : what there is to say of the hair lights.

    Notes
    -----
    The weight is a rank and nothing else, our choice: first the kind, as listed below from what no
    retouching saves to what is hardly seen; within a kind, how far beyond its limit it is. A kind
    whose excess is not reckoned keeps the order of its people.
    """
    kinds: tuple[Iterable[Weighed], ...] = (
        _gear(gear, lamps),
        _flare(gear, lamps),
        _glare(sitting, glares),
        _unranked(_eyes(sitting, faces)),
        _shadow(sitting, behind),
        _unranked(hair),
        _unranked(low_said(sitting, faces)),
        _edges(sitting, behind),
        _burnt(behind),
        _uneven(behind),
    )
    found = [
        Finding(text, len(kinds) - k + over / (1 + over))
        for k, kind in enumerate(kinds)
        for over, text in kind
    ]
    return tuple(sorted(found, key=lambda x: -x.weight))


def _unranked(texts: Iterable[str]) -> Iterator[Weighed]:
    return ((0.0, text) for text in texts)


def _gear(gear: Sequence[str], lamps: Sequence[LampToLens]) -> Iterator[Weighed]:
    shining = {lamp.light for lamp in lamps if lamp.to_lens.sees}
    for name in gear:
        too = " and shines into the lens" if name in shining else ""
        yield (1.0 if too else 0.0), f"{name} is in the picture{too}"


def _flare(gear: Sequence[str], lamps: Sequence[LampToLens]) -> Iterator[Weighed]:
    for lamp in lamps:
        to = lamp.to_lens
        if lamp.light not in gear and to.sees and to.level_stops > FLARE_STOPS:
            way = "under" if to.level_stops < 0 else "over"
            turn = max(math.ceil(-to.leeway_deg), 1)
            yield (
                to.level_stops - FLARE_STOPS,
                f"{lamp.light} shines into the lens, {abs(to.level_stops):.1f} stop {way} the key "
                f"on the faces: flag it, or turn it {turn} degrees away from the lens",
            )


def _glare(sitting: Sitting, glares: Sequence[LampInSpectacles]) -> Iterator[Weighed]:
    for lamp in glares:
        names = [_name(sitting, person) for person in lamp.wearers]
        much = f"{lamp.lens_share:.0%}" if lamp.lens_share >= 0.005 else "a corner"
        of = f"the {camera_side(lamp.side)} lens" if len(names) == 1 else "a lens at most"
        whose = _all_of([f"{name}'s" for name in names])
        yield (
            lamp.lens_share,
            f"{whose} spectacles show the {lamp.light} over {much} of {of}: "
            f"{lamp.mends.sentence(f'the {lamp.light}')}",
        )


def _all_of(names: Sequence[str]) -> str:
    """Return names in a row: "A", "A and B", "A, B and C"."""
    return " and ".join([*([", ".join(names[:-1])] if names[1:] else []), names[-1]])


def _eyes(sitting: Sitting, faces: Sequence[FaceReading]) -> Iterator[str]:
    for face in faces:
        if face.seen.pattern is not None and not face.seen.catchlights:
            yield f"no light shows in {_name(sitting, face.person)}'s eyes"


def _shadow(sitting: Sitting, behind: BehindPlan) -> Iterator[Weighed]:
    shadow, units = behind.shadow, sitting.preferences.units
    if shadow is not None and shadow.mends is not None:
        high = length_text(shadow.height_m, units=units)
        low = ", below the shoulders" if shadow.low else ""
        yield (
            shadow.depth_stops - SHADOW_STOPS,
            f"a shadow {shadow.depth_stops:.1f} stop deep falls on the backdrop {shadow.side} of "
            f"{_name(sitting, shadow.person)} at {high}{low}: {shadow.mends.sentence(units=units)}",
        )


def _edges(sitting: Sitting, behind: BehindPlan) -> Iterator[Weighed]:
    for edge in behind.least():
        apart = abs(edge.from_backdrop_stops)
        if apart < APART_STOPS:
            stated = sitting.person(edge.person)
            tone = stated.hair if edge.part == "hair" else stated.clothes
            word = f"{tone} " if isinstance(tone, str) and tone != "bald" else ""
            near = f"only {apart:.1f} stop from" if round(apart, 1) else "just as bright as"
            text = f"{stated.name}'s {word}{_WORN[edge.part]} {near} the backdrop behind"
            yield APART_STOPS - apart, text


def _burnt(behind: BehindPlan) -> Iterator[Weighed]:
    if behind.backdrop is not None and behind.backdrop.tone > 1:
        tone = behind.backdrop.tone
        yield tone - 1, f"the backdrop burns out: {tone:.1f} times full white on average"


def _uneven(behind: BehindPlan) -> Iterator[Weighed]:
    """Yield that the backdrop is uneven, roughly, so that pictures alike share one sentence."""
    seen = behind.backdrop
    if seen is None or seen.evenness_stops <= UNEVEN_STOPS:
        return
    much = "a stop" if seen.evenness_stops > 1 else "half a stop"
    aside = seen.brightest.split()[-1]
    text = f"the backdrop is uneven by over {much}, brightest at the {aside} of the print"
    yield min(seen.evenness_stops, 20.0) - UNEVEN_STOPS, text


def _name(sitting: Sitting, person: str) -> str:
    return sitting.person(person).name
