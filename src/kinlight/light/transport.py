"""From lamps to receivers: straight, by sheets and mirrors, and by everything that sends light on.

All results are per unit exitance of each lamp; what a lamp gives off multiplies them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.light.bounce import exchange_of, first_bounce, many_bounces
from kinlight.light.emitter import Emitter
from kinlight.light.engine import Engine, engine_in_use
from kinlight.light.fronts import through_grid
from kinlight.light.packed import (
    MORE,
    MOST_SAMPLES,
    Exchange,
    Lamps,
    Mirror,
    Shapes,
    lamps_of,
    lit_tiles,
    shapes_of,
)
from kinlight.light.patches import Patches, patches_of, tile_outlines
from kinlight.light.polygon import area_vector_m2
from kinlight.light.sampling import sobol, turns
from kinlight.light.world import Receivers, Sheet, World

SAMPLES, DRAGGED = 128, 64
"""Points of a lamp by which its visible share is found, and while something is dragged."""
GATHER_RAYS = 256
_PATCH_SAMPLES, _TILE_SAMPLES = 8, 32
_PATCH_POINTS = 4
_IN_LOBE = 64  # pairs of points in a lobe, by its roughness squared
_FEWEST_WAYS, _MOST_WAYS = 256, 16384


class Side(NamedTuple):
    """One side of a near sheet: all its patches, those that have a tile, and the tiles as lamps."""

    whole: slice
    patches: NDArray[np.int64]
    lit: Lamps


@dataclass(frozen=True, eq=False)
class Surroundings:
    """A world made ready: its arrays, its patches, and how they light each other.

    Lamps' light does not enter, so that it serves for any lamps in it. `starts` are points and
    normals of the patches that send any on, on which it is reckoned; (_PATCH_POINTS, m, 3).
    """

    world: World
    shapes: Shapes
    patches: Patches
    exchange: Exchange
    tiles: tuple[Side, ...]
    starts: tuple[Array, Array]

    def among(self, world: World) -> Surroundings:
        """Return the same with shapes of another world in the way, the patches left as they are.

        That world has the same shapes in number and kind: a lamp's body stands elsewhere in it.
        """
        return replace(self, world=world, shapes=shapes_of(world))


class Gathered(NamedTuple):
    """Where the light of n receivers comes from.

    Attributes
    ----------
    hits : the patch each direction ends on, -1 for none, shape (n, GATHER_RAYS).
    each : how much of what leaves there one direction brings, shape (n,) [-].
    tiles : the same of the lit patches of each `Side`, for which the hits do not count, (n, q) [-].
    """

    hits: NDArray[np.int32]
    each: Array
    tiles: tuple[Array, ...]


@dataclass(frozen=True, eq=False)
class Light:
    """Illuminance per unit exitance of each of k lamps at n receivers [-].

    Attributes
    ----------
    direct : straight from the lamps, shape (n, k).
    bounced : by way of each group of surfaces, the last one before the receiver, (groups, n, k).
    groups : their names: people, lamps, a sheet's name, walls, floor, ceiling.
    """

    direct: Array
    bounced_by: Array
    groups: tuple[str, ...]

    @property
    def bounced(self) -> Array:
        """All that does not come straight, shape (n, k)."""
        return np.asarray(self.bounced_by.sum(axis=0))

    @property
    def total(self) -> Array:
        """Everything, shape (n, k)."""
        return self.direct + self.bounced

    def of(self, lamp: int) -> Light:
        """Return the light of one lamp alone."""
        one = slice(lamp, lamp + 1)
        return Light(self.direct[:, one].copy(), self.bounced_by[:, :, one].copy(), self.groups)


def surroundings(world: World, engine: Engine | None = None) -> Surroundings:
    """Return a world made ready for light."""
    use = engine or engine_in_use()
    shapes = shapes_of(world)
    patches = patches_of(world, shapes, use)
    exchange, some = exchange_of(patches, shapes, use), patches.sends()
    where, normals = (
        np.ascontiguousarray(each[some, :_PATCH_POINTS].transpose(1, 0, 2))
        for each in (patches.points_m, patches.normals)
    )
    return Surroundings(world, shapes, patches, exchange, _sides(world, shapes), (where, normals))


def _sides(world: World, shapes: Shapes) -> tuple[Side, ...]:
    """Return the sides of the sheets whose light is reckoned tile by tile."""
    sides = []
    for s, row in zip(world.sheets, shapes.sheet_patch.tolist(), strict=True):
        if s.near and not s.black:
            for first, front in ((row[0], True), (row[1], False)):
                if (s.front if front else s.back).reflectance + s.transmittance == 0:
                    continue
                tiles = tile_outlines(s, front)
                numbers = first + np.array(list(tiles), dtype=np.int64)
                lit = lit_tiles(list(tiles.values()), s.normal if front else -s.normal)
                sides.append(Side(slice(first, first + row[2] * row[3]), numbers, lit))
    return tuple(sides)


def illuminance(
    world: World,
    emitters: Sequence[Emitter],
    receivers: Receivers,
    *,
    samples: int = SAMPLES,
    engine: Engine | None = None,
) -> Light:
    """Return what receivers get from each lamp, straight and bounced, per unit exitance."""
    around = surroundings(world, engine)
    return light_at(
        around,
        emitters,
        receivers,
        gathered(around, receivers, engine),
        samples=samples,
        engine=engine,
    )


def light_at(
    around: Surroundings,
    emitters: Sequence[Emitter],
    receivers: Receivers,
    gather: Gathered,
    *,
    leaving: Array | None = None,
    samples: int = SAMPLES,
    engine: Engine | None = None,
) -> Light:
    """Return what receivers get from lamps, with the gathering of `gathered` at hand.

    Whoever has what `leaving_at` returns for those lamps can give it.
    """
    if not 1 <= samples <= MOST_SAMPLES:
        problem = "is not a number of points of a lamp to reckon with"
        raise RangeError(Fault(problem, allowed=f"1 to {MOST_SAMPLES}", given=str(samples)))
    use = engine or engine_in_use()
    lamps, patches = lamps_of(emitters), around.patches
    points, normals, dome = receivers.points_m, receivers.normals, receivers.dome
    straight = use.direct(points, normals, dome, lamps, around.shapes, samples)
    if leaving is None:
        leaving = leaving_at(around, emitters, engine=engine)
    by = _onward(around, gather, leaving, use)
    for s, ways in _mirrors(around, lamps, use, _IN_LOBE):
        g = patches.names.index(s.name)
        for k, way in enumerate(ways):
            by[g, :, k] += use.mirrored(points, normals, dome, way, around.shapes)
    return Light(straight, by, patches.names)


def _onward(around: Surroundings, gather: Gathered, leaving: Array, use: Engine) -> Array:
    """Return what receivers get of what leaves the patches, by groups, shape (groups, n, k)."""
    patches, sent = around.patches, np.ascontiguousarray(leaving.T)
    by_rays = sent.copy()
    for side in around.tiles:
        by_rays[:, side.whole] = 0.0
    by = use.landed(gather.hits, by_rays, patches.group, len(patches.names))
    by *= gather.each[:, None]
    for side, tiles in zip(around.tiles, gather.tiles, strict=True):
        group = patches.group[side.whole.start]
        for k, of_lamp in enumerate(sent):
            # One by one: no lamp's digits depend on who else is asked for.
            by[group, :, k] += tiles @ of_lamp[side.patches]
    return by


def leaving_at(
    around: Surroundings, emitters: Sequence[Emitter], *, engine: Engine | None = None
) -> Array:
    """Return what leaves each patch of the lamps' light, per unit exitance, shape (m, k) [-]."""
    use = engine or engine_in_use()
    first = first_bounce(around.patches, *_on_patches(around, lamps_of(emitters), use))
    return many_bounces(around.patches, around.exchange, first, use)


