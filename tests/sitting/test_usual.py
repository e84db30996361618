"""The usual set fills what a sitting leaves blank, and it is known afterwards what it filled."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from sittings import IDA, KEY

from kinlight.errors import SittingError
from kinlight.sitting import files
from kinlight.sitting.usual import with_usual_set

USUAL = {
    "format": 1,
    "written_by": "kinlight 0.1.0",
    "room": {"width": 6, "length": 9},
    "camera": {"iso": 200},
    "lights": [KEY],
    "sizes": ["8x10 in"],
}


def test_tables_are_filled_key_by_key_and_lists_whole() -> None:
    """What the sitting says stays; what was taken is noted with its path."""
    sitting = {"people": [IDA], "room": {"width": 5}, "sizes": ["20x25 cm"]}
    assert with_usual_set(sitting, USUAL) == {
        "people": [IDA],
        "room": {"width": 5, "length": 9},
        "sizes": ["20x25 cm"],
        "camera": {"iso": 200},
        "lights": [KEY],
        "origins": {
            "room.length": "usual set",
            "camera.iso": "usual set",
            "lights": "usual set",
        },
    }
    assert sitting == {"people": [IDA], "room": {"width": 5}, "sizes": ["20x25 cm"]}


def test_origins_already_noted_are_kept() -> None:
    """A proposed value stays proposed."""
    sitting = {
        "people": [IDA],
        "camera": {"f_number": 8},
        "origins": {"camera.f_number": "proposed"},
    }
    origins = with_usual_set(sitting, {"camera": {"iso": 200}})["origins"]
    assert origins == {"camera.f_number": "proposed", "camera.iso": "usual set"}


def test_an_empty_usual_set_changes_nothing() -> None:
    """Not even the list of origins."""
    assert with_usual_set({"people": [IDA]}, {"format": 1}) == {"people": [IDA]}


@pytest.mark.parametrize("section", ["odd", 3, [1], None])
def test_a_faulty_table_is_left_to_be_answered_when_read(section: Any) -> None:
    """The usual set hides no fault of the sitting."""
    filled = with_usual_set({"people": [IDA], "room": section, "origins": section}, USUAL)
    assert filled["room"] == section
    with pytest.raises(SittingError, match="room"):
        files.parse(filled)


def test_people_and_pictures_do_not_belong_in_it() -> None:
    """They are said to belong in a sitting."""
    with pytest.raises(SittingError) as caught:
        with_usual_set({"people": [IDA]}, {"people": [IDA], "title": "x"})
    assert str(caught.value) == "usual set: holds people, title; keep those in a sitting"


def _load(folder: Path, usual: str) -> files.Sitting:
    (folder / "sitting.toml").write_text('people = [{ name = "Ida", age = 4 }]')
    (folder / "usual.toml").write_text(usual)
    return files.load(folder / "sitting.toml", folder / "usual.toml")


def test_a_sitting_is_loaded_with_its_usual_set(tmp_path: Path) -> None:
    """What was taken counts as stated, with its origin."""
    sitting = _load(tmp_path, "[room]\nwidth = 6.5\n")
    assert sitting.room.width_m == 6.5
    assert sitting.room.states("width_m")
    assert not sitting.room.states("length_m")
    assert sitting.origins == {"room.width": "usual set"}


@pytest.mark.parametrize(
    ("usual", "sentence"),
    [
        ("[room]\nwidht = 6", "usual set, room: 'widht' is not known here; did you mean 'width'?"),
        ("camra = 6", "usual set: 'camra' is not known here; did you mean 'camera'?"),
        (
            "format = 2",
            "usual set: the file has format 2, written by a later kinlight; this is kinlight "
            "0.1.0, which reads format 1; install a kinlight that reads format 2",
        ),
        ("[camera]\nlens = 'x'", "usual set, camera: there is no lens 'x'; allowed: zoom"),
    ],
)
def test_a_fault_in_the_usual_set_is_said_to_be_there(
    tmp_path: Path, usual: str, sentence: str
) -> None:
    """So that it is looked for in the right file."""
    with pytest.raises(SittingError) as caught:
        _load(tmp_path, usual)
    assert str(caught.value) == sentence
