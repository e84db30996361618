"""The smallest move that takes a light out of spectacles: of the lamp, or of the head."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from kinlight.geometry.people import FacePoints
from kinlight.geometry.vectors import UP, Array
from kinlight.light.emitter import Emitter
from kinlight.light.pattern import head_axes, light_angles
from kinlight.light.spectacles import Spectacles, glare, spectacles_for
from kinlight.quantities.lengths import METRES_PER_INCH, length_text

MOST_RAISE_M = 1.0
"""The farthest a lamp is raised: our choice, for a stand's reach and the light's look [m]."""
MOST_AWAY_DEG = 25
"""The farthest a head is turned, our choice: the face should stay in the picture [deg]."""
MOST_DOWN_DEG = 15
"""The farthest a chin is tipped down, our choice [deg]."""
_STEP = 5  # whole units between the first tries


@dataclass(frozen=True)
class Mends:
    """Moves that end the glare, each alone; None where none within its limit does, 0 without glare.

    Attributes
    ----------
    raise_m : of the lamp, its aim at the face kept, in whole centimetres or whole inches [m].
    away_deg : of the head, away from the lamp, in whole degrees [deg].
    down_deg : of the chin, in whole degrees [deg].
    units : "metric" or "feet", as lengths are said.
    """

    raise_m: float | None
    away_deg: int | None
    down_deg: int | None
    units: str = "metric"

    def sentence(self, lamp: str) -> str:
        """Return the moves in words: "raise the key 12 cm or turn the head 6 degrees away".

        Parameters
        ----------
        lamp : what to call it, "the key".
        """
        if self.raise_m == self.away_deg == self.down_deg == 0:
            return "nothing to move: no light shows in the spectacles"
        ways = []
        if self.raise_m:
            ways.append(f"raise {lamp} {length_text(self.raise_m, units=self.units)}")
        if self.away_deg:
            ways.append(f"turn the head {_degrees(self.away_deg)} away")
        if self.down_deg:
            ways.append(f"tip the chin {_degrees(self.down_deg)} down")
        if ways:
            return " or ".join(ways)
        return f"no small move helps: move {lamp} farther to the side, or take the spectacles off"


def _degrees(count: int) -> str:
    return "1 degree" if count == 1 else f"{count} degrees"


def smallest_mends(
    face: FacePoints,
    camera_m: ArrayLike,
    emitter: Emitter,
    *,
    others: Sequence[Emitter] = (),
    spectacles: Spectacles | None = None,
    units: str = "metric",
) -> Mends:
    """Return the smallest moves that take a light out of both lenses.

    Parameters
    ----------
    face, camera_m, emitter, spectacles : as for `glare`.
    others : other lights; a move of the head counts only if none of these glares after it.
    units : "metric" for whole centimetres, "feet" for whole inches.

    Notes
    -----
    Tried every five centimetres (inches, degrees) and then, from the first of those that helps,
    down to whole ones by halving; what is returned was tried and does help. Limits: 1 m, 25 and 15
    degrees. The head turns about the upright through its middle and tips about the level line
    through the height of the chin. A lamp is turned as far as its way to the face turns, so that
    what it was feathered by stays. Other faces are not looked at.
    """
    worn = spectacles_for(face) if spectacles is None else spectacles
    camera = np.asarray(camera_m, dtype=np.float64)
    unit_m = METRES_PER_INCH if units == "feet" else 0.01
    raised = _first(
        lambda n: _clear(face, camera, [raised_by(emitter, face, n * unit_m)], worn),
        math.floor(MOST_RAISE_M / unit_m + 1e-9),
    )
    lights = [emitter, *others]
    azimuth_deg, _ = light_angles(
        face.eyes_m().mean(axis=0), face.facing, face.up, emitter.centre_m
    )
    away = -1.0 if azimuth_deg > 0 else 1.0
    return Mends(
        None if raised is None else raised * unit_m,
        _first(lambda n: _clear(turned_head(face, away * n), camera, lights, worn), MOST_AWAY_DEG),
        _first(lambda n: _clear(tipped_head(face, n), camera, lights, worn), MOST_DOWN_DEG),
        units,
    )


def _clear(face: FacePoints, camera: Array, lights: Sequence[Emitter], worn: Spectacles) -> bool:
    """Return whether no light shows in either lens."""
    return not any(g.shows for light in lights for g in glare(face, camera, light, spectacles=worn))


def _first(helps: Callable[[int], bool], most: int) -> int | None:
    """Return the least whole number that helps, up to a limit, or None."""
    tries = sorted({*range(0, most + 1, _STEP), most})
    found: int | None = next((n for n in tries if helps(n)), None)
    if found is None:
        return None
    low = max((n for n in tries if n < found), default=0)
    while found - low > 1:
        middle = (low + found) // 2
        low, found = (low, middle) if helps(middle) else (middle, found)
    return found


def raised_by(emitter: Emitter, face: FacePoints, raise_m: float) -> Emitter:
    """Return a light raised, and turned down as far as its way to the face's eyes turns."""
    target, old = face.eyes_m().mean(axis=0), emitter.centre_m
    new = old + raise_m * UP
    turn = _rotation_between(target - old, target - new)
    return replace(emitter, polygon_m=new + (emitter.polygon_m - old) @ turn.T)


def turned_head(face: FacePoints, left_deg: float) -> FacePoints:
    """Return a face turned toward the person's own left about the upright through its middle."""
    return _moved(face, _rotation(UP, math.radians(left_deg)))


def tipped_head(face: FacePoints, down_deg: float) -> FacePoints:
    """Return a face with the chin tipped down about the level line through the neck."""
    left = head_axes(face.facing, face.up)[1]
    return _moved(face, _rotation(left, math.radians(down_deg)))


def _moved(face: FacePoints, turn: Array) -> FacePoints:
    """Return a face turned about the middle of its head at the height of the chin."""
    up = head_axes(face.facing, face.up)[2]
    neck = face.crown_m - ((face.crown_m - face.chin_m) @ up) * up
    points = ("eye_left_m", "eye_right_m", "nose_m", "chin_m", "crown_m")
    cheeks = ("cheek_left_m", "cheek_right_m")
    moved = {name: neck + turn @ (getattr(face, name) - neck) for name in (*points, *cheeks)}
    return FacePoints(**moved, facing=turn @ face.facing, up=turn @ face.up)


def _rotation(axis: Array, angle: float) -> Array:
    """Return the rotation about a unit axis, anticlockwise seen against it; shape (3, 3)."""
    x, y, z = axis
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + math.sin(angle) * k + (1 - math.cos(angle)) * k @ k)


def _rotation_between(start: Array, end: Array) -> Array:
    """Return the smallest rotation that takes one direction to another; shape (3, 3)."""
    axis = np.cross(start, end)
    length = float(np.linalg.norm(axis))
    if length == 0:
        return np.eye(3)
    return _rotation(axis / length, math.atan2(length, float(start @ end)))
