"""What to look at in what the hair lights do to a picture, in sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.plan.faces import COVERED_STOPS, FaceReading, HairReading
from kinlight.plan.hair_mends import HAIR, hair_mends
from kinlight.quantities.stops import stops_text
from kinlight.sitting.document import Sitting
from kinlight.stage.scene import Scene, Transfer

SPILL_STOPS = -2.0
"""A hair light nearer than this to a face's own light shows on it: common practice, no source."""
WISH_STOPS = 0.5
"""Hair is said to miss its wish if its median does so by more: common practice, no source."""
Hair = tuple[str, HairReading]


def hair_said(
    sitting: Sitting,
    scene: Scene,
    moved: Transfer,
    shares: Array,
    faces: Sequence[FaceReading],
) -> tuple[str, ...]:
    """Return what to look at in what the hair lights do, what spoils most first.

    Parameters
    ----------
    scene, moved : the picture staged, and its transfer.
    shares : the powers of the lights as shares of full [-].
    faces : how its faces are lit, in the order of its people.
    """
    found = [(sitting.person(f.person).name, f.hair) for f in faces if f.hair is not None]
    if not found:
        return ()
    is_hair = np.array([light.role == "hair" for light in sitting.lights], dtype=np.bool_)
    on_hair = np.where(is_hair, shares, 0.0)
    return (
        *_burnt(found),
        *_spilt(found),
        *_uneven(sitting, scene, moved, on_hair, found),
        *_wished(sitting, found),
    )


def _burnt(found: Sequence[Hair]) -> Iterator[str]:
    for name, hair in found:
        if hair.clips:
            yield f"{name}'s hair burns out: {hair.tone:.1f} times full white where it is brightest"


def _spilt(found: Sequence[Hair]) -> Iterator[str]:
    """Yield whose noses and cheeks the hair lights reach, in one sentence, the worst first."""
    spilt = []
    for name, hair in found:
        on = {"nose": hair.nose_stops, "shadow side": hair.cheek_stops}
        where = max(on, key=lambda place: on[place])
        if on[where] > SPILL_STOPS:
            spilt.append((on[where], f"{name}'s {where}"))
    if spilt:
        spilt.sort(reverse=True)
        worst, place = spilt[0]
        yield (
            f"the hair light falls on {place}, {_against(worst)} the face's own light"
            + "".join(f", and on {place}, {_against(stops)} it" for stops, place in spilt[1:])
            + ": flag it toward the face, or aim it farther back on the head"
        )


def _against(value: float) -> str:
    return f"{abs(value):.1f} stop {'under' if value < 0 else 'over'}"


def _uneven(
    sitting: Sitting, scene: Scene, moved: Transfer, on_hair: Array, found: Sequence[Hair]
) -> Iterator[str]:
    """Yield which heads are far under the best lit one, and what would even them."""
    best = max(found, key=lambda x: x[1].best_share)[0]
    straight = [_straight_lxs(moved, on_hair, f.person) for f in scene.figures]
    far = [k for k, (_, hair) in enumerate(found) if not hair.covered]
    missed = [k for k in far if straight[k] == 0]
    for some, all_heads in (
        (missed, range(len(found))),
        ([k for k in far if straight[k] > 0], [k for k, x in enumerate(straight) if x > 0]),
    ):
        if not some:
            continue
        some.sort(key=lambda k: found[k][1].best_share)
        who = _and([f"{found[k][0]} ({_under_stops(found[k][1]):.1f} stops)" for k in some])
        mends = hair_mends(
            sitting, scene, moved, on_hair, heads=all_heads, within_stops=-COVERED_STOPS
        )
        words = " or ".join(m.words for m in mends) or "no small move of it is enough"
        if mends and mends[0].spread_stops > -COVERED_STOPS:
            words += f", which leaves {mends[0].spread_stops:.1f} stops"
        if some is missed:
            yield f"the hair light misses {who} under {best}): {words}".replace(") under", " under")
        else:
            yield f"the hair light is weaker on {who} than on {best}: {words}"


def _straight_lxs(moved: Transfer, on_hair: Array, person: str) -> float:
    rows = [i for what in HAIR for i in moved.rows(what, person)]
    return float((moved.direct_lxs[rows] @ on_hair).max())


def _under_stops(hair: HairReading) -> float:
    """Return how far a head is under the best lit one."""
    return -math.log2(max(hair.best_share, 1e-6))


def _wished(sitting: Sitting, found: Sequence[Hair]) -> Iterator[str]:
    """Yield how far the hair of a picture is from its wish, if it is."""
    wish = sitting.wishes.hair_from_key_stops
    middle = float(np.median([hair.brightest_stops for _, hair in found]))
    off = middle - wish
    if abs(off) > WISH_STOPS:
        way, turn = ("under", "up") if off < 0 else ("over", "down")
        mostly = "" if len(found) == 1 else ", half of the heads more and half less"
        yield (
            f"the hair's brightest side is {abs(off):.1f} stop {way} what is wished, "
            f"{stops_text(wish)} with the aperture{mostly}: turn the hair light {turn} so far"
        )


def _and(words: Sequence[str]) -> str:
    """Return words as one lists them: "this, this and that"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if words[1:] else words)
