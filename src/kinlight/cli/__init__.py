"""The command line: a thin face on the same functions that everything else uses."""

from __future__ import annotations

from kinlight.cli.main import main

__all__ = ["main"]
