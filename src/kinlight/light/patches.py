"""The surfaces of a world cut into patches that send light on, each with points to reckon from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinlight.geometry.vectors import Array
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
    solid = 0
    for being in world.beings:
        _add_being(draft, being, shapes, solid)
        solid += len(being.solids)
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


def tile_outlines(sheet: Sheet, front: bool) -> Array:
    """Return the corners of a sheet's tiles, counter-clockwise seen from a side, (tiles, 4, 3)."""
    across, up = tiles_of(sheet)
    x = np.linspace(-sheet.half_m[0], sheet.half_m[0], across + 1)
    y = np.linspace(-sheet.half_m[1], sheet.half_m[1], up + 1)
    left, low = (a.ravel() for a in np.meshgrid(x[:-1], y[:-1]))
    right, high = (a.ravel() for a in np.meshgrid(x[1:], y[1:]))
    corners = [(left, low), (right, low), (right, high), (left, high)]
    if not front:
        corners.reverse()
    right, up_ = sheet.right, sheet.up
    at = [sheet.centre_m + a[:, None] * right + b[:, None] * up_ for a, b in corners]
    return np.stack(at, axis=1)


def _add_being(draft: _Draft, being: Being, shapes: Shapes, at: int) -> None:
    u, v = _spread().T
    for k in range(len(being.solids)):
        first, rings, sectors = shapes.solid_patch[at + k]
        straight = being.solids.straight[k]
        radius, axes = being.solids.radius_m[k], being.solids.axes[k]
        ring, sector = (a.ravel()[:, None] for a in np.mgrid[0:rings, 0:sectors])
        z = (2 * (ring + u) / rings - 1) * (straight + 1)
        angle = np.pi * (2 * (sector + v) / sectors - 1)
        beyond = np.sign(z) * np.maximum(np.abs(z) - straight, 0.0)
        out = np.sqrt(np.maximum(1 - beyond**2, 0.0))
        around = np.stack([out * np.cos(angle), out * np.sin(angle), beyond], axis=-1)
        place = np.stack([around[..., 0], around[..., 1], z], axis=-1)
        normal = (around / radius) @ axes
        length = np.linalg.norm(normal, axis=-1, keepdims=True)
        rows = slice(first, first + rings * sectors)
        draft.normals[rows] = normal / length
        on = being.solids.centre_m[k] + (place * radius) @ axes
        draft.points[rows] = on + OFF_BODY_M * draft.normals[rows]
        stretch = radius.prod() * length[..., 0]
        draft.weights[rows] = stretch / stretch.mean(axis=1, keepdims=True)
        draft.full_m2[rows] = stretch.mean(axis=1) * 4 * np.pi * (straight + 1) / (rings * sectors)
        draft.reflectance[rows] = _worn(being, being.solids.part[k], on)


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
    kept = np.ones(x.shape, dtype=np.bool_)
    if s.shape == "ellipse":
        kept = x**2 + y**2 <= 1
    elif s.shape == "octagon":
        kept = np.abs(x) + np.abs(y) <= np.sqrt(2)
    on = s.centre_m + x[..., None] * s.half_m[0] * s.right + y[..., None] * s.half_m[1] * s.up
    for first, coat, sign, other in ((front, s.front, 1.0, back), (back, s.back, -1.0, front)):
        rows = slice(first, first + across * up)
        draft.points[rows] = on + sign * OFF_SHEET_M * s.normal
        draft.normals[rows] = sign * s.normal
        draft.kept[rows] = kept
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
        buried |= ((flat < shapes.room[:3]) | (flat > shapes.room[3:])).any(axis=1)
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
