"""Lamps that shine into the lens, and grids that keep them from it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light import rays
from kinlight.light.cut_off import cut_off_deg, off_axis_deg, shines_on
from kinlight.light.emitter import Grid, rectangle, round_front
from kinlight.light.flare import flare
from kinlight.light.world import World, sheet

STRIP = rectangle([0, 0, 0], [0, 1, 0], width_m=0.3, height_m=0.9)
CELLS = Grid("egg-crate", 0.05, 0.05)
CAMERA, LOOKING = np.array([0.0, 3, 0]), np.array([0.0, -1, 0])


def _flare(emitter, *, camera=CAMERA, looking=LOOKING, exitance=1000.0, key=100.0, **more):
    return flare(
        camera, looking, emitter,
        in_frame=False, exitance_lxs=exitance, key_lxs=key, engine=rays, **more,
    )  # fmt: skip


def _off_axis(angle_deg, distance, around_deg=0.0):
    """Return a point so far off the strip's axis; around 0 is level, 90 above."""
    a, b = math.radians(angle_deg), math.radians(around_deg)
    aside = distance * math.sin(a)
    return np.array([aside * math.cos(b), distance * math.cos(a), aside * math.sin(b)])


def _direct(emitter, point):
    """Return the engine's light on a receptor that faces the front's middle."""
    return _flare(emitter, camera=point, looking=-point).level_stops


def test_a_lamp_that_looks_into_the_lens():
    """A / (pi d^2) of its exitance far away, which is made equal to the key: 0 stop; by hand.

    0.1 m at 3 m: the square of their ratio is a thousandth, 0.002 stop.
    """
    lamp = rectangle([0, 0, 0], [0, 1, 0], width_m=0.1, height_m=0.1)
    at_lens = 1000 * 0.01 / (math.pi * 9)
    seen = _flare(lamp, key=at_lens)
    assert seen.sees
    assert seen.level_stops == pytest.approx(0, abs=0.003)
    assert _flare(lamp, key=at_lens * 8).level_stops == pytest.approx(-3, abs=0.003)
    assert (seen.angle_deg, seen.cut_off_deg, seen.leeway_deg) == pytest.approx((0, 90, -90))
    assert not seen.in_frame


def test_a_lamp_turned_away_is_not_seen():
    """It has to be turned back by so many degrees before it is."""
    hair = rectangle([0, 0, 0], [1, -0.1, 0], width_m=0.3, height_m=0.3)
    seen = _flare(hair)
    assert not seen.sees
    assert seen.level_stops == -math.inf
    assert seen.leeway_deg == pytest.approx(math.degrees(math.atan(0.1)))


def test_a_lamp_behind_the_photographer_is_not_seen():
    """It shines on the back of the camera."""
    assert not _flare(STRIP, looking=-LOOKING).sees


def test_a_flag_in_between_hides_it():
    """A black sheet before the lens; beside it, it does nothing."""
    flag = sheet("flag", [0, 2, 0], [0, 1, 0], width_m=0.8, height_m=1.2)
    assert _flare(STRIP).sees
    assert not _flare(STRIP, world=World(sheets=(flag,))).sees
    beside = sheet("flag", [2, 2, 0], [0, 1, 0], width_m=0.8, height_m=1.2)
    assert _flare(STRIP, world=World(sheets=(beside,))) == _flare(STRIP)


def test_the_last_cell_goes_dark_where_its_wall_says():
    """0.3 m strip, cells 5 cm wide and deep, 1.5 m before its plane: |X| = 0.15 + 1.45; by hand.

    Our own measured set agrees: at 40 deg off the strip's middle 2.94 stop are lost, at 55 all.
    """
    strip = replace(STRIP, grid=CELLS)
    edge = np.array([1.60, 1.5, 0])
    assert cut_off_deg(edge, strip) == pytest.approx(off_axis_deg(edge, strip), abs=1e-9)
    assert off_axis_deg(edge, strip) == pytest.approx(math.degrees(math.atan(1.60 / 1.5)))
    round_cells = replace(STRIP, grid=Grid("honeycomb", 0.05, 0.05))  # 0.15 + 1.5 - 0.05 / 2
    edge = np.array([1.625, 1.5, 0])
    assert cut_off_deg(edge, round_cells) == pytest.approx(off_axis_deg(edge, strip), abs=1e-9)
    assert shines_on([1.5 * math.tan(math.radians(40)), 1.5, 0], strip)
    assert not shines_on([1.5 * math.tan(math.radians(55)), 1.5, 0], strip)


