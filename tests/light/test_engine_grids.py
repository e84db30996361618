from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from grid_oracle import round_cells, square_cells
from hypothesis import given, settings
from hypothesis import strategies as st
from lit_worlds import ALONE, ENGINES, stored

from kinlight.geometry.vectors import unit
from kinlight.light.emitter import Grid, octagon, rectangle
from kinlight.light.transport import illuminance
from kinlight.light.world import receivers

STRIP = {"width_m": 0.3, "height_m": 0.9}
CASES = {i: c for i, c in stored("engine_cases").items() if "rel_tol" in c and "cell_w" in str(c)}
BEST = ENGINES.get("compiled", ENGINES["plain"])


def strip(away_m, grid):
    """Return the strip about the y axis, shining toward its origin."""
    return replace(rectangle((0, away_m, 0), (0, -1, 0), **STRIP), grid=grid)


def light_of(front, point, normal, dome=False, engine=BEST):
    """Return the illuminance per unit exitance at one receiver."""
    light = illuminance(ALONE, [front], receivers([point], normal, dome), engine=engine)
    return float(light.total[0, 0])


def seen_from(away_m, off_axis_deg, around_deg):
    """Return a receiver at an angle off the strip's axis, and the direction to its middle."""
    off = away_m * math.tan(math.radians(off_axis_deg))
    a = math.radians(around_deg)
    point = np.array([off * math.cos(a), 0.0, off * math.sin(a)])
    return point, unit(np.array([0, away_m, 0]) - point)


@pytest.mark.parametrize("name", list(CASES))
def test_the_sum_over_cells_has_the_stored_values(name):
    """The oracle itself: ten digits reckoned outside this package, at the cases' own tolerance."""
    told = CASES[name]["geometry"]
    cells = {"away_m": told["strip"]["centre"][1], "cell_m": told["cell_w"]} | STRIP
    value = square_cells(told["P"], told["n"], depth_m=told["depth"], **cells)
    assert value == pytest.approx(CASES[name]["expected"], rel=CASES[name]["rel_tol"])


cells_across = st.sampled_from([3, 6, 10])


@settings(max_examples=60)
@given(
    away_m=st.floats(0.7, 3),
    off_axis_deg=st.floats(0, 60),
    around_deg=st.floats(0, 360),
    turned_by=st.tuples(*[st.floats(-0.5, 0.5)] * 3),
    across=cells_across,
    depth=st.floats(0.3, 2),
    dome=st.booleans(),
)
def test_square_cells_let_by_what_their_exact_sum_says(
    away_m, off_axis_deg, around_deg, turned_by, across, depth, dome
):
    """Within 0.02 stop where over a fiftieth arrives, else within a thousandth of the bare strip.

    In cells of 3 to 10 cm, from nearer than a metre to three, each 0.3 to 2 times as deep as wide.
    """
    cell_m = STRIP["width_m"] / across
    point, toward = seen_from(away_m, off_axis_deg, around_deg)
    normal = unit(toward + np.array(turned_by))
    grid = Grid("egg-crate", cell_m, depth * cell_m)
    bare = light_of(strip(away_m, None), point, normal, dome)
    value = light_of(strip(away_m, grid), point, normal, dome)
    cells = {"away_m": away_m, "cell_m": cell_m, "depth_m": depth * cell_m} | STRIP
    exact = square_cells(point, normal, dome=dome, **cells)
    if exact > 0.02 * bare:
        assert abs(math.log2(value / exact)) < 0.02
    else:
        assert abs(value - exact) < 0.001 * bare


@pytest.mark.parametrize("engine", list(ENGINES))
@pytest.mark.parametrize("cell_m", [0.01, 0.03])
@pytest.mark.parametrize("off_axis_deg", [0, 15, 30])
def test_a_honeycomb_lets_by_what_random_rays_find(off_axis_deg, cell_m, engine):
    """Rays through real round tubes as deep as wide: within 0.02 stop and four standard errors.

    A point of a front stands for the middle of a cell here, which errs by the square of the cell's
    size over the distance.
    """
    point, normal = seen_from(1.5, off_axis_deg, 20)
    grid = Grid("honeycomb", cell_m, cell_m)
    bare = light_of(strip(1.5, None), point, normal)
    cells = {"away_m": 1.5, "cell_m": cell_m, "depth_m": cell_m} | STRIP
    share, error = round_cells(point, normal, rays=100_000, seed=off_axis_deg, **cells)
    assert error < 0.01 * share, "too coarse to say anything"
    value = light_of(strip(1.5, grid), point, normal, engine=ENGINES[engine]) / bare
    assert abs(math.log2(value / share)) < 0.02 + 4 * error / share / math.log(2)


@settings(max_examples=40)
@given(
    kind=st.sampled_from(["egg-crate", "honeycomb"]),
    make=st.sampled_from([partial(rectangle, **STRIP), partial(octagon, across_corners_m=1.0)]),
    point=st.tuples(*[st.floats(-1.5, 1.5)] * 3),
    cell_m=st.floats(0.01, 0.1),
    depth=st.floats(0.1, 3),
    dome=st.booleans(),
)
def test_a_grid_never_brightens(kind, make, point, cell_m, depth, dome):
    """Against the bare front, at any place and for cells that do not fill it.

    A cell seen in part may lie nearer than the cell as a whole by its own half: far less than a
    thousandth of a stop at these distances on average, the leeway here.
    """
    front = make((0, 3, 0), (0, -1, 0))
    toward = np.array([0, 3, 0]) - np.array(point)
    bare = light_of(front, point, toward, dome)
    gridded = light_of(replace(front, grid=Grid(kind, cell_m, depth * cell_m)), point, toward, dome)
    assert gridded <= bare * 2**0.001


@pytest.mark.parametrize("engine", list(ENGINES))
@pytest.mark.parametrize("dome", [False, True])
def test_a_grid_brightens_no_receiver_however_it_faces(engine, dome):
    """Also one that has all but a rim of the front under its horizon; 2000 of them, by one seed."""
    rng, front = np.random.default_rng(11), strip(1.5, Grid("egg-crate", 0.05, 0.05))
    count = 2000
    points = rng.uniform((-2, -1, -2), (2, 1.2, 2), (count, 3))
    along = rng.normal(size=(count, 3))
    toward = front.centre_m - points
    across = np.cross(
        toward, along
    )  # square to the way to the front's middle, then tipped a little
    normals = across / np.linalg.norm(across, axis=1, keepdims=True)
    normals = normals + rng.normal(scale=0.1, size=(count, 3))
    at = receivers(points, normals, dome)
    bare, gridded = (
        illuminance(ALONE, [f], at, engine=ENGINES[engine]).direct
        for f in (replace(front, grid=None), front)
    )
    assert (gridded > 0).sum() > 100
    assert (gridded <= bare * (1 + 1e-12)).all()


@pytest.mark.parametrize("engine", list(ENGINES))
def test_nothing_comes_from_a_grid_around_the_receiver(engine):
    """A receiver between the walls of the cells is in a place where nobody asks for light."""
    front = strip(0.04, Grid("egg-crate", 0.05, 0.05))
    assert light_of(front, (0, 0, 0), (0, 1, 0), engine=ENGINES[engine]) == 0
