"""What photographers' textbooks say of light, asked of the engine as a whole."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from lit_worlds import ALONE, ENGINES
from panels import FACING

from kinlight.light.emitter import octagon, rectangle, round_front
from kinlight.light.transport import illuminance
from kinlight.light.world import Coat, World, receivers, sheet


@pytest.fixture(params=list(ENGINES))
def engine(request):
    """Each of the engines."""
    return ENGINES[request.param]


def light(front, engine, point=(0, 0, 0), normal=(0, 1, 0), dome=False, world=ALONE):
    """Return all the light of one front at one receiver."""
    at = receivers([point], normal, dome)
    return float(illuminance(world, [front], at, engine=engine).total[0, 0])


def box(distance_m, facing=FACING, side_m=0.9):
    """Return a square softbox on the y axis."""
    return rectangle((0, distance_m, 0), facing, width_m=side_m, height_m=side_m)


def test_twice_as_far_costs_a_softbox_less_than_two_stops(engine):
    """1.880 stop from 1.5 to 3 m, 1.752 from 1 to 2 m (C-11; findings, section 2 a), not 2."""
    assert math.log2(light(box(1.5), engine) / light(box(3.0), engine)) == pytest.approx(
        1.880, abs=0.0005
    )
    assert math.log2(light(box(1.0), engine) / light(box(2.0), engine)) == pytest.approx(
        1.752, abs=0.0005
    )


@pytest.mark.parametrize(
    ("angle_deg", "distance_m", "stops"),
    [
        (20, 1.5, -0.057),  # quadrature and path tracer, light findings, section 2 b
        (40, 1.5, -0.264),
        (60, 1.5, -0.766),
        (20, 2.0, -0.070),
        (40, 2.0, -0.311),
        (60, 2.0, -0.862),
    ],
)
def test_feathering_costs_less_than_one_thinks(angle_deg, distance_m, stops, engine):
    """A box turned aside, its middle still facing the receiver."""
    t = math.radians(angle_deg)
    turned = box(distance_m, (math.sin(t), -math.cos(t), 0))
    loss = math.log2(light(turned, engine) / light(box(distance_m), engine))
    assert loss == pytest.approx(stops, abs=0.0005)


@pytest.mark.parametrize(("distance_m", "ratio"), [(1.0, 1.029), (1.5, 1.014), (3.0, 1.004)])
def test_a_dome_reads_more_of_a_near_box_than_a_flat_disc(distance_m, ratio, engine):
    """Facing it; findings, section 4, three decimals."""
    flat = light(box(distance_m), engine)
    assert light(box(distance_m), engine, dome=True) / flat == pytest.approx(ratio, abs=5e-4)


@pytest.mark.parametrize(("distance_m", "ratio"), [(1.0, 0.5143), (1.5, 0.5069), (3.0, 0.5018)])
def test_a_dome_turned_side_on_reads_half(distance_m, ratio, engine):
    """Of what it reads facing the box, and a little more near by: findings, section 4."""
    facing, aside = (
        light(box(distance_m), engine, normal=n, dome=True) for n in ((0, 1, 0), (1, 0, 0))
    )
    assert aside / facing == pytest.approx(ratio, abs=1e-4)


# --- hot in the middle ---


def hot(distance_m, edge_stops, diameter_m=1.0):
    """Return a round front that is darker at its rim by some stops."""
    front = round_front((0, distance_m, 0), FACING, diameter_m=diameter_m)
    return replace(front, edge_stops=edge_stops)


def hot_by_quadrature(distance_m, edge_stops, radius_m=0.5):
    """Return the light of a disk on its axis: by Gauss over its rings, and the mean over it.

    A ring of radius r gives 2 r h^2 / (r^2 + h^2)^2 dr of its exitance, 2^(-stops (r/R)^2) of the
    middle's, whose mean over the disk is (1 - 2^-stops) / (stops ln 2).
    """
    r, weight = np.polynomial.legendre.leggauss(40)
    r, weight = (r + 1) / 2 * radius_m, weight / 2 * radius_m
    bright = 2.0 ** (-edge_stops * (r / radius_m) ** 2)
    mean = (1 - 2.0**-edge_stops) / (edge_stops * math.log(2))
    given = 2 * r * distance_m**2 / (r**2 + distance_m**2) ** 2
    return float(weight @ (given * bright) / mean)


@pytest.mark.parametrize("edge_stops", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("distance_m", [0.5, 1.0, 2.0, 8.0])
def test_a_hot_middle_counts_near_by(distance_m, edge_stops, engine):
    """On axis of a 1 m disk from half a metre on, against the sum over its rings: 0.01 stop.

    128 points stand for the front; the rim of the 24-sided polygon is 0.6 % wider than the disk.
    """
    found = light(hot(distance_m, edge_stops), engine)
    assert abs(math.log2(found / hot_by_quadrature(distance_m, edge_stops))) < 0.01


def test_a_hot_middle_keeps_the_mean(engine):
    """Far away it does not show: within 0.005 stop of an even front; near by it does."""
    even = round_front((0, 40, 0), FACING, diameter_m=1.0)
    for edge_stops in (0.5, 1.0, 2.0):
        far = light(hot(40, edge_stops), engine) / light(even, engine)
        assert abs(math.log2(far)) < 0.005
    near = [light(hot(0.5, edge_stops), engine) for edge_stops in (0.0, 0.5, 1.0, 2.0)]
    assert near == sorted(near)
    assert near[-1] > 1.15 * near[0]


def test_a_hot_middle_leaves_the_rim_darker(engine):
    """Straight before the rim it is darker than an even front, before the middle brighter."""
    even = octagon((0, 0.3, 0), FACING, across_corners_m=1.2)
    dished = replace(even, edge_stops=2.0)
    for x, brighter in ((0.0, True), (0.5, False)):
        pair = [light(front, engine, (x, 0, 0)) for front in (even, dished)]
        assert (pair[1] > 1.05 * pair[0]) is brighter
        assert (pair[1] < 0.95 * pair[0]) is not brighter


# --- beams ---


@pytest.mark.parametrize("beam", [1.0, 2.0, 4.0, 8.0])
def test_a_narrower_beam_is_brighter_ahead_and_darker_aside(beam, engine):
    """A small front far off: (n + 1)/2 of a matt one on axis, cos^(n-1) of that at an angle."""
    for angle_deg in (0, 20, 45, 70):
        t = math.radians(angle_deg)
        facing = (math.sin(t), -math.cos(t), 0)
        matt = box(30, facing, 0.3)
        share = light(replace(matt, beam=beam), engine) / light(matt, engine)
        assert share == pytest.approx((beam + 1) / 2 * math.cos(t) ** (beam - 1), rel=2e-3)


@pytest.mark.parametrize("beam", [1.0, 2.0, 4.0, 8.0])
@pytest.mark.parametrize("edge_stops", [0.0, 1.5])
def test_no_beam_or_profile_makes_light(beam, edge_stops):
    """Over a hemisphere about it everything adds up to area times exitance, within 0.3 %."""
    front = replace(
        rectangle((0, 0, 0), (0, 1, 0), width_m=0.4, height_m=0.6), beam=beam, edge_stops=edge_stops
    )
    count, radius_m = 4000, 6.0
    y = (np.arange(count) + 0.5) / count
    around, level = np.arange(count) * np.pi * (3 - math.sqrt(5)), np.sqrt(1 - y**2)
    out = np.stack([level * np.cos(around), y, level * np.sin(around)], axis=1)
    falls = illuminance(ALONE, [front], receivers(radius_m * out, -out)).direct.mean()
    assert falls * 2 * math.pi * radius_m**2 == pytest.approx(front.area_m2, rel=0.003)


# --- reflectors ---


def test_a_white_reflector_fills_less_the_further_off_it_stands():
    """Beside a face: nearer is brighter, and black fills nothing."""
    lamp = rectangle((-1.2, 1.2, 0.5), (1.2, -1.2, -0.5), width_m=0.9, height_m=0.9)

    def fill(distance_m, coat):
        held = sheet("r", (distance_m, 0.2, 0), (-1, 0, 0), width_m=1, height_m=1.5, front=coat)
        at = receivers([(0, 0, 0)], (1, 0, 0))
        return illuminance(World(sheets=(held,)), [lamp], at).total[0, 0]

    found = [fill(d, Coat(0.85)) for d in (0.5, 0.8, 1.2, 2.0)]
    assert found == sorted(found, reverse=True)
    assert found[-1] > 0 == fill(2.0, Coat(0.0))
