"""Shapes and lamps as plain arrays, as the two engines read them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array, frame, unit
from kinlight.light.emitter import Emitter
from kinlight.light.sampling import sobol
from kinlight.light.world import Room, Sheet, World

Whole = NDArray[np.int64]
MOST_SAMPLES = 512
MORE = 4
"""Times the points that are used where less than half of a lamp is seen: what is left is what a
stop counts from."""
_GRIDS = {"egg-crate": 1, "honeycomb": 2}
# Rings and sectors a part of the body is cut into; parts not named here get the last row. The chest
# has many rings: a chin sees the shoulders of it, which a hair light reaches, and not the front.
_CUTS = {"head": (3, 6), "chest": (8, 4), "pelvis": (1, 6)}
_OTHER_CUT = (1, 3)
_ASKEW = 1e-6  # of its size, by which a front may be off a parallelogram and count as one


class Shapes(NamedTuple):
    """What blocks and catches light. Patches are numbered: solids first, then sheets, then walls.

    Attributes
    ----------
    beings : a ball about each person: centre and radius, shape (b, 4) [m].
    being_solids : where each one's solids start, and where the last one's end, shape (b + 1,).
    solids : centre (3), the map of a vector from there into the solid's own space, by rows (9),
        where it is a capsule of radius 1; half its straight length there; its reach [m]; (n, 14).
    solid_patch : first patch, rings and sectors, shape (n, 3).
    sheets : centre, right, up and normal (3 each), half width and height, the most that the sum of
        the two shares of these may be, whether it is round (1 or 0), and reach; shape (q, 17).
    sheet_patch : first patch of the front and of the back, tiles across and up, shape (q, 4).
    room : low corner and high corner; shape (6,), or (0,) for none.
    wall_patch : first patch and cells along the two other axes, shape (6, 3).
    """

    beings: Array
    being_solids: Whole
    solids: Array
    solid_patch: Whole
    sheets: Array
    sheet_patch: Whole
    room: Array
    wall_patch: Whole


class Lamps(NamedTuple):
    """Lit fronts: outline, points on it in the order they are used, and how they shine.

    `plain` fronts are even, matt and without a grid; `profile` is 1 on average over the points.
    """

    polygon: Array
    corners: Whole
    centre: Array
    normal: Array
    right: Array
    up: Array
    half: Array
    reach: Array
    samples: Array
    profile: Array
    beam: Array
    grid_kind: Whole
    grid: Array
    plain: NDArray[np.bool_]

    def part(self, first: int, count: int) -> Lamps:
        """Return the same fronts with so many of their points alone, from the first on."""
        some = slice(first, first + count)
        samples, profile = (np.ascontiguousarray(a[:, some]) for a in (self.samples, self.profile))
        return self._replace(samples=samples, profile=profile)


class Exchange(NamedTuple):
    """Exchange areas A_i F_ij of the pairs of patches that find each other, row by row.

    Attributes
    ----------
    start : where each patch's pairs start, and where the last one's end, shape (m + 1,).
    other : the other patch of each pair, shape (p,).
    area_m2 : shape (p,) [m2].
    """

    start: Whole
    other: Whole
    area_m2: Array


class Mirror(NamedTuple):
    """Ways of light from a lamp to a glossy sheet, q of them.

    `at` which point of the sheet, from which direction (`toward` the lamp) and how much light per
    unit of the lamp's exitance, less the lobe and the way onward.
    """

    at: Array
    toward: Array
    weight: Array
    centre: Array
    normal: Array
    reach: float
    roughness: float


def shapes_of(world: World) -> Shapes:
    """Return a world as arrays."""
    solids = world.solids()
    cuts = [_CUTS.get(part, _OTHER_CUT) for part in solids.part]
    first, solid_rows = 0, []
    for rings, sectors in cuts:
        solid_rows.append((first, rings, sectors))
        first += rings * sectors
    sheet_rows = []
    for s in world.sheets:
        across, up = tiles_of(s)
        sheet_rows.append((first, first + across * up, across, up))
        first += 2 * across * up
    wall_rows = []
    for face in range(6):
        along, beside = _cells(world.room, face) if world.room else (0, 0)
        wall_rows.append((first, along, beside))
        first += along * beside
    balls, starts = _beings(world)
    maps = (solids.axes / solids.radius_m[:, :, None]).reshape(len(solids), 9)
    room = (*world.room.low_m, *world.room.high_m) if world.room else ()
    return Shapes(
        beings=balls,
        being_solids=starts,
        solids=np.column_stack([solids.centre_m, maps, solids.straight, solids.reach_m()]),
        solid_patch=_whole(solid_rows, 3),
        sheets=_rows([_sheet_row(s) for s in world.sheets], 17),
        sheet_patch=_whole(sheet_rows, 4),
        room=np.array(room, dtype=np.float64),
        wall_patch=_whole(wall_rows, 3),
    )


def patch_count(shapes: Shapes) -> int:
    """Return how many patches there are."""
    solids, sheets, walls = shapes.solid_patch, shapes.sheet_patch, shapes.wall_patch
    total = (solids[:, 1] * solids[:, 2]).sum() + 2 * (sheets[:, 2] * sheets[:, 3]).sum()
    return int(total + (walls[:, 1] * walls[:, 2]).sum())


def tiles_of(sheet: Sheet) -> tuple[int, int]:
    """Return how many tiles a sheet is cut into, across and up; a black one into one."""
    if sheet.black:
        return 1, 1
    across, up = (max(1, int(np.ceil(2 * h / sheet.tile_m - 1e-9))) for h in sheet.half_m)
    return across, up


def lamps_of(emitters: Sequence[Emitter]) -> Lamps:
    """Return lit fronts as arrays."""
    axes = [frame(e.normal) for e in emitters]
    grids = [e.grid for e in emitters]
    lamps = _fronts([e.polygon_m for e in emitters])
    profiles = [_profile(e, at) for e, at in zip(emitters, lamps.samples, strict=True)]
    return lamps._replace(
        normal=_rows([e.normal for e in emitters], 3),
        right=_rows([right for right, _ in axes], 3),
        up=_rows([up for _, up in axes], 3),
        half=_rows([_half(e, *a) for e, a in zip(emitters, axes, strict=True)], 2),
        profile=_rows(profiles, MOST_SAMPLES),
        beam=np.array([e.beam for e in emitters], dtype=np.float64),
        grid_kind=np.array([_GRIDS[g.kind] if g else 0 for g in grids], dtype=np.int64),
        grid=_rows([np.array([g.cell_m, g.depth_m]) if g else np.ones(2) for g in grids], 2),
        plain=np.array([e.plain for e in emitters], dtype=np.bool_),
    )


def lit_tiles(outlines: Sequence[Array], normal: Array) -> Lamps:
    """Return the tiles of a sheet, as evenly lit fronts that face one way."""
    return _fronts(outlines)._replace(normal=np.tile(unit(normal), (len(outlines), 1)))


def _fronts(outlines: Sequence[Array]) -> Lamps:
    """Return plain fronts by their outlines; their axes and half sizes, for grids, are left out."""
    count = len(outlines)
    corners = np.array([len(o) for o in outlines], dtype=np.int64)
    polygon = np.zeros((count, int(corners.max(initial=3)), 3))
    for row, outline in zip(polygon, outlines, strict=True):
        row[: len(outline)] = outline
    centre = polygon.sum(axis=1) / corners[:, None]
    inside = np.arange(polygon.shape[1]) < corners[:, None]
    away = np.where(inside, np.sqrt(((polygon - centre[:, None]) ** 2).sum(axis=2)), 0.0)
    return Lamps(
        polygon=polygon,
        corners=corners,
        centre=centre,
        normal=np.zeros((count, 3)),
        right=np.zeros((count, 3)),
        up=np.zeros((count, 3)),
        half=np.zeros((count, 2)),
        reach=away.max(axis=1),
        samples=_on_fronts(polygon, corners, centre),
        profile=np.ones((count, MOST_SAMPLES)),
        beam=np.ones(count),
        grid_kind=np.zeros(count, dtype=np.int64),
        grid=np.ones((count, 2)),
        plain=np.ones(count, dtype=np.bool_),
    )


def _on_fronts(polygon: Array, corners: Whole, centre: Array) -> Array:
    """Return points evenly spread over fronts, shape (k, MOST_SAMPLES, 3) [m].

    A rectangle, or one askew, takes the square's points as they are; any other outline is a fan of
    triangles about its middle, each taking as much of the square's first side as it has area.
    """
    u, v = sobol(MOST_SAMPLES).T
    first = polygon[:, 0]
    one, two = polygon[:, 1] - first, polygon[:, min(3, polygon.shape[1] - 1)] - first
    at = first[:, None] + u[:, None] * one[:, None] + v[:, None] * two[:, None]
    askew = np.abs(first + one + two - polygon[:, 2]).max(axis=1, initial=0.0)
    size = np.abs(one).max(axis=1, initial=0.0) + np.abs(two).max(axis=1, initial=0.0)
    for k in np.flatnonzero((corners != 4) | (askew > _ASKEW * size)).tolist():
        at[k] = _on_fan(polygon[k, : corners[k]], centre[k], u, v)
    return np.asarray(at)


def _on_fan(polygon: Array, middle: Array, u: Array, v: Array) -> Array:
    after = np.roll(polygon, -1, axis=0)
    areas = np.linalg.norm(np.cross(polygon - middle, after - middle), axis=1)
    edges = np.concatenate([[0.0], np.cumsum(areas / areas.sum())])
    which = np.clip(np.searchsorted(edges, u, side="right") - 1, 0, len(polygon) - 1)
    along = (u - edges[which]) / (edges[which + 1] - edges[which])
    rim = polygon[which] + along[:, None] * (after[which] - polygon[which])
    return np.asarray(middle + np.sqrt(v)[:, None] * (rim - middle))


def _profile(emitter: Emitter, points: Array) -> Array:
    """Return how bright points of a front are, 1 on average over them."""
    if emitter.edge_stops == 0:
        return np.ones(len(points))
    away = np.linalg.norm(points - emitter.centre_m, axis=1)
    rim = np.linalg.norm(emitter.polygon_m - emitter.centre_m, axis=1).max()
    bright = np.exp2(-emitter.edge_stops * (away / rim) ** 2)
    return np.asarray(bright / bright.mean())


def _half(emitter: Emitter, right: Array, up: Array) -> Array:
    """Return half the width and height of a front [m]."""
    away = emitter.polygon_m - emitter.centre_m
    return np.array([np.abs(away @ right).max(), np.abs(away @ up).max()])


def _beings(world: World) -> tuple[Array, Whole]:
    """Return a ball about each person, and where their solids start in the list."""
    balls, starts = [], [0]
    for b in world.beings:
        centres, reaches = b.solids.centre_m, b.solids.reach_m()
        low = (centres - reaches[:, None]).min(axis=0)
        high = (centres + reaches[:, None]).max(axis=0)
        middle = (low + high) / 2
        away = np.linalg.norm(centres - middle, axis=1) + reaches
        balls.append(np.array([*middle, away.max()]))
        starts.append(starts[-1] + len(b.solids))
    return _rows(balls, 4), np.array(starts, dtype=np.int64)


def _sheet_row(s: Sheet) -> Array:
    # An octagon with level and upright sides: |x|/a + |y|/b up to the square root of 2.
    cut = np.sqrt(2) if s.shape == "octagon" else np.inf
    is_round = float(s.shape == "ellipse")
    reach = np.hypot(*s.half_m)
    axes = (*s.right, *s.up, *unit(s.normal))
    return np.array([*s.centre_m, *axes, *s.half_m, cut, is_round, reach])


def _cells(room: Room, face: int) -> tuple[int, int]:
    """Return how many patches a wall is cut into along its two axes."""
    sides = np.array(room.high_m) - np.array(room.low_m)
    first, second = (s for axis, s in enumerate(sides) if axis != face // 2)
    return (
        max(1, int(np.ceil(first / room.patch_m - 1e-9))),
        max(1, int(np.ceil(second / room.patch_m - 1e-9))),
    )


def _rows(rows: Sequence[Array], width: int) -> Array:
    """Return rows as one array that exists even if there are none."""
    return np.array(rows, dtype=np.float64).reshape(len(rows), width)


def _whole(rows: Sequence[tuple[int, ...]], width: int) -> Whole:
    return np.array(rows, dtype=np.int64).reshape(len(rows), width)
