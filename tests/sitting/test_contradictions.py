"""Contradictions between parts that are each right: one sentence each, with what mends them."""

from __future__ import annotations

from typing import Any

import pytest
from sittings import IDA, KEY, NORA, TOM, sentences, with_ida, with_key

from kinlight.light.patches import LAMPS, PEOPLE
from kinlight.light.world import WALLS
from kinlight.plan.faces import REST, SPILL
from kinlight.sitting.contradictions import SOURCES
from kinlight.stage.world import BACKDROP, SWEEP

POINT = {"id": "mark", "place": {"x": 0, "z": 1}}
LENSES = [{"id": "85", "shortest": 85}, {"id": "zoom", "shortest": 24, "longest": 70}]
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
            "camera: does not stand before the mark; allowed: a place with y below 0",
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
            "meter point 'mark': cannot face 'hair'; allowed: camera; backdrop; up; fill; key",
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
            sentences(
                lenses=LENSES, pictures=[{"people": ["Ida"], "lens": "85", "focal_length": 50}]
            ),
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


def test_contradictions_are_said_beside_faults_of_single_fields() -> None:
    """What the faulty parts cannot change is said with them."""
    found = sentences(
        people=[IDA | {"age": -3}, NORA, NORA],
        bonds=["Nora is parent of Ida", "Nobu is partner of Nora", "odd"],
        lights=[KEY | {"role": "main"}, KEY | {"id": "high", "place": {"x": 0, "z": 2.9}}],
        meter_points=[
            POINT | {"facing": "key"},
            {"id": "b", "place": {"x": 0, "z": 1}, "facing": "moon"},
        ],
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
        "bond 'Nobu is partner of Nora': nobody here is called 'Nobu'; allowed: Ida; Nora; Nora",
        "meter point 'b': cannot face 'moon'; allowed: camera; backdrop; up; high; key",
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


PANEL = {"id": "panel", "place": {"x": 1, "y": -0.5, "z": 1}}


@pytest.mark.parametrize("given", [*SOURCES, "Walls"])
def test_no_light_or_reflector_is_called_what_a_plan_calls_other_light(given):
    """Its light would be taken for that; of hair and backdrop lights no plan says so by name."""
    said = (
        f"cannot be called that: a plan calls other light '{given.lower()}'; "
        f"give it another id, such as '{given} 1'"
    )
    assert sentences(reflectors=[PANEL | {"id": given}]) == [f"reflector '{given}': {said}"]
    assert with_key(id=given) == [f"light '{given}': {said}"]
    assert with_key(id=f"{given} 1") == []
    assert with_key(id=given, role="backdrop") == []


def test_a_reflector_is_not_called_as_a_light():
    """A plan says of either by its id how much light comes from it."""
    assert sentences(lights=[KEY], reflectors=[PANEL | {"id": "key"}]) == [
        "reflector 'key': has the id of a light; give it an id of its own"
    ]


def test_all_names_of_other_light_are_known():
    """As the stage and the plan write them."""
    groups = {PEOPLE, LAMPS, "walls", *WALLS[4:]}
    assert set(SOURCES) == groups | {BACKDROP, SWEEP, SPILL, REST}