@pytest.mark.parametrize(("cell", "depth"), [(0.05, 0.05), (0.03, 0.06), (0.06, 0.03)])
@pytest.mark.parametrize("kind", ["egg-crate", "honeycomb"])
def test_from_afar_the_cut_off_is_width_over_depth(kind, cell, depth):
    """atan(w / d), straight aside; by hand, the front's own size being nothing at 1 km."""
    lamp = replace(STRIP, grid=Grid(kind, cell, depth))
    expected = math.degrees(math.atan(cell / depth))
    assert cut_off_deg(_off_axis(20, 1000), lamp) == pytest.approx(expected, abs=0.05)
    assert cut_off_deg(_off_axis(20, 1000, 90), lamp) == pytest.approx(expected, abs=0.05)


def test_square_cells_reach_farther_along_their_diagonal():
    """Far away, half across and half up: atan(sqrt(2) w / d) = 54.7 deg for w = d; by hand."""
    lamp = replace(STRIP, grid=CELLS)
    assert cut_off_deg(_off_axis(20, 1000, 45), lamp) == pytest.approx(54.74, abs=0.05)
    honeycomb = replace(STRIP, grid=Grid("honeycomb", 0.05, 0.05))
    assert cut_off_deg(_off_axis(20, 1000, 45), honeycomb) == pytest.approx(45, abs=0.05)


def test_without_a_grid_a_front_shines_to_its_own_plane():
    """90 degrees, wherever."""
    assert cut_off_deg(_off_axis(70, 2), STRIP) == 90
    assert shines_on(_off_axis(89.9, 2), STRIP)
    assert not shines_on(_off_axis(90.1, 2), STRIP)
    assert not shines_on(_off_axis(180, 2), STRIP)


@given(
    angle_deg=st.floats(5, 88),
    around_deg=st.floats(0, 360),
    distance=st.floats(1, 5),
    cells=st.sampled_from([(0.05, 0.05), (0.03, 0.06), (0.04, 0.04), (0.1, 0.05), (0.07, 0.1)]),
)
@settings(max_examples=80, deadline=None)
def test_light_ends_where_the_cut_off_says(angle_deg, around_deg, distance, cells):
    """The engine's light from cell to cell, on either side of it.

    Nothing beyond; something inside, of 128 points that may miss the last corner by some degrees.
    """
    lamp = replace(STRIP, grid=Grid("egg-crate", *cells))
    point = _off_axis(angle_deg, distance, around_deg)
    leeway = off_axis_deg(point, lamp) - cut_off_deg(point, lamp)
    level = _direct(lamp, point)
    if leeway > 1e-6:
        assert level == -math.inf
    if leeway < -5:
        assert level > -math.inf


@given(
    angle_deg=st.floats(5, 88), around_deg=st.floats(0, 360), distance=st.floats(1, 5),
    across=st.floats(0.2, 0.8), depth=st.floats(0.01, 0.05),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_round_cells_end_there_too(angle_deg, around_deg, distance, across, depth):
    """A round front with a honeycomb."""
    lamp = round_front([0, 0, 0], [0, 1, 0], diameter_m=across)
    lamp = replace(lamp, grid=Grid("honeycomb", 0.02, depth))
    point = _off_axis(angle_deg, distance, around_deg)
    leeway = off_axis_deg(point, lamp) - cut_off_deg(point, lamp)
    level = _direct(lamp, point)
    if leeway > 1e-6:
        assert level == -math.inf
    if leeway < -5:
        assert level > -math.inf


def test_a_grid_protects_the_lens():
    """A strip 60 deg off: seen without a grid, hidden with one by some fifteen degrees."""
    camera = _off_axis(60, 3)
    bare = _flare(STRIP, camera=camera, looking=-camera)
    gridded = _flare(replace(STRIP, grid=CELLS), camera=camera, looking=-camera)
    assert bare.sees
    assert bare.leeway_deg == pytest.approx(-30)
    assert not gridded.sees
    assert gridded.leeway_deg == pytest.approx(15, abs=2)


def test_amounts_that_cannot_be_are_refused():
    """A lamp without light, a face without any."""
    with pytest.raises(RangeError, match="the light of a lamp"):
        _flare(STRIP, exitance=0)
    with pytest.raises(RangeError, match="the exposure of a face"):
        _flare(STRIP, key=0)
