"""Trace the sets the light engine is held against, and store what is found for the tests.

Run `python tools/trace_referee.py` for all sets whose stored result is missing or out of date, or
name some to trace them anyway; `--list` shows them. It needs mitsuba. Each set takes one to three
minutes on two cores; the errors asked for are those the tests ask for, with something to spare.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "light"))

from referee_scenes import scenes
from referee_store import load, write

SEED = 20_000


def stored(case):
    """Return the stored result of a set as it is now, or nothing."""
    try:
        return load(case)
    except AssertionError:
        return None


def listing(cases):
    """Return a line for each set: how many receivers, lamps and samples, and the largest error."""
    for name, case in cases.items():
        found = stored(case)
        done = "to be traced"
        if found:
            worst = (found.total_error / found.total).max()
            done = f"{found.samples.sum() / 1e6:.1f} million samples, errors to {worst:.4f}"
        yield f"{name:26} {len(case.receivers)} points, {len(case.emitters)} lamps: {done}"


def trace_one(case, seed, samples):
    """Trace a set and store the result."""
    import mitsuba
    from tracer import ENDLESS, Effort, trace

    effort = Effort(batch=samples)
    began = time.perf_counter()
    found = trace(case.world, case.emitters, case.receivers, effort=effort, seed=seed)
    how = {
        "made_by": "tools/trace_referee.py",
        "tracer": f"mitsuba {mitsuba.__version__}, scalar_rgb, path",
        "max_depth": ENDLESS,
        "rr_depth": effort.roulette_depth,
        "seed": seed,
    }
    write(case, found, how)
    worst = (found.total_error / found.total).max()
    print(f"{case.name}: {time.perf_counter() - began:.0f} s, error to {worst:.4f}", flush=True)


def main():
    """Trace what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("names", nargs="*", help="sets to trace; those out of date if none")
    parser.add_argument("--samples", type=int, default=64, help="a pixel and batch (a square)")
    parser.add_argument("--list", action="store_true", help="show the sets and what is stored")
    asked, cases = parser.parse_args(), scenes()
    if asked.list:
        print("\n".join(listing(cases)))
        return
    if unknown := set(asked.names) - cases.keys():
        parser.error(f"no set is named {', '.join(sorted(unknown))}; --list shows them")
    for k, (name, case) in enumerate(cases.items()):
        if name in asked.names or not (asked.names or stored(case)):
            trace_one(case, SEED + 101 * k, asked.samples)


if __name__ == "__main__":
    main()
