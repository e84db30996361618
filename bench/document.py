"""How long a large, settled document takes to read: 40 people and 60 pictures."""

from __future__ import annotations

import cProfile
import json
import pstats
import tomllib
from typing import Any

import tomli_w

from bench.timing import seconds, tell
from kinlight.sitting.files import json_text, parse, toml_text

TARGET_S = 0.05
PEOPLE, PICTURES = 40, 60


def main() -> None:
    """Time reading and writing; name where the time goes if the target is missed."""
    document = large(PEOPLE, PICTURES)
    as_toml, as_json = tomli_w.dumps(document), json.dumps(document)
    sitting = parse(document)
    tell(
        f"TOML of {PEOPLE} people and {PICTURES} pictures as tables",
        seconds(lambda: tomllib.loads(as_toml)),
    )
    tell("JSON as tables", seconds(lambda: json.loads(as_json)))
    taken_s = seconds(lambda: parse(document))
    tell("tables as a sitting, held against every rule", taken_s, TARGET_S)
    whole = seconds(lambda: parse(tomllib.loads(as_toml)))
    tell("both, from TOML", whole, TARGET_S)
    tell("written as TOML", seconds(lambda: toml_text(sitting)))
    tell("written as JSON", seconds(lambda: json_text(sitting)))
    if taken_s > TARGET_S:
        _profile(document)


def large(people: int, pictures: int) -> dict[str, Any]:
    """Return a document of so many people in families of four, and so many pictures of them."""
    names = [f"person {n}" for n in range(people)]
    bonds = []
    for n in range(0, people - 3, 4):
        one, two, *children = names[n : n + 4]
        bonds.append(f"{one} is partner of {two}")
        bonds += [f"{parent} is parent of {child}" for parent in (one, two) for child in children]
    wanted = [
        (f"picture {n}", [names[(n + step) % people] for step in range(2 + n % 7)])
        for n in range(pictures)
    ]
    return {
        "format": 1,
        "title": "A large gathering",
        "date": "2026-05-30",
        "people": [
            {"name": name, "age": 36 if n % 4 < 2 else 4 + n % 9, "hair": "dark", "clothes": 0.3}
            for n, name in enumerate(names)
        ],
        "bonds": bonds,
        "pictures": [
            {
                "name": name,
                "people": who,
                "value": 1 + n % 5,
                "must": n % 6 == 0,
                "sizes": ["20x25 cm", "30x40 cm"],
                "orientation": "level",
                "places": [
                    {"person": person, "posture": "standing", "x": 0.4 * i - 1.0, "y": 0.1}
                    for i, person in enumerate(who)
                ],
            }
            for n, (name, who) in enumerate(wanted)
        ],
        "order": [name for name, _ in wanted],
        "room": {"width": 7, "length": 11},
        "origins": {f"pictures.{name}.places": "proposed" for name, _ in wanted}
        | {"order": "proposed"},
    }


def _profile(document: dict[str, Any]) -> None:
    with cProfile.Profile() as profile:
        parse(document)
    pstats.Stats(profile).sort_stats("tottime").print_stats(8)
