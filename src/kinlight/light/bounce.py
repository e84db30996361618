"""Light sent on by walls, sheets and people: patches that light each other until it dies out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array
from kinlight.light.engine import Engine
from kinlight.light.packed import Exchange, Shapes
from kinlight.light.patches import POINTS, Patches
from kinlight.light.sampling import sobol, turns

PATCH_RAYS = 128
"""Rays from each patch by which patches find each other."""
_ROUNDS = 30
_EVEN = 1e-10
_DONE = 1e-14  # share of the brightest patch's light by which any patch may still be wrong
_WAYS, _TIMES = 40, 100  # directions kept at once in solving, and how often it begins anew


def exchange_of(patches: Patches, shapes: Shapes, engine: Engine) -> Exchange:
    """Return the exchange areas of all pairs of patches that find each other.

    Notes
    -----
    Symmetric, so that light goes both ways alike, and each row sums to the patch's area, less what
    leaves an open world: nothing is gained or lost. Every patch sends rays from points all over
    itself; a pair's exchange is what the rays of both find of each other, each counted by how
    densely its patch sends them (the balance heuristic of [veach1995]); then rows and columns are
    scaled alike until the sums are right. The error falls with the number of rays and patches.
    """
    count = len(patches)
    turn = turns(np.arange(count))
    never = np.zeros(count, dtype=np.bool_)
    hits = engine.first_hits(
        patches.points_m, patches.normals, never, sobol(PATCH_RAYS), turn, shapes
    )
    there = patches.area_m2 > 0
    weight = np.repeat(patches.weights, PATCH_RAYS // POINTS, axis=1)
    row = np.broadcast_to(np.arange(count)[:, None], hits.shape)
    met = (hits >= 0) & there[:, None] & there[hits]
    one, other, weight = row[met], hits[met].astype(np.int64), weight[met]
    kept = np.bincount(one, weights=weight, minlength=count) / PATCH_RAYS
    pairs = _paired(one, other, weight, count)
    inverse = np.divide(1.0, patches.area_m2, out=np.zeros(count), where=there)
    from_ = _rows(pairs)
    found_m2 = pairs.area_m2 / (PATCH_RAYS * (inverse[from_] + inverse[pairs.other]))
    return _scaled(pairs._replace(area_m2=found_m2), patches.area_m2 * kept, engine)


def _paired(
    one: NDArray[np.int64], other: NDArray[np.int64], weight: Array, count: int
) -> Exchange:
    """Return what patches found of each other, either way, as one list of pairs."""
    row, column = np.concatenate([one, other]), np.concatenate([other, one])
    small = np.min_scalar_type(max(count - 1, 0))  # numbers of 16 bits are sorted fastest
    order = np.argsort(column.astype(small), kind="stable")
    order = order[np.argsort(row[order].astype(small), kind="stable")]
    row, column = row[order], column[order]
    weight = np.concatenate([weight, weight])[order]
    new = np.ones(len(row), dtype=np.bool_)
    new[1:] = (row[1:] != row[:-1]) | (column[1:] != column[:-1])
    at = np.flatnonzero(new)
    start = np.concatenate([[0], np.cumsum(np.bincount(row[at], minlength=count))])
    found = np.add.reduceat(weight, at) if len(at) else np.zeros(0)
    return Exchange(start, column[at], found)


def _rows(pairs: Exchange) -> NDArray[np.int64]:
    """Return the first patch of each pair."""
    return np.repeat(np.arange(len(pairs.start) - 1), np.diff(pairs.start))


def _scaled(pairs: Exchange, sums: Array, engine: Engine) -> Exchange:
    """Scale rows and columns of symmetric exchanges alike until the rows have given sums."""
    scale = np.ones(len(sums))
    for _ in range(_ROUNDS):
        now = scale * engine.summed(pairs, scale)
        wrong = np.divide(sums, now, out=np.ones_like(now), where=now > 0)
        scale *= np.sqrt(wrong)
        if np.abs(wrong - 1).max(initial=0.0) < _EVEN:
            break
    return pairs._replace(area_m2=scale[_rows(pairs)] * pairs.area_m2 * scale[pairs.other])


def first_bounce(patches: Patches, light: Array) -> Array:
    """Return what leaves patches at once of the lamps' light on them, shape (m, k)."""
    sent = patches.matt[:, None] * light
    return np.asarray(sent + patches.passed[:, None] * light[patches.partner])


def many_bounces(patches: Patches, exchange: Exchange, first: Array, engine: Engine) -> Array:
    """Return what leaves patches in all, shape (m,), of which `first` leaves at once.

    Notes
    -----
    Solves B = B0 + T B, where T sends light once to all patches and on, by generalised conjugate
    residuals [eisenstat1983]: each step takes the residual as a new direction, made square in its
    effect to those before, and goes along it to where the least is left.
    """
    found, left = np.zeros_like(first), first.astype(np.float64)
    enough = _DONE * np.abs(first).max(initial=0.0)
    for _ in range(_TIMES):
        ways, effects = np.zeros((2, _WAYS, len(first)))
        for k in range(_WAYS):
            if np.abs(left).max(initial=0.0) <= enough:
                return found
            effect = left - _once_more(patches, exchange, left, engine)
            before = effects[:k] @ effect
            way, effect = left - before @ ways[:k], effect - before @ effects[:k]
            length = np.sqrt(effect @ effect)
            ways[k], effects[k] = way / length, effect / length
            step = effects[k] @ left
            found, left = found + step * ways[k], left - step * effects[k]
    return found


def _once_more(patches: Patches, exchange: Exchange, leaving: Array, engine: Engine) -> Array:
    """Return what leaves patches next of the light that leaves them now."""
    arrives = engine.summed(exchange, leaving) / np.where(patches.area_m2 > 0, patches.area_m2, 1.0)
    return np.asarray(patches.reflectance * arrives + patches.passed * arrives[patches.partner])
