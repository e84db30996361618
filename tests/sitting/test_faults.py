"""Every wrong document is answered in plain sentences, all of them at once."""

from __future__ import annotations

from typing import Any

import pytest
from sittings import IDA, KEY, NORA, sentences, with_ida, with_key

from kinlight.errors import SittingError
from kinlight.sitting.files import parse

POINT = {"id": "mark", "place": {"x": 0, "z": 1}}
KEYS_OF_ROOM = (
    "width, length, ceiling, wall_reflectance, ceiling_reflectance, floor_reflectance, "
    "mark_from_left_wall, mark_from_back_wall, ambient"
)


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (sentences(camra={}), "'camra' is not known here; did you mean 'camera'?"),
        (sentences(room={"widht": 5}), "room: 'widht' is not known here; did you mean 'width'?"),
        (
            sentences(room={"xyz": 5}),
            f"room: 'xyz' is not known here; allowed: {KEYS_OF_ROOM}",
        ),
        (
            with_key(modifier={"shape": "round"}),
            "light 'key', modifier: 'shape' is not known here; allowed: kind, width, height, "
            "depth, transmission, inner_loss, outer_loss, profile, edge, beam, grid_cells, "
            "grid_cell, grid_depth",
        ),
    ],
)
def test_an_unknown_key_is_answered_with_a_near_one(found: list[str], sentence: str) -> None:
    """Or with all there are, if none is near."""
    assert found == [sentence]


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (
            sentences(room={"width": "5 kg"}),
            "room, width: '5 kg' is not a length; allowed: a length such as 2.4, "
            '"2.4 m", "8 ft" or "5 ft 6 in"',
        ),
        (
            sentences(camera={"shutter": "125 m"}),
            "camera, shutter: '125 m' is not a time; allowed: a time such as "
            '"1/125", "2 s" or "20 min"',
        ),
        (
            with_ida(age="four"),
            "person 'Ida', age: 'four' is not an age; allowed: an age such as 4, "
            '"3 1/2" or "8 months"',
        ),
        (
            sentences(room={"ceiling": float("nan")}),
            "room, ceiling: nan is not a length; allowed: a length such as 2.4, "
            '"2.4 m", "8 ft" or "5 ft 6 in"',
        ),
        (
            sentences(camera={"iso": float("nan")}),
            "camera, iso: nan is not a number; allowed: 25 to 102400",
        ),
        (
            sentences(camera={"iso": float("inf")}),
            "camera, iso: infinity is not a number; allowed: 25 to 102400",
        ),
        (
            with_key(modifier={"width": "40 m"}),
            "light 'key', modifier, width: '40 m' is too large; allowed: 0.05 to 3.5 m",
        ),
        (with_ida(age=-3), "person 'Ida', age: -3 is too small; allowed: 0 to 115 years"),
        (
            with_key(t01="1 s"),
            "light 'key', t01: '1 s' is too large; allowed: more than 1/100000 to 1/20 s",
        ),
        (
            with_key(energy=10**400),
            "light 'key', energy: 1000000000000000000 is too large; allowed: 5 to 6400 J",
        ),
        (
            with_key(role="main"),
            "light 'key', role: 'main' is none of the words known here; "
            "allowed: key, fill, hair, backdrop",
        ),
        (
            with_key(aim="20 degrees toward the sofa"),
            "light 'key', aim, toward: 'sofa' is none of the words known here; "
            "allowed: camera, backdrop, left, right, up, down",
        ),
        (
            with_ida(skin="pink"),
            "person 'Ida', skin: 'pink' is not a tone of skin; allowed: a reflectance from "
            "0 to 1, or very dark, dark, medium, light, very light",
        ),
        (
            sentences(sizes=["20x25"]),
            'size 1: \'20x25\' is not a size; allowed: such as "20x25 cm", "8x10 in" or "A4"',
        ),
        (
            sentences(bonds=["Ida likes Tom"]),
            "bond 1: 'Ida likes Tom' is not a bond; allowed: such as "
            '"Nora is parent of Ida", partner of, sibling of',
        ),
        (
            sentences(date="30.5.2026"),
            "date: '30.5.2026' is not a date; allowed: a date from 1700 to 2200, "
            'such as "2026-05-30"',
        ),
        (
            sentences(start=10),
            'start: 10 is not a time of day; allowed: a time such as "10:30"',
        ),
        (
            sentences(preferences={"currency": "euro"}),
            "preferences, currency: 'euro' is not a currency; allowed: three capitals, as EUR",
        ),
        (with_ida(name=""), "person 1, name: is empty"),
        (
            sentences(title="x" * 201),
            "title: is too long; allowed: up to 200 characters",
        ),
        (
            sentences(title="two\nlines"),
            "title: 'two?lines' has a line break or another character that cannot be printed, "
            "shown as ?",
        ),
    ],
)
def test_a_wrong_value_is_answered_with_what_is_allowed(found: list[str], sentence: str) -> None:
    """In the unit of the field, with what was given as it was given."""
    assert found == [sentence]


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (
            sentences(people=[{"name": "Ida"}]),
            "person 'Ida': has no age; give one of age = 4 and born = \"2022-05-30\"",
        ),
        (
            with_ida(born="2022-05-30"),
            "person 'Ida': has both an age and a date of birth; "
            'give one of age = 4 and born = "2022-05-30"',
        ),
        (
            sentences(people=[{"age": 4}]),
            'person 1, name: is missing; write name = "Ida"',
        ),
        (sentences(people=[]), "people: is empty"),
        (
            sentences(lights=[{"id": "a", "role": "key"}]),
            "light 'a', place: is missing; write place = "
            '{ distance = 2, side = "left", angle = 45, height = 2 }',
        ),
        (
            sentences(lights=[{k: v for k, v in KEY.items() if k != "role"}]),
            "light 'key', role: is missing; allowed: key, fill, hair, backdrop; write role = …",
        ),
        (
            with_key(place={"angle": 45}),
            "light 'key', place: is not measured in one way; "
            "allowed: x, y and z, or distance with side, angle and height",
        ),
        (
            with_key(place={"distance": 2, "angle": 45}),
            "light 'key', place: has an angle but no side; add side = \"left\"",
        ),
        (
            with_key(place={"x": 2, "angle": 45}),
            "light 'key', place: mixes x and y with an angle or side; keep one",
        ),
        (with_key(aim={"x": 2}), "light 'key', aim: gives only one of x and y; give both"),
        (
            with_key(modifier={"grid_cell": 0.02}),
            "light 'key', modifier: has half a grid; give grid_cell and grid_depth",
        ),
        (
            with_key(cut_off=True, t05="1/900"),
            "light 'key': is cut off electronically and gives only t0.5; give t01 as well",
        ),
        (
            sentences(lenses=[{"id": "a", "shortest": 70, "longest": 24}]),
            "lens 'a': has its longest focal length below its shortest",
        ),
        (
            sentences(lenses=[{"id": "a", "shortest": 70, "widest": 8, "smallest": 4}]),
            "lens 'a': has a widest aperture, f/8, smaller than f/4",
        ),
        (
            sentences(camera={"sensor_width": 24, "sensor_height": 36}),
            "camera: has its sensor on end; give the long side as width",
        ),
    ],
)
def test_a_half_said_thing_is_asked_for(found: list[str], sentence: str) -> None:
    """What is missing, said twice or in two ways."""
    assert found == [sentence]


