"""What no sitting file may hold, whatever it is about: endless depth, control characters."""

from __future__ import annotations

import unicodedata
from typing import Any

from kinlight.errors import Fault, SittingError

DEEPEST = 20
LONGEST_TEXT = 1000
_LARGEST = 10**18
_UNPRINTABLE = frozenset(("Cc", "Cs", "Zl", "Zp"))  # Unicode general categories


def well_formed(document: Any) -> tuple[Any, list[Fault]]:
    """Return a copy of the document that can be printed whole, and what was wrong with it.

    Characters that cannot be printed become "?", texts are cut to `LONGEST_TEXT`, and whole
    numbers too large to be a measure of anything become the largest allowed.

    Raises
    ------
    SittingError
        If it is nested deeper than any sitting.
    """
    faults: list[Fault] = []
    return _copied(document, (), faults), faults


def _copied(value: Any, path: tuple[str, ...], faults: list[Fault]) -> Any:
    if len(path) > DEEPEST:
        raise SittingError(Fault("is nested too deeply", where=path[0]))
    if isinstance(value, str):
        return _text(value, path, faults)
    if isinstance(value, int) and not isinstance(value, bool):
        return max(-_LARGEST, min(value, _LARGEST))
    if isinstance(value, dict):
        keys = {key: _text(str(key), path, faults) for key in value}
        return {k: _copied(value[key], (*path, k), faults) for key, k in keys.items()}
    if isinstance(value, list | tuple):
        return [_copied(v, (*path, str(n)), faults) for n, v in enumerate(value, start=1)]
    return value


def _text(text: str, path: tuple[str, ...], faults: list[Fault]) -> str:
    where = ", ".join(path)
    if len(text) > LONGEST_TEXT:
        text = text[:LONGEST_TEXT]
        faults.append(Fault("is too long a text", where, f"up to {LONGEST_TEXT} characters"))
    printable = "".join("?" if unicodedata.category(c) in _UNPRINTABLE else c for c in text)
    if printable != text:
        given = repr(printable if len(printable) <= 60 else printable[:57] + "...")
        problem = "has a line break or another character that cannot be printed, shown as ?"
        faults.append(Fault(problem, where, given=given))
    return printable
