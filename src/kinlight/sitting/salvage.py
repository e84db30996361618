"""What can still be said about a document of which some parts are faulty.

All faults are to be said at once. So a faulty part is taken out, or replaced by a stand-in of the
same name that contradicts nothing, and the contradictions among the rest are looked for.
"""

from __future__ import annotations

import copy
from typing import Any

from pydantic import ValidationError

from kinlight.errors import Fault
from kinlight.sitting.contradictions import contradictions
from kinlight.sitting.document import Sitting
from kinlight.sitting.faults import Location

_AT_MARK = {"distance": 0, "height": 1}
_STAND_INS: dict[str, dict[str, Any]] = {
    "people": {"age": 30},
    "lights": {"role": "fill", "place": _AT_MARK, "modifier": {"width": 0.1}},
    "reflectors": {"place": _AT_MARK, "height": 0.1},
    "meter_points": {"place": _AT_MARK},
    "lenses": {"shortest": 8, "longest": 800, "widest": 0.7, "smallest": 90},
    "seats": {},
    "breaks": {},
    "pictures": {},
}


def contradictions_beside(document: Any, error: ValidationError) -> list[Fault]:
    """Return contradictions among the parts of a document that are right.

    Nothing is reported that only a faulty part, once mended, could decide. If too little is
    right to tell, nothing is.
    """
    rest: Any = copy.deepcopy(document)
    for location in _backward({e["loc"] for e in error.errors()}):
        _cut(rest, location)
    try:
        return contradictions(Sitting.model_validate(rest))
    except ValidationError as still:
        ageless = _stand_in(rest, {e["loc"] for e in still.errors()})
    try:
        return contradictions(Sitting.model_validate(rest), ageless=ageless)
    except ValidationError:
        return []


def _backward(locations: set[Location]) -> list[Location]:
    """Return locations so ordered that taking one out moves none of those to come."""
    return sorted(
        locations,
        key=lambda loc: [(0, s, "") if isinstance(s, int) else (1, 0, s) for s in loc],
        reverse=True,
    )


def _stand_in(rest: Any, locations: set[Location]) -> frozenset[str]:
    """Replace entries that cannot do without what was cut; return the people among them."""
    ageless = set[str]()
    for location in _backward({loc[:2] for loc in locations}):
        section = str(location[0])
        entry = _at(rest, location)
        if section in _STAND_INS and len(location) == 2 and isinstance(location[1], int):
            new = _replacement(section, entry, rest, location[1])
            rest[section][location[1]] = new
            if section == "people":
                ageless.add(new.get("id") or new["name"])
        else:
            _cut(rest, location)
    return frozenset(ageless)


def _replacement(section: str, entry: Any, rest: Any, index: int) -> dict[str, Any]:
    """Return a stand-in that is referred to as the entry was."""
    old = entry if isinstance(entry, dict) else {}
    called = {k: old[k] for k in ("id", "name") if isinstance(old.get(k), str) and old[k]}
    nameless = f"{section} {index + 1}"
    if section == "people":
        return {"name": nameless} | called | _STAND_INS[section]
    if section == "pictures":
        first = _at(rest, ("people", 0))
        someone = first.get("id") or first.get("name") if isinstance(first, dict) else ""
        return {"name": nameless} | called | {"people": [someone or "people 1"]}
    return {"id": nameless} | called | _STAND_INS[section]


def _at(tree: Any, location: Location) -> Any:
    """Return what stands at a location; None if nothing does."""
    for step in location:
        try:
            tree = tree[step]
        except (KeyError, IndexError, TypeError):
            return None
    return tree


def _cut(tree: Any, location: Location) -> None:
    """Remove the value at a location, or the text from which a part of it was read."""
    for length in range(len(location), 0, -1):
        parent = _at(tree, location[: length - 1])
        last = location[length - 1]
        if isinstance(parent, dict | list):
            if isinstance(parent, dict):
                parent.pop(str(last), None)
            elif isinstance(last, int) and last < len(parent):
                del parent[last]
            return
