"""The engine shared by threads and processes: nobody waits for work that is not theirs."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from lit_worlds import HAS_NUMBA

from kinlight.light import compiled, engine

LONG_S = 30.0
"""Far longer than anything here takes: a test that waits so long has failed."""
SOME, MANY = np.zeros((80, 3)), np.ones((80, 3))


class Slow:
    """A twin that is held up on the pool's thread while it works for `MANY`."""

    def __init__(self):
        self.held, self.go_on = threading.Event(), threading.Event()

    def buried(self, points, shapes):
        """Return False for each point, in the end."""
        if points[0, 0] == 1 and threading.current_thread().name.startswith("pool"):
            self.held.set()
            assert self.go_on.wait(LONG_S)
        return np.zeros(len(points), dtype=bool)


class Failing:
    """A twin that fails on one kind of thread, and notes how many parts were begun and ended."""

    def __init__(self, *, in_pool):
        self.in_pool, self.begun, self.ended = in_pool, 0, 0
        self.other_at_it = threading.Event()

    def buried(self, points, shapes):
        """Fail here once the other thread is at work, and take a while there."""
        if threading.current_thread().name.startswith("pool") == self.in_pool:
            assert self.other_at_it.wait(LONG_S)
            raise ZeroDivisionError
        self.begun += 1
        self.other_at_it.set()
        threading.Event().wait(0.02)
        self.ended += 1
        return np.zeros(len(points), dtype=bool)


@pytest.fixture
def pool():
    """Return one thread."""
    with ThreadPoolExecutor(1, thread_name_prefix="pool") as one:
        yield one


def test_a_small_request_does_not_wait_for_somebody_elses_large_one(pool):
    """The pool's thread is held up by another's work; the caller does its own parts itself."""
    twin = Slow()
    shared = engine.Shared(twin, pool)
    other = threading.Thread(target=shared.buried, args=(MANY, None))
    mine = threading.Thread(target=shared.buried, args=(SOME, None))
    other.start()
    assert twin.held.wait(LONG_S)
    mine.start()
    mine.join(LONG_S / 10)
    waits = mine.is_alive()
    twin.go_on.set()
    mine.join()
    other.join()
    assert not waits


def test_a_failure_of_the_caller_leaves_no_thread_at_work(pool):
    """What the pool began is ended before the failure is told, and the seven parts are not done."""
    twin = Failing(in_pool=False)
    with pytest.raises(ZeroDivisionError):
        engine.Shared(twin, pool).buried(SOME, None)
    assert 0 < twin.begun == twin.ended < 7


def test_a_failure_in_the_pool_is_told_to_the_caller(pool):
    """Not a row of nothing."""
    with pytest.raises(ZeroDivisionError):
        engine.Shared(Failing(in_pool=True), pool).buried(SOME, None)


def test_every_part_is_done_once_however_threads_take_turns(pool):
    """500 times over, by two threads each time: rows come back in their order."""

    class Same:
        def buried(self, points, shapes):
            return points[:, 0] > 0

    shared = engine.Shared(Same(), pool)
    points = np.random.default_rng(4).normal(size=(97, 3))
    wanted = points[:, 0] > 0
    assert all(np.array_equal(shared.buried(points, None), wanted) for _ in range(500))


FORKED = """
import os, signal, sys
import numpy as np
from kinlight.light.engine import compiled_engine, engine_in_use
from kinlight.light.packed import shapes_of
from kinlight.light.world import World

def light(engine):
    return engine.buried(np.zeros((80, 3)), shapes_of(World()))

before = compiled_engine()
light(before), engine_in_use()
child = os.fork()
if child == 0:
    signal.alarm(20)  # ends a child that hangs
    light(before)
    light(engine_in_use())
    anew = compiled_engine()
    light(anew)
    alive = [t for t in anew.pool._threads if t.is_alive()]
    os._exit(0 if anew is not before and alive else 1)
sys.exit(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
"""


@pytest.mark.skipif(not (HAS_NUMBA and hasattr(os, "fork")), reason="needs numba and forks")
def test_a_forked_process_reckons_light_too():
    """It has a pool with a thread of its own, and does not wait for its parent's."""
    command = [sys.executable, "-W", "ignore::DeprecationWarning", "-c", FORKED]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not HAS_NUMBA, reason="there is nothing to keep without numba")
def test_other_users_of_numba_keep_their_folder():
    """The kernel is kept in its own folder, and the setting for all others is as it was."""
    told = subprocess.run(
        [
            sys.executable,
            "-c",
            "import numba; before = numba.config.CACHE_DIR\n"
            "from kinlight.light import kernel, kernel_sums\n"
            "print(numba.config.CACHE_DIR == before)\n"
            "print(kernel.direct.stats.cache_path)\n"
            "print(kernel_sums.summed.stats.cache_path)\n",
        ],
        capture_output=True,
        text=True,
        check=True,
    ).stdout.splitlines()
    assert told[0] == "True"
    assert [Path(p).parent for p in told[1:]] == [compiled.kernel_folder()] * 2
