"""The files to begin with: a starter to fill in, one for the usual set, and the demo."""

from __future__ import annotations

from importlib.resources import files


def _text(name: str) -> str:
    return files("kinlight.sitting").joinpath(f"data/{name}").read_text("utf-8")


def starter_text() -> str:
    """Return a sitting file with comments, ready to be filled in; it can be planned at once."""
    return _text("starter.toml")


def usual_starter_text() -> str:
    """Return a usual set with comments, ready to be filled in."""
    return _text("usual_set_starter.toml")


def demo_text() -> str:
    """Return the sitting of the demo."""
    return _text("demo.toml")
