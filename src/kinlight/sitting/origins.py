"""Marking what was proposed, so that a stated value is never mistaken for one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from kinlight.errors import Fault
from kinlight.sitting.base import document_key
from kinlight.sitting.document import Sitting

_PROPOSABLE = re.compile(
    r"pictures\..+|lights\..+\.(power|aim|aim\.height)|order|date|"
    r"camera\.(place|place\.height|aim_height|f_number|focus_on|focus_in|lens)",
    re.DOTALL,
)


def unsound_marks(sitting: Sitting) -> Iterator[Fault]:
    """Return a fault for each mark on something that is never proposed."""
    for path, origin in sitting.origins.items():
        if origin == "proposed" and not _PROPOSABLE.fullmatch(path):
            yield Fault(f"'{path}' is never proposed", where="origins", remedy="delete that line")


def proposing(sitting: Sitting, section: str, **values: Any) -> Sitting:
    """Return the sitting with these fields of a section (or of itself) filled in as proposed."""
    if not section:
        changed = sitting.with_stated(**values)
        paths = {document_key(name): "proposed" for name in values}
    else:
        part = getattr(sitting, section).with_stated(**values)
        changed = sitting.with_stated(**{section: part})
        paths = {f"{section}.{document_key(name)}": "proposed" for name in values}
    return _noted(changed, paths)


def proposing_in(sitting: Sitting, section: str, key: str, **values: Any) -> Sitting:
    """Return the sitting with fields of one entry of a list filled in as proposed."""
    entries = tuple(
        entry.with_stated(**values) if key_of(entry) == key else entry
        for entry in getattr(sitting, section)
    )
    paths = {f"{section}.{key}.{document_key(name)}": "proposed" for name in values}
    return _noted(sitting.with_stated(**{section: entries}), paths)


def key_of(entry: Any) -> str:
    """Return how an entry of a list is referred to."""
    key: str = entry.key if hasattr(entry, "key") else entry.id
    return key


def is_proposed(sitting: Sitting, path: str) -> bool:
    """Return whether the value at a path was proposed and not yet accepted."""
    return sitting.origins.get(path) == "proposed"


def without_proposed(sitting: Sitting) -> Sitting:
    """Return the sitting with everything proposed blank again, so that it can be proposed anew.

    The date stays: it is taken from the day a file is read, and ages are counted to it.
    """
    document = sitting.model_dump(exclude_unset=True, exclude_none=True)
    kept = dict(sitting.origins)
    for path, origin in sitting.origins.items():
        if origin == "proposed" and path != "date":
            del kept[path]
            _blank(document, path)
    document["origins"] = kept
    if not kept:
        del document["origins"]
    return Sitting.model_validate(document)


def _blank(document: dict[str, Any], path: str) -> None:
    section, _, rest = path.partition(".")
    part = document.get(section)
    if not rest:
        document.pop(section, None)
    elif isinstance(part, dict):
        part.pop(rest, None)
    elif part is not None:
        document[section] = tuple(e for e in (_less(e, rest) for e in part) if e is not None)


def _less(entry: dict[str, Any], rest: str) -> dict[str, Any] | None:
    """Return an entry of a list without the field that `rest` names; None if it names it whole."""
    own = entry.get("id") or entry.get("name") or " + ".join(map(str, entry.get("people", ())))
    if rest == own:
        return None
    key, _, field = rest.rpartition(".")
    return {k: v for k, v in entry.items() if k != field} if key == own else entry


def without_marks(sitting: Sitting, entries: Iterable[str]) -> Sitting:
    """Return the sitting without the marks of these entries and of what is in them."""
    gone = tuple(entries)
    kept = {
        path: origin
        for path, origin in sitting.origins.items()
        if not any(path == entry or path.startswith(f"{entry}.") for entry in gone)
    }
    changed: Sitting = sitting.with_stated(origins=kept)
    return changed


def accepted(sitting: Sitting) -> Sitting:
    """Return the sitting with everything proposed counted as stated."""
    kept = {path: origin for path, origin in sitting.origins.items() if origin != "proposed"}
    changed: Sitting = sitting.with_stated(origins=kept)
    return changed


def _noted(sitting: Sitting, paths: dict[str, str]) -> Sitting:
    changed: Sitting = sitting.with_stated(origins={**sitting.origins, **paths})
    return changed


def noted(sitting: Sitting, paths: Iterable[str]) -> Sitting:
    """Return the sitting with these paths marked as proposed."""
    return _noted(sitting, dict.fromkeys(paths, "proposed"))
