"""Where the tripod can stand so that every picture can be framed by zooming alone."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import UP, Array, unit
from kinlight.optics.crops import NO_MARGINS, Margins
from kinlight.optics.framing import CameraView
from kinlight.optics.lens import to_film_plane_m
from kinlight.optics.prints import Size
from kinlight.optics.tables import constant
from kinlight.optics.zoom import longest_focal_mm

WORKING_DISTANCE_ONE_M = constant("working_distance_one_m")
WORKING_DISTANCE_GROUP_M = constant("working_distance_group_m")
ViewAt = Callable[[float], CameraView]
# How far each condition is from failing (at least 0 holds), and the words for its failing.
Spare = list[tuple[float, str]]
_STEP_M = 0.05  # spots tried along the line; an interval narrower than this may be overlooked
_TOLERANCE_M = 1e-6


@dataclass(frozen=True)
class ToFrame:
    """One picture to be framed.

    Attributes
    ----------
    name : what to call it where it sets a limit.
    points_m : what must be in the picture, shape (n, 3) [m].
    faces_m : a point of each face, shape (k, 3), for the working distance [m].
    sizes_m : prints wanted, (width, height) each [m].
    view_at : the camera's view of this picture with its spot at a distance [m].
    margins : air to leave, as shares of the crop.
    """

    name: str
    points_m: Array
    faces_m: Array
    sizes_m: tuple[Size, ...]
    view_at: ViewAt
    margins: Margins = NO_MARGINS


@dataclass(frozen=True)
class SpotRange:
    """The distances at which the tripod may stand, and what ends them nearer and farther."""

    nearest_m: float
    farthest_m: float
    nearest_because: str
    farthest_because: str


@dataclass(frozen=True)
class ZoomLimits:
    """What bounds the spot besides the pictures themselves.

    Attributes
    ----------
    focal_min_mm, focal_max_mm : the lens's range [mm].
    shortest_m, longest_m : the distances to try, in the measure of `view_at`; the room's [m].
    nearest_focus_m : nearest focus as engraved, from the film plane; 0 if not known [m].
    working_distance_m : least distance from the entrance pupil to a face; None takes common
        practice, 1.5 m for one face and 3 m for several [m].
    least_fill : share of the frame's length that a picture may fill at the longest focal length,
        the rest being cropped away [-]; 1 asks that zooming alone fills the frame.
    """

    focal_min_mm: float
    focal_max_mm: float
    shortest_m: float
    longest_m: float
    nearest_focus_m: float = 0.0
    working_distance_m: float | None = None
    least_fill: float = 1.0

    def __post_init__(self) -> None:
        if not 0 < self.focal_min_mm <= self.focal_max_mm < math.inf:
            raise RangeError(
                Fault(
                    "does not run from the lens's shortest focal length to its longest",
                    given=f"{self.focal_min_mm:g} to {self.focal_max_mm:g} mm",
                )
            )
        if not 0 < self.shortest_m <= self.longest_m < math.inf:
            raise RangeError(
                Fault(
                    "leaves no distance for the tripod",
                    given=f"{self.shortest_m:g} to {self.longest_m:g} m",
                )
            )
        if not 0 < self.least_fill <= 1:
            raise RangeError(
                Fault(
                    "cannot be the share of the frame to fill",
                    allowed="more than 0, up to 1",
                    given=f"{self.least_fill:g}",
                )
            )


def level_line(view: CameraView, *, from_m: ArrayLike) -> ViewAt:
    """Return the views from a horizontal line that leads back from a point, as a function.

    The function takes the horizontal distance from `from_m` (the mark) to the entrance pupil [m].
    Height, aim and focal length stay; so does the plane of focus in the room.

    Parameters
    ----------
    view : the camera at any spot of the line.
    from_m : the point distances are measured from, shape (3,) [m].
    """
    level = view.axis - (view.axis @ UP) * UP
    if np.linalg.norm(level) < 1e-6:
        raise RangeError(Fault("the camera looks straight up or down, so no line leads back"))
    ahead = unit(level)
    here = float((np.asarray(from_m, dtype=np.float64) - view.entrance_pupil_m) @ ahead)

    def view_at(distance_m: float) -> CameraView:
        return view.moved((here - distance_m) * ahead)

    return view_at


def working_distance_m(faces: int) -> float:
    """Return the least distance from lens to face that common practice asks for [m]."""
    return WORKING_DISTANCE_ONE_M if faces <= 1 else WORKING_DISTANCE_GROUP_M


def nearest_spot_m(
    picture: ToFrame, *, focal_length_mm: float, shortest_m: float, longest_m: float
) -> float | None:
    """Return the nearest distance at which a focal length frames a picture [m].

    None if it does so nowhere between `shortest_m` and `longest_m`.
    """
    limits = ZoomLimits(
        focal_min_mm=focal_length_mm,
        focal_max_mm=focal_length_mm,
        shortest_m=shortest_m,
        longest_m=longest_m,
    )

    def spare_at(distance_m: float) -> Spare:
        view = picture.view_at(distance_m).zoomed(focal_length_mm)
        return [(_longest_mm(picture, view) / focal_length_mm - 1, "")]

    found = _runs(spare_at, limits)
    return found[0].nearest_m if found else None


def spot_range_m(pictures: Sequence[ToFrame], *, limits: ZoomLimits) -> SpotRange | None:
    """Return the distances from which every picture can be framed by zooming alone.

    None if there is no such distance. Should there be several stretches, the longest.

    Raises
    ------
    RangeError
        If a picture cannot be judged even from `longest_m`: no sizes, no points, or someone not in
        front of the lens.

    Notes
    -----
    Spots are tried every 5 cm and the ends found by halving, since the picture of a group well off
    the lens axis need not shrink steadily as the camera goes back.
    """
    if not pictures:
        raise RangeError(Fault("no picture is given to find a spot for"))
    found = _runs(lambda d: [reason for p in pictures for reason in _spare(p, d, limits)], limits)
    return max(found, key=lambda run: run.farthest_m - run.nearest_m, default=None)


def _longest_mm(picture: ToFrame, view: CameraView) -> float:
    """Return the longest focal length that frames the picture in a view [mm]."""
    return longest_focal_mm(
        view, picture.points_m, sizes_m=picture.sizes_m, margins=picture.margins
    )


def _fill(view: CameraView, *, focal_length_mm: float, longest_mm: float) -> float:
    """Return the share of the frame's length that the picture fills at a focal length [-]."""
    scale = view.zoomed(focal_length_mm).principal_distance_mm
    return scale / view.zoomed(longest_mm).principal_distance_mm


