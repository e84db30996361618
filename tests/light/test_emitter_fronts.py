from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.emitter import Emitter, Grid, octagon, rectangle, round_front
from kinlight.light.polygon import flat_factor

FACING = (0, -1, 0)
PLACES = st.tuples(*[st.floats(-3, 3)] * 3)
AIMS = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: math.hypot(*v) > 0.1)
SIZES = st.floats(0.05, 3)


@settings(max_examples=50, deadline=None)
@given(centre=PLACES, direction=AIMS, width=SIZES, height=SIZES)
def test_a_front_lies_where_it_is_put_and_faces_where_it_is_aimed(centre, direction, width, height):
    """Centre, normal and area of every shape, for any aim."""
    fronts = [
        (rectangle(centre, direction, width_m=width, height_m=height), width * height),
        # A regular octagon in a circle of radius r has area 2 sqrt(2) r^2 (textbook geometry).
        (octagon(centre, direction, across_corners_m=width), math.sqrt(2) * width**2 / 2),
        (round_front(centre, direction, diameter_m=width), math.pi * width**2 / 4),
    ]
    for front, area_m2 in fronts:
        assert front.area_m2 == pytest.approx(area_m2, rel=1e-9)
        assert front.centre_m == pytest.approx(np.array(centre), abs=1e-9)
        aim = np.array(direction) / math.hypot(*direction)
        assert front.normal == pytest.approx(aim, abs=1e-9)


def test_width_lies_level_and_height_upright():
    """A strip of 0.3 x 0.9 m facing the camera spans x by its width and z by its height."""
    strip = rectangle((0, 1, 2), FACING, width_m=0.3, height_m=0.9).polygon_m
    assert np.ptp(strip, axis=0) == pytest.approx(np.array([0.3, 0, 0.9]))


def test_octagon_is_measured_across_its_corners():
    """Eight corners on the circle, the sides level and upright: across flats is cos(22.5 deg)."""
    corners = octagon((0, 1.5, 0), FACING, across_corners_m=1.2).polygon_m
    assert len(corners) == 8
    assert np.linalg.norm(corners - [0, 1.5, 0], axis=1) == pytest.approx(np.full(8, 0.6))
    assert np.ptp(corners[:, 2]) == pytest.approx(1.2 * math.cos(math.radians(22.5)))


def test_octagon_is_not_a_disk_of_its_corner_diameter():
    """On axis at 1.5 m 0.13 stop less (light findings, section 2 c, two decimals)."""
    value = flat_factor(
        [[0, 0, 0]], (0, 1, 0), octagon((0, 1.5, 0), FACING, across_corners_m=1.2).polygon_m
    )
    disk = 0.36 / (1.5**2 + 0.36)  # Howell C-21
    assert math.log2(value[0] / disk) == pytest.approx(-0.13, abs=0.005)


@pytest.mark.parametrize("distance_m", [0.5, 1.5, 4.0])
def test_round_front_nears_its_disk_with_the_fourth_power_of_its_sides(distance_m):
    """Doubling the sides cuts the error against Howell C-21 to a sixteenth."""
    disk = 0.36 / (distance_m**2 + 0.36)
    errors = []
    for sides in (16, 32):
        front = round_front((0, distance_m, 0), FACING, diameter_m=1.2, sides=sides)
        errors.append(disk - flat_factor([[0, 0, 0]], (0, 1, 0), front.polygon_m)[0])
    assert errors[0] / errors[1] == pytest.approx(16, rel=0.05)


def test_front_facing_straight_down_is_allowed():
    """A hair light over the mark."""
    assert rectangle((0, 0, 2.5), (0, 0, -1), width_m=0.3, height_m=0.9).normal[2] == -1


def test_vertices_cannot_be_changed_afterwards():
    """An emitter keeps its own read-only copy."""
    corners = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0]])
    front = Emitter(corners)
    corners[0] = 9
    assert front.polygon_m[0].tolist() == [0, 0, 0]
    with pytest.raises(ValueError, match="read-only"):
        front.polygon_m[0, 0] = 1.0


