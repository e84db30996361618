"""Light sent on by walls, sheets and people: patches that light each other until it dies out."""

from __future__ import annotations

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.engine import Engine
from kinlight.light.packed import Shapes
from kinlight.light.patches import POINTS, Patches
from kinlight.light.sampling import sobol, turns

PATCH_RAYS = 128
"""Rays from each patch by which patches find each other."""
_ROUNDS = 30
_EVEN = 1e-10


def exchange_m2(patches: Patches, shapes: Shapes, engine: Engine) -> Array:
    """Return the exchange areas of all pairs of patches, A_i F_ij, shape (m, m) [m2].

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
    weight = np.repeat(patches.weights, PATCH_RAYS // POINTS, axis=1) * there[:, None]
    row = np.broadcast_to(np.arange(count)[:, None], hits.shape)
    met = hits >= 0
    found = np.bincount((row * count + hits)[met], weights=weight[met], minlength=count * count)
    found = found.reshape(count, count).astype(np.float64)
    found[:, ~there] = 0.0
    inverse = np.divide(1.0, patches.area_m2, out=np.zeros(count), where=there)
    density = PATCH_RAYS * (inverse[:, None] + inverse[None])
    pairs = np.divide(found + found.T, density, out=np.zeros_like(found), where=density > 0)
    kept = found.sum(axis=1) / PATCH_RAYS
    return _scaled(pairs, patches.area_m2 * kept)


def _scaled(pairs: Array, sums: Array) -> Array:
    """Scale rows and columns of a symmetric matrix alike until its rows have given sums."""
    scale = np.ones(len(sums))
    for _ in range(_ROUNDS):
        now = scale * (pairs @ scale)
        wrong = np.divide(sums, now, out=np.ones_like(now), where=now > 0)
        scale *= np.sqrt(wrong)
        if np.abs(wrong - 1).max(initial=0.0) < _EVEN:
            break
    return np.asarray(scale[:, None] * pairs * scale[None])


def response(patches: Patches, exchange: Array) -> Array:
    """Return what leaves each patch per unit of lamp light sent on by each, shape (m, m) [-].

    The lamp light sent on is `first_bounce`; the rest is bounced any number of times.
    """
    area = np.where(patches.area_m2 > 0, patches.area_m2, 1.0)
    form = exchange / area[:, None]
    back = patches.reflectance[:, None] * form
    back += patches.passed[:, None] * form[patches.partner]
    return np.asarray(np.linalg.inv(np.eye(len(area)) - back))


def first_bounce(patches: Patches, light: Array) -> Array:
    """Return what leaves patches at once of the lamps' light on them, shape (m, k)."""
    sent = patches.matt[:, None] * light
    return np.asarray(sent + patches.passed[:, None] * light[patches.partner])
