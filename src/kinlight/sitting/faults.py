"""Turning what the validator found into one plain sentence per fault."""

from __future__ import annotations

import difflib
import math
import typing
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from kinlight.errors import Fault, KinlightError
from kinlight.sitting.base import document_key, unit_of
from kinlight.sitting.other_words import as_centimetres, meant_key, other_word

Location = tuple[int | str, ...]
_SINGULAR = {
    "people": "person",
    "lenses": "lens",
    "lights": "light",
    "reflectors": "reflector",
    "seats": "seat",
    "pictures": "picture",
    "meter_points": "meter point",
    "breaks": "break",
    "bonds": "bond",
    "sizes": "size",
    "places": "place of",
    "away": "time away",
    "sheets": "sheet",
}


def faults_of(
    error: ValidationError, document: Mapping[str, Any], model: type[BaseModel]
) -> list[Fault]:
    """Return a fault for each thing the validator found wrong in `document`."""
    found = error.errors(include_url=False)
    inner = {e["loc"][:n] for e in found for n in range(len(e["loc"]))}
    # A list whose entries are faulty is also reported as too short; that would only confuse.
    kept = [e for e in found if not (e["type"] == "too_short" and e["loc"] in inner)]
    return [_fault(e, document, model) for e in kept]


def where(location: Location, document: Any) -> str:
    """Return a location in words: "light 'hair', height"."""
    words: list[str] = []
    at: Any = document
    for step in location:
        if isinstance(step, int) and words:
            at = at[step] if isinstance(at, Sequence) and step < len(at) else None
            words[-1] = f"{_SINGULAR.get(words[-1], words[-1])} {_called(at, step)}"
        else:
            at = at.get(step) if isinstance(at, Mapping) else None
            words.append(str(step) if isinstance(step, int) else step)
    return ", ".join(w.replace("_", " ") if "'" not in w else w for w in words)


def _called(entry: Any, index: int) -> str:
    """Return how an entry of a list is called: its id or name in quotes, else its number."""
    if isinstance(entry, Mapping):
        for key in ("id", "name", "person"):
            if isinstance(entry.get(key), str) and entry[key]:
                return f"'{entry[key]}'"
    return str(index + 1)


def _fault(error: Any, document: Mapping[str, Any], model: type[BaseModel]) -> Fault:
    location: Location = error["loc"]
    kind: str = error["type"]
    if kind == "extra_forbidden":
        return _unknown_key(location, document, model)
    place, field = where(location, document), field_at(model, location)
    allowed = allowed_text(field[0], field[1]) if field else ""
    if kind == "missing":
        example = _EXAMPLES.get(str(location[-1]), "…")
        remedy = f"write {location[-1]} = {example}"
        return Fault("is missing", where=place, allowed=allowed, remedy=remedy)
    raw = error["input"]
    original = error.get("ctx", {}).get("error")
    if isinstance(original, KinlightError):
        fault = original.faults[0].at(place)
        as_written = fault.given == repr(raw)
        shown = _given(raw) if as_written else _shortened(fault.given)
        return replace(fault, given=shown, allowed=fault.allowed or allowed)
    if kind in ("too_long", "string_too_long"):
        unit = "entries" if kind == "too_long" else "characters"
        return Fault(_PROBLEMS[kind], place, f"up to {error['ctx']['max_length']} {unit}")
    if kind in ("too_short", "string_too_short"):
        return Fault(_PROBLEMS[kind], place)
    if kind in _CONTAINERS:
        key = location[-1] if isinstance(location[-1], str) else location[0]
        example = _EXAMPLES.get(key, "")
        if isinstance(location[-1], int):
            example = example.strip("[]")
        wanted = f"write {example}" if example else ""
        return Fault(_PROBLEMS[kind], place, given=_given(raw), remedy=wanted)
    problem = _PROBLEMS.get(kind, "is not what belongs here")
    given, remedy = _given(raw), other_word(str(location[-1]), raw)
    if kind in ("less_than", "less_than_equal") and field and unit_of(field[0]) == "m":
        info = field[1]
        given, remedy = as_centimetres(raw, lambda m: _fits(m, info)) or (given, remedy)
    return Fault(problem, where=place, given=given, allowed=allowed, remedy=remedy)


_CONTAINERS = ("tuple_type", "model_type", "dict_type")
_EXAMPLES: dict[int | str, str] = {
    "people": '[{ name = "Ida", age = 4 }]',
    "bonds": '["Nora is parent of Ida"]',
    "name": '"Ida"',
    "place": '{ distance = 2, side = "left", angle = 45, height = 2 }',
}
_PROBLEMS = {
    "greater_than": "is too small",
    "greater_than_equal": "is too small",
    "less_than": "is too large",
    "less_than_equal": "is too large",
    "finite_number": "is not a number",
    "literal_error": "is none of the words known here",
    "string_type": "is not a text",
    "string_too_short": "is empty",
    "string_too_long": "is too long",
    "bool_type": "is not true or false",
    "tuple_type": "is not a list",
    "too_short": "is empty",
    "too_long": "has too many entries",
    "model_type": "is not a table of entries",
    "dict_type": "is not a table of entries",
}


