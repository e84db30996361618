"""Lights mirrored in spectacles: how much of a lens, and how much of what shows of the eye.

The front of a lens is a piece of a sphere, tipped so that its lower rim is nearer to the cheek. The
way from the camera to a point of it, mirrored there, ends on a light or it does not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinlight.errors import Fault, RangeError
from kinlight.geometry.people import FacePoints
from kinlight.geometry.vectors import Array
from kinlight.light.checks import require_positive
from kinlight.light.cut_off import shines_on
from kinlight.light.emitter import Emitter
from kinlight.light.mirror import flat_mirror_points_m, mirror_points_m, mirrored, rim_m
from kinlight.light.pattern import head_axes
from kinlight.light.tables import eye_measure

_ACROSS, _HIGH = 21, 15  # points of the part of a lens looked at
_RINGS, _SECTORS = 5, 12  # points before the eye
_EDGE_ON_M = 1e-9
_MARGIN = 0.02  # of an image, around it: its edges bow a little between the points mirrored


@dataclass(frozen=True)
class Spectacles:
    """A pair of spectacles as worn.

    Attributes
    ----------
    base_curve : power of the front of the lenses [dioptre]; 0 is flat.
    tilt_deg : how far the lower rim is tipped toward the cheek [deg].
    vertex_mm : from the eye to the lens [mm].
    width_mm, height_mm : of a lens [mm]; its middle is straight before the pupil.
    """

    base_curve: float = eye_measure("base_curve").value
    tilt_deg: float = eye_measure("tilt_deg").value
    vertex_mm: float = eye_measure("vertex_mm").value
    width_mm: float = eye_measure("lens_width_mm").value
    height_mm: float = eye_measure("lens_height_mm").value

    def __post_init__(self) -> None:
        """Refuse what cannot be worn.

        Raises
        ------
        RangeError
            If a size is not above zero, the curve is below zero or too strong for a lens as large.
        """
        require_positive(self.vertex_mm, what="the distance of a lens from the eye", unit="mm")
        require_positive(self.width_mm, what="the width of a lens", unit="mm")
        require_positive(self.height_mm, what="the height of a lens", unit="mm")
        reach_mm = math.hypot(self.width_mm, self.height_mm) / 2
        most = eye_measure("curve_constant_mm").value / reach_mm
        if not 0 <= self.base_curve < most:
            problem = "cannot be the base curve of a lens of this size"
            allowed = f"0 to {most:.0f} dioptres"
            raise RangeError(Fault(problem, allowed=allowed, given=f"{self.base_curve:g}"))

    @property
    def radius_mm(self) -> float:
        """Radius of the front of the lenses, infinite if flat [mm]."""
        curve = eye_measure("curve_constant_mm").value
        return curve / self.base_curve if self.base_curve else math.inf


def spectacles_for(face: FacePoints) -> Spectacles:
    """Return common spectacles of a size for a face.

    Notes
    -----
    Lenses of 50 by 35 mm fit pupils 63 mm apart; for others they grow or shrink with that. This is
    ours: it keeps a small child's two lenses apart.
    """
    apart_mm = 1000 * float(np.linalg.norm(face.eye_left_m - face.eye_right_m))
    scale = apart_mm / eye_measure("pupils_apart_mm").value
    worn = Spectacles()
    return Spectacles(width_mm=worn.width_mm * scale, height_mm=worn.height_mm * scale)


@dataclass(frozen=True)
class Glare:
    """How much of one lens mirrors a light to the camera.

    Attributes
    ----------
    lens_share : of the whole lens, 0 to 1 [-].
    pupil_share : of what the camera sees of the iris through it, 0 to 1 [-].
    """

    lens_share: float
    pupil_share: float

    @property
    def shows(self) -> bool:
        """Whether any of it does."""
        return self.lens_share > 0 or self.pupil_share > 0


def glare(
    face: FacePoints,
    camera_m: ArrayLike,
    emitter: Emitter,
    *,
    spectacles: Spectacles | None = None,
    iris_mm: float = eye_measure("iris_adult_mm").value,
) -> tuple[Glare, Glare]:
    """Return how much of each lens mirrors a light to the camera: the person's left, then right.

    Parameters
    ----------
    face : eyes, nose line and upright of the head.
    camera_m : the entrance pupil, shape (3,) [m].
    emitter : the light.
    spectacles : as worn; common ones of the face's size by default.
    iris_mm : diameter of the iris [mm].

    Raises
    ------
    RangeError
        If the iris has no size.

    Notes
    -----
    Mirror law: the way from the camera along v leaves along v - 2 (v.n) n. So a flat lens tipped by
    tau mirrors to a level camera what lies 2 tau below it, and a lens of radius R what lies up to
    2 asin(y/R) from there, y from its middle. The mirror image of the light's rim bounds where on a
    lens to look, so that no light is too small to be found; there, 21 by 15 points are tried, and
    61 before each iris. The back of the lens, which mirrors once more and fainter, is left out, and
    so is what stands in the way. A light whose grid keeps it from an eye is dark in that lens.
    """
    require_positive(iris_mm, what="the diameter of an iris", unit="mm")
    worn = spectacles_for(face) if spectacles is None else spectacles
    camera = np.asarray(camera_m, dtype=np.float64)
    disc_m = iris_mm / 2000 * _disc() @ head_axes(face.facing, face.up)[1:]
    left, right = (
        _glare_in(_lens(worn, face, eye), eye, camera, emitter, eye + disc_m)
        for eye in face.eyes_m()
    )
    return left, right


def _glare_in(lens: _Lens, eye: Array, camera: Array, emitter: Emitter, iris_m: Array) -> Glare:
    """Return how much of one lens mirrors a light to the camera."""
    if not shines_on(eye, emitter):
        return Glare(0.0, 0.0)
    return Glare(_lens_share(lens, camera, emitter), _pupil_share(lens, camera, emitter, iris_m))


@dataclass(frozen=True, eq=False)
class _Lens:
    """One lens in the room: its foremost point, the ways across, up and out, half its sides."""

    pole_m: Array
    left: Array
    upright: Array
    out: Array
    half_m: Array
    radius_m: float


def _lens(worn: Spectacles, face: FacePoints, eye_m: Array) -> _Lens:
    """Return the lens before an eye."""
    ahead, left, up = head_axes(face.facing, face.up)
    tilt = math.radians(worn.tilt_deg)
    return _Lens(
        pole_m=eye_m + worn.vertex_mm / 1000 * ahead,
        left=left,
        upright=math.cos(tilt) * up + math.sin(tilt) * ahead,
        out=math.cos(tilt) * ahead - math.sin(tilt) * up,
        half_m=np.array([worn.width_mm, worn.height_mm]) / 2000,
        radius_m=worn.radius_mm / 1000,
    )


def _surface(lens: _Lens, at: Array) -> tuple[Array, Array]:
    """Return points of a lens, across and up from its middle, in the room, and their normals."""
    lean = at / lens.radius_m
    cosine = np.sqrt(1 - (lean**2).sum(axis=-1, keepdims=True))
    sag = (at**2).sum(axis=-1, keepdims=True) / lens.radius_m / (1 + cosine)
    across = np.stack([lens.left, lens.upright])
    return lens.pole_m + at @ across - sag * lens.out, lean @ across + cosine * lens.out


def _lit(lens: _Lens, at: Array, camera: Array, emitter: Emitter) -> NDArray[np.bool_]:
    """Return which points of a lens mirror a light to the camera, shape (n,)."""
    points, normals = _surface(lens, at)
    before = ((points - camera) * normals).sum(axis=-1) < 0
    return np.asarray(before & _meets(points, mirrored(points - camera, normals), emitter))


def _image_m(lens: _Lens, camera: Array, places: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Return where a lens, or the mirror it is a part of, shows places, and whether it does."""
    if math.isinf(lens.radius_m):
        return flat_mirror_points_m(lens.pole_m, lens.out, camera, places)
    centre = lens.pole_m - lens.radius_m * lens.out
    inside = np.linalg.norm(np.vstack([places, camera]) - centre, axis=1) <= lens.radius_m
    if inside.any():
        return places, np.zeros(len(places), dtype=np.bool_)
    points, above = mirror_points_m(centre, lens.radius_m, camera, places)
    return points, above & ((points - centre) @ lens.out > 0)


