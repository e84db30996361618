"""What the tests of the light engine share: both engines, stored cases, worlds at random."""

from __future__ import annotations

import importlib.util
import json
from dataclasses import replace
from pathlib import Path

import numpy as np

from kinlight.geometry.solids import ellipsoid, holds_points, limb, together
from kinlight.geometry.vectors import UP, unit
from kinlight.light import rays
from kinlight.light.emitter import Emitter, Grid, octagon, rectangle, round_front
from kinlight.light.engine import compiled_engine
from kinlight.light.world import Being, Coat, Room, World, receivers, sheet

HAS_NUMBA = importlib.util.find_spec("numba") is not None
ENGINES = {"plain": rays} | ({"compiled": compiled_engine()} if HAS_NUMBA else {})
BOX_BEHIND_M = 0.0005
ALONE = World()


def stored(name):
    """Return the cases of a data file by their ids."""
    text = (Path(__file__).parent / "data" / f"{name}.json").read_text()
    return {case["id"]: case for case in json.loads(text)["cases"]}


def front_of(told):
    """Return the front of a stored geometry."""
    for kind in ("panel", "strip"):
        if p := told.get(kind):
            front = rectangle(p["centre"], p["normal"], width_m=p["w"], height_m=p["h"])
            cells = Grid("egg-crate", told["cell_w"], told["depth"]) if kind == "strip" else None
            return replace(front, grid=cells)
    if p := told.get("octagon"):
        return octagon(p["centre"], p["normal"], across_corners_m=p["across_corners"])
    p = told["disk"]
    return round_front(p["centre"], p["normal"], diameter_m=p["diameter"])


def world_of(told, front):
    """Return what stands in a stored geometry; in a room the front has its black box."""
    beings, sheets, room = (), (), None
    if r := told.get("reflector"):
        coat = Coat(r["rho"])
        sheets = (
            sheet("r", r["centre"], r["normal"], width_m=r["w"], height_m=r["h"], front=coat),
        )
    if s := told.get("sphere"):
        beings = (black_ball(s["centre"], s["radius"]),)
    if r := told.get("room"):
        sheets = (box_of(front),)
        room = Room(tuple(r["lo"]), tuple(r["hi"]), (r["rho"],) * 6)
    return World(beings, sheets, room)


def box_of(front):
    """Return the black box of a rectangular front."""
    sides = np.linalg.norm(np.diff(front.polygon_m[:3], axis=0), axis=1)
    at = front.centre_m - BOX_BEHIND_M * front.normal
    return sheet("box", at, front.normal, width_m=sides[0], height_m=sides[1])


def black_ball(centre_m, radius_m):
    """Return somebody who is a black ball."""
    ball = ellipsoid("head", centre_m, np.eye(3), [radius_m] * 3)
    return Being("ball", ball, 0.0, 0.0, 0.0, np.array([0.0, -1, 0]), UP)


def receiver_of(told):
    """Return the receiver of a stored geometry."""
    return receivers([told["P"]], told.get("n", told.get("dome_axis")), "dome_axis" in told)


def dense(exchange):
    """Return the exchange areas of patches as a full matrix [m2]."""
    count = len(exchange.start) - 1
    full = np.zeros((count, count))
    full[np.repeat(np.arange(count), np.diff(exchange.start)), exchange.other] = exchange.area_m2
    return full


def seen_of(gather, around):
    """Return what receivers get per unit of what leaves each patch, shape (n, m) [-]."""
    seen = np.zeros((len(gather.hits), len(around.patches)))
    row, ray = np.nonzero(gather.hits >= 0)
    np.add.at(seen, (row, gather.hits[row, ray]), gather.each[row])
    for side, tiles in zip(around.tiles, gather.tiles, strict=True):
        seen[:, side.whole] = 0.0
        seen[:, side.patches] = tiles
    return seen


def form_of(around):
    """Return what falls on each patch per unit of what leaves each, shape (m, m) [-]."""
    area = around.patches.area_m2
    return dense(around.exchange) / np.where(area > 0, area, 1.0)[:, None]


