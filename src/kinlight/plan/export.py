"""The plan as JSON, for other programs."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
from typing import Any

import numpy as np

import kinlight
from kinlight.plan.model import Plan
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import plain
from kinlight.stage.scene import Scene


def plan_json(plan: Plan) -> str:
    """Return the plan as JSON text: every number in the unit its name ends in, inf as null."""
    document = {
        "written_by": f"kinlight {kinlight.__version__}",
        "holds": plan.holds,
        **_plain(plan),
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, Sitting):
        return plain(value)
    if isinstance(value, Scene):
        return {"figures": _plain(value.figures)}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = {f.name: _plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
        verdict = getattr(value, "verdict", None)
        return fields | ({"verdict": verdict} if "verdict" not in fields and verdict else {})
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, np.ndarray):
        return (
            [[round(x, 4) for x in row] for row in value.tolist()]
            if value.ndim == 2
            else [round(x, 4) for x in value.tolist()]
        )
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return {key: _plain(inner) for key, inner in value._asdict().items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, float | np.floating):
        return float(value) if math.isfinite(value) else None
    if isinstance(value, dt.datetime | dt.date | dt.time):
        return value.isoformat()
    return value
