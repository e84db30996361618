"""Which of the twins is used, and that nobody waits for a compiler."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from lit_worlds import ALONE, HAS_NUMBA, some_world

from kinlight.folders import cache_folder
from kinlight.geometry.vectors import frozen
from kinlight.light import compiled, engine, rays
from kinlight.light.example import example, worked
from kinlight.light.packed import shapes_of
from kinlight.light.transport import illuminance
from kinlight.light.world import Receivers, World, receivers

needs_numba = pytest.mark.skipif(not HAS_NUMBA, reason="there is nothing to choose without numba")


@pytest.fixture(autouse=True)
def started(monkeypatch):
    """Forget what was chosen before and after, and start no process: return what would be."""
    asked = []
    monkeypatch.setattr(subprocess, "Popen", lambda command, **how: asked.append((command, how)))
    for kept in (engine.engine_in_use, compiled.kernel_folder):
        kept.cache_clear()
    yield asked
    monkeypatch.undo()
    for kept in (engine.engine_in_use, compiled.kernel_folder):
        kept.cache_clear()


@pytest.fixture
def without_numba(monkeypatch):
    """Hide numba."""
    find = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name, *a: None if name == "numba" else find(name, *a)
    )


@pytest.fixture
def empty_cache(monkeypatch, tmp_path):
    """Let this user's cache be an empty folder."""
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path


@pytest.mark.usefixtures("without_numba")
def test_without_numba_the_plain_twin_serves(started):
    """No process is started, and nothing better is waited for."""
    assert engine.engine_in_use() is rays
    assert not engine.is_waiting()
    assert started == []


@needs_numba
def test_what_was_compiled_before_is_used(started):
    """The kernel shared among threads; the tests' own start has compiled it."""
    from kinlight.light import kernel

    assert engine.engine_in_use().twin is kernel
    assert not engine.is_waiting()
    assert started == []


@needs_numba
@pytest.mark.usefixtures("empty_cache")
def test_before_it_is_compiled_the_plain_twin_serves_and_one_process_is_started(started):
    """It is asked for once, by this Python, apart from this one's input, output and signals."""
    assert engine.engine_in_use() is rays
    assert engine.engine_in_use() is rays
    assert engine.is_waiting()
    [(command, how)] = started
    assert command == [sys.executable, "-m", "kinlight.light.engine"]
    assert how["start_new_session"]
    assert {how[stream] for stream in ("stdin", "stdout", "stderr")} == {subprocess.DEVNULL}
    assert importlib.util.find_spec(command[2]).origin == engine.__file__


@needs_numba
def test_light_does_not_wait_and_is_the_same(empty_cache):
    """While another process compiles, the plain twin gives its numbers and leaves a note of it."""
    world, lamps, at = example()
    light = illuminance(world, lamps, at)
    assert engine.is_waiting()
    assert np.array_equal(light.total, worked(rays).total)
    left = [path for path in empty_cache.rglob("*") if path.is_file()]
    assert left == [compiled.kernel_folder() / "begun"]


@needs_numba
@pytest.mark.usefixtures("empty_cache")
def test_several_programs_begin_only_one_compiling(started):
    """The next one finds it begun; one that was stopped long ago counts no more."""
    for _ in range(3):
        engine.engine_in_use.cache_clear()
        assert engine.engine_in_use() is rays
    assert len(started) == 1
    begun = compiled.kernel_folder() / "begun"
    long_ago = begun.stat().st_mtime - compiled.LONGEST_S - 1
    os.utime(begun, (long_ago, long_ago))
    engine.engine_in_use.cache_clear()
    assert engine.engine_in_use() is rays
    assert len(started) == 2


@needs_numba
def test_where_nothing_can_be_kept_nothing_is_begun(started, empty_cache):
    """A file stands where the cache's folder would be."""
    (empty_cache / "kinlight").write_text("in the way")
    assert engine.engine_in_use() is rays
    assert started == []


@needs_numba
def test_the_kernel_is_kept_in_this_users_cache(empty_cache):
    """In a folder of its own for this source, Python, numba and processor."""
    folder = compiled.kernel_folder()
    assert folder.parent == cache_folder() == empty_cache / "kinlight"
    assert not folder.exists(), "asking makes no folder"
    assert not compiled.is_ready()
    compiled.mark_ready()
    compiled.mark_ready()
    assert compiled.is_ready()
    assert engine.engine_in_use() is not rays


