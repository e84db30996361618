"""Stored results of the path tracer: a mark of the set they belong to, reading and comparing."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

FOLDER = Path(__file__).parent / "data"
COMMAND = "python tools/trace_referee.py"
STEP = 1e-7  # places and reflectances nearer than this are the same
DARK = 1 / 64
"""Points darker than this share of the brightest may be traced less exactly.

They count in no difference, unless the engine makes them brighter than that.
"""
NONE = 1e-12  # stands for no light at all, which has no stops
RULES = 1  # raise it when tests/light/tracer.py builds the same set in another way


@dataclass(frozen=True, eq=False)
class Stored:
    """What the tracer found: for unit exitance of each emitter, its standard error, of the sum too.

    `illuminance` and `error` have shape (n, k); `total_error` and `samples` (n,).
    """

    illuminance: np.ndarray
    error: np.ndarray
    total_error: np.ndarray
    samples: np.ndarray

    @property
    def total(self):
        """Illuminance of all emitters together, shape (n,)."""
        return self.illuminance.sum(axis=1)


def description(case):
    """Return everything the traced light depends on, as text."""
    world, points = case.world, case.receivers
    told = {
        "rules": RULES,
        "room": world.room and [world.room.low_m, world.room.high_m, world.room.reflectance],
        "beings": [
            [b.solids.centre_m, b.solids.axes, b.solids.radius_m, b.solids.straight, b.solids.part,
             b.clothes, b.skin, b.hair, b.facing, b.up]
            for b in world.beings
        ],
        "sheets": [
            [s.centre_m, s.right, s.up, s.half_m, s.shape, s.transmittance]
            + [[c.reflectance, c.gloss, c.roughness] for c in (s.front, s.back)]
            for s in world.sheets
        ],
        "emitters": [
            [e.polygon_m, e.beam, e.edge_stops]
            + [g and [g.kind, g.cell_m, g.depth_m, "with a skirt"] for g in (e.grid,)]
            for e in case.emitters
        ],
        "receivers": [points.points_m, points.normals, points.dome],
    }  # fmt: skip
    return json.dumps(_plain(told), separators=(",", ":"))


def _plain(value):
    """Return whole multiples of `STEP` for floats, lists for arrays and tuples."""
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return round(value / STEP) if isinstance(value, float) else value


def mark(case):
    """Return the hash by which a stored result knows its set."""
    return hashlib.sha256(description(case).encode()).hexdigest()


def path_of(name, folder=FOLDER):
    """Return where the result of a case is stored."""
    return folder / f"referee_{name}.json"


def write(case, found, how, folder=FOLDER):
    """Store what was found and how: six digits of each value, three of each error."""
    told = {
        "scene": case.name,
        "sha256": mark(case),
        **how,
        "samples": found.samples.tolist(),
        "illuminance": _rounded(found.illuminance.T, 6),
        "error": _rounded(found.error.T, 3),
        "total_error": _rounded(found.total_error, 3),
    }
    lines = [f"{json.dumps(k)}:{json.dumps(v, separators=(',', ':'))}" for k, v in told.items()]
    path_of(case.name, folder).write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")


def _rounded(values, digits):
    if np.ndim(values) > 1:
        return [_rounded(row, digits) for row in values]
    return [float(f"{v:.{digits}g}") for v in values]


def load(case, folder=FOLDER):
    """Return the stored result of a case; it must be there and belong to the set as it is now."""
    path = path_of(case.name, folder)
    again = f"trace it anew: {COMMAND} {case.name}"
    assert path.is_file(), f"nothing is stored for the set {case.name!r}; {again}"
    told = json.loads(path.read_text(encoding="utf-8"))
    assert told["sha256"] == mark(case), (
        f"the set {case.name!r} is no longer what was traced; {again}"
    )
    value, error = np.array(told["illuminance"]).T, np.array(told["error"]).T
    return Stored(value, error, np.array(told["total_error"]), np.array(told["samples"]))


# --- comparing ---


@dataclass(frozen=True, eq=False)
class Difference:
    """How the engine differs from the tracer, in stops (engine over tracer).

    `points` over the points that are bright enough to either; `heads` the means of heads by number.
    """

    points: np.ndarray
    heads: dict[int, float]

    @property
    def rms(self):
        """Root mean square over the points."""
        return float(np.sqrt(np.mean(self.points**2)))

    @property
    def mean(self):
        """Mean over the points, with its sign: below nothing where the engine is dark."""
        return float(self.points.mean())

    @property
    def worst_head(self):
        """The largest difference of a head's mean, with its sign."""
        return max(self.heads.values(), key=abs)


def bright(values, share=DARK):
    """Return which points are at least 1/64 as bright as the brightest, or another share of it."""
    return values >= share * values.max()


def compare(found, traced, head, share=DARK):
    """Return how (n,) values differ from traced ones, over the points that are bright enough.

    It is enough if one of the two says so, as a share of the brightest traced: light where there
    should be none counts as well as light that is missing. A head's mean is that of its
    illuminances, not of its stops.
    """
    lit = np.maximum(found, traced) >= share * traced.max()
    found, traced, head = (np.maximum(found, NONE)[lit], np.maximum(traced, NONE)[lit], head[lit])
    points = np.log2(found / traced)
    heads = {
        int(k): float(np.log2(found[head == k].mean() / traced[head == k].mean()))
        for k in np.unique(head)
        if k >= 0
    }
    return Difference(points, heads)
