from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from panels import FACING, TOWARD, box, c12, one

from kinlight.geometry.vectors import unit
from kinlight.light.emitter import octagon, rectangle, round_front
from kinlight.light.polygon import dome_factor, flat_factor

CASES = json.loads((Path(__file__).parent / "data" / "unobstructed_cases.json").read_text())[
    "cases"
]


def c11(a, b, c):
    """Parallel rectangle a x b seen from under its corner at distance c: Howell C-11."""
    x, y = a / c, b / c
    rx, ry = math.sqrt(1 + x * x), math.sqrt(1 + y * y)
    return (x / rx * math.atan(y / rx) + y / ry * math.atan(x / ry)) / (2 * math.pi)


def c21(radius, distance):
    """Disk straight ahead: Howell C-21."""
    return radius**2 / (distance**2 + radius**2)


@pytest.mark.parametrize(
    ("sides", "value"),
    [
        (
            (1, 1, 1),
            0.1385316,
        ),  # computed in reference values, section 3: C-11 equals 2-D quadrature
        ((0.5, 0.5, 1), 0.0598641),
        ((1, 2, 1), 0.1673750),
        ((0.3, 0.6, 1.2), 0.0330913),
    ],
)
def test_rectangle_over_a_corner_has_the_textbook_factor(sides, value):
    """C-11 as formula (to rounding of doubles) and as seven printed digits."""
    a, b, c = sides
    corner = rectangle((a / 2, c, b / 2), FACING, width_m=a, height_m=b).polygon_m
    assert one(flat_factor, TOWARD, corner) == pytest.approx(c11(a, b, c), rel=1e-12)
    assert one(flat_factor, TOWARD, corner) == pytest.approx(value, abs=1e-7)


@pytest.mark.parametrize(
    ("sides", "value"),
    [
        ((1, 1, 1), 0.0557342),  # computed in reference values, section 3: C-12 equals quadrature
        ((1, 2, 1), 0.0686973),
        ((0.5, 1, 1.5), 0.0084352),
    ],
)
@pytest.mark.parametrize("sunk_m", [0.0, 0.7])
def test_rectangle_square_to_the_receiver_has_the_textbook_factor(sides, value, sunk_m):
    """C-12, also when the panel goes on under the receiver's horizon, which must not count."""
    a, b, c = sides
    wall = rectangle((b / 2, c, (a - sunk_m) / 2), FACING, width_m=b, height_m=a + sunk_m).polygon_m
    assert one(flat_factor, (0, 0, 1), wall) == pytest.approx(c12(a, b, c), rel=1e-12)
    assert one(flat_factor, (0, 0, 1), wall) == pytest.approx(value, abs=1e-7)


@pytest.mark.parametrize(
    ("radius_m", "height_m", "value", "tolerance"),
    [
        (0.5, 1.0, 0.2, 1e-9),  # Howell C-21, check value "exact"
        (0.6, 1.5, 0.137931, 1e-6),  # Howell C-21, six digits
    ],
)
def test_disk_straight_ahead_has_the_textbook_factor(radius_m, height_m, value, tolerance):
    """C-21, by a polygon of so many sides that its own error is below the tolerance."""
    disk = round_front((0, height_m, 0), FACING, diameter_m=2 * radius_m, sides=400).polygon_m
    assert one(flat_factor, TOWARD, disk) == pytest.approx(value, abs=tolerance)
    assert one(flat_factor, TOWARD, disk) == pytest.approx(c21(radius_m, height_m), abs=1e-9)


@pytest.mark.parametrize(
    ("distance_m", "factor", "share_of_point_law"),
    [
        (0.9, 0.23946, 0.752),  # computed in reference values, section 3, from C-11
        (1.5, 0.10237, 0.893),
        (2.0, 0.06039, 0.937),
        (3.0, 0.02781, 0.971),
        (4.5, None, 0.987),
    ],
)
def test_box_on_axis_falls_short_of_the_point_law(distance_m, factor, share_of_point_law):
    """A 0.9 m square box, as printed to five and three digits."""
    value = one(flat_factor, TOWARD, box(distance_m))
    if factor is not None:
        assert value == pytest.approx(factor, abs=5e-6)
    assert value / (0.81 / (math.pi * distance_m**2)) == pytest.approx(share_of_point_law, abs=5e-4)


def test_close_box_against_the_point_law():
    """A 0.9 m box at 0.9 m gives 0.7523 of the point law, -0.41 stop: check value from C-11."""
    share = one(flat_factor, TOWARD, box(0.9)) * math.pi
    assert share == pytest.approx(0.7523, abs=1e-4)
    assert math.log2(share) == pytest.approx(-0.41, abs=0.005)


def test_box_on_axis_as_another_program_has_it():
    """0.1023718 at 1.5 m, C-11 and pyviewfactor 1.1.0 alike (check value, tolerance 1e-7)."""
    assert one(flat_factor, TOWARD, box(1.5)) == pytest.approx(0.1023718, abs=1e-7)


