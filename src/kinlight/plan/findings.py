"""What to look at in the light of a picture, in sentences; nothing here makes it fail."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from kinlight.plan.behind import BehindPlan
from kinlight.plan.faces import FaceReading
from kinlight.plan.flares import LampToLens
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting

APART_STOPS = 0.5
"""Hair or clothes nearer than this to the backdrop's tone melt into it: common practice, no
source."""
SHADOW_STOPS = 0.3
"""A shadow this deep on the backdrop shows: common practice, no source."""
SPILL_STOPS = -2.0
"""A hair light nearer than this to a face's own light shows on it: common practice, no source."""
FLARE_STOPS = -3.0
"""A lamp on the lens nearer than this to the key on a face may veil the picture: common practice,
no source; lens and hood decide."""
_WORN = {"hair": "hair is", "clothes": "clothes are"}


def findings(
    sitting: Sitting,
    faces: Sequence[FaceReading],
    behind: BehindPlan,
    lamps: Sequence[LampToLens],
) -> tuple[str, ...]:
    """Return what to look at in a picture's light, what spoils most first."""
    return (
        *_flare(lamps),
        *_glare(sitting, faces),
        *_eyes(sitting, faces),
        *_shadow(sitting, behind),
        *_hair(sitting, faces),
        *_edges(sitting, behind),
        *_backdrop(behind),
    )


def _flare(lamps: Sequence[LampToLens]) -> Iterator[str]:
    for lamp in lamps:
        to = lamp.to_lens
        if to.sees and to.in_frame:
            yield f"{lamp.light} is in the picture and shines into the lens"
        elif to.sees and to.level_stops > FLARE_STOPS:
            way = "under" if to.level_stops < 0 else "over"
            turn = max(math.ceil(-to.leeway_deg), 1)
            yield (
                f"{lamp.light} shines into the lens, {abs(to.level_stops):.1f} stop {way} the key "
                f"on the faces: flag it, or turn it {turn} degrees away from the lens"
            )


def _glare(sitting: Sitting, faces: Sequence[FaceReading]) -> Iterator[str]:
    for face in faces:
        for seen in face.seen.glare:
            side, share = max(
                (("left", seen.left_share), ("right", seen.right_share)), key=lambda x: x[1]
            )
            much = f"{share:.0%}" if share >= 0.005 else "a corner"
            yield (
                f"{_name(sitting, face.person)}'s spectacles show the {seen.light} over {much} of "
                f"the {side} lens: {seen.mend}"
            )


def _eyes(sitting: Sitting, faces: Sequence[FaceReading]) -> Iterator[str]:
    for face in faces:
        if face.seen.pattern is not None and not face.seen.catchlights:
            yield f"no light shows in {_name(sitting, face.person)}'s eyes"


def _shadow(sitting: Sitting, behind: BehindPlan) -> Iterator[str]:
    shadow = behind.shadow
    if shadow is not None and shadow.depth_stops >= SHADOW_STOPS:
        high = length_text(shadow.height_m, units=sitting.preferences.units)
        yield (
            f"a shadow {shadow.depth_stops:.1f} stop deep falls on the backdrop {shadow.side} of "
            f"{_name(sitting, shadow.person)} at {high}"
        )


def _hair(sitting: Sitting, faces: Sequence[FaceReading]) -> Iterator[str]:
    for face in faces:
        name, hair = _name(sitting, face.person), face.hair
        if hair is None:
            continue
        if hair.clips:
            yield f"{name}'s hair burns out: {hair.tone:.1f} times full white where it is brightest"
        if not hair.covered:
            share = f"{hair.best_share:.0%}"
            yield f"the hair light misses {name}: {share} of what the best lit head gets"
        spilt = {"nose": hair.nose_stops, "shadow side": hair.cheek_stops}
        where = max(spilt, key=lambda place: spilt[place])
        if spilt[where] > SPILL_STOPS:
            way = "under" if spilt[where] < 0 else "over"
            yield (
                f"the hair light spills on {name}'s {where}, {abs(spilt[where]):.1f} stop {way} "
                "the face's own light"
            )


def _edges(sitting: Sitting, behind: BehindPlan) -> Iterator[str]:
    for edge in behind.least():
        apart = abs(edge.from_backdrop_stops)
        if apart < APART_STOPS:
            stated = sitting.person(edge.person)
            tone = stated.hair if edge.part == "hair" else stated.clothes
            word = f"{tone} " if isinstance(tone, str) and tone != "bald" else ""
            near = f"only {apart:.1f} stop from" if round(apart, 1) else "just as bright as"
            yield f"{stated.name}'s {word}{_WORN[edge.part]} {near} the backdrop behind"


def _backdrop(behind: BehindPlan) -> Iterator[str]:
    if behind.backdrop is not None and behind.backdrop.tone > 1:
        yield f"the backdrop burns out: {behind.backdrop.tone:.1f} times full white on average"


def _name(sitting: Sitting, person: str) -> str:
    return sitting.person(person).name
