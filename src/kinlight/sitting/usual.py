"""The usual set: the studio's own room, gear and ways, kept in a document of the same form."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kinlight.errors import Fault, SittingError

_PERSONAL = frozenset(
    ("people", "bonds", "pictures", "strike", "order", "title", "date", "start", "origins")
)
_TABLES = ("room", "backdrop", "camera", "meter", "preferences", "wishes")
_HEADER = frozenset(("format", "written_by"))


def with_usual_set(document: Mapping[str, Any], usual: Mapping[str, Any]) -> dict[str, Any]:
    """Return the document with what it leaves blank taken from the usual set.

    Tables (room, camera, ...) are filled key by key, lists (lights, lenses, ...) whole. What was
    taken is noted under `origins`.

    Raises
    ------
    SittingError
        If the usual set names people or pictures; they belong in a sitting.
    """
    personal = sorted(_PERSONAL & usual.keys())
    if personal:
        raise SittingError(
            Fault(
                f"holds {', '.join(personal)}", where="usual set", remedy="keep those in a sitting"
            )
        )
    filled, noted = dict(document), document.get("origins", {})
    if not isinstance(noted, Mapping):
        return filled  # a fault of the sitting, said when it is read
    origins = dict(noted)
    for key, value in usual.items():
        if key in _HEADER:
            continue
        if (
            key in _TABLES
            and isinstance(value, Mapping)
            and isinstance(filled.get(key, {}), Mapping)
        ):
            stated = dict(filled.get(key, {}))
            taken = {k: v for k, v in value.items() if k not in stated}
            filled[key] = stated | taken
            origins |= {f"{key}.{k}": "usual set" for k in taken}
        elif key not in filled:
            filled[key] = value
            origins[key] = "usual set"
    if origins:
        filled["origins"] = origins
    return filled


def keeping(
    usual: Mapping[str, Any], *, fitted: Mapping[str, Mapping[str, Any]], room: Mapping[str, Any]
) -> dict[str, Any]:
    """Return the usual set with what readings have shown of its lights and of its room.

    Parameters
    ----------
    fitted : by the id of a light, what its `fitted` says.
    room : keys of the room with their values.
    """
    lights = [
        {**light, "fitted": dict(fitted[light["id"]])} if light["id"] in fitted else light
        for light in usual.get("lights", ())
    ]
    kept = dict(usual)
    if lights:
        kept["lights"] = lights
    if room:
        kept["room"] = {**usual.get("room", {}), **room}
    return kept
