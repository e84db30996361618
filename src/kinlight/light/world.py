"""Everything light meets on its way: bodies, sheets and the room, each with what it reflects.

Nothing here knows a sitting: these are shapes and reflectances, in metres, with z up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinlight.errors import Fault, RangeError
from kinlight.geometry.solids import Solids, together
from kinlight.geometry.vectors import Array, crossed, frame, frozen, unit

Shape = Literal["rectangle", "octagon", "ellipse"]
WALLS = ("left", "right", "front", "back", "floor", "ceiling")
"""Faces of a room in the order of their reflectances: x low, x high, y low, y high, z low, z high.
The front wall is the one behind the camera."""


@dataclass(frozen=True)
class Coat:
    """How one side of a sheet sends light back.

    Attributes
    ----------
    reflectance : share of the light sent back, all directions together, 0 to 1 [-].
    gloss : share of that which is mirrored in a lobe; the rest is matt, 0 to 1 [-].
    roughness : width parameter alpha of the lobe, 0.05 to 1 [-]; see `light.gloss`.
    """

    reflectance: float = 0.0
    gloss: float = 0.0
    roughness: float = 0.3


BLACK = Coat()


@dataclass(frozen=True, eq=False)
class Sheet:
    """A flat sheet: a reflector, scrim, flag, backdrop, or the box of a lamp.

    Attributes
    ----------
    name : what the light it sends on is called, "backdrop" or a reflector's id.
    centre_m, right, up : its middle and the unit vectors along its sides, shape (3,); its front is
        the side from which `right` points to the right and `up` upward.
    half_m : half its width and half its height [m].
    shape : of an octagon, `half_m` is to the middles of its level and upright sides.
    front, back : what each side reflects.
    transmittance : share of the light it passes on, scattered evenly, from either side [-].
    tile_m : it is cut into tiles no larger than this to reckon what it sends on [m].
    near : whether what it sends to receivers is reckoned tile by tile in closed form, as for a
        reflector beside a face; else by rays, as for a backdrop.
    """

    name: str
    centre_m: Array
    right: Array
    up: Array
    half_m: tuple[float, float]
    shape: Shape = "rectangle"
    front: Coat = BLACK
    back: Coat = BLACK
    transmittance: float = 0.0
    tile_m: float = 0.35
    near: bool = True

    @property
    def normal(self) -> Array:
        """The unit vector its front faces [-]."""
        return crossed(self.right, self.up)

    def turned_over(self) -> Sheet:
        """Return the same sheet with its back as the front."""
        return replace(self, right=-self.right, front=self.back, back=self.front)

    def covers(self, x: Array, y: Array) -> NDArray[np.bool_]:
        """Return which places, given in halves of its width and height, lie on it."""
        if self.shape == "ellipse":
            return np.asarray(x**2 + y**2 <= 1)
        most = np.sqrt(2) if self.shape == "octagon" else 2.0
        return np.asarray((np.abs(x) <= 1) & (np.abs(y) <= 1) & (np.abs(x) + np.abs(y) <= most))

    @property
    def black(self) -> bool:
        """Whether it sends on nothing at all."""
        return not (self.front.reflectance or self.back.reflectance or self.transmittance)


def sheet(
    name: str,
    centre_m: ArrayLike,
    direction: ArrayLike,
    *,
    width_m: float,
    height_m: float,
    shape: Shape = "rectangle",
    front: Coat = BLACK,
    back: Coat = BLACK,
    transmittance: float = 0.0,
    tile_m: float = 0.35,
    near: bool = True,
) -> Sheet:
    """Return a sheet whose front faces a direction, its width lying level."""
    right, up = frame(direction)
    return Sheet(
        name,
        frozen(centre_m),
        frozen(right),
        frozen(up),
        (width_m / 2, height_m / 2),
        shape,
        front,
        back,
        transmittance,
        tile_m,
        near,
    )


@dataclass(frozen=True, eq=False)
class Being:
    """One person as light meets them.

    Attributes
    ----------
    name : who it is.
    solids : the parts of the body.
    clothes, skin, hair : matt reflectances [-].
    facing, up : the head's own unit vectors, out of the face and to the crown, shape (3,).
    """

    name: str
    solids: Solids
    clothes: float
    skin: float
    hair: float
    facing: Array
    up: Array

    def moved(self, by_m: ArrayLike) -> Being:
        """Return the same person elsewhere."""
        return replace(self, solids=self.solids.moved(by_m))


@dataclass(frozen=True)
class Room:
    """A box of matt walls.

    Attributes
    ----------
    low_m, high_m : its corners, each (x, y, z) [m].
    reflectance : of its faces in the order of `WALLS` [-].
    patch_m : they are cut into patches no larger than this [m].
    """

    low_m: tuple[float, float, float]
    high_m: tuple[float, float, float]
    reflectance: tuple[float, float, float, float, float, float]
    patch_m: float = 1.0


@dataclass(frozen=True)
class World:
    """What stands around the lamps: people, sheets (lamps' own boxes among them) and the room."""

    beings: tuple[Being, ...] = ()
    sheets: tuple[Sheet, ...] = ()
    room: Room | None = None

    def __post_init__(self) -> None:
        """Refuse surfaces in one place, each of which would send on the same light.

        Raises
        ------
        RangeError
            If a sheet lies in a wall or, in part, in another sheet, and neither is black.
        """
        sending = [(s, s.normal) for s in self.sheets if not s.black]
        for k, (one, normal) in enumerate(sending):
            if self.room is not None:
                _require_off_walls(one, normal, self.room)
            for other, facing in sending[:k]:
                aside = (other.centre_m - one.centre_m) @ normal
                in_plane = abs(aside) < _SAME_M and abs(normal @ facing) > 1 - _SAME_WAY
                if in_plane and (_meets(one, other) or _meets(other, one)):
                    raise RangeError(
                        Fault(
                            f"lies in one place with '{other.name}', and both would send on the "
                            "same light",
                            where=f"'{one.name}'",
                            remedy="move one of them a centimetre, or lay them together as the "
                            "sheets of one",
                        )
                    )

    def solids(self) -> Solids:
        """Return the bodies of all people as one list."""
        return together([b.solids for b in self.beings])


_SAME_M, _SAME_WAY = 1e-6, 1e-12
_IN_WALL_M = 1.5e-4  # a wall is looked at from a tenth of a millimetre before it
_STRAIGHT = 1e-8
_ACROSS = 16


def _require_off_walls(s: Sheet, normal: Array, room: Room) -> None:
    """Raise RangeError if a sheet lies in a wall, floor or ceiling that sends light on."""
    axis = int(np.abs(normal).argmax())
    if abs(normal[axis]) <= 1 - _STRAIGHT:
        return
    for face, side in ((2 * axis, room.low_m), (2 * axis + 1, room.high_m)):
        if abs(s.centre_m[axis] - side[axis]) < _IN_WALL_M and room.reflectance[face] > 0:
            wall = WALLS[face] + (" wall" if axis < 2 else "")
            raise RangeError(
                Fault(
                    f"lies in the {wall}, and both would send on the same light",
                    where=f"'{s.name}'",
                    remedy="move it a centimetre into the room",
                )
            )


def _meets(one: Sheet, other: Sheet) -> bool:
    """Return whether points of one sheet lie on another in its plane; edges that touch do not."""
    y, x = (2 * np.mgrid[0:_ACROSS, 0:_ACROSS] + 1) / _ACROSS - 1
    x, y = x[one.covers(x, y)], y[one.covers(x, y)]
    on = np.outer(x * one.half_m[0], one.right) + np.outer(y * one.half_m[1], one.up)
    away = one.centre_m + on - other.centre_m
    there = other.covers(away @ other.right / other.half_m[0], away @ other.up / other.half_m[1])
    return bool(there.any())


@dataclass(frozen=True, eq=False)
class Receivers:
    """Points that light is asked for.

    Attributes
    ----------
    points_m : shape (n, 3), lifted off the surface they belong to [m].
    normals : unit vectors they face, shape (n, 3) [-].
    dome : which are hemispherical, weighing light by (1 + cos)/2; shape (n,).
    turn : a number for each that turns the pattern of directions it is reckoned with, shape (n,).
    """

    points_m: Array
    normals: Array
    dome: NDArray[np.bool_]
    turn: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    def __post_init__(self) -> None:
        """Give every receiver a number of its own if none is given.

        Raises
        ------
        RangeError
            If a place is not finite or a normal not of length one.
        """
        _require_places(self.points_m)
        length2 = np.einsum("ni,ni->n", self.normals, self.normals)
        if not (np.abs(length2 - 1) < _UNIT).all():
            raise RangeError(_FACES_NOWHERE)
        if len(self.turn) != len(self.points_m):
            object.__setattr__(self, "turn", np.arange(len(self.points_m)))

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.points_m)


