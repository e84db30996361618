"""Lights mirrored in eyes: place, size, and what hides them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.catchlight import catchlight, iris_mm, sheet_front
from kinlight.light.emitter import Grid, octagon, rectangle, round_front
from kinlight.light.layers import stack
from kinlight.light.world import sheet

EYE, GAZE, UP = np.zeros(3), np.array([0.0, -1, 0]), np.array([0.0, 0, 1])
FAR_CAMERA = np.array([0.0, -1000, 0])


def _toward(azimuth_deg, elevation_deg=0.0):
    """Return a direction from the eye; the azimuth positive to the camera's right."""
    a, e = math.radians(azimuth_deg), math.radians(elevation_deg)
    return np.array([math.sin(a) * math.cos(e), -math.cos(a) * math.cos(e), math.sin(e)])


def _light(direction, *, distance=1000.0, size=0.3):
    """Return a square light that faces the eye."""
    at = distance * np.asarray(direction, dtype=float)
    return rectangle(at, -at, width_m=size, height_m=size)


@pytest.mark.parametrize("distance", [0.5, 1.5, 4.0])
def test_a_small_light_has_the_textbooks_size(distance):
    """It is h r / (2 d + r), the convex mirror of schoolbooks; a light of 6 % of the distance.

    Its spherical error is (3/32) (h/d)^2 = 0.0003 by hand, from sin(t/2) against tan t.
    """
    h = 0.06 * distance
    image = catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(GAZE, distance=distance, size=h))
    textbook = h * 1000 * 7.8 / (2 * distance * 1000 + 7.8)
    assert image.width_mm == pytest.approx(textbook, rel=1e-3)
    assert image.height_mm == pytest.approx(textbook, rel=1e-3)
    assert image.iris_share == pytest.approx(textbook / 11.8, rel=1e-3)


@pytest.mark.parametrize(
    ("across", "distance", "size_mm"), [(0.9, 1.5, 2.334), (1.5, 2.5, 2.336), (0.3, 1.0, 1.166)]
)
def test_sizes_by_the_textbooks_formula(across, distance, size_mm):
    """H r / (2 d + r) with r 7.80 mm, by hand to a thousandth; it is for small lights.

    So for one of a fiftieth the size, a fiftieth of it: 0.9 m at 1.5 m is 19.8 % of an 11.8 mm
    iris.
    """
    small = _light(GAZE, distance=distance, size=across / 50)
    image = catchlight(EYE, GAZE, UP, FAR_CAMERA, small)
    assert 50 * image.width_mm == pytest.approx(size_mm, abs=0.001)
    assert 50 * image.iris_share == pytest.approx(size_mm / 11.8, abs=0.001)


def test_a_large_light_is_a_little_smaller_than_the_textbook_says():
    """0.9 m at 1.5 m is 2.260 mm and 19.2 % of the iris, not 2.334; by hand.

    The middle of an edge is mirrored at t from the axis, where tan 2t = (450 - 7.8 sin t) /
    (1507.8 - 7.8 cos t); t = 8.33 deg, and 2 x 7.8 sin t = 2.260.
    """
    image = catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(GAZE, distance=1.5, size=0.9))
    assert image.width_mm == pytest.approx(2.260, abs=0.002)
    assert image.iris_share == pytest.approx(0.1915, abs=0.0002)
    assert image.position == "in the middle"


@pytest.mark.parametrize(
    ("aside_deg", "off_mm"), [(20, 1.35), (30, 2.02), (45, 2.98), (60, 3.90), (90, 5.52)]
)
def test_it_lies_at_r_sin_of_half_the_angle(aside_deg, off_mm):
    """An eye on the camera, both far: r sin(theta / 2) with r 7.80 mm (schematic eyes); by hand."""
    image = catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(_toward(aside_deg)))
    assert image.right_mm == pytest.approx(off_mm, abs=0.005)
    assert image.up_mm == pytest.approx(0, abs=1e-6)
    assert image.position == "3 o'clock"


def test_what_the_horizon_hides_of_a_front_is_not_measured():
    """A front to the left behind the eye, whose right edge ends in the cornea's own shadow.

    All that is mirrored of it lies to the left of the cornea's middle, so that its image is no
    wider than the cornea's radius, 7.8 mm; by hand.
    """
    behind = rectangle((-0.5, 1, 0), GAZE, width_m=1, height_m=1)
    image = catchlight(EYE, GAZE, UP, np.array([0.0, -3, 0]), behind)
    assert -7.9 < image.right_mm < 0
    assert 0 < image.width_mm < 7.8


