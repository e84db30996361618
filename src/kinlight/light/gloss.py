"""How a glossy sheet mirrors light in a lobe: the reflection of many tiny tilted mirrors.

Directions are unit vectors away from the sheet. The lobe alone sends back all the light it gets but
for what its facets hide from each other; a coat weighs it with its matt part.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.light.world import Coat

ROUGHEST, SMOOTHEST = 1.0, 0.05
"""Bounds of the roughness [-]; ours: below them a lobe slips between the tiles of a sheet."""
_TILTS, _ROUND = 96, 64  # points of the albedo's quadrature
_COSINES = 24
_TINY = 1e-12  # below this length, two directions are opposite


def facet_density(cosine: ArrayLike, *, roughness: ArrayLike) -> Array:
    """Return how many facets tilt so, by solid angle [1/sr].

    Parameters
    ----------
    cosine : of the tilt against the sheet's normal [-].
    roughness : alpha, 0.05 to 1 [-].

    Raises
    ------
    RangeError
        If the roughness is outside its bounds.

    Notes
    -----
    Trowbridge-Reitz, called GGX in [walter2007]: D = a^2 / (pi (1 - (1 - a^2) cos^2)^2). The area
    the facets cover, the integral of D cos over the hemisphere, is 1.
    """
    a2 = _checked(roughness) ** 2
    c = np.asarray(cosine, dtype=np.float64)
    return np.asarray(np.where(c > 0, a2 / (np.pi * (1 - (1 - a2) * c**2) ** 2), 0.0))


def masking(cosine: ArrayLike, *, roughness: ArrayLike) -> Array:
    """Return the share of the facets seen from a direction that no other facet hides [-].

    Parameters
    ----------
    cosine : of the direction against the sheet's normal [-]; from behind it is none.
    roughness : alpha, 0.05 to 1 [-].

    Raises
    ------
    RangeError
        If the roughness is outside its bounds.

    Notes
    -----
    Smith's G1 for GGX [walter2007]: 2 / (1 + sqrt(1 + a^2 tan^2)).
    """
    c = np.clip(np.asarray(cosine, dtype=np.float64), 0.0, 1.0)
    return np.asarray(c * _masking_over_cosine(c, _checked(roughness)))


def _masking_over_cosine(c: Array, alpha: Array) -> Array:
    """Return G1 / cos, which stays finite at grazing."""
    return np.asarray(2 / (c + np.sqrt(c**2 + alpha**2 * (1 - c**2))))


def gloss_brdf(
    normal: ArrayLike, toward_light: ArrayLike, toward_eye: ArrayLike, *, roughness: ArrayLike
) -> Array:
    """Return the lobe's luminance for an illuminance of one by a light in one direction [1/sr].

    Parameters
    ----------
    normal, toward_light, toward_eye : unit vectors, shapes (..., 3) that broadcast [-].
    roughness : alpha, 0.05 to 1, shape (...) [-].

    Raises
    ------
    RangeError
        If the roughness is outside its bounds.

    Notes
    -----
    Half-vector reflection of [walter2007] without Fresnel's factor, D G1(light) G1(eye) /
    (4 cos cos): a cloth's reflectance is stated for all angles together and multiplies this. Light
    that meets a second facet is left out, see `lobe_albedo`. Zero from behind the sheet.
    """
    alpha = _checked(roughness)
    light, eye = _float(toward_light), _float(toward_eye)
    facing = _float(normal)
    to_light, to_eye = _dot(facing, light), _dot(facing, eye)
    half = light + eye
    length = np.maximum(np.linalg.norm(half, axis=-1), _TINY)
    tilt = np.clip(_dot(facing, half) / length, 0.0, 1.0)
    seen = (to_light > 0) & (to_eye > 0)
    hidden = _masking_over_cosine(np.clip(to_light, 0.0, 1.0), alpha) * _masking_over_cosine(
        np.clip(to_eye, 0.0, 1.0), alpha
    )
    return np.asarray(np.where(seen, facet_density(tilt, roughness=alpha) * hidden / 4, 0.0))


def coat_brdf(
    coat: Coat, normal: ArrayLike, toward_light: ArrayLike, toward_eye: ArrayLike
) -> Array:
    """Return the luminance of a coat for an illuminance of one by a light in one direction [1/sr].

    Parameters
    ----------
    coat : its reflectance, share of gloss and roughness.
    normal, toward_light, toward_eye : unit vectors, shapes (..., 3) that broadcast [-].

    Notes
    -----
    reflectance x ((1 - gloss) / pi + gloss x lobe). What the lobe loses between its facets is not
    made up for: a rough glossy coat sends back a little less than its reflectance.
    """
    facing = _float(normal)
    seen = (_dot(facing, _float(toward_light)) > 0) & (_dot(facing, _float(toward_eye)) > 0)
    matt = np.where(seen, (1 - coat.gloss) / np.pi, 0.0)
    if coat.gloss == 0:
        return np.asarray(coat.reflectance * matt)
    lobe = gloss_brdf(normal, toward_light, toward_eye, roughness=coat.roughness)
    return np.asarray(coat.reflectance * (matt + coat.gloss * lobe))


def lobe_albedo(cosine: ArrayLike, *, roughness: float) -> Array:
    """Return the share of the light from one direction that the lobe sends back [-].

    Parameters
    ----------
    cosine : of the direction against the sheet's normal, 0 to 1, shape (...) [-]; 0 is the limit.
    roughness : alpha, 0.05 to 1 [-].

    Raises
    ------
    RangeError
        If a cosine or the roughness is outside its bounds.

    Notes
    -----
    The integral of `gloss_brdf` times the cosine over the hemisphere, below 1 because light that
    meets a second facet is left out: little on a smooth sheet, much on a rough one. Good to 0.0005:
    summed over the facets by Gauss-Legendre in s, where cos(tilt) = s / sqrt(a^2 + (1 - a^2) s^2)
    spreads the points as D does, and evenly around.
    """
    alpha = _checked(roughness)
    c = _float(cosine)
    if not np.all((c >= 0) & (c <= 1)):
        raise RangeError(Fault("cannot be the cosine of a direction before a sheet", "", "0 to 1"))
    s, weight = _unit_gauss(_TILTS)
    spread = np.sqrt(alpha**2 + (1 - alpha**2) * s**2)
    up, across = (s / spread)[:, None], (alpha * np.sqrt(1 - s**2) / spread)[:, None]
    around = np.cos(np.pi * (np.arange(_ROUND) + 0.5) / _ROUND)
    c_eye = c[..., None, None]
    on_facet = np.maximum(c_eye * up + np.sqrt(1 - c_eye**2) * across * around, 0.0)
    c_light = np.clip(2 * on_facet * up - c_eye, 0.0, 1.0)
    kept = on_facet * masking(c_light, roughness=alpha)
    return np.asarray(_masking_over_cosine(c, alpha) * (kept.mean(axis=-1) @ (2 * weight * spread)))


def mean_lobe_albedo(*, roughness: float) -> float:
    """Return the share that the lobe sends back of light from everywhere alike [-].

    Raises
    ------
    RangeError
        If the roughness is outside its bounds.

    Notes
    -----
    Twice the integral of `lobe_albedo` times the cosine, by Gauss-Legendre.
    """
    c, weight = _unit_gauss(_COSINES)
    return float(2 * (weight * c) @ lobe_albedo(c, roughness=roughness))


def _unit_gauss(count: int) -> tuple[Array, Array]:
    """Return the points and weights of Gauss-Legendre on 0 to 1."""
    x, w = np.polynomial.legendre.leggauss(count)
    return np.asarray((x + 1) / 2), np.asarray(w / 2)


def _float(values: ArrayLike) -> Array:
    return np.asarray(values, dtype=np.float64)


def _dot(a: Array, b: Array) -> Array:
    return np.asarray((a * b).sum(axis=-1))


def _checked(roughness: ArrayLike) -> Array:
    """Return the roughness, if it is inside its bounds."""
    alpha = _float(roughness)
    outside = alpha[~((alpha >= SMOOTHEST) & (alpha <= ROUGHEST))]
    if outside.size:
        raise RangeError(
            Fault(
                "cannot be the roughness of a sheet",
                allowed=f"{SMOOTHEST:g} (nearly a mirror) to {ROUGHEST:g} (nearly matt)",
                given=f"{outside.flat[0]:g}",
            )
        )
    return alpha