_UNIT = 1e-6
_FACES_NOWHERE = Fault(
    "a receptor of light faces nowhere", remedy="turn it toward the camera or a light"
)


def _require_places(points_m: Array) -> None:
    """Raise RangeError unless all coordinates are numbers."""
    if not np.isfinite(points_m).all():
        problem = "a place that light is asked for has no coordinates"
        raise RangeError(Fault(problem, remedy="say where it is"))


def receivers(
    points_m: ArrayLike, normals: ArrayLike, dome: bool | Sequence[bool] = False
) -> Receivers:
    """Return receivers, flat unless said otherwise.

    Raises
    ------
    RangeError
        If a place is not finite or a normal has no length.
    """
    points = np.atleast_2d(np.asarray(points_m, dtype=np.float64))
    length = np.linalg.norm(np.asarray(normals, dtype=np.float64), axis=-1)
    if not ((length > 0) & np.isfinite(length)).all():
        raise RangeError(_FACES_NOWHERE)
    facing = np.broadcast_to(unit(normals), points.shape)
    return Receivers(points, np.array(facing), np.broadcast_to(np.asarray(dome), len(points)))


HAIR_RIM = 0.45
"""How far up the head the face reaches: from the middle toward the crown (from memory)."""


def head_is_face(being: Being, points_m: ArrayLike) -> NDArray[np.bool_]:
    """Return which points of a person's head, shape (n, 3), are face; the others are hair.

    The face is the front half of the head up to the hair rim.
    """
    head = being.solids.part.index("head")
    away = np.asarray(points_m, dtype=np.float64) - being.solids.centre_m[head]
    axes, radius = being.solids.axes[head], being.solids.radius_m[head]
    shrunk = unit((away @ axes.T) / radius) @ axes
    return np.asarray((shrunk @ being.facing > 0) & (shrunk @ being.up < HAIR_RIM))
