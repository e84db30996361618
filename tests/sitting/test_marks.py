"""What was edited since it was proposed counts as stated; what was not stays proposed."""

from __future__ import annotations

import copy
import datetime as dt
import functools
import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st
from sittings import IDA, KEY

from kinlight.errors import SittingError
from kinlight.plan.settle.settle import settle
from kinlight.sitting import files
from kinlight.sitting.document import Sitting
from kinlight.sitting.marks import digest
from kinlight.sitting.origins import without_proposed

NORA = {"name": "Nora", "age": 36}
FOUND = {"name": "found", "people": ["Nora", "Ida"]}
STATED: dict[str, dict[str, Any]] = {
    "proposed": {"people": [NORA, IDA], "bonds": ["Nora is parent of Ida"]},
    "stated": {
        "people": [NORA, IDA],
        "camera": {"place": {"distance": 4}},
        "pictures": [
            FOUND | {"name": "a. b", "places": [{"person": "Ida", "x": 0.2}]},
            FOUND | {"name": "a", "people": ["Ida"], "orientation": "either"},
        ],
        "lights": [KEY | {"aim": {"turn": 10}}, KEY | {"id": "x.y", "role": "fill"}],
    },
}
ENDINGS: dict[str, tuple[Callable[[Sitting], str], Callable[[str], Any], Callable[[Any], str]]] = {
    ".toml": (files.toml_text, tomllib.loads, tomli_w.dumps),
    ".json": (files.json_text, json.loads, json.dumps),
}


@functools.cache
def _settled(name: str) -> Sitting:
    return settle(files.parse(STATED[name]))


def _loaded(text: str, ending: str, folder: Path) -> Sitting:
    path = folder / f"sitting{ending}"
    path.write_text(text, "utf-8")
    return files.load(path)


@pytest.mark.parametrize("name", STATED)
@pytest.mark.parametrize("ending", ENDINGS)
def test_a_settled_file_reads_back_equal(tmp_path: Path, name: str, ending: str) -> None:
    """Every mark is there, each with eight characters that no one sees in memory."""
    once = _settled(name).with_stated(
        format=1, written_by=files.plain(_settled(name))["written_by"]
    )
    write, read, _ = ENDINGS[ending]
    text = write(once)
    assert all(len(mark) == 17 for mark in read(text)["origins"].values())
    assert _loaded(text, ending, tmp_path) == once


def _leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    return [
        leaf
        for key, v in inner
        for leaf in (_leaves(v, (*path, key)) if isinstance(v, dict | list) else [(*path, key)])
    ]


