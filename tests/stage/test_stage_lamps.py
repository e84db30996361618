"""Strobes point where they are aimed and give what their modifier lets through."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from stage_cases import AIM_M, bearing_deg, lamp, staged

from kinlight.errors import SittingError
from kinlight.geometry.vectors import Array
from kinlight.sitting.place import Aim
from kinlight.stage.lamps import OVER_MARK_M, aim_direction, lamps_of
from kinlight.stage.people import bodies_of, figures_of

CAMERA = np.array([0.0, -4.0, AIM_M])
PLACES = st.tuples(st.floats(-3, 3), st.floats(-3, -0.5), st.floats(0.3, 2.6)).map(np.array)


def _towards(aim: str | dict[str, Any], from_m: Array) -> Array:
    return aim_direction(Aim.model_validate(aim), from_m, CAMERA, {})


@given(PLACES)
def test_a_light_points_at_the_mark(from_m: Array) -> None:
    """Following its direction leads to the point over the mark."""
    found = _towards({"at": "mark", "height": 1.0}, from_m)
    goal = np.array([0.0, 0.0, 1.0])
    assert found == pytest.approx((goal - from_m) / np.linalg.norm(goal - from_m), abs=1e-12)


def test_height_left_out_is_that_of_faces() -> None:
    """Without a height the aim is at `OVER_MARK_M`."""
    found = _towards("mark", np.array([0.0, -2.0, OVER_MARK_M]))
    assert found == pytest.approx([0, 1, 0], abs=1e-12)


@given(PLACES, st.sampled_from(["camera", "backdrop", "left", "right"]), st.floats(1, 15))
def test_feathering_turns_level_by_the_angle(from_m: Array, toward: str, turn_deg: float) -> None:
    """The bearing changes by the angle, the tilt stays, and the goal comes nearer."""
    straight = _towards({"height": 1.0}, from_m)
    turned = _towards({"height": 1.0, "turn": turn_deg, "toward": toward}, from_m)
    change = (bearing_deg(turned) - bearing_deg(straight) + 180) % 360 - 180
    assert abs(change) == pytest.approx(turn_deg, abs=1e-6)
    assert turned[2] == pytest.approx(straight[2], abs=1e-12)
    goal = {
        "camera": CAMERA - from_m,
        "backdrop": np.array([0.0, 1.0, 0.0]),
        "left": np.array([-1.0, 0.0, 0.0]),
        "right": np.array([1.0, 0.0, 0.0]),
    }[toward][:2]
    off = [
        abs((bearing_deg(v) - bearing_deg(np.append(goal, 0.0)) + 180) % 360 - 180)
        for v in (straight, turned)
    ]
    if np.linalg.norm(goal) > 1e-3 and turn_deg < off[0] < 180 - 1e-6:
        assert off[1] < off[0]


@given(PLACES, st.floats(1, 20))
def test_tipping_up_and_down_are_opposite(from_m: Array, turn_deg: float) -> None:
    """Up raises by the angle, down lowers by it, in the same upright plane."""
    tilts = [
        math.degrees(math.asin(float(np.clip(v[2], -1, 1))))
        for v in (
            _towards({"height": 1.0}, from_m),
            _towards({"height": 1.0, "turn": turn_deg, "toward": "up"}, from_m),
            _towards({"height": 1.0, "turn": turn_deg, "toward": "down"}, from_m),
        )
    ]
    if abs(tilts[0]) + turn_deg < 89:
        assert tilts[1] - tilts[0] == pytest.approx(turn_deg, abs=1e-6)
        assert tilts[0] - tilts[2] == pytest.approx(turn_deg, abs=1e-6)


def test_a_hanging_light_is_tipped() -> None:
    """Straight down, turning on the stand would do nothing: it is tipped toward the camera."""
    found = _towards({"height": 1.0, "turn": 20, "toward": "backdrop"}, np.array([0.0, 0.0, 2.4]))
    assert found == pytest.approx(
        [0, math.sin(math.radians(20)), -math.cos(math.radians(20))], abs=1e-12
    )


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"aim": {"height": 2.3}}, "light 'key', aim: points at the very place where it stands"),
        (
            {"aim": {"turn": 20, "toward": "up"}},
            "light 'key', aim: points straight up or down and cannot be turned toward up",
        ),
    ],
)
def test_an_aim_without_a_direction_is_said(fields: dict[str, Any], said: str) -> None:
    """Aimed at itself, or turned up from straight down."""
    sitting = staged(lights=[lamp(0, 0, 2.3, **fields)])
    with pytest.raises(SittingError, match=said):
        lamps_of(sitting, CAMERA, {})


def test_a_light_follows_the_person_it_is_aimed_at() -> None:
    """Between the eyes of one in the picture; toward the mark if they are not in it."""
    sitting = staged(lights=[lamp(-1.5, -1.5, 2.0, aim="Nora")])
    (nora,) = figures_of(sitting.pictures[0], bodies_of(sitting))
    at_nora = lamps_of(sitting, CAMERA, {"Nora": nora})[0].emitter
    gap = nora.face.eyes_m().mean(axis=0) - at_nora.centre_m
    assert at_nora.normal == pytest.approx(gap / np.linalg.norm(gap), abs=1e-9)
    empty = lamps_of(sitting, CAMERA, {})[0].emitter
    goal = np.array([0.0, 0.0, OVER_MARK_M]) - empty.centre_m
    assert empty.normal == pytest.approx(goal / np.linalg.norm(goal), abs=1e-9)


@pytest.mark.parametrize(
    ("modifier", "area_m2"),
    [
        ({"kind": "softbox", "width": 0.9, "height": 0.6}, 0.54),
        ({"kind": "softbox", "width": 0.9}, 0.81),
        ({"kind": "octagon", "width": 1.2}, 8 * 0.5 * 0.6**2 * math.sin(math.pi / 4)),
        ({"kind": "reflecting umbrella", "width": 1.0}, math.pi * 0.25),
        ({"kind": "bare", "width": 0.2}, math.pi * 0.01),
    ],
)
def test_fronts_have_the_area_of_their_shape(modifier: dict[str, Any], area_m2: float) -> None:
    """Rectangle, octagon across its corners, disk (by hand)."""
    (found,) = lamps_of(staged(lights=[lamp(-1, -2, 2, modifier=modifier)]), CAMERA, {})
    assert found.emitter.area_m2 == pytest.approx(area_m2)
    assert found.emitter.centre_m == pytest.approx([-1, -2, 2], abs=1e-9)


def test_output_by_hand() -> None:
    """400 J x 25 lm s/J x 0.4 = 4000 lm s, over 0.81 m2: 4938 lx s of exitance."""
    modifier = {"kind": "softbox", "width": 0.9, "transmission": 0.4}
    lights = [lamp(-1, -2, 2, modifier=modifier, energy=400, efficacy=25)]
    (found,) = lamps_of(staged(lights=lights), CAMERA, {})
    assert found.exitance_lxs == pytest.approx(4000 / 0.81)
    assert found.output.below_stops == found.output.above_stops == 0


def test_a_modelling_lamp_loses_what_the_flash_loses() -> None:
    """1000 lm behind a front that passes 0.4 are 400 lm; off, none."""
    modifier = {"kind": "softbox", "width": 0.9, "transmission": 0.4}
    for on, left_lm in ((True, 400.0), (False, 0.0)):
        lights = [lamp(-1, -2, 2, modifier=modifier, modelling=1000, modelling_on=on)]
        (found,) = lamps_of(staged(lights=lights), CAMERA, {})
        assert found.modelling_lm == pytest.approx(left_lm)
