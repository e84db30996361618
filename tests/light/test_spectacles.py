"""Lights mirrored in spectacles."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from faces_in_glasses import CAMERA, FACE, FACING, FAR, NONE, aimed, face_with
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.emitter import Grid, rectangle, round_front
from kinlight.light.mends import tipped_head, turned_head
from kinlight.light.spectacles import (
    Glare,
    Spectacles,
    _lens,
    _surface,
    glare,
    spectacles_for,
)


def _band(low_deg, high_deg, *, away=50.0):
    """Return a wide light that fills the heights between two angles, far before the face."""
    low, high = (away * math.tan(math.radians(a)) for a in (low_deg, high_deg))
    middle = [0, -away, 1.2 + (low + high) / 2]
    return rectangle(middle, [0, 1, 0], width_m=4 * away, height_m=high - low)


def _glares(low_deg, high_deg, worn, face=FACE):
    return glare(face, FAR, _band(low_deg, high_deg), spectacles=worn)[0].lens_share > 0


def _edge(glares):
    """Return the angle at which something that glares at -80 stops to, by halving [deg]."""
    low, high = -80.0, 80.0
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (middle, high) if glares(middle) else (low, middle)
    return low


def _highest(worn, face=FACE):
    """Return the greatest height at which a light glares [deg]."""
    return _edge(lambda a: _glares(a, 85.0, worn, face))


def _lowest(worn):
    """Return the least height at which a light glares [deg]."""
    return -_edge(lambda a: _glares(-85.0, -a, worn))


@given(tilt_deg=st.floats(0, 20))
@settings(max_examples=15, deadline=None)
def test_a_flat_lens_mirrors_what_lies_twice_its_tilt_below(tilt_deg):
    """By l = 2 (n.c) n - c it is -2 tau for a level camera, the whole lens at once; by hand."""
    worn = Spectacles(base_curve=0, tilt_deg=tilt_deg)
    at = -2 * tilt_deg
    for share, low, high in ((1, at - 0.2, at + 0.2), (0, at + 0.2, 80), (0, -80, at - 0.2)):
        for lens in glare(FACE, FAR, _band(low, high), spectacles=worn):
            assert lens == Glare(share, share)


@pytest.mark.parametrize(
    ("base", "tilt_deg", "low", "high"), [(6, 8, -42, 10), (530 / 132, 10, -37, -3)]
)
def test_a_curved_lens_mirrors_a_band(base, tilt_deg, low, high):
    """-2 tau +- 2 asin(20 / R) for 20 mm up and down, R = 530 / base; by hand, to whole degrees.

    That is of the lens's upright through its middle: a lens 2 mm wide.
    """
    worn = Spectacles(base_curve=base, tilt_deg=tilt_deg, width_mm=2, height_mm=40)
    assert _highest(worn) == pytest.approx(high, abs=0.5)
    assert _lowest(worn) == pytest.approx(low, abs=0.5)


def test_the_highest_glare_of_base_six():
    """10.2 deg = -16 + 2 asin(20 / 88.3); by hand, to a tenth."""
    assert _highest(Spectacles(base_curve=6, width_mm=2, height_mm=40)) == pytest.approx(
        10.2, abs=0.1
    )


@pytest.mark.parametrize("base", [4, 5, 6])
@pytest.mark.parametrize("aside", [0.0, 0.4, 1.0])
def test_a_key_with_its_lower_edge_above_15_degrees_clears_level_spectacles(base, aside):
    """The rule that follows from the bands above, for common base curves."""
    bottom = 1.2 + math.hypot(aside, 1.5) * math.tan(math.radians(15))
    key = rectangle([aside, -1.58, bottom + 0.45], [0, 1, 0], width_m=0.9, height_m=0.9)
    assert glare(FACE, CAMERA, key, spectacles=Spectacles(base_curve=base)) == (NONE, NONE)
    low = rectangle([0, -1.58, 1.2], [0, 1, 0], width_m=0.9, height_m=0.9)
    assert glare(FACE, CAMERA, low, spectacles=Spectacles(base_curve=base))[0].shows


@given(lift_deg=st.floats(-10, 20))
@settings(max_examples=10, deadline=None)
def test_a_lifted_chin_counts_twice(lift_deg):
    """The mirror turns by p, what it shows by 2 p."""
    worn = Spectacles(width_mm=2)
    higher = _highest(worn, tipped_head(FACE, -lift_deg)) - _highest(worn)
    assert higher == pytest.approx(2 * lift_deg, abs=0.1)


@given(base=st.floats(1, 8), tilt_deg=st.floats(0, 15))
@settings(max_examples=15, deadline=None)
def test_a_lens_is_a_piece_of_a_sphere(base, tilt_deg):
    """All points lie at the radius from one middle, and their normals point away from it."""
    worn = Spectacles(base_curve=base, tilt_deg=tilt_deg)
    rim = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [0.3, 0.6]]) * [0.025, 0.0175]
    for eye in FACE.eyes_m():
        points, n = _surface(_lens(worn, FACE, eye), rim)
        middles = points - worn.radius_mm / 1000 * n
        assert np.ptp(middles, axis=0) == pytest.approx(np.zeros(3), abs=1e-9)
        out = np.array([0, -math.cos(math.radians(tilt_deg)), -math.sin(math.radians(tilt_deg))])
        pole = middles[0] + worn.radius_mm / 1000 * out
        assert pole == pytest.approx(eye + 0.013 * FACING, abs=1e-9)


@given(x=st.floats(-1.5, 1.5), z=st.floats(0.6, 1.8), aside=st.floats(-0.5, 0.5))
@settings(max_examples=40, deadline=None)
def test_left_and_right_change_places(x, z, aside):
    """The set mirrored: what the left lens showed, the right one shows.

    One point may fall on an edge, 1/315 of the part looked at.
    """
    left, right = glare(FACE, [aside, -3, 1.3], aimed([x, -1.5, z]))
    other_left, other_right = glare(FACE, [-aside, -3, 1.3], aimed([-x, -1.5, z]))
    assert other_left.lens_share == pytest.approx(right.lens_share, abs=1.01 / 315)
    assert other_right.lens_share == pytest.approx(left.lens_share, abs=1.01 / 315)
    assert other_left.pupil_share == pytest.approx(right.pupil_share, abs=3.01 / 61)


@given(turn_deg=st.floats(-60, 60), x=st.floats(-1.5, 1.5), z=st.floats(0.6, 1.8))
@settings(max_examples=30, deadline=None)
def test_only_how_things_stand_to_each_other_counts(turn_deg, x, z):
    """Head, camera and light turned together about the head."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    light = aimed([x, -1.5, z])
    turned = replace(light, polygon_m=light.polygon_m @ turn.T)
    before = glare(FACE, CAMERA, light)
    after = glare(turned_head(FACE, turn_deg), turn @ CAMERA, turned)
    for one, other in zip(before, after, strict=True):
        assert one.lens_share == pytest.approx(other.lens_share, abs=1.01 / 315)


