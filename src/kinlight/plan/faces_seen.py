"""What shows on every face of a picture: the main light's pattern, lights in eyes, spectacles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.people import Figure
from kinlight.geometry.solids import Solids, lifted
from kinlight.geometry.vectors import Array, unit
from kinlight.light.catchlight import catchlight, iris_mm
from kinlight.light.engine import engine_in_use
from kinlight.light.mends import smallest_mends
from kinlight.light.packed import shapes_of
from kinlight.light.pattern import light_angles, pattern_name
from kinlight.light.spectacles import glare
from kinlight.sitting.document import Sitting
from kinlight.stage.scene import Scene, Transfer

_SIDES = ("left", "right")


@dataclass(frozen=True)
class Pattern:
    """The pattern that the main light draws on a face.

    Attributes
    ----------
    name : as photographers call it.
    light : the key or fill that brings most light straight to the chin.
    azimuth_deg : from the nose line, positive toward the person's own left.
    elevation_deg : over the head's own level.
    """

    name: str
    light: str
    azimuth_deg: float
    elevation_deg: float


@dataclass(frozen=True)
class EyeLight:
    """A light that shows in an eye which looks into the lens.

    Attributes
    ----------
    eye : the person's own left or right.
    light : which light it is.
    position : where it lies as seen from the camera, "10 o'clock".
    clock : the same in hours, 12 along the head's own upright.
    iris_share : how large it is, over the diameter of the iris [-].
    """

    eye: str
    light: str
    position: str
    clock: float
    iris_share: float


@dataclass(frozen=True)
class SpectaclesGlare:
    """A light mirrored in somebody's spectacles.

    Attributes
    ----------
    light : which light it is.
    left_share, right_share : of each lens that mirrors it to the camera, the person's own left and
        right [-].
    pupil_share : of what shows of an iris through a lens, the worse of the two [-].
    mend : the smallest moves that are rid of it, in words.
    """

    light: str
    left_share: float
    right_share: float
    pupil_share: float
    mend: str


@dataclass(frozen=True)
class FaceSeen:
    """What shows on one face.

    Attributes
    ----------
    pattern : of the main light; null where no key or fill comes straight to it.
    catchlights : every key and fill that shows in an eye.
    glare : every key and fill that shows in spectacles, if the person wears any.
    """

    pattern: Pattern | None
    catchlights: tuple[EyeLight, ...]
    glare: tuple[SpectaclesGlare, ...]


def faces_seen(
    sitting: Sitting, scene: Scene, moved: Transfer, shares: Array, lens_m: Array
) -> tuple[FaceSeen, ...]:
    """Return what shows on every face of a picture, in the order of its people.

    Parameters
    ----------
    scene, moved : the picture staged, and its transfer.
    shares : the powers of key and fill as shares of full; 0 for other lights [-].
    lens_m : the entrance pupil, shape (3,) [m].
    """
    chins = [i for i, r in enumerate(moved.receivers) if r.what == "chin"]
    straight = moved.direct_lxs[chins] * shares
    shows = _shows(scene) & (straight > 0)[:, None, :]
    return tuple(
        FaceSeen(
            _pattern(scene, f, straight[k]),
            _catchlights(sitting, scene, f, shows[k], lens_m),
            _glare(sitting, scene, f, shows[k].any(axis=0), lens_m),
        )
        for k, f in enumerate(scene.figures)
    )


def _pattern(scene: Scene, figure: Figure, straight: Array) -> Pattern | None:
    """Return the pattern of the light that brings most straight to the chin."""
    if not (straight > 0).any():
        return None
    lamp, face = scene.lamps[int(straight.argmax())], figure.face
    azimuth, elevation = light_angles(face.nose_m, face.facing, face.up, lamp.emitter.centre_m)
    return Pattern(pattern_name(azimuth, elevation), lamp.id, azimuth, elevation)


def _shows(scene: Scene) -> NDArray[np.bool_]:
    """Return which eyes have a free way to the middle of which lamps, (people, 2, lamps)."""
    bodies = {b.name: b.solids for b in scene.world.beings}
    eyes = np.array([_bare_eyes_m(f, bodies[f.person]) for f in scene.figures])
    lamps = np.array([lamp.emitter.centre_m for lamp in scene.lamps]).reshape(-1, 3)
    shape = (*eyes.shape[:2], len(lamps), 3)
    starts = np.broadcast_to(eyes[:, :, None], shape).reshape(-1, 3)
    ends = np.broadcast_to(lamps, shape).reshape(-1, 3)
    free = engine_in_use().clear(starts.copy(), ends.copy(), shapes_of(scene.world))
    return free.reshape(shape[:3])


def _bare_eyes_m(figure: Figure, body: Solids) -> Array:
    """Return both eyes, moved out of the rounded head that stands for the person's, (2, 3)."""
    points, _ = lifted(figure.face.eyes_m(), figure.face.facing, body.named("head"))
    return points


def _catchlights(
    sitting: Sitting, scene: Scene, figure: Figure, shows: NDArray[np.bool_], lens_m: Array
) -> tuple[EyeLight, ...]:
    """Return the lights in both eyes of somebody who looks into the lens."""
    iris = iris_mm(sitting.age_years(figure.person))
    found = []
    for eye, at, free in zip(_SIDES, figure.face.eyes_m(), shows, strict=True):
        for lamp, is_free in zip(scene.lamps, free, strict=True):
            if not is_free:
                continue
            image = catchlight(
                at, unit(lens_m - at), figure.face.up, lens_m, lamp.emitter, iris_mm=iris
            )
            if image is not None and image.seen:
                found.append(EyeLight(eye, lamp.id, image.position, image.clock, image.iris_share))
    return tuple(found)


def _glare(
    sitting: Sitting, scene: Scene, figure: Figure, shows: NDArray[np.bool_], lens_m: Array
) -> tuple[SpectaclesGlare, ...]:
    """Return the lights that show in somebody's spectacles, with what is rid of them."""
    if not sitting.person(figure.person).spectacles:
        return ()
    iris = iris_mm(sitting.age_years(figure.person))
    lamps = [lamp for lamp, is_free in zip(scene.lamps, shows, strict=True) if is_free]
    found = []
    for lamp in lamps:
        left, right = glare(figure.face, lens_m, lamp.emitter, iris_mm=iris)
        if left.shows or right.shows:
            mends = smallest_mends(
                figure.face,
                lens_m,
                lamp.emitter,
                others=[other.emitter for other in lamps if other is not lamp],
                units=sitting.preferences.units,
            )
            found.append(
                SpectaclesGlare(
                    light=lamp.id,
                    left_share=left.lens_share,
                    right_share=right.lens_share,
                    pupil_share=max(left.pupil_share, right.pupil_share),
                    mend=mends.sentence(f"the {lamp.id}"),
                )
            )
    return tuple(found)