def _window(lens: _Lens, camera: Array, emitter: Emitter) -> tuple[Array, Array]:
    """Return lower and upper bounds of the part of a lens where a light may be mirrored [m].

    They bound the mirror image of the light's rim. Where part of the rim has none, it is all of
    the lens.
    """
    points, above = _image_m(lens, camera, rim_m(emitter))
    if not above.all():
        return -lens.half_m, lens.half_m
    at = (points - lens.pole_m) @ np.stack([lens.left, lens.upright], axis=1)
    margin = _MARGIN * np.ptp(at, axis=0).max()
    low = np.clip(at.min(axis=0) - margin, -lens.half_m, lens.half_m)
    return low, np.clip(at.max(axis=0) + margin, -lens.half_m, lens.half_m)


def _lens_share(lens: _Lens, camera: Array, emitter: Emitter) -> float:
    """Return how much of a lens mirrors a light to the camera [-]."""
    low, high = _window(lens, camera, emitter)
    looked_at = float(np.prod(high - low) / np.prod(2 * lens.half_m))
    if looked_at == 0:
        return 0.0
    at, weight = _raster()
    lit = _lit(lens, low + at * (high - low), camera, emitter)
    return float((lit * weight).sum() / weight.sum()) * looked_at


def _pupil_share(lens: _Lens, camera: Array, emitter: Emitter, iris_m: Array) -> float:
    """Return how much of what the camera sees of an iris through its lens a light covers [-]."""
    toward = camera - iris_m
    across = toward @ lens.out
    edge_on = np.abs(across) < _EDGE_ON_M
    along = ((lens.pole_m - iris_m) @ lens.out) / np.where(edge_on, -1.0, across)
    met = iris_m + along[:, None] * toward - lens.pole_m
    at = met @ np.stack([lens.left, lens.upright], axis=1)
    at = at[(np.abs(at) <= lens.half_m).all(axis=1) & (along > 0)]
    return float(_lit(lens, at, camera, emitter).mean()) if len(at) else 0.0


