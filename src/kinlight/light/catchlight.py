"""The image of a light in an eye: where on the iris it lies, and how large it is.

The front of the cornea is a small convex mirror, a sphere, in which every point of a light has its
one place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array, unit
from kinlight.light.checks import require_positive
from kinlight.light.cut_off import shines_on
from kinlight.light.emitter import Emitter
from kinlight.light.mirror import mirror_points_m, rim_m
from kinlight.light.tables import eye_measure
from kinlight.light.world import Sheet

CORNEA_RADIUS_MM = eye_measure("cornea_radius_mm").value
"""Radius of the front of the cornea [mm]."""
IRIS_MM = eye_measure("iris_adult_mm").value
"""Diameter of an adult's iris as it shows [mm]."""
LID_OPENING_MM = eye_measure("lid_opening_mm").value
"""How far the lids are apart [mm]."""
BLACK_MOST = 0.1
"""A side that sends back no more than this is black: the blackest cloths' bound and a little."""
MIDDLE_MM = 0.5
"""Nearer than this to the middle of the iris, a catchlight has no clock position: our choice."""


@dataclass(frozen=True)
class Catchlight:
    """A light mirrored in an eye, as the camera sees it.

    Attributes
    ----------
    clock : hours on a clock face around the middle of the iris, above 0 to 12, 12 along the head's
        own upright, as seen from the camera [-].
    right_mm, up_mm : its middle from the middle of the iris, as seen from the camera [mm].
    width_mm, height_mm : its size, to the side and up [mm].
    iris_share : the larger of the two over the diameter of the iris [-].
    in_iris : whether its middle lies on the cornea before the iris; beyond, the white of the eye
        shows no such image.
    clear_of_lids : whether its middle lies between open lids.
    """

    clock: float
    right_mm: float
    up_mm: float
    width_mm: float
    height_mm: float
    iris_share: float
    in_iris: bool
    clear_of_lids: bool

    @property
    def seen(self) -> bool:
        """Whether it shows at all: on the iris, and not behind a lid."""
        return self.in_iris and self.clear_of_lids

    @property
    def position(self) -> str:
        """Where it lies, "10 o'clock", or "in the middle"."""
        if math.hypot(self.right_mm, self.up_mm) < MIDDLE_MM:
            return "in the middle"
        return f"{round(self.clock) or 12} o'clock"


def iris_mm(age_years: float) -> float:
    """Return the diameter of the iris at an age [mm].

    Parameters
    ----------
    age_years : 0 or more [year].

    Raises
    ------
    RangeError
        If the age is below zero.

    Notes
    -----
    9.5 to 10 mm at birth, an adult's 11.8 [hashemi2015] within about a year [augusteyn2012];
    straight between them, which is ours.
    """
    if not age_years >= 0:
        fault = Fault("cannot be an age", allowed="0 or more", given=f"{age_years:g}")
        raise RangeError(fault)
    born = eye_measure("iris_newborn_mm").value
    grown = min(age_years / eye_measure("iris_grown_years").value, 1.0)
    return born + grown * (IRIS_MM - born)


