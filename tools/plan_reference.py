"""Write the tables of docs/reference/plan-json.md from the parts of a plan.

Run `python tools/plan_reference.py` after changing a part of the plan. What stands above the mark
in the page is written by hand and kept.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
import types
import typing
from pathlib import Path
from typing import Any

import numpy as np

from kinlight.plan.model import Plan
from kinlight.sitting.document import Sitting
from kinlight.stage.scene import Scene

PAGE = Path(__file__).resolve().parents[1] / "docs" / "reference" / "plan-json.md"
MARK = "<!-- From here on written by tools/plan_reference.py -->\n"
_UNITS = {
    "mm": "mm", "m": "m", "m2": "m2", "deg": "degrees", "s": "s", "min": "minutes",
    "stops": "stops", "lxs": "lx s", "lx": "lx", "kg": "kg", "n": "N", "years": "years", "j": "J",
}  # fmt: skip
_KINDS = {
    bool: "true or false", int: "whole number", float: "number", str: "text",
    dt.datetime: "date and time", dt.date: "date", dt.time: "time of day",
}  # fmt: skip


def page(old: str) -> str:
    """Return the page with its tables written anew."""
    by_hand, mark, _ = old.partition(MARK)
    if not mark:
        raise SystemExit(f"{PAGE} has no line {MARK!r}")
    return by_hand + MARK + "".join(_section(part) for part in parts())


def parts() -> list[type]:
    """Return every part of a plan, the plan first."""
    found: list[type] = [Plan]
    for part in found:  # grows while it is read
        for hint in fields_of(part).values():
            found += [p for p in _parts_in(hint) if p not in found]
    return found


def fields_of(part: type) -> dict[str, Any]:
    """Return the fields of a part as they stand in the JSON, with their types."""
    hints = typing.get_type_hints(part)
    if part is Scene:
        return {"figures": hints["figures"]}
    if dataclasses.is_dataclass(part):
        return {f.name: hints[f.name] for f in dataclasses.fields(part)}
    return hints


def _parts_in(hint: Any) -> list[type]:
    if typing.get_origin(hint) is not None and typing.get_origin(hint) is not np.ndarray:
        return [p for inner in typing.get_args(hint) for p in _parts_in(inner)]
    is_part = dataclasses.is_dataclass(hint) or hasattr(hint, "_fields")
    return [hint] if isinstance(hint, type) and is_part else []


def _section(part: type) -> str:
    what = re.sub(r"\s+", " ", (part.__doc__ or "").partition("\n\n    Attributes")[0]).strip()
    extra = []
    if part is Plan:
        extra = [("written_by", "text", ""), ("holds", "true or false", "")]
    if part.__name__ == "Check":
        extra = [("verdict", "word: holds, tight, fails", "")]
    rows = extra + [(n, kind(h), _unit(n, h)) for n, h in fields_of(part).items()]
    table = "".join(f"| `{name}` | {said} | {unit} |\n" for name, said, unit in rows)
    return f"\n## {title(part)}\n\n{what}\n\n| key | kind | unit |\n|---|---|---|\n{table}"


def title(part: type) -> str:
    """Return the heading of a part: PicturePlan is "Picture plan"."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", part.__name__).capitalize()


def kind(hint: Any) -> str:
    """Return what a field holds, in words."""
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if hint is Sitting:
        return "[sitting](sitting-file.md)"
    if hint in _KINDS:
        return _KINDS[hint]
    if origin is typing.Literal:
        return "word: " + ", ".join(map(str, inner))
    if origin in (types.UnionType, typing.Union):
        return " or ".join("null" if x is type(None) else kind(x) for x in inner)
    if origin is tuple:
        if inner[-1] is Ellipsis:
            return f"list of {kind(inner[0])}"
        return f"list of {len(inner)}: {', '.join(map(kind, inner))}"
    if origin is np.ndarray or hint is np.ndarray:
        return "list of numbers"
    if isinstance(hint, type) and _parts_in(hint):
        return f"[{title(hint).lower()}](#{title(hint).lower().replace(' ', '-')})"
    return str(getattr(hint, "__name__", hint))


def _unit(name: str, hint: Any) -> str:
    if "number" not in kind(hint):
        return ""
    return _UNITS.get(name.rpartition("_")[2], "")


if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text("utf-8")), encoding="utf-8")