def _pole_and_ways(worn, eye):
    """Return a level lens's foremost point, its upright and its way out; by hand."""
    c, s = math.cos(math.radians(worn.tilt_deg)), math.sin(math.radians(worn.tilt_deg))
    return eye + worn.vertex_mm / 1000 * FACING, np.array([0, -s, c]), np.array([0, -c, -s])


@given(
    place=st.tuples(st.floats(-0.9, 0.9), st.floats(-0.6, 0.6)),
    diameter=st.floats(0.002, 0.1),
    away=st.floats(1, 3),
    base=st.floats(4, 6),
)
@settings(max_examples=40, deadline=None)
def test_no_light_is_too_small_to_be_found(place, diameter, away, base):
    """Put where a point of the lens mirrors the camera's look: it shows, at its textbook size.

    A light b wide at d from a convex mirror fills b / (1 + d/D + 2 d/R) of it, seen by a camera at
    D: from schoolbook paraxial optics, by hand (R infinite: b D / (d + D), by similar triangles; D
    infinite: b R / (R + 2 d), the convex mirror). Off the axis the mirror is askew by up to 25
    degrees, which narrows one side by cos and widens the other by 1 / cos, 1.1, and the raster is
    21 by 15: a third of the area is allowed for both.
    """
    worn, eye = Spectacles(base_curve=base), FACE.eye_left_m
    pole, upright, out = _pole_and_ways(worn, eye)
    x, y = place[0] * worn.width_mm / 2000, place[1] * worn.height_mm / 2000
    r = worn.radius_mm / 1000
    n = (x * np.array([1, 0, 0]) + y * upright + math.sqrt(r**2 - x**2 - y**2) * out) / r
    point = pole - r * out + r * n
    v = (point - CAMERA) / math.dist(point, CAMERA)
    way = v - 2 * (v @ n) * n
    light = round_front(point + away * way, -way, diameter_m=diameter)
    left, _ = glare(FACE, CAMERA, light, spectacles=worn)
    assert left.shows
    far = math.dist(point, CAMERA)
    scale = 1 / (1 + away / far + 2 * away / r)
    share = math.pi / 4 * (1000 * diameter * scale) ** 2 / (worn.width_mm * worn.height_mm)
    assert left.lens_share <= share * 4 / 3
    image_mm = 1000 * diameter * scale
    if (
        abs(x) * 1000 + image_mm < worn.width_mm / 2
        and abs(y) * 1000 + image_mm < worn.height_mm / 2
    ):
        assert left.lens_share >= share * 2 / 3


