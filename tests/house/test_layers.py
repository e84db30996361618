"""Each layer imports only what stands above it; siblings import nothing of each other."""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest
from house_tree import Module, module, modules

# From the ground up; the layers of one row are siblings.
LAYERS = [
    {"errors", "folders"},
    {"quantities"},
    {"geometry"},
    {"optics", "light", "figures"},
    {"sitting"},
    {"group"},
    {"stage"},
    {"plan"},
    {"drawings"},
    {"sheets"},
    {"studio"},
    {"cli"},
]
HEIGHT = {layer: row for row, layers in enumerate(LAYERS) for layer in layers}
# The document stands apart from the physics: it may import these alone.
ONLY = {"sitting": {"errors", "quantities"}}
FACE = {"__main__", "cli"}  # what starts the program stands on top


def _imported(source: Module) -> Iterator[tuple[int, str]]:
    """Yield line and dotted name of everything a module imports from kinlight, anywhere in it."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level:
            package = ("kinlight", *source.parts)[: -node.level]
            base = ".".join([*package, node.module] if node.module else package)
            yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)
        elif isinstance(node, ast.Call) and "import" in ast.unparse(node.func):
            texts = [a.value for a in node.args if isinstance(a, ast.Constant)]
            yield from ((node.lineno, str(text)) for text in texts)


def _faults(source: Module) -> list[str]:
    layer = source.parts[0]
    if layer == "__init__":  # the package itself: imports nothing, so that starting is quick
        return [f"{source.path}:{n}: {name}" for n, name in _imported(source) if "kin" in name]
    layer = "cli" if layer in FACE else layer
    if layer not in HEIGHT:
        return [f"{source.path}: {layer} stands in no layer; say where in this test"]
    faults = []
    for line, name in _imported(source):
        package, _, rest = name.partition(".")
        other = rest.partition(".")[0]
        if package != "kinlight" or other in (layer, "", "__version__"):
            continue
        allowed = HEIGHT.get(other, 99) < HEIGHT[layer] and other in ONLY.get(layer, {other})
        if not allowed:
            faults.append(f"{source.path}:{line}: {layer} may not import {other}")
    return faults


def test_imports_only_point_downward() -> None:
    """No module of the package imports from a layer beside or over its own."""
    faults = [fault for source in modules() for fault in _faults(source)]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("geometry/x", "from kinlight.optics.lens import Lens"),
        ("optics/x", "from kinlight.light import meter"),
        ("sitting/x", "from kinlight.geometry.vectors import UP"),
        ("sitting/x", "import kinlight.optics"),
        ("stage/x", "def f():\n    from kinlight.plan import checks"),
        ("stage/x", "from kinlight import plan"),
        ("stage/x", "from ..plan import checks"),
        ("stage/x", "import importlib\nimportlib.import_module('kinlight.plan')"),
        ("quantities/x", "from kinlight.geometry import UP"),
        ("plan/x", "from kinlight.cli import main"),
        ("plan/x", "from kinlight.nosuch import thing"),
        ("nosuch/x", "import math"),
        ("__init__", "from kinlight.errors import Fault"),
    ],
)
def test_an_import_upward_or_sideways_is_noticed(path: str, line: str) -> None:
    """Whichever way it is written, and wherever it stands in the module."""
    assert len(_faults(module(f"src/kinlight/{path}.py", line))) == 1


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("optics/x", "from kinlight.geometry.vectors import UP\nfrom kinlight.optics import lens"),
        ("optics/x", "from . import lens"),
        ("sitting/x", "from kinlight.quantities.lengths import parse_length_m"),
        ("cli/x", "from kinlight import __version__\nfrom kinlight.plan import checks"),
        ("__main__", "from kinlight.cli import main"),
    ],
)
def test_an_import_downward_is_let_pass(path: str, line: str) -> None:
    """Within a layer, and from the layers it stands on."""
    assert _faults(module(f"src/kinlight/{path}.py", line)) == []