def _at(document: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        document = document[step]
    return document


def _other(path: tuple[Any, ...], old: Any) -> Any:
    """Return another value that may stand there; None for what holds the document together."""
    words = {"orientation": {"level": "upright", "upright": "level"}}
    if path[-1] in words:
        return words[path[-1]][old]
    if path[-1] == "power":
        return "1/16 +0.3" if old != "1/16 +0.3" else "1/8"
    if path[-1] == "focus_on":
        return {"Nora": "Ida", "Ida": "Nora"}[old]
    if path[-1] in ("posture", "held_by", "seat", "turned"):
        return None
    if path[-1] == "f_number":
        return 9 if old != 9 else 10
    if path[-1] == "must":
        return not old
    return old + 0.01 if isinstance(old, float) else None


def _changes(name: str) -> list[tuple[tuple[Any, ...], Any]]:
    """Return each proposed number or word of a settled sitting that can be edited, with another."""
    document, stated = files.plain(_settled(name)), files.plain(files.parse(STATED[name]))
    before = [(path[1:], _at(stated, path)) for path in _leaves(stated)]
    return [
        (path, new)
        for path in _leaves(document)
        if path[0] in ("pictures", "camera", "lights")
        and (path[1:], _at(document, path)) not in before
        and (new := _other(path, _at(document, path))) is not None
    ]


CASES = [(name, path, new) for name in STATED for path, new in _changes(name)]


def test_the_cases_cover_each_kind_of_proposed_value() -> None:
    """Lest the next test edits little."""
    last = {path[-1] for _, path, _ in CASES}
    assert {"x", "y", "z", "height", "power", "aim_height", "f_number", "focus_on"} <= last
    assert {"focal_length", "orientation", "must", "value"} <= last


@given(st.sampled_from(CASES), st.sampled_from(sorted(ENDINGS)))
@settings(max_examples=40)
def test_an_edited_value_is_stated_and_kept(
    case: tuple[str, tuple[Any, ...], Any], ending: str
) -> None:
    """Whichever it is, in TOML and in JSON; settling anew leaves it as it was written."""
    name, path, new = case
    write, read, rewrite = ENDINGS[ending]
    document = copy.deepcopy(read(write(_settled(name))))
    _at(document, path[:-1])[path[-1]] = new
    loaded = files.parse(read(rewrite(document)))
    blank = files.plain(without_proposed(loaded))
    section, index, rest = path[0], path[1], path[2:]
    if section == "camera":
        assert _at(blank, path) == new
        assert _at(files.plain(settle(loaded)), path) == new
        return
    called = document[section][index].get("name") or document[section][index]["id"]
    settled = files.plain(settle(loaded))
    entry = next(e for e in settled[section] if called in (e.get("name"), e.get("id")))
    if rest[0] == "places":
        person = document[section][index]["places"][rest[1]]["person"]
        spot = next(s for s in entry["places"] if s["person"] == person)
        assert spot[rest[2]] == new
    else:
        assert _at(entry, rest) == new


def _edited_text(old: str, new: str, *, name: str = "proposed") -> Sitting:
    text = files.toml_text(_settled(name))
    assert text.count(old) == 1, text
    return files.parse(tomllib.loads(text.replace(old, new)))


def test_an_edit_of_the_text_is_kept_and_all_else_stays_proposed() -> None:
    """As somebody does it, with a unit of their own."""
    f_number = _settled("proposed").camera.f_number
    loaded = _edited_text(f"f_number = {f_number}", 'f_number = "f/9"')
    assert "camera.f_number" not in loaded.origins
    assert loaded.origins.keys() == _settled("proposed").origins.keys() - {"camera.f_number"}
    assert settle(loaded).camera.f_number == 9


def test_the_same_value_in_other_words_is_no_edit() -> None:
    """Written with a unit, it stays proposed."""
    height = _settled("proposed").camera.aim_height_m
    loaded = _edited_text(f"aim_height = {height}", f'aim_height = "{height} m"')
    assert loaded.origins == _settled("proposed").origins


def test_an_edited_order_is_kept() -> None:
    """It is a list at the top of the file."""
    once = _settled("proposed")
    document = files.plain(once)
    document["order"] = document["order"][::-1]
    assert list(settle(files.parse(document)).order) == list(once.order[::-1])


def test_editing_one_proposed_picture_leaves_the_others_proposed() -> None:
    """They are not taken back because one is now stated."""
    once = _settled("proposed")
    document = files.plain(once)
    document["pictures"][0]["value"] += 1
    loaded = files.parse(document)
    key = once.pictures[0].key
    assert f"pictures.{key}" not in loaded.origins
    assert loaded.origins[f"pictures.{once.pictures[1].key}"] == "proposed"
    again = settle(loaded)
    assert {p.key for p in again.pictures} == {p.key for p in once.pictures}


def test_a_proposed_value_taken_out_is_proposed_anew() -> None:
    """Its mark goes with it."""
    document = files.plain(_settled("proposed"))
    del document["camera"]["place"]
    loaded = files.parse(document)
    assert "camera.place" not in loaded.origins
    assert settle(loaded) == _settled("proposed").with_stated(
        format=1, written_by=document["written_by"]
    )


def test_a_name_with_a_dot_is_not_taken_for_a_part_of_another() -> None:
    """An edit of the picture "a.b" leaves the picture "a" proposed."""
    pictures = [{"people": ["Ida"], "name": n, "value": 2.0} for n in ("a", "a.b", "c")]
    origins = {f"pictures.{n}": "proposed" for n in ("a", "a.b")}
    document = files.plain(files.parse({"people": [IDA], "pictures": pictures, "origins": origins}))
    document["pictures"][1]["value"] = 3.0
    assert files.parse(document).origins == {"pictures.a": "proposed"}


def test_a_field_kept_by_hand_keeps_its_picture() -> None:
    """Its line under origins was deleted: it is stated, and so is the picture it belongs to."""
    document = files.plain(_settled("proposed"))
    key = document["pictures"][0]["name"]
    del document["origins"][f"pictures.{key}.places"]
    loaded = files.parse(document)
    assert f"pictures.{key}" not in loaded.origins
    assert settle(loaded).pictures[0].places == loaded.pictures[0].places


def test_a_mark_without_a_digest_stays() -> None:
    """Written by hand, it says that the value may change."""
    document = {
        "people": [IDA],
        "camera": {"f_number": 8},
        "origins": {"camera.f_number": "proposed"},
    }
    assert files.parse(document).origins == {"camera.f_number": "proposed"}


def test_a_mark_that_is_none_is_refused() -> None:
    """A digest has eight characters."""
    with pytest.raises(
        SittingError, match="origins, order: 'proposed 12' is none of the words known"
    ):
        files.parse({"people": [IDA], "origins": {"order": "proposed 12"}})


def test_numbers_count_by_value_in_a_digest() -> None:
    """The order of a table's keys does not count either; that of a list does."""
    assert digest({"a": 8, "b": [1.0]}) == digest({"b": [1], "a": 8.0})
    assert digest([1, 2]) != digest([2, 1])
    assert digest(True) != digest(1)


BORN = 'people = [{ name = "Ida", born = "2022-05-30" }]\n'
TODAY, LATER = dt.date(2026, 5, 30), dt.date(2026, 6, 30)


def test_a_date_left_out_is_today_until_one_is_stated(tmp_path: Path) -> None:
    """Marked as proposed, it moves with the day the file is read; settling keeps it."""
    path = tmp_path / "ida.toml"
    path.write_text(BORN)
    loaded = files.load(path, today=TODAY)
    assert (loaded.date, loaded.origins) == (TODAY, {"date": "proposed"})
    assert without_proposed(loaded).date == TODAY
    files.save(loaded, path)
    assert files.load(path, today=LATER).date == LATER
    path.write_text(path.read_text().replace("2026-05-30", "2026-05-31"))
    again = files.load(path, today=LATER)
    assert (again.date, again.origins) == (dt.date(2026, 5, 31), {})


def test_a_date_of_birth_needs_a_date(tmp_path: Path) -> None:
    """An age needs none."""
    path = tmp_path / "ida.toml"
    path.write_text(BORN)
    with pytest.raises(SittingError) as caught:
        files.load(path)
    assert str(caught.value) == (
        "person 'Ida': has a date of birth, but the sitting has no date; "
        'write date = "2026-05-30" or such in the sitting, or give an age'
    )
    assert files.parse({"people": [IDA]}).date is None
