"""The benchmarks can be run, and time what they say; how long anything takes fails no test."""

from __future__ import annotations

import subprocess
import sys

from house_tree import ROOT

_CODE = """
import importlib, pkgutil, bench
for module in pkgutil.iter_modules(bench.__path__):
    if module.name != "__main__":
        assert callable(importlib.import_module(f"bench.{module.name}").main), module.name
from bench.document import large
from bench.scaling import sitting
from kinlight.sitting.files import parse
read = parse(large(40, 60))
assert (len(read.people), len(read.pictures)) == (40, 60)
made = sitting(4, 6, 8)
assert (len(made.people), len(made.pictures), len(made.lights)) == (4, 6, 8)
"""


def test_every_benchmark_can_be_run() -> None:
    """Each has a main, and the documents they time are as large as they say."""
    done = subprocess.run(
        [sys.executable, "-c", _CODE], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
