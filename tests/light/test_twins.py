from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

pytest.importorskip("numba", reason="the compiled twin needs it")

from lit_worlds import dense, some_world

from kinlight.geometry.vectors import unit
from kinlight.light import kernel, rays
from kinlight.light.bounce import exchange_of, many_bounces
from kinlight.light.engine import compiled_engine
from kinlight.light.example import example
from kinlight.light.packed import lamps_of, patch_count, shapes_of
from kinlight.light.patches import patches_of
from kinlight.light.sampling import sobol, turns
from kinlight.light.transport import _mirrors, illuminance, surroundings
from kinlight.light.world import Coat, World

AGREE = 1e-6
SHARED = compiled_engine()
WORLDS = ["example", 11, 23, 37, 58, 71]


@pytest.fixture(params=WORLDS)
def lit(request):
    """Return the example, or a world with sheets of all shapes and lamps of all kinds."""
    return example() if request.param == "example" else some_world(request.param)


def rays_from(at, count):
    """Return what `first_hits` takes for receivers: places, normals, dome, pattern and turn."""
    return (at.points_m[:, None], at.normals[:, None], at.dome, sobol(count), turns(at.turn))


def test_the_same_points_are_buried(lit):
    """Of 3000 in and about the people; some are, some are not."""
    shapes = shapes_of(lit[0])
    ball = shapes.beings[0]
    spread = np.random.default_rng(3).normal(size=(3000, 3))
    points = ball[:3] + 0.4 * ball[3] * spread
    plain = rays.buried(points, shapes)
    assert np.array_equal(plain, SHARED.buried(points, shapes))
    assert 0 < plain.sum() < len(plain)


@pytest.mark.parametrize("samples", [32, 128, 512])
def test_straight_light_is_the_same(lit, samples):
    """Of every lamp at every receiver, within a millionth of the brightest and of each."""
    world, lamps, at = lit
    to = (at.points_m, at.normals, at.dome, lamps_of(lamps), shapes_of(world), samples)
    plain, compiled = rays.direct(*to), SHARED.direct(*to)
    assert compiled == pytest.approx(plain, rel=AGREE, abs=1e-12)
    assert (plain > 0).any(axis=0).all(), "no lamp is dark everywhere"


def test_rays_end_on_the_same_patches(lit):
    """Of flat receivers and domes, every one of them."""
    world, _, at = lit
    shapes = shapes_of(world)
    plain = rays.first_hits(*rays_from(at, 256), shapes)
    compiled = SHARED.first_hits(*rays_from(at, 256), shapes)
    assert np.array_equal(plain, compiled)
    assert len(np.unique(plain)) > 30, "they go all over"


def test_rays_from_several_points_of_a_patch_end_on_the_same(lit):
    """As patches send them; every patch that is not buried is met by some."""
    shapes = shapes_of(lit[0])
    patches = patches_of(lit[0], shapes, rays)
    count = len(patches)
    flat = np.zeros(count, dtype=np.bool_)
    to = (patches.points_m, patches.normals, flat, sobol(128), turns(np.arange(count)), shapes)
    plain, compiled = rays.first_hits(*to), SHARED.first_hits(*to)
    assert np.array_equal(plain, compiled)
    assert plain.max() < patch_count(shapes)


def test_the_same_straight_ways_are_clear(lit):
    """Of 1000 between places in the room; some are, some are not."""
    shapes = shapes_of(lit[0])
    starts, ends = np.random.default_rng(5).uniform((-1.5, -1.5, 0.2), (1.5, 1.5, 2), (2, 1000, 3))
    plain = rays.clear(starts, ends, shapes)
    assert np.array_equal(plain, SHARED.clear(starts, ends, shapes))
    assert 0 < plain.sum() < len(plain)


