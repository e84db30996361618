"""Sittings in a black room with black people: light comes straight or not at all."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from plan_cases import BLACK_ROOM, planned

from kinlight.plan.faces import FaceReading
from kinlight.plan.model import PicturePlan, Plan

ROOM = BLACK_ROOM | {
    "width": 6,
    "length": 10,
    "ceiling": 3.2,
    "mark_from_back_wall": 4,
    "ambient": 0,
}
LENS_M = (0.0, -4.0, 1.4)
Q_LMS = 3000.0  # 100 J at 30 lm s/J, of which all leaves the front
F_NUMBER = 8.0


def dark(name: str, **fields: Any) -> dict[str, Any]:
    """Return an adult who sends no light on."""
    return {"name": name, "age": 36, "stature": 1.7, "skin": 0, "hair": 0, "clothes": 0} | fields


def bare(name: str, role: str, x: float, y: float, z: float, **fields: Any) -> dict[str, Any]:
    """Return a small matt front, 5 cm wide, at full power and aimed at a face, of `Q_LMS`."""
    return {
        "id": name,
        "role": role,
        "place": {"x": x, "y": y, "z": z},
        "aim": {"x": 0, "y": 0, "height": 1.55},
        "modifier": {"kind": "bare", "width": 0.05, "beam": 120, "transmission": 1},
        "energy": 100,
        "efficacy": 30,
        "power": 1,
    } | fields


def spot(person: str, x: float = 0.0, y: float = 0.0, **fields: Any) -> dict[str, Any]:
    """Return a standing place, facing straight to the front."""
    return {"person": person, "posture": "standing", "x": x, "y": y, "turned": 0} | fields


def shown(
    *people: dict[str, Any],
    lights: list[dict[str, Any]],
    places: list[dict[str, Any]] | None = None,
    **sections: Any,
) -> tuple[Plan, PicturePlan]:
    """Return the plan of one picture of these people in a black room, and that picture."""
    names = [p["name"] for p in people]
    where = places or [spot(n) for n in names]
    camera = {
        "place": dict(zip("xyz", LENS_M, strict=True)),
        "aim_height": LENS_M[2],
        "f_number": F_NUMBER,
        "iso": 100,
    }
    plan = planned(
        *people,
        lights=lights,
        pictures=[{"name": "x", "people": names, "places": where, "crop": "half length"}],
        room=ROOM | sections.pop("room", {}),
        backdrop={"reflectance": 0} | sections.pop("backdrop", {}),
        camera=camera | sections.pop("camera", {}),
        **sections,
    )
    return plan, plan.pictures[0]


def face(*people: dict[str, Any], lights: list[dict[str, Any]], **sections: Any) -> FaceReading:
    """Return how the first person's face is lit."""
    return shown(*people, lights=lights, **sections)[1].faces[0]


def point_lxs(found: PicturePlan, what: str, lamp: int, person: str | None = None) -> float:
    """Return by hand what a small matt lamp brings to a receiver nothing stands before.

    I = Q / pi straight ahead and falls with the cosine; E = I cos / d^2, or (1 + cos)/2 for a dome.
    """
    receiver = next(
        r for r in found.scene.receivers if r.what == what and person in (None, r.whose)
    )
    front = found.scene.lamps[lamp].emitter
    way = receiver.point_m - front.centre_m
    d = float(np.linalg.norm(way))
    leaves = float(way @ front.normal) / d
    arrives = -float(way @ receiver.normal) / d
    weight = (1 + arrives) / 2 if receiver.dome else max(arrives, 0.0)
    return Q_LMS / math.pi * leaves * weight / d**2


def stops_over_aperture(exposure_lxs: float, c: float) -> float:
    """Return how far light is over what a meter of constant C calls the aperture, N^2 = H S / C."""
    return math.log2(exposure_lxs * 100 / c / F_NUMBER**2)
