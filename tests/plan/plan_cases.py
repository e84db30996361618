"""Small sittings the plan tests start from, invented here, and short ways to look into a plan."""

from __future__ import annotations

import functools
import json
from typing import Any

from kinlight.plan.check import check
from kinlight.plan.checks import Check
from kinlight.plan.model import PicturePlan, Plan
from kinlight.plan.settle.settle import settle
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse

IDA: dict[str, Any] = {"name": "Ida", "age": 4}
NORA: dict[str, Any] = {"name": "Nora", "age": 36}
TOM: dict[str, Any] = {"name": "Tom", "age": 41}
BABY: dict[str, Any] = {"name": "Bo", "age": "6 months"}
TODDLER: dict[str, Any] = {"name": "Kim", "age": "15 months"}
TWO: dict[str, Any] = {"name": "two", "people": ["Nora", "Ida"]}

BLACK_ROOM: dict[str, Any] = {
    "wall_reflectance": 0,
    "ceiling_reflectance": 0,
    "floor_reflectance": 0,
}
BLACK: dict[str, Any] = {"room": BLACK_ROOM, "backdrop": {"reflectance": 0}}
"""A room and a backdrop that send nothing back, where the laws of direct light hold."""


def light(name: str, role: str, x: float, y: float, z: float, **fields: Any) -> dict[str, Any]:
    """Return a strobe in its place."""
    return {"id": name, "role": role, "place": {"x": x, "y": y, "z": z}, **fields}


def read(*people: dict[str, Any], **sections: Any) -> Sitting:
    """Return the sitting of some people and sections of the document."""
    return parse({"people": list(people), **sections})


def settled(*people: dict[str, Any], **sections: Any) -> Sitting:
    """Return such a sitting, settled."""
    return _settled(json.dumps({"people": list(people), **sections}))


@functools.cache
def _settled(document: str) -> Sitting:
    return settle(parse(json.loads(document)))


def planned(*people: dict[str, Any], **sections: Any) -> Plan:
    """Return such a sitting, settled and checked."""
    return check(settled(*people, **sections))


def changed(sitting: Sitting, section: str, **values: Any) -> Sitting:
    """Return a settled sitting with fields of a section changed by hand."""
    part = getattr(sitting, section).with_stated(**values)
    result: Sitting = sitting.with_stated(**{section: part})
    return result


def changed_picture(sitting: Sitting, key: str, **values: Any) -> Sitting:
    """Return a settled sitting with fields of one picture changed by hand."""
    pictures = tuple(p.with_stated(**values) if p.key == key else p for p in sitting.pictures)
    result: Sitting = sitting.with_stated(pictures=pictures)
    return result


def picture(plan: Plan, name: str = "") -> PicturePlan:
    """Return a picture of a plan; without a name, the only one."""
    found = [p for p in plan.pictures if name in ("", p.name)]
    assert len(found) == 1
    return found[0]


def named(found: PicturePlan, name: str) -> Check:
    """Return the check of that name."""
    checks = [c for c in found.checks if c.name == name]
    assert len(checks) == 1, [c.name for c in found.checks]
    return checks[0]


def failing(plan: Plan) -> set[str]:
    """Return the names of the checks that fail in a picture to be made."""
    return {c.name for p in plan.to_make for c in p.checks if c.verdict == "fails"}
