"""People stand, sit and are held where the document puts them."""

from __future__ import annotations

from typing import Any

import pytest
from stage_cases import staged

from kinlight.errors import SittingError
from kinlight.geometry.people import Figure
from kinlight.stage.people import bodies_of, figures_of

NORA = {"name": "Nora", "age": 36}
BO = {"name": "Bo", "age": "7 months"}


def _figures(*places: dict[str, Any]) -> dict[str, Figure]:
    people = [NORA, BO][: len(places)]
    picture = {"name": "x", "people": [p["person"] for p in places], "places": list(places)}
    sitting = staged(people=people, pictures=[picture])
    return {f.person: f for f in figures_of(sitting.pictures[0], bodies_of(sitting))}


def test_a_stated_stature_is_that_of_the_figure() -> None:
    """Crown over soles, standing, is the stature to a millimetre."""
    sitting = staged(people=[{**NORA, "stature": 1.73}])
    (nora,) = figures_of(sitting.pictures[0], bodies_of(sitting))
    assert nora.face.crown_m[2] - nora.feet_m[:, 2].min() == pytest.approx(1.73, abs=1e-3)


def test_places_are_on_the_floor_as_stated() -> None:
    """Between the feet at x and y; turned, the face looks to the camera's right."""
    place = {"person": "Nora", "x": 0.4, "y": 0.3}
    nora = _figures(place)["Nora"]
    assert nora.feet_m.mean(axis=0)[:2] == pytest.approx([0.4, 0.3], abs=1e-9)
    turned = _figures({**place, "turned": 30})["Nora"]
    assert turned.face.facing[0] == pytest.approx(0.5)  # sin 30 deg, toward +x


def test_a_child_on_a_lap_is_where_its_holder_is() -> None:
    """Its own coordinates do not count; it moves with the one who holds it."""
    bo = {"person": "Bo", "posture": "lap", "held_by": "Nora", "x": 2.0, "y": 1.0}
    seat = {"person": "Nora", "posture": "stool", "seat": 0.45}
    here = _figures({**seat, "x": 0.0}, bo)
    there = _figures({**seat, "x": 0.7}, bo)
    moved = there["Bo"].face.chin_m - here["Bo"].face.chin_m
    assert moved == pytest.approx([0.7, 0, 0], abs=1e-9)
    hips = here["Nora"].hips_m.mean(axis=0)
    assert abs(here["Bo"].face.chin_m[0] - hips[0]) < 0.25
    assert here["Bo"].hips_m[:, 2].min() > 0.45  # above the seat


def test_a_child_on_a_hip_is_beside_its_holder() -> None:
    """Aside of the standing holder's middle, at about the height of the hip."""
    bo = {"person": "Bo", "posture": "hip", "held_by": "Nora"}
    found = _figures({"person": "Nora"}, bo)
    hip = found["Nora"].hips_m
    assert abs(found["Bo"].hips_m.mean(axis=0)[0]) > abs(hip[0, 0])
    assert found["Bo"].face.crown_m[2] > hip[0, 2]


def test_figures_come_in_the_order_of_the_picture() -> None:
    """Whatever the order of their places, and the held one may come first."""
    places = [
        {"person": "Nora", "posture": "stool", "seat": 0.45},
        {"person": "Bo", "posture": "lap", "held_by": "Nora"},
    ]
    picture = {"name": "x", "people": ["Bo", "Nora"], "places": places}
    sitting = staged(people=[NORA, BO], pictures=[picture])
    found = figures_of(sitting.pictures[0], bodies_of(sitting))
    assert [f.person for f in found] == ["Bo", "Nora"]


def test_a_blank_place_is_said() -> None:
    """Who has none, in which picture, and what to do."""
    picture = {"name": "x", "people": ["Nora", "Bo"], "places": [{"person": "Nora"}]}
    sitting = staged(people=[NORA, BO], pictures=[picture])
    with pytest.raises(SittingError, match="picture 'x': Bo has no place; run kinlight settle"):
        figures_of(sitting.pictures[0], bodies_of(sitting))


def test_a_stool_without_a_height_is_said_with_its_place() -> None:
    """The sentence names picture and person."""
    with pytest.raises(SittingError, match="picture 'x', Nora: 0 m is not a height for the stool"):
        _figures({"person": "Nora", "posture": "stool"})


def test_a_measure_nobody_has_is_said_with_the_person() -> None:
    """A newborn of two metres."""
    sitting = staged(people=[{"name": "Nora", "age": 0, "stature": 2.2}])
    with pytest.raises(SittingError, match=r"person 'Nora': 2.2 m is not a height"):
        bodies_of(sitting)
