"""How sharp a print must be, and depth against diffraction."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.optics.checks import require_positive
from kinlight.optics.depth import SharpRange, defocus_blur_mm, depth_limits
from kinlight.optics.lens import magnification
from kinlight.optics.tables import constant
from kinlight.quantities.lengths import METRES_PER_INCH
from kinlight.quantities.stops import exact_f_number

NEAREST_VIEWING_M = constant("nearest_viewing_m")
ACUITY_ARCMIN = constant("acuity_arcmin")
WAVELENGTH_NM = constant("wavelength_nm")
COC_LOOSE_MM = constant("coc_loose_mm")
COC_STRICT_MM = constant("coc_strict_mm")
_HAIR_STOPS = 0.05  # an end of the lens's range this near a marked stop is that stop


def viewing_distance_m(*, print_width_m: float, print_height_m: float) -> float:
    """Return how far off a print is looked at: its diagonal, but no nearer than 250 mm [m]."""
    require_positive(print_width_m=print_width_m, print_height_m=print_height_m)
    return max(NEAREST_VIEWING_M, math.hypot(print_width_m, print_height_m))


def resolved_mm(*, viewing_distance_m: float, acuity_arcmin: float = ACUITY_ARCMIN) -> float:
    """Return the smallest size told apart at a distance, D tan(angle) [mm].

    `acuity_arcmin` 1 is acuity 1.0, the gap of the standard ring [iso8596].
    """
    require_positive(viewing_distance_m=viewing_distance_m, acuity_arcmin=acuity_arcmin)
    return viewing_distance_m * 1000 * math.tan(math.radians(acuity_arcmin / 60))


def ppi_resolved(*, viewing_distance_m: float, acuity_arcmin: float = ACUITY_ARCMIN) -> float:
    """Return the pixels per inch beyond which a viewer sees no more [1/in]."""
    size = resolved_mm(viewing_distance_m=viewing_distance_m, acuity_arcmin=acuity_arcmin)
    return METRES_PER_INCH * 1000 / size


def coc_for_viewing_mm(
    *, viewing_distance_m: float, enlargement: float, acuity_arcmin: float = ACUITY_ARCMIN
) -> float:
    """Return the blur on the sensor that is just not seen in a print [mm].

    Parameters
    ----------
    enlargement : length on the print over length on the sensor [-].

    Notes
    -----
    c = D tan(angle) / enlargement.
    """
    require_positive(enlargement=enlargement)
    size = resolved_mm(viewing_distance_m=viewing_distance_m, acuity_arcmin=acuity_arcmin)
    return size / enlargement


def coc_for_print_mm(
    *,
    print_width_m: float,
    print_height_m: float,
    crop_width_mm: float,
    crop_height_mm: float,
    acuity_arcmin: float = ACUITY_ARCMIN,
) -> float:
    """Return the circle of confusion for one size sold: the blur just not seen in it [mm].

    Parameters
    ----------
    print_width_m, print_height_m : the print [m].
    crop_width_mm, crop_height_mm : the part of the sensor it is made from, the same way up [mm].
    acuity_arcmin : the angle told apart; 1 strict, 2 usual, 3 lenient [arcmin].

    Notes
    -----
    The print is seen from max(250 mm, its diagonal), see `viewing_distance_m`. A crop of another
    shape than the print is taken to be enlarged until it fills it.
    """
    require_positive(crop_width_mm=crop_width_mm, crop_height_mm=crop_height_mm)
    distance = viewing_distance_m(print_width_m=print_width_m, print_height_m=print_height_m)
    enlargement = max(print_width_m / crop_width_mm, print_height_m / crop_height_mm) * 1000
    return coc_for_viewing_mm(
        viewing_distance_m=distance, enlargement=enlargement, acuity_arcmin=acuity_arcmin
    )


def working_coc_mm(cocs_mm: Iterable[float], *, pixel_pitch_mm: float) -> float:
    """Return the circle of confusion to plan with: the smallest, but not below two pixels [mm].

    Parameters
    ----------
    cocs_mm : one for each size wanted, or a customary one (`COC_LOOSE_MM`, `COC_STRICT_MM`) [mm].
    pixel_pitch_mm : centre to centre of the sensor's pixels [mm].

    Raises
    ------
    RangeError
        If no circle of confusion is given.
    """
    cocs = list(cocs_mm)
    if not cocs:
        raise RangeError(
            Fault("no print size is given to be sharp for", remedy="name a size, or state the blur")
        )
    require_positive(pixel_pitch_mm=pixel_pitch_mm, blur_mm=min(cocs))
    return max(min(cocs), constant("least_coc_pixels") * pixel_pitch_mm)


def airy_diameter_mm(
    *,
    f_number: float,
    magnification: float = 0.0,
    pupil_ratio: float = 1.0,
    wavelength_nm: float = WAVELENGTH_NM,
) -> float:
    """Return the diameter of the diffraction disk on the sensor, to its first dark ring [mm].

    Parameters
    ----------
    f_number : exact [-].
    magnification : image over object in the plane of focus; 0 is far away [-].
    pupil_ratio : exit pupil over entrance pupil [-].

    Notes
    -----
    2.44 lambda N (1 + m/P).
    """
    require_positive(f_number=f_number, pupil_ratio=pupil_ratio, wavelength_nm=wavelength_nm)
    effective = f_number * (1 + magnification / pupil_ratio)
    return constant("airy_factor") * wavelength_nm * 1e-6 * effective


def combined_blur_mm(defocus_mm: ArrayLike, *, airy_mm: float) -> Array:
    """Return defocus and diffraction together, sqrt(defocus^2 + Airy^2) [mm].

    An approximation: the two disks are added as if they were spreads.
    """
    return np.hypot(np.asarray(defocus_mm, dtype=np.float64), airy_mm)


def sharp_limits(
    *,
    focal_length_mm: float,
    f_number: float,
    blur_mm: float,
    focus_m: float,
    pupil_ratio: float = 1.0,
    wavelength_nm: float = WAVELENGTH_NM,
) -> SharpRange:
    """Return the distances between which defocus and diffraction together stay within `blur_mm`.

    Where diffraction alone is larger than the blur allowed nothing is sharp: the range is then
    `empty`, with both limits at the focus.

    Parameters
    ----------
    f_number : exact [-].
    blur_mm : the largest blur allowed on the sensor, a diameter [mm].
    focus_m : from the front principal plane, as are the limits [m].
    pupil_ratio : exit pupil over entrance pupil [-].

    Notes
    -----
    defocus^2 + Airy^2 <= c^2. The Airy disk is that of the plane of focus.
    """
    require_positive(blur_mm=blur_mm)
    airy = airy_diameter_mm(
        f_number=f_number,
        magnification=magnification(focal_length_mm=focal_length_mm, focus_m=focus_m),
        pupil_ratio=pupil_ratio,
        wavelength_nm=wavelength_nm,
    )
    if airy >= blur_mm:
        return SharpRange(focus_m=focus_m, near_m=focus_m, far_m=focus_m, empty=airy > blur_mm)
    return depth_limits(
        focal_length_mm=focal_length_mm,
        f_number=f_number,
        blur_mm=math.sqrt((blur_mm - airy) * (blur_mm + airy)),
        focus_m=focus_m,
        pupil_ratio=pupil_ratio,
    )


def third_stops(*, widest: float, narrowest: float) -> list[float]:
    """Return the exact f-numbers of the third-stop marks within a lens's range [-].

    The ends may be given as engraved (2.8) or exact (2.828). If no mark lies within, the widest
    itself is returned.
    """
    wide, narrow = exact_f_number(widest), exact_f_number(narrowest)
    if not 0 < wide <= narrow or not math.isfinite(narrow):
        raise RangeError(
            Fault(
                "does not run from the widest f-number to the narrowest",
                given=f"f/{widest:g} to f/{narrowest:g}",
            )
        )
    first = math.ceil((2 * math.log2(wide) - _HAIR_STOPS) * 3)
    last = math.floor((2 * math.log2(narrow) + _HAIR_STOPS) * 3)
    return [2 ** (k / 6) for k in range(first, last + 1)] or [wide]


@dataclass(frozen=True)
class BestFNumber:
    """The f-number (exact, one of the marked third stops) with the least worst blur [mm]."""

    f_number: float
    worst_blur_mm: float


def best_f_number(
    distances_m: ArrayLike,
    *,
    focus_m: float,
    focal_length_mm: float,
    widest: float,
    narrowest: float,
    pupil_ratio: float = 1.0,
    wavelength_nm: float = WAVELENGTH_NM,
) -> BestFNumber:
    """Return the marked f-number that makes the least sharp of some distances sharpest.

    Stopping down gains depth and costs diffraction; between equals the wider is returned.

    Parameters
    ----------
    distances_m : from the front principal plane, any shape [m].
    focus_m : the stated focus, from the front principal plane [m].
    widest, narrowest : the lens's range, as engraved or exact [-].
    pupil_ratio : exit pupil over entrance pupil [-].
    """
    m = magnification(focal_length_mm=focal_length_mm, focus_m=focus_m)

    def worst_mm(f_number: float) -> float:
        defocus = defocus_blur_mm(
            distances_m,
            focal_length_mm=focal_length_mm,
            f_number=f_number,
            focus_m=focus_m,
            pupil_ratio=pupil_ratio,
        )
        airy = airy_diameter_mm(
            f_number=f_number,
            magnification=m,
            pupil_ratio=pupil_ratio,
            wavelength_nm=wavelength_nm,
        )
        return float(np.max(combined_blur_mm(defocus, airy_mm=airy)))

    marks = third_stops(widest=widest, narrowest=narrowest)
    worst, best = min((worst_mm(mark), mark) for mark in marks)
    return BestFNumber(f_number=best, worst_blur_mm=worst)
