"""What kinlight brings along is itself a valid set and two valid starters."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest
from pydantic import BaseModel
from pydantic_core import PydanticUndefined
from sittings import IDA

from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse
from kinlight.sitting.gear import Lens, Seat
from kinlight.sitting.pictures import Size
from kinlight.sitting.shipped import shipped
from kinlight.sitting.starter import demo_text, starter_text, usual_starter_text
from kinlight.sitting.strobes import Light
from kinlight.sitting.usual import with_usual_set

_EXAMPLE = re.compile(r"^#(?=[a-z\[])")
TEXTS = {"starter": starter_text(), "usual set": usual_starter_text()}


def _parsed(text: str) -> Sitting:
    """Read a starter; a usual set is given somebody to plan for."""
    document = tomllib.loads(text)
    return parse(document if "people" in document else with_usual_set({"people": [IDA]}, document))


def _blocks(text: str) -> list[tuple[int, int]]:
    """Return the first and last line of each run of commented-out lines.

    Single keys below a live table, and before any, can each be taken in by themselves.
    """
    lines = text.splitlines()
    marked = [n for n, line in enumerate(lines) if _EXAMPLE.match(line)]
    blocks: list[tuple[int, int]] = []
    for n in marked:
        headed = blocks and lines[blocks[-1][0]].startswith("#[")
        if blocks and blocks[-1][1] == n - 1 and headed and not lines[n].startswith("#["):
            blocks[-1] = (blocks[-1][0], n)
        else:
            blocks.append((n, n))
    return blocks


def _uncommented(text: str, first: int, last: int) -> str:
    lines = text.splitlines()
    lines[first : last + 1] = [_EXAMPLE.sub("", line) for line in lines[first : last + 1]]
    return "\n".join(lines)


CASES = [(name, *block) for name, text in TEXTS.items() for block in _blocks(text)]


def test_the_shipped_set_is_valid_and_stands_in_the_default_room() -> None:
    """Written out as a document, it contradicts nothing."""
    document = {
        "people": [IDA],
        "sizes": [s.text for s in shipped("sizes", Size)],
        **{
            key: [x.model_dump(exclude_unset=True) for x in shipped(key, model)]
            for key, model in (("lenses", Lens), ("lights", Light), ("seats", Seat))
        },
    }
    sitting = parse(document)
    assert [light.role for light in sitting.lights] == ["key", "fill"]
    assert sitting.lights == parse({"people": [IDA]}).lights


@pytest.mark.parametrize("text", [*TEXTS.values(), demo_text()], ids=[*TEXTS, "demo"])
def test_each_file_loads_as_it_is(text: str) -> None:
    """Before anything is filled in."""
    assert _parsed(text).people


@pytest.mark.parametrize("name", TEXTS)
def test_a_starter_loads_with_every_example_taken_in(name: str) -> None:
    """All at once: no two exclude each other."""
    last = len(TEXTS[name].splitlines()) - 1
    assert _parsed(_uncommented(TEXTS[name], 0, last)) != _parsed(TEXTS[name])


@pytest.mark.parametrize(("name", "first", "last"), CASES)
def test_each_example_can_be_taken_in_by_itself(name: str, first: int, last: int) -> None:
    """And then says something that was not said before."""
    text = _uncommented(TEXTS[name], first, last)
    assert tomllib.loads(text) != tomllib.loads(TEXTS[name])
    assert _parsed(text).people


def test_the_examples_are_many() -> None:
    """The search for them finds what it should; both files teach mostly by example."""
    assert len(CASES) > 25
    for text in TEXTS.values():
        lines = text.splitlines()
        assert sum(bool(_EXAMPLE.match(line)) for line in lines) > len(lines) / 3


def _plain_defaults(model: type[BaseModel]) -> dict[str, Any]:
    return {
        name: field.default
        for name, field in model.model_fields.items()
        if field.default not in (None, PydanticUndefined)
    }


@pytest.mark.parametrize("name", TEXTS)
def test_values_shown_for_room_camera_and_look_are_the_defaults(name: str) -> None:
    """What the comments call the value that is taken is that value."""
    last = len(TEXTS[name].splitlines()) - 1
    sitting = _parsed(_uncommented(TEXTS[name], 0, last))
    for section in ("room", "backdrop", "camera", "meter", "wishes", "preferences"):
        part = getattr(sitting, section)
        for field, default in _plain_defaults(type(part)).items():
            assert getattr(part, field) == default, f"{section}.{field}"
    if name == "starter":
        assert sitting.start == Sitting.model_fields["start"].default
    assert [s.name for s in sitting.sizes] == [s.name for s in shipped("sizes", Size)]


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_starters_are_readable(text: str) -> None:
    """Lines no longer than a narrow window, and no trailing blanks."""
    assert max(map(len, text.splitlines())) <= 100
    assert not re.search(r"[ \t]$", text, re.MULTILINE)
