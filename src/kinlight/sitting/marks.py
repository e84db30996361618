"""The marks of a file on what was proposed, each with a digest of the value it was set for.

In a file a mark reads "proposed 3f2a91c0". If the value is edited, the digest no longer fits it,
and the value counts as stated. In memory a mark is plain "proposed".
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from typing import Any

_MARK = re.compile(r"proposed ([0-9a-f]{8})")
_NOTHING = object()


def digest(value: Any) -> str:
    """Return eight characters that stand for a plain value: tables, lists, texts, numbers.

    Numbers count by their value, so that 8 and 8.0 are the same.
    """
    text = json.dumps(_canonical(value), sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:8]


def _canonical(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _canonical(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_canonical(inner) for inner in value]
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value) + 0.0  # -0.0 becomes 0.0
    return value


def marked(document: Mapping[str, Any], origins: Mapping[str, str]) -> dict[str, str]:
    """Return the origins as a file keeps them: each proposed value's mark with its digest."""
    return {
        path: _mark(document, path, origins) if origin == "proposed" else origin
        for path, origin in origins.items()
    }


def _mark(document: Mapping[str, Any], path: str, marks: Iterable[str]) -> str:
    value = _value_at(document, path, marks)
    return "proposed" if value is _NOTHING else f"proposed {digest(value)}"


def without_digests(origins: Any) -> tuple[Any, dict[str, str]]:
    """Return the origins of a file with plain marks, and the digests there were, by path."""
    if not isinstance(origins, Mapping):
        return origins, {}  # a fault, said when the document is validated
    found = {path: _MARK.fullmatch(o) for path, o in origins.items() if isinstance(o, str)}
    digests = {path: match[1] for path, match in found.items() if match}
    return {p: "proposed" if p in digests else o for p, o in origins.items()}, digests


def edited(
    document: Mapping[str, Any], digests: Mapping[str, str], marks: Iterable[str]
) -> set[str]:
    """Return the paths of marks that no longer hold, since the value was edited or taken out.

    An entry that was proposed whole is kept as soon as one of its values was edited.

    Parameters
    ----------
    document : what the sitting states, as plain tables.
    digests : of the marks that have one, by path.
    marks : the paths of all marks.
    """
    values = {path: _value_at(document, path, marks) for path in digests}
    gone = {path for path, value in values.items() if value is _NOTHING}
    changed = {
        path for path in digests if path not in gone and digest(values[path]) != digests[path]
    }
    whole = {_whole_path(document, path) for path in changed}
    return gone | changed | (whole & set(marks))


def is_still_proposed(mark: Any, value: Any) -> bool:
    """Return whether a mark of a file holds for a date, written with or without quotes."""
    match = _MARK.fullmatch(mark) if isinstance(mark, str) else None
    plain = value.isoformat() if isinstance(value, dt.date) else value
    return mark == "proposed" if match is None else match[1] == digest(plain)


def keeps_some(document: Mapping[str, Any], origins: Mapping[str, str]) -> bool:
    """Return whether pictures stand beside each other that were proposed and that are stated."""
    keys = [_own(entry) for entry in document.get("pictures", ())]
    return len({origins.get(f"pictures.{key}") == "proposed" for key in keys}) == 2


def _whole_path(document: Mapping[str, Any], path: str) -> str:
    """Return the path of the entry of a list that holds the value at `path`."""
    section, _, rest = path.partition(".")
    return f"{section}.{_own(_owner(document.get(section), rest))}"


def _owner(part: Any, rest: str) -> Mapping[str, Any]:
    """Return the entry a path leads into; an empty one if there is none.

    A name may hold dots: the longest name that the path begins with is meant.
    """
    found = [e for e in _entries(part) if f"{rest}.".startswith(f"{_own(e)}.")]
    return max(found, key=lambda e: len(_own(e)), default={})


def _value_at(document: Mapping[str, Any], path: str, marks: Iterable[str]) -> Any:
    """Return the value at a path; of a whole entry, what has no mark of its own."""
    section, _, rest = path.partition(".")
    part = document.get(section, _NOTHING)
    if not rest:
        return part
    if isinstance(part, Mapping):
        return _within(part, rest)
    entry = _owner(part, rest)
    own = _own(entry)
    if not own:
        return _NOTHING
    return (
        _unmarked(entry, f"{path}.", marks) if rest == own else _within(entry, rest[len(own) + 1 :])
    )


def _unmarked(entry: Mapping[str, Any], prefix: str, marks: Iterable[str]) -> dict[str, Any]:
    inner = {path[len(prefix) :].partition(".")[0] for path in marks if path.startswith(prefix)}
    return {key: value for key, value in entry.items() if key not in inner}


def _within(table: Mapping[str, Any], rest: str) -> Any:
    """Return what stands under "place.height" in a table; places are found by their person."""
    key, _, further = rest.partition(".")
    value = table.get(key, _NOTHING)
    if not further:
        return value
    if isinstance(value, Mapping):
        return _within(value, further)
    return next((e for e in _entries(value) if e.get("person") == further), _NOTHING)


def _entries(part: Any) -> list[Mapping[str, Any]]:
    return [e for e in part if isinstance(e, Mapping)] if isinstance(part, list) else []


def _own(entry: Mapping[str, Any]) -> str:
    """Return how an entry of a list is referred to."""
    own = entry.get("id") or entry.get("name") or " + ".join(map(str, entry.get("people", ())))
    return str(own)
