"""What a sitting document says, in the ways people say it."""

from __future__ import annotations

import datetime as dt
import math
import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sittings import IDA, KEY, NORA, TOM

from kinlight.sitting.base import document_key, unit_of
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse
from kinlight.sitting.people import Bond
from kinlight.sitting.pictures import Size
from kinlight.sitting.place import Aim, Place
from kinlight.sitting.strobes import PowerDial
from kinlight.sitting.tones import reflectance, tiers

FIVE_LINES = """
title = "Ida"

[[people]]
name = "Ida"
age = 4
"""


def test_five_lines_are_enough() -> None:
    """One person with an age is a sitting; all else has a default and counts as not stated."""
    sitting = parse(tomllib.loads(FIVE_LINES))
    assert sitting.person("Ida").age_years == 4
    assert sitting.model_fields_set == {"title", "people"}
    assert sitting.states("title")
    assert not sitting.states("title", "lights")
    assert sitting.lights
    assert sitting.lenses
    assert sitting.sizes
    assert sitting.room.ceiling_m > 2


@pytest.mark.parametrize(
    ("name", "key", "unit"),
    [
        ("distance_m", "distance", "m"),
        ("shortest_mm", "shortest", "mm"),
        ("holds_child_min", "holds_child", "minutes"),
        ("age_years", "age", "years"),
        ("tax_percent", "tax", "percent"),
        ("f_number", "f_number", ""),
        ("c_flat", "c_flat", ""),
        ("name", "name", ""),
    ],
)
def test_a_key_is_the_field_without_its_unit(name: str, key: str, unit: str) -> None:
    """`distance_m` in code is `distance` in the document; words without a unit stay."""
    assert document_key(name) == key
    assert unit_of(name) == unit


ROOT = math.sqrt(0.5)


@pytest.mark.parametrize(
    ("place", "xyz_m"),
    [  # computed by hand: x = +-d sin(angle), y = -d cos(angle); +x is the camera's right
        ({"x": 1.5, "y": -2, "z": "1.8 m"}, (1.5, -2, 1.8)),
        ({"x": "5 ft"}, (1.524, 0, 0)),  # 5 x 0.3048
        ({"y": "-50 cm"}, (0, -0.5, 0)),
        ({"distance": 2}, (0, -2, 0)),  # straight before the mark, toward the camera
        ({"distance": 2, "angle": 180, "height": 1}, (0, 2, 1)),
        ({"distance": 2, "angle": 90, "side": "left"}, (-2, 0, 0)),
        ({"distance": 2, "angle": 90, "side": "right"}, (2, 0, 0)),
        ({"distance": 2, "angle": 45, "side": "left"}, (-2 * ROOT, -2 * ROOT, 0)),
        ({"distance": 3, "angle": 30, "side": "right"}, (1.5, -3 * math.sqrt(3) / 2, 0)),
        ({"distance": 4, "angle": 120, "side": "left"}, (-2 * math.sqrt(3), 2, 0)),
    ],
)
def test_a_place_is_measured_in_either_way(place: dict[str, Any], xyz_m: tuple[float, ...]) -> None:
    """By x, y and z, or by a tape from the mark with side, angle and height."""
    assert Place.model_validate(place).xyz_m() == pytest.approx(xyz_m, abs=1e-12)


@given(st.floats(0, 30), st.floats(0, 180), st.sampled_from(["left", "right"]))
def test_a_taped_place_lies_at_its_distance_on_its_side(
    distance_m: float, angle_deg: float, side: str
) -> None:
    """The distance is along the floor, whatever the angle; the side is never crossed."""
    place = Place.model_validate({"distance": distance_m, "angle": angle_deg, "side": side})
    x, y, _ = place.xyz_m()
    assert math.hypot(x, y) == pytest.approx(distance_m, abs=1e-12)
    assert (x <= 0) if side == "left" else (x >= 0)


