"""The smallest move that takes a light out of spectacles: of the lamp, or of the head."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
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
MOST_ASIDE_DEG = 30
"""The farthest a lamp is swung out round the faces: our choice, for the light's look [deg]."""
MOST_AWAY_DEG = 25
"""The farthest a head is turned, our choice: the face should stay in the picture [deg]."""
MOST_DOWN_DEG = 15
"""The farthest a chin is tipped down, our choice [deg]."""
MOST_ARMS_M = 0.026
"""The farthest the arms of spectacles are lifted off the ears: our choice, two centimetres or an
inch [m]."""
ARM_M = 0.1
"""From a lens to where its arm rests on the ear (from memory)."""
_STEP = 5  # whole units between the first tries
_ROUNDING_M = 1e-9


@dataclass(frozen=True)
class Mends:
    """Moves that end the glare, each alone; None where none within its limit does, 0 without glare.

    Attributes
    ----------
    raise_m : of the lamp, its aim at the faces kept, in whole centimetres or whole inches [m].
    away_deg : of every head, away from the lamp, in whole degrees [deg].
    down_deg : of every chin, in whole degrees [deg].
    units : "metric" or "feet", as lengths are said.
    aside_deg : of the lamp, round the faces and farther from the lens, in whole degrees [deg].
    arms_m : of the spectacles' arms, up off the ears, in whole centimetres or inches [m].
    free_m : how far the lamp can be raised where it stands, up to `MOST_RAISE_M` [m].
    """

    raise_m: float | None
    away_deg: int | None
    down_deg: int | None
    units: str = "metric"
    aside_deg: int | None = None
    arms_m: float | None = None
    free_m: float = math.inf

    @property
    def can_be_raised(self) -> bool:
        """Whether there is room to raise the lamp as far as it takes."""
        return self.raise_m is not None and self.raise_m <= self.free_m + _ROUNDING_M

    def sentence(self, lamp: str) -> str:
        """Return the moves in words: "raise the key 12 cm or tip the chin 6 degrees down".

        A lamp is swung out only where raising it does not do, and a head turned only where neither
        chin nor spectacles do.

        Parameters
        ----------
        lamp : what to call it, "the key".
        """
        if self.raise_m == self.away_deg == self.down_deg == 0:
            return "nothing to move: no light shows in the spectacles"
        ways = [*self._of_lamp(lamp), *self._of_heads(lamp)]
        short = ""
        if self.raise_m and not self.can_be_raised:
            free, needed = (length_text(x, units=self.units) for x in (self.free_m, self.raise_m))
            only = f"only {free} free" if self.free_m > 0 else "nothing free"
            short = f"raising {lamp} would take {needed}, with {only} above it, so "
        if ways:
            return short + " or ".join(ways)
        small = "" if short else "no small move helps: "
        return f"{short}{small}move {lamp} farther to the side, or take the spectacles off"

    def _of_lamp(self, lamp: str) -> Iterator[str]:
        if self.can_be_raised and self.raise_m:
            yield f"raise {lamp} {length_text(self.raise_m, units=self.units)}"
        elif self.aside_deg:
            yield f"swing {lamp} {_degrees(self.aside_deg)} farther out"

    def _of_heads(self, lamp: str) -> Iterator[str]:
        if self.down_deg:
            yield f"tip the chin {_degrees(self.down_deg)} down"
        if self.arms_m:
            yield f"lift the spectacles' arms {length_text(self.arms_m, units=self.units)}"
        if self.away_deg and not (self.down_deg or self.arms_m):
            yield f"turn the head {_degrees(self.away_deg)} away from {lamp}"


def _degrees(count: int) -> str:
    return "1 degree" if count == 1 else f"{count} degrees"


def _anywhere(_: Emitter) -> bool:
    return True