@pytest.mark.parametrize("roughness", [0.05, 0.3, 1.0])
def test_the_same_light_is_mirrored(lit, roughness):
    """By every sheet, which is glossy here on both sides, from every lamp."""
    world, lamps, at = lit
    coat = Coat(0.8, gloss=0.7, roughness=roughness)
    world = replace(world, sheets=tuple(replace(s, front=coat, back=coat) for s in world.sheets))
    around = surroundings(world, SHARED)
    packed = lamps_of(lamps)
    seen = False
    by_plain, by_compiled = (_mirrors(around, packed, twin, 16) for twin in (rays, SHARED))
    for (_, plain_ways), (_, ways) in zip(by_plain, by_compiled, strict=True):
        for plain_way, way in zip(plain_ways, ways, strict=True):
            assert np.array_equal(plain_way.weight, way.weight)
            to = (at.points_m, at.normals, at.dome, way, around.shapes)
            plain = rays.mirrored(*to)
            assert SHARED.mirrored(*to) == pytest.approx(plain, rel=AGREE, abs=1e-12)
            seen = seen or (plain > 1e-4).any()
    assert seen, "something shows in some sheet"


def test_all_light_is_the_same(lit):
    """Straight and bounced by every group, within a millionth, or 1e-7 of a lamp's exitance.

    One ray of a receiver that ended on another patch would be seen: it carries 1/256 of the light
    from there. So each must end where the other twin's does, as the tests above ask.
    """
    world, lamps, at = lit
    plain = illuminance(world, lamps, at, engine=rays)
    compiled = illuminance(world, lamps, at, engine=SHARED)
    assert plain.groups == compiled.groups
    assert compiled.direct == pytest.approx(plain.direct, rel=AGREE, abs=1e-12)
    assert compiled.bounced == pytest.approx(plain.bounced, rel=AGREE, abs=AGREE * 0.1)


def test_patches_exchange_and_sum_the_same(lit):
    """Areas, reciprocal exchange areas, and what they add up to for the light of all patches."""
    shapes = shapes_of(lit[0])
    plain, compiled = (patches_of(lit[0], shapes, twin) for twin in (rays, SHARED))
    assert np.array_equal(plain.area_m2, compiled.area_m2)
    pairs, found = exchange_of(plain, shapes, rays), exchange_of(compiled, shapes, SHARED)
    assert np.array_equal(pairs.start, found.start)
    assert dense(found) == pytest.approx(dense(pairs), rel=AGREE)
    values = np.random.default_rng(1).random((5, len(plain)))
    assert SHARED.summed(pairs, values) == pytest.approx(rays.summed(pairs, values), rel=AGREE)
    leaving = many_bounces(plain, pairs, values.T, rays)
    assert many_bounces(plain, pairs, values.T, SHARED) == pytest.approx(leaving, rel=AGREE)


def test_sharing_among_threads_changes_no_digit():
    """Enough receivers to be shared, and an odd number of them."""
    world, lamps, at = some_world(5)
    shapes, packed = shapes_of(world), lamps_of(lamps)
    pick = np.arange(151) % len(at)
    points, normals, dome = at.points_m[pick], at.normals[pick], at.dome[pick]
    to = (points, normals, dome, packed, shapes, 64)
    assert np.array_equal(SHARED.direct(*to), kernel.direct(*to))
    to = (points[:, None], normals[:, None], dome, sobol(64).copy(), turns(np.arange(151)), shapes)
    assert np.array_equal(SHARED.first_hits(*to), kernel.first_hits(*to))
    assert np.array_equal(SHARED.buried(points, shapes), kernel.buried(points, shapes))
    ends = points + unit(normals)
    assert np.array_equal(SHARED.clear(points, ends, shapes), kernel.clear(points, ends, shapes))


@pytest.mark.parametrize("twin", [rays, SHARED], ids=["plain", "compiled"])
def test_an_empty_world_is_no_trouble(twin):
    """No people, sheets, room or lamps: light gets through and finds nothing."""
    _, lamps, at = some_world(2)
    nothing = shapes_of(World())
    assert not twin.buried(at.points_m, nothing).any()
    assert (twin.first_hits(*rays_from(at, 16), nothing) == -1).all()
    assert twin.clear(at.points_m, at.points_m + 1, nothing).all()
    to = (at.points_m, at.normals, at.dome)
    assert twin.direct(*to, lamps_of([]), nothing, 128).shape == (len(at), 0)
    assert twin.direct(*to, lamps_of(lamps), nothing, 128).max() > 0
    assert illuminance(World(), lamps, at, engine=twin).bounced.max() == 0
