"""A staged picture has its receivers, and light arrives at them by the laws of light."""

from __future__ import annotations

import math

import numpy as np
import pytest
from stage_cases import AIM_M, lamp, staged

from kinlight.sitting.document import Sitting
from kinlight.stage.people import bodies_of, figures_of
from kinlight.stage.receivers import BACKDROP_SPREAD_M
from kinlight.stage.scene import Scene, stage, stage_meter, transfer

SMALL = {"kind": "bare", "width": 0.05, "transmission": 1}


def _scene(sitting: Sitting) -> Scene:
    picture = sitting.pictures[0]
    return stage(sitting, picture, figures_of(picture, bodies_of(sitting)))


def test_every_face_has_its_receivers() -> None:
    """Chin by dome toward the camera, both cheeks and the hair flat."""
    scene = _scene(staged())
    names = [r.what for r in scene.receivers]
    assert names.count("chin") == names.count("hair") == 1
    assert {"cheek left", "cheek right"} <= set(names)
    assert [r.dome for r in scene.receivers if r.what == "chin"] == [True]
    assert all(np.linalg.norm(r.normal) == pytest.approx(1) for r in scene.receivers)


def test_the_backdrop_is_metered_at_three_points() -> None:
    """At face height in its plane: the middle and to either side."""
    receivers = stage_meter(staged(), height_m=AIM_M).receivers
    behind = [r.point_m for r in receivers if r.what == "backdrop"]
    assert {float(p[2]) for p in behind} == {AIM_M}
    assert [float(p[0]) for p in behind] == [-BACKDROP_SPREAD_M, 0.0, BACKDROP_SPREAD_M]
    assert {round(float(p[1]), 2) for p in behind} == {1.8}


def test_a_small_source_by_hand() -> None:
    """A flat front of 4000 lm s gives Q / pi = 1273 cd s ahead; at 2 m, facing it, 318 lx s."""
    lights = [lamp(0, -2, AIM_M, energy=200, efficacy=20, modifier=SMALL, aim={"height": AIM_M})]
    sitting = staged(lights=lights)
    found = transfer(stage_meter(sitting, height_m=AIM_M))
    row = found.rows("toward", "key")[0]
    assert found.flash_lxs[row, 0] == pytest.approx(4000 / math.pi / 4, rel=1e-3)


def test_a_flat_receptor_follows_the_cosine() -> None:
    """Sixty degrees off, half the light of straight on."""
    x, y = 2 * math.sin(math.radians(60)), -2 * math.cos(math.radians(60))
    point = {
        "id": "p",
        "place": {"x": 0, "y": 0, "z": AIM_M},
        "facing": "camera",
        "receptor": "flat",
    }
    aside = [lamp(x, y, AIM_M, modifier=SMALL, aim={"height": AIM_M})]
    found = transfer(stage_meter(staged(lights=aside, meter_points=[point]), height_m=AIM_M))
    off, on = found.rows("meter", "p")[0], found.rows("toward", "key")[0]
    assert found.flash_lxs[off, 0] / found.flash_lxs[on, 0] == pytest.approx(0.5, rel=2e-3)


def test_light_adds_up_lamp_by_lamp() -> None:
    """Each lamp's column is what it gives alone; their bodies stand in nobody's way here."""
    one, two = lamp(-1, -2, 2), {**lamp(1, -2, 2), "id": "fill", "role": "fill"}
    both = transfer(_scene(staged(lights=[one, two])))
    alone = [transfer(_scene(staged(lights=[x]))) for x in (one, two)]
    assert both.lamps == ("key", "fill")
    assert both.direct_lxs == pytest.approx(np.hstack([a.direct_lxs for a in alone]))


def test_a_lamp_behind_gives_the_face_nothing() -> None:
    """It lights backs of heads, and straight nothing of a cheek that faces away."""
    found = transfer(
        _scene(staged(lights=[lamp(0, 1.5, 1.6, aim={"x": 0, "y": 0, "height": 1.5})]))
    )
    assert found.direct_lxs[found.rows("cheek left", "Nora"), 0] == pytest.approx(0)
    assert found.direct_lxs[found.rows("backdrop"), 0] == pytest.approx(0)


def test_without_lamps_there_is_no_light() -> None:
    """Receivers stay; there is no column."""
    found = transfer(_scene(staged(lights=[])))
    assert found.flash_lxs.shape == (len(found.receivers), 0)


def test_modelling_light_is_only_that_of_lamps_left_on() -> None:
    """In proportion to the flash of the same front: lumens over lumen seconds."""
    modifier = {"kind": "softbox", "width": 0.9, "transmission": 0.5}
    fields = {"energy": 100, "efficacy": 30, "modelling": 1500, "modifier": modifier}
    off, on = (
        transfer(_scene(staged(lights=[lamp(-1, -2, 2, modelling_on=x, **fields)])))
        for x in (False, True)
    )
    assert off.modelling_lx == pytest.approx(0)
    assert on.modelling_lx == pytest.approx(on.flash_lxs * 1500 / 3000)


def test_rows_are_found_by_name_and_person() -> None:
    """An empty name of a person means everybody's."""
    found = transfer(_scene(staged()))
    assert len(found.rows("chin")) == len(found.rows("chin", "Nora")) == 1
    assert found.rows("chin", "Nobody") == []


@pytest.mark.parametrize(
    ("facing", "normal"),
    [("camera", (0, -1, 0)), ("backdrop", (0, 1, 0)), ("up", (0, 0, 1)), ("key", (-1, 0, 0))],
)
def test_a_meter_faces_what_it_is_told(facing: str, normal: tuple[float, ...]) -> None:
    """The camera, the backdrop, up, or a light."""
    point = {"id": "p", "place": {"x": 0, "y": 0, "z": AIM_M}, "facing": facing}
    scene = stage_meter(staged(lights=[lamp(-2, 0, AIM_M)], meter_points=[point]), height_m=AIM_M)
    (found,) = [r for r in scene.receivers if r.what == "meter"]
    assert found.normal == pytest.approx(normal, abs=1e-9)
