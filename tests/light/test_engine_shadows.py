"""What a shadow leaves of a front, where it can be reckoned by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lit_worlds import ALONE, ENGINES, black_ball, some_world, someone

from kinlight.light.emitter import rectangle, round_front
from kinlight.light.packed import MOST_SAMPLES, lamps_of, shapes_of
from kinlight.light.transport import illuminance
from kinlight.light.world import World, receivers, sheet

BEST = ENGINES.get("compiled", ENGINES["plain"])
POINTS_ERR = 0.024  # of a bare front: the most that 128 points err by, tools/choose_scrambling.py


@pytest.fixture(params=list(ENGINES))
def engine(request):
    """Each of the engines."""
    return ENGINES[request.param]


def light_of(front, engine, world=ALONE, dome=False):
    """Return the illuminance per unit exitance at the origin, facing along y."""
    at = receivers([(0, 0, 0)], (0, 1, 0), dome)
    return float(illuminance(world, [front], at, engine=engine).direct[0, 0])


@pytest.mark.parametrize("dome", [False, True])
@pytest.mark.parametrize("hidden", [0.1, 0.25, 0.5, 0.75, 0.9])
def test_a_box_half_behind_a_flag_gives_what_a_narrower_box_would(hidden, dome, engine):
    """The part beside a straight edge is a box itself, whose light has a closed form."""
    edge_m = 0.9 * (hidden - 0.5)
    box = rectangle((0, 1.5, 0), (0, -1, 0), width_m=0.9, height_m=0.9)
    flag = sheet("flag", (edge_m / 1.5 - 2, 1, 0), (0, -1, 0), width_m=4, height_m=4)
    middle, width_m = (edge_m + 0.45) / 2, 0.45 - edge_m
    left = rectangle((middle, 1.5, 0), (0, -1, 0), width_m=width_m, height_m=0.9)
    found = light_of(box, engine, World(sheets=(flag,)), dome)
    bare = light_of(box, engine, dome=dome)
    assert found == pytest.approx(light_of(left, engine, dome=dome), abs=POINTS_ERR * bare)


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
@pytest.mark.parametrize("what", ["disc", "ball"])
def test_what_stands_before_the_middle_of_a_round_front_leaves_a_ring(what, share, engine):
    """Half way to a front of 0.6 m radius: r^2/(d^2 + r^2) of Howell C-21 for it, less the shadow.

    A ball of radius b hides as a disc at the cone that touches it: sin = b / distance.
    """
    front = round_front((0, 3.0, 0), (0, -1, 0), diameter_m=1.2)
    shadow_m = 0.6 * share
    if what == "disc":
        stands = World(
            sheets=(
                sheet("flag", (0, 1.5, 0), (0, -1, 0), width_m=shadow_m, height_m=shadow_m,
                      shape="ellipse"),
            )
        )  # fmt: skip
    else:
        sine = shadow_m / np.hypot(shadow_m, 3.0)
        stands = World((black_ball((0, 1.5, 0), 1.5 * sine),))
    bare, hole = (r**2 / (9 + r**2) for r in (0.6, shadow_m))
    found = light_of(front, engine, stands)
    assert found == pytest.approx(bare - hole, abs=POINTS_ERR * bare)


def test_a_lamp_just_behind_or_before_a_sheet_is_hidden_or_not(engine):
    """A millimetre decides, as between a lamp's front and its box."""
    box = rectangle((0, 1.5, 0), (0, -1, 0), width_m=0.9, height_m=0.9)
    behind, before = (
        sheet("s", (0, 1.5 + d, 0), (0, -1, 0), width_m=1, height_m=1) for d in (1e-3, -1e-3)
    )
    assert light_of(box, engine, World(sheets=(behind,))) == light_of(box, engine)
    assert light_of(box, engine, World(sheets=(before,))) == 0


@settings(max_examples=25)
@given(seed=st.integers(0, 10_000), place=st.tuples(st.floats(-1.5, 1.5), st.floats(-1.5, 1.5)))
def test_somebody_stepping_in_anywhere_only_darkens(seed, place):
    """Straight light of every lamp at every receiver, with all points of a front in use."""
    world, lamps, at = some_world(seed)
    more = replace(world, beings=(*world.beings, someone(np.random.default_rng(seed), *place)))
    before, after = (
        BEST.direct(at.points_m, at.normals, at.dome, lamps_of(lamps), shapes_of(w), MOST_SAMPLES)
        for w in (world, more)
    )
    assert (after <= before * (1 + 1e-9)).all()