def back_of(around):
    """Return what each patch sends on next per unit of what leaves each, shape (m, m) [-]."""
    patches, form = around.patches, form_of(around)
    return patches.reflectance[:, None] * form + patches.passed[:, None] * form[patches.partner]


def someone(rng, x, y):
    """Return somebody of a few rounded parts who stands about a place."""
    tall = rng.uniform(1.0, 1.9)
    axes = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    head = ellipsoid("head", (x, y, tall - 0.12), axes, rng.uniform(0.07, 0.13, 3))
    chest = limb("chest", (x, y, 0.55 * tall), (x, y, 0.75 * tall), radius_m=0.16)
    hand = (x + rng.uniform(-0.5, 0.5), y - 0.3, rng.uniform(0.6, 1.4))
    arm = limb("lower arm", (x + 0.2, y, 0.7 * tall), hand, radius_m=0.04)
    tones = rng.uniform(0, 0.8, 3)
    facing = unit(rng.normal(size=3))
    return Being("someone", together([head, chest, arm]), *tones, facing, UP)


def some_sheet(rng, shape):
    """Return a sheet somewhere beside the middle, matt, glossy, letting light by or black."""
    at = np.array([*rng.uniform(-1.4, 1.4, 2), rng.uniform(0.8, 2.0)])
    back, front = rng.uniform(0, 0.5, 2)
    kind = rng.integers(3)
    return sheet(
        f"sheet {rng.integers(1000)}", at, rng.normal(size=3), width_m=rng.uniform(0.3, 1.4),
        height_m=rng.uniform(0.3, 1.4), shape=shape,
        front=Coat(front if kind else 0.0, gloss=rng.uniform() if kind == 2 else 0.0,
                   roughness=rng.uniform(0.1, 1)),
        back=Coat(back if kind else 0.0), transmittance=0.4 if kind == 1 else 0.0,
        tile_m=0.5, near=bool(rng.integers(2)),
    )  # fmt: skip


def some_lamps(rng):
    """Return a lamp of each kind, toward the middle."""

    def placed(make, **size):
        at = np.array([*(rng.uniform(1.6, 2.2, 2) * rng.choice([-1, 1], 2)), rng.uniform(0.5, 2.5)])
        return make(at, np.array([0, 0, 1.2]) + rng.normal(size=3) * 0.3 - at, **size)

    return (
        placed(rectangle, width_m=0.9, height_m=0.6),
        replace(placed(octagon, across_corners_m=1.2), edge_stops=rng.uniform(0, 2)),
        replace(placed(round_front, diameter_m=0.6), beam=rng.uniform(1, 6)),
        replace(placed(rectangle, width_m=0.3, height_m=0.9), grid=Grid("egg-crate", 0.05, 0.06)),
        replace(placed(rectangle, width_m=0.6, height_m=0.6), grid=Grid("honeycomb", 0.02, 0.03)),
        Emitter(placed(octagon, across_corners_m=0.8).polygon_m[[0, 2, 5]]),
    )


def some_world(seed):
    """Return people, sheets of all shapes and a room, lamps of all kinds, and receivers."""
    rng = np.random.default_rng(seed)
    beings = tuple(someone(rng, x, 0.3 * x) for x in rng.uniform(-1, 1, rng.integers(1, 4)))
    sheets = tuple(some_sheet(rng, s) for s in ("rectangle", "octagon", "ellipse", "rectangle"))
    room = Room((-2.6, -2.8, 0), (2.9, 2.6, 2.8), tuple(rng.uniform(0.05, 0.8, 6)))
    points = np.column_stack([rng.uniform(-1.5, 1.5, (80, 2)), rng.uniform(0.2, 2.2, 80)])
    inside = holds_points(together([b.solids for b in beings]), points).any(axis=1)
    points = points[~inside][:40]
    at = receivers(points, rng.normal(size=(40, 3)), rng.random(40) < 0.3)
    return World(beings, sheets, room), some_lamps(rng), at
