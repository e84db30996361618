"""The surfaces of a world cut into patches that send light on, each with points to reckon from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array
from kinlight.light.emitter import ROUND_SIDES
from kinlight.light.engine import Engine
from kinlight.light.layers import sent_back
from kinlight.light.packed import Shapes, Whole, patch_count, tiles_of
from kinlight.light.sampling import sobol
from kinlight.light.world import WALLS, Being, Coat, Room, Sheet, World, head_is_face

POINTS = 16
"""Points of a patch that rays start from."""
OFF_BODY_M = 1e-3
OFF_SHEET_M = 1e-4
PEOPLE, LAMPS = "people", "lamps"


@dataclass(frozen=True, eq=False)
class Patches:
    """Patches numbered as in `Shapes`, m of them.

    Attributes
    ----------
    area_m2 : the part that is not buried in something, shape (m,) [m2]; 0 if all of it is.
    points_m, normals : where rays start, just off the surface, shape (m, POINTS, 3).
    weights : how much of the area each point stands for, 1 on average, shape (m, POINTS) [-].
    reflectance : all of it, shape (m,) [-].
    matt : the share of incoming lamp light sent back evenly, shape (m,) [-].
    passed : the share sent on evenly by the other side, `partner`, shape (m,) [-].
    group : number of the name of what it belongs to in `names`, shape (m,).
    """

    area_m2: Array
    points_m: Array
    normals: Array
    weights: Array
    reflectance: Array
    matt: Array
    passed: Array
    partner: Whole
    group: Whole
    names: tuple[str, ...]

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.area_m2)

    def sends(self) -> NDArray[np.bool_]:
        """Return which send on any of the light that falls on them, shape (m,)."""
        return ((self.reflectance > 0) | (self.passed > 0)) & (self.area_m2 > 0)


class _Draft:
    """Patches while they are being filled in."""

    def __init__(self, count: int) -> None:
        self.full_m2 = np.zeros(count)
        self.points = np.zeros((count, 2 * POINTS, 3))
        self.normals = np.zeros((count, 2 * POINTS, 3))
        self.weights = np.ones((count, 2 * POINTS))
        self.kept = np.ones((count, 2 * POINTS), dtype=np.bool_)
        self.reflectance = np.zeros((count, 2 * POINTS))
        self.gloss = np.zeros(count)
        self.passed = np.zeros(count)
        self.partner = np.arange(count)
        self.group = np.zeros(count, dtype=np.int64)


def patches_of(world: World, shapes: Shapes, engine: Engine) -> Patches:
    """Return the patches of a world."""
    draft = _Draft(patch_count(shapes))
    names = [PEOPLE, LAMPS]
    if world.beings:
        _add_beings(draft, world, shapes)
    for row, s in zip(shapes.sheet_patch, world.sheets, strict=True):
        _add_sheet(draft, s, row, LAMPS if s.black else s.name, names)
    if world.room is not None:
        _add_room(draft, world.room, shapes, names)
    return _finished(draft, shapes, engine, tuple(names))


def _spread() -> Array:
    """Return places in the unit square that rays start from, shape (2 * POINTS, 2).

    The first four, on which lamps' light is reckoned, are the middles of its quarters.
    """
    quarters = np.array([[0.25, 0.25], [0.75, 0.75], [0.75, 0.25], [0.25, 0.75]])
    return np.concatenate([quarters, sobol(2 * POINTS)[4:]])


def tile_outlines(sheet: Sheet, front: bool) -> dict[int, Array]:
    """Return the corners of a sheet's tiles by their numbers, counter-clockwise seen from a side.

    At the rim of a sheet that is no rectangle, a tile is what lies on the sheet, if anything does.
    """
    across, up = tiles_of(sheet)
    sides = np.array([sheet.half_m[0] * sheet.right, sheet.half_m[1] * sheet.up])
    tiles = {}
    for number in range(across * up):
        low = 2 * np.array([number % across / across, number // across / up]) - 1
        high = low + 2 / np.array([across, up])
        outline = np.array([low, (high[0], low[1]), high, (low[0], high[1])])
        if sheet.shape != "rectangle":
            outline = _common(outline, _RIMS[sheet.shape])
        if _area(outline) > _SLIVER * 4 / (across * up):
            tiles[number] = sheet.centre_m + (outline if front else outline[::-1]) @ sides
    return tiles


def _regular(sides: int) -> Array:
    """Return the octagon about the unit circle, or else a polygon of the circle's area."""
    angle = 2 * np.pi * (np.arange(sides) + 0.5) / sides
    step = 2 * np.pi / sides
    radius = 1 / np.cos(step / 2) if sides == 8 else np.sqrt(step / np.sin(step))
    return np.asarray(radius * np.stack([np.cos(angle), np.sin(angle)], axis=1))


