"""Sets of strobes for the tests of metering and of what it teaches, and readings of them."""

from __future__ import annotations

import copy
from typing import Any

from plan_cases import BLACK_ROOM, NORA, light, settled

from kinlight.plan.check import check
from kinlight.plan.metering import MeterPlan
from kinlight.plan.model import Plan

AXIS_M = 1.2
# Stated figures, so that nothing is estimated: 400 Ws x 30 lm s/Ws x 0.35 = 4200 lm s at full.
FIGURES: dict[str, Any] = {"energy": 400, "efficacy": 30, "power": 1}
SQUARE: dict[str, Any] = {"kind": "softbox", "width": 0.9, "height": 0.9, "transmission": 0.35}
BLACK: dict[str, Any] = {
    "room": BLACK_ROOM | {"length": 16, "width": 10},
    "backdrop": {"reflectance": 0},
    "camera": {"f_number": 8, "aim_height": AXIS_M},
}


def on_axis(distance_m: float, **fields: Any) -> dict[str, Any]:
    """Return a square softbox of stated figures, straight before the mark at the axis' height."""
    lamp = light("key", "key", 0, -distance_m, AXIS_M, modifier=SQUARE, **FIGURES)
    return lamp | {"aim": {"at": "mark", "height": AXIS_M}} | fields


def point(name: str = "p", **fields: Any) -> dict[str, Any]:
    """Return a meter point on the axis over the mark that faces the key with the flat receptor."""
    place = {"x": 0, "y": 0, "z": AXIS_M}
    return {"id": name, "place": place, "facing": "key", "receptor": "flat", **fields}


def black(*lights: dict[str, Any], **sections: Any) -> Plan:
    """Return the plan of somebody in a room, with a backdrop, that reflect nothing."""
    document: dict[str, Any] = copy.deepcopy(BLACK)
    for name, values in sections.items():
        whole = isinstance(values, list)
        document[name] = values if whole else document.get(name, {}) | values
    return check(settled(NORA, lights=list(lights), **document))


def reading_of(plan: Plan, where: str) -> MeterPlan:
    """Return the reading of that name."""
    found = [m for m in plan.meter if m.where == where]
    assert len(found) == 1, [m.where for m in plan.meter]
    return found[0]


def two_lights(key_stops: float = 0.0, **fields: Any) -> list[dict[str, Any]]:
    """Return a key and a fill of typical figures, the key with so many stops more energy."""
    key = light("key", "key", -1.4, -1.4, 2.0, energy=400 * 2**key_stops, power="1/4", **fields)
    fill = light("fill", "fill", 1.4, -2.4, 1.8, energy=400, power="1/4")
    return [key, fill]


POINTS: list[dict[str, Any]] = [
    point("key at the mark", lights=["key"]),
    point("fill at the mark", facing="fill", lights=["fill"]),
    point("both at the mark", facing="camera", receptor="dome"),
    point(
        "key, a step back", place={"x": 0.2, "y": 0.7, "z": 1.2}, lights=["key"], receptor="dome"
    ),
    point("key, from behind", facing="backdrop", lights=["key"]),
    point("fill, from above", facing="up", lights=["fill"]),
]


def sitting_of(lights: list[dict[str, Any]], **sections: Any) -> dict[str, Any]:
    """Return the sections of a sitting with lights of stated powers at a stated aperture."""
    camera = {"f_number": 5.6, "aim_height": AXIS_M}
    return {"lights": lights, "camera": camera, "date": "2026-05-30", **sections}


def planned_of(document: dict[str, Any]) -> Plan:
    """Return the plan of such a sitting."""
    return check(settled(NORA, **document))


def shown_by(truth: dict[str, Any], points: list[dict[str, Any]]) -> dict[str, str]:
    """Return what a meter shows, to its tenths, if a set is in truth as stated."""
    plan = planned_of(truth | {"meter_points": points})
    return {p["id"]: reading_of(plan, p["id"]).expected for p in points}


def with_shown(
    document: dict[str, Any], points: list[dict[str, Any]], shown: dict[str, str]
) -> dict[str, Any]:
    """Return a sitting with these readings typed in."""
    return document | {"meter_points": [p | {"reading": shown[p["id"]]} for p in points]}
