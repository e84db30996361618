"""What the light costs: against a path tracer, one lamp moved, in plain numpy, and to compile.

The tracer is that of the tests and is left out where it is not installed.
"""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from bench.timing import Taken, least, tell
from bench.tracing import here, scenes, traced
from kinlight.light import rays
from kinlight.light.emitter import Emitter
from kinlight.light.engine import compiled_engine, prepare
from kinlight.light.transport import (
    DRAGGED,
    Light,
    gathered,
    illuminance,
    light_at,
    surroundings,
)
from kinlight.light.world import Receivers
from kinlight.plan.settle.settle import settle
from kinlight.sitting.files import parse
from kinlight.sitting.starter import demo_text
from kinlight.stage.people import bodies_of, figures_of
from kinlight.stage.scene import Scene, forget, stage, transfer

WHOLE_TIMES, MOVED_TIMES = 40, 300
"""How many times as fast as the tracer the engine is meant to be."""
RMS_STOPS, EXACT_STOPS = 0.02, 0.006
"""How far the engine is meant to err at a point at most, and the tracer that tells."""
MOVED_TARGET_S, ALL_MOVED_TARGET_S = 0.020, 0.100
_FACE_POINTS = 64
_STEP_M = 0.003


def main() -> None:
    """Print it all; a few minutes with the tracer."""
    prepare()
    if here():
        _against_the_tracer("black people, a room of 0.5", people=0.05, walls=0.5)
        _against_the_tracer("grey people, a room of 0.8", people=0.45, walls=0.8)
    else:
        print("  no tracer is installed: nothing to run against")
    _moved_in_the_demo()
    _plain_and_compiled()
    _compiling()


def eight(people: float, walls: float) -> Any:
    """Return a set of eight people and four lamps, asked for at 64 points of each face."""
    sets = scenes()
    beings = sets.family(people)
    lamps = (sets.key(), sets.fill(), sets.strip(), sets.backdrop_light())
    case = sets.case("bench", beings, sets.room(walls), lamps)
    points, normals = [], []
    for k, being in enumerate(beings):
        found = sets.head_points(being, beings[:k] + beings[k + 1 :], 2 * _FACE_POINTS)
        some = np.linspace(0, len(found[0]) - 1, _FACE_POINTS).astype(int)
        points.append(found[0][some])
        normals.append(found[1][some])
    flat = np.zeros(len(beings) * _FACE_POINTS, dtype=bool)
    return replace(case, receivers=Receivers(np.concatenate(points), np.concatenate(normals), flat))


def _against_the_tracer(what: str, *, people: float, walls: float) -> None:
    """Print everything anew and one lamp moved, each beside a tracer that errs as much.

    How much the engine errs at a point is told by a tracer that takes its time.
    """
    case = eight(people, walls)
    world, lamps, at = case.engine_world, case.emitters, case.receivers
    engine = compiled_engine()
    around = surroundings(world, engine)
    gather = gathered(around, at, engine)
    places = itertools.count(1)

    def whole() -> Light:
        return illuminance(world, lamps, at, engine=engine)

    def dragged(some: Sequence[Emitter]) -> Light:
        return light_at(around, some, at, gather, samples=DRAGGED, engine=engine)

    def one_moved() -> Light:
        aside = np.array([_STEP_M * next(places), 0.0, 0.0])
        return dragged([replace(lamps[0], polygon_m=lamps[0].polygon_m + aside)])

    print(f"  {what}: 8 people, {len(lamps)} lamps, {len(at)} points of faces")
    exact = traced(case, rms_stops=EXACT_STOPS)
    for name, taken, light, target in (
        ("everything", least(whole), whole(), WHOLE_TIMES),
        ("one lamp moved", least(one_moved), dragged(lamps), MOVED_TIMES),
    ):
        apart = float(np.mean(np.log2(light.total.sum(axis=1) / exact.illuminance) ** 2))
        errs = float(np.sqrt(max(apart - exact.rms_stops**2, 0.0)))
        rival = traced(case, rms_stops=errs)
        both = rival.loading.plus(rival.sampling.times((rival.rms_stops / errs) ** 2))
        print(f"    engine, {name:16} {taken}   errs by {errs:.3f} stop rms, aim {RMS_STOPS}")
        print(f"    tracer as exact          {both}   {rival.loading.wall_s:.2f} s is loading")
        wall, processor = both.wall_s / taken.wall_s, both.processor_s / taken.processor_s
        word = "within" if wall >= target else "OVER"
        print(f"      {wall:.0f} times as fast, by processor time {processor:.0f}; {word} {target}")


def _moved_in_the_demo() -> None:
    """Print what it costs to move a lamp in one picture and in all of them."""
    sitting = settle(parse(tomllib.loads(demo_text())))
    bodies = bodies_of(sitting)
    staged = [stage(sitting, p, figures_of(p, bodies)) for p in sitting.pictures]
    largest = max(staged, key=lambda scene: len(scene.figures))
    forget()
    for scene in staged:
        transfer(scene)
    places = itertools.count(1)

    def move(some: list[Scene]) -> None:
        aside = np.array([_STEP_M * next(places), 0.0, 0.0])
        for scene in some:
            transfer(scene.with_lamp(scene.lamps[0].moved(aside)), samples=DRAGGED)

    one, every = least(lambda: move([largest])), least(lambda: move(staged))
    tell(f"one lamp moved, a picture of {len(largest.figures)}", one.wall_s, MOVED_TARGET_S)
    tell(f"one lamp moved, all {len(staged)} pictures", every.wall_s, ALL_MOVED_TARGET_S)
    tell("  the same, processor time", every.processor_s)


def _plain_and_compiled() -> None:
    """Print what the same set takes in plain numpy."""
    case = eight(0.45, 0.8)
    world, lamps, at = case.engine_world, case.emitters, case.receivers
    fast = least(lambda: illuminance(world, lamps, at, engine=compiled_engine()))
    plain = least(lambda: illuminance(world, lamps, at, engine=rays), times=1)
    tell("that set by the kernel", fast.wall_s)
    tell("that set in plain numpy", plain.wall_s)
    print(f"    the kernel is {plain.wall_s / fast.wall_s:.0f} times as fast")


def _compiling() -> None:
    """Print how long it takes to compile the kernel where none is kept."""
    with tempfile.TemporaryDirectory() as folder:
        begin = Taken.now()
        subprocess.run(
            [sys.executable, "-m", "kinlight.light.engine"],
            env=dict(os.environ, XDG_CACHE_HOME=folder),
            check=True,
        )
        tell("compile the kernel, once on a machine", begin.since().wall_s)
