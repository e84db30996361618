from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lit_worlds import ALONE, ENGINES, black_ball, some_world

from kinlight.geometry.vectors import unit
from kinlight.light.emitter import Emitter, octagon, rectangle
from kinlight.light.packed import MOST_SAMPLES, lamps_of, shapes_of
from kinlight.light.transport import illuminance
from kinlight.light.world import Receivers, World, receivers, sheet

BEST = ENGINES.get("compiled", ENGINES["plain"])
# By tools/choose_scrambling.py, 128 points err by 0.024 of the square at most for the area of 600
# shapes; two sets of them differ by twice that, and half as much again as points weigh unevenly.
TWO_SETS = 0.072
seeds = st.integers(0, 10_000)
places = st.tuples(st.floats(-1.5, 1.5), st.floats(-1.5, 1.5), st.floats(0.2, 2.2))
directions = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1)
sizes = st.floats(0.1, 1.5)


def direct(world, lamps, at, samples=128, engine=BEST):
    """Return what comes straight, shape (n, k)."""
    return engine.direct(
        at.points_m, at.normals, at.dome, lamps_of(lamps), shapes_of(world), samples
    )


def facing(lamps, at):
    """Return what comes to the receivers' places turned to each lamp, nothing before it, (n, k)."""
    even = [Emitter(lamp.polygon_m) for lamp in lamps]
    turned = [
        direct(ALONE, [e], Receivers(at.points_m, unit(e.centre_m - at.points_m), at.dome))
        for e in even
    ]
    return np.concatenate(turned, axis=1) * [(e.beam + 1) / 2 * 2**e.edge_stops for e in lamps]


def a_sheet(at, toward, width_m, height_m, **other):
    """Return a black sheet."""
    return sheet("flag", at, toward, width_m=width_m, height_m=height_m, **other)


@settings(max_examples=30)
@given(seed=seeds, at=places, toward=directions, width_m=sizes, height_m=sizes,
       shape=st.sampled_from(["rectangle", "octagon", "ellipse"]))  # fmt: skip
def test_a_black_sheet_anywhere_only_darkens(seed, at, toward, width_m, height_m, shape):
    """Straight light of every lamp at every receiver, with people and sheets about.

    Exactly so with all points of a front in use from the start; 128 may be four times as many where
    the sheet hides much, and then differ by what sampling does.
    """
    world, lamps, where = some_world(seed)
    flag = a_sheet(at, toward, width_m, height_m, shape=shape)
    more = replace(world, sheets=(*world.sheets, flag))
    before, after = (direct(w, lamps, where, MOST_SAMPLES) for w in (world, more))
    assert (after <= before * (1 + 1e-9)).all()
    usual, flagged = (direct(w, lamps, where) for w in (world, more))
    assert (flagged <= usual + TWO_SETS * facing(lamps, where)).all()


@settings(max_examples=30)
@given(seed=seeds)
def test_what_stands_about_only_darkens(seed):
    """People and sheets take from what each lamp would give alone, or leave it as it is."""
    world, lamps, where = some_world(seed)
    bare, found = direct(ALONE, lamps, where), direct(world, lamps, where)
    even = np.array([e.grid is None and e.beam == 1 and e.edge_stops == 0 for e in lamps])
    assert (found[:, even] <= bare[:, even] * (1 + 1e-9)).all()
    assert (found <= bare + TWO_SETS * facing(lamps, where)).all()
    assert (found < 0.5 * bare).any(), "nothing stands in the way of anything"


def test_with_nothing_in_the_way_the_number_of_points_does_not_matter():
    """A plain front is then in closed form: the same to the last digit, and none for behind it."""
    _, lamps, where = some_world(1)
    lamps = lamps[:1] + lamps[-1:]
    assert np.array_equal(direct(ALONE, lamps, where, 16), direct(ALONE, lamps, where, 512))