@pytest.mark.parametrize("base", [0, 0.5, 6])
def test_what_only_grazes_a_lens_is_found(base):
    """Light moved in from beside, a millimetre of it in the lens's rim; and none when just out.

    Checked against the mirror law walked along the rim, point by point.
    """
    worn, eye = Spectacles(base_curve=base, tilt_deg=0), FACE.eye_left_m
    pole, _, out = _pole_and_ways(worn, eye)
    x, r = 0.025, worn.radius_mm / 1000
    lean = x / r
    n = np.array([lean, 0, 0]) + math.sqrt(1 - lean**2) * out
    sag = x**2 / r / (1 + math.sqrt(1 - lean**2))
    point = pole + np.array([x, 0, 0]) - sag * out
    v = (point - CAMERA) / math.dist(point, CAMERA)
    way = v - 2 * (v @ n) * n
    at = point + 1.5 * way
    for aside, shows in ((-0.001, True), (0.001, False)):
        outer = rectangle(at + np.array([0.05 + aside, 0, 0]), [0, 1, 0], width_m=0.1, height_m=0.1)
        assert glare(FACE, CAMERA, outer, spectacles=worn)[0].shows == shows


def test_a_wall_of_light_fills_lens_and_eye():
    """Everything before the face shines, the camera sees the face through it."""
    wall = rectangle([0, -3.5, 1.2], [0, 1, 0], width_m=500, height_m=500)
    assert glare(FACE, CAMERA, wall) == (Glare(1, 1), Glare(1, 1))


def test_the_eye_is_spoilt_by_what_its_part_of_the_lens_mirrors():
    """Flat upright lenses, camera and a small light at one place.

    A mirror shows the camera's own place at the foot of the straight way to it: for an eye 31.5 mm
    from the middle, 31.5 mm from the lens's middle, beyond its rim at 25 mm; a light b wide fills
    b / 2 there. Turned to face the camera, one lens shows it right before the pupil. By hand.
    """
    worn = Spectacles(base_curve=0, tilt_deg=0)
    small, larger = (rectangle(CAMERA, [0, 1, 0], width_m=b, height_m=b) for b in (0.01, 0.05))
    assert glare(FACE, CAMERA, small, spectacles=worn) == (NONE, NONE)
    toward = turned_head(FACE, -math.degrees(math.atan(0.0315 / 2.9)))
    left, right = glare(toward, CAMERA, larger, spectacles=worn)
    assert left.pupil_share == 1
    assert left.lens_share == pytest.approx(25**2 / (50 * 35), abs=0.06)  # of 21 by 15 points
    assert right == NONE


def test_what_does_not_face_the_lens_does_not_show():
    """A head in profile, one seen from behind, a lamp turned away, and one its grid keeps off."""
    wall = rectangle([0, -3.5, 1.2], [0, 1, 0], width_m=500, height_m=500)
    assert glare(turned_head(FACE, 180), CAMERA, wall) == (NONE, NONE)
    flat = Spectacles(base_curve=0, tilt_deg=0)
    edge_on = turned_head(FACE, 90)
    beside = [edge_on.eye_left_m[0] + 0.013, -3, 1.2]
    assert glare(edge_on, beside, wall, spectacles=flat)[0].pupil_share == 0
    key = aimed([0.3, -1.5, 1.2])
    assert glare(FACE, CAMERA, key)[0].shows
    assert glare(FACE, CAMERA, replace(key, polygon_m=key.polygon_m[::-1])) == (NONE, NONE)
    turned_off = rectangle([0.3, -1.5, 1.2], [1, 0.4, 0], width_m=0.9, height_m=0.9)
    assert glare(FACE, CAMERA, turned_off)[0].shows
    gridded = replace(turned_off, grid=Grid("egg-crate", 0.03, 0.06))  # dark beyond 27 deg or so
    assert glare(FACE, CAMERA, gridded) == (NONE, NONE)


def test_spectacles_fit_the_face():
    """Pupils 63 mm apart (Dodgson 2004) take lenses of 50 mm; a small child's do not meet."""
    assert spectacles_for(FACE).width_mm == pytest.approx(50)
    small = spectacles_for(face_with(0.0465))
    assert small.width_mm < 46.5
    assert small.height_mm / small.width_mm == pytest.approx(0.7)
    assert Spectacles(base_curve=6).radius_mm == pytest.approx(88.3, abs=0.05)
    assert Spectacles(base_curve=0).radius_mm == math.inf


def test_what_nobody_can_wear_is_refused():
    """A lens larger than its sphere, one without size, an eye without an iris."""
    with pytest.raises(RangeError, match="base curve of a lens of this size"):
        Spectacles(base_curve=20)
    with pytest.raises(RangeError, match="0 to 17 dioptres"):
        Spectacles(base_curve=-1)
    with pytest.raises(RangeError, match="width of a lens"):
        Spectacles(width_mm=0)
    with pytest.raises(RangeError, match="diameter of an iris"):
        glare(FACE, CAMERA, aimed([0, -1.5, 1.2]), iris_mm=0)
