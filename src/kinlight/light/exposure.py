"""The exposure scale: lux seconds, f-numbers and how bright a picture comes out.

F-numbers are exact ones (f/5.6 is 5.657). Light, f-numbers and times may be arrays.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from kinlight.geometry.vectors import Array
from kinlight.light.checks import require_not_negative, require_positive
from kinlight.light.tables import constant

C_FLAT = constant("meter_c_flat").value
C_DOME = constant("meter_c_dome").value
K = constant("meter_k").value
_SATURATION = constant("sensor_saturation").value
_MIDDLE = constant("sensor_middle").value


def exposure_for_lxs(f_number: ArrayLike, *, iso: float, c: float = C_FLAT) -> Array:
    """Return the light at the subject for which a hand meter shows an f-number [lx.s].

    Parameters
    ----------
    f_number : exact f-number [-].
    iso : speed set on camera and meter, ISO [-].
    c : the meter's constant, 250 with a flat receptor, 330 with a dome [lx.s].

    Raises
    ------
    RangeError
        If a figure is not above zero.

    Notes
    -----
    H = C N^2 / S, that is N^2/t = E S / C of [iso2720] with the flash's H in place of E t.

    Examples
    --------
    >>> float(exposure_for_lxs(8, iso=100))
    160.0
    """
    require_positive(f_number, what="the f-number")
    _require_scale(iso, c)
    n = np.asarray(f_number, dtype=np.float64)
    return np.asarray(c * n**2 / iso)


def f_number_for(exposure_lxs: ArrayLike, *, iso: float, c: float = C_FLAT) -> Array:
    """Return the f-number a hand meter shows for light at the subject [-]; 0 for none.

    The inverse of `exposure_for_lxs`, N = sqrt(H S / C).
    """
    require_not_negative(exposure_lxs, what="the exposure", unit="lx s")
    _require_scale(iso, c)
    return np.asarray(np.sqrt(np.asarray(exposure_lxs, dtype=np.float64) * iso / c))


def illuminance_for_lx(
    f_number: ArrayLike, *, time_s: float, iso: float, c: float = C_FLAT
) -> Array:
    """Return the steady light at the subject for a plain exposure, E = C N^2 / (S t) [lx]."""
    require_positive(time_s, what="the shutter time", unit="s")
    return exposure_for_lxs(f_number, iso=iso, c=c) / time_s


def luminance_for_cd_m2(f_number: ArrayLike, *, time_s: float, iso: float, k: float = K) -> Array:
    """Return the subject luminance a reflected-light meter calls plain, L = K N^2 / (S t) [cd/m2].

    `k` is the reflected-light constant of [iso2720], 12.5 or 14 in use [cd.s/m2].
    """
    return illuminance_for_lx(f_number, time_s=time_s, iso=iso, c=k)


def exposure_value(f_number: ArrayLike, *, time_s: ArrayLike) -> Array:
    """Return the exposure value of a camera setting, EV = log2(N^2 / t) [stop]."""
    require_positive(f_number, what="the f-number")
    require_positive(time_s, what="the shutter time", unit="s")
    n, t = np.asarray(f_number, dtype=np.float64), np.asarray(time_s, dtype=np.float64)
    return np.asarray(np.log2(n**2 / t))


def exposure_value_iso100(illuminance_lx: ArrayLike, *, c: float = C_FLAT) -> Array:
    """Return the exposure value at ISO 100 of steady light, log2(100 E / C) [stop]."""
    require_positive(illuminance_lx, what="the illuminance", unit="lx")
    require_positive(c, what="the meter constant")
    return np.asarray(np.log2(100 * np.asarray(illuminance_lx, dtype=np.float64) / c))


def equivalent_reflectance(*, k: float = K, c: float = C_FLAT) -> float:
    """Return the reflectance for which both kinds of meter agree, pi K / C [-]."""
    require_positive(k, what="the reflected-light constant")
    require_positive(c, what="the meter constant")
    return math.pi * k / c


def rendered_linear(
    reflectance: ArrayLike, exposure_lxs: ArrayLike, *, f_number: float, iso: float
) -> Array:
    """Return the linear tone at which a matt patch comes out, 1 for a full white [-].

    Parameters
    ----------
    reflectance : the patch's luminous reflectance [-].
    exposure_lxs : light on the patch, flat receptor along its normal [lx.s].
    f_number, iso : the camera's setting [-].

    Notes
    -----
    Camera and meter share one scale: a patch whose own flat reading is the working f-number
    comes out at its own reflectance; others in proportion to their light. The scale is the flat
    receptor's with C = 250, whichever constant the hand meter has.
    """
    require_not_negative(reflectance, what="the reflectance")
    require_not_negative(exposure_lxs, what="the exposure", unit="lx s")
    h = np.asarray(exposure_lxs, dtype=np.float64)
    return np.asarray(reflectance, dtype=np.float64) * h / exposure_for_lxs(f_number, iso=iso)


def srgb_code(linear: ArrayLike) -> Array:
    """Return the 8-bit sRGB code of a linear tone, not rounded; tones beyond 0 to 1 are clipped.

    The curve is that of [iec61966-2-1].
    """
    x = np.clip(np.asarray(linear, dtype=np.float64), 0.0, 1.0)
    return np.asarray(255 * np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055))


def focal_saturation_lxs(iso: float) -> float:
    """Return the focal-plane exposure at which a sensor of that speed clips, 78 / S [lx.s]."""
    require_positive(iso, what="the ISO speed")
    return _SATURATION / iso


def focal_middle_lxs(iso: float) -> float:
    """Return the focal-plane exposure of a middle tone at that speed, 10 / S [lx.s]."""
    require_positive(iso, what="the ISO speed")
    return _MIDDLE / iso


def total_exposure_lxs(flash_lxs: ArrayLike, *, ambient_lx: ArrayLike, time_s: float) -> Array:
    """Return flash and steady light together over an open shutter, H + E t [lx.s]."""
    require_not_negative(flash_lxs, what="the light of the flash", unit="lx s")
    return np.asarray(flash_lxs, dtype=np.float64) + _ambient_lxs(ambient_lx, time_s)


def flash_over_ambient_stops(
    flash_lxs: ArrayLike, *, ambient_lx: ArrayLike, time_s: float
) -> Array:
    """Return how far the steady light lies under the flash, log2(H / (E t)) [stop].

    Infinite where there is no steady light, minus infinite where there is no flash, nan where
    there is neither.
    """
    require_not_negative(flash_lxs, what="the light of the flash", unit="lx s")
    with np.errstate(divide="ignore"):
        over: Array = np.log2(np.asarray(flash_lxs, dtype=np.float64))
        under: Array = np.log2(_ambient_lxs(ambient_lx, time_s))
    dark = np.isneginf(over) & np.isneginf(under)
    return np.asarray(np.where(dark, np.nan, over - np.where(dark, 0.0, under)))


def _ambient_lxs(ambient_lx: ArrayLike, time_s: float) -> Array:
    """Return what steady light leaves during the shutter time [lx.s]."""
    require_not_negative(ambient_lx, what="the steady light", unit="lx")
    require_positive(time_s, what="the shutter time", unit="s")
    return np.asarray(np.asarray(ambient_lx, dtype=np.float64) * time_s)


def _require_scale(iso: float, c: float) -> None:
    require_positive(iso, what="the ISO speed")
    require_positive(c, what="the meter constant")
