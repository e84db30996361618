"""What the sheets of a reflector do together, in one sentence."""

from __future__ import annotations

import math
import re

import pytest
from plan_cases import NORA, planned

from kinlight.light.gloss import coat_brdf
from kinlight.light.layers import cloth, stack
from kinlight.plan.sheets_said import sheets_said
from kinlight.sitting.gear import Reflector


def _said(*sheets: str) -> str:
    panel = Reflector.model_validate({"id": "panel", "place": {"x": 1, "z": 1}, "sheets": sheets})
    (sentence,) = sheets_said([panel])
    return sentence


@pytest.mark.parametrize(
    ("sheets", "sentence"),
    [
        # the figures of one sheet are those of the table of sheets: .78, .75 and .8, .04, .45
        (["white"], "panel: white sends back 0.78 of the light, evenly to all sides"),
        (
            ["silver"],
            "panel: silver sends back 0.75 of the light, 80% of that as a blurred mirror",
        ),
        (["black"], "panel: black takes light away and sends back 0.04 of it"),
        (
            ["translucent"],
            "panel: translucent sends back 0.45 of the light, evenly to all sides, lets 0.45 "
            "through, scattered",
        ),
        # .45 + .45^2 x .78 / (1 - .45 x .78) = .693, by hand after [kubelka1954]
        (
            ["translucent", "white"],
            "panel: translucent over white sends back 0.69 of the light, evenly to all sides",
        ),
        # two scrims R .5643, T .2539: check values of test_layers
        (
            ["translucent", "translucent"],
            "panel: translucent over translucent sends back 0.56 of the light, evenly to all "
            "sides, lets 0.25 through, scattered",
        ),
        (
            ["white", "silver"],
            "panel: white sends back 0.78 of the light, evenly to all sides; what is behind its "
            "white sheet does nothing",
        ),
    ],
)
def test_each_kind_of_panel_is_said(sheets: list[str], sentence: str) -> None:
    """What it sends back, how, what it lets through, and what has no effect."""
    assert _said(*sheets) == sentence


def test_a_scrim_over_silver_is_compared_with_the_silver_alone() -> None:
    """Dimmer where a mirror would send the light, brighter square before it, by the two coats."""
    said = _said("translucent", "silver")
    mirror, aside = re.findall(r"(\d\.\d) stop (?:dimmer|brighter)", said)
    assert f"{mirror} stop dimmer in the mirror's direction" in said
    assert f"{aside} stop brighter square before it" in said
    half = math.sqrt(0.5)
    light, up = (half, 0.0, half), (0.0, 0.0, 1.0)
    for stated, sign, eye in ((mirror, -1, (-half, 0.0, half)), (aside, 1, (0.0, 0.0, 1.0))):
        bright = [
            float(coat_brdf(layer.front, up, light, eye))
            for layer in (stack(["translucent", "silver"]), cloth("silver"))
        ]
        assert sign * float(stated) == pytest.approx(math.log2(bright[0] / bright[1]), abs=0.05)


def test_silver_in_front_is_only_silver() -> None:
    """Nothing reaches what is behind it, so there is nothing to compare."""
    assert "alone" not in _said("silver", "translucent")
    assert _said("silver", "silver").endswith("what is behind its silver sheet does nothing")


def test_silver_behind_something_opaque_is_not_compared() -> None:
    """A scrim over white over silver is a scrim over white."""
    said = _said("translucent", "white", "silver")
    assert said.startswith("panel: translucent over white sends back 0.69")
    assert "alone" not in said
    assert said.endswith("what is behind its white sheet does nothing")


def test_every_reflector_of_a_plan_has_its_sentence() -> None:
    """In the order of the document; none without reflectors."""
    panels = [
        {"id": name, "place": {"x": x, "y": -0.5, "z": 1.0}, "sheets": [kind]}
        for name, x, kind in (("left", -1.5, "white"), ("right", 1.5, "black"))
    ]
    said = planned(NORA, reflectors=panels).sheets
    assert [text.partition(":")[0] for text in said] == ["left", "right"]
    assert planned(NORA).sheets == ()
