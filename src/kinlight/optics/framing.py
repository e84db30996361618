"""Where points of the room fall in the picture, seen from the entrance pupil."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array, frame, frozen, unit
from kinlight.optics.checks import require_positive
from kinlight.optics.lens import entrance_pupil_offset_m, magnification, pupil_to_focus_m


@dataclass(frozen=True)
class CameraView:
    """A camera in its place: where it looks from, which way, and how it is focused.

    Attributes
    ----------
    entrance_pupil_m : the point perspective is drawn from, shape (3,) [m].
    axis, right, up : unit vectors, shape (3,): the lens axis, and the picture's right and up.
    focal_length_mm : [mm].
    focus_m : along the axis, from the front principal plane to the plane of focus [m].
    pupil_ratio : exit pupil over entrance pupil [-].
    sensor_width_mm, sensor_height_mm : with the camera level, long side across [mm].
    upright : whether the camera is turned so that the long side stands.
    """

    entrance_pupil_m: Array
    axis: Array
    right: Array
    up: Array
    focal_length_mm: float
    focus_m: float
    sensor_width_mm: float
    sensor_height_mm: float
    pupil_ratio: float = 1.0
    upright: bool = False

    def __post_init__(self) -> None:
        require_positive(
            sensor_width_mm=self.sensor_width_mm, sensor_height_mm=self.sensor_height_mm
        )
        require_positive(pupil_to_focus_m=self.pupil_to_focus_m)
        vectors = np.stack([self.axis, self.right, self.up])
        if not np.allclose(vectors @ vectors.T, np.eye(3), atol=1e-9):
            raise RangeError(Fault("the camera's axis, right and up are not square to each other"))

    @property
    def magnification(self) -> float:
        """Image over object in the plane of focus [-]."""
        return magnification(focal_length_mm=self.focal_length_mm, focus_m=self.focus_m)

    @property
    def pupil_to_focus_m(self) -> float:
        """From the entrance pupil to the plane of focus, along the axis [m]."""
        return pupil_to_focus_m(
            focal_length_mm=self.focal_length_mm,
            focus_m=self.focus_m,
            pupil_ratio=self.pupil_ratio,
        )

    @property
    def principal_distance_mm(self) -> float:
        """Picture size for a slope of one seen from the entrance pupil, f (1 + m/P) [mm]."""
        return self.focal_length_mm * (1 + self.magnification / self.pupil_ratio)

    @property
    def frame_mm(self) -> tuple[float, float]:
        """Width and height of the picture on the sensor [mm]."""
        size = (self.sensor_width_mm, self.sensor_height_mm)
        return (size[1], size[0]) if self.upright else size

    def along_axis_m(self, points_m: ArrayLike) -> Array:
        """Return how far points lie in front of the entrance pupil, along the axis, (n,) [m]."""
        points: Array = np.asarray(points_m, dtype=np.float64) - self.entrance_pupil_m
        return points @ self.axis

    def depths_m(self, points_m: ArrayLike) -> Array:
        """Return how far points (n, 3) lie from the front principal plane, along the axis [m]."""
        offset = entrance_pupil_offset_m(
            focal_length_mm=self.focal_length_mm, pupil_ratio=self.pupil_ratio
        )
        return self.along_axis_m(points_m) + offset

    def slopes(self, points_m: ArrayLike) -> Array:
        """Return rightward and upward offset over distance along the axis, shape (n, 2) [-].

        Points at or behind the entrance pupil, which no picture shows, give nan.
        """
        points = np.asarray(points_m, dtype=np.float64).reshape(-1, 3) - self.entrance_pupil_m
        along = points @ self.axis
        in_front = np.where(along > 0, along, np.nan)
        aside: Array = points @ np.stack([self.right, self.up], axis=-1)
        return aside / in_front[..., None]

    def project_mm(self, points_m: ArrayLike) -> Array:
        """Return where points (n, 3) fall in the picture, shape (n, 2) [mm].

        The picture is taken upright: x to its right, y up, from the middle of the frame. Points at
        or behind the entrance pupil give nan.
        """
        return self.principal_distance_mm * self.slopes(points_m)

    def zoomed(self, focal_length_mm: float) -> CameraView:
        """Return the view at another focal length, focused on the same plane of the room.

        The entrance pupil is taken to stay where it is; in a zoom it wanders by some centimetres.
        """
        offset = entrance_pupil_offset_m(
            focal_length_mm=focal_length_mm, pupil_ratio=self.pupil_ratio
        )
        focus_m = self.pupil_to_focus_m + offset
        return replace(self, focal_length_mm=focal_length_mm, focus_m=focus_m)

    def focused_on(self, point_m: ArrayLike) -> CameraView:
        """Return the view with the plane of focus through a point (3,) of the room."""
        return replace(self, focus_m=float(self.depths_m(point_m)))

    def moved(self, shift_m: ArrayLike) -> CameraView:
        """Return the view with the camera moved by a vector (3,) of the room [m].

        It looks the same way and stays focused on the same plane of the room.
        """
        shift = np.asarray(shift_m, dtype=np.float64)
        pupil = frozen(self.entrance_pupil_m + shift)
        focus_m = self.focus_m - float(shift @ self.axis)
        return replace(self, entrance_pupil_m=pupil, focus_m=focus_m)


def aimed(
    *,
    entrance_pupil_m: ArrayLike,
    aim_m: ArrayLike,
    focus_on_m: ArrayLike,
    focal_length_mm: float,
    sensor_width_mm: float,
    sensor_height_mm: float,
    pupil_ratio: float = 1.0,
    upright: bool = False,
) -> CameraView:
    """Return the view of a level-standing camera whose axis passes through a point.

    Parameters
    ----------
    entrance_pupil_m : where the camera looks from, shape (3,) [m].
    aim_m : the point in the middle of the frame, shape (3,) [m].
    focus_on_m : a point in the plane of focus, shape (3,) [m].
    focal_length_mm, sensor_width_mm, sensor_height_mm, pupil_ratio, upright : as `CameraView`.

    Raises
    ------
    RangeError
        If the camera stands at the point it aims at, or the focus is behind it or too near.
    """
    pupil = frozen(entrance_pupil_m)
    along = np.asarray(aim_m, dtype=np.float64) - pupil
    if not np.linalg.norm(along) > 0:
        raise RangeError(Fault("the camera stands at the very point it aims at"))
    axis = frozen(unit(along))
    right, up = frame(-axis)
    offset = entrance_pupil_offset_m(focal_length_mm=focal_length_mm, pupil_ratio=pupil_ratio)
    focus = float((np.asarray(focus_on_m, dtype=np.float64) - pupil) @ axis) + offset
    return CameraView(
        entrance_pupil_m=pupil,
        axis=axis,
        right=frozen(right),
        up=frozen(up),
        focal_length_mm=focal_length_mm,
        focus_m=focus,
        sensor_width_mm=sensor_width_mm,
        sensor_height_mm=sensor_height_mm,
        pupil_ratio=pupil_ratio,
        upright=upright,
    )


def upright_shift_m(
    *,
    axis_above_pivot_m: float = 0.0,
    to_right: bool = False,
    plate_right_m: float = 0.0,
    plate_up_m: float = 0.0,
) -> tuple[float, float]:
    """Return how far the lens moves to the right and up when the camera is turned upright [m].

    Turned in a collar round the lens: leave all at zero, it does not move. On an L-shaped plate:
    state the measured shift as `plate_right_m` and `plate_up_m`. Tipped over on the tripod head:
    state how high the lens axis stands above the joint it turns about; the lens moves aside by as
    much and drops by as much. Then project again from `view.moved(...)`.

    Parameters
    ----------
    axis_above_pivot_m : height of the lens axis above the joint, camera level [m].
    to_right : whether the head tips to the camera's right; else to its left.
    plate_right_m, plate_up_m : the shift on the plate [m].
    """
    aside = axis_above_pivot_m if to_right else -axis_above_pivot_m
    return aside + plate_right_m, -axis_above_pivot_m + plate_up_m
