"""docs/reference/sitting-file.md is what its script writes, and says everything there is to say."""

from __future__ import annotations

import importlib.util
import re
import tomllib
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from kinlight.sitting.base import document_key
from kinlight.sitting.files import parse
from kinlight.sitting.place import Place

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "reference" / "sitting-file.md").read_text("utf-8")


def _script() -> ModuleType:
    path = ROOT / "tools" / "document_reference.py"
    spec = importlib.util.spec_from_file_location("document_reference", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


SCRIPT = _script()
PARTS = SCRIPT.sections()
BY_HAND, WRITTEN = PAGE.split(SCRIPT.MARK)


def _tables() -> dict[str, dict[str, list[str]]]:
    """Return the tables of the page: section, key, cells."""
    tables: dict[str, dict[str, list[str]]] = {}
    for section in WRITTEN.split("\n## ")[1:]:
        title, *lines = section.splitlines()
        rows = [line.strip("|").split(" | ") for line in lines if line.startswith("| `")]
        tables[title] = {row[0].strip(" `"): [cell.strip() for cell in row[1:]] for row in rows}
    return tables


TABLES = _tables()


def test_the_page_is_what_the_script_writes() -> None:
    """If this fails: python tools/document_reference.py."""
    assert SCRIPT.page(PAGE) == PAGE


def test_a_page_without_the_mark_is_not_written_over() -> None:
    """What was written by hand is never lost."""
    with pytest.raises(SystemExit, match="has no line"):
        SCRIPT.page("# A page\n")


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.__name__)
def test_every_field_is_in_the_page_with_what_it_means(part: Any) -> None:
    """One section for each part of the document, one row for each of its keys."""
    heading = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", part.__name__).capitalize()
    table = TABLES[heading]
    assert list(table) == [document_key(name) for name in part.model_fields]
    for key, (meaning, given_as, _, _) in table.items():
        assert len(meaning) > 3, key
        assert given_as, key


def test_every_part_is_found() -> None:
    """Those that are known to be there, and as many sections as parts."""
    names = {part.__name__ for part in PARTS}
    assert {"Sitting", "Person", "Bond", "Picture", "Spot", "Light", "Place", "PowerDial"} <= names
    assert len(TABLES) == len(PARTS)


@pytest.mark.parametrize(
    ("section", "key", "cells"),
    [  # read off the classes by hand: how it is given, its default, its range
        ("Modifier", "width", ["m", "", "0.05 to 3.5 m"]),
        ("Person", "age", ["years", "", "0 to 115 years"]),
        ("Person", "born", ["date", "", ""]),
        ("Person", "name", ["text", "needed", "1 to 60 characters"]),
        ("Person", "skin", ["number or word", "medium", ""]),
        ("Person", "spectacles", ["true or false", "false", ""]),
        ("Camera", "shutter", ["s", "1/125", "1/10000 to 30 s"]),
        ("Camera", "f_number", ["f-number", "", "0.7 to 90"]),
        ("Camera", "pixels_wide", ["whole number", "6000", "500 to 50000"]),
        ("Light", "place", ["[place](#place)", "needed", ""]),
        ("Light", "power", ["power setting", "", ""]),
        ("Light", "role", ["word", "needed", "key, fill, hair, backdrop"]),
        ("Meter point", "reading", ["meter reading", "", ""]),
        ("Sitting", "start", ["time of day", "10:00", ""]),
        ("Sitting", "people", ["list of [person](#person)", "needed", "1 to 60 entries"]),
        ("Sitting", "lights", ["list of [light](#light)", "the shipped set", ""]),
        ("Picture", "frames", ["whole number", "", "1 to 500"]),
    ],
)
def test_a_row_says_how_a_key_is_given(section: str, key: str, cells: list[str]) -> None:
    """Unit or kind, default, and what is allowed."""
    assert TABLES[section][key][1:] == [c if c else "" for c in cells]


def test_links_lead_to_sections() -> None:
    """Every kind of entry is described where the link says."""
    targets = set(re.findall(r"\(#([\w-]+)\)", WRITTEN))
    assert targets
    assert targets <= {title.lower().replace(" ", "-") for title in TABLES}


def test_the_examples_of_the_introduction_are_right() -> None:
    """The whole sitting is one; the two places are one place, to the centimetre; aims are aims."""
    whole, places, aims = re.findall(r"```toml\n(.*?)```", BY_HAND, re.DOTALL)
    assert parse(tomllib.loads(whole)).people[0].name == "Ida"
    axes, tape = (Place.model_validate(tomllib.loads(x)["place"]) for x in places.splitlines())
    assert axes.xyz_m() == pytest.approx(tape.xyz_m(), abs=0.005)
    light = {"id": "key", "role": "key", "place": {"distance": 2, "height": 2}}
    for line in aims.splitlines():
        aim = tomllib.loads(line)["aim"]
        assert parse({"people": [{"name": "Ida", "age": 4}], "lights": [light | {"aim": aim}]})


PERSON = '[[people]]\nname = "Ida"\n'
IDA, NORA = PERSON + "age = 4\n", '[[people]]\nname = "Nora"\nage = 36\n'
POINT = '[[meter_points]]\nid = "mark"\nplace = { x = 0, z = 1 }\n'
LIGHT = '[[lights]]\nid = "key"\nrole = "key"\nplace = { x = 0, z = 1 }\n'
WAYS = {
    "length": IDA + '[[reflectors]]\nid = "a"\nplace = { x = 0, z = 1, y = {} }',
    "small length, of sensor or lens": IDA + '[[lenses]]\nid = "a"\nshortest = {}',
    "shutter, flash and recycle time": IDA + "[camera]\nshutter = {}",
    "span of time": PERSON + "age = 4\npatience = {}",
    "time of day": PERSON + "age = 4\narrives = {}",
    "date": "date = {}\n" + IDA,
    "age": PERSON + "age = {}",
    "aperture": IDA + "[camera]\nf_number = {}",
    "power": IDA + LIGHT + "power = {}",
    "meter reading": IDA + POINT + "reading = {}",
    "print size": "sizes = [{}]\n" + IDA,
    "tone of skin, hair, clothes": PERSON + "age = 4\nskin = {}",
    "reflectance, transmission": IDA + LIGHT + "modifier = { transmission = {} }",
    "bond": "bonds = [{}]\n" + IDA + NORA,
}


@pytest.mark.parametrize(
    ("what", "example"),
    [
        (what, example)
        for what, written in re.findall(r"^\| ([\w ,]+?) \| (`.+?) \|", BY_HAND, re.MULTILINE)
        for example in re.findall(r"`([^`]+)`", written)
    ],
)
def test_what_is_written_as_shown_is_read(what: str, example: str) -> None:
    """Each way of writing in the table of the introduction, in a key of its kind."""
    room = "[room]\nlength = 20\n[backdrop]\ndistance = 9\n"
    assert parse(tomllib.loads(WAYS[what].replace("{}", example) + "\n" + room))