@pytest.mark.parametrize("reading", ["8.4", 8.4])
def test_a_bare_reading_is_asked_about_and_not_guessed(reading: object) -> None:
    """8.4 may be a full stop and four tenths, or an f-number: 8 x 2^0.2 is 9.19."""
    assert sentences(meter_points=[POINT | {"reading": reading}]) == [
        "meter point 'mark', reading: 8.4 can be read two ways: did the meter show f/8 and 4 "
        'tenths (then write "f/8 + 4/10", which is f/9.2), or the f-number 8.4 (then write '
        '"f/8 + 1/10")?'
    ]


WRONG = [None, True, "odd", "", 3.7, -1, [], [1], {}, {"odd": 1}]
FIELDS = {
    "title": [None, True, 3.7, []],
    "people": [None, True, "odd", 3.7, {}, [], ["odd"], [3], [None], [[]], [{}]],
    "bonds": [None, True, "odd", 3.7, {}, ["odd"], [3], [{}]],
    "pictures": [None, True, "odd", 3.7, {}, ["odd"], [3], [{}], [{"people": {}}]],
    "propose_pictures": ["yes", 1, []],
    "strike": [None, "odd", [3], ["odd"], {}],
    "order": [None, "odd", [3], {}],
    "breaks": [None, "odd", [3], [{}]],
    "sizes": [None, [], "odd", ["odd"], [3], {}],
    "lights": [None, "odd", [3], ["odd"], [{}]],
    "lenses": [None, [], "odd", [3], [{}]],
    "reflectors": [None, "odd", [3], [{}]],
    "seats": [None, "odd", [3], [{}]],
    "meter_points": [None, "odd", [3], [{}]],
    "origins": [None, "odd", [], {"a": 1}],
    "date": WRONG[1:],
    "start": WRONG,
    "room": [None, True, "odd", 3, []],
    "backdrop": [None, True, "odd", 3, []],
    "camera": [None, True, "odd", 3, []],
    "meter": [None, True, "odd", 3, []],
    "preferences": [None, True, "odd", 3, []],
    "wishes": [None, True, "odd", 3, []],
    "format": [None, True, "odd", 1.5, [], 0],
}


@pytest.mark.parametrize(
    ("section", "value"), [(key, value) for key, values in FIELDS.items() for value in values]
)
def test_the_wrong_type_of_everything_is_a_fault_at_its_place(section: str, value: Any) -> None:
    """Each section answers for itself; nothing is taken for something else."""
    found = sentences(**{section: value})
    assert found
    spoken = section.replace("_", " ")
    singular = {"people": "person", "lenses": "lens", "seats": "seat"}.get(spoken, spoken[:-1])
    assert found[0].startswith((spoken, singular))


MANY = {
    "camra": {},
    "people": [IDA | {"age": -3}, NORA],
    "room": {"ceiling": "high"},
}


def test_several_faults_are_all_said_at_once() -> None:
    """In the order of the document's fields, unknown keys last."""
    with pytest.raises(SittingError) as caught:
        parse(MANY)
    assert str(caught.value).splitlines() == [
        "person 'Ida', age: -3 is too small; allowed: 0 to 115 years",
        "room, ceiling: 'high' is not a length; allowed: a length such as 2.4, "
        '"2.4 m", "8 ft" or "5 ft 6 in"',
        "'camra' is not known here; did you mean 'camera'?",
    ]
