"""Whatever a sitting says, a plan comes out or sentences do: never another exception."""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kinlight.errors import KinlightError
from kinlight.plan.check import check
from kinlight.plan.export import plan_json
from kinlight.plan.settle.settle import settle
from kinlight.sitting.files import parse

BASE: dict[str, Any] = {
    "people": [
        {"name": "Nora", "age": 34},
        {"name": "Ida", "age": 3, "patience": "12 min"},
        {"name": "Bo", "age": "9 months", "arrives": "10:20"},
    ],
    "bonds": ["Nora is parent of Ida", "Nora is parent of Bo"],
    "pictures": [{"name": "us", "people": ["Nora", "Ida", "Bo"]}, {"people": ["Ida"]}],
    "lights": [
        {
            "id": "key",
            "role": "key",
            "place": {"x": -1.4, "y": -1.4, "z": 2.0},
            "modifier": {"kind": "softbox", "width": 0.9},
            "dial": {"shows": "fractions"},
            "aim": "mark",
        },
        {"id": "hair", "role": "hair", "place": {"x": 0.5, "y": 1.2, "z": 2.2}},
    ],
    "meter_points": [{"id": "chin", "place": {"x": 0, "y": 0, "z": 1.1}, "facing": "key"}],
    "breaks": [{"id": "snack"}],
    "lenses": [{"id": "zoom", "shortest": 35, "longest": 85}],
    "camera": {"iso": 100, "shutter": "1/125"},
    "room": {"width": 5, "length": 8, "ceiling": 3},
    "backdrop": {"distance": 1.6},
    "wishes": {"head_room": 0.3},
    "preferences": {"units": "metric"},
}
NASTY: list[tuple[str, Any]] = [
    ("lights.0.aim", {"x": -3, "y": -3, "height": 2.0}),
    ("lights.0.place", {"x": 0, "y": 1.5, "z": 2.0}),
    ("lights.0.place", {"x": 0, "y": 0, "z": 1.0}),
    ("lights.0.place", {"x": 0, "y": 0, "z": 2.5}),
    ("lights.0.aim", "60 degrees toward the backdrop"),
    ("lights.0.modifier", {"kind": "bare"}),
    ("lights.0.power", "1/32"),
    ("lights.1.aim", "90 degrees toward up"),
    ("lights", []),
    ("meter_points.0.place", {"x": -1.4, "y": -1.4, "z": 2.0}),
    ("meter_points.0.reading", "f/90"),
    ("camera.shutter", "30 s"),
    ("camera.shutter", "1/8000"),
    ("camera.iso", 25),
    ("camera.iso", 102400),
    ("camera.f_number", 90),
    ("camera.f_number", 1.2),
    ("camera.place", {"x": 0, "y": 0, "z": 1}),
    ("camera.place", {"x": 0, "y": -0.3, "z": 1}),
    ("camera.place", {"x": 2.4, "y": -0.5, "z": 0.1}),
    ("camera.aim_height", 0),
    ("camera.focus_on", "Bo"),
    ("camera.measured_from", "film plane"),
    ("backdrop.distance", 0),
    ("backdrop.reflectance", 0),
    ("room.ambient", 0),
    ("room.ambient", 100_000),
    ("room.length", 2),
    ("room.width", 1.5),
    ("room.ceiling", 1.9),
    ("wishes.head_room", 1),
    ("wishes.circle_of_confusion", 0.002),
    ("wishes.acuity", 0.5),
    ("wishes.frames_least", 100),
    ("wishes.seconds_between_frames", 0.1),
    ("date", "9999-12-31"),
    ("date", "2200-12-31"),
    ("start", "23:59"),
    ("people.2.arrives", "00:10"),
    ("people.2.leaves", "10:21"),
    ("people.1.patience", 0.01),
    ("people.1.age", 0),
    ("people.0.age", 115),
    ("people.0.stature", 2.4),
    ("people.1.motor", "lies"),
    ("people.0.holds_child", 0),
    ("pictures.0.sizes", ["400x400 cm"]),
    ("pictures.0.sizes", ["4x300 cm"]),
    ("pictures.0.crop", "full length"),
    ("pictures.0.value", 0),
    ("pictures.0.frames", 500),
    ("pictures.0.focal_length", 85),
    ("pictures.0.places", [{"person": "Nora", "x": 0, "y": 0}, {"person": "Ida", "x": 0, "y": 0}]),
    ("pictures.0.places", [{"person": "Bo", "posture": "hip", "held_by": "Nora"}]),
    ("pictures", [{"people": ["Nora"], "value": 0}]),
    ("strike", [["Nora"], ["Ida"]]),
    ("order", ["us", "wait 600 min", "Ida", "snack"]),
    ("order", ["snack", "us"]),
    ("lenses", [{"id": "long", "shortest": 400, "nearest_focus": 4.0}]),
    ("lenses", [{"id": "wide", "shortest": 8}]),
    ("lenses.0.pupil_ratio", 5),
    ("lenses.0.pupil_ratio", 0.2),
    ("seats", []),
    ("breaks.0.people", ["Bo"]),
    ("breaks.0.restores", 120),
    ("origins", {"people.Nora.age": "proposed"}),
    ("origins", {"people": "proposed"}),
    ("origins", {"pictures.us": "proposed"}),
    ("preferences.units", "feet"),
]


def _with(document: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    changed = copy.deepcopy(document)
    *way, last = path.split(".")
    part: Any = changed
    for step in way:
        part = part[int(step)] if step.isdigit() else part[step]
    if isinstance(part, list):
        part[int(last)] = value
    else:
        part[last] = value
    return changed


def _plan_or_sentences(document: dict[str, Any]) -> str:
    """Return what comes out; anything but a plan or sentences fails the test by itself."""
    try:
        plan = check(settle(parse(document)))
    except KinlightError as error:
        said = [f.sentence() for f in error.faults]
        assert said
        assert all(s and "\n" not in s and "nan" not in s.lower().split() for s in said)
        return "sentences"
    assert plan_json(plan)
    assert not math.isnan(plan.backdrop_stops)
    return "plan"


@pytest.mark.parametrize(("path", "value"), NASTY)
def test_a_nasty_value_gives_a_plan_or_sentences(path: str, value: Any) -> None:
    """One value at a time."""
    assert _plan_or_sentences(_with(BASE, path, value)) in ("plan", "sentences")


def test_the_document_they_start_from_gives_a_plan() -> None:
    """Else the others would show nothing."""
    assert _plan_or_sentences(BASE) == "plan"


def test_an_order_that_names_a_picture_proposed_away_is_refused() -> None:
    """Found by trying several at once."""
    document = _with(BASE, "order", ["snack", "us"])
    assert (
        _plan_or_sentences(_with(document, "origins", {"pictures.us": "proposed"})) == "sentences"
    )


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.sampled_from(NASTY), min_size=2, max_size=4, unique_by=lambda pair: pair[0]))
def test_several_nasty_values_give_a_plan_or_sentences(changes: list[tuple[str, Any]]) -> None:
    """Several at once; those that no longer have a place are left out."""
    document = BASE
    for path, value in changes:
        try:
            document = _with(document, path, value)
        except (IndexError, KeyError, TypeError):
            continue
    assert _plan_or_sentences(document) in ("plan", "sentences")
