"""How far before and behind the focus things stay sharp, and the f-number that takes.

All distances run from the front principal plane; f-numbers are exact ones. Formulas are derived
from the cone of rays through the entrance pupil and hold for any pupil ratio; with pupil ratio 1
they are the usual thin-lens ones. [smith-moe] eqs 9.9 and 9.10 give the same limits to within the
blur over the aperture (0.03 % at f/8).
"""

# Symbols: f focal length, N f-number, c blur, u focus, m magnification, P pupil ratio,
# s and s_p distances of an object and of the focus from the entrance pupil.

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.optics.checks import require_positive
from kinlight.optics.lens import (
    entrance_pupil_offset_m,
    focus_for_magnification_m,
    magnification,
    pupil_to_focus_m,
)


@dataclass(frozen=True)
class SharpRange:
    """From where to where things are sharp, from the front principal plane [m].

    `far_m` may be inf. If `empty`, nothing is sharp, not even at the focus, and both limits equal
    the focus.
    """

    focus_m: float
    near_m: float
    far_m: float
    empty: bool = False

    @property
    def before_m(self) -> float:
        """How far before the focus things are sharp [m]."""
        return self.focus_m - self.near_m

    @property
    def behind_m(self) -> float:
        """How far behind the focus things are sharp [m]; may be inf."""
        return self.far_m - self.focus_m

    @property
    def total_m(self) -> float:
        """The whole depth [m]; may be inf."""
        return self.far_m - self.near_m

    def holds(self, distances_m: ArrayLike) -> bool:
        """Return whether every one of the distances is sharp."""
        d = np.asarray(distances_m, dtype=np.float64)
        return not self.empty and bool(np.all((self.near_m <= d) & (d <= self.far_m)))


def depth_limits(
    *,
    focal_length_mm: float,
    f_number: float,
    blur_mm: float,
    focus_m: float,
    pupil_ratio: float = 1.0,
) -> SharpRange:
    """Return the distances between which the defocus blur stays within `blur_mm`.

    Parameters
    ----------
    f_number : exact [-].
    blur_mm : the largest blur allowed on the sensor, a diameter [mm].
    focus_m : from the front principal plane, as are the limits [m].
    pupil_ratio : exit pupil over entrance pupil [-].

    Notes
    -----
    near, far = s_p / (1 +- k) from the entrance pupil, k = N c / (m f); far is inf for k >= 1.
    With P = 1: u f^2 / (f^2 +- N c (u - f)). Diffraction is left out; see
    `kinlight.optics.sharpness.sharp_limits`.
    """
    require_positive(f_number=f_number, blur_mm=blur_mm)
    m = magnification(focal_length_mm=focal_length_mm, focus_m=focus_m)
    s_p = pupil_to_focus_m(
        focal_length_mm=focal_length_mm, focus_m=focus_m, pupil_ratio=pupil_ratio
    )
    k = f_number * blur_mm / (m * focal_length_mm)
    offset = focus_m - s_p
    far = offset + s_p / (1 - k) if k < 1 else math.inf
    return SharpRange(focus_m=focus_m, near_m=offset + s_p / (1 + k), far_m=far)


def total_depth_m(
    *,
    focal_length_mm: float,
    f_number: float,
    blur_mm: float,
    magnification: float,
    pupil_ratio: float = 1.0,
) -> float:
    """Return the whole depth that is sharp at a magnification [m]; may be inf.

    Parameters
    ----------
    f_number : exact [-].
    blur_mm : the largest blur allowed on the sensor, a diameter [mm].
    magnification : image over object in the plane of focus [-].
    pupil_ratio : exit pupil over entrance pupil [-].

    Notes
    -----
    2 N c (1 + m/P) / (m^2 - (N c / f)^2), reached here as far less near.
    """
    focus_m = focus_for_magnification_m(
        focal_length_mm=focal_length_mm, magnification=magnification
    )
    return depth_limits(
        focal_length_mm=focal_length_mm,
        f_number=f_number,
        blur_mm=blur_mm,
        focus_m=focus_m,
        pupil_ratio=pupil_ratio,
    ).total_m


