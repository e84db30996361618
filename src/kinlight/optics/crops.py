"""Cropping a frame to the sizes sold: what the people need, what is kept, and what is left over."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.optics.checks import require_positive
from kinlight.optics.framing import CameraView
from kinlight.optics.prints import Size, ways_to_hang
from kinlight.quantities.lengths import METRES_PER_INCH

_HAIR_MM = 1e-9  # a crop that overhangs by less than rounding still fits


class Sides(NamedTuple):
    """One figure for each side of the picture."""

    left: float
    right: float
    bottom: float
    top: float


@dataclass(frozen=True)
class Rect:
    """An upright rectangle in the picture, from the middle of the frame [mm]."""

    left_mm: float
    right_mm: float
    bottom_mm: float
    top_mm: float

    @property
    def width_mm(self) -> float:
        """Its width [mm]."""
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        """Its height [mm]."""
        return self.top_mm - self.bottom_mm


@dataclass(frozen=True)
class Margins:
    """Air to leave around what is needed, as shares of the crop's width or height [-]."""

    left: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    top: float = 0.0

    def __post_init__(self) -> None:
        sides = (self.left, self.right, self.bottom, self.top)
        across, along = 1 - self.left - self.right, 1 - self.bottom - self.top
        if not (min(sides) >= 0 and across > 0 and along > 0):
            raise RangeError(
                Fault(
                    "leave no room for the people",
                    allowed="each 0 or more, and opposite ones together less than 1",
                    given=f"margins left {sides[0]:g}, right {sides[1]:g}, bottom {sides[2]:g}, "
                    f"top {sides[3]:g}",
                )
            )


NO_MARGINS = Margins()


@dataclass(frozen=True)
class Crop:
    """The smallest crop of a print's shape that holds what is needed, margins included.

    Attributes
    ----------
    print_m : width and height of the print, turned as it is used [m].
    rect : the crop [mm]. It hugs what is needed, spare space shared evenly, moved no more than it
        takes to lie in the frame.
    room_mm : how far the people could shift toward each side with a crop of this size still
        inside the frame [mm]; negative where it does not fit.
    room_m : the same in the plane of focus [m].
    fits : whether the crop lies within the frame.
    kept : share of the frame's area in the crop [-].
    """

    print_m: Size
    rect: Rect
    room_mm: Sides
    room_m: Sides
    fits: bool
    kept: float

    def pixels(self, *, pixel_pitch_mm: float) -> tuple[int, int]:
        """Return the crop's whole pixels across and up."""
        require_positive(pixel_pitch_mm=pixel_pitch_mm)
        across, up = self.rect.width_mm / pixel_pitch_mm, self.rect.height_mm / pixel_pitch_mm
        return math.floor(across + 1e-6), math.floor(up + 1e-6)

    def ppi(self, *, pixel_pitch_mm: float) -> float:
        """Return the pixels per inch of the print made from the crop [1/in]."""
        require_positive(pixel_pitch_mm=pixel_pitch_mm)
        return self.rect.width_mm / pixel_pitch_mm / (self.print_m[0] / METRES_PER_INCH)


def bounds(xy: ArrayLike) -> Rect:
    """Return the rectangle around points of shape (n, 2)."""
    points = np.asarray(xy, dtype=np.float64).reshape(-1, 2)
    if points.size == 0 or not np.all(np.isfinite(points)):
        raise RangeError(
            Fault(
                "something to be in the picture is not in front of the lens",
                remedy="move the camera back or turn it",
            )
        )
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    return Rect(float(left), float(right), float(bottom), float(top))


def needed_rect_mm(view: CameraView, points_m: ArrayLike) -> Rect:
    """Return the rectangle in the picture around points (n, 3) of the room.

    Raises
    ------
    RangeError
        If there is no point, or one is not in front of the lens.
    """
    return bounds(view.project_mm(points_m))


def smallest_size(needed: Rect, *, aspect: float, margins: Margins) -> Size:
    """Return the smallest width and height of the shape that holds the rectangle and margins."""
    width = needed.width_mm / (1 - margins.left - margins.right)
    height = needed.height_mm / (1 - margins.bottom - margins.top)
    width = max(width, aspect * height)
    return width, width / aspect


def _room(needed: Rect, crop: Size, *, frame_mm: Size, margins: Margins) -> Sides:
    """Return the room on each side as `Crop.room_mm` says."""
    sides = []
    for low, high, before, after, size, side in (
        (needed.left_mm, needed.right_mm, margins.left, margins.right, crop[0], frame_mm[0]),
        (needed.bottom_mm, needed.top_mm, margins.bottom, margins.top, crop[1], frame_mm[1]),
    ):
        short = min(side - size, 0.0) or math.inf  # negative if the crop is larger than the frame
        sides.append(min(low - before * size + side / 2, short))
        sides.append(min(side / 2 - high - after * size, short))
    return Sides(*sides)


def _place(
    low: float, high: float, *, before: float, after: float, size: float, side: float
) -> float:
    """Return where the crop's near edge goes along one side of the frame [mm]."""
    first, last = high - (1 - after) * size, low - before * size  # margins hold between these
    middle = (first + last) / 2
    inside = min(max(middle, -side / 2), side / 2 - size)
    return min(max(inside, first), last)


def crop_one_way(
    needed: Rect, *, view: CameraView, print_m: Size, margins: Margins = NO_MARGINS
) -> Crop:
    """Return the smallest crop for a print that is hung the way given.

    Parameters
    ----------
    needed : what must be in it, see `needed_rect_mm`.
    print_m : width and height of the print [m].
    margins : air around what is needed, as shares of the crop.

    Raises
    ------
    RangeError
        If what is needed is a single point, which any crop holds.
    """
    require_positive(print_width_m=print_m[0], print_height_m=print_m[1])
    if not needed.width_mm + needed.height_mm > 0:
        raise RangeError(Fault("a single point does not say how large the picture must be"))
    frame_mm = view.frame_mm
    crop = smallest_size(needed, aspect=print_m[0] / print_m[1], margins=margins)
    room = _room(needed, crop, frame_mm=frame_mm, margins=margins)
    left = _place(
        needed.left_mm,
        needed.right_mm,
        before=margins.left,
        after=margins.right,
        size=crop[0],
        side=frame_mm[0],
    )
    bottom = _place(
        needed.bottom_mm,
        needed.top_mm,
        before=margins.bottom,
        after=margins.top,
        size=crop[1],
        side=frame_mm[1],
    )
    return Crop(
        print_m=print_m,
        rect=Rect(left, left + crop[0], bottom, bottom + crop[1]),
        room_mm=room,
        room_m=Sides(*(side / view.magnification / 1000 for side in room)),
        fits=min(room) >= -_HAIR_MM,
        kept=crop[0] * crop[1] / (frame_mm[0] * frame_mm[1]),
    )


def crop_for_print(
    needed: Rect, *, view: CameraView, size_m: Size, margins: Margins = NO_MARGINS
) -> Crop:
    """Return the smallest crop for a print that may hang either way.

    Of the two ways, one that fits the frame comes first, then the smaller crop, which shows the
    people larger. If neither fits, the one that overhangs less.
    """
    crops = [
        crop_one_way(needed, view=view, print_m=way, margins=margins)
        for way in ways_to_hang(size_m)
    ]
    fitting = [crop for crop in crops if crop.fits]
    if fitting:
        return min(fitting, key=lambda crop: crop.kept)
    return max(crops, key=lambda crop: min(crop.room_mm))
