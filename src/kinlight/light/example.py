"""A small set with one of everything, on which the engines are tried."""

from __future__ import annotations

import numpy as np

from kinlight.geometry.solids import ellipsoid, limb, together
from kinlight.geometry.vectors import UP
from kinlight.light.emitter import Emitter, Grid, octagon, rectangle
from kinlight.light.engine import Engine
from kinlight.light.transport import Light, illuminance
from kinlight.light.world import Being, Coat, Receivers, Room, World, receivers, sheet

TOWARD_CAMERA = np.array([0.0, -1.0, 0.0])


def example() -> tuple[World, tuple[Emitter, ...], Receivers]:
    """Return one person, three lamps, a silver sheet, a scrim and a flag in a room."""
    head = ellipsoid("head", (0, 0, 1.6), np.eye(3), (0.078, 0.098, 0.115))
    body = limb("chest", (0, 0, 1.3), (0, 0, 0.2), radius_m=0.17)
    person = Being("example", together([head, body]), 0.2, 0.35, 0.05, TOWARD_CAMERA, UP)
    silver = Coat(0.8, gloss=0.75, roughness=0.25)
    world = World(
        (person,),
        (
            sheet(
                "silver", (1.2, -0.4, 1.3), (-1.2, 0.4, 0.1), width_m=1, height_m=1.5, front=silver
            ),
            sheet(
                "scrim",
                (-1.0, -0.8, 1.5),
                (1.0, 0.8, 0),
                width_m=1,
                height_m=1,
                front=Coat(0.4),
                back=Coat(0.4),
                transmittance=0.5,
            ),
            sheet("flag", (-0.4, 0.8, 1.9), (0, -1, 0), width_m=0.4, height_m=0.4, shape="ellipse"),
        ),
        Room((-2.5, -4, 0), (2.5, 3, 3), (0.6, 0.6, 0.6, 0.6, 0.3, 0.8)),
    )
    key = rectangle((-1.5, -1.5, 2.0), (1.5, 1.5, -0.5), width_m=0.9, height_m=0.9)
    hot = octagon((1.5, -2.0, 1.9), (-1.5, 2.0, -0.3), across_corners_m=1.2)
    strip = rectangle((0.8, 1.5, 2.2), (-0.8, -1.5, -0.6), width_m=0.3, height_m=0.9)
    lamps = (
        key,
        Emitter(hot.polygon_m, beam=2.0, edge_stops=1.0),
        Emitter(strip.polygon_m, grid=Grid("egg-crate", 0.05, 0.05)),
        Emitter(strip.polygon_m, grid=Grid("honeycomb", 0.02, 0.03)),
    )
    points = [(0.0, -0.101, 1.58), (0.081, 0, 1.6), (0.0, 0.0, 1.717), (0.0, -0.14, 1.5)]
    normals = [(0, -1, 0), (1, 0, 0), (0, 0, 1), (0, -1, 0)]
    return world, lamps, receivers(points, normals, [False, False, False, True])


def worked(engine: Engine) -> Light:
    """Return the light of the example, reckoned by one engine."""
    world, lamps, at = example()
    return illuminance(world, lamps, at, engine=engine)
