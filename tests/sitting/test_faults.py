"""Every wrong document is answered in plain sentences, all of them at once."""

from __future__ import annotations

from typing import Any

import pytest
from sittings import IDA, KEY, NORA, TOM, sentences, with_ida, with_key

from kinlight.errors import SittingError
from kinlight.sitting.files import parse

POINT = {"id": "mark", "place": {"x": 0, "z": 1}}
LENSES = [{"id": "85", "shortest": 85}, {"id": "zoom", "shortest": 24, "longest": 70}]
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
            "transmission, profile, grid_cell, grid_depth",
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
            'size 1: \'20x25\' is not a size; allowed: such as "20x25 cm" or "8x10 in"',
        ),
        (
            sentences(bonds=["Ida likes Tom"]),
            "bond 1: 'Ida likes Tom' is not a bond; allowed: such as "
            '"Nora is parent of Ida", partner of, sibling of',
        ),
        (
            sentences(date="30.5.2026"),
            "date: '30.5.2026' is not a date; allowed: a date such as \"2026-05-30\"",
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


PLACED = {"people": ["Ida", "Nora"], "name": "two"}


def _two(*places: dict[str, Any]) -> list[str]:
    return sentences(people=[IDA, NORA], pictures=[PLACED | {"places": places}])


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (
            sentences(people=[IDA, IDA]),
            "2 people are called 'Ida'; give each an id of its own",
        ),
        (sentences(lights=[KEY, KEY]), "2 lights are called 'key'; give each an id of its own"),
        (
            sentences(date="2026-05-30", people=[{"name": "Ida", "born": "2026-06-01"}]),
            "person 'Ida': date of birth 2026-06-01 is after the sitting on 2026-05-30; "
            "mend one of the dates",
        ),
        (
            sentences(date="2026-05-30", people=[{"name": "Ida", "born": "1826-05-30"}]),
            "person 'Ida': date of birth 1826-05-30 makes them 200 years old; "
            "allowed: up to 115 years",
        ),
        (
            with_key(place={"distance": 2, "height": 3.4}),  # half of 0.9 m above 3.4 m is 3.85 m
            "light 'key': height 3.40 m puts its top at 3.85 m, above the ceiling (3.00 m); "
            "lower it to 2.50 m or less to leave room for the head",
        ),
        (
            sentences(
                lights=[KEY | {"place": {"distance": 2, "height": "11 ft"}}],
                preferences={"units": "feet"},
                room={"ceiling": "10 ft"},
            ),
            # 11 ft and half of 0.9 m (1 ft 6 in) are 12 ft 6 in; 10 ft - 1 ft 6 in - 2 in
            "light 'key': height 11 ft puts its top at 12 ft 6 in, above the ceiling (10 ft); "
            "lower it to 8 ft 4 in or less to leave room for the head",
        ),
        (
            # the room is 8 m long, its back wall 1.8 + 0.3 = 2.1 m behind the mark: 5.9 m before
            sentences(camera={"place": {"distance": 9, "height": 1.4}}),
            "camera: is 3.10 m beyond the wall behind the camera; move it, or mend the room's "
            "size or the mark's place in it",
        ),
        (
            with_key(place={"x": -3, "z": 1}),
            "light 'key': is 50 cm beyond the left wall; move it, or mend the room's size or "
            "the mark's place in it",
        ),
        (
            sentences(camera={"place": {"distance": 1, "angle": 180}}),
            "camera: stands behind the mark; allowed: a place before the mark (y below 0)",
        ),
        (
            sentences(room={"width": 2}, lights=[]),
            "backdrop: is wider than the room",
        ),
        (
            sentences(backdrop={"height": 3.5}),
            "backdrop: top at 3.50 m is above the ceiling, 3.00 m",
        ),
        (
            sentences(room={"mark_from_back_wall": 1}),
            "backdrop: stands 1.80 m behind the mark, beyond the wall at 1.00 m",
        ),
        (
            sentences(room={"mark_from_left_wall": 6}, lights=[]),
            "room: the mark is outside the room; mend the mark's distances",
        ),
        (
            sentences(bonds=["Nobu is parent of Ida"]),
            "bond 'Nobu is parent of Ida': nobody here is called 'Nobu'; allowed: Ida",
        ),
        (
            sentences(bonds=["Ida is sibling of Ida"]),
            "bond 'Ida is sibling of Ida': ties a person to themselves",
        ),
        (
            sentences(people=[IDA, TOM], bonds=["Tom is parent of Ida"]),
            "bond 'Tom is parent of Ida': Tom is not at least 10 years older than Ida; "
            "mend an age, or turn the bond round",
        ),
        (
            with_key(power="1/4096"),
            "light 'key', power: '1/4096' is beyond this strobe's range; allowed: 1/32 to 1/1",
        ),
        (
            with_key(power=12, dial={"shows": "numbers", "lowest": 4}),
            "light 'key', power: 12.0 is beyond this strobe's range; allowed: 4.0 to 10.0",
        ),
        (
            with_key(aim="Tom"),
            "light 'key': cannot point at 'Tom'; allowed: the mark, a person, or such as "
            '"20 degrees toward the camera"',
        ),
        (
            sentences(meter_points=[POINT | {"facing": "hair"}]),
            "meter point 'mark': cannot face 'hair'; allowed: camera, backdrop, up, fill, key",
        ),
        (
            sentences(meter_points=[POINT | {"lights": ["hair"]}]),
            "meter point 'mark': there is no light 'hair'",
        ),
        (sentences(camera={"lens": "x"}), "camera: there is no lens 'x'; allowed: zoom"),
        (
            sentences(camera={"focus_on": "Tom"}),
            "camera, focus_on: nobody here is called 'Tom'; allowed: Ida",
        ),
        (
            sentences(camera={"f_number": "f/64"}, pictures=[{"people": ["Ida"]}]),
            "camera: lens 'zoom' has no f/64; allowed: f/2.8 to f/22",
        ),
        (
            sentences(pictures=[{"people": ["Tom"], "name": "alone"}]),
            "picture 'alone': nobody here is called 'Tom'; allowed: Ida",
        ),
        (
            sentences(pictures=[{"people": ["Ida", "Ida"], "name": "twice"}]),
            "picture 'twice': Ida is in it 2 times",
        ),
        (
            sentences(lenses=LENSES, pictures=[{"people": ["Ida"], "focal_length": 50}]),
            "picture 'Ida': lens '85' has no focal length of 50 mm; allowed: 85 mm",
        ),
        (
            sentences(pictures=[{"people": ["Ida"], "focal_length": 85}]),
            "picture 'Ida': lens 'zoom' has no focal length of 85 mm; allowed: 24 to 70 mm",
        ),
        (
            _two({"person": "Ida", "posture": "hip"}, {"person": "Nora"}),
            "picture 'two', places: Ida is on a hip but nobody holds them; "
            "name someone with a place in this picture in held_by",
        ),
        (
            _two({"person": "Ida", "held_by": "Nora"}, {"person": "Nora"}),
            "picture 'two', places: Ida is held by Nora but standing; "
            'write posture = "hip" or posture = "lap", or leave held_by out',
        ),
        (
            _two({"person": "Nora"}, {"person": "Nora"}),
            "picture 'two', places: Nora has 2 places",
        ),
        (
            _two({"person": "Ida", "y": 2}),
            "picture 'two': Ida is behind the backdrop",
        ),
        (
            sentences(order=["all"]),
            "order: there is no picture or break 'all'",
        ),
        (
            sentences(order=["wait a bit"]),
            "order: there is no picture or break 'wait a bit'; a wait is written \"wait 10 min\"",
        ),
        (
            sentences(breaks=[{"id": "feed", "people": ["Tom"]}]),
            "break 'feed': nobody here is called 'Tom'; allowed: Ida",
        ),
        (
            with_ida(arrives="11:00", leaves="10:30"),
            "person 'Ida': leaves at 10:30, before arriving at 11:00",
        ),
        (
            with_ida(leaves="9:30"),
            "person 'Ida': leaves at 09:30, before the sitting starts at 10:00",
        ),
    ],
)
def test_a_contradiction_is_said_in_one_sentence(found: list[str], sentence: str) -> None:
    """Where it is, what it is, and how to mend it."""
    assert found == [sentence]