def defocus_blur_mm(
    distances_m: ArrayLike,
    *,
    focal_length_mm: float,
    f_number: float,
    focus_m: float,
    pupil_ratio: float = 1.0,
) -> Array:
    """Return the diameter of the blur on the sensor for objects at any distance [mm].

    Parameters
    ----------
    distances_m : from the front principal plane, along the lens axis, any shape; inf allowed [m].
    f_number : exact [-].
    focus_m : from the front principal plane [m].
    pupil_ratio : exit pupil over entrance pupil [-].

    Returns
    -------
    Array of the shape of `distances_m`.

    Raises
    ------
    RangeError
        If an object is not in front of the entrance pupil.

    Notes
    -----
    (f/N) m |s - s_p| / s; with P = 1, f^2/N |x - u| / (x (u - f)).
    """
    require_positive(f_number=f_number)
    return (
        _blur_times_f_number_mm(
            distances_m, focal_length_mm=focal_length_mm, focus_m=focus_m, pupil_ratio=pupil_ratio
        )
        / f_number
    )


def _blur_times_f_number_mm(
    distances_m: ArrayLike, *, focal_length_mm: float, focus_m: float, pupil_ratio: float
) -> Array:
    """Return the blur at f/1, from which it falls in proportion to the f-number [mm]."""
    m = magnification(focal_length_mm=focal_length_mm, focus_m=focus_m)
    s_p = pupil_to_focus_m(
        focal_length_mm=focal_length_mm, focus_m=focus_m, pupil_ratio=pupil_ratio
    )
    s = np.asarray(distances_m, dtype=np.float64) - (focus_m - s_p)
    if not np.all(s > 0):
        raise RangeError(
            Fault(
                "is not in front of the lens",
                given=f"{float(np.min(s + focus_m - s_p)):.3g} m",
                allowed=f"more than {max(focus_m - s_p, 0.0):.3g} m",
            )
        )
    blur: Array = m * focal_length_mm * np.abs(1 - s_p / s)
    return blur


def focus_for_two_m(
    *, near_m: float, far_m: float, focal_length_mm: float, pupil_ratio: float = 1.0
) -> float:
    """Return the focus at which a near and a far distance are equally unsharp [m].

    Parameters
    ----------
    near_m, far_m : from the front principal plane, as is the result; `far_m` may be inf [m].
    pupil_ratio : exit pupil over entrance pupil [-].

    Notes
    -----
    The harmonic mean of the two, each taken from the entrance pupil: 2 a b / (a + b).
    """
    offset = entrance_pupil_offset_m(focal_length_mm=focal_length_mm, pupil_ratio=pupil_ratio)
    near, far = near_m - offset, far_m - offset
    if not 0 < near <= far or not math.isfinite(near):
        raise RangeError(
            Fault(
                "do not both lie in front of the lens, the nearer one first",
                given=f"{near_m:g} m and {far_m:g} m",
            )
        )
    return offset + 2 * near / (1 + near / far)


def f_number_for_two(
    *,
    near_m: float,
    far_m: float,
    focal_length_mm: float,
    blur_mm: float,
    pupil_ratio: float = 1.0,
) -> float:
    """Return the widest exact f-number that holds two distances, focused between them [-].

    Zero if they are one distance. Focus as `focus_for_two_m` says.

    Notes
    -----
    With P = 1: N = f^2 (b - a) / (c (2 a b - f (a + b))). Diffraction is left out.
    """
    focus_m = focus_for_two_m(
        near_m=near_m, far_m=far_m, focal_length_mm=focal_length_mm, pupil_ratio=pupil_ratio
    )
    return f_number_for(
        [near_m, far_m],
        focus_m=focus_m,
        focal_length_mm=focal_length_mm,
        blur_mm=blur_mm,
        pupil_ratio=pupil_ratio,
    )


def f_number_for(
    distances_m: ArrayLike,
    *,
    focus_m: float,
    focal_length_mm: float,
    blur_mm: float,
    pupil_ratio: float = 1.0,
) -> float:
    """Return the widest exact f-number at which all the distances are sharp [-].

    Zero if all lie in the plane of focus.

    Parameters
    ----------
    distances_m : from the front principal plane, any shape [m].
    focus_m : the stated focus, from the front principal plane [m].
    blur_mm : the largest blur allowed on the sensor, a diameter [mm].
    pupil_ratio : exit pupil over entrance pupil [-].

    Notes
    -----
    The blur falls in proportion to N, so N is the largest blur at f/1 over the one allowed.
    Diffraction is left out.
    """
    require_positive(blur_mm=blur_mm)
    blur = _blur_times_f_number_mm(
        distances_m, focal_length_mm=focal_length_mm, focus_m=focus_m, pupil_ratio=pupil_ratio
    )
    return float(np.max(blur)) / blur_mm
