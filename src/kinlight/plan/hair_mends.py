"""The smallest move of a hair light that evens what it gives to the heads of a picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import UP, Array, unit
from kinlight.light.engine import engine_in_use
from kinlight.light.packed import lamps_of, shapes_of
from kinlight.light.transport import SAMPLES
from kinlight.plan.stands import headroom
from kinlight.quantities.lengths import METRES_PER_INCH, length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.place import Aim, Place
from kinlight.sitting.room_fit import CLEARANCE_M, room_sides_m
from kinlight.stage.lamps import Lamp
from kinlight.stage.lamps import lamps_of as staged_lamps
from kinlight.stage.receivers import as_receivers
from kinlight.stage.scene import Scene, Transfer
from kinlight.stage.world import backdrop_y_m

MOST_STEPS = 8
"""So many steps of 10 cm or 4 in each way are tried: our choice, no more is a small move."""
WORTH_STOPS = 0.5
"""What does not even the heads is named only if it makes them so much more alike: our choice."""
_FROM_WALLS_M = 0.3  # for the stand and what reaches behind the front
HAIR = ("hair", "hair left", "hair right")
"""The receivers on somebody's hair: the crown, and to either side of it."""


@dataclass(frozen=True)
class HairMend:
    """A move of a hair light, in words, and what it leaves.

    Attributes
    ----------
    words : "aim the strip 20 cm lower".
    spread_stops : how far the darkest head's hair is then under the brightest's.
    """

    words: str
    spread_stops: float


def hair_mends(
    sitting: Sitting,
    scene: Scene,
    moved: Transfer,
    shares: Array,
    *,
    heads: Sequence[int],
    within_stops: float,
) -> tuple[HairMend, ...]:
    """Return the least move of each kind that brings heads near enough to the best lit one.

    If none does, the one that leaves least is returned, unless it gains next to nothing.

    Parameters
    ----------
    scene, moved : the picture staged, and its transfer.
    shares : the powers of the hair lights as shares of full; 0 for other lights [-].
    heads : which people of the scene count, one at least.
    within_stops : how far heads may be under the best lit one.

    Notes
    -----
    Heads count by the brightest of the hair's three points. The light that a hair light sends
    straight is reckoned anew for each move, its body moved with it; what comes by way of the room
    is taken to stay. Where it then shines otherwise, into the lens say, is not looked at.
    """
    points = _Points.of(scene, moved, shares, heads)
    now = points.spread_stops(points.total_lxs)
    enough: list[HairMend] = []
    others: list[HairMend] = []
    for k in np.flatnonzero(shares > 0):
        for kind in _kinds(sitting, scene, int(k)):
            tried = [HairMend(words, points.with_lamp(scene, int(k), x)) for words, x in kind]
            helps = [mend for mend in tried if mend.spread_stops <= within_stops]
            enough += helps[:1]
            others += tried
    if enough:
        return tuple(enough)
    best = min(others, key=lambda mend: mend.spread_stops, default=None)
    return () if best is None or best.spread_stops > now - WORTH_STOPS else (best,)


@dataclass(frozen=True)
class _Points:
    """The hair's points of some people, three a head, and what they get of the hair lights."""

    at: tuple[Array, Array, NDArray[np.bool_]]
    shares: Array
    total_lxs: Array
    direct_lxs: Array

    @classmethod
    def of(cls, scene: Scene, moved: Transfer, shares: Array, heads: Sequence[int]) -> _Points:
        people = [scene.figures[k].person for k in heads]
        rows = [i for who in people for what in HAIR for i in moved.rows(what, who)]
        at = as_receivers([moved.receivers[i] for i in rows])
        direct = moved.direct_lxs[rows] * shares
        where = at.points_m, at.normals, at.dome
        return cls(where, shares, moved.flash_lxs[rows] @ shares, direct)

    def spread_stops(self, light: Array) -> float:
        """Return how far the darkest head is under the brightest."""
        heads = light.reshape(-1, len(HAIR)).max(axis=1)
        if not heads.min() > 0:
            return float("inf")
        return float(np.log2(heads.max() / heads.min()))

    def with_lamp(self, scene: Scene, k: int, lamp: Lamp) -> float:
        """Return the same with the k-th lamp moved."""
        sheets = tuple(lamp.box if s.name == lamp.id else s for s in scene.world.sheets)
        shapes = shapes_of(replace(scene.world, sheets=sheets))
        per = engine_in_use().direct(*self.at, lamps_of([lamp.emitter]), shapes, SAMPLES)[:, 0]
        new = per * lamp.exitance_lxs * self.shares[k]
        return self.spread_stops(self.total_lxs - self.direct_lxs[:, k] + new)


def _kinds(sitting: Sitting, scene: Scene, k: int) -> Iterator[list[tuple[str, Lamp]]]:
    """Return the moves of a lamp, kind by kind, smallest first, with the lamp so moved."""
    lamp, units = scene.lamps[k], sitting.preferences.units
    step_m = 4 * METRES_PER_INCH if units == "feet" else 0.1
    heads = np.mean([f.face.crown_m for f in scene.figures], axis=0)
    centre = lamp.emitter.centre_m
    aim = centre + float(np.linalg.norm(heads - centre)) * lamp.emitter.normal
    back = unit((centre - heads) * [1.0, 1.0, 0.0] + [0.0, 1e-9, 0.0])
    depth = sitting.lights[k].modifier.depth_m or 0.0
    over = headroom([lamp.box], depth_m=depth, ceiling_m=sitting.room.ceiling_m).clearance_m
    ways = [
        ("aim {} {} lower", np.zeros(3), -UP),
        ("aim {} {} higher", np.zeros(3), UP),
        ("move {} {} back", back, np.zeros(3)),
        ("raise {} {}", UP, np.zeros(3)),
    ]
    for words, go, turn in ways:
        kind = []
        for n in range(1, MOST_STEPS + 1):
            by = n * step_m
            place = centre + by * go
            if not _stands(sitting, place) or by * float(go @ UP) > over - CLEARANCE_M:
                break
            said = words.format(f"the {lamp.id}", length_text(by, units=units))
            kind.append((said, _lamp_at(sitting, scene, k, place, aim + by * turn)))
        yield kind


def _stands(sitting: Sitting, place: Array) -> bool:
    """Return whether a light can stand in a place: in the room, before the backdrop."""
    left, right, front, _ = room_sides_m(sitting)
    x, y = float(place[0]), float(place[1])
    far = backdrop_y_m(sitting) - _FROM_WALLS_M
    return left + _FROM_WALLS_M < x < right - _FROM_WALLS_M and front + _FROM_WALLS_M < y < far


def _lamp_at(sitting: Sitting, scene: Scene, k: int, place: Array, aim: Array) -> Lamp:
    """Return the k-th lamp as it stands in another place, pointing at another one."""
    x, y, z = place.tolist()
    to_x, to_y, to_z = aim.tolist()
    light = sitting.lights[k].with_stated(
        place=Place(x_m=x, y_m=y, z_m=z), aim=Aim(x_m=to_x, y_m=to_y, height_m=max(to_z, 0.0))
    )
    figures = {f.person: f for f in scene.figures}
    alone: Sitting = sitting.with_stated(lights=[light])
    return staged_lamps(alone, np.zeros(3), figures)[0]