@pytest.mark.parametrize(
    ("text", "aim"),
    [
        ("mark", Aim()),
        ("Ida", Aim(at="Ida")),
        ("20 degrees toward the camera", Aim(turn_deg=20, toward="camera")),
        ("12,5° towards left", Aim(turn_deg=12.5, toward="left")),
        ("5 deg toward Up", Aim(turn_deg=5, toward="up")),
    ],
)
def test_an_aim_is_said_as_text(text: str, aim: Aim) -> None:
    """The mark, a person, or so many degrees toward something."""
    assert Aim.model_validate(text) == aim


@pytest.mark.parametrize(
    ("said", "years"),
    [(4, 4), ("3 1/2", 3.5), ("8 months", 8 / 12), ("6 weeks", 42 / 365.25), ("4 years", 4)],
)
def test_an_age_is_said_as_people_say_it(said: object, years: float) -> None:
    """In years, months or weeks."""
    assert parse({"people": [{"name": "Ida", "age": said}]}).age_years("Ida") == pytest.approx(
        years
    )


def test_age_from_a_date_of_birth_is_counted_to_the_day_of_the_sitting() -> None:
    """From 30 May 2022 to 30 May 2026 there are 1461 days, four years of 365.25."""
    sitting = parse({"date": "2026-05-30", "people": [{"name": "Ida", "born": "2022-05-30"}]})
    assert sitting.age_years("Ida") == 4


@pytest.mark.parametrize(
    ("text", "bond"),
    [
        ("Nora is parent of Ida", ("Nora", "parent", "Ida")),
        ("Nora is a parent of Ida", ("Nora", "parent", "Ida")),
        ("Nora partner of Jan Piet", ("Nora", "partner", "Jan Piet")),
        (" María José is sibling of Ida ", ("María José", "sibling", "Ida")),
    ],
)
def test_a_bond_is_said_as_a_sentence(text: str, bond: tuple[str, str, str]) -> None:
    """Somebody is parent, partner or sibling of somebody."""
    said = Bond.model_validate(text)
    assert (said.one, said.kind, said.other) == bond


@pytest.mark.parametrize(
    ("text", "width_m", "height_m"),
    [  # 1 in = 0.0254 m
        ("20x25 cm", 0.20, 0.25),
        ("8 x 10 in", 0.2032, 0.254),
        ("8 1/2×11 in", 0.2159, 0.2794),
        ("200x250mm", 0.20, 0.25),
        ("1x1,5 m", 1, 1.5),
    ],
)
def test_a_size_is_said_as_text(text: str, width_m: float, height_m: float) -> None:
    """Two sides and a unit; it keeps the name it was given."""
    size = Size.model_validate(text)
    assert (size.width_m, size.height_m) == pytest.approx((width_m, height_m))
    assert size.name == text
    assert size.inches() == pytest.approx((width_m / 0.0254, height_m / 0.0254))


def test_a_size_without_text_is_called_by_its_sides() -> None:
    """In centimetres."""
    assert Size.model_validate({"width": 0.2, "height": 0.25}).name == "20x25 cm"


@pytest.mark.parametrize("kind", ["skin", "hair", "clothes"])
def test_a_tone_is_a_tier_or_a_number(kind: str) -> None:
    """Every tier is a reflectance; a number is one itself."""
    person = parse({"people": [IDA | {kind: 0.25}]}).person("Ida")
    assert reflectance(getattr(person, kind), kind) == 0.25
    for tier in tiers(kind):
        named = getattr(parse({"people": [IDA | {kind: tier.upper()}]}).person("Ida"), kind)
        assert 0 < reflectance(named, kind) < 1


def test_tiers_grow_lighter_as_their_names_do() -> None:
    """From very dark to very light; so for hair and clothes."""
    assert list(tiers("skin").values()) == sorted(tiers("skin").values())
    assert list(tiers("clothes").values()) == sorted(tiers("clothes").values())
    assert tiers("hair")["black"] < tiers("hair")["fair"] < tiers("hair")["white"]