@pytest.mark.parametrize("samples", [16, 64, 128, 256, 512])
@pytest.mark.parametrize("engine", list(ENGINES))
def test_any_power_of_two_of_points_will_do(engine, samples):
    """Half a front hidden by a straight edge: half the light is left, within a point or two.

    512 is all there are, and asking for four times as many where less is seen must not go beyond.
    """
    front = rectangle((0, 1.5, 0), (0, -1, 0), width_m=0.9, height_m=0.9)
    flag = a_sheet((-1.0 + 0.01, 1.0, 0), (0, -1, 0), 2.0, 4.0)  # its edge a little past the axis
    where = receivers([(0, 0, 0)], (0, 1, 0))
    bare = direct(ALONE, [front], where)[0, 0]
    left = direct(World(sheets=(flag,)), [front], where, samples, ENGINES[engine])[0, 0]
    seen = 0.5 - 0.015 / 0.9  # the edge throws its shadow 1.5 times as far out
    assert left / bare == pytest.approx(seen, abs=2 / min(4 * samples, 512) + 0.002)


@settings(max_examples=25)
@given(seed=seeds, beam=st.floats(1, 8), edge_stops=st.floats(0, 3), toward=directions)
def test_far_away_light_falls_with_the_square_of_distance(seed, beam, edge_stops, toward):
    """At 100 and 200 times its size, whatever its profile and beam, flat and dome."""
    rng = np.random.default_rng(seed)
    front = octagon((0, 0, 0), rng.normal(size=3), across_corners_m=rng.uniform(0.2, 1.5))
    front = Emitter(front.polygon_m, beam=beam, edge_stops=edge_stops)
    way = unit(front.normal + 0.5 * unit(toward))
    size = np.ptp(front.polygon_m, axis=0).max()
    points = [100 * size * way, 200 * size * way] * 2
    at = receivers(points, -way, [False, False, True, True])
    near, far, near_dome, far_dome = direct(ALONE, [front], at)[:, 0]
    assert near / far == pytest.approx(4, rel=1e-3)
    assert near_dome / far_dome == pytest.approx(4, rel=1e-3)


@settings(max_examples=15)
@given(seed=seeds)
def test_lamps_add_up(seed):
    """Each lamp gives the same whichever others are lit; a front is the sum of its halves."""
    world, lamps, at = some_world(seed)
    alone = np.column_stack([direct(world, [lamp], at) for lamp in lamps])
    assert direct(world, lamps, at) == pytest.approx(alone, rel=1e-9, abs=1e-15)
    a, b, c, d = lamps[0].polygon_m
    halves = [Emitter(np.array([a, (a + b) / 2, (c + d) / 2, d])),
              Emitter(np.array([(a + b) / 2, b, c, (c + d) / 2]))]  # fmt: skip
    whole, parts = direct(world, lamps[:1], at)[:, 0], direct(world, halves, at).sum(axis=1)
    most = facing(lamps[:1], at)[:, 0]
    assert (np.abs(parts - whole) <= TWO_SETS * most).all()
    assert np.abs(parts - whole).mean() <= 0.005 * most.mean()


def mirrored(world, lamps, at):
    """Return everything as a mirror in the plane x = 0 shows it."""
    flip = np.array([-1.0, 1, 1])
    sheets = tuple(
        replace(s, centre_m=flip * s.centre_m, right=-flip * s.right, up=flip * s.up)
        for s in world.sheets
    )
    balls = tuple(
        black_ball(flip * b.solids.centre_m[0], b.solids.radius_m[0].max()) for b in world.beings
    )
    turned = [replace(e, polygon_m=(flip * e.polygon_m)[::-1]) for e in lamps]
    where = Receivers(flip * at.points_m, flip * at.normals, at.dome)
    return World(balls, sheets), turned, where


@settings(max_examples=15)
@given(seed=seeds)
def test_a_mirror_shows_the_same_light(seed):
    """Exactly with nothing in the way; else within what sampling does to two sets of points."""
    world, lamps, at = some_world(seed)
    balls = tuple(black_ball(b.solids.centre_m[0], 0.12) for b in world.beings)
    world = World(balls, world.sheets)
    _, turned, there = mirrored(world, lamps, at)
    bare, bare_too = direct(ALONE, lamps[:1], at), direct(ALONE, turned[:1], there)
    assert bare == pytest.approx(bare_too, rel=1e-9, abs=1e-14)
    ours, theirs = direct(world, lamps, at), direct(*mirrored(world, lamps, at))
    most = facing(lamps, at)
    assert (np.abs(ours - theirs) <= TWO_SETS * most).all()
    assert np.abs(ours - theirs).mean() <= 0.005 * most.mean()