def gathered(around: Surroundings, receivers: Receivers, engine: Engine | None = None) -> Gathered:
    """Return how much of what leaves the patches receivers get."""
    use = engine or engine_in_use()
    at = receivers.points_m, receivers.normals, receivers.dome
    hits = use.first_hits(
        at[0][:, None], at[1][:, None], at[2],
        sobol(GATHER_RAYS), turns(receivers.turn), around.shapes,
    )  # fmt: skip
    # A dome takes in twice the plain mean over its directions: 2 pi of radiance, a flat one pi.
    each = np.where(receivers.dome, 2.0, 1.0) / GATHER_RAYS
    tiles = [use.direct(*at, side.lit, around.shapes, _TILE_SAMPLES) for side in around.tiles]
    return Gathered(hits, each, tuple(tiles))


def _on_patches(around: Surroundings, lamps: Lamps, use: Engine) -> tuple[Array, Array]:
    """Return the lamps' light on each patch that sends any on, straight and mirrored, each (m, k).

    Kept apart: a glossy sheet's lobe of the first is followed by `_ways`, of the second it counts
    as sent on evenly, as all light that was sent on before does.
    """
    patches = around.patches
    sends = patches.sends()
    where, normals = around.starts
    flat = np.zeros(where.shape[1], dtype=np.bool_)
    ways = _mirrors(around, lamps, use, _IN_LOBE // 4)
    weights = patches.weights[sends, :_PATCH_POINTS]
    weights = weights / np.maximum(weights.sum(axis=1, keepdims=True), 1e-12)
    light, mirrored = np.zeros((2, len(flat), len(lamps.centre)))
    for k in range(_PATCH_POINTS):
        # Each of a patch's points takes points of the lamps that the others do not.
        own = lamps.part(k * _PATCH_SAMPLES, _PATCH_SAMPLES * MORE)
        at = where[k], normals[k], flat
        light += weights[:, k, None] * use.direct(*at, own, around.shapes, _PATCH_SAMPLES)
        for _, of_lamps in ways:
            for j, way in enumerate(of_lamps):
                mirrored[:, j] += weights[:, k] * use.mirrored(*at, way, around.shapes)
    on = np.zeros((2, len(patches), len(lamps.centre)))
    on[0, sends], on[1, sends] = light, mirrored
    return on[0], on[1]


def _mirrors(
    around: Surroundings, lamps: Lamps, use: Engine, in_lobe: float
) -> list[tuple[Sheet, list[Mirror]]]:
    """Return glossy sheets, glossy side first, and the ways each lamp's light comes to them."""
    sides = [side for s in around.world.sheets for side in (s, s.turned_over())]
    glossy = [s for s in sides if s.front.gloss * s.front.reflectance > 0]
    return [
        (s, [_ways(s, lamps, k, around.shapes, use, in_lobe) for k in range(len(lamps.centre))])
        for s in glossy
    ]


def _ways(s: Sheet, lamps: Lamps, k: int, shapes: Shapes, use: Engine, in_lobe: float) -> Mirror:
    """Return pairs of points of a lamp and a glossy sheet with the light that goes between them.

    The weight leaves out the lobe and the way onward: area of the sheet x exitance / pi x the
    cosines / distance squared x area of the lamp, shared among the pairs. The narrower the lobe,
    the more pairs it takes to have so many in it.
    """
    wanted = 2 ** np.ceil(np.log2(in_lobe / s.front.roughness**2))
    count = int(min(max(wanted, _FEWEST_WAYS), _MOST_WAYS))
    spread = sobol(count, 4)
    x, y = 2 * spread[:, 2] - 1, 2 * spread[:, 3] - 1
    on = s.centre_m + (x * s.half_m[0])[:, None] * s.right + (y * s.half_m[1])[:, None] * s.up
    turn = np.arange(count) % MOST_SAMPLES
    from_, passed = lamps.samples[k, turn], np.ones(count)
    if lamps.grid_kind[k]:
        passed, from_ = through_grid(lamps, k, from_, on)
    toward = from_ - on
    length = np.linalg.norm(toward, axis=1)
    toward = toward / length[:, None]
    into, leaves = toward @ s.normal, -(toward @ lamps.normal[k])
    free = use.clear(on + 1e-4 * s.normal, from_, shapes)
    area = 4 * s.half_m[0] * s.half_m[1]
    light = lamps.profile[k, turn] * np.maximum(leaves, 0.0)
    beam = lamps.beam[k]
    light = light * (beam + 1) / 2 * np.maximum(leaves, 1e-12) ** (beam - 1)
    weight = area * _area_m2(lamps, k) / np.pi * light * np.maximum(into, 0.0) / length**2 / count
    weight *= s.front.reflectance * s.front.gloss * free * s.covers(x, y) * passed
    return Mirror(
        on,
        toward,
        np.where(into > 1e-9, weight, 0.0),
        np.array(s.centre_m),
        s.normal,
        float(np.hypot(*s.half_m)),
        s.front.roughness,
    )


def _area_m2(lamps: Lamps, k: int) -> float:
    return float(np.linalg.norm(area_vector_m2(lamps.polygon[k, : lamps.corners[k]])))