@needs_numba
@pytest.mark.usefixtures("empty_cache")
@pytest.mark.parametrize("changed", ["numba", "processor", "source", "python"])
def test_what_was_compiled_for_something_else_is_not_used(changed, monkeypatch, tmp_path):
    """Another numba, processor or Python, or a changed line, has a folder of its own."""
    compiled.mark_ready()
    compiled.kernel_folder.cache_clear()
    assert compiled.is_ready()
    if changed == "numba":
        monkeypatch.setattr(compiled, "version", lambda name: "0.0.0")
    elif changed == "processor":
        monkeypatch.setattr(compiled, "_processor", lambda: "another")
    elif changed == "python":
        monkeypatch.setattr(sys, "version", "4.0")
    else:
        (tmp_path / "kernel.py").write_text("another")
        monkeypatch.setattr(compiled, "files", lambda package: tmp_path)
        monkeypatch.setattr(compiled, "_SOURCES", ("kernel.py",))
    compiled.kernel_folder.cache_clear()
    assert not compiled.is_ready()


@needs_numba
def test_every_module_of_the_kernel_is_told_apart():
    """All that is compiled is compiled anew when it changes, and so is what it is called with."""
    folder = Path(compiled.__file__).parent
    jitted = {p.name for p in folder.glob("*.py") if "light.jit import" in p.read_text()}
    assert jitted
    assert set(compiled._SOURCES) == jitted | {"engine.py", "jit.py", "packed.py"}


@needs_numba
@pytest.mark.usefixtures("empty_cache")
def test_preparing_marks_it_ready():
    """Having worked the example through."""
    engine.prepare()
    assert compiled.is_ready()


@pytest.mark.parametrize(
    ("platform", "variables", "expected"),
    [
        ("linux", {"XDG_CACHE_HOME": "/elsewhere"}, "/elsewhere/kinlight"),
        ("linux", {}, "/people/somebody/.cache/kinlight"),
        ("darwin", {"XDG_CACHE_HOME": "/elsewhere"}, "/people/somebody/Library/Caches/kinlight"),
        ("win32", {"LOCALAPPDATA": "/local"}, "/local/kinlight"),
        ("win32", {}, "/people/somebody/AppData/Local/kinlight"),
    ],
)
def test_the_cache_is_where_each_system_has_it(platform, variables, expected, monkeypatch):
    """By the customs of each; an unset variable has its usual value."""
    monkeypatch.setattr(sys, "platform", platform)
    monkeypatch.setenv("HOME", "/people/somebody")
    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    assert cache_folder().as_posix() == expected


class Noting:
    """The compiled twin, noting for what kinds of arguments it is compiled."""

    def __init__(self):
        self.kinds = set()

    def __getattr__(self, name):
        """Return a function of the twin that notes what it gets."""
        import numba

        from kinlight.light import kernel

        def noting(*arguments):
            self.kinds.add((name, *(numba.typeof(a) for a in arguments)))
            return getattr(kernel, name)(*arguments)

        return noting


def kept_still(sheets):
    """Return sheets whose arrays cannot be written to."""
    return tuple(
        replace(s, centre_m=frozen(s.centre_m), right=frozen(s.right), up=frozen(s.up))
        for s in sheets
    )


@needs_numba
def test_the_example_compiles_all_that_is_ever_called():
    """Other worlds call with no other kinds of arrays, or somebody would wait for the compiler."""
    known, met = Noting(), Noting()
    with ThreadPoolExecutor(1) as pool:
        worked(engine.Shared(known, pool))
        use = engine.Shared(met, pool)
        world, lamps, at = some_world(0)
        still = World(sheets=kept_still(world.sheets))
        few = receivers(at.points_m[:5], at.normals[:5], at.dome[:5])
        fixed = Receivers(frozen(few.points_m), frozen(few.normals), few.dome.copy())
        every_other = Receivers(at.points_m[:10:2], at.normals[:10:2], at.dome[:10:2])
        for partly in (world, still, World(beings=world.beings), ALONE):
            for where in (few, fixed, every_other):
                illuminance(partly, lamps, where, engine=use)
        for points in (at.points_m[::2], frozen(at.points_m)):
            use.buried(points, shapes_of(world))
            use.clear(points, points + 0.1, shapes_of(world))
    assert {name for name, *_ in known.kinds} == {
        "buried", "direct", "first_hits", "landed", "paired", "summed", "clear", "mirrored"
    }  # fmt: skip
    assert len(known.kinds) == 8, "one kind of each is all there is to compile"
    assert met.kinds <= known.kinds
