"""Proposing the tripod's place, and for each picture lens, focal length and orientation.

One tripod spot serves every picture. Distances are tried along the lens line from the nearest that
flatters faces to the farthest the room allows.
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import Fault, RangeError, SittingError
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.optics.framing import CameraView
from kinlight.optics.lens import entrance_pupil_offset_m, to_film_plane_m
from kinlight.optics.spot import working_distance_m
from kinlight.optics.zoom import longest_focal_mm
from kinlight.plan.spots import BEHIND_CAMERA_M
from kinlight.plan.subject import subject_points_m
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Lens
from kinlight.sitting.pictures import Picture
from kinlight.sitting.place import Place
from kinlight.sitting.room_fit import room_sides_m
from kinlight.stage.view import camera_view

Views = Mapping[tuple[str, bool], CameraView]
"""A view for each lens id, with the camera level and upright."""
STEP_M = 0.05
SHORTER = 0.85
"""The next shorter focal length of a zoom is at most this share of the one before."""
FILM_TO_LENS = 1.1
"""Focal lengths from the lens to the film plane at portrait distances, no less than there are."""
CHANGE_COST = 0.1
"""Share of the frame that a change of lens must gain to be worth it: our choice."""
SPARE = 0.97
"""Share of the longest possible focal length that is used, so that people may shift a little."""


@dataclass(frozen=True)
class Made:
    """How a picture is made from a spot.

    `fill` is the share of the frame's length it uses, `lies_as_people` whether the camera is level
    for people who are wider than high together, and upright for the others.
    """

    lens: str
    focal_length_mm: float
    upright: bool
    fill: float
    lies_as_people: bool


@dataclass(frozen=True)
class TripodSpot:
    """A tripod spot and what it means for each picture; None where no lens frames it."""

    distance_m: float
    made: Mapping[str, Made | None]

    def score(self) -> tuple[int, float, float]:
        """Return what makes a spot better, most important first; larger is better.

        Pictures framed; then how much of the frame they fill, less `CHANGE_COST` for each picture
        that needs another lens than most; then distance, which flatters.
        """
        framed = [m for m in self.made.values() if m is not None]
        if not framed:
            return 0, 0.0, self.distance_m
        lenses = [m.lens for m in framed]
        changed = len(lenses) - max(lenses.count(x) for x in set(lenses))
        fill = float(np.mean([m.fill for m in framed])) - CHANGE_COST * changed / len(framed)
        return len(framed), round(fill, 2), self.distance_m


def proposed_aim_height_m(sitting: Sitting, figures: Mapping[str, Sequence[Figure]]) -> float:
    """Return the height over the mark that centres what all pictures must show, to 5 cm [m]."""
    tops, bottoms = [], []
    for picture in sitting.pictures:
        points = picture_points(sitting, picture, figures[picture.key])
        tops.append(points[:, 2].max())
        bottoms.append(points[:, 2].min())
    middle_m = float(max(tops) + min(bottoms)) / 2
    return round(round(middle_m / STEP_M) * STEP_M, 2)


def best_spot(
    sitting: Sitting,
    figures: Mapping[str, Sequence[Figure]],
    points: Mapping[str, Array],
    *,
    aim_height_m: float,
) -> TripodSpot:
    """Return the spot from which most pictures can be made, large and with few changes of lens."""
    return max(
        (
            spot_at(sitting, d, points, aim_height_m=aim_height_m)
            for d in _distances_m(sitting, figures)
        ),
        key=TripodSpot.score,
    )


def spot_at(
    sitting: Sitting, distance_m: float, points: Mapping[str, Array], *, aim_height_m: float
) -> TripodSpot:
    """Return what a distance along the lens line means for each picture."""
    place = Place(x_m=0.0, y_m=-distance_m, z_m=aim_height_m)
    views = views_from(sitting, place, aim_height_m)
    return TripodSpot(
        distance_m, {p.key: how_made(sitting, p, points[p.key], views) for p in sitting.pictures}
    )


def views_from(sitting: Sitting, place: Place, aim_height_m: float) -> Views:
    """Return the view of every lens at its shortest, level and upright, focused over the mark.

    Views that cannot be, since the mark is too near, are left out.
    """
    aim = np.array([0.0, 0.0, aim_height_m])
    views = {}
    for lens in sitting.lenses:
        for upright in (False, True):
            with contextlib.suppress(RangeError):
                views[lens.id, upright] = camera_view(
                    sitting.camera,
                    place,
                    lens,
                    focal_mm=lens.range_mm()[0],
                    upright=upright,
                    aim_m=aim,
                    focus_on_m=aim,
                )
    return views


def how_made(
    sitting: Sitting,
    picture: Picture,
    points_m: Array,
    views: Views,
    *,
    below_mm: float = np.inf,
) -> Made | None:
    """Return how a picture is made largest: lens, focal length, orientation; None if nohow.

    Parameters
    ----------
    points_m : what must be in it, shape (n, 3) [m].
    views : from where the tripod stands, see `views_from`.
    below_mm : only focal lengths shorter than this are used [mm].
    """
    options = []
    for lens in _lenses(sitting, picture):
        for upright in _ways(picture):
            view = views.get((lens.id, upright))
            longest = _longest_mm(sitting, picture, points_m, lens, view) if view else 0.0
            longest = min(longest, SHORTER * below_mm)
            focal = _focal_mm(picture, lens, longest)
            if focal is not None:
                as_people = upright != _is_wide(points_m)
                options.append(Made(lens.id, focal, upright, focal / longest, as_people))
    # Of two ways to turn the camera the one that lies as the people do, then the one with more
    # room to spare, which is the smaller fill.
    return max(options, key=lambda m: (m.focal_length_mm, m.lies_as_people, -m.fill), default=None)


def _longest_mm(
    sitting: Sitting, picture: Picture, points_m: Array, lens: Lens, view: CameraView
) -> float:
    """Return the longest focal length that frames a picture with room to spare; 0 for none [mm]."""
    sizes = [(s.width_m, s.height_m) for s in sitting.sizes_of(picture)]
    nearest_m = float(view.depths_m(points_m).min())
    try:
        film_m = to_film_plane_m(focus_m=nearest_m, focal_length_mm=lens.range_mm()[0])
        longest = SPARE * longest_focal_mm(view, points_m, sizes_m=sizes)
    except RangeError:  # too near: somebody is beside the lens
        return 0.0
    return longest if film_m >= lens.nearest_focus_m else 0.0


def widest_made(sitting: Sitting, picture: Picture, points_m: Array) -> Made:
    """Return the widest way to make a picture that nothing frames with room to spare."""
    lens = min(_lenses(sitting, picture), key=lambda lens: lens.range_mm()[0])
    focal = picture.focal_length_mm or lens.range_mm()[0]
    upright = picture.orientation == "upright"
    if picture.orientation == "either":
        upright = not _is_wide(points_m)
    return Made(lens.id, focal, upright, 1.0, upright != _is_wide(points_m))


def _is_wide(points_m: Array) -> bool:
    size = points_m.max(axis=0) - points_m.min(axis=0)
    return bool(size[0] > size[2])


def _focal_mm(picture: Picture, lens: Lens, longest_mm: float) -> float | None:
    """Return the focal length to use, whole millimetres of a zoom; None if all are too long."""
    shortest, end = lens.range_mm()
    if picture.focal_length_mm is not None:
        there = shortest - 0.5 <= picture.focal_length_mm <= end + 0.5  # as a sitting is read
        return picture.focal_length_mm if there and picture.focal_length_mm <= longest_mm else None
    if shortest > longest_mm:
        return None
    return float(np.floor(min(end, longest_mm))) if lens.is_zoom else shortest


def _lenses(sitting: Sitting, picture: Picture) -> list[Lens]:
    fixed = picture.lens or sitting.camera.lens
    return [lens for lens in sitting.lenses if fixed in (None, lens.id)]


def _ways(picture: Picture) -> list[bool]:
    return [False, True] if picture.orientation == "either" else [picture.orientation == "upright"]


def picture_points(sitting: Sitting, picture: Picture, figures: Sequence[Figure]) -> Array:
    """Return the points a picture must show, shape (n, 3) [m]."""
    return subject_points_m(figures, crop=picture.crop_of(), head_room=sitting.wishes.head_room)


def _distances_m(sitting: Sitting, figures: Mapping[str, Sequence[Figure]]) -> list[float]:
    """Return the distances to try, nearest first.

    A room too short for the usual working distance is tried nearer, down to the nearest focus.

    Raises
    ------
    SittingError
        If the tripod does not fit between the people and the wall behind the camera.
    """
    noses = [(len(fs), -float(f.face.nose_m[1])) for fs in figures.values() for f in fs]
    toward = max(t for _, t in noses)
    usable = {x.id: x for p in sitting.pictures for x in _lenses(sitting, p)}.values()
    ahead = max(_ahead_m(sitting, lens) for lens in usable)
    least = min(lens.nearest_focus_m for lens in usable) + toward
    usual = max(
        max(sitting.wishes.working_distance_m, working_distance_m(count)) + t + ahead
        for count, t in noses
    )
    last = -room_sides_m(sitting)[2] - BEHIND_CAMERA_M
    for first in (max(usual, least), least):
        start, end = np.ceil(first / STEP_M - 1e-9), np.floor(last / STEP_M + 1e-9)
        if start <= end:
            return [round(k * STEP_M, 2) for k in range(int(start), int(end) + 1)]
    raise SittingError(_no_room(sitting, last))


def _ahead_m(sitting: Sitting, lens: Lens) -> float:
    """Return how far the entrance pupil may lie before what distances are taped to [m]."""
    short, long = lens.range_mm()
    pupil = max(
        entrance_pupil_offset_m(focal_length_mm=f, pupil_ratio=lens.pupil_ratio)
        for f in (short, long)
    )
    film = sitting.camera.measured_from == "film plane"
    # the image lies a little more than a focal length behind the lens
    return max(pupil, 0.0) + (FILM_TO_LENS * long / 1000 if film else 0.0)


def _no_room(sitting: Sitting, last_m: float) -> Fault:
    units = sitting.preferences.units
    behind = length_text(BEHIND_CAMERA_M, units=units)
    return Fault(
        f"leaves no spot for the tripod: it may stand {length_text(max(last_m, 0.0), units=units)} "
        f"before the mark, with {behind} behind it for you, and no lens focuses on them from there",
        where="room",
        remedy="move the mark and the backdrop back, or take a larger room",
    )
