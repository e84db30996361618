"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path

import click

FILE = click.Path(path_type=Path)
SITTING = click.argument("sitting_file", metavar="FILE", type=FILE)
USUAL = click.option(
    "--usual",
    type=FILE,
    metavar="FILE",
    help="The studio's usual set; left out, the one kept for this user, if any.",
)
