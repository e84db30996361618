from __future__ import annotations

import numpy as np
import pytest

from kinlight.errors import SittingError
from kinlight.geometry.vectors import unit
from kinlight.light.exposure import f_number_for
from kinlight.light.polygon import flat_factor
from kinlight.sitting.files import parse
from kinlight.stage.lamps import lamps_of


def _light(**more: object) -> dict[str, object]:
    place = {"x": 0.0, "y": -3.0, "z": 1.2}
    bare = {"kind": "bare", "width": 0.05}
    return {"id": "bare", "role": "key", "place": place, "modifier": bare} | more


@pytest.mark.parametrize("distance_m", [2.0, 3.0, 6.0])
def test_a_bare_head_reads_its_guide_number_over_the_distance(distance_m: float) -> None:
    """By the definition of the guide number: f-number x distance (facts of ISO 1230)."""
    people = [{"name": "Ida", "age": 30}]
    light = _light(guide_number=30.0) | {"place": {"x": 0.0, "y": -distance_m, "z": 1.2}}
    sitting = parse({"people": people, "lights": [light], "room": {"length": 9}})
    lamp = lamps_of(sitting, np.array([0.0, -4.0, 1.2]), {})[0]
    at, toward = np.array([[0.0, 0.0, 1.2]]), unit(np.array([0.0, -1.0, 0.0]))
    lxs = lamp.exitance_lxs * flat_factor(at, toward, lamp.emitter.polygon_m)[0]
    shown = float(f_number_for(lxs, iso=100))
    assert shown == pytest.approx(30.0 / distance_m, rel=1e-3)  # a 5 cm head is nearly a point


def test_a_guide_number_with_a_softbox_is_refused_in_a_sentence() -> None:
    """The number holds for a bare head only."""
    light = _light(guide_number=30.0, modifier={"kind": "softbox", "width": 0.9})
    with pytest.raises(SittingError) as caught:
        parse({"people": [{"name": "Ida", "age": 30}], "lights": [light]})
    assert [f.sentence() for f in caught.value.faults] == [
        "light 'bare': has a guide number and something in front of the lamp; "
        'give energy instead, or modifier = { kind = "bare" }'
    ]
