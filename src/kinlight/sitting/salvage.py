"""What can still be said about a document of which some parts are faulty.

All faults are to be said at once. So a faulty part is taken out, or replaced by a stand-in of the
same name that contradicts nothing, and the contradictions among the rest are looked for. Nothing
is reported that only the faulty part, once mended, could decide.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError

from kinlight.errors import Fault
from kinlight.sitting.contradictions import contradictions
from kinlight.sitting.document import Sitting
from kinlight.sitting.faults import Location

_AT_MARK = {"distance": 0, "height": 1}
_STAND_INS: dict[str, dict[str, Any]] = {
    "people": {"age": 30},
    "lights": {"role": "fill", "place": _AT_MARK},
    "lenses": {"shortest": 8, "longest": 800, "widest": 0.7, "smallest": 90},
    "pictures": {},
    "breaks": {},
}
"""The lists to whose entries other parts refer by name."""


def contradictions_beside(document: dict[str, Any], error: ValidationError) -> list[Fault]:
    """Return contradictions among the right parts of a document; none if too few are right."""
    found = error.errors(include_url=False)
    misspelt_section = any(e["type"] == "extra_forbidden" and len(e["loc"]) == 1 for e in found)
    locations = {e["loc"] for e in found if e["loc"]}
    rest = copy.deepcopy(document)
    if misspelt_section or not all(_replace(rest, loc) for loc in _backward(locations)):
        return []
    try:
        sitting = Sitting.model_validate(rest, by_alias=True, by_name=False)
    except ValidationError:
        return []
    return contradictions(sitting, doubtful=frozenset(str(loc[0]) for loc in locations))


def _backward(locations: Iterable[Location]) -> list[Location]:
    """Return each faulty section or entry once, later entries of a list first."""
    heads = {loc[:2] if len(loc) > 1 and isinstance(loc[1], int) else loc[:1] for loc in locations}
    named = {loc for loc in locations if len(loc) == 3 and loc[2] in ("id", "name")}
    entries = [loc for loc in heads if len(loc) == 2]
    whole = [loc for loc in heads if len(loc) == 1]
    return [*named, *whole, *sorted(entries, key=lambda loc: loc[1], reverse=True)]


def _replace(rest: dict[str, Any], location: Location) -> bool:
    """Take out what is faulty, or put a stand-in there; return whether the rest can be judged."""
    section, referred_to = str(location[0]), location[0] in _STAND_INS
    if len(location) == 3:
        return not referred_to  # it is not known how the entry is called
    if len(location) == 1:
        rest.pop(section, None)
        return not referred_to
    if section not in rest or not isinstance(location[1], int):
        return True
    entries, index = rest[section], location[1]
    if not referred_to:
        del entries[index]
        if not entries:
            del rest[section]
        return True
    called = _called(section, entries[index])
    entries[index] = called | _STAND_INS[section]
    if section == "pictures":
        entries[index]["people"] = [_first_person(rest)]
    return bool(called)


def _called(section: str, entry: Any) -> dict[str, str]:
    """Return the name and id of an entry; empty if it has none."""
    if isinstance(entry, str) and section == "people":
        return {"name": entry}
    old = entry if isinstance(entry, dict) else {}
    called = {k: str(old[k]) for k in ("id", "name") if old.get(k)}
    people = old.get("people")
    if section == "pictures" and not called and isinstance(people, list) and people:
        return {"name": " + ".join(map(str, people))}
    return called


def _first_person(rest: dict[str, Any]) -> str:
    people = rest.get("people")
    first = people[0] if isinstance(people, list) and people else None
    if isinstance(first, dict):
        return str(first.get("id") or first.get("name"))
    return str(first)
