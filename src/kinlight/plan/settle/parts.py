"""Marking a part of something stated as proposed: one place of several, a height left out.

Where a value holds several things, of which some are stated, only those filled in are marked, so
that proposing anew takes nothing away that was stated.
"""

from __future__ import annotations

from collections.abc import Sequence

from kinlight.sitting.document import Sitting
from kinlight.sitting.origins import is_proposed, noted, proposing_in
from kinlight.sitting.pictures import Picture, Spot
from kinlight.sitting.place import Place
from kinlight.sitting.strobes import Light

_CAMERA_HEIGHT = "camera.place.height"


def with_spots(sitting: Sitting, picture: Picture, spots: Sequence[Spot]) -> Sitting:
    """Return the sitting with the places of one picture; those it does not state are marked."""
    if not picture.places:
        return proposing_in(sitting, "pictures", picture.key, places=tuple(spots))
    stated = {spot.person for spot in picture.places}
    new = [_spot_path(picture, spot) for spot in spots if spot.person not in stated]
    return noted(_with(sitting, "pictures", picture, places=tuple(spots)), new)


def with_aim_height(sitting: Sitting, light: Light, aim_height_m: float) -> Sitting:
    """Return the sitting with the height a light aims at over the mark filled in."""
    aim = light.aim.with_stated(height_m=aim_height_m)
    if not light.states("aim"):
        return proposing_in(sitting, "lights", light.id, aim=aim)
    return noted(_with(sitting, "lights", light, aim=aim), [_aim_path(light)])


def with_lens_height(sitting: Sitting, height_m: float) -> Sitting:
    """Return the sitting with the height of a lens whose place on the floor alone is stated."""
    place = sitting.camera.place
    if place is None or place.z_m is not None or place.height_m is not None:
        return sitting
    return noted(_with_place(sitting, place.with_stated(height_m=height_m)), [_CAMERA_HEIGHT])


def without_parts(sitting: Sitting) -> Sitting:
    """Return the sitting with every part that was proposed blank again."""
    parts = [_CAMERA_HEIGHT]
    parts += [_spot_path(p, spot) for p in sitting.pictures for spot in p.places]
    parts += [_aim_path(light) for light in sitting.lights]
    marked = {path for path in parts if is_proposed(sitting, path)}
    if not marked:
        return sitting
    if _CAMERA_HEIGHT in marked and sitting.camera.place is not None:
        sitting = _with_place(sitting, sitting.camera.place.with_stated(height_m=None))
    for picture in sitting.pictures:
        kept = tuple(s for s in picture.places if _spot_path(picture, s) not in marked)
        if kept != picture.places:
            sitting = _with(sitting, "pictures", picture, places=kept)
    for light in sitting.lights:
        if _aim_path(light) in marked:
            sitting = _with(sitting, "lights", light, aim=light.aim.with_stated(height_m=None))
    origins = {path: origin for path, origin in sitting.origins.items() if path not in marked}
    changed: Sitting = sitting.with_stated(origins=origins)
    return changed


def _spot_path(picture: Picture, spot: Spot) -> str:
    return f"pictures.{picture.key}.places.{spot.person}"


def _aim_path(light: Light) -> str:
    return f"lights.{light.id}.aim.height"


def _with_place(sitting: Sitting, place: Place) -> Sitting:
    changed: Sitting = sitting.with_stated(camera=sitting.camera.with_stated(place=place))
    return changed


def _with(sitting: Sitting, section: str, entry: Picture | Light, **values: object) -> Sitting:
    """Return the sitting with fields of one entry of a list changed."""
    new = entry.with_stated(**values)
    entries = tuple(new if x is entry else x for x in getattr(sitting, section))
    changed: Sitting = sitting.with_stated(**{section: entries})
    return changed
