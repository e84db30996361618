from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.geometry.vectors import frame, unit
from kinlight.light.emitter import octagon, rectangle, round_front
from kinlight.light.polygon import area_vector_m2, dome_factor, flat_factor

CASES = json.loads((Path(__file__).parent / "data" / "unobstructed_cases.json").read_text())[
    "cases"
]
ORIGIN = np.zeros((1, 3))
TOWARD = np.array([0.0, 1.0, 0.0])
FACING = np.array([0.0, -1.0, 0.0])

lengths = st.floats(0.1, 2.0)
coordinates = st.floats(-1.5, 1.5)
angles = st.floats(0.0, 360.0)


@st.composite
def directions(draw):
    """Directions all over the sphere."""
    z, azimuth = draw(st.floats(-1, 1)), math.radians(draw(angles))
    level = math.sqrt(1 - z * z)
    return np.array([level * math.cos(azimuth), level * math.sin(azimuth), z])


def box(distance, *, size=0.9, direction=FACING):
    return rectangle((0, distance, 0), direction, width_m=size, height_m=size).polygon_m


def one(factor, normal, polygon, point=(0, 0, 0)):
    return float(factor([point], normal, polygon)[0])


def c11(a, b, c):
    """Parallel rectangle a x b seen from under its corner at distance c: Howell C-11."""
    x, y = a / c, b / c
    rx, ry = math.sqrt(1 + x * x), math.sqrt(1 + y * y)
    return (x / rx * math.atan(y / rx) + y / ry * math.atan(x / ry)) / (2 * math.pi)


def c12(a, b, c):
    """Perpendicular rectangle, a along the element's normal, b across, c away: Howell C-12."""
    x, y = a / b, c / b
    r = math.hypot(x, y)
    return (math.atan(1 / y) - y / r * math.atan(1 / r)) / (2 * math.pi)


def c21(radius, distance):
    """Disk straight ahead: Howell C-21."""
    return radius**2 / (distance**2 + radius**2)


# Published and independent values


