"""A staged picture knows what stands in the way and what sends light on, and keeps that."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from stage_cases import AIM_M, BLACK_ROOM, lamp, staged

from kinlight.light import transport
from kinlight.sitting.document import Sitting
from kinlight.stage import scene as scenes
from kinlight.stage.people import bodies_of, figures_of
from kinlight.stage.scene import Scene, Transfer, stage, stage_meter, transfer

PALE = {"wall_reflectance": 0.8, "ceiling_reflectance": 0.8, "floor_reflectance": 0.8}
TWO = [{"name": "Nora", "age": 36}, {"name": "Ida", "age": 34}]


def _scene(sitting: Sitting) -> Scene:
    picture = sitting.pictures[0]
    return stage(sitting, picture, figures_of(picture, bodies_of(sitting)))


def _pair(**fields: Any) -> Sitting:
    """Return two people side by side, Ida on the camera's right."""
    picture = {
        "name": "x",
        "people": ["Nora", "Ida"],
        "orientation": "level",
        "focal_length": 50,
        "places": [
            {"person": "Nora", "posture": "standing", "x": -0.3, "y": 0},
            {"person": "Ida", "posture": "standing", "x": 0.3, "y": 0},
        ],
    }
    return staged(pictures=[picture], **({"people": TWO} | fields))


def _chin(found: Transfer, who: str = "Nora") -> float:
    return float(found.flash_lxs[found.rows("chin", who)[0], 0])


def test_a_pale_room_adds_light_and_a_black_one_none() -> None:
    """All that is bounced is what the room adds; people are black here."""
    people = [{"name": "Nora", "age": 36, "skin": 0, "hair": 0, "clothes": 0}]
    black, pale = (
        transfer(_scene(staged(people=people, lights=[lamp(-1, -2, 2)], room=room)))
        for room in (BLACK_ROOM, PALE)
    )
    assert black.bounced_lxs == pytest.approx(0)
    assert pale.direct_lxs == pytest.approx(black.direct_lxs)
    assert 1.5 * _chin(black) < _chin(pale) < 4 * _chin(black)
    assert pale.flash_lxs == pytest.approx(pale.direct_lxs + pale.bounced_lxs.sum(axis=0))


def test_somebody_in_the_way_takes_the_light() -> None:
    """A lamp level with both heads, from the right: Ida's head stands before Nora's cheek."""
    lights = [lamp(2.5, 0, 1.5, modifier={"kind": "bare", "width": 0.1}, aim={"height": 1.5})]
    alone, both = (transfer(_scene(s)) for s in (staged(lights=lights), _pair(lights=lights)))
    near_cheek = "cheek left"  # Nora faces the camera: her left is its right
    row = alone.rows(near_cheek, "Nora")[0]
    assert alone.direct_lxs[row, 0] > 0
    assert both.direct_lxs[both.rows(near_cheek, "Nora")[0], 0] < 0.1 * alone.direct_lxs[row, 0]


def test_a_neighbours_white_shirt_lights_a_cheek_more_than_a_black_one() -> None:
    """In a black room what a cheek gets of the neighbour comes from their clothes and skin."""
    lights = [lamp(-1.5, -2.0, 1.8)]
    got = []
    for shirt in (0.04, 0.85):
        people = [TWO[0], {**TWO[1], "clothes": shirt}]
        found = transfer(_scene(_pair(people=people, lights=lights)))
        at = found.rows("cheek left", "Nora")[0]
        got.append(found.bounced_lxs[found.groups.index("people"), at, 0])
    assert got[1] > 1.5 * got[0] > 0


def test_a_white_panel_fills_and_a_black_one_does_not() -> None:
    """On the side away from the key; the light is counted under the panel's own name."""
    panel = {"id": "panel", "place": {"x": 1.0, "y": -0.4, "z": 1.2}, "height": 2.0}
    lights = [lamp(-1.5, -1.5, 1.9)]
    white, black = (
        transfer(_scene(staged(lights=lights, reflectors=[{**panel, "sheets": [sheet]}])))
        for sheet in ("white", "black")
    )
    row = white.rows("cheek left", "Nora")[0]
    from_panel = white.bounced_lxs[white.groups.index("panel"), row, 0]
    assert from_panel > 0.05 * white.flash_lxs[white.rows("cheek right", "Nora")[0], 0]
    assert black.bounced_lxs[black.groups.index("panel"), row, 0] < 0.1 * from_panel


def test_a_scrim_takes_the_straight_light_and_sends_some_on() -> None:
    """Between key and face."""
    lights = [lamp(-1.5, -2, 1.9)]
    scrim = {
        "id": "scrim",
        "place": {"x": -0.75, "y": -1.0, "z": 1.7},
        "width": 1.5,
        "height": 1.5,
        "sheets": ["translucent"],
    }
    bare, behind = (transfer(_scene(staged(lights=lights, reflectors=r))) for r in ([], [scrim]))
    row = bare.rows("chin", "Nora")[0]
    assert behind.direct_lxs[row, 0] < 0.02 * bare.direct_lxs[row, 0]
    sent = behind.bounced_lxs[behind.groups.index("scrim"), row, 0]
    assert 0.1 * bare.direct_lxs[row, 0] < sent < bare.direct_lxs[row, 0]


