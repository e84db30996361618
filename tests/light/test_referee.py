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
LAMP_ERROR_STOPS = 0.05  # of the tracer, at every point that counts for one lamp
LOG2_E = 1 / np.log(2)

# --- the project's stated aims, of all lamps together and of heads ---
HEAD_STOPS = 0.05
BLACK_PEOPLE_STOPS, GREY_PEOPLE_STOPS = 0.03, 0.08  # root mean square over the points

# --- guards: no aims, but a little more than what is found now, so that a loss is noticed ---
BLACK_GUARD_STOPS, GREY_GUARD_STOPS = 0.025, 0.04  # root mean square, all lamps together
MEAN_GUARD_STOPS = (-0.02, 0.005)  # of all points of a set, all lamps together
HEAD_GUARD_STOPS = (-0.03, 0.01)  # of each head, all lamps together
LAMP_MEAN_GUARD_STOPS = (-0.06, 0.01)  # of all points, for one lamp
LAMP_BLACK_GUARD_STOPS, LAMP_GREY_GUARD_STOPS = 0.065, 0.12
"""Root mean square for one lamp over six stops, which is more than the aims for all together.

Where less than half of a lamp's light comes straight, as on faces from a strip behind the group,
points are off by up to 0.15 stop in a set; where more does, by up to 0.05.
"""
WELL_LIT = 1 / 8
"""A lamp's points that are at least this share of its brightest keep the aims by themselves."""


def people_are_black(case):
    """Return whether nothing on anybody reflects more than a twentieth."""
    return max(max(b.clothes, b.skin, b.hair) for b in case.world.beings) <= 0.05


def by_lamp(results):
    """Yield each lamp's number, what the engine gives of it and what was traced."""
    _, traced, light = results
    yield from zip(range(light.shape[1]), light.T, traced.illuminance.T, strict=True)


def within(value, bounds):
    """Return whether a value lies between two bounds."""
    return bounds[0] <= value <= bounds[1]


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
    for values, errors in zip(found.illuminance.T, found.error.T, strict=True):
        counts = bright(values)
        assert (LOG2_E * errors[counts] / values[counts]).max() <= LAMP_ERROR_STOPS


def test_every_head_agrees_with_the_tracer(compared):
    """The mean light on each head, all lamps together."""
    case, traced, light = compared
    heads = compare(light.sum(axis=1), traced.total, case.head).heads
    assert len(heads) == len(case.world.beings)
    assert max(map(abs, heads.values())) <= HEAD_STOPS, heads
    assert all(within(stops, HEAD_GUARD_STOPS) for stops in heads.values()), heads


def test_every_head_agrees_lamp_by_lamp(compared):
    """The mean light on each head from each lamp, over the points that get any to speak of."""
    case = compared[0]
    off = {
        (lamp, head): stops
        for lamp, ours, theirs in by_lamp(compared)
        for head, stops in compare(ours, theirs, case.head).heads.items()
        if abs(stops) > HEAD_STOPS
    }
    assert not off


def test_points_agree_with_the_tracer(compared):
    """The light at each point of faces and backdrop, as a root mean square."""
    case, traced, light = compared
    black = people_are_black(case)
    rms = compare(light.sum(axis=1), traced.total, case.head).rms
    assert rms <= (BLACK_PEOPLE_STOPS if black else GREY_PEOPLE_STOPS)
    assert rms <= (BLACK_GUARD_STOPS if black else GREY_GUARD_STOPS)


def test_points_are_hardly_dark_on_the_whole(compared):
    """The engine errs to one side: dark, by no more than the explanation of the light says."""
    case, traced, light = compared
    mean = compare(light.sum(axis=1), traced.total, case.head).mean
    assert within(mean, MEAN_GUARD_STOPS)


def test_points_that_a_lamp_lights_well_agree_lamp_by_lamp(compared):
    """As exactly as the aims ask of all lamps together, within three stops of its brightest."""
    case = compared[0]
    bound = BLACK_PEOPLE_STOPS if people_are_black(case) else GREY_PEOPLE_STOPS
    rms = {
        lamp: compare(ours, theirs, case.head, WELL_LIT).rms
        for lamp, ours, theirs in by_lamp(compared)
    }
    assert max(rms.values()) <= bound, rms


def test_points_agree_lamp_by_lamp_as_well_as_they_did(compared):
    """Within six stops of a lamp's brightest: guards, for no aim is stated of one lamp's points."""
    case = compared[0]
    bound = LAMP_BLACK_GUARD_STOPS if people_are_black(case) else LAMP_GREY_GUARD_STOPS
    for lamp, ours, theirs in by_lamp(compared):
        off = compare(ours, theirs, case.head)
        assert off.rms <= bound, lamp
        assert within(off.mean, LAMP_MEAN_GUARD_STOPS), lamp


def test_it_is_large_patches_of_the_walls_that_make_a_pale_room_dark():
    """With patches half as wide less than half of it is left: light is even over a patch."""
    case, traced, light = results("room_pale_people_black")
    room = case.engine_world.room
    finer = dataclasses.replace(room, patch_m=room.patch_m / 2)
    world = dataclasses.replace(case.engine_world, room=finer)
    fine = engine_light(dataclasses.replace(case, engine_world=world))
    one, other = (
        compare(found.sum(axis=1), traced.total, case.head).mean for found in (light, fine)
    )
    assert one < -ERROR_STOPS
    assert abs(other) < abs(one) / 2


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
    """Half as much is a stop less; what both find darker than 1/64 of the brightest is left out."""
    traced = np.array([64.0, 32.0, 8.0, 0.5])
    off = compare(np.array([32.0, 16.0, 8.0, 0.9]), traced, np.array([0, 0, 1, 1]))
    assert off.points == pytest.approx([-1, -1, 0])
    assert off.heads == pytest.approx({0: -1.0, 1: 0.0})
    assert off.mean == pytest.approx(-2 / 3)
    assert off.rms == pytest.approx(np.sqrt(2 / 3))
    assert off.worst_head == pytest.approx(-1.0)


def test_light_where_there_should_be_none_counts():
    """As much as light that is missing; a point without any is no trouble."""
    traced, head = np.array([64.0, 32.0, 0.5, 0.0]), np.array([0, 0, 1, 2])
    off = compare(np.array([64.0, 32.0, 8.0, 16.0]), traced, head)
    assert off.points[:3] == pytest.approx([0, 0, 4])
    assert off.heads[1] == pytest.approx(4)
    assert off.heads[2] > 20
    missing = compare(np.array([64.0, 0.0, 0.5, 0.0]), traced, head)
    assert missing.points[1] < -20


@pytest.mark.parametrize(("name", "lamp"), [("strip_gridded", 1), ("room_dark_people_black", 2)])
def test_a_lamp_that_leaks_is_noticed(name, lamp):
    """Points it leaves dark made a thirty-second as bright as its brightest: the guards say so."""
    case, traced, light = results(name)
    ours, theirs = light[:, lamp].copy(), traced.illuminance[:, lamp]
    dark = ~bright(theirs)
    assert dark.sum() > 50, "it leaves some dark"
    ours[dark] = np.maximum(ours[dark], theirs.max() / 32)
    off = compare(ours, theirs, case.head)
    bound = LAMP_BLACK_GUARD_STOPS if people_are_black(case) else LAMP_GREY_GUARD_STOPS
    assert off.rms > 2 * bound
    assert off.mean > LAMP_MEAN_GUARD_STOPS[1]
    assert off.worst_head > HEAD_STOPS


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