def test_moving_a_box_from_one_and_a_half_to_three_metres_costs_less_than_two_stops():
    """3.680 times, 1.88 stops: check value from C-11, where the inverse square says 4 and 2."""
    drop = one(flat_factor, TOWARD, box(1.5)) / one(flat_factor, TOWARD, box(3.0))
    assert drop == pytest.approx(3.680, abs=0.001)
    assert math.log2(drop) == pytest.approx(1.880, abs=0.0005)


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
def test_feathering_costs_less_than_the_cosine(angle_deg, distance_m, stops):
    """A box turned away from a receiver that keeps facing its middle."""
    t = math.radians(angle_deg)
    feathered = box(distance_m, direction=(math.sin(t), -math.cos(t), 0))
    straight = one(flat_factor, TOWARD, box(distance_m))
    loss = math.log2(one(flat_factor, TOWARD, feathered) / straight)
    assert loss == pytest.approx(stops, abs=0.0005)
    assert loss > math.log2(math.cos(t))


def front_of(geometry, *, sides):
    """Return the polygon of a reference case."""
    if "panel" in geometry:
        p = geometry["panel"]
        return rectangle(p["centre"], p["normal"], width_m=p["w"], height_m=p["h"]).polygon_m
    if "octagon" in geometry:
        p = geometry["octagon"]
        return octagon(p["centre"], p["normal"], across_corners_m=p["across_corners"]).polygon_m
    p = geometry["disk"]
    return round_front(p["centre"], p["normal"], diameter_m=p["diameter"], sides=sides).polygon_m


def case_value(case, *, sides=240):
    """Return our value of a reference case."""
    geometry = case["geometry"]
    polygon = front_of(geometry, sides=sides)
    if "dome_axis" in geometry:
        return one(dome_factor, geometry["dome_axis"], polygon, geometry["P"])
    return one(flat_factor, geometry["n"], polygon, geometry["P"])


@pytest.mark.parametrize("case", CASES, ids=[c["id"] for c in CASES])
def test_reference_case_has_its_closed_form_value(case):
    """On axis, feathered, octagon, disk (by 240 sides) and dome, within each case's tolerance."""
    assert case_value(case) == pytest.approx(case["expected"], rel=case["rel_tol"])


TRACED = [c for c in CASES if "traced" in c]


@pytest.mark.parametrize("case", TRACED, ids=[c["id"] for c in TRACED])
def test_reference_case_agrees_with_a_path_tracer(case):
    """Within three standard errors of the traced value (the largest of these cases is 2.13)."""
    assert abs(case_value(case) - case["traced"]) < 3 * case["traced_se"]


DISKS = [c for c in CASES if "disk" in c["geometry"]]


@pytest.mark.parametrize("case", DISKS, ids=[c["id"] for c in DISKS])
def test_the_usual_sides_of_a_round_front_are_enough(case):
    """The default polygon is within 1e-5 stop of the disk, an unobstructed case's tolerance."""
    p = case["geometry"]["disk"]
    polygon = round_front(p["centre"], p["normal"], diameter_m=p["diameter"]).polygon_m
    value = one(flat_factor, case["geometry"]["n"], polygon, case["geometry"]["P"])
    assert abs(math.log2(value / case["expected"])) < 1e-5


@pytest.mark.parametrize(
    ("angle_deg", "response"),
    [(0, 1), (30, 0.9330127), (60, 0.75), (90, 0.5), (120, 0.25), (150, 0.0669873), (180, 0)],
)
def test_dome_weighs_a_distant_panel_by_a_cardioid(angle_deg, response):
    """(1 + cos t)/2, for a 0.1 m panel at 100 m; 4e-8 is its finite size (findings section 4)."""
    t = math.radians(angle_deg)
    axis = (math.sin(t), math.cos(t), 0)
    far = box(100.0, size=0.1)
    value = one(dome_factor, axis, far) / one(flat_factor, TOWARD, far)
    assert value == pytest.approx(response, abs=1e-7)


@pytest.mark.parametrize(("distance_m", "ratio"), [(1.0, 1.029), (1.5, 1.014), (3.0, 1.004)])
def test_dome_facing_a_near_box_reads_more_than_a_flat_receptor(distance_m, ratio):
    """Findings section 4, three decimals."""
    near = box(distance_m)
    value = one(dome_factor, TOWARD, near) / one(flat_factor, TOWARD, near)
    assert value == pytest.approx(ratio, abs=5e-4)


@pytest.mark.parametrize("dome", [False, True])
@pytest.mark.parametrize("normal", [(0.3, 0.2, 1), (1, 0.3, -0.2), (0.9, -0.3, 0.4)])
def test_polygon_formula_equals_summing_small_pieces(dome, normal):
    """Against a midpoint sum over 400 x 400 pieces; the cut horizon limits that to about 1e-4."""
    k = 400
    n = unit(normal)
    x, z = np.meshgrid(*[(np.arange(k) + 0.5) / k * 0.9 - 0.45] * 2)
    r = np.stack([x.ravel(), np.ones(k * k), z.ravel()], axis=-1)
    far = np.linalg.norm(r, axis=-1)
    cosine = r @ n / far
    response = (1 + cosine) / 2 if dome else np.maximum(cosine, 0)
    expected = (response * (r[:, 1] / far) / (math.pi * far**2)).sum() * (0.9 / k) ** 2
    factor = dome_factor if dome else flat_factor
    assert expected > 0.001
    assert one(factor, n, box(1.0)) == pytest.approx(expected, rel=1e-4)