def test_it_leaves_the_iris_at_98_degrees():
    """2 asin(5.9 / 7.8) = 98.3 deg for an iris of 11.8 mm; by hand."""
    inside = catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(_toward(98.2)))
    outside = catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(_toward(98.4)))
    assert inside.in_iris
    assert inside.seen
    assert not outside.in_iris
    assert not outside.seen


def test_lids_hide_it_first_above():
    """Open 10 mm: from 2 asin(5 / 7.8) = 79.7 deg on; by hand."""
    under = catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(_toward(0, 79.5)))
    over = catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(_toward(0, 79.9)))
    assert under.seen
    assert over.in_iris
    assert not over.clear_of_lids
    assert not over.seen


@pytest.mark.parametrize(
    ("right", "high", "position", "clock"),
    [
        (0, 1, "12 o'clock", 12),
        (1, 0, "3 o'clock", 3),
        (0, -1, "6 o'clock", 6),
        (-math.sin(math.radians(60)), 0.5, "10 o'clock", 10),
        (-1, 1, None, 10.5),
    ],
)
def test_the_clock_is_read_from_the_camera(right, high, position, clock):
    """Twelve is up, three is the camera's right."""
    light = _light(np.array([right, -1, high]) / math.hypot(right, 1, high))
    image = catchlight(EYE, GAZE, UP, FAR_CAMERA, light)
    assert image.clock == pytest.approx(clock, abs=1e-6)
    assert position in (None, image.position)


@given(around_deg=st.floats(0, 360), roll_deg=st.floats(-60, 60), off_deg=st.floats(10, 70))
@settings(max_examples=40, deadline=None)
def test_the_clock_turns_with_the_head(around_deg, roll_deg, off_deg):
    """A head rolled clockwise as the camera sees it takes its twelve along: the clock falls."""
    a, off, roll = (math.radians(x) for x in (around_deg, off_deg, roll_deg))
    light = _light(
        [math.sin(a) * math.sin(off), -math.cos(off), math.cos(a) * math.sin(off)], distance=2
    )
    rolled = np.array([math.sin(roll), 0, math.cos(roll)])
    straight = catchlight(EYE, GAZE, UP, [0, -3, 0], light)
    tilted = catchlight(EYE, GAZE, rolled, [0, -3, 0], light)
    change = (straight.clock - tilted.clock - roll_deg / 30 + 6) % 12 - 6
    assert change == pytest.approx(0, abs=1e-6)
    assert math.hypot(tilted.right_mm, tilted.up_mm) == pytest.approx(
        math.hypot(straight.right_mm, straight.up_mm), abs=1e-9
    )


@given(x=st.floats(-2, 2), z=st.floats(-1, 2), ahead=st.floats(0.5, 3))
@settings(max_examples=50, deadline=None)
def test_left_and_right_are_alike(x, z, ahead):
    """A light to the other side is mirrored at the other side."""
    one, other = (
        catchlight(
            EYE,
            GAZE,
            UP,
            [0, -3, 0.1],
            octagon([s * x, -ahead, z], -np.array([s * x, -ahead, z]), across_corners_m=0.9),
        )
        for s in (1, -1)
    )
    assert other.right_mm == pytest.approx(-one.right_mm, abs=1e-9)
    assert other.up_mm == pytest.approx(one.up_mm, abs=1e-9)
    assert other.width_mm == pytest.approx(one.width_mm, rel=1e-6)
    assert other.iris_share == pytest.approx(one.iris_share, rel=1e-6)


def test_the_image_stands_upright():
    """A tall strip stays tall: about three times as high as wide at 0.3 by 0.9 m."""
    strip = rectangle([0, -2, 0], [0, 1, 0], width_m=0.3, height_m=0.9)
    image = catchlight(EYE, GAZE, UP, FAR_CAMERA, strip)
    assert image.height_mm / image.width_mm == pytest.approx(3, rel=0.02)
    disk = catchlight(EYE, GAZE, UP, FAR_CAMERA, round_front([0, -2, 0], [0, 1, 0], diameter_m=0.9))
    assert disk.height_mm == pytest.approx(disk.width_mm, rel=0.01)


def test_an_eye_that_looks_aside_moves_the_iris_and_not_the_law():
    """Looking 30 deg to the camera's right at a light there: in the middle of the cornea's front.

    The mirror is then 15 deg from the gaze, back toward the camera: r sin 15 = 2.02 mm from the
    axis; as the camera sees it, the point lies at r sin 15 and the middle of the iris at
    sqrt(r^2 - 5.9^2) sin 30 = 2.55: so 0.53 mm to the left of it. By hand.
    """
    gaze = _toward(30)
    image = catchlight(EYE, gaze, UP, FAR_CAMERA, _light(gaze))
    assert image.right_mm == pytest.approx(2.019 - 2.551, abs=0.005)
    assert image.seen


