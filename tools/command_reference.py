"""Write docs/reference/commands.md from what the commands say of themselves under --help.

Run `python tools/command_reference.py` after changing a command or an option. What stands above
the mark in the page is written by hand and kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from kinlight.cli import main

PAGE = Path(__file__).resolve().parents[1] / "docs" / "reference" / "commands.md"
MARK = "<!-- From here on written by tools/command_reference.py -->\n"
_WIDE = 88


def page(old: str) -> str:
    """Return the page with its commands written anew."""
    by_hand, mark, _ = old.partition(MARK)
    if not mark:
        raise SystemExit(f"{PAGE} has no line {MARK!r}")
    return by_hand + MARK + "".join(_section(path, shown) for path, shown in helps())


def helps() -> Iterator[tuple[str, str]]:
    """Yield every command, as typed, with what its --help prints."""
    yield from _helps("kinlight", main, None)


def _helps(
    path: str, command: click.Command, parent: click.Context | None
) -> Iterator[tuple[str, str]]:
    name = path.rpartition(" ")[2]
    context = click.Context(
        command,
        parent=parent,
        info_name=name,
        terminal_width=_WIDE,
        max_content_width=_WIDE,
        help_option_names=["-h", "--help"],
    )
    yield path, command.get_help(context)
    if isinstance(command, click.Group):
        for child in sorted(command.commands):
            yield from _helps(f"{path} {child}", command.commands[child], context)


def _section(path: str, shown: str) -> str:
    text = "\n".join(line.rstrip() for line in shown.rstrip().splitlines())
    return f"\n## {path}\n\n```text\n{text}\n```\n"


if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text("utf-8")), encoding="utf-8")
