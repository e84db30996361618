"""Sitting files: read whole or refused in a sentence, written whole or not at all."""

from __future__ import annotations

import json
import os
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from pydantic import BaseModel
from sittings import IDA, documents

import kinlight
from kinlight.errors import KinlightError, SittingError, StoreError
from kinlight.sitting import files
from kinlight.sitting.document import FORMAT, Sitting

WRITER = f"kinlight {kinlight.__version__}"


def _stated(value: Any) -> Any:
    """Return what is stated in a document, part by part, with values to the last bit."""
    if isinstance(value, BaseModel):
        return {name: _stated(getattr(value, name)) for name in sorted(value.model_fields_set)}
    if isinstance(value, tuple):
        return [_stated(v) for v in value]
    return repr(value)


@given(documents())
@settings(max_examples=60)
def test_a_written_sitting_reads_back_the_same(document: dict[str, Any]) -> None:
    """In TOML and in JSON, to the last bit, with the same things stated and not one more."""
    sitting = files.parse({"format": FORMAT, "written_by": WRITER, **document})
    for text, read in (
        (files.toml_text(sitting), tomllib.loads),
        (files.json_text(sitting), json.loads),
    ):
        again = files.parse(read(text))
        assert again == sitting
        assert _stated(again) == _stated(sitting)


@given(documents())
@settings(max_examples=20)
def test_writing_adds_nothing_but_format_and_writer(document: dict[str, Any]) -> None:
    """A document that said neither differs by them alone."""
    sitting = files.parse(document)
    again = files.parse(tomllib.loads(files.toml_text(sitting)))
    assert again == sitting.with_stated(format=FORMAT, written_by=WRITER)


@pytest.mark.parametrize("name", ["ida.toml", "ida.json", "IDA.JSON", "ida"])
def test_a_file_is_saved_and_loaded(tmp_path: Path, name: str) -> None:
    """By its ending, TOML unless it says JSON; the folder is made."""
    path = tmp_path / "sittings" / name
    path.parent.mkdir()
    sitting = files.parse({"people": [IDA], "title": "Ida, vier år"})
    files.save(sitting, path)
    assert files.load(path).title == "Ida, vier år"
    assert path.read_text("utf-8").startswith("{") == name.lower().endswith(".json")
    assert [p.name for p in path.parent.iterdir()] == [name]


def test_a_later_format_is_refused_with_the_version_it_needs() -> None:
    """Before anything else is said about it, since a later format may hold anything."""
    version = FORMAT + 1
    with pytest.raises(SittingError) as caught:
        files.parse({"format": version, "written_by": "kinlight 9.1", "robots": 3})
    assert str(caught.value) == (
        f"the file has format {version}, written by kinlight 9.1; this is {WRITER}, which reads "
        f"format {FORMAT}; install a kinlight that reads format {version}"
    )


def _refusal(path: Path) -> str:
    with pytest.raises((SittingError, StoreError)) as caught:
        files.load(path)
    assert len(caught.value.faults) == 1
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_missing_file_is_said_to_be_missing(tmp_path: Path) -> None:
    """With a way to make one."""
    path = tmp_path / "none.toml"
    assert _refusal(path) == (
        f"{path}: there is no such file; check the name, or make one with: kinlight new"
    )


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    """It is called one."""
    assert _refusal(tmp_path) == f"{tmp_path}: is a folder, not a sitting file"


def test_a_name_no_file_can_have_is_refused(tmp_path: Path) -> None:
    """With a zero in it, or far too long."""
    assert "cannot be read" in _refusal(tmp_path / "a\0b")
    assert "cannot be read" in _refusal(tmp_path / ("a" * 5000))


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("a.toml", b"\xff\xfe\x00", "{path}: is not a text file in UTF-8"),
        ("a.toml", b"x" * 4_000_001, "{path}: is too large for a sitting file"),
        ("a.json", b"[1, 2]", "a.json: is not a table of entries"),
        ("a.json", b"3", "a.json: is not a table of entries"),
        (
            "a.json",
            b'{"title": "a", "title": "b"}',
            "a.json: cannot be read as JSON: 'title' stands twice in one table",
        ),
        ("a.json", b"[" * 100_000, "a.json: is nested too deeply"),
        ("a.json", b'{"room":' * 500 + b"1" + b"}" * 500, "room: is nested too deeply"),
        ("a.toml", b"room = " + b"[" * 5000 + b"]" * 5000, "a.toml: is nested too deeply"),
    ],
)
def test_what_is_no_sitting_file_is_said_to_be_none(
    tmp_path: Path, name: str, content: bytes, sentence: str
) -> None:
    """Not text, too large, no table, or without end."""
    path = tmp_path / name
    path.write_bytes(content)
    assert _refusal(path) == sentence.format(path=path)