def _unknown_key(location: Location, document: Mapping[str, Any], model: type[BaseModel]) -> Fault:
    key = str(location[-1])
    owner = model_at(model, location[:-1])
    known = [document_key(name) for name in owner.model_fields] if owner else []
    near = meant_key(key, known) or difflib.get_close_matches(key, known, n=1, cutoff=0.6)
    place = where(location[:-1], document)
    remedy = f"did you mean '{near[0]}'?" if near else ""
    allowed = "" if near else ", ".join(known)
    return Fault(f"'{key}' is not known here", where=place, allowed=allowed, remedy=remedy)


def _given(value: Any) -> str:
    if isinstance(value, float) and not math.isfinite(value):
        return "nan" if math.isnan(value) else "infinity"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, list | tuple | Mapping):
        return "a table" if isinstance(value, Mapping) else "a list"
    return _shortened(repr(value) if isinstance(value, str) else str(value))


def _shortened(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


def model_at(model: type[BaseModel], location: Location) -> type[BaseModel] | None:
    """Return the class of the document part at `location`; None if there is none."""
    current: type[BaseModel] | None = model
    for step in location:
        if isinstance(step, int):
            continue
        field = _field(current, step) if current else None
        current = _model_in(field[1].annotation) if field else None
    return current


def field_at(model: type[BaseModel], location: Location) -> tuple[str, FieldInfo] | None:
    """Return the field's name in code and its description at `location`."""
    names = [step for step in location if isinstance(step, str)]
    owner = model_at(model, tuple(names[:-1])) if names else None
    return _field(owner, names[-1]) if owner else None


def _field(model: type[BaseModel] | None, key: str) -> tuple[str, FieldInfo] | None:
    for name, field in model.model_fields.items() if model else ():
        if key in (name, document_key(name)):
            return name, field
    return None


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in typing.get_args(annotation):
        found = _model_in(inner)
        if found:
            return found
    return None


def allowed_text(name: str, field: FieldInfo) -> str:
    """Return in words what a field may hold: its range with unit, or its words."""
    words = [w for a in _annotations(field.annotation) for w in _words(a)]
    if words:
        return ", ".join(words)
    unit = f" {unit_of(name)}" if unit_of(name) else ""
    least, high = bounds(field)
    if least is None or high is None:
        return ""
    numbers = f"{_plain(least, unit)} to {_plain(high, unit)}{unit}"
    above = _bound(_pieces(field), "gt")
    return numbers if above is None else f"more than {numbers}"


def bounds(field: FieldInfo) -> tuple[float | None, float | None]:
    """Return the least and the greatest value a field may hold; None where there is no bound."""
    pieces = _pieces(field)
    low = _bound(pieces, "ge")
    return low if low is not None else _bound(pieces, "gt"), _bound(pieces, "le")


def _fits(value: float, field: FieldInfo) -> bool:
    least, most = bounds(field)
    return least is not None and most is not None and least <= value <= most


def _pieces(field: FieldInfo) -> list[Any]:
    return [*field.metadata, *_metadata(field.annotation)]


def _bound(pieces: list[Any], side: str) -> float | None:
    """Return a bound among a field's constraints: ge (from), gt (above) or le (up to)."""
    values = [getattr(piece, side) for piece in pieces if hasattr(piece, side)]
    return float(values[0]) if values else None


def _plain(number: float, unit: str) -> str:
    """Return a bound as people write it: short times as fractions, no powers of ten."""
    if unit == " s" and 0 < number < 0.4:
        return f"1/{round(1 / number)}"
    return f"{number:.0f}" if number >= 1000 else f"{number:g}"


def _annotations(annotation: Any) -> list[Any]:
    return [annotation, *(b for a in typing.get_args(annotation) for b in _annotations(a))]


def _words(annotation: Any) -> list[str]:
    if typing.get_origin(annotation) is typing.Literal:
        return [str(a) for a in typing.get_args(annotation)]
    return []


def _metadata(annotation: Any) -> list[Any]:
    found: list[Any] = []
    for inner in _annotations(annotation):
        for piece in getattr(inner, "__metadata__", ()):
            found.extend(
                getattr(piece, "metadata", [piece]) if isinstance(piece, FieldInfo) else [piece]
            )
    return found