def test_a_cycle_of_parents_is_found() -> None:
    """Whatever the ages, the circle is named once, at one of its people."""
    bonds = ["Nora is parent of Ida", "Ida is parent of Tom", "Tom is parent of Nora"]
    found = sentences(people=[IDA, NORA, TOM], bonds=bonds)
    assert "bonds: Ida would be their own ancestor; turn one round" in found
    assert len([s for s in found if "ancestor" in s]) == 1


def test_a_wait_may_be_numbered() -> None:
    """Two waits of one length are told apart by a number."""
    assert sentences(order=["wait 10 min", "wait 10 min (2)"]) == []


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
    "date": WRONG,
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


def test_contradictions_are_said_beside_faults_of_single_fields() -> None:
    """What the faulty parts cannot change is said with them."""
    found = sentences(
        people=[IDA | {"age": -3}, NORA, NORA],
        bonds=["Nora is parent of Ida", "Nobu is partner of Nora", "odd"],
        lights=[KEY | {"role": "main"}, KEY | {"id": "high", "place": {"x": 0, "z": 2.9}}],
        meter_points=[POINT | {"facing": "key"}, {"id": "b", "place": {"x": 0}, "facing": "moon"}],
        camera={"iso": "fast"},
    )
    assert found == [
        "person 'Ida', age: -3 is too small; allowed: 0 to 115 years",
        "bond 3: 'odd' is not a bond; allowed: such as \"Nora is parent of Ida\", "
        "partner of, sibling of",
        "camera, iso: 'fast' is not a number; allowed: 25 to 102400",
        "light 'key', role: 'main' is none of the words known here; "
        "allowed: key, fill, hair, backdrop",
        "2 people are called 'Nora'; give each an id of its own",
        "bond 'Nobu is partner of Nora': nobody here is called 'Nobu'; allowed: Ida, Nora, Nora",
        "meter point 'b': cannot face 'moon'; allowed: camera, backdrop, up, high, key",
        "light 'high': height 2.90 m puts its top at 3.35 m, above the ceiling (3.00 m); "
        "lower it to 2.50 m or less to leave room for the head",
    ]


@pytest.mark.parametrize(
    "sections",
    [
        {"room": {"widht": 9}, "lights": [KEY | {"place": {"x": 4, "z": 1}}]},
        {"ligths": [], "meter_points": [POINT | {"facing": "hair"}]},
        {"lights": [KEY | {"id": 3}], "meter_points": [POINT | {"facing": "three"}]},
        {"people": [{"nmae": "Tom", "age": 4}, IDA], "bonds": ["Tom is sibling of Ida"]},
        {"date": "soon", "people": [{"name": "Ida", "born": "2026-06-01"}]},
        {"start": "early", "people": [IDA | {"leaves": "9:30"}]},
        {
            "camera": {"lens": "85", "iso": "fast"},
            "lenses": LENSES[::-1],
            "pictures": [{"people": ["Ida"], "focal_length": 85}],
        },
    ],
)
def test_nothing_is_said_that_only_a_faulty_part_can_decide(sections: dict[str, Any]) -> None:
    """A misspelt width of the room puts no light behind its wall."""
    words = ("beyond", "face", "nobody", "after the sitting", "before the sitting", "focal length")
    found = sentences(**sections)
    assert found
    assert not [s for s in found if any(word in s for word in words)]
