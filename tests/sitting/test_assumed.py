"""What a plan assumes is said, one readable line for each thing, the most important first."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from sittings import IDA, KEY, NORA, TOM

from kinlight.sitting import assumed
from kinlight.sitting.assumed import assumptions
from kinlight.sitting.files import parse
from kinlight.sitting.origins import proposing, proposing_in
from kinlight.sitting.usual import with_usual_set

BABY = {"name": "Bo", "age": "8 months"}


def _lines(**sections: Any) -> list[str]:
    return [a.text for a in assumptions(parse({"people": [IDA], **sections}))]


def _line(beginning: str, **sections: Any) -> str:
    """Return the one line that begins so; empty if there is none."""
    found = [line for line in _lines(**sections) if line.startswith(beginning)]
    assert len(found) <= 1
    return found[0] if found else ""


def test_the_three_that_matter_most_of_a_five_line_file() -> None:
    """Light output, stature and lens, in words a photographer would use."""
    assert _lines(people=[IDA, TOM])[:3] == [
        "strobes: key, a 90 cm softbox, 2.00 m from the mark, 45 degrees left of the lens line, "
        "2.10 m high, 400 watt-seconds; fill, a 1.00 m shoot-through umbrella, 3.00 m from the "
        "mark, 30 degrees right of the lens line, 1.80 m high, 400 watt-seconds; a typical "
        "strobe's light per watt-second",
        "stature of Ida, Tom: from age by the growth tables",
        "lens: 24 to 70 mm, f/2.8 to f/22, nearest focus 45 cm",
    ]


def test_lines_are_ordered_by_how_much_they_matter() -> None:
    """And no two are of one rank, so that the order is always the same."""
    for people in ([IDA], [IDA | {"name": "x"}, NORA, BABY]):
        for lights in ([KEY], []):
            ranks = [a.matters for a in assumptions(parse({"people": people, "lights": lights}))]
            assert ranks == sorted(set(ranks), reverse=True)


def test_in_feet_every_length_is_in_feet() -> None:
    """Of the studio that counts so."""
    text = "\n".join(_lines(preferences={"units": "feet"}, sizes=["8x10 in"]))
    assert "room: 16 ft 5 in wide" in text  # 5 m are 196.85 in
    assert " m " not in text
    assert " cm" not in text
    assert "the lens 1.0 in higher" in text  # 25 mm are 0.98 in


@pytest.mark.parametrize(
    ("beginning", "sections"),
    [
        ("strobes:", {"lights": [KEY]}),
        ("stature of", {"people": [IDA | {"stature": 1.04}]}),
        ("patience of", {"people": [IDA | {"patience": 20}]}),
        ("how far", {"people": [BABY | {"motor": "sits"}]}),
        ("weight of", {"people": [BABY | {"mass": 8}]}),
        ("how long", {"people": [BABY, NORA | {"holds_child": 4}]}),
        ("lens:", {"lenses": [{"id": "85", "shortest": 85}]}),
        (
            "camera's sensor:",
            {
                "camera": {
                    "sensor_width": 36,
                    "sensor_height": 24,
                    "pixels_wide": 6000,
                    "pixels_high": 4000,
                }
            },
        ),
        ("camera:", {"camera": {"iso": 100, "shutter": "1/125", "sync": "1/200"}}),
        ("camera turned upright:", {"camera": {"turned_on": "collar"}}),
        ("camera turned upright:", {"camera": {"turned_on": "plate", "plate_shift": 30}}),
        ("camera turned upright:", {"pictures": [{"people": ["Ida"], "orientation": "level"}]}),
        ("print sizes:", {"sizes": ["20x25 cm"]}),
        ("print sizes:", {"pictures": [{"people": ["Ida"], "sizes": ["8x10 in"]}]}),
        ("room:", {"room": {"width": 5, "length": 8, "ceiling": 3}}),
        ("light of the room", {"room": {"ambient": 40}}),
        ("backdrop:", {"backdrop": {"width": 2.7, "height": 2.6, "distance": 1.8}}),
        ("seats:", {"seats": []}),
        (
            "rhythm:",
            {
                "wishes": {
                    "seconds_between_frames": 4,
                    "change_over": 9,
                    "change_over_per_person": 1,
                    "frames_least": 4,
                }
            },
        ),
        ("look:", {"wishes": {"fill_below_key": 1}}),
        ("limits:", {"wishes": {"exposure_within": 0.5, "ambient_below": 4}}),
        ("sharp:", {"wishes": {"acuity": 2}}),
        ("sharp:", {"wishes": {"circle_of_confusion": 0.03}}),
        ("lens no nearer", {"wishes": {"working_distance": 2}}),
        ("room around", {"wishes": {"head_room": 0.3}}),
        ("hand meter's", {"meter": {"c_flat": 250, "c_dome": 330}}),
    ],
)
def test_what_is_stated_is_not_assumed(beginning: str, sections: dict[str, Any]) -> None:
    """The line is there without the statement, and gone with it, even if it is the default."""
    unstated = {k: v for k, v in sections.items() if k == "people"}
    if unstated:
        dropped = ("stature", "patience", "motor", "mass", "holds_child")
        unstated = {
            "people": [{k: v for k, v in p.items() if k not in dropped} for p in unstated["people"]]
        }
    assert _line(beginning, **unstated)
    assert not _line(beginning, **sections)


@pytest.mark.parametrize(
    ("line", "field"),
    [
        ("output of key: 400 watt-seconds at full power", {"energy": 400}),
        ("output of key: a typical strobe's light per watt-second", {"efficacy": 20}),
        ("modifier of key: a 90 cm softbox", {"modifier": {"kind": "softbox", "width": 0.9}}),
        (
            "light lost in the modifier of key: typical of its kind",
            {"modifier": {"transmission": 1}},
        ),
        ("flash duration of key: a typical strobe's", {"t01": "1/500"}),
        ("flash duration of key: a typical strobe's", {"t05": "1/1500"}),
        ("recycle time of key: 1.5 s at full power", {"recycle": 1.5}),
        ("lowest power of key: 1/32", {"dial": {"lowest": "1/32"}}),
    ],
)
def test_of_a_stated_light_what_was_left_out_is_assumed(line: str, field: dict[str, Any]) -> None:
    """Output, modifier, flash duration, recycle, range."""
    assert line in _lines(lights=[KEY])
    assert line not in _lines(lights=[KEY | field])


@pytest.mark.parametrize(
    ("modifier", "line"),
    [
        ({"kind": "bare"}, "modifier of key: 18 cm wide"),
        ({"kind": "octagon"}, "modifier of key: 90 cm wide"),
        ({"width": 0.6}, "modifier of key: a softbox"),
    ],
)
def test_half_a_modifier_leaves_the_other_half_assumed(modifier: dict[str, Any], line: str) -> None:
    """Its kind, or its width."""
    assert line in _lines(lights=[KEY | {"modifier": modifier}])


def test_lights_people_and_lenses_are_named_together() -> None:
    """One line for all that leave the same thing out."""
    lights = [KEY, KEY | {"id": "low", "role": "fill"}, KEY | {"id": "x", "energy": 200}]
    assert _line("output of key, low: 400", lights=lights)
    lenses = [{"id": "85", "shortest": 85}, {"id": "50", "shortest": 50, "widest": 1.8}]
    assert _line("widest aperture of 85: f/2.8", lenses=lenses)
    assert _line("pupil ratio of 85, 50: 1", lenses=lenses)
    assert _line("how long Nora can hold", people=[NORA, BABY])
    assert not _line("how long", people=[NORA, TOM])


def test_names_with_braces_are_printed_as_they_are() -> None:
    """A name is no template."""
    assert _line("stature of {Ida}, {0}: ", people=[IDA | {"name": "{Ida}"}, IDA | {"name": "{0}"}])


def test_hair_light_and_backdrop_are_told_against_the_aperture() -> None:
    """Their wishes count from the working aperture, the fill's from the key."""
    lights = [KEY | {"id": r, "role": r} for r in ("key", "fill", "hair", "backdrop")]
    assert _line("look:", lights=lights) == (
        "look: fill 1.0 stop under the key, hair light even with the aperture, "
        "backdrop even with the aperture"
    )