def test_no_image_without_light_on_the_eye():
    """From behind the head, from a lamp turned away, or from one whose grid cuts it off."""
    assert catchlight(EYE, GAZE, UP, [0, -3, 0], _light(-GAZE, distance=3)) is None
    away = rectangle([0, -1.5, 0], GAZE, width_m=0.5, height_m=0.5)
    assert catchlight(EYE, GAZE, UP, [0, -3, 0], away) is None
    turned_by_60 = rectangle([0, -1.5, 0], [math.sqrt(3), 1, 0], width_m=0.3, height_m=0.3)
    assert catchlight(EYE, GAZE, UP, [0, -3, 0], turned_by_60) is not None
    gridded = replace(turned_by_60, grid=Grid("egg-crate", 0.05, 0.05))  # dark from 45 deg on
    assert catchlight(EYE, GAZE, UP, [0, -3, 0], gridded) is None


def _panel(*cloths):
    """Return a panel 0.8 by 1.2 m to the right of an eye, its front toward the eye."""
    layer = stack(cloths)
    return sheet(
        "panel", (0.8, -0.3, -0.2), (-0.8, 0.3, 0.2), width_m=0.8, height_m=1.2,
        front=layer.front, back=layer.back, transmittance=layer.transmittance,
    )  # fmt: skip


@pytest.mark.parametrize("turned", [False, True])
def test_a_panel_shows_as_a_light_of_its_outline_would(turned):
    """Whichever of its sides faces the eye; both of one cloth are alike."""
    panel = _panel("white").turned_over() if turned else _panel("white")
    front = sheet_front(panel, EYE)
    same = rectangle((0.8, -0.3, -0.2), (-0.8, 0.3, 0.2), width_m=0.8, height_m=1.2)
    assert front.normal @ (EYE - front.centre_m) > 0
    assert front.area_m2 == pytest.approx(0.96)
    assert catchlight(EYE, GAZE, UP, FAR_CAMERA, front) == catchlight(
        EYE, GAZE, UP, FAR_CAMERA, replace(same, polygon_m=front.polygon_m)
    )
    assert np.sort(front.polygon_m, axis=0) == pytest.approx(np.sort(same.polygon_m, axis=0))


@pytest.mark.parametrize(
    ("cloths", "shows"),
    [
        (["white"], True),
        (["silver"], True),
        (["translucent", "silver"], True),
        (["translucent"], False),
        (["black"], False),
        (["black", "white"], False),
    ],
)
def test_scrims_and_black_sheets_show_in_no_eye(cloths, shows):
    """A scrim passes on what it does not send back, and of a stack the side toward the eye counts.

    Black before white sends back next to nothing; a scrim before silver lets nothing through.
    """
    assert (sheet_front(_panel(*cloths), EYE) is not None) == shows


@pytest.mark.parametrize(("age", "wide"), [(0, 9.75), (1, 11.8), (7, 11.8), (80, 11.8)])
def test_the_iris_is_grown_at_one(age, wide):
    """At birth 9.5 to 10 mm (clinic note), then 11.8 (Hashemi 2015) from 1 on (Augusteyn 2012)."""
    assert iris_mm(age) == pytest.approx(wide)


def test_the_iris_grows_and_what_it_shows_stays():
    """At six months it is between; the same light takes a larger share of a smaller iris."""
    assert 9.75 < iris_mm(0.5) < 11.8
    light = _light(GAZE, distance=1.5, size=0.6)
    adult = catchlight(EYE, GAZE, UP, FAR_CAMERA, light)
    baby = catchlight(EYE, GAZE, UP, FAR_CAMERA, light, iris_mm=iris_mm(0))
    assert baby.iris_share / adult.iris_share == pytest.approx(11.8 / 9.75, rel=1e-3)


def test_what_cannot_be_is_refused():
    """Ages, irises, and lights inside the eye."""
    with pytest.raises(RangeError, match="cannot be an age"):
        iris_mm(-1)
    with pytest.raises(RangeError, match=r"less than 15\.6 mm"):
        catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(GAZE), iris_mm=16)
    with pytest.raises(RangeError, match="diameter of an iris"):
        catchlight(EYE, GAZE, UP, FAR_CAMERA, _light(GAZE), iris_mm=0)
    with pytest.raises(RangeError, match="stands in a mirror"):
        catchlight(EYE, GAZE, UP, [0, 0.005, 0], _light(GAZE))