@pytest.mark.parametrize(
    ("name", "content", "beginning"),
    [
        ("a.toml", b"", "people: is missing"),
        ("a.json", b"", "a.json: cannot be read as JSON: Expecting value"),
        ("a.json", b"{", "a.json: cannot be read as JSON: "),
        ("a.json", b'{"format": ' + b"9" * 5000 + b"}", "a.json: cannot be read as JSON: "),
        ("a.toml", b"people = [", "a.toml: cannot be read as TOML: "),
        ("a.toml", b"title = 1\ntitle = 2", "a.toml: cannot be read as TOML: "),
        ("a.toml", b"date = 2026-02-30", "a.toml: cannot be read as TOML: "),
        ("a.toml", b"format = " + b"9" * 5000, "a.toml: cannot be read as TOML: "),
        ("a.toml", b"format = 0x" + b"f" * 5000, "the file has format 1000000000000000000"),
        ("a.toml", b'title = "\\u0000"\npeople = [{name="a",age=4}]', "title: '?' has a line"),
    ],
)
def test_a_broken_file_is_answered_with_where_it_breaks(
    tmp_path: Path, name: str, content: bytes, beginning: str
) -> None:
    """In one line, the reader's own words after ours."""
    path = tmp_path / name
    path.write_bytes(content)
    assert _refusal(path).startswith(beginning)


def test_a_json_text_may_hold_no_half_characters() -> None:
    """A lone surrogate cannot be written to any file."""
    document = json.loads('{"title": "\\ud800", "people": [{"name": "\\udfff", "age": 4}]}')
    with pytest.raises(SittingError) as caught:
        files.parse(document)
    assert [f.where for f in caught.value.faults] == ["title", "people, 1, name"]
    str(caught.value).encode()


def test_a_failed_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And no other beside it; what went wrong is said."""
    path = tmp_path / "ida.toml"
    path.write_text("old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    for step in ("fsync", "replace"):
        with monkeypatch.context() as patched:
            patched.setattr(os, step, full)
            with pytest.raises(StoreError) as caught:
                files.write_whole(path, "new")
        assert str(caught.value) == f"{path}: cannot be written: No space left on device"
        assert path.read_text() == "old"
        assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_a_file_cannot_be_written_into(tmp_path: Path) -> None:
    """It stays what it was."""
    (tmp_path / "file").write_text("kept")
    with pytest.raises(StoreError, match="cannot be written"):
        files.write_whole(tmp_path / "file" / "ida.toml", "new")
    assert (tmp_path / "file").read_text() == "kept"


def test_a_written_file_has_the_rights_of_any_other(tmp_path: Path) -> None:
    """Not those of the temporary file it was."""
    (tmp_path / "plain").write_text("")
    files.write_whole(tmp_path / "ours", b"bytes")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "plain").stat().st_mode
    assert (tmp_path / "ours").read_bytes() == b"bytes"


def test_the_schema_names_every_section_by_its_key() -> None:
    """And every one of them is described."""
    schema = json.loads(files.schema_text())
    assert schema["required"] == ["people"]
    assert set(schema["properties"]) == set(Sitting.model_fields)
    assert "distance" in schema["$defs"]["Place"]["properties"]
    assert schema["additionalProperties"] is False


def test_keys_in_a_file_are_the_documents_words_alone() -> None:
    """The names in code, with their units, are none."""
    with pytest.raises(KinlightError, match="'width_m' is not known here; did you mean 'width'"):
        files.parse({"people": [IDA], "room": {"width_m": 5}})
