from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from lit_worlds import ALONE, ENGINES, black_ball

from kinlight.geometry.vectors import unit
from kinlight.light.emitter import Grid, rectangle
from kinlight.light.transport import illuminance
from kinlight.light.world import Coat, World, receivers, sheet

MIRROR = Coat(0.8, gloss=1.0, roughness=0.3)
SMALL_M = 0.004


@pytest.fixture(params=list(ENGINES))
def engine(request):
    """Each of the engines."""
    return ENGINES[request.param]


def lobe_by_hand(into, out, roughness):
    """Return the lobe of Walter and others (2007) written out, about the normal (0, 1, 0) [1/sr].

    D = a^2 / (pi (cos^2 (a^2 - 1) + 1)^2); G1 = 2 / (1 + sqrt(1 + a^2 tan^2)); D G1 G1 / 4 cos cos.
    """
    a2, half = roughness**2, (into + out) / np.linalg.norm(into + out)
    facets = a2 / (math.pi * (half[1] ** 2 * (a2 - 1) + 1) ** 2)

    def unhidden(cosine):
        return 2 / (1 + math.sqrt(1 + a2 * (1 - cosine**2) / cosine**2))

    return facets * unhidden(into[1]) * unhidden(out[1]) / (4 * into[1] * out[1])


@pytest.mark.parametrize("roughness", [0.1, 0.3, 1.0])
@pytest.mark.parametrize(
    ("lamp_at", "eye_at"),
    [
        ((0.02, 1.5, 0), (-0.02, 1.2, 0)),
        ((0.9, 1.2, 0), (-0.8, 1.0, 0.1)),
        ((0.9, 1.2, 0.3), (0.5, 1.4, -0.6)),
        ((1.5, 0.6, 0), (-1.2, 0.8, 0.4)),
    ],
)
def test_a_small_lamp_in_a_small_mirror_is_as_the_formula_says(lamp_at, eye_at, roughness, engine):
    """By hand: lamp's light on the sheet x lobe x sheet as seen from the receiver.

    Lamp and sheet are 4 mm at more than a metre: directions differ by 0.003, a thirtieth of the
    narrowest lobe; within a hundredth. Flat, turned away a little, and a dome.
    """
    lamp_at, eye_at = np.array(lamp_at), np.array(eye_at)
    lamp = rectangle(lamp_at, -lamp_at, width_m=SMALL_M, height_m=SMALL_M)
    coat = replace(MIRROR, roughness=roughness)
    held = sheet("m", (0, 0, 0), (0, 1, 0), width_m=SMALL_M, height_m=SMALL_M, front=coat)
    into, out = unit(lamp_at), unit(eye_at)
    facing = unit(-out + np.array([0.3, 0.1, -0.2]))
    at = receivers([eye_at] * 3, [-out, facing, facing], [False, False, True])
    found = illuminance(World(sheets=(held,)), [lamp], at, engine=engine).bounced[:, 0]
    area = SMALL_M**2
    falls = area * into[1] / (math.pi * (lamp_at @ lamp_at))
    brightness = falls * 0.8 * lobe_by_hand(into, out, roughness)
    arrives = brightness * area * out[1] / (eye_at @ eye_at)
    turned = float(-out @ facing)
    assert found == pytest.approx(arrives * np.array([1, turned, (1 + turned) / 2]), rel=0.01)


def test_a_smooth_mirror_shows_the_lamp_behind_it():
    """Roughness 0.1 on a large sheet: nearly what the lamp's image would give, 0.8 of it.

    Averaged over 25 places, since 256 ways spread over two square metres find a narrow lobe here
    and there only; the lobe's width moves light about between the places, by a twentieth at most.
    """
    lamp = rectangle((0.8, 1.6, 0), (-0.6, -1.6, 0), width_m=0.9, height_m=0.9)
    image = rectangle((0.8, -1.6, 0), (-0.6, 1.6, 0), width_m=0.9, height_m=0.9)
    held = sheet("m", (0, 0, 0), (0, 1, 0), width_m=3, height_m=3,
                 front=replace(MIRROR, roughness=0.1), near=False)  # fmt: skip
    x, z = (a.ravel() for a in np.meshgrid(*[np.linspace(-0.3, 0.3, 5)] * 2))
    at = receivers(np.column_stack([x - 0.8, np.full(25, 1.6), z]), (0, -1, 0))
    found = illuminance(World(sheets=(held,)), [lamp], at).bounced.mean()
    expected = 0.8 * illuminance(ALONE, [image], at).direct.mean()
    assert found == pytest.approx(expected, rel=0.07)


