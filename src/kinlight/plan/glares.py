"""Which lamps show in spectacles in a picture, and what is rid of each for everybody at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kinlight.geometry.vectors import Array
from kinlight.light.mends import Mends, mends_for_all
from kinlight.plan.faces import FaceReading
from kinlight.plan.faces_seen import SpectaclesGlare
from kinlight.plan.lamp_room import fits_in_room
from kinlight.sitting.document import Sitting
from kinlight.stage.scene import Scene

LEAST_LENS_SHARE = 0.02
"""Glare on less of a lens than this is not spoken of, unless it lies over the eye: common practice,
no source."""


@dataclass(frozen=True)
class LampInSpectacles:
    """A lamp that shows in the spectacles of a picture's people.

    Attributes
    ----------
    light : which lamp it is.
    wearers : everybody in whose spectacles it is worth speaking of, who shows most of it first.
    lens_share : the most of any lens that mirrors it [-].
    side : of the first wearer, whose that lens is: their own left or right.
    mends : the moves that are rid of it in all of these at once, each under the ceiling.
    """

    light: str
    wearers: tuple[str, ...]
    lens_share: float
    side: str
    mends: Mends


def lamps_in_spectacles(
    sitting: Sitting, scene: Scene, faces: Sequence[FaceReading], lens_m: Array
) -> tuple[LampInSpectacles, ...]:
    """Return the lamps that show in spectacles, the one that covers most of a lens first.

    Parameters
    ----------
    scene, faces : the picture staged, and what shows on its faces.
    lens_m : the entrance pupil, shape (3,) [m].
    """
    found = (_in_spectacles(sitting, scene, faces, lens_m, lamp.id) for lamp in scene.lamps)
    return tuple(sorted((x for x in found if x is not None), key=lambda x: -x.lens_share))


def _in_spectacles(
    sitting: Sitting, scene: Scene, faces: Sequence[FaceReading], lens_m: Array, light: str
) -> LampInSpectacles | None:
    """Return how a lamp shows in spectacles; None where it does in none worth speaking of."""
    shown = [(f.person, g) for f in faces for g in f.seen.glare if g.light == light and _notable(g)]
    if not shown:
        return None
    shown.sort(key=lambda pair: -_most(pair[1]))
    wearers, worst = [person for person, _ in shown], shown[0][1]
    own = next(lamp for lamp in scene.lamps if lamp.id == light)
    on_faces = {x.id for x in sitting.lights if x.role in ("key", "fill")} - {light}
    mends = mends_for_all(
        [f.face for f in scene.figures if f.person in wearers],
        lens_m,
        own.emitter,
        others=[lamp.emitter for lamp in scene.lamps if lamp.id in on_faces],
        fits=fits_in_room(sitting, own),
        units=sitting.preferences.units,
    )
    side = "left" if worst.left_share >= worst.right_share else "right"
    return LampInSpectacles(light, tuple(wearers), _most(worst), side, mends)


def _most(seen: SpectaclesGlare) -> float:
    return max(seen.left_share, seen.right_share)


def _notable(seen: SpectaclesGlare) -> bool:
    """Return whether glare is worth speaking of."""
    return _most(seen) >= LEAST_LENS_SHARE or seen.pupil_share > 0
