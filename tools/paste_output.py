"""Paste into the pages of docs/ what the commands shown there print.

A page holds files, as "```toml sitting: family.toml", and commands, as the comment
"<!-- kinlight plan family.toml -->" above the block that shows their output. The commands of a
page run one after the other in a folder that holds its files. A comment may end in
" | the part: Running order", which shows one part of the output alone.

Run `python tools/paste_output.py` after changing what a command prints.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

DOCS = Path(__file__).resolve().parents[1] / "docs"
_FILE = re.compile(r"^```toml (?:sitting|usual): (\S+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_SHOWN = re.compile(
    r"^<!-- kinlight (?P<command>[^|\n]+?)(?: \| the part: (?P<part>[^\n]+?))? -->\n"
    r"```text\n(?P<output>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)
_WIDE = "88"


def pages() -> list[Path]:
    """Return the pages that show what a command prints."""
    return sorted(p for p in DOCS.rglob("*.md") if _SHOWN.search(p.read_text("utf-8")))


def page(old: str) -> str:
    """Return the page with what its commands print now."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in _FILE.findall(old):
            Path(folder, name).write_text(text, encoding="utf-8")
        return _SHOWN.sub(lambda found: _shown(found, Path(folder)), old)


def _shown(found: re.Match[str], folder: Path) -> str:
    output = _run(found["command"], folder)
    if found["part"]:
        output = _part(output, found["part"])
    return f"{found[0].partition('```text')[0]}```text\n{output.rstrip()}\n```"


def _run(command: str, folder: Path) -> str:
    """Return what a command prints; a set that does not hold is no fault, anything else is."""
    clean = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "TERM")}
    done = subprocess.run(
        [sys.executable, "-m", "kinlight", *shlex.split(command)],
        cwd=folder,
        env=clean | {"COLUMNS": _WIDE, "XDG_CONFIG_HOME": str(folder), "PYTHONUTF8": "1"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    if done.returncode not in (0, 2, 3):
        raise SystemExit(f"kinlight {command}: {done.stderr}")
    return done.stderr if done.returncode == 2 else done.stdout  # notes to the user are no output


def _part(output: str, title: str) -> str:
    """Return the part of an output under a title, as far as the next empty line."""
    for part in output.split("\n\n"):
        if part.startswith(title):
            return part
    raise SystemExit(f"no part is called {title}")


if __name__ == "__main__":
    for path in pages():
        path.write_text(page(path.read_text("utf-8")), encoding="utf-8")
