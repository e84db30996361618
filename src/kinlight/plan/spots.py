"""From where along the lens line the tripod serves every picture, and what ends that stretch."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import RangeError
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.optics.framing import CameraView
from kinlight.optics.spot import SpotRange, ToFrame, ZoomLimits, spot_range_m
from kinlight.plan.subject import subject_points_m
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Lens
from kinlight.sitting.pictures import Picture
from kinlight.sitting.place import Place
from kinlight.sitting.room_fit import room_sides_m
from kinlight.stage.view import aim_point_m, camera_view, settled

BEHIND_CAMERA_M = 0.6
"""Room kept behind the tripod for the photographer: common practice, no source."""
_NEAREST_M = 0.3
_ANY_FILL = 1e-6

Figures = Mapping[str, Sequence[Figure]]


@dataclass(frozen=True)
class Spots:
    """Where the tripod may stand, in distances along the floor from the mark.

    Attributes
    ----------
    cropped : from where every picture to be made fits with the lens it uses, set to any focal
        length it has, the rest of the frame cropped away; None if from nowhere.
    zoomed : the same, but every picture made with a zoom fills the frame by zooming alone.
    sentence : both in words.
    """

    cropped: SpotRange | None
    zoomed: SpotRange | None
    sentence: str


def spots_of(sitting: Sitting, figures: Figures, *, focus_on_m: Array) -> Spots:
    """Return where along the lens line the tripod of a settled sitting may stand.

    Height, aim, focus and lenses stay as they are; depth and light are not looked at.

    Notes
    -----
    Pictures that can be made from both ends of the stretch left by those before are taken to be
    made from all of it.
    """
    made = [p for p in sitting.pictures if p.key in sitting.order]
    made.sort(key=lambda p: -len(p.people))  # those that ask for most room first
    whole = SpotRange(_NEAREST_M, _farthest_m(sitting), "no nearer spot is tried", "the room ends")
    cropped = whole
    for picture in made:
        found = _narrowed(sitting, picture, figures[picture.key], focus_on_m, cropped, fills=False)
        if found is None:
            return Spots(
                None, None, f"{picture.key} fits with its lens from no spot that serves all"
            )
        cropped = found
    zoomed: SpotRange | None = cropped
    for picture in (p for p in made if sitting.lens_for(p).is_zoom):
        if zoomed is not None:
            zoomed = _narrowed(
                sitting, picture, figures[picture.key], focus_on_m, zoomed, fills=True
            )
    return Spots(cropped, zoomed, _sentence(sitting, cropped, zoomed))


def _narrowed(
    sitting: Sitting,
    picture: Picture,
    figures: Sequence[Figure],
    focus_on_m: Array,
    window: SpotRange,
    *,
    fills: bool,
) -> SpotRange | None:
    """Return the part of a stretch from which a picture can be made; None if from none of it."""
    to_frame = _to_frame(sitting, picture, figures, focus_on_m)

    def run(nearest_m: float, farthest_m: float) -> SpotRange | None:
        limits = _limits(sitting, picture, nearest_m, farthest_m, fills=fills)
        try:
            return spot_range_m([to_frame], limits=limits)
        except RangeError:
            return None  # somebody is beside the lens even from the farther end

    near, far = window.nearest_m, window.farthest_m
    if run(near, near) and run(far, far):
        return window
    found = run(near, far)
    if found is None:
        return None
    nearer, farther = found.nearest_m > near, found.farthest_m < far
    return SpotRange(
        found.nearest_m,
        found.farthest_m,
        found.nearest_because if nearer else window.nearest_because,
        found.farthest_because if farther else window.farthest_because,
    )


def _to_frame(
    sitting: Sitting, picture: Picture, figures: Sequence[Figure], focus_on_m: Array
) -> ToFrame:
    lens = sitting.lens_for(picture)
    points = subject_points_m(figures, crop=picture.crop_of(), head_room=sitting.wishes.head_room)
    return ToFrame(
        name=picture.key,
        points_m=points,
        faces_m=np.stack([f.face.nose_m for f in figures]),
        sizes_m=tuple((s.width_m, s.height_m) for s in sitting.sizes_of(picture)),
        view_at=lambda d: _view_at(sitting, picture, lens, d, focus_on_m),
    )


def _limits(
    sitting: Sitting, picture: Picture, nearest_m: float, farthest_m: float, *, fills: bool
) -> ZoomLimits:
    lens = sitting.lens_for(picture)
    short, long = lens.range_mm()
    return ZoomLimits(
        focal_min_mm=short,
        focal_max_mm=long,
        shortest_m=nearest_m,
        longest_m=farthest_m,
        nearest_focus_m=lens.nearest_focus_m,
        working_distance_m=sitting.wishes.working_distance_m,
        least_fill=1.0 if fills else _ANY_FILL,
    )


def _view_at(
    sitting: Sitting, picture: Picture, lens: Lens, distance_m: float, focus_on_m: Array
) -> CameraView:
    x, y, z = settled(sitting.camera.place, "camera, place").xyz_m()
    scale = distance_m / math.hypot(x, y)
    return camera_view(
        sitting.camera,
        Place(x_m=x * scale, y_m=y * scale, z_m=z),
        lens,
        focal_mm=lens.range_mm()[0],
        upright=picture.orientation == "upright",
        aim_m=aim_point_m(sitting),
        focus_on_m=focus_on_m,
    )


def _farthest_m(sitting: Sitting) -> float:
    """Return how far back the tripod can go on its line; where it stands counts as within."""
    x, y, _ = settled(sitting.camera.place, "camera, place").xyz_m()
    left, right, front, _ = room_sides_m(sitting)
    now = math.hypot(x, y)
    walls = [front / y] if y < 0 else []
    walls += [left / x] if x < 0 else [right / x] if x > 0 else []
    return max(now, now * min(walls, default=1.0) - BEHIND_CAMERA_M, 2 * _NEAREST_M)


def _sentence(sitting: Sitting, cropped: SpotRange, zoomed: SpotRange | None) -> str:
    units = sitting.preferences.units

    def span(r: SpotRange) -> str:
        near, far = length_text(r.nearest_m, units=units), length_text(r.farthest_m, units=units)
        return f"{near.removesuffix(' m') if far.endswith(' m') else near} to {far}"

    said = (
        f"the tripod may stand {span(cropped)} before the mark: nearer, "
        f"{cropped.nearest_because}; farther, {cropped.farthest_because}"
    )
    if zoomed is None:
        return f"{said}; from no spot does zooming alone fill the frame of every picture"
    if zoomed == cropped:
        return said
    ends = [f"farther, {zoomed.farthest_because}"] * (zoomed.farthest_m < cropped.farthest_m)
    ends += [f"nearer, {zoomed.nearest_because}"] * (zoomed.nearest_m > cropped.nearest_m)
    return f"{said}; by zooming alone {span(zoomed)}: {'; '.join(ends)}"
