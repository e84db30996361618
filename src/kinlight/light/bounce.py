"""Light sent on by walls, sheets and people: patches that light each other until it dies out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.light.engine import Engine
from kinlight.light.packed import Exchange, Shapes
from kinlight.light.patches import PEOPLE, Patches
from kinlight.light.sampling import sobol, turns

PATCH_RAYS, BODY_RAYS = 128, 32
"""Rays by which patches find each other, from each of a room or sheet, and of a person's, which are
many and small."""
_FROM_EACH = 8  # rays from each point of a patch
_ROUNDS = 30
_EVEN = 1e-6
_DONE = 1e-9  # share of the brightest patch's light by which any patch may still be wrong
_WAYS, _TIMES = 40, 100  # directions kept at once in solving, and how often it begins anew
_MOST = 0.1 / _EVEN  # times as much light as at first, from which on `_EVEN` is a tenth of it


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
    count, there = len(patches), patches.area_m2 > 0
    bodily = patches.group == patches.names.index(PEOPLE)
    rays = np.where(bodily, BODY_RAYS, PATCH_RAYS)
    found = [
        _found(patches, np.flatnonzero(bodily == kind), number, shapes, engine)
        for kind, number in ((False, PATCH_RAYS), (True, BODY_RAYS))
    ]
    one, other, weight = (np.concatenate(parts) for parts in zip(*found, strict=True))
    kept = np.bincount(one, weights=weight, minlength=count) / rays
    pairs = engine.paired(one, other, weight, count)
    density = np.divide(rays, patches.area_m2, out=np.zeros(count), where=there)
    found_m2 = pairs.area_m2 / (density[_rows(pairs)] + density[pairs.other])
    return _scaled(pairs._replace(area_m2=found_m2), patches.area_m2 * kept, engine)


def _found(
    patches: Patches, rows: NDArray[np.int64], rays: int, shapes: Shapes, engine: Engine
) -> tuple[NDArray[np.int64], NDArray[np.int64], Array]:
    """Return which patches met which by so many rays from each, and what each ray counts for."""
    flat, points = np.zeros(len(rows), dtype=np.bool_), rays // _FROM_EACH
    starts, normals = patches.points_m[rows, :points], patches.normals[rows, :points]
    hits = engine.first_hits(starts, normals, flat, sobol(rays), turns(rows), shapes)
    there = patches.area_m2 > 0
    weight = patches.weights[rows, :points]
    weight = weight / np.maximum(weight.mean(axis=1, keepdims=True), 1e-12)
    weight = np.repeat(weight, _FROM_EACH, axis=1)
    row = np.broadcast_to(rows[:, None], hits.shape)
    met = (hits >= 0) & there[rows, None] & there[hits]
    return row[met], hits[met].astype(np.int64), weight[met]


def _rows(pairs: Exchange) -> NDArray[np.int64]:
    """Return the first patch of each pair."""
    return np.repeat(np.arange(len(pairs.start) - 1), np.diff(pairs.start))


def _scaled(pairs: Exchange, sums: Array, engine: Engine) -> Exchange:
    """Scale rows and columns of symmetric exchanges alike until the rows have given sums.

    The square root of what is wrong sets right what patches have in common, and hardly what pairs
    of walls across have against each other; a step three times as long every other time does.
    """
    scale = np.ones(len(sums))
    for k in range(_ROUNDS):
        now = scale * engine.summed(pairs, scale[None])[0]
        wrong = np.divide(sums, now, out=np.ones_like(now), where=now > 0)
        scale *= np.sqrt(wrong) if k % 2 == 0 else wrong * np.sqrt(wrong)
        if np.abs(wrong - 1).max(initial=0.0) < _EVEN:
            break
    return pairs._replace(area_m2=scale[_rows(pairs)] * pairs.area_m2 * scale[pairs.other])


def first_bounce(patches: Patches, light: Array, mirrored: Array) -> Array:
    """Return what leaves patches at once of the lamps' light on them, shape (m, k).

    Parameters
    ----------
    light, mirrored : straight from the lamps, and by way of glossy sheets, each of shape (m, k).
    """
    sent = patches.matt[:, None] * light + patches.reflectance[:, None] * mirrored
    return np.asarray(sent + patches.passed[:, None] * (light + mirrored)[patches.partner])


def many_bounces(patches: Patches, exchange: Exchange, first: Array, engine: Engine) -> Array:
    """Return what leaves patches in all, of which `first` leaves at once; both of shape (m, k).

    Raises
    ------
    RangeError
        If the light does not die out, or so slowly that it cannot be reckoned.

    Notes
    -----
    Solves B = B0 + T B, where T sends light once to all patches and on, by generalised conjugate
    residuals [eisenstat1983]: each step takes the residual as a new direction, made square in its
    effect to those before, and goes along it to where the least is left. The k lamps are solved
    side by side and do not touch each other, whoever else is asked for.
    """
    left = np.ascontiguousarray(first.T, dtype=np.float64)
    found = np.zeros_like(left)
    enough = _DONE * np.abs(left).max(axis=1, initial=0.0)
    for _ in range(_TIMES):
        ways, effects = np.zeros((2, len(left), _WAYS, left.shape[1]))
        for k in range(_WAYS):
            left[np.abs(left).max(axis=1, initial=0.0) <= enough] = 0.0
            if not left.any():
                _require_dying_out(patches, first, found.T)
                return found.T
            effect = left - _once_more(patches, exchange, left, engine)
            before = np.matmul(effects[:, :k], effect[:, :, None]).transpose(0, 2, 1)
            way = left - np.matmul(before, ways[:, :k])[:, 0]
            effect = effect - np.matmul(before, effects[:, :k])[:, 0]
            length = np.sqrt((effect * effect).sum(axis=1, keepdims=True))
            length[length == 0.0] = np.inf
            ways[:, k], effects[:, k] = way / length, effect / length
            step = (effects[:, k] * left).sum(axis=1, keepdims=True)
            found, left = found + step * ways[:, k], left - step * effects[:, k]
    raise RangeError(_ENDLESS)


_ENDLESS = Fault(
    "the light between these surfaces does not die out",
    remedy="give the walls, the floor or the ceiling a lower reflectance",
)


def _require_dying_out(patches: Patches, first: Array, found: Array) -> None:
    """Raise RangeError where less light is found than leaves at first, or more than can be told."""
    at_first, in_all = patches.area_m2 @ first, patches.area_m2 @ found
    if not ((in_all >= 0.999 * at_first) & (in_all <= _MOST * at_first)).all():
        raise RangeError(_ENDLESS)


def _once_more(patches: Patches, exchange: Exchange, leaving: Array, engine: Engine) -> Array:
    """Return what leaves patches next of the light that leaves them now, both (k, m)."""
    area = np.where(patches.area_m2 > 0, patches.area_m2, 1.0)
    arrives = engine.summed(exchange, leaving) / area
    return np.asarray(patches.reflectance * arrives + patches.passed * arrives[:, patches.partner])
