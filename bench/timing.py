"""How times are taken and told; a helper of the benchmarks, with nothing of its own to time."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

TIMES = 5


@dataclass(frozen=True)
class Taken:
    """Time by the clock on the wall and of all processors together [s]."""

    wall_s: float
    processor_s: float

    @classmethod
    def now(cls) -> Taken:
        """Return the present reading of both clocks."""
        return cls(time.perf_counter(), time.process_time())

    def since(self) -> Taken:
        """Return what has passed since this reading."""
        now = Taken.now()
        return now.less(self)

    def less(self, other: Taken) -> Taken:
        """Return the difference."""
        return Taken(self.wall_s - other.wall_s, self.processor_s - other.processor_s)

    def plus(self, other: Taken) -> Taken:
        """Return the sum."""
        return Taken(self.wall_s + other.wall_s, self.processor_s + other.processor_s)

    def times(self, factor: float) -> Taken:
        """Return that many times as much."""
        return Taken(factor * self.wall_s, factor * self.processor_s)

    def __str__(self) -> str:
        """Return both in milliseconds."""
        return f"{self.wall_s * 1000:9.1f} ms wall {self.processor_s * 1000:9.1f} ms processor"


def least(work: Callable[[], object], *, times: int = TIMES) -> Taken:
    """Return the least of some runs, by either clock, after one to warm up.

    Other work on the machine can only lengthen a run.
    """
    work()
    runs = []
    for _ in range(times):
        begin = Taken.now()
        work()
        runs.append(begin.since())
    return Taken(min(r.wall_s for r in runs), min(r.processor_s for r in runs))


def seconds(work: Callable[[], object], *, times: int = TIMES) -> float:
    """Return the middle of some runs, in processor time [s]; one run before them warms up."""
    work()
    taken = []
    for _ in range(times):
        begin = time.process_time()
        work()
        taken.append(time.process_time() - begin)
    return statistics.median(taken)


def tell(what: str, taken_s: float, target_s: float | None = None) -> None:
    """Print a time, and whether it is within its target. A target that is missed fails nothing."""
    text = f"  {what:<48} {taken_s * 1000:9.1f} ms"
    if target_s is not None:
        word = "within" if taken_s <= target_s else "OVER"
        text += f"   {word} the {target_s * 1000:.0f} ms aimed at"
    print(text, flush=True)


def table(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Print a table, numbers to the right."""
    texts = [list(map(str, row)) for row in rows]
    wide = [max(len(row[i]) for row in [list(heads), *texts]) for i in range(len(heads))]
    for row in [list(heads), *texts]:
        print("  " + "  ".join(cell.rjust(w) for cell, w in zip(row, wide, strict=True)))
    sys.stdout.flush()


def main() -> None:
    """Say how times are taken."""
    print(
        f"  processor time, the middle of {TIMES} runs after one to warm up; no target fails a test"
    )
