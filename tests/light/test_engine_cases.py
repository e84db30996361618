from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from lit_worlds import (
    ALONE,
    ENGINES,
    back_of,
    front_of,
    receiver_of,
    seen_of,
    stored,
    world_of,
)

from kinlight.light.emitter import rectangle
from kinlight.light.transport import gathered, illuminance, leaving_at, surroundings
from kinlight.light.world import receivers

UNOBSTRUCTED = stored("unobstructed_cases")
TRACED = stored("tracer_cases")
OTHERS = stored("engine_cases")
ALL = UNOBSTRUCTED | TRACED | OTHERS
DISTANT = [i for i in OTHERS if i.startswith("h_distant")]
POINTS = [i for i in ALL if i not in DISTANT and "expected" in ALL[i]]
UNOBSTRUCTED_STOPS = 1e-5  # the project's tolerance for what nothing stands in the way of


@pytest.fixture(params=list(ENGINES))
def engine(request):
    """Each of the engines."""
    return ENGINES[request.param]


def geometry_of(name):
    """Return the geometry of a case, which may be that of another."""
    told = ALL[name]["geometry"]
    return geometry_of(told["same"]) if "same" in told else told


def bare_of(name):
    """Return what a strip gives without its grid."""
    return ALL[name.removesuffix("_raytest")]["bare"]


def value_of(name, engine):
    """Return the illuminance the engine gives; of a reflector, what it alone gives."""
    told = geometry_of(name)
    front = front_of(told)
    light = illuminance(world_of(told, front), [front], receiver_of(told), engine=engine)
    found = light.bounced if name.startswith("d_") else light.total
    return float(found[0, 0])


@pytest.mark.parametrize("name", POINTS)
def test_reference_case_is_met(name, engine):
    """Within its own tolerance: 1e-5 stop with nothing between, 0.002 one bounce, 0.03 the rest."""
    case, value = ALL[name], value_of(name, engine)
    if case["expected"] == 0:
        assert value <= case["engine_tol_abs_of_bare"] * bare_of(name)
        return
    within = case.get("engine_tol_stop", UNOBSTRUCTED_STOPS)
    assert abs(math.log2(value / case["expected"])) <= within


@pytest.mark.parametrize("name", [i for i in OTHERS if "engine_tol_abs_of_bare" in OTHERS[i]])
def test_beyond_cut_off_only_the_grid_keeps_it_dark(name, engine):
    """The bare strip shines at the receiver as stored, so that zero is not of facing away."""
    told = geometry_of(name)
    front = replace(front_of(told), grid=None)
    bare = illuminance(ALONE, [front], receiver_of(told), engine=engine).total[0, 0]
    assert bare == pytest.approx(bare_of(name), rel=1e-6)


@pytest.mark.parametrize(
    "name", [i for i in OTHERS if "traced" in OTHERS[i] and OTHERS[i]["expected"]]
)
def test_reference_case_is_met_as_a_tracer_has_it(name, engine):
    """The same tolerance, and four standard errors of the tracer."""
    case, value = OTHERS[name], value_of(name, engine)
    room = 4 * case["traced_se"] / case["traced"] / math.log(2)
    assert abs(math.log2(value / case["traced"])) <= case["engine_tol_stop"] + room


@pytest.mark.parametrize("name", DISTANT)
def test_a_distant_front_is_weighed_by_a_dome_as_a_cardioid(name, engine):
    """A 0.1 m square at 100 m: (1 + cos t)/2; 4e-8 is its finite size (findings, section 4)."""
    case = OTHERS[name]
    t = math.radians(case["geometry"]["angle_deg"])
    front = rectangle((0, 100, 0), (0, -1, 0), width_m=0.1, height_m=0.1)
    axes = [(math.sin(t), math.cos(t), 0), (0, 1, 0)]
    dome, flat = illuminance(
        ALONE, [front], receivers(np.zeros((2, 3)), axes, [True, False]), engine=engine
    ).total[:, 0]
    if case["expected"] == 0:
        assert dome < case["abs_tol"]
        assert dome / flat < 1e-7
    else:
        assert abs(math.log2(dome / flat / case["expected"])) <= case["engine_tol_stop"]


def test_each_bounce_adds_what_a_tracer_finds_by_depth():
    """The share of the walls by how often light met one: 1, 2, 3, 4, 5, 7, 11 and 39 times.

    With patches of half a metre: the stored depths are of the indirect light alone, a fifth of the
    whole, so that the tolerance for the whole, which is met with the usual patches, is harder here.
    """
    case = OTHERS["e_room_depth_truncation"]
    told = geometry_of(case["same"])
    front = front_of(told)
    usual = world_of(told, front)
    around = surroundings(replace(usual, room=replace(usual.room, patch_m=0.5)))
    at = receivers([told["P"]] * 64, told["n"])  # many directions' worth of one place
    gather = seen_of(gathered(around, at), around).mean(axis=0)
    leaving = leaving_at(around, [front])
    back = back_of(around)
    term = leaving - back @ leaving
    so_far, found = np.zeros_like(leaving), {}
    for depth in range(2, 41):
        so_far, term = so_far + term, back @ term
        found[str(depth)] = float(gather @ so_far[:, 0])
    for depth, expected in case["indirect_by_max_depth"].items():
        assert abs(math.log2(found[depth] / expected)) <= case["engine_tol_stop"], depth


def test_every_case_of_the_project_is_here():
    """67 of them: on axis, feathered, round, bounce, room, grid, head, dome."""
    assert len(ALL) == len(UNOBSTRUCTED) + len(TRACED) + len(OTHERS) == 67
    assert {i[0] for i in ALL} == set("abcdefgh")
    assert len(POINTS) + len(DISTANT) + 1 == 67
