"""Which pattern a light draws on a face: butterfly, loop, Rembrandt, split and what lies between.

Angles count from the nose line, so a pattern turns with the face and not with the camera.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import UP, Array, unit
from kinlight.light.tables import pattern_angles

LOW = ", but low"
"""How the name of a pattern ends whose light stands lower than it asks for."""
_TOUCHING_M = 1e-9


def light_angles(
    face_point_m: ArrayLike, facing: ArrayLike, up: ArrayLike, light_m: ArrayLike
) -> tuple[float, float]:
    """Return where a light stands seen from a face, from the nose line [deg].

    Parameters
    ----------
    face_point_m : a point of the face, the tip of the nose say, shape (3,) [m].
    facing, up : the nose line and the head's own upright, shape (3,), any length [-].
    light_m : the middle of the light, shape (3,) [m].

    Returns
    -------
    The azimuth, -180 to 180, positive toward the person's own left, and the elevation above the
    head's own level, -90 to 90.

    Raises
    ------
    RangeError
        If the light is where the face is.
    """
    away = np.asarray(light_m, dtype=np.float64) - np.asarray(face_point_m, dtype=np.float64)
    if not np.linalg.norm(away) > _TOUCHING_M:
        raise RangeError(Fault("a light stands in a face", remedy="move the light"))
    ahead, left, above = head_axes(facing, up) @ unit(away)
    azimuth_deg = math.degrees(math.atan2(left, ahead))
    return azimuth_deg, math.degrees(math.asin(max(-1.0, min(1.0, above))))


def head_axes(facing: ArrayLike, up: ArrayLike) -> Array:
    """Return the unit vectors out of the face, to the person's own left and up; shape (3, 3) [-].

    `up` need not be square to `facing`: the part of it along the nose line is left out.
    """
    ahead = unit(facing)
    left = unit(np.cross(np.asarray(up, dtype=np.float64), ahead))
    return np.stack([ahead, left, np.cross(ahead, left)])


def pattern_name(azimuth_deg: float, elevation_deg: float) -> str:
    """Return what photographers call the light from a direction.

    Parameters
    ----------
    azimuth_deg, elevation_deg : from the nose line, as `light_angles` gives them [deg].

    Returns
    -------
    "butterfly", "loop", "Rembrandt" or "split"; "between loop and Rembrandt" and the like where two
    overlap or none reaches; any of these with ", but low" or ", but high"; "flat" near the nose
    line and low; "from behind", "from above" or "from below".

    Notes
    -----
    The ranges are those of patterns.toml, of portrait tutorials where they are published. They say
    where the light stands. What shadow falls also depends on the face: look at it.
    """
    limits = pattern_angles("limit")
    aside = abs((azimuth_deg + 180) % 360 - 180)
    if elevation_deg > limits["from above"].value:
        return "from above"
    if elevation_deg < -limits["from below"].value:
        return "from below"
    around = _patterns_at(aside)
    if not around:
        return "from behind"
    heights = pattern_angles("elevation")
    name = around[0] if len(around) == 1 else f"between {around[0]} and {around[1]}"
    if elevation_deg > max(heights[pattern].high for pattern in around):
        return f"{name}, but high"
    if elevation_deg < min(heights[pattern].low for pattern in around):
        return "flat" if aside < limits["flat"].value else f"{name}{LOW}"
    return name


def lowest_deg(azimuth_deg: float) -> float | None:
    """Return the height from which a light so far to the side is no longer low [deg].

    None from behind, where no pattern is. Where two patterns overlap it is the lower of theirs.
    """
    around = _patterns_at(abs((azimuth_deg + 180) % 360 - 180))
    heights = pattern_angles("elevation")
    return min((heights[pattern].low for pattern in around), default=None)


def raise_m(
    face_point_m: ArrayLike,
    facing: ArrayLike,
    up: ArrayLike,
    light_m: ArrayLike,
    *,
    elevation_deg: float,
) -> float:
    """Return how much higher a light must stand, straight up, for an elevation [m].

    Parameters
    ----------
    face_point_m, facing, up, light_m : as for `light_angles`.
    elevation_deg : above the head's own level, 0 to below 90 [deg].

    Returns
    -------
    0 if it stands so high already; inf if no height is enough, as for a head tipped far back.

    Notes
    -----
    With w the way to the light, n the head's own upright and z that of the room, the least h >= 0
    with n . (w + h z) = sin(elevation) |w + h z|: a quadratic equation in h. The way of the aim
    makes no difference.
    """
    away = np.asarray(light_m, dtype=np.float64) - np.asarray(face_point_m, dtype=np.float64)
    above = head_axes(facing, up)[2]
    sine, over, tilt = math.sin(math.radians(elevation_deg)), float(away @ above), float(UP @ above)
    if over >= sine * float(np.linalg.norm(away)):
        return 0.0
    a = tilt**2 - sine**2
    b = over * tilt - sine**2 * float(away @ UP)
    c = over**2 - sine**2 * float(away @ away)
    heights = [] if a == 0 and b == 0 else [-c / (2 * b)] if a == 0 else _roots(a, b, c)
    return min((h for h in heights if h > 0 and over + h * tilt >= 0), default=math.inf)


def _roots(a: float, b: float, c: float) -> list[float]:
    """Return where a h^2 + 2 b h + c is zero."""
    under = b * b - a * c
    if under < 0:
        return []
    return [(-b - math.sqrt(under)) / a, (-b + math.sqrt(under)) / a]


def _patterns_at(aside: float) -> list[str]:
    """Return the pattern, or the two patterns, of a light so far to the side; none from behind."""
    ranges = pattern_angles("azimuth")
    inside = [name for name, r in ranges.items() if r.low <= aside <= r.high]
    if inside:
        return inside
    beyond = [name for name, r in ranges.items() if r.low > aside]
    before = [name for name, r in ranges.items() if r.high < aside]
    return [before[-1], beyond[0]] if beyond else []
