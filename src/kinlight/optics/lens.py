"""What a thin lens does: magnification, field, pupil, and where distances are measured from.

The lens is thin: its front and rear principal planes coincide. A real lens's lie up to a few
centimetres apart, which moves distances measured from the film plane by as much. What counts in
front, framing and depth, may be refined with a pupil ratio P = exit pupil / entrance pupil.
"""

from __future__ import annotations

import math

from kinlight.errors import Fault, RangeError
from kinlight.optics.checks import require_beyond, require_positive


def magnification(*, focal_length_mm: float, focus_m: float) -> float:
    """Return the image's size over the object's in the plane of focus [-].

    Parameters
    ----------
    focus_m : from the front principal plane [m].

    Raises
    ------
    RangeError
        If the focus is not beyond the focal length.

    Notes
    -----
    m = f / (u - f), for any pupil ratio.
    """
    require_positive(focal_length_mm=focal_length_mm)
    require_beyond(focus_m=focus_m, least_m=focal_length_mm / 1000)
    return focal_length_mm / (focus_m * 1000 - focal_length_mm)


def focus_for_magnification_m(*, focal_length_mm: float, magnification: float) -> float:
    """Return the distance from the front principal plane that gives a magnification [m].

    Notes
    -----
    u = f (1 + 1/m).
    """
    require_positive(focal_length_mm=focal_length_mm, magnification=magnification)
    return focal_length_mm * (1 + 1 / magnification) / 1000


def image_distance_mm(*, focal_length_mm: float, focus_m: float) -> float:
    """Return how far behind the rear principal plane the image lies [mm].

    Parameters
    ----------
    focus_m : from the front principal plane [m].

    Notes
    -----
    v = f (1 + m).
    """
    return focal_length_mm * (1 + magnification(focal_length_mm=focal_length_mm, focus_m=focus_m))


def field_size_m(*, sensor_mm: float, focal_length_mm: float, focus_m: float) -> float:
    """Return what one side of the sensor covers in the plane of focus [m].

    Parameters
    ----------
    sensor_mm : that side of the sensor, or of the part used [mm].
    focus_m : from the front principal plane [m].
    """
    require_positive(sensor_mm=sensor_mm)
    return sensor_mm / magnification(focal_length_mm=focal_length_mm, focus_m=focus_m) / 1000


def entrance_pupil_offset_m(*, focal_length_mm: float, pupil_ratio: float) -> float:
    """Return how far the entrance pupil lies in front of the front principal plane [m].

    Negative is behind it.

    Parameters
    ----------
    pupil_ratio : exit pupil over entrance pupil [-]; 1 puts both at the principal planes.

    Notes
    -----
    f (1 - 1/P), since the exit pupil is the lens's own image of the entrance pupil, P times as
    large.
    """
    require_positive(focal_length_mm=focal_length_mm, pupil_ratio=pupil_ratio)
    return focal_length_mm * (1 - 1 / pupil_ratio) / 1000


def pupil_to_focus_m(*, focal_length_mm: float, focus_m: float, pupil_ratio: float) -> float:
    """Return the distance from the entrance pupil to the plane of focus [m].

    Parameters
    ----------
    focus_m : from the front principal plane [m].
    pupil_ratio : exit pupil over entrance pupil [-].

    Notes
    -----
    s = f (1/m + 1/P) = u - f (1 - 1/P).
    """
    require_beyond(focus_m=focus_m, least_m=focal_length_mm / 1000)
    return focus_m - entrance_pupil_offset_m(
        focal_length_mm=focal_length_mm, pupil_ratio=pupil_ratio
    )


def hyperfocal_m(*, focal_length_mm: float, f_number: float, blur_mm: float) -> float:
    """Return the nearest focus that keeps infinity within a blur, from the principal plane [m].

    Parameters
    ----------
    f_number : exact [-].
    blur_mm : the blur allowed on the sensor, a diameter [mm].

    Notes
    -----
    H = f^2 / (N c) + f; exact for pupil ratio 1. Older texts leave out the last f [barnet-book].
    """
    require_positive(focal_length_mm=focal_length_mm, f_number=f_number, blur_mm=blur_mm)
    return (focal_length_mm**2 / (f_number * blur_mm) + focal_length_mm) / 1000


def to_film_plane_m(*, focus_m: float, focal_length_mm: float) -> float:
    """Return a focus distance as measured from the film plane, as lenses are engraved [m].

    Parameters
    ----------
    focus_m : from the front principal plane [m].

    Notes
    -----
    D = u + v. Thin lens: the principal planes coincide; those of a real lens may lie some
    centimetres apart, and D is wrong by that much.
    """
    return focus_m + image_distance_mm(focal_length_mm=focal_length_mm, focus_m=focus_m) / 1000


def from_film_plane_m(*, film_distance_m: float, focal_length_mm: float) -> float:
    """Return the distance from the front principal plane for one taped from the film plane [m].

    Parameters
    ----------
    film_distance_m : from the film plane to the plane of focus [m].

    Raises
    ------
    RangeError
        If it is less than four focal lengths: no lens forms an image that near.

    Notes
    -----
    The larger root of D = u + v, that is with u >= 2f (images no larger than life). Thin lens, as
    in `to_film_plane_m`.
    """
    require_positive(film_distance_m=film_distance_m, focal_length_mm=focal_length_mm)
    f = focal_length_mm / 1000
    if film_distance_m < 4 * f:
        raise RangeError(
            Fault(
                "from the film plane is too short for this focal length",
                allowed=f"{4 * f:.3g} m or more (four focal lengths)",
                given=f"{film_distance_m:.3g} m",
            )
        )
    return (film_distance_m + math.sqrt(film_distance_m * (film_distance_m - 4 * f))) / 2