def test_a_head_keeps_the_hair_light_off_the_face() -> None:
    """A lamp high behind reaches the crown, and no chin."""
    lights = [lamp(0, 1.2, 2.4, aim={"x": 0, "y": 0, "height": 1.6})]
    found = transfer(_scene(staged(lights=lights)))
    assert found.direct_lxs[found.rows("hair", "Nora")[0], 0] > 0
    assert found.direct_lxs[found.rows("chin", "Nora")[0], 0] == pytest.approx(0)


def test_a_moved_lamp_costs_its_own_column_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The patches stay, and so does what the other lamp brings."""
    scene = _scene(staged(lights=[lamp(-1, -2, 2), {**lamp(1, -2, 2), "id": "b"}], room=PALE))
    before = transfer(scene)
    asked: list[int] = []
    kept = transport.light_at

    def counted(around: Any, emitters: Any, *rest: Any, **more: Any) -> Any:
        asked.append(len(emitters))
        return kept(around, emitters, *rest, **more)

    def never(*_args: Any, **_more: Any) -> Any:
        raise AssertionError("the patches were reckoned anew")

    monkeypatch.setattr(scenes, "light_at", counted)
    monkeypatch.setattr(scenes, "surroundings", never)
    monkeypatch.setattr(scenes, "gathered", never)
    moved = transfer(scene.with_lamp(scene.lamps[0].moved(np.array([0.1, 0.0, 0.0]))))
    assert asked == [1]
    assert moved.flash_lxs[:, 1] == pytest.approx(before.flash_lxs[:, 1], abs=0)
    assert not np.allclose(moved.flash_lxs[:, 0], before.flash_lxs[:, 0])


@pytest.mark.parametrize(
    "there",
    [lamp(-1.2, -2.4, 2.1), lamp(-0.8, -1.6, 1.9), lamp(-1, -2, 2, aim={"x": 0.6, "y": 0.4})],
    ids=["back", "forward", "turned"],
)
def test_a_moved_lamp_shines_as_if_it_had_stood_there(there: dict[str, Any]) -> None:
    """Straight light to the last digit; of bounced light only what its body keeps off may differ.

    Back into where its body was, forward out of it, and turned across it.
    """
    other = {**lamp(1, -2, 2), "id": "b"}
    scene = _scene(staged(lights=[lamp(-1, -2, 2), other], room=PALE))
    anew = _scene(staged(lights=[there, other], room=PALE))
    fresh, moved = transfer(anew), transfer(scene.with_lamp(anew.lamps[0]))
    assert moved.direct_lxs[:, 0] == pytest.approx(fresh.direct_lxs[:, 0], rel=1e-12)
    row = fresh.rows("chin", "Nora")[0]
    assert moved.flash_lxs[row, 0] == pytest.approx(fresh.flash_lxs[row, 0], rel=0.02)


def test_what_is_kept_is_what_would_be_reckoned_anew() -> None:
    """The same bits, and the same as after forgetting."""
    scene = _scene(staged(lights=[lamp(-1, -2, 2)], room=PALE))
    first, second = transfer(scene), transfer(scene)
    scenes.forget()
    third = transfer(scene)
    assert np.array_equal(first.flash_lxs, second.flash_lxs)
    assert np.array_equal(first.flash_lxs, third.flash_lxs)


def test_a_moved_person_is_staged_as_if_they_had_stood_there() -> None:
    """Body and receivers move together; only the backdrop seen behind them stays."""
    lights = [lamp(-1.5, -2, 1.9)]
    scene = _scene(staged(lights=lights, room=PALE))
    shifted = scene.with_moved(["Nora"], (0.25, 0.1, 0.0))
    assert shifted.figures[0].face.chin_m - scene.figures[0].face.chin_m == pytest.approx(
        [0.25, 0.1, 0.0]
    )
    moved = transfer(shifted)
    picture = {
        "name": "x",
        "people": ["Nora"],
        "orientation": "level",
        "focal_length": 50,
        "places": [{"person": "Nora", "posture": "standing", "x": 0.25, "y": 0.1}],
    }
    there = transfer(_scene(staged(lights=lights, room=PALE, pictures=[picture])))
    for what in ("cheek left", "cheek right", "hair", "nose"):
        at, other = moved.rows(what, "Nora")[0], there.rows(what, "Nora")[0]
        assert moved.flash_lxs[at, 0] == pytest.approx(there.flash_lxs[other, 0], rel=1e-9)


def test_the_empty_set_has_its_room_and_reflectors() -> None:
    """What the hand meter shows before anybody comes counts the walls."""
    lights = [lamp(-1, -2, 2)]
    black, pale = (
        transfer(stage_meter(staged(lights=lights, room=room), height_m=AIM_M))
        for room in (BLACK_ROOM, PALE)
    )
    row = pale.rows("mark")[0]
    assert pale.flash_lxs[row, 0] > 1.3 * black.flash_lxs[row, 0]