@pytest.mark.parametrize(
    ("sides", "value"),
    [
        ((1, 1, 1), 0.1385316),  # computed in facts.md section 3: C-11 equals 2-D quadrature
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
        ((1, 1, 1), 0.0557342),  # computed in facts.md section 3: C-12 equals quadrature
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
        (0.9, 0.23946, 0.752),  # computed in facts.md section 3, from C-11
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
        (20, 1.5, -0.057),  # quadrature and path tracer, findings/light.md section 2 b
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


# Laws


@settings(max_examples=60, deadline=None)
@given(point=st.tuples(*[st.floats(-0.95, 0.95)] * 3), normal=directions())
def test_a_closed_room_of_unit_exitance_gives_unit_illuminance(point, normal):
    """Six inward walls: 1 on a flat receptor whatever it faces, 2 on a dome (whole sphere)."""
    walls = [sign * axis for axis in np.eye(3) for sign in (1.0, -1.0)]
    polygons = [rectangle(-w, w, width_m=2, height_m=2).polygon_m for w in walls]
    assert sum(one(flat_factor, normal, p, point) for p in polygons) == pytest.approx(1, abs=1e-9)
    assert sum(one(dome_factor, normal, p, point) for p in polygons) == pytest.approx(2, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(width=lengths, height=lengths, normal=directions())
def test_far_away_light_falls_with_the_square_of_distance(width, height, normal):
    """At 100 and 200 times its size, within the next order (size / distance)^2."""
    size = max(width, height)
    near = rectangle((0, 100 * size, 0), FACING, width_m=width, height_m=height).polygon_m
    far = rectangle((0, 200 * size, 0), FACING, width_m=width, height_m=height).polygon_m
    if normal[1] > 0.05:
        assert one(flat_factor, normal, near) / one(flat_factor, normal, far) == pytest.approx(
            4, rel=1e-3
        )
    assert one(dome_factor, TOWARD, near) / one(dome_factor, TOWARD, far) == pytest.approx(
        4, rel=1e-3
    )


@settings(max_examples=40, deadline=None)
@given(width=lengths, height=lengths, distance=st.floats(0.2, 10))
def test_on_axis_a_panel_gives_less_than_its_point_law(width, height, distance):
    """No extended panel beats A / (pi d^2)."""
    panel = rectangle((0, distance, 0), FACING, width_m=width, height_m=height).polygon_m
    assert one(flat_factor, TOWARD, panel) < width * height / (math.pi * distance**2)


@settings(max_examples=60, deadline=None)
@given(
    share=st.floats(0.05, 0.95),
    point=st.tuples(coordinates, st.floats(-1, 0.9), coordinates),
    normal=directions(),
    direction=directions(),
)
def test_parts_of_a_panel_add_up_to_the_whole(share, point, normal, direction):
    """Split along a line: both receptors see the sum, wherever they are."""
    whole = rectangle((0, 1, 0), direction, width_m=0.9, height_m=0.6).polygon_m
    low, high = whole[0] + share * (whole[1] - whole[0]), whole[3] + share * (whole[2] - whole[3])
    parts = [np.array([whole[0], low, high, whole[3]]), np.array([low, whole[1], whole[2], high])]
    for factor in (flat_factor, dome_factor):
        total = sum(one(factor, normal, part, point) for part in parts)
        assert total == pytest.approx(one(factor, normal, whole, point), abs=1e-10)


@settings(max_examples=40, deadline=None)
@given(x=coordinates, z=coordinates, normal=directions())
def test_a_mirrored_receiver_gets_the_same_light(x, z, normal):
    """Left and right of a panel are alike."""
    mirror = np.array([-1.0, 1.0, 1.0])
    for factor in (flat_factor, dome_factor):
        value = one(factor, normal, box(1.5), (x, 0, z))
        assert one(factor, normal * mirror, box(1.5), (-x, 0, z)) == pytest.approx(value, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(direction=directions(), normal=directions(), point=st.tuples(*[coordinates] * 3))
def test_turning_and_shifting_everything_changes_nothing(direction, normal, point):
    """The same scene in another place and attitude."""
    right, up = frame(direction)
    turn = np.stack([right, direction, up])  # carries x, y, z there
    shift = np.array([3.0, -2.0, 1.0])
    for factor in (flat_factor, dome_factor):
        value = one(factor, normal, box(1.7), point)
        moved = one(factor, normal @ turn, box(1.7) @ turn + shift, point @ turn + shift)
        assert moved == pytest.approx(value, abs=1e-10)


@settings(max_examples=60, deadline=None)
@given(point=st.tuples(coordinates, st.floats(-1, 0.99), coordinates), normal=directions())
def test_a_dome_never_reads_less_than_a_flat_receptor(point, normal):
    """(1 + cos t)/2 is at least cos t, and both stay within their bounds."""
    flat, dome = (one(f, normal, box(1.0), point) for f in (flat_factor, dome_factor))
    assert 0 <= flat <= 1
    assert flat <= dome + 1e-12
    assert dome <= 2


@settings(max_examples=40, deadline=None)
@given(point=st.tuples(coordinates, st.floats(-1, 0.9), coordinates), axis=directions())
def test_opposite_domes_together_see_the_whole_solid_angle(point, axis):
    """The two weights add to 1, so the readings do not depend on the axis."""
    both = one(dome_factor, axis, box(1.0), point) + one(dome_factor, -axis, box(1.0), point)
    other = one(dome_factor, TOWARD, box(1.0), point) + one(dome_factor, FACING, box(1.0), point)
    assert both == pytest.approx(other, rel=1e-9)


def test_two_panels_exchange_light_in_both_directions_alike():
    """Reciprocity: area x mean factor is the same either way (Gauss points over each panel)."""
    a = rectangle((0, 0, 0), (0.2, 1, 0.1), width_m=0.8, height_m=0.5)
    b = rectangle((0.3, 2, 0.2), (-0.4, -1, 0), width_m=1.1, height_m=0.7)
    nodes, weights = np.polynomial.legendre.leggauss(12)
    s, t = (axis.ravel()[:, None] for axis in np.meshgrid(*[(nodes + 1) / 2] * 2))
    share = np.outer(weights, weights).ravel() / 4

    def mean_factor(at, of):
        p = at.polygon_m
        points = p[0] + s * (p[1] - p[0]) + t * (p[3] - p[0])
        return share @ flat_factor(points, at.normal, of.polygon_m)

    assert a.area_m2 * mean_factor(a, b) == pytest.approx(b.area_m2 * mean_factor(b, a), rel=1e-9)


# Edges


@pytest.mark.parametrize("factor", [flat_factor, dome_factor])
@pytest.mark.parametrize("point", [(0, 1.5, 0), (3, 1.5, 0), (0.45, 1.5, 0.45), (0, 1.6, 0)])
def test_in_the_plane_and_behind_a_panel_there_is_exactly_no_light(factor, point):
    """In the front, beside it, on its corner, behind it."""
    assert one(factor, TOWARD, box(1.5), point) == 0
    assert one(factor, FACING, box(1.5), point) == 0


def test_in_the_plane_of_a_turned_panel_there_is_exactly_no_light():
    """Rounding of a turned plane does not count as being in front."""
    panel = rectangle((0.3, 1.5, 0.7), (0.3, -0.8, -0.2), width_m=0.9, height_m=0.6)
    edge = panel.polygon_m[1] - panel.polygon_m[0]
    points = panel.centre_m + np.linspace(-3, 3, 7)[:, None] * edge
    assert (flat_factor(points, FACING, panel.polygon_m) == 0).all()
    assert (dome_factor(points, FACING, panel.polygon_m) == 0).all()


def test_a_receptor_facing_away_gets_exactly_nothing_but_a_dome_sees_behind_itself():
    """All of the panel under the horizon."""
    assert one(flat_factor, FACING, box(1.5)) == 0
    assert one(dome_factor, FACING, box(1.5)) > 0


def test_a_corner_on_the_horizon_is_no_trouble():
    """Edges and collinear corners lying in the horizon give half of a symmetric panel's light."""
    corners = [(-1, 1, -1), (0, 1, -1), (1, 1, -1), (1, 1, 0), (1, 1, 1), (-1, 1, 1), (-1, 1, 0)]
    upright = one(flat_factor, (0, 0, 1), np.array(corners, dtype=float))
    assert upright == pytest.approx(2 * c12(1, 1, 1), rel=1e-12)
    for turn_deg in np.linspace(-1e-10, 1e-10, 21):  # through the rounding of the horizon
        t = math.radians(turn_deg)
        tilted = one(flat_factor, (math.sin(t), 0, math.cos(t)), np.array(corners, dtype=float))
        assert tilted == pytest.approx(upright, abs=1e-10)


def test_many_receivers_are_those_taken_one_by_one():
    """One row per receiver, with a normal each or one for all."""
    rng = np.random.default_rng(7)
    points, normals = rng.uniform(-1, 1, (50, 3)), rng.normal(size=(50, 3))
    for factor in (flat_factor, dome_factor):
        together = factor(points, normals, box(0.5))
        assert together.shape == (50,)
        singly = [one(factor, n, box(0.5), p) for p, n in zip(points, normals, strict=True)]
        assert together == pytest.approx(singly, abs=1e-15)
        shared = factor(points, TOWARD, box(0.5))
        assert shared == pytest.approx([one(factor, TOWARD, box(0.5), p) for p in points])


def test_length_of_a_normal_does_not_matter():
    """Directions are scaled to length one."""
    assert one(flat_factor, (0, 7, 0), box(2)) == one(flat_factor, TOWARD, box(2))


def test_area_points_to_the_shining_side():
    """Counter-clockwise as seen from there; the length is the area."""
    assert area_vector_m2(box(1e3)) == pytest.approx(np.array([0, -0.81, 0]), abs=1e-9)
    assert area_vector_m2(box(1e3)[::-1]) == pytest.approx(np.array([0, 0.81, 0]), abs=1e-9)
