"""Reading and writing sitting files: TOML for people, JSON for programs."""

from __future__ import annotations

import datetime as dt
import json
import os
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomli_w
from pydantic import ValidationError

import kinlight
from kinlight.errors import Fault, SittingError, StoreError
from kinlight.sitting.contradictions import contradictions
from kinlight.sitting.document import FORMAT, Sitting
from kinlight.sitting.faults import faults_of
from kinlight.sitting.marks import (
    edited,
    is_still_proposed,
    keeps_some,
    marked,
    without_digests,
)
from kinlight.sitting.origins import unsound_marks
from kinlight.sitting.salvage import contradictions_beside
from kinlight.sitting.toml_fault import one_line, toml_fault
from kinlight.sitting.usual import with_usual_set
from kinlight.sitting.well_formed import well_formed

LARGEST_BYTES = 4_000_000


def load(path: Path, usual: Path | None = None, today: dt.date | None = None) -> Sitting:
    """Read a sitting file (.toml or .json), filling blanks from the usual set if there is one.

    The usual set is held against the same rules by itself, so that a fault in it is said to be
    there.

    Parameters
    ----------
    today : the date to take, and to mark as proposed, if the file states none.

    Raises
    ------
    StoreError
        If a file cannot be read.
    SittingError
        If the document is wrong; it holds every fault found.
    """
    document = read_document(path)
    if usual is not None:
        kept = read_document(usual)
        document = with_usual_set(document, kept)
        _check_usual(kept)
    return parse(document if today is None else _with_date(document, today))


def _with_date(document: dict[str, Any], today: dt.date) -> dict[str, Any]:
    """Return the document with today's date, unless it states another."""
    noted = document.get("origins", {})
    if not isinstance(noted, Mapping):
        return document  # a fault, said when it is read
    if "date" in document and not is_still_proposed(noted.get("date"), document["date"]):
        return document
    return document | {"date": today.isoformat(), "origins": {**noted, "date": "proposed"}}


def _check_usual(usual: Mapping[str, Any]) -> None:
    """Raise what is wrong in a usual set by itself, with somebody in it."""
    try:
        parse({**usual, "people": [{"name": "somebody", "age": 30}]})
    except SittingError as error:
        faults = [f.at(f"usual set, {f.where}" if f.where else "usual set") for f in error.faults]
        raise SittingError(faults) from None


def read_document(path: Path) -> dict[str, Any]:
    """Read a TOML or JSON file as plain tables and lists."""
    text = _read_text(path)
    is_json = path.suffix.lower() == ".json"
    try:
        document = _json(text) if is_json else tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SittingError(toml_fault(text, str(error), path.name)) from None
    except ValueError as error:  # of both readers; also a number of thousands of digits
        problem = f"cannot be read as {'JSON' if is_json else 'TOML'}: {one_line(str(error))}"
        raise SittingError(Fault(problem, where=path.name)) from None
    except RecursionError:
        raise SittingError(Fault("is nested too deeply", where=path.name)) from None
    if not isinstance(document, dict):
        raise SittingError(Fault("is not a table of entries", where=path.name))
    return document