def mends_for_all(
    faces: Sequence[FacePoints],
    camera_m: ArrayLike,
    emitter: Emitter,
    *,
    others: Sequence[Emitter] = (),
    spectacles: Sequence[Spectacles] | None = None,
    fits: Callable[[Emitter], bool] = _anywhere,
    units: str = "metric",
) -> Mends:
    """Return the smallest moves, each the same for everybody, that take a light out of all lenses.

    Parameters
    ----------
    faces : of all who wear spectacles and are to be rid of it, one at least.
    camera_m, emitter : as for `glare`.
    others : other lights; a move of heads or spectacles counts only if none of these shows more
        after it than before.
    spectacles : of each face; common ones by default.
    fits : whether a lamp can stand so, under the ceiling and between the walls.
    units : "metric" for whole centimetres, "feet" for whole inches.

    Notes
    -----
    Tried every five centimetres (inches, degrees) and then, from the first of those that helps,
    down to whole ones by halving; what is returned was tried and does help everybody. Limits: 1 m,
    30, 25 and 15 degrees, 2 cm. The head turns about the upright through its middle and tips about
    the level line through the height of the chin; spectacles tip about the bridge, by the angle
    whose tangent is the lift over the length of an arm. A lamp keeps its distance when it swings
    out, and is turned as far as its way to the middle of the eyes turns, so that what it was
    feathered by stays.
    """
    worn = [spectacles_for(f) for f in faces] if spectacles is None else list(spectacles)
    camera = np.asarray(camera_m, dtype=np.float64)
    unit_m = METRES_PER_INCH if units == "feet" else 0.01
    eyes = np.mean([f.eyes_m().mean(axis=0) for f in faces], axis=0)
    most, out = math.floor(MOST_RAISE_M / unit_m + 1e-9), _out_sign(eyes, camera, emitter)
    before = [_most_share(faces, camera, o, worn) for o in others]

    def helps(faces: Sequence[FacePoints], worn: Sequence[Spectacles]) -> bool:
        return _most_share(faces, camera, emitter, worn) == 0 and all(
            _most_share(faces, camera, o, worn) <= share
            for o, share in zip(others, before, strict=True)
        )

    def swung(n: int) -> Emitter:
        return swung_by(emitter, eyes, out * n)

    def raised(n: int) -> Emitter:
        return raised_by(emitter, eyes, n * unit_m)

    up = _first(lambda n: _most_share(faces, camera, raised(n), worn) == 0, most)
    arms = _first(
        lambda n: helps(faces, [tilted(w, n * unit_m) for w in worn]),
        math.floor(MOST_ARMS_M / unit_m + 1e-9),
    )
    stuck = next((n for n in range(1, most + 1) if not fits(raised(n))), most + 1)
    return Mends(
        raise_m=None if up is None else up * unit_m,
        away_deg=_first(
            lambda n: helps([_turned_away(f, emitter, n) for f in faces], worn),
            MOST_AWAY_DEG,
        ),
        down_deg=_first(
            lambda n: helps([tipped_head(f, n) for f in faces], worn),
            MOST_DOWN_DEG,
        ),
        units=units,
        aside_deg=_first(
            lambda n: fits(swung(n)) and _most_share(faces, camera, swung(n), worn) == 0,
            MOST_ASIDE_DEG,
        ),
        arms_m=None if arms is None else arms * unit_m,
        free_m=(stuck - 1) * unit_m,
    )


def _out_sign(eyes: Array, camera: Array, emitter: Emitter) -> float:
    """Return which way round the faces a lamp goes farther from the lens, 1 anticlockwise."""
    to_lens, to_lamp = camera - eyes, emitter.centre_m - eyes
    return 1.0 if to_lens[0] * to_lamp[1] - to_lens[1] * to_lamp[0] > 0 else -1.0


def _turned_away(face: FacePoints, emitter: Emitter, away_deg: float) -> FacePoints:
    """Return a face with the head turned away from a lamp."""
    azimuth_deg, _ = light_angles(
        face.eyes_m().mean(axis=0), face.facing, face.up, emitter.centre_m
    )
    return turned_head(face, -away_deg if azimuth_deg > 0 else away_deg)


def _most_share(
    faces: Sequence[FacePoints], camera: Array, light: Emitter, worn: Sequence[Spectacles]
) -> float:
    """Return the most of a lens, or of an eye behind it, that a light covers; 0 for none."""
    return max(
        max(g.lens_share, g.pupil_share)
        for face, pair in zip(faces, worn, strict=True)
        for g in glare(face, camera, light, spectacles=pair)
    )


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


def raised_by(emitter: Emitter, target_m: Array, raise_m: float) -> Emitter:
    """Return a light raised, and turned down as far as its way to a target turns."""
    old = emitter.centre_m
    new = old + raise_m * UP
    turn = _rotation_between(target_m - old, target_m - new)
    return replace(emitter, polygon_m=new + (emitter.polygon_m - old) @ turn.T)


def swung_by(emitter: Emitter, target_m: Array, angle_deg: float) -> Emitter:
    """Return a light swung round the upright through a target, anticlockwise from above."""
    turn = _rotation(UP, math.radians(angle_deg))
    polygon = target_m + (emitter.polygon_m - target_m) @ turn.T
    return replace(emitter, polygon_m=polygon)


def tilted(worn: Spectacles, lift_m: float) -> Spectacles:
    """Return spectacles whose arms are lifted off the ears, so that their lenses look down more."""
    more_deg = math.degrees(math.atan2(lift_m, ARM_M))
    return replace(worn, tilt_deg=worn.tilt_deg + more_deg)


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