@settings(max_examples=20)
@given(seed=seeds)
def test_light_goes_both_ways_alike(seed):
    """A small square and a receiver change places: flux per unit exitance and area stays the same.

    Squares of 1 mm, half a metre and more apart: within a thousandth of what they would give face
    to face. Few pairs see each other in part only, and those say nothing.
    """
    world, _, at = some_world(seed)
    size = 0.001
    for k in range(0, 40, 2):
        a, b, n = at.points_m[k], at.points_m[k + 1], at.normals[k]
        m = unit(a - b + 0.3 * at.normals[k + 1])
        n = n if n @ (b - a) > 0 else -n
        if np.linalg.norm(a - b) < 0.5:
            continue
        here, there = (rectangle(p, v, width_m=size, height_m=size) for p, v in ((a, n), (b, m)))
        found = [
            [direct(w, [e], receivers([p], v))[0, 0] for w in (world, ALONE)]
            for e, p, v in ((here, b, m), (there, a, n))
        ]
        (one, bare), (other, bare_too) = found
        within = 1e-3 * size**2 / (np.pi * (a - b) @ (a - b))
        assert bare == pytest.approx(bare_too, abs=within)
        if {round(one / bare, 6), round(other / bare_too, 6)} <= {0.0, 1.0}:
            assert one == pytest.approx(other, abs=within)


@pytest.mark.parametrize("engine", list(ENGINES))
def test_nothing_comes_from_behind_a_flag(engine):
    """A lamp moved behind a flag larger than itself gives nothing, nor does one facing away."""
    flag = a_sheet((0, 1.0, 0), (0, -1, 0), 3.0, 3.0)
    at = receivers([(0, 0, 0), (0.1, 0.3, -0.2)], (0, 1, 0), [False, True])
    world = World(sheets=(flag,))

    def light(y, facing):
        front = rectangle((0, y, 0), (0, facing, 0), width_m=0.9, height_m=0.9)
        return illuminance(world, [front], at, engine=ENGINES[engine]).total

    assert (light(0.9, -1) > 0.1).all()
    assert (light(1.1, -1) == 0).all()
    assert (light(0.9, 1) == 0).all()


@settings(max_examples=40)
@given(seed=seeds)
def test_small_things_near_a_large_front_are_not_overlooked(seed):
    """A finger before the nearest corner of a close, turned front takes what of it it hides."""
    rng = np.random.default_rng(seed)
    front = rectangle((0, 0, 0), rng.normal(size=3), width_m=1.2, height_m=1.2)
    point = 0.5 * front.normal + rng.normal(size=3) * 0.3
    if point @ front.normal < 0.2:
        return
    corner = 0.97 * front.polygon_m[np.argmin(np.linalg.norm(front.polygon_m - point, axis=1))]
    middle = point + rng.uniform(0.5, 0.9) * (corner - point)
    where = receivers([point], unit(corner - point), True)
    for world in (
        World(sheets=(a_sheet(middle, point - middle, 0.06, 0.06),)),
        World((black_ball(middle, 0.03),)),
    ):
        bare = direct(ALONE, [front], where)[0, 0]
        assert direct(world, [front], where, MOST_SAMPLES)[0, 0] < bare * (1 - 1e-4)


def test_a_front_needs_no_right_angles():
    """A trapezium's points lie on it, evenly: the light of its parts adds up behind an edge."""
    outline = np.array([(-0.5, 1.5, -0.4), (0.5, 1.5, -0.4), (0.2, 1.5, 0.4), (-0.2, 1.5, 0.4)])
    whole = Emitter(outline)
    flag = a_sheet((0, 1.0, -1.0), (0, -1, 0), 4.0, 2.0)  # hides what lies under z = 0
    upper = Emitter(np.array([(-0.35, 1.5, 0), (0.35, 1.5, 0), (0.2, 1.5, 0.4), (-0.2, 1.5, 0.4)]))
    where = receivers([(0, 0, 0)], (0, 1, 0))
    left = direct(World(sheets=(flag,)), [whole], where)[0, 0]
    assert abs(math.log2(left / direct(ALONE, [upper], where)[0, 0])) < 0.02
