"""Modules and functions stay short enough to be read at once."""

from __future__ import annotations

from house_tree import ROOT, Module, functions, module, modules

LINES_OF_A_MODULE = 400
LINES_OF_A_FUNCTION = 80


def _faults(source: Module) -> list[str]:
    faults = []
    lines = len(source.text.splitlines())
    if lines > LINES_OF_A_MODULE:
        faults.append(f"{source.path}: {lines} lines")
    for function in functions(source.tree):
        lines = (function.end_lineno or 0) - function.lineno + 1
        if lines > LINES_OF_A_FUNCTION:
            faults.append(f"{source.path}, {function.name}: {lines} lines")
    return faults


def test_modules_and_functions_are_short() -> None:
    """At most 400 lines a module and 80 a function; in the package, its tests and benchmarks."""
    folders = [ROOT / "src" / "kinlight", ROOT / "tests", ROOT / "bench"]
    faults = [fault for folder in folders for s in modules(folder) for fault in _faults(s)]
    assert not faults, "\n".join(faults)


def test_what_is_too_long_is_noticed() -> None:
    """One line over is over; the limit itself is not."""
    body = "    pass\n"
    assert _faults(module("x.py", "def f():\n" + body * 79)) == []
    assert _faults(module("x.py", "def f():\n" + body * 80)) == ["x.py, f: 81 lines"]
    assert _faults(module("x.py", "x = 1\n" * 400)) == []
    assert _faults(module("x.py", "x = 1\n" * 401)) == ["x.py: 401 lines"]
