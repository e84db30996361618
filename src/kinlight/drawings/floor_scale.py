"""The scale of a floor plan: which one fits the paper, and where points of the floor fall on it."""

from __future__ import annotations

from dataclasses import dataclass

from kinlight.drawings.svg import Point
from kinlight.sitting.document import Sitting
from kinlight.sitting.room_fit import room_sides_m

SCALES = (10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000)
_BEHIND_M = 0.75
_WORTH_CUTTING_M = 0.8


@dataclass(frozen=True)
class Floor:
    """The part of the floor that is drawn, its scale, and where its far left corner lies.

    `near_y_m` is where the drawing ends toward the camera; `cut` says that the room goes on there.
    """

    left_x_m: float
    right_x_m: float
    near_y_m: float
    far_y_m: float
    cut: bool
    scale: int
    corner: Point

    def at(self, x_m: float, y_m: float) -> Point:
        """Return where a point of the floor falls on the paper [mm]."""
        return (
            self.corner[0] + self.mm(x_m - self.left_x_m),
            self.corner[1] + self.mm(self.far_y_m - y_m),
        )

    def mm(self, length_m: float) -> float:
        """Return how long a length of the room is on the paper [mm]."""
        return length_m * 1000 / self.scale


def floor_of(sitting: Sitting, *, width_mm: float, height_mm: float, corner: Point) -> Floor:
    """Return the floor at the largest scale that fits the room drawn into a space of the paper.

    Floor far behind the camera, where nothing stands, is cut off.
    """
    left, right, front, back = room_sides_m(sitting)
    near = min(0.0, *_ys(sitting)) - _BEHIND_M
    cut = near - front > _WORTH_CUTTING_M
    near = near if cut else front
    scale = next(
        (
            s
            for s in SCALES
            if (right - left) * 1000 <= width_mm * s and (back - near) * 1000 <= height_mm * s
        ),
        SCALES[-1],
    )
    return Floor(left, right, near, back, cut, scale, corner)


def _ys(sitting: Sitting) -> list[float]:
    places = [light.place for light in sitting.lights] + [r.place for r in sitting.reflectors]
    if sitting.camera.place:
        places.append(sitting.camera.place)
    spots = [s.y_m for p in sitting.pictures for s in p.places]
    return [place.xyz_m()[1] for place in places] + spots + [0.0]
