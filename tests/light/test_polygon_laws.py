from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from panels import FACING, TOWARD, box, c12, one

from kinlight.geometry.vectors import frame
from kinlight.light.emitter import rectangle
from kinlight.light.polygon import area_vector_m2, dome_factor, flat_factor

lengths = st.floats(0.1, 2.0)
coordinates = st.floats(-1.5, 1.5)
angles = st.floats(0.0, 360.0)


@st.composite
def directions(draw):
    """Directions all over the sphere."""
    z, azimuth = draw(st.floats(-1, 1)), math.radians(draw(angles))
    level = math.sqrt(1 - z * z)
    return np.array([level * math.cos(azimuth), level * math.sin(azimuth), z])


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
    turn = np.stack([-right, direction, up])  # carries x, y, z there, without mirroring
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


@settings(max_examples=100, deadline=None)
@given(direction=directions())
def test_an_edge_of_many_corners_along_the_horizon_is_no_trouble(direction):
    """However the whole is turned, rounding lifts and sinks those corners; twice C-12 by hand."""
    along = [(x, 1, 0) for x in (-1, -0.6, -0.3, 0.2, 0.7, 1)]
    panel = np.array([*along, (1, 1, 1), (-1, 1, 1)], dtype=float)
    right, up = frame(direction)
    turn = np.stack([-right, direction, up])
    value = one(flat_factor, np.array([0, 0, 1.0]) @ turn, panel @ turn)
    assert value == pytest.approx(2 * c12(1, 1, 1), rel=1e-9)


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