_RIMS = {"octagon": _regular(8), "ellipse": _regular(ROUND_SIDES)}
_SLIVER = 1e-4  # share of a tile below which what is left of it counts as nothing


def _area(outline: Array) -> float:
    x, y = outline.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def _common(outline: Array, rim: Array) -> Array:
    """Return the part of one convex outline that lies in another, both counter-clockwise."""
    for start, end in zip(rim, np.roll(rim, -1, axis=0), strict=True):
        along = end - start
        inside = along[0] * (outline[:, 1] - start[1]) - along[1] * (outline[:, 0] - start[0])
        kept: list[Array] = []
        for k in range(len(outline)):
            a, b = inside[k - 1], inside[k]
            if (a < 0) != (b < 0):
                kept.append(outline[k - 1] + a / (a - b) * (outline[k] - outline[k - 1]))
            if b >= 0:
                kept.append(outline[k])
        outline = np.array(kept).reshape(-1, 2)
    return outline


def _add_beings(draft: _Draft, world: World, shapes: Shapes) -> None:
    """Fill in everybody's patches, those of solids that are cut alike at once."""
    solids = world.solids()
    u, v = _spread().T
    cuts = shapes.solid_patch[:, 1:]
    for rings, sectors in sorted({(int(r), int(c)) for r, c in cuts}):
        alike = np.flatnonzero((cuts == (rings, sectors)).all(axis=1))
        ring, sector = (a.ravel()[:, None] for a in np.mgrid[0:rings, 0:sectors])
        straight = solids.straight[alike, None, None]
        radius, axes = solids.radius_m[alike, None, None], solids.axes[alike, None]
        z = (2 * (ring + u) / rings - 1) * (straight + 1)
        angle = np.pi * (2 * (sector + v) / sectors - 1)
        beyond = np.sign(z) * np.maximum(np.abs(z) - straight, 0.0)
        out = np.sqrt(np.maximum(1 - beyond**2, 0.0))
        x, y = out * np.cos(angle), out * np.sin(angle)
        normal = (np.stack([x, y, beyond], axis=-1) / radius) @ axes
        length = np.sqrt(np.einsum("...i,...i", normal, normal))[..., None]
        normal /= length
        on = solids.centre_m[alike, None, None] + (np.stack([x, y, z], axis=-1) * radius) @ axes
        stretch = radius.prod(axis=-1) * length[..., 0]
        rows = shapes.solid_patch[alike, 0][:, None] + np.arange(rings * sectors)
        draft.normals[rows] = normal
        draft.points[rows] = on + OFF_BODY_M * normal
        draft.weights[rows] = stretch / stretch.mean(axis=2, keepdims=True)
        whole = 4 * np.pi * (straight[..., 0] + 1) / (rings * sectors)
        draft.full_m2[rows] = stretch.mean(axis=2) * whole
    _dress(draft, world, shapes)


def _dress(draft: _Draft, world: World, shapes: Shapes) -> None:
    """Fill in what people's patches reflect."""
    at = 0
    for being in world.beings:
        for part in being.solids.part:
            first, rings, sectors = shapes.solid_patch[at].tolist()
            rows = slice(first, first + rings * sectors)
            on = draft.points[rows] - OFF_BODY_M * draft.normals[rows]
            draft.reflectance[rows] = _worn(being, part, on)
            at += 1


def _worn(being: Being, part: str, points: Array) -> Array:
    """Return the reflectance of points of a person: face and neck are skin, the rest is clothed."""
    if part == "neck":
        return np.full(points.shape[:-1], being.skin)
    if part != "head":
        return np.full(points.shape[:-1], being.clothes)
    face = head_is_face(being, points.reshape(-1, 3)).reshape(points.shape[:-1])
    return np.where(face, being.skin, being.hair)


