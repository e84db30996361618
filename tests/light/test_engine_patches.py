from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from lit_worlds import dense, some_world
from panels import opposite_squares, squares_at_an_edge

from kinlight.light.transport import surroundings
from kinlight.light.world import Room, World

SEEDS = [0, 1, 2, 3, 4]


@pytest.mark.parametrize("seed", SEEDS)
def test_patches_exchange_alike_both_ways_and_lose_nothing(seed):
    """A closed room with people and sheets: rows add up to the areas, within a ten-thousandth.

    Now and then one ray of a patch meets a patch that counts as wholly buried in another; what goes
    there is lost, less than a ten-thousandth of all.
    """
    world, _, _ = some_world(seed)
    around = surroundings(world)
    area, exchange = around.patches.area_m2, dense(around.exchange)
    assert np.abs(exchange - exchange.T).max() < 1e-15
    assert (exchange >= 0).all()
    there, rows = area > 0, exchange.sum(axis=1)
    assert there.mean() > 0.9
    assert (exchange[~there] == 0).all()
    assert (rows <= area * (1 + 1e-4)).all()
    assert (rows[there] >= area[there] * (1 - 1e-4)).mean() > 0.99
    assert rows.sum() == pytest.approx(area.sum(), rel=1e-4)


def test_patches_in_the_open_exchange_no_more_than_their_area():
    """Without a room, what leaves for the sky is gone."""
    world, _, _ = some_world(2)
    around = surroundings(replace(world, room=None))
    rows, area = dense(around.exchange).sum(axis=1), around.patches.area_m2
    assert (rows <= area * (1 + 1e-4)).all()
    assert rows.sum() < 0.5 * area.sum()


@pytest.mark.parametrize(
    ("one", "two", "share"),
    [("floor", "ceiling", opposite_squares()), ("floor", "left", squares_at_an_edge())],
)
def test_walls_of_a_cube_exchange_as_the_double_integral_says(one, two, share):
    """Whole walls from 6 x 6 patches each; with 128 rays a patch, to about a hundredth."""
    room = Room((0, 0, 0), (3, 3, 3), (0.5,) * 6, patch_m=0.5)
    exchange = dense(surroundings(World(room=room)).exchange)
    faces = {"left": 0, "floor": 4, "ceiling": 5}
    rows = [slice(36 * faces[name], 36 * faces[name] + 36) for name in (one, two)]
    assert exchange[rows[0], rows[1]].sum() / 9 == pytest.approx(share, rel=0.01)


def test_the_double_integrals_of_a_cube_add_up_to_all_there_is():
    """One wall opposite and four at an edge take up everything, though derived apart."""
    assert opposite_squares() + 4 * squares_at_an_edge() == pytest.approx(1, abs=1e-6)
