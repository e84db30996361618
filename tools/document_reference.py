"""Write the tables of docs/reference/sitting-file.md from the document's own fields.

Run `python tools/document_reference.py` after changing a field of the sitting document. What
stands above the mark in the page is written by hand and kept.
"""

from __future__ import annotations

import datetime as dt
import re
import types
import typing
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import BaseModel, BeforeValidator
from pydantic.fields import FieldInfo

from kinlight.quantities.stops import parse_f_number
from kinlight.quantities.times import shutter_text
from kinlight.sitting.base import MeterReading, PowerSetting, document_key, unit_of
from kinlight.sitting.document import Sitting
from kinlight.sitting.faults import allowed_text

PAGE = Path(__file__).resolve().parents[1] / "docs" / "reference" / "sitting-file.md"
MARK = "<!-- From here on written by tools/document_reference.py -->\n"
_HEAD = "| key | what it says | given as | default | allowed |\n|---|---|---|---|---|\n"


def page(old: str) -> str:
    """Return the page with its tables written anew."""
    by_hand, mark, _ = old.partition(MARK)
    if not mark:
        raise SystemExit(f"{PAGE} has no line {MARK!r}")
    return by_hand + MARK + "\n" + "\n".join(_section(m, paths) for m, paths in sections().items())


def sections() -> dict[type[BaseModel], list[str]]:
    """Return every part of the document, the sitting first, with the keys it stands under."""
    found: dict[type[BaseModel], list[str]] = {Sitting: []}
    todo = [Sitting]
    while todo:
        owner = todo.pop(0)
        for name, field in owner.model_fields.items():
            for part in _models(field.annotation):
                within = "" if owner is Sitting else f" of {_title(owner).lower()}"
                if part not in found:
                    found[part] = []
                    todo.append(part)
                found[part].append(f"`{document_key(name)}`{within}")
    return found


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in typing.get_args(annotation):
        yield from _models(inner)


def _title(model: type[BaseModel]) -> str:
    words = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", model.__name__)
    return words[0] + words[1:].lower()


def _section(model: type[BaseModel], paths: list[str]) -> str:
    about = " ".join((model.__doc__ or "").split())
    under = f"\nUnder {', '.join(paths)}.\n" if paths else ""
    rows = "".join(_row(name, field) for name, field in model.model_fields.items())
    return f"## {_title(model)}\n\n{about}\n{under}\n{_HEAD}{rows}"


def _row(name: str, field: FieldInfo) -> str:
    cells = (
        f"`{document_key(name)}`",
        " ".join((field.description or "").split()),
        _kind(name, field),
        _default(name, field),
        _allowed(name, field),
    )
    return "| " + " | ".join(c.replace("|", "\\|") for c in cells) + " |\n"


def _kind(name: str, field: FieldInfo) -> str:
    unit = unit_of(name)
    if unit:
        return unit
    part = next(_models(field.annotation), None)
    entries = _is_list(field.annotation)
    if part is not None:
        link = f"[{_title(part).lower()}](#{_title(part).lower().replace(' ', '-')})"
        return f"list of {link}" if entries else link
    if name == "strike":
        return "list of lists of texts"
    if entries:
        return "list of words" if allowed_text(name, field) else "list of texts"
    return _plain_kind(field)


def _plain_kind(field: FieldInfo) -> str:
    inner = list(_walk(field.annotation))
    readers = [m for m in (*field.metadata, *inner) if isinstance(m, BeforeValidator)]
    if any(r.func is parse_f_number for r in readers):
        return "f-number"
    if typing.get_args(MeterReading)[1] in readers:
        return "meter reading"
    kinds = (
        (dt.date, "date"),
        (dt.time, "time of day"),
        (dict, "table"),
        (bool, "true or false"),
        (int, "whole number"),
    )
    found = next((text for kind, text in kinds if kind in inner), "")
    if found:
        return found
    if float in inner and str in inner:
        is_power = typing.get_args(PowerSetting)[1] in readers
        return "power setting" if is_power else "number or word"
    if float in inner:
        return "number"
    return "word" if any(typing.get_origin(a) is typing.Literal for a in inner) else "text"


def _walk(annotation: Any) -> Iterator[Any]:
    """Yield everything an annotation is made of; a dict only as itself."""
    origin = typing.get_origin(annotation)
    if origin is dict:
        yield dict
        return
    yield annotation
    if origin is typing.Literal:
        return
    yield from getattr(annotation, "__metadata__", ())
    for inner in typing.get_args(annotation):
        if isinstance(inner, type | types.UnionType | types.GenericAlias) or typing.get_origin(
            inner
        ):
            yield from _walk(inner)


def _is_list(annotation: Any) -> bool:
    return any(typing.get_origin(a) is tuple for a in _walk(annotation))


def _default(name: str, field: FieldInfo) -> str:
    if field.is_required():
        return "needed"
    value = field.default
    if field.default_factory is not None:
        return "" if name == "origins" else "the shipped set"
    if value is None or value in ((), "") or isinstance(value, BaseModel):
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dt.time):
        return f"{value:%H:%M}"
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    if isinstance(value, float):
        short = name.endswith("_s") and value < 0.1
        return shutter_text(value) if short else f"{value:.4g}"
    return str(value)


def _allowed(name: str, field: FieldInfo) -> str:
    lengths = {
        side: getattr(piece, f"{side}_length")
        for piece in field.metadata
        for side in ("min", "max")
        if hasattr(piece, f"{side}_length")
    }
    if not lengths:
        return allowed_text(name, field)
    unit = "entries" if _is_list(field.annotation) else "characters"
    least = f"{lengths['min']} or more" if "min" in lengths else ""
    if "max" not in lengths:
        number = f"{least} {unit}"
    elif least:
        number = f"{lengths['min']} to {lengths['max']} {unit}"
    else:
        number = f"up to {lengths['max']} {unit}"
    words = allowed_text(name, field)
    return f"{number}: {words}" if words else number


if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text("utf-8")), "utf-8")