@pytest.mark.parametrize(
    ("dial", "power", "below_full_stops"),
    [
        ({}, "1/4", 2),
        ({}, "1/4 -0.3", 2.3),
        ({"step": 0.33}, "1/4 -0.3", 2 + 1 / 3),
        ({"shows": "numbers", "full": 10, "lowest": 4}, "8.5", 1.5),
        ({"shows": "numbers", "full": 10, "lowest": 4}, 6, 4),
    ],
)
def test_power_is_read_on_the_strobes_own_scale(
    dial: dict[str, Any], power: object, below_full_stops: float
) -> None:
    """In fractions with tenths or thirds, or in the dial's numbers."""
    light = parse({"people": [IDA], "lights": [KEY | {"power": power, "dial": dial}]}).lights[0]
    assert light.setting_stops() == pytest.approx(below_full_stops)


def test_a_dial_reaches_down_to_its_lowest_setting() -> None:
    """From 10 to 5 in whole stops are five stops."""
    dial = PowerDial.model_validate({"shows": "numbers", "full": 10, "lowest": 5})
    assert dial.scale().lowest_stops == 5


def test_times_of_day_have_no_seconds() -> None:
    """However they are written, so that they read back as they were."""
    sitting = parse({"people": [IDA], "start": dt.time(10, 30, 15)})
    assert sitting.start == parse({"people": [IDA], "start": "10:30:15"}).start == dt.time(10, 30)


def test_a_meter_reading_is_kept_as_shown() -> None:
    """A number that can be read one way only is taken as one."""
    point = {"id": "mark", "place": {"x": 0, "z": 1}}
    for given_as, kept in (("f/8 + 4/10", "f/8 + 4/10"), (8, "8"), (5.6, "5.6")):
        document = {"people": [IDA], "meter_points": [point | {"reading": given_as}]}
        assert parse(document).meter_points[0].reading == kept


def test_people_lenses_and_sizes_are_found() -> None:
    """By id, by picture, or by the sitting's own list."""
    sitting = parse(
        {
            "people": [NORA, IDA | {"id": "small one"}],
            "pictures": [
                {"people": ["Nora", "small one"], "lens": "50", "sizes": ["8x10 in"]},
                {"people": ["Nora"]},
            ],
            "lenses": [{"id": "85", "shortest": 85}, {"id": "50", "shortest": 50}],
            "sizes": ["20x25 cm"],
        }
    )
    both, alone = sitting.pictures
    assert sitting.person("small one").name == "Ida"
    assert sitting.lens_for(both).shortest_mm == 50
    assert sitting.lens_for(alone).id == "85"
    assert [s.name for s in sitting.sizes_of(both)] == ["8x10 in"]
    assert [s.name for s in sitting.sizes_of(alone)] == ["20x25 cm"]
    assert both.key == "Nora + small one"
    assert both.who() == {"small one", "Nora"}


def test_a_document_is_frozen() -> None:
    """A changed copy is another document; the first stays as it was."""
    sitting = parse({"people": [IDA, TOM]})
    changed = sitting.with_stated(title="Two")
    assert changed.states("title")
    assert not sitting.states("title")
    with pytest.raises(ValueError, match="frozen"):
        sitting.title = "Two"  # type: ignore[misc]


def test_every_field_says_what_it_means() -> None:
    """The descriptions are what the reference page and the schema are made of."""
    missing: list[str] = []

    def visit(schema: dict[str, Any], name: str) -> None:
        missing.extend(
            f"{name}.{key}"
            for key, field in schema.get("properties", {}).items()
            if not (field.get("description") or "$ref" in field)  # then the part's own says it
        )

    schema = Sitting.model_json_schema(by_alias=True)
    visit(schema, "sitting")
    for name, part in schema["$defs"].items():
        visit(part, name)
    assert missing == []
