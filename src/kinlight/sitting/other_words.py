"""What people write where the document has another word, or another unit."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Callable, Sequence
from importlib.resources import files
from typing import Any


@functools.cache
def _document() -> dict[str, Any]:
    text = files("kinlight.sitting").joinpath("data/other_words.toml").read_text("utf-8")
    return tomllib.loads(text)


def meant_key(key: str, known: Sequence[str]) -> list[str]:
    """Return the one of the known keys for which people say `key`, in a list; empty if none is."""
    word = key.strip().lower().replace(" ", "_").replace("-", "_")
    return [k for k in _document()["keys"].get(word, ()) if k in known][:1]


def other_word(key: str, value: Any) -> str:
    """Return what to write for a value that is no word of the document; empty if not known."""
    words: dict[str, str] = _document()["values"].get(key, {})
    return words.get(value.strip().lower(), "") if isinstance(value, str) else ""


def as_centimetres(value: Any, fits: Callable[[float], bool]) -> tuple[str, str] | None:
    """Return how to show and how to mend a bare number of metres that was meant in centimetres.

    None if the number, read as centimetres, does not fit either.
    """
    text = str(value).strip().replace(",", ".")
    try:
        centimetres = float(text) if not isinstance(value, bool) else 0.0
    except ValueError:
        return None  # it has a unit
    if not fits(centimetres / 100):
        return None
    return f"{text} m", f'write {centimetres / 100:.6g} or "{text} cm"'