def _json(text: str) -> Any:
    return json.loads(text, object_pairs_hook=_once)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return the pairs as a table; a key that stands twice is a fault, as it is in TOML."""
    table = dict(pairs)
    if len(table) < len(pairs):
        twice = next(key for n, (key, _) in enumerate(pairs) if key in dict(pairs[:n]))
        raise ValueError(f"'{twice}' stands twice in one table")
    return table


def _read_text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise StoreError(Fault("is too large for a sitting file", where=str(path)))
        return path.read_text("utf-8-sig")  # with or without a byte order mark
    except FileNotFoundError:
        remedy = "check the name, or make one with: kinlight new"
        raise StoreError(Fault("there is no such file", where=str(path), remedy=remedy)) from None
    except UnicodeDecodeError:
        raise StoreError(Fault("is not a text file in UTF-8", where=str(path))) from None
    except IsADirectoryError:
        raise StoreError(Fault("is a folder, not a sitting file", where=str(path))) from None
    except (OSError, ValueError) as error:  # ValueError: a name no file can have
        problem = f"cannot be read: {getattr(error, 'strerror', None) or error}"
        raise StoreError(Fault(problem, where=str(path))) from None


def parse(document: Mapping[str, Any]) -> Sitting:
    """Validate a document read from a file.

    Raises
    ------
    SittingError
        With one fault for each thing wrong, all of them at once.
    """
    whole, unprintable = well_formed(dict(document))
    _refuse_later_format(whole)
    digests: dict[str, str] = {}
    if "origins" in whole:
        whole["origins"], digests = without_digests(whole["origins"])
    try:
        sitting = Sitting.model_validate(whole, by_alias=True, by_name=False)
    except ValidationError as error:
        faults = unprintable + faults_of(error, whole, Sitting)
        raise SittingError(faults + contradictions_beside(whole, error)) from None
    found = [*unprintable, *unsound_marks(sitting), *contradictions(sitting)]
    if found:
        raise SittingError(found)
    return _with_edits(sitting, digests)


def _with_edits(sitting: Sitting, digests: Mapping[str, str]) -> Sitting:
    """Return the sitting with what was edited since it was proposed counted as stated."""
    if not sitting.origins:
        return sitting
    document = _stated(sitting)
    dropped = edited(document, digests, sitting.origins)
    origins = {path: o for path, o in sitting.origins.items() if path not in dropped}
    kept: Sitting = sitting.with_stated(origins=origins) if dropped else sitting
    if kept.propose_pictures is None and keeps_some(document, origins):
        kept = kept.with_stated(propose_pictures=True)  # the others stay proposed beside it
    return kept


def _refuse_later_format(document: Mapping[str, Any]) -> None:
    version = document.get("format", FORMAT)
    if isinstance(version, int) and not isinstance(version, bool) and version > FORMAT:
        writer = document.get("written_by") or "a later kinlight"
        raise SittingError(
            Fault(
                f"the file has format {version}, written by {writer}; this is kinlight "
                f"{kinlight.__version__}, which reads format {FORMAT}",
                remedy=f"install a kinlight that reads format {version}",
            )
        )
    if isinstance(version, int) and not isinstance(version, bool) and version < 1:
        raise SittingError(Fault("is not a format", where="format", given=str(version)))


def plain(sitting: Sitting) -> dict[str, Any]:
    """Return what the sitting states as plain tables, ready for TOML or JSON."""
    stated = _stated(sitting)
    if sitting.origins:
        stated["origins"] = marked(stated, sitting.origins)
    head = {"format": FORMAT, "written_by": f"kinlight {kinlight.__version__}"}
    return head | {k: v for k, v in stated.items() if k not in head}


def _stated(sitting: Sitting) -> dict[str, Any]:
    return sitting.model_dump(exclude_unset=True, exclude_none=True, mode="json")


def toml_text(sitting: Sitting) -> str:
    """Return the sitting as TOML; comments of a file it was read from are not kept."""
    return tomli_w.dumps(plain(sitting), indent=2)


def json_text(sitting: Sitting) -> str:
    """Return the sitting as JSON."""
    return json.dumps(plain(sitting), indent=2, ensure_ascii=False) + "\n"


def save(sitting: Sitting, path: Path) -> None:
    """Write a sitting file; the old one stays until the new one is whole."""
    write_whole(path, json_text(sitting) if path.suffix.lower() == ".json" else toml_text(sitting))


def save_document(document: Mapping[str, Any], path: Path) -> None:
    """Write plain tables as `save` writes a sitting; comments are not kept."""
    if path.suffix.lower() == ".json":
        text = json.dumps(document, indent=2, ensure_ascii=False, default=str) + "\n"
    else:
        text = tomli_w.dumps(document, indent=2)
    write_whole(path, text)


def write_whole(path: Path, content: str | bytes, *, make_folder: bool = False) -> None:
    """Write a file under another name and rename it, so that it is never half there.

    A link is written through. The folder has to be there, unless `make_folder`.

    Raises
    ------
    StoreError
        If it cannot be written; a file already there is untouched.
    """
    data = content.encode() if isinstance(content, str) else content
    temporary = ""
    try:
        target = path.resolve()
        if target.exists() and not target.is_file():
            problem = "is a folder" if target.is_dir() else "is not an ordinary file"
            raise StoreError(Fault(f"{problem}, and is left alone", where=str(path)))
        if make_folder:
            target.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        umask = os.umask(0)
        os.umask(umask)
        os.chmod(temporary, 0o666 & ~umask)
        os.replace(temporary, target)
    except FileNotFoundError:
        remedy = "check the name, or make the folder first"
        raise StoreError(
            Fault("there is no such folder", where=str(path.parent), remedy=remedy)
        ) from None
    except (OSError, ValueError) as error:  # ValueError: a name no file can have
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        problem = f"cannot be written: {getattr(error, 'strerror', None) or error}"
        raise StoreError(Fault(problem, where=str(path))) from None


def schema_text() -> str:
    """Return the JSON Schema of the document."""
    schema = Sitting.model_json_schema(by_alias=True)
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
