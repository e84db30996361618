"""What shows on every face of a picture: the main light's pattern, lights in eyes, spectacles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.light.catchlight import iris_mm
from kinlight.light.pattern import light_angles, lowest_deg, pattern_name, raise_m
from kinlight.light.spectacles import glare
from kinlight.plan.eyes_seen import EyeLight, eye_lights, free_ways
from kinlight.plan.lit import face_shares
from kinlight.plan.stands import headroom
from kinlight.sitting.document import Sitting
from kinlight.sitting.room_fit import CLEARANCE_M
from kinlight.stage.scene import Scene, Transfer


@dataclass(frozen=True)
class Pattern:
    """The pattern that the main light draws on a face.

    Attributes
    ----------
    name : as photographers call it.
    light : the key or fill that brings most light straight to the chin.
    azimuth_deg : from the nose line, positive toward the person's own left.
    elevation_deg : over the head's own level.
    lowest_deg : from this elevation on the pattern is no longer low; null from behind.
    raise_m : how much higher the light must stand for that, straight up; null if no height is
        enough.
    free_m : how much higher the ceiling lets it stand, as it is tilted now; not below 0.
    """

    name: str
    light: str
    azimuth_deg: float
    elevation_deg: float
    lowest_deg: float | None
    raise_m: float
    free_m: float


@dataclass(frozen=True)
class SpectaclesGlare:
    """A light mirrored in somebody's spectacles.

    `left_share` is of the person's own left lens: the right one in the picture.

    Attributes
    ----------
    light : which light it is.
    left_share, right_share : of each lens that mirrors it to the camera, the person's own left and
        right [-].
    pupil_share : of what shows of an iris through a lens, the worse of the two [-].
    """

    light: str
    left_share: float
    right_share: float
    pupil_share: float


@dataclass(frozen=True)
class FaceSeen:
    """What shows on one face.

    Attributes
    ----------
    pattern : of the main light; null where no key or fill comes straight to it.
    catchlights : every key, fill and reflector that shows in an eye.
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
    shares : the powers of the lights as shares of full [-].
    lens_m : the entrance pupil, shape (3,) [m].
    """
    chins = [i for i, r in enumerate(moved.receivers) if r.what == "chin"]
    straight = moved.direct_lxs[chins] * face_shares(sitting, shares)
    shows = free_ways(scene, [lamp.emitter.centre_m for lamp in scene.lamps])
    shows &= (straight > 0)[:, None, :]
    in_eyes = eye_lights(sitting, scene, shows, shares, lens_m)
    return tuple(
        FaceSeen(
            _pattern(sitting, scene, f, straight[k]),
            in_eyes[k],
            _glare(sitting, scene, f, shows[k].any(axis=0), lens_m),
        )
        for k, f in enumerate(scene.figures)
    )


def camera_side(own: str) -> str:
    """Return a person's own "left" or "right" as the camera sees it: "camera right" or left."""
    return "camera right" if own == "left" else "camera left"


def _pattern(sitting: Sitting, scene: Scene, figure: Figure, straight: Array) -> Pattern | None:
    """Return the pattern of the light that brings most straight to the chin."""
    if not (straight > 0).any():
        return None
    lamp, face = scene.lamps[int(straight.argmax())], figure.face
    at = face.nose_m, face.facing, face.up, lamp.emitter.centre_m
    azimuth, elevation = light_angles(*at)
    lowest = lowest_deg(azimuth)
    stated = next(light for light in sitting.lights if light.id == lamp.id)
    over = headroom(
        [lamp.box], depth_m=stated.modifier.depth_m or 0.0, ceiling_m=sitting.room.ceiling_m
    )
    return Pattern(
        name=pattern_name(azimuth, elevation),
        light=lamp.id,
        azimuth_deg=azimuth,
        elevation_deg=elevation,
        lowest_deg=lowest,
        raise_m=0.0 if lowest is None else raise_m(*at, elevation_deg=lowest),
        free_m=max(over.clearance_m - CLEARANCE_M, 0.0),
    )


def _glare(
    sitting: Sitting, scene: Scene, figure: Figure, shows: NDArray[np.bool_], lens_m: Array
) -> tuple[SpectaclesGlare, ...]:
    """Return the lights that show in somebody's spectacles."""
    if not sitting.person(figure.person).spectacles:
        return ()
    iris = iris_mm(sitting.age_years(figure.person))
    lamps = [lamp for lamp, is_free in zip(scene.lamps, shows, strict=True) if is_free]
    found = []
    for lamp in lamps:
        left, right = glare(figure.face, lens_m, lamp.emitter, iris_mm=iris)
        if left.shows or right.shows:
            found.append(
                SpectaclesGlare(
                    light=lamp.id,
                    left_share=left.lens_share,
                    right_share=right.lens_share,
                    pupil_share=max(left.pupil_share, right.pupil_share),
                )
            )
    return tuple(found)