@cache
def _raster() -> tuple[Array, Array]:
    """Return points of a window with its rim, in its sides, (n, 2), and how much each counts."""
    sides = [np.linspace(0, 1, count) for count in (_ACROSS, _HIGH)]
    x, y = np.meshgrid(*sides)
    counts_x, counts_y = np.meshgrid(*[np.where((s == 0) | (s == 1), 0.5, 1.0) for s in sides])
    return np.stack([x, y], axis=-1).reshape(-1, 2), (counts_x * counts_y).ravel()


@cache
def _disc() -> Array:
    """Return points of an iris of equal area on rings, and its middle, in its radii, (n, 2)."""
    radius = np.sqrt((np.arange(_RINGS) + 0.5) / _RINGS)[:, None]
    turn = 2 * np.pi * np.arange(_SECTORS) / _SECTORS
    disc = np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=-1).reshape(-1, 2)
    return np.vstack([disc, np.zeros((1, 2))])


def _meets(points: Array, way: Array, emitter: Emitter) -> NDArray[np.bool_]:
    """Return which ways from points meet a front on the side it shines to; shape (...)."""
    n, polygon = emitter.normal, emitter.polygon_m
    against = way @ n
    safe = np.where(against < 0, against, -1.0)
    t = ((emitter.centre_m - points) @ n) / safe
    at = points + t[..., None] * way
    edges = np.roll(polygon, -1, axis=0) - polygon
    inward = np.cross(n, edges)
    inside = (at @ inward.T >= (polygon * inward).sum(axis=1)).all(axis=-1)
    return np.asarray((against < 0) & (t > 0) & inside)
