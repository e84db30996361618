from __future__ import annotations

import dataclasses
import functools
import json

import numpy as np
import pytest
from referee_scenes import SCRIM_R, SILVER, scenes
from referee_store import bright, compare, load, mark, path_of, write

from kinlight.light.transport import illuminance
from kinlight.light.world import Receivers, Room, World

CASES = scenes()
ERROR_STOPS = 0.01  # of the tracer, at every point that counts
HEAD_STOPS = 0.05
BLACK_PEOPLE_STOPS, GREY_PEOPLE_STOPS = 0.03, 0.08  # root mean square over the points
LOG2_E = 1 / np.log(2)


def engine_light(case, engine=illuminance):
    """Return what the engine gives at the receivers from each lamp, bounced light with it."""
    light = engine(case.engine_world, case.emitters, case.receivers)
    return light.direct + light.bounced


@functools.cache
def results(name):
    """Return a set, what the tracer stored of it, and what the engine gives."""
    return CASES[name], load(CASES[name]), engine_light(CASES[name])


@pytest.fixture(params=list(CASES))
def compared(request):
    """Each set with both results."""
    return results(request.param)


@pytest.mark.parametrize("name", list(CASES))
def test_stored_results_are_exact_enough(name):
    """To a hundredth of a stop at every point within six stops of the brightest."""
    found = load(CASES[name])
    counts = bright(found.total)
    assert counts.mean() > 0.9, "hardly anything is lit"
    error = LOG2_E * found.total_error[counts] / found.total[counts]
    assert error.max() <= ERROR_STOPS


def test_every_head_agrees_with_the_tracer(compared):
    """The mean light on each head, all lamps together."""
    case, traced, light = compared
    heads = compare(light.sum(axis=1), traced.total, case.head).heads
    assert len(heads) == len(case.world.beings)
    assert max(map(abs, heads.values())) <= HEAD_STOPS, heads


def test_every_head_agrees_lamp_by_lamp(compared):
    """The mean light on each head from each lamp, over the points that get any to speak of."""
    case, traced, light = compared
    off = {
        (lamp, head): stops
        for lamp, (ours, theirs) in enumerate(zip(light.T, traced.illuminance.T, strict=True))
        for head, stops in compare(ours, theirs, case.head).heads.items()
        if abs(stops) > HEAD_STOPS
    }
    assert not off


def test_points_agree_with_the_tracer(compared):
    """The light at each point of faces and backdrop, as a root mean square."""
    case, traced, light = compared
    people = max(max(b.clothes, b.skin, b.hair) for b in case.world.beings)
    bound = BLACK_PEOPLE_STOPS if people <= 0.05 else GREY_PEOPLE_STOPS
    assert compare(light.sum(axis=1), traced.total, case.head).rms <= bound


# --- the tracer is still the one whose results are stored ---


def test_a_set_traced_anew_gives_what_is_stored():
    """Four points on each of eight heads, with other random numbers, within four errors."""
    from tracer import Effort, trace

    case = CASES["scrim_on_silver"]
    traced = load(case)
    few = np.concatenate([np.flatnonzero(case.head == k)[3:60:15] for k in range(8)])
    points = Receivers(
        case.receivers.points_m[few], case.receivers.normals[few], case.receivers.dome[few]
    )
    anew = trace(case.world, case.emitters, points, effort=Effort(batches=1), seed=77)
    assert len(few) == 32
    error = np.hypot(anew.total_error, traced.total_error[few])
    assert (error < 0.05 * traced.total[few]).all(), "too coarse to say anything"
    z = (anew.total - traced.total[few]) / error
    assert np.abs(z).max() < 4
    assert abs(z.mean()) * np.sqrt(len(z)) < 4


# --- the comparison itself ---


def test_a_stale_or_missing_result_says_what_to_run(tmp_path):
    """Nothing is compared with a set that is no longer the one traced."""
    case = CASES["shirt_white"]
    found = load(case)
    with pytest.raises(AssertionError, match=r"python tools/trace_referee.py shirt_white"):
        load(case, tmp_path)
    write(case, found, {}, tmp_path)
    assert load(case, tmp_path).total == pytest.approx(found.total, rel=1e-5)
    world = case.world
    room = dataclasses.replace(world.room, high_m=(3.0, 2.8, 3.001))
    other = dataclasses.replace(case, world=World(world.beings, world.sheets, room))
    with pytest.raises(AssertionError, match=r"no longer what was traced; .* shirt_white"):
        load(other, tmp_path)


def test_the_mark_of_a_set_is_of_what_is_traced_alone():
    """It changes with a reflectance and a place, not with how the engine cuts things up."""
    case = CASES["shirt_white"]
    first, *rest = case.world.sheets
    finer = dataclasses.replace(first, tile_m=0.1, near=not first.near, name="other")
    moved = dataclasses.replace(first, centre_m=first.centre_m + 0.001)
    room = case.world.room
    darker = Room(room.low_m, room.high_m, (*room.reflectance[:5], 0.29), room.patch_m / 2)

    def marked(**changed):
        return mark(dataclasses.replace(case, world=dataclasses.replace(case.world, **changed)))

    assert marked(sheets=(finer, *rest)) == mark(case)
    assert marked(sheets=(moved, *rest)) != mark(case)
    assert marked(room=darker) != mark(case)


def test_shirts_differ_in_the_shirt_alone():
    """The two sets have the same points, and one person's clothes apart the same people."""
    white, black = CASES["shirt_white"], CASES["shirt_black"]
    assert np.array_equal(white.receivers.points_m, black.receivers.points_m)
    told = [[(b.name, b.clothes) for b in c.world.beings] for c in (white, black)]
    assert [w for w, b in zip(*told, strict=True) if w != b] == [("father", 0.85)]
    assert told[1][0] == ("father", 0.04)


def test_comparison_is_in_stops_over_the_bright_points():
    """Half as much is a stop less; what is darker than 1/64 of the brightest does not count."""
    traced = np.array([64.0, 32.0, 8.0, 0.5])
    off = compare(np.array([32.0, 16.0, 8.0, 9.0]), traced, np.array([0, 0, 1, 1]))
    assert off.points == pytest.approx([-1, -1, 0])
    assert off.heads == pytest.approx({0: -1.0, 1: 0.0})
    assert off.rms == pytest.approx(np.sqrt(2 / 3))
    assert off.worst_head == pytest.approx(-1.0)


def test_stored_files_belong_to_the_sets():
    """One file a set, none left over, each saying how it was made."""
    files = sorted(path_of("x").parent.glob("referee_*.json"))
    assert files == sorted(path_of(name) for name in CASES)
    for file in files:
        told = json.loads(file.read_text())
        assert {"seed", "tracer", "max_depth", "samples", "sha256"} <= told.keys()


def test_the_stack_the_engine_gets_sends_back_more_than_its_scrim():
    """Light goes through the scrim, to the silver and back, many times over [kubelka1954]."""
    front = CASES["scrim_on_silver"].engine_world.sheets[0].front
    assert SCRIM_R < front.reflectance < SCRIM_R + (1 - SCRIM_R) * SILVER.reflectance
    assert len(CASES["scrim_on_silver"].world.sheets) == 1 + len(
        CASES["scrim_on_silver"].engine_world.sheets
    )
