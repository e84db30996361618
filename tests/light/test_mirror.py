"""Where lights are mirrored: in a plane and in a convex sphere."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.mirror import flat_mirror_points_m, mirror_points_m, mirrored

FAR_CAMERA = np.array([0.0, -1000, 0])
PLACE = st.tuples(*[st.floats(-4, 4)] * 3).filter(lambda v: math.hypot(*v) > 0.3)


@pytest.mark.parametrize(
    ("radius_mm", "distance_mm", "magnification", "within"),
    [
        # College physics text, problem 25.59: 1.50 cm at 3.00 cm gives 0.167 cm, r 0.752 cm.
        (7.52, 30.0, 0.111, 0.0005),
        # Physics homework key: 30.0 cm, M 0.0130 gives r 7.90 mm.
        (7.90, 300.0, 0.0130, 0.00005),
    ],
)
def test_a_keratometers_magnification(radius_mm, distance_mm, magnification, within):
    """A small object before a cornea, seen from far; tolerances are the sources' rounding."""
    r, h = radius_mm / 1000, 1e-5
    light = [[h, -distance_mm / 1000, 0]]
    points, above = mirror_points_m([0, r, 0], r, FAR_CAMERA, light)
    assert above.all()
    assert points[0, 0] / h == pytest.approx(magnification, abs=within)


@given(
    v=st.tuples(*[st.floats(-2, 2)] * 3), n=st.tuples(*[st.floats(-2, 2)] * 3).filter(
        lambda x: math.hypot(*x) > 0.1
    )
)  # fmt: skip
@settings(max_examples=60)
def test_the_mirror_law(v, n):
    """What goes along the normal turns back, what goes along the mirror goes on; twice is none."""
    n = np.array(n) / math.hypot(*n)
    out = mirrored(v, n)
    assert out @ n == pytest.approx(-(np.array(v) @ n), abs=1e-9)
    assert np.cross(out, n) == pytest.approx(np.cross(v, n), abs=1e-9)
    assert mirrored(out, n) == pytest.approx(np.array(v), abs=1e-9)


@example(camera=(0.0, 1, 0), light=(0.0, -1, 0), radius=0.125)  # right behind
@example(camera=(-2.0, 0, 1e-9), light=(1.0, 0, 0), radius=0.125)  # nearly so
@example(camera=(0.0, 1, 0), light=(0.0, 2, 0), radius=0.125)  # right before
@given(camera=PLACE, light=PLACE, radius=st.floats(0.005, 0.2))
@settings(max_examples=150, deadline=None)
def test_the_way_in_and_the_way_out_make_one_angle(camera, light, radius):
    """The mirror law at the point found: the normal halves the two ways, within 1e-9."""
    points, above = mirror_points_m([0, 0, 0], radius, camera, [light])
    p = points[0]
    assert math.hypot(*p) == pytest.approx(radius, rel=1e-12)
    if above[0]:
        n = p / math.hypot(*p)
        ways = [(np.array(x) - p) / math.dist(x, p) for x in (camera, light)]
        assert ways[0] @ n == pytest.approx(ways[1] @ n, abs=1e-9)
        assert ways[0] + ways[1] == pytest.approx(2 * (ways[0] @ n) * n, abs=1e-9)
        assert ways[0] @ n > 0


@given(camera=PLACE, light=PLACE)
@settings(max_examples=50, deadline=None)
def test_light_and_camera_may_change_places(camera, light):
    """The way of light can be walked both ways."""
    there, _ = mirror_points_m([0, 0, 0], 0.0078, camera, [light])
    back, above = mirror_points_m([0, 0, 0], 0.0078, light, [camera])
    if above[0]:
        assert there == pytest.approx(back, abs=1e-11)


@given(camera=PLACE, light=PLACE, normal=PLACE)
@settings(max_examples=60, deadline=None)
def test_a_plane_shows_a_light_as_far_behind_as_it_stands_before(camera, light, normal):
    """The way by the mirror is as long as that straight to the image; angles in and out agree."""
    n = np.array(normal) / math.hypot(*normal)
    points, above = flat_mirror_points_m([0, 0, 0], n, camera, [light])
    c, x = np.array(camera), np.array(light)
    assert above[0] == (c @ n > 0 and x @ n > 0)
    if above[0]:
        p = points[0]
        assert p @ n == pytest.approx(0, abs=1e-9)
        image = x - 2 * (x @ n) * n
        assert math.dist(c, p) + math.dist(p, x) == pytest.approx(math.dist(c, image), abs=1e-9)


def test_a_very_large_sphere_is_a_plane():
    """A radius of 10 km against a plane: the bend of 1 m of it is 0.05 mm; by hand."""
    camera, lights = [0.3, -3, 0.2], [[1.0, -2, 0.5], [-0.5, -1, 1.0]]
    flat, _ = flat_mirror_points_m([0, 0, 0], [0, -1, 0], camera, lights)
    round_, above = mirror_points_m([0, 1e4, 0], 1e4, camera, lights)
    assert above.all()
    assert round_ == pytest.approx(flat, abs=5e-4)


def test_whatever_stands_in_the_mirror_is_refused():
    """A camera inside, a light inside."""
    for camera, light in (([0, 0.001, 0], [1, 1, 1]), ([1, 1, 1], [0, 0.001, 0])):
        with pytest.raises(RangeError, match="stands in a mirror"):
            mirror_points_m([0, 0, 0], 0.0078, camera, [light])
