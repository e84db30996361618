"""What the tests of the documentation share: its pages, its examples, its scripts."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
_TOML = re.compile(r"^```toml(?P<mark>[^\n]*)\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL)


def script(name: str) -> ModuleType:
    """Return a script of tools/ as a module."""
    spec = importlib.util.spec_from_file_location(name, ROOT / "tools" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def pages() -> list[Path]:
    """Return every page, the README among them."""
    return [ROOT / "README.md", *sorted(DOCS.rglob("*.md"))]


def examples(kind: str) -> list[tuple[str, str]]:
    """Return the TOML blocks of a kind (sitting, usual, or none), each with where it stands."""
    found = []
    for page in pages():
        for number, block in enumerate(_TOML.finditer(page.read_text("utf-8")), start=1):
            if block["mark"].strip().partition(":")[0] == kind:
                found.append((f"{page.relative_to(ROOT)}, example {number}", block["text"]))
    return found
