"""What is wrong with a line that cannot be read as TOML, in plain words where it is known."""

from __future__ import annotations

import re
import tomllib

from kinlight.errors import Fault

_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_STRING = re.compile(r"\"\"\".*?\"\"\"|'''.*?'''|\"(?:\\.|[^\"\\])*\"|'[^']*'")
_DECIMAL_COMMA = re.compile(r"=\s*([-+]?\d+),(\d+)\s*(?=$|[,}#])")
_FEET = re.compile(r"=\s*(\d+)\s*['’′]\s*(\d*)")
_VALUE = re.compile(r"[=\[,]\s*([^\s\0\"'\[{},#=][^,}\]#=]*)(?=[,}\]#]|$)")
_DATE = re.compile(r"\d{4}-\d\d-\d\d")
_UNCLOSED = "has a quote that is not closed"
_CURLY = re.compile("[\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u00ab\u00bb]")


def toml_fault(text: str, message: str, name: str) -> Fault:
    """Return the fault of a text that the TOML reader refused with `message`."""
    lines = [line.strip() for line in text.split("\n")]
    place = _AT_LINE.search(message)
    number = int(place[1]) if place else _unclosed(lines)
    if number == 0:
        return Fault(f"cannot be read as TOML: {one_line(message)}", where=name)
    line = [*lines, ""][number - 1]
    where, shown = f"{name}, line {number}", one_line(line, 80)
    problem, remedy = _explained(line)
    if problem:
        return Fault(f"{problem}: {shown}", where=where, remedy=remedy)
    said = f"cannot be read as TOML: {one_line(message)}"
    return Fault(f"{said}: {shown}" if shown else said, where=name)


def _unclosed(lines: list[str]) -> int:
    """Return the number of the first line with a quote that is not closed; 0 if there is none."""
    faults = (n for n, line in enumerate(lines, start=1) if _explained(line)[0] == _UNCLOSED)
    return next(faults, 0)


def one_line(text: str, most: int = 200) -> str:
    """Return a text in one line that can be printed anywhere, cut if it is long."""
    text = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return text if len(text) <= most else text[: most - 3] + "..."


def _explained(line: str) -> tuple[str, str]:
    """Return what is wrong with a line and how to mend it; empty if it is nothing common."""
    bare = _STRING.sub("\0", line)  # what is quoted can do no harm
    bare = bare.partition("#")[0].rstrip()
    if _CURLY.search(bare):
        return "has curly quotes", 'write straight ones: "'
    if feet := _FEET.search(line):
        inches = f" {feet[2]} in" if feet[2] else ""
        return "has feet and inches without quotes", f'write "{feet[1]} ft{inches}"'
    if '"' in bare or "'" in bare.rpartition("=")[2].lstrip()[:1]:
        return _UNCLOSED, "put the missing quote"
    if comma := _DECIMAL_COMMA.search(bare):
        return "has a decimal comma", f"write {comma[1]}.{comma[2]} with a point"
    values = [found[1].strip() for found in _VALUE.finditer(bare)] if "=" in bare else []
    if wrong := next((v for v in values if not _is_toml(v) and not _DATE.match(v)), ""):
        if wrong.lower() in ("true", "false"):
            return "has a capital letter", f"write {wrong.lower()}"
        quote = "'" if '"' in wrong else '"'
        return "has a text without quotes", f"write {quote}{one_line(wrong, 60)}{quote}"
    return "", ""


def _is_toml(value: str) -> bool:
    try:
        tomllib.loads(f"v = {value}")
    except ValueError:
        return False
    return True
