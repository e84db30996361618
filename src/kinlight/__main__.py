"""`python -m kinlight` is the same as `kinlight`."""

from __future__ import annotations

from kinlight.cli import main

main(prog_name="kinlight")