def catchlight(
    eye_m: ArrayLike,
    gaze: ArrayLike,
    up: ArrayLike,
    camera_m: ArrayLike,
    emitter: Emitter,
    *,
    iris_mm: float = IRIS_MM,
) -> Catchlight | None:
    """Return the image of a light in an eye as the camera sees it.

    Parameters
    ----------
    eye_m : the foremost point of the cornea, shape (3,) [m].
    gaze : where the eye looks, shape (3,), any length [-].
    up : the head's own upright, shape (3,), any length, not along the gaze or
        the way to the camera.
    camera_m : the entrance pupil, shape (3,) [m].
    emitter : the light.
    iris_mm : diameter of the iris, see the function of that name [mm].

    Returns
    -------
    None where there is no image: the eye is not before the light's front, its grid keeps the light
    from the eye, or the cornea's own horizon hides it.

    Raises
    ------
    RangeError
        If the iris has no size, or is larger than the cornea's sphere, or the camera or the light
        stands in the eye.

    Notes
    -----
    For a small light straight ahead the size nears h r / (2 d + r), the textbook's; large ones are
    somewhat smaller, for a sphere mirrors their rim with a shorter focal length. The iris is the
    circle of the sphere that is as wide as it; lengths are measured in its plane's distance, square
    to the way to the camera. Of a front that the cornea's horizon cuts, the size is that of the
    points this side of it. What stands between light and eye is not looked at. The lids are taken
    as straight, over and under the eye, `LID_OPENING_MM` apart.
    """
    _require_iris(iris_mm)
    axis, r_m = unit(gaze), CORNEA_RADIUS_MM / 1000
    apex, camera = np.asarray(eye_m, dtype=np.float64), np.asarray(camera_m, dtype=np.float64)
    centre = apex - r_m * axis
    places = np.vstack([emitter.centre_m, rim_m(emitter)])
    points, above = mirror_points_m(centre, r_m, camera, places)
    if not (above[0] and shines_on(points[0], emitter)):
        return None
    from_axis = (points[0] - centre) - ((points[0] - centre) @ axis) * axis
    iris_m = centre + math.sqrt(r_m**2 - (iris_mm / 2000) ** 2) * axis
    right, high = _as_seen_mm(points, iris_m, camera, up)
    width, height = float(np.ptp(right[above])), float(np.ptp(high[above]))
    lid_up = unit(np.asarray(up) - (np.asarray(up) @ axis) * axis)
    return Catchlight(
        clock=_clock(float(right[0]), float(high[0])),
        right_mm=float(right[0]),
        up_mm=float(high[0]),
        width_mm=width,
        height_mm=height,
        iris_share=max(width, height) / iris_mm,
        in_iris=bool(
            np.linalg.norm(from_axis) <= iris_mm / 2000 and (points[0] - centre) @ axis > 0
        ),
        clear_of_lids=bool(abs(from_axis @ lid_up) <= LID_OPENING_MM / 2000),
    )


def sheet_front(sheet: Sheet, toward_m: ArrayLike) -> Emitter | None:
    """Return the side of a rectangular sheet that faces a place as an even front; its outline is.

    None for a side that shows in no eye: a black one, or that of a scrim, which passes on as much
    as it sends back or more.

    Parameters
    ----------
    toward_m : the place, shape (3,) [m].
    """
    ahead = float((np.asarray(toward_m, dtype=np.float64) - sheet.centre_m) @ sheet.normal)
    side = sheet if ahead > 0 else sheet.turned_over()
    coat = side.front
    if not coat.reflectance > max(sheet.transmittance, BLACK_MOST):
        return None
    across, up = side.half_m[0] * side.right, side.half_m[1] * side.up
    return Emitter(side.centre_m + np.array([-across - up, across - up, across + up, up - across]))


def _as_seen_mm(points: Array, iris_m: Array, camera: Array, up: ArrayLike) -> tuple[Array, Array]:
    """Return points to the right of and above the iris as seen, in the iris's distance [mm]."""
    away = camera - iris_m
    distance = np.linalg.norm(away)
    toward = away / distance
    upright = np.asarray(up, dtype=np.float64)
    upright = unit(upright - (upright @ toward) * toward)
    off = (points - iris_m) * 1000
    scale = distance / (distance - off @ toward / 1000)
    return off @ np.cross(upright, toward) * scale, off @ upright * scale


def _clock(right: float, high: float) -> float:
    """Return the hours of a direction on a clock face, above 0 to 12."""
    hours = math.degrees(math.atan2(right, high)) / 30 % 12
    return hours or 12.0


def _require_iris(iris_mm: float) -> None:
    """Raise RangeError unless the iris can be a circle of the cornea's sphere."""
    require_positive(iris_mm, what="the diameter of an iris", unit="mm")
    if not iris_mm < 2 * CORNEA_RADIUS_MM:
        allowed = f"less than {2 * CORNEA_RADIUS_MM:g} mm"
        raise RangeError(
            Fault("cannot be the diameter of an iris", allowed=allowed, given=f"{iris_mm:g} mm")
        )