SQUARE = [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]


@pytest.mark.parametrize(
    ("corners", "problem"),
    [
        (SQUARE[:2], "needs at least three corners"),
        ([[0, 0], [1, 0], [1, 1]], "needs at least three corners"),
        ([[0, 0, 0], [1, 0, 0], [2, 0, 0]], "has no area"),
        ([[0, 0, 0], [0, 0, 0], [0, 0, 0]], "has no area"),
        ([*SQUARE[:3], [0, 1, 0.1]], "is not flat"),
        ([[0, 0, 0], [1, 0, 0], [0.2, 0.2, 0], [0, 1, 0]], "has an inward corner"),
    ],
)
def test_an_outline_that_is_no_front_is_refused(corners, problem):
    """The closed forms hold for flat convex outlines only."""
    with pytest.raises(RangeError) as caught:
        Emitter(np.array(corners, dtype=float))
    assert str(caught.value) == (
        f"the front of a light {problem}; split it into flat shapes without inward corners"
    )


def test_sizes_and_aims_that_make_no_front_are_refused():
    """One plain sentence each."""
    with pytest.raises(
        RangeError, match=r"^0 m cannot be the width of a front; allowed: more than 0 m$"
    ):
        rectangle((0, 0, 0), FACING, width_m=0, height_m=1)
    with pytest.raises(RangeError, match=r"^-1 m cannot be the height of a front"):
        rectangle((0, 0, 0), FACING, width_m=1, height_m=-1)
    with pytest.raises(RangeError, match="size of an octagon"):
        octagon((0, 0, 0), FACING, across_corners_m=math.nan)
    with pytest.raises(RangeError, match="diameter of a front"):
        round_front((0, 0, 0), FACING, diameter_m=math.inf)
    with pytest.raises(
        RangeError, match=r"^7 sides are too few for a round front; allowed: 8 or more$"
    ):
        round_front((0, 0, 0), FACING, diameter_m=1, sides=7)
    with pytest.raises(RangeError, match="a light points nowhere"):
        round_front((0, 0, 0), (0, 0, 0), diameter_m=1)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"beam": -2.0}, "-2 cannot be the power of a beam; allowed: more than 0"),
        ({"beam": 0.0}, "0 cannot be the power of a beam; allowed: more than 0"),
        ({"beam": math.nan}, "nan cannot be the power of a beam; allowed: more than 0"),
        ({"beam": math.inf}, "inf cannot be the power of a beam; allowed: more than 0"),
        (
            {"edge_stops": -3.0},
            "-3 stops cannot be how far a front's rim is darker than its middle; "
            "allowed: 0 stops or more",
        ),
        (
            {"edge_stops": math.nan},
            "nan stops cannot be how far a front's rim is darker than its middle; "
            "allowed: 0 stops or more",
        ),
    ],
)
def test_a_front_that_shines_as_none_can_is_refused(changed, sentence):
    """One plain sentence each, and no number that looks like light."""
    with pytest.raises(RangeError) as caught:
        replace(rectangle((0, 1, 0), FACING, width_m=1, height_m=1), **changed)
    assert str(caught.value) == sentence


@pytest.mark.parametrize("kind", ["egg-crate", "honeycomb"])
@pytest.mark.parametrize("wrong", [0.0, -0.05, math.nan, math.inf])
def test_a_grid_without_cells_is_refused(kind, wrong):
    """Its cells have a width and a depth."""
    with pytest.raises(RangeError, match=r"m cannot be the width of a grid's cell; allowed: more"):
        Grid(kind, wrong, 0.05)
    with pytest.raises(
        RangeError, match=r"m cannot be the depth of a grid; allowed: more than 0 m"
    ):
        Grid(kind, 0.05, wrong)
