"""Small sittings the stage tests put on the stage."""

from __future__ import annotations

import math
from typing import Any

from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse

AIM_M = 1.2
BLACK_ROOM = {"wall_reflectance": 0, "ceiling_reflectance": 0, "floor_reflectance": 0}
"""A room in which light follows the plain laws: nothing sends it on."""


def staged(**sections: Any) -> Sitting:
    """Return a sitting in which everything a stage needs is stated, in a black room."""
    picture = {
        "name": "x",
        "people": ["Nora"],
        "orientation": "level",
        "focal_length": 50,
        "places": [{"person": "Nora", "posture": "standing"}],
    }
    camera = {
        "place": {"x": 0, "y": -4, "z": AIM_M},
        "aim_height": AIM_M,
        "f_number": 8,
        "focus_on": "Nora",
        "focus_in": "x",
        "lens": "zoom",
    }
    given: dict[str, Any] = {
        "people": [{"name": "Nora", "age": 36}],
        "pictures": [picture],
        "order": ["x"],
    }
    given |= {"room": BLACK_ROOM, "backdrop": {"reflectance": 0}} | sections
    given["camera"] = camera | sections.get("camera", {})
    return parse(given)


def lamp(x: float, y: float, z: float, **fields: Any) -> dict[str, Any]:
    """Return a key light in its place."""
    return {"id": "key", "role": "key", "place": {"x": x, "y": y, "z": z}, "power": 1, **fields}


def bearing_deg(v: Any) -> float:
    """Return the horizontal bearing of a vector, anticlockwise from +x [deg]."""
    return math.degrees(math.atan2(v[1], v[0]))