def test_the_usual_set_is_not_assumed() -> None:
    """It is the studio's own."""
    usual = {"lights": [KEY], "room": {"width": 5}, "camera": {"iso": 100}}
    text = "\n".join(a.text for a in assumptions(parse(with_usual_set({"people": [IDA]}, usual))))
    assert "strobes:" not in text
    assert "room: 8.00 m long, ceiling at 3.00 m" in text
    assert "camera: 1/125, flash sync up to 1/200" in text


def test_what_was_proposed_does_not_hide_what_was_assumed() -> None:
    """A proposed power leaves the shipped strobes as assumed as they were."""
    sitting = parse({"people": [IDA]})
    settled = proposing_in(sitting, "lights", "key", power="1/4")
    settled = proposing(settled, "camera", f_number=8.0)
    assert assumptions(settled) == assumptions(sitting)
    again = parse({**settled.model_dump(exclude_unset=True, exclude_none=True, mode="json")})
    assert assumptions(again) == assumptions(sitting)


def test_the_age_bounds_are_those_of_the_table_of_abilities() -> None:
    """The document may not import that table, so it is held against it here."""
    data = Path(assumed.__file__).parents[1] / "group" / "data" / "abilities.toml"
    table = tomllib.loads(data.read_text("utf-8"))
    assert table["limits"]["child_until_years"] == assumed.PATIENCE_UNTIL_YEARS
    last = table["motor"][-1]
    assert last["stage"] == "runs"
    assert last["from_years"] < assumed.MOTOR_UNTIL_YEARS
