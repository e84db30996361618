"""The record of a sitting: what happened, line by line, never changed afterwards.

One JSON object a line, appended and forced to the disk before anything is said to be kept. A plan
never reads it; what it teaches is copied into the sitting with its date.
"""

from __future__ import annotations

import datetime as dt
import json
import os
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from kinlight.errors import Fault, StoreError
from kinlight.quantities.stops import parse_meter_reading

SUFFIX = ".record.jsonl"


@dataclass(frozen=True)
class Reading:
    """What the hand meter showed at a meter point, and what the lights fired were then set to."""

    at: dt.datetime
    point: str
    shown: str
    set_to: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Made:
    """A picture that was made, and in how many frames."""

    at: dt.datetime
    picture: str
    frames: int


Event = Reading | Made
_KINDS: dict[str, type[Reading] | type[Made]] = {"reading": Reading, "made": Made}


def record_path(sitting_file: Path) -> Path:
    """Return where the record of a sitting file is kept: beside it."""
    return sitting_file.with_name(sitting_file.stem + SUFFIX)


def append(path: Path, event: Event) -> None:
    """Add an event to the record; it is on the disk when this returns.

    Raises
    ------
    QuantityError
        If a reading is not one.
    StoreError
        If it cannot be written; what was there before is untouched.
    """
    if isinstance(event, Reading):
        parse_meter_reading(event.shown)
    kind = next(k for k, cls in _KINDS.items() if isinstance(event, cls))
    fields = asdict(event) | {"at": event.at.isoformat(timespec="seconds")}
    line = json.dumps({"kind": kind, **fields}, ensure_ascii=False) + "\n"
    try:
        whole = _ends_whole(path)
        with path.open("ab") as file:
            # a line torn by a power cut is closed off, so that this one stands by itself
            file.write((line if whole else "\n" + line).encode())
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise StoreError(Fault(f"cannot be written: {error.strerror}", where=str(path))) from None


def _ends_whole(path: Path) -> bool:
    if not path.exists() or path.stat().st_size == 0:
        return True
    with path.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1) == b"\n"


def events(path: Path) -> tuple[tuple[Event, ...], tuple[Fault, ...]]:
    """Return what the record holds, oldest first, and a fault for each line that cannot be read.

    A record that does not exist yet is empty.

    Raises
    ------
    StoreError
        If it is there and cannot be read.
    """
    try:
        lines = path.read_bytes().decode("utf-8", errors="replace").split("\n")
    except FileNotFoundError:
        return (), ()
    except OSError as error:
        raise StoreError(Fault(f"cannot be read: {error.strerror}", where=str(path))) from None
    found, faults = [], []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            found.append(_event(json.loads(line)))
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            faults.append(Fault("cannot be read and is passed over", where=f"line {number}"))
    return tuple(found), tuple(faults)


def _event(fields: Any) -> Event:
    kind = fields.pop("kind")
    at = dt.datetime.fromisoformat(fields.pop("at"))
    if kind == "made":
        return Made(at, str(fields["picture"]), int(fields["frames"]))
    if kind == "reading":
        set_to = {str(k): str(v) for k, v in fields.get("set_to", {}).items()}
        return Reading(at, str(fields["point"]), str(fields["shown"]), set_to)
    raise ValueError(kind)


def latest_readings(found: Iterable[Event]) -> dict[str, Reading]:
    """Return the last reading at each meter point."""
    return {e.point: e for e in found if isinstance(e, Reading)}


def frames_made(found: Iterable[Event]) -> dict[str, int]:
    """Return the frames made of each picture, all times together."""
    frames: dict[str, int] = {}
    for event in found:
        if isinstance(event, Made):
            frames[event.picture] = frames.get(event.picture, 0) + event.frames
    return frames