def _spare(picture: ToFrame, distance_m: float, limits: ZoomLimits) -> Spare:
    """Return every condition of one picture at one distance."""
    view = picture.view_at(distance_m)
    short, long = limits.focal_min_mm, limits.focal_max_mm
    longest = _longest_mm(picture, view)
    least = limits.working_distance_m
    if least is None:
        least = working_distance_m(len(picture.faces_m))
    gaps = np.linalg.norm(np.asarray(picture.faces_m) - view.entrance_pupil_m, axis=-1)
    focus = to_film_plane_m(focus_m=view.focus_m, focal_length_mm=view.focal_length_mm)
    return [
        (
            longest / short - 1,
            f"{picture.name} does not fit the frame at {short:g} mm",
        ),
        (
            _fill(view, focal_length_mm=long, longest_mm=longest) - limits.least_fill,
            f"{picture.name} does not fill the frame at {long:g} mm",
        ),
        (
            float(np.min(gaps, initial=math.inf)) - least,
            f"{picture.name} has a face nearer than {least:g} m",
        ),
        (focus - limits.nearest_focus_m, f"the lens does not focus that near for {picture.name}"),
    ]


def _runs(spare_at: Callable[[float], Spare], limits: ZoomLimits) -> list[SpotRange]:
    """Return every stretch of distances on which all conditions hold, nearest first."""

    def worst(distance_m: float) -> tuple[float, str]:
        try:
            return min(spare_at(distance_m))
        except RangeError as error:  # so near that someone is beside or behind the lens
            return -math.inf, error.faults[0].problem

    def edge(good: float, bad: float) -> tuple[float, str]:
        while abs(bad - good) > _TOLERANCE_M:
            middle = (good + bad) / 2
            good, bad = (middle, bad) if worst(middle)[0] >= 0 else (good, middle)
        return good, worst(bad)[1]

    spare_at(limits.longest_m)  # what is wrong even from farthest off is said, not searched around
    count = math.ceil((limits.longest_m - limits.shortest_m) / _STEP_M) + 1
    spots = [float(d) for d in np.linspace(limits.shortest_m, limits.longest_m, max(count, 2))]
    holds = [worst(d)[0] >= 0 for d in spots]
    runs: list[SpotRange] = []
    near: tuple[float, str] = (0.0, "")
    for i, good in enumerate(holds):
        if not good:
            continue
        if i == 0:
            near = (spots[0], "no nearer spot is allowed")
        elif not holds[i - 1]:
            near = edge(spots[i], spots[i - 1])
        if i == len(spots) - 1:
            runs.append(SpotRange(near[0], spots[i], near[1], "the room ends"))
        elif not holds[i + 1]:
            far = edge(spots[i], spots[i + 1])
            runs.append(SpotRange(near[0], far[0], near[1], far[1]))
    return runs