@pytest.mark.parametrize("back", [False, True])
def test_what_stands_in_either_half_of_the_way_blocks_the_mirror(back, engine):
    """A ball between lamp and sheet, and one between sheet and receiver."""
    lamp = rectangle((0.8, 1.6, 0), (-0.8, -1.6, 0), width_m=0.3, height_m=0.3)
    turned = (0, -1 if back else 1, 0)
    side = {"back" if back else "front": MIRROR}
    held = sheet("m", (0, 0, 0), turned, width_m=0.3, height_m=0.3, **side)
    at = receivers([(-0.8, 1.6, 0)], (0.8, -1.6, 0))

    def light(*beings):
        return illuminance(World(beings, (held,)), [lamp], at, engine=engine).bounced[0, 0]

    free = light()
    assert free > 0
    assert light(black_ball((0.4, 0.8, 0), 0.4)) == 0
    assert light(black_ball((-0.4, 0.8, 0), 0.4)) == 0
    assert light(black_ball((0, 0.8, 1.5), 0.4)) == free


def test_the_other_side_of_a_mirror_is_dark(engine):
    """A lamp behind a sheet that is silver in front only gives nothing before it, nor behind."""
    held = sheet("m", (0, 0, 0), (0, 1, 0), width_m=0.6, height_m=0.6, front=MIRROR)
    lamp = rectangle((0.4, -1.5, 0), (-0.4, 1.5, 0), width_m=0.5, height_m=0.5)
    at = receivers([(-0.4, 1.5, 0), (-0.4, -1.5, 0)], [(0.4, -1.5, 0), (0.4, 1.5, 0)])
    assert (illuminance(World(sheets=(held,)), [lamp], at, engine=engine).bounced == 0).all()


@pytest.mark.parametrize("kind", ["egg-crate", "honeycomb"])
def test_a_grid_keeps_light_from_a_mirror_as_from_anything_else(kind, engine):
    """The sheet lies beyond the grid's cut-off: nothing; and on its axis: less than without."""
    held = sheet("m", (0, 0, 0), (0, 1, 0), width_m=0.6, height_m=0.6, front=MIRROR)
    at = receivers([(-0.8, 1.6, 0)], (0.8, -1.6, 0))

    def light(toward, grid):
        lamp = rectangle((0.8, 1.6, 0), toward, width_m=0.4, height_m=0.4)
        world = World(sheets=(held,))
        return illuminance(world, [replace(lamp, grid=grid)], at, engine=engine).bounced[0, 0]

    grid = Grid(kind, 0.02, 0.04)
    assert light((1, -0.3, 0), None) == 0 < light((-1, 0.2, 0), None)
    assert light((-1, 0.2, 0), grid) == 0
    straight = light((-0.8, -1.6, 0), None)
    assert 0.2 * straight < light((-0.8, -1.6, 0), grid) < 0.9 * straight


@pytest.mark.parametrize("shape", ["octagon", "ellipse"])
def test_a_mirror_is_as_large_as_its_shape(shape):
    """Far away and rough, light is in proportion to area: pi/4 of the square, or 0.8284 of it."""
    lamp = rectangle((3, 6, 0), (-3, -6, 0), width_m=0.5, height_m=0.5)
    at = receivers([(-3, 6, 0)], (3, -6, 0))
    rough = replace(MIRROR, roughness=1.0)
    square = sheet("m", (0, 0, 0), (0, 1, 0), width_m=1, height_m=1, front=rough)
    whole, part = (
        illuminance(World(sheets=(s,)), [lamp], at).bounced[0, 0]
        for s in (square, replace(square, shape=shape))
    )
    share = math.pi / 4 if shape == "ellipse" else 2 * (math.sqrt(2) - 1)
    assert part / whole == pytest.approx(share, abs=0.02)  # 256 points: see tools/choose_scrambling
