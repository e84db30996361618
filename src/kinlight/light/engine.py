"""Which of the two twins follows the rays: the compiled `kernel`, or `rays` in plain numpy.

The kernel is compiled once on a machine, which takes a while. Nobody waits for that: as long as it
is not done the plain twin serves, and another process compiles for the next time.
"""

from __future__ import annotations

import functools
import importlib.util
import os
import subprocess
import sys
from collections import deque
from collections.abc import Callable
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.vectors import Array
from kinlight.light import rays
from kinlight.light.compiled import claim, is_ready, mark_ready
from kinlight.light.packed import Exchange, Lamps, Mirror, Shapes, Whole

Flags = NDArray[np.bool_]
_FEW = 64  # receivers for which it does not pay to share the work
_THREADS, _PARTS = 2, 8


class Engine(Protocol):
    """What both twins offer; `rays` says what each function gives."""

    def buried(self, points: Array, s: Shapes) -> Flags:
        """See `rays.buried`."""

    def direct(
        self, points: Array, normals: Array, dome: Flags, lamps: Lamps, s: Shapes, samples: int
    ) -> Array:
        """See `rays.direct`."""

    def first_hits(
        self, points: Array, normals: Array, dome: Flags, pattern: Array, turn: Array, s: Shapes
    ) -> NDArray[np.int32]:
        """See `rays.first_hits`."""

    def landed(self, hits: NDArray[np.int32], sent: Array, group: Whole, groups: int) -> Array:
        """See `rays.landed`."""

    def paired(self, one: Whole, other: Whole, weight: Array, count: int) -> Exchange:
        """See `rays.paired`."""

    def summed(self, pairs: Exchange, values: Array) -> Array:
        """See `rays.summed`."""

    def clear(self, starts: Array, ends: Array, s: Shapes) -> Flags:
        """See `rays.clear`."""

    def mirrored(
        self, points: Array, normals: Array, dome: Flags, ways: Mirror, s: Shapes
    ) -> Array:
        """See `rays.mirrored`."""


def _one_kind(array: NDArray[Any]) -> NDArray[Any]:
    """Return an array in rows that can be written to, a copy if it is not so.

    The kernel is compiled anew for every other kind, however it was prepared.
    """
    return np.require(array, requirements=("C", "W"))


@dataclass(frozen=True)
class Shared:
    """A twin whose receivers are shared among threads; its numbers are the same."""

    twin: Any
    pool: Executor

    def buried(self, points: Array, s: Shapes) -> Flags:
        """See `rays.buried`."""
        points = _one_kind(points)
        part = self._in_parts(len(points), lambda r: self.twin.buried(points[r], s))
        return np.asarray(part, dtype=np.bool_)

    def direct(
        self, points: Array, normals: Array, dome: Flags, lamps: Lamps, s: Shapes, samples: int
    ) -> Array:
        """See `rays.direct`."""
        points, normals, dome = _one_kind(points), _one_kind(normals), _one_kind(dome)
        part = self._in_parts(
            len(points),
            lambda r: self.twin.direct(points[r], normals[r], dome[r], lamps, s, samples),
        )
        return np.asarray(part, dtype=np.float64)

    def first_hits(
        self, points: Array, normals: Array, dome: Flags, pattern: Array, turn: Array, s: Shapes
    ) -> NDArray[np.int32]:
        """See `rays.first_hits`."""
        points, normals, dome = _one_kind(points), _one_kind(normals), _one_kind(dome)
        pattern, turn = _one_kind(pattern), _one_kind(turn)
        part = self._in_parts(
            len(points),
            lambda r: self.twin.first_hits(points[r], normals[r], dome[r], pattern, turn[r], s),
        )
        return np.asarray(part, dtype=np.int32)

    def landed(self, hits: NDArray[np.int32], sent: Array, group: Whole, groups: int) -> Array:
        """See `rays.landed`."""
        hits, sent, group = _one_kind(hits), _one_kind(sent), _one_kind(group)
        return np.asarray(self.twin.landed(hits, sent, group, groups))

    def paired(self, one: Whole, other: Whole, weight: Array, count: int) -> Exchange:
        """See `rays.paired`."""
        one, other, weight = _one_kind(one), _one_kind(other), _one_kind(weight)
        return Exchange(*self.twin.paired(one, other, weight, count))

    def summed(self, pairs: Exchange, values: Array) -> Array:
        """See `rays.summed`."""
        return np.asarray(self.twin.summed(pairs, _one_kind(values)))

    def clear(self, starts: Array, ends: Array, s: Shapes) -> Flags:
        """See `rays.clear`."""
        return np.asarray(self.twin.clear(_one_kind(starts), _one_kind(ends), s))

    def mirrored(
        self, points: Array, normals: Array, dome: Flags, ways: Mirror, s: Shapes
    ) -> Array:
        """See `rays.mirrored`."""
        points, normals, dome = _one_kind(points), _one_kind(normals), _one_kind(dome)
        part = self._in_parts(
            len(points), lambda r: self.twin.mirrored(points[r], normals[r], dome[r], ways, s)
        )
        return np.asarray(part, dtype=np.float64)

    def _in_parts(self, count: int, work: Callable[[slice], Any]) -> Any:
        """Let each thread take part after part, so that none waits for one with the dearer half.

        A pool that is busy with somebody else's work is not waited for: the caller does all then.
        """
        if count < _FEW:
            return work(slice(0, count))
        edges = np.linspace(0, count, _PARTS + 1).astype(int).tolist()
        parts: list[Any] = [None] * _PARTS
        left = deque(range(_PARTS))  # threads may take from a deque at once, as from no iterator

        def take() -> None:
            while (k := _next(left)) is not None:
                parts[k] = work(slice(edges[k], edges[k + 1]))

        later = self.pool.submit(take)
        try:
            take()
        finally:
            left.clear()
            if not later.cancel():
                later.result()
        return np.concatenate(parts)


def _next(left: deque[int]) -> int | None:
    """Take the first number that is left, if one is."""
    try:
        return left.popleft()
    except IndexError:
        return None


@functools.cache
def engine_in_use() -> Engine:
    """Return the compiled twin if it is ready, else the plain one; then see to it for next time.

    A process keeps the twin it began with, so that all numbers it compares or keeps are of one: one
    that began before the kernel was ready stays on the plain twin until it ends.
    """
    if importlib.util.find_spec("numba") is None:
        return rays
    if not is_ready():
        prepare_for_next_time()
        return rays
    return compiled_engine()


@functools.cache
def compiled_engine() -> Engine:
    """Return the compiled twin, compiling it now if that was never done; needs numba.

    Raises
    ------
    ImportError
        Without numba.
    """
    from kinlight.light import kernel

    return Shared(kernel, ThreadPoolExecutor(_THREADS - 1, thread_name_prefix="light"))


def _forget() -> None:
    """Let the next request choose anew: a forked process has no thread behind the pool it knows."""
    engine_in_use.cache_clear()
    compiled_engine.cache_clear()


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_forget)


def is_waiting() -> bool:
    """Return whether the plain twin serves only until the kernel is compiled."""
    return importlib.util.find_spec("numba") is not None and engine_in_use() is rays


def prepare_for_next_time() -> None:
    """Start another process that compiles the kernel and keeps it, unless one is at it already."""
    if not claim():
        return
    subprocess.Popen(
        [sys.executable, "-m", "kinlight.light.engine"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )


def prepare() -> None:
    """Compile the kernel for the arrays it is called with, and note that it is ready."""
    from kinlight.light.example import worked

    worked(compiled_engine())
    mark_ready()


if __name__ == "__main__":
    prepare()