def _add_sheet(draft: _Draft, s: Sheet, row: Whole, name: str, names: list[str]) -> None:
    front, back, across, up = (int(n) for n in row)
    u, v = _spread().T
    j, i = (a.ravel()[:, None] for a in np.mgrid[0:up, 0:across])
    x, y = 2 * (i + u) / across - 1, 2 * (j + v) / up - 1
    on = s.centre_m + x[..., None] * s.half_m[0] * s.right + y[..., None] * s.half_m[1] * s.up
    for first, coat, sign, other in ((front, s.front, 1.0, back), (back, s.back, -1.0, front)):
        rows = slice(first, first + across * up)
        draft.points[rows] = on + sign * OFF_SHEET_M * s.normal
        draft.normals[rows] = sign * s.normal
        draft.kept[rows] = s.covers(x, y)
        draft.full_m2[rows] = 4 * s.half_m[0] * s.half_m[1] / (across * up)
        draft.partner[rows] = other + np.arange(across * up)
        _paint(draft, rows, coat, s.transmittance, name, names)


def _paint(
    draft: _Draft, rows: slice, coat: Coat, passed: float, name: str, names: list[str]
) -> None:
    if name not in names:
        names.append(name)
    # A rough mirror keeps a little: light that its facets send into each other.
    kept = sent_back(coat)
    matt = coat.reflectance * (1 - coat.gloss)
    draft.reflectance[rows] = kept
    draft.gloss[rows] = 1 - matt / kept if kept > 0 else 0.0
    draft.passed[rows] = passed
    draft.group[rows] = names.index(name)


def _add_room(draft: _Draft, room: Room, shapes: Shapes, names: list[str]) -> None:
    low, high = np.array(room.low_m), np.array(room.high_m)
    u, v = _spread().T
    for face in range(6):
        first, along, beside = (int(n) for n in shapes.wall_patch[face])
        axis = face // 2
        one, two = (a for a in range(3) if a != axis)
        j, i = (a.ravel()[:, None] for a in np.mgrid[0:beside, 0:along])
        rows = slice(first, first + along * beside)
        inward = 1.0 if face % 2 == 0 else -1.0
        draft.points[rows, :, axis] = (low if inward > 0 else high)[axis] + inward * OFF_SHEET_M
        draft.points[rows, :, one] = low[one] + (i + u) / along * (high - low)[one]
        draft.points[rows, :, two] = low[two] + (j + v) / beside * (high - low)[two]
        draft.normals[rows, :, axis] = inward
        draft.full_m2[rows] = (high - low)[one] * (high - low)[two] / (along * beside)
        name = WALLS[face] if face >= 4 else "walls"
        _paint(draft, rows, Coat(room.reflectance[face]), 0.0, name, names)


def _finished(draft: _Draft, shapes: Shapes, engine: Engine, names: tuple[str, ...]) -> Patches:
    """Drop points that lie in something or beyond the room, and keep POINTS of each patch."""
    flat = draft.points.reshape(-1, 3)
    buried = engine.buried(flat, shapes)
    if len(shapes.room):
        for axis in range(3):
            along = flat[:, axis]
            buried |= (along < shapes.room[axis]) | (along > shapes.room[3 + axis])
    kept = draft.kept & ~buried.reshape(draft.kept.shape)
    weights = draft.weights * kept
    share = weights.mean(axis=1)
    # Take the points left in turn until there are enough: some then count more than once.
    found = kept.sum(axis=1)
    order = np.argsort(~kept, axis=1, kind="stable")
    turn = np.arange(POINTS) % np.maximum(found, 1)[:, None]
    pick = np.take_along_axis(order, turn, axis=1)
    row = np.arange(len(kept))[:, None]
    picked = weights[row, pick]
    mean = np.where(share > 0, picked.mean(axis=1), 1.0)[:, None]
    reflectance = (draft.reflectance * weights).mean(axis=1) / np.where(share > 0, share, 1.0)
    return Patches(
        area_m2=draft.full_m2 * share,
        points_m=draft.points[row, pick],
        normals=draft.normals[row, pick],
        weights=picked / mean,
        reflectance=reflectance,
        matt=reflectance * (1 - draft.gloss),
        passed=draft.passed,
        partner=draft.partner,
        group=draft.group,
        names=names,
    )
