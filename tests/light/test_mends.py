"""The moves that take lights out of spectacles."""

from __future__ import annotations

import math

import numpy as np
import pytest
from faces_in_glasses import CAMERA, FACE, NONE, UP, aimed
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.light.emitter import rectangle
from kinlight.light.mends import (
    Mends,
    mends_for_all,
    raised_by,
    swung_by,
    tilted,
    tipped_head,
    turned_head,
)
from kinlight.light.spectacles import glare, spectacles_for


@given(x=st.floats(-1.0, 1.0), z=st.floats(1.1, 1.7), ahead=st.floats(1, 2.5))
@settings(max_examples=15, deadline=None)
def test_every_mend_mends(x, z, ahead):
    """Each of them, made, leaves no glare; without it there is some, unless it says 0."""
    key = aimed([x, -ahead, z])
    shows = any(lens.shows for lens in glare(FACE, CAMERA, key))
    mends = mends_for_all([FACE], CAMERA, key)
    made = [
        (mends.raise_m, lambda by: (FACE, raised_by(key, FACE.eyes_m().mean(axis=0), by))),
        (mends.away_deg, lambda by: (turned_head(FACE, -by if x > 0 else by), key)),
        (mends.down_deg, lambda by: (tipped_head(FACE, by), key)),
    ]
    for by, move in made:
        if by is not None:
            assert (by > 0) == shows
            face, light = move(by)
            worn = spectacles_for(FACE)
            assert glare(face, CAMERA, light, spectacles=worn) == (NONE, NONE)


def test_a_mend_is_the_smallest():
    """One centimetre or one degree less would leave glare; that comes out whole."""
    key = aimed([0.8, -1.5, 1.4])
    mends = mends_for_all([FACE], CAMERA, key)
    assert mends.raise_m * 100 == pytest.approx(round(mends.raise_m * 100))
    less = [
        (FACE, raised_by(key, FACE.eyes_m().mean(axis=0), mends.raise_m - 0.01)),
        (turned_head(FACE, 1 - mends.away_deg), key),
        (tipped_head(FACE, mends.down_deg - 1), key),
    ]
    for face, light in less:
        assert any(lens.shows for lens in glare(face, CAMERA, light))
    in_feet = mends_for_all([FACE], CAMERA, key, units="feet")
    inches = in_feet.raise_m / 0.0254
    assert inches == pytest.approx(round(inches))
    assert mends.raise_m - 0.01 < in_feet.raise_m < mends.raise_m + 0.0254
    assert in_feet.sentence("the key").startswith("raise the key 1 ft")


def test_a_mend_for_all_helps_each_of_them():
    """A second face beside the first: the same move, made for both, clears all four lenses."""
    key = aimed([0.8, -1.5, 1.4])
    other = turned_head(FACE, 12.0)
    alone, both = (mends_for_all(f, CAMERA, key) for f in ([FACE], [FACE, other]))
    target = np.mean([f.eyes_m().mean(axis=0) for f in (FACE, other)], axis=0)
    assert both.raise_m >= alone.raise_m
    for face in (FACE, other):
        assert glare(face, CAMERA, raised_by(key, target, both.raise_m)) == (NONE, NONE)
        assert glare(tipped_head(face, both.down_deg), CAMERA, key) == (NONE, NONE)


def test_a_lamp_is_raised_no_higher_than_it_fits():
    """What it takes stays the same; what is free is the last whole centimetre that fits."""
    key = aimed([0.8, -1.5, 1.4])
    low = mends_for_all([FACE], CAMERA, key, fits=lambda e: e.centre_m[2] <= 1.4 + 0.065)
    assert low.free_m == pytest.approx(0.06)
    assert low.raise_m == mends_for_all([FACE], CAMERA, key).raise_m > 0.06
    assert not low.can_be_raised
    assert "6 cm free above it" in low.sentence("the key")
    assert mends_for_all([FACE], CAMERA, key).can_be_raised


def test_a_lamp_swung_out_and_arms_lifted_clear_the_lenses():
    """Each by what is returned, and not by one step less; the lamp keeps its distance."""
    key = aimed([0.8, -1.5, 1.4])
    eyes = FACE.eyes_m().mean(axis=0)
    mends = mends_for_all([FACE], CAMERA, key)
    assert mends.aside_deg is not None
    for by, clear in ((mends.aside_deg, True), (mends.aside_deg - 1, False)):
        moved = swung_by(key, eyes, by)  # it stands to the right, anticlockwise is farther out
        assert math.dist(moved.centre_m, eyes) == pytest.approx(math.dist(key.centre_m, eyes))
        assert (glare(FACE, CAMERA, moved) == (NONE, NONE)) == clear
    worn = spectacles_for(FACE)
    assert tilted(worn, 0.01).tilt_deg - worn.tilt_deg == pytest.approx(5.7, abs=0.05)  # atan 1/10
    assert mends.arms_m is not None
    for lift, clear in ((mends.arms_m, True), (mends.arms_m - 0.01, False)):
        seen = glare(FACE, CAMERA, key, spectacles=tilted(worn, lift))
        assert (seen == (NONE, NONE)) == clear


def test_a_turn_must_not_bring_another_light_in():
    """A fill to the far side, which a level head does not show and a turned one does."""
    key = aimed([0.8, -1.5, 1.4])
    alone = mends_for_all([FACE], CAMERA, key)
    fill = aimed([-1.29, -1.61, 1.2], width=0.3, height=0.3)
    assert glare(FACE, CAMERA, fill) == (NONE, NONE)
    assert any(x.shows for x in glare(turned_head(FACE, -alone.away_deg), CAMERA, fill))
    both = mends_for_all([FACE], CAMERA, key, others=[fill])
    assert both.away_deg is None or both.away_deg > alone.away_deg
    assert both.raise_m == alone.raise_m


def test_mends_are_said_in_one_sentence():
    """In the order of a lamp's stand, a turn and a nod; and when nothing helps, that."""
    assert Mends(0.12, 6, None).sentence("the key") == (
        "raise the key 12 cm or turn the head 6 degrees away from the key"
    )
    assert Mends(None, 1, 2).sentence("the key") == "tip the chin 2 degrees down"
    assert Mends(0.67, None, 8, aside_deg=12, arms_m=0.01, free_m=0.06).sentence("the key") == (
        "raising the key would take 67 cm, with only 6 cm free above it, so swing the key 12 "
        "degrees farther out or tip the chin 8 degrees down or lift the spectacles' arms 1 cm"
    )
    assert Mends(0.67, None, None, free_m=0.0).sentence("the key") == (
        "raising the key would take 67 cm, with nothing free above it, so move the key farther to "
        "the side, or take the spectacles off"
    )
    assert Mends(0.254, None, None, "feet").sentence("'left box'") == "raise 'left box' 10 in"
    assert Mends(0, 0, 0).sentence("the key").startswith("nothing to move")
    wall = rectangle([0, -3.5, 1.2], [0, 1, 0], width_m=500, height_m=500)
    none = mends_for_all([FACE], CAMERA, wall)
    assert (none.raise_m, none.away_deg, none.down_deg) == (None, None, None)
    assert none.sentence("the key").startswith("no small move helps: move the key farther")


def test_a_raised_light_keeps_its_shape_and_its_feather():
    """Its corners stay as far apart, and its aim stays as far off the face."""
    at = np.array([0.8, -1.5, 1.4])
    light = rectangle(at, [-0.2, 1.5, -0.3], width_m=0.6, height_m=0.9)
    up = raised_by(light, FACE.eyes_m().mean(axis=0), 0.3)
    eyes = FACE.eyes_m().mean(axis=0)
    assert up.centre_m == pytest.approx(at + 0.3 * UP)
    sides = [np.linalg.norm(np.diff(x.polygon_m, axis=0), axis=1) for x in (light, up)]
    assert sides[0] == pytest.approx(sides[1])
    aims = [x.normal @ (eyes - x.centre_m) / math.dist(eyes, x.centre_m) for x in (light, up)]
    assert aims[0] == pytest.approx(aims[1], abs=1e-9)
    assert raised_by(light, FACE.eyes_m().mean(axis=0), 0).polygon_m == pytest.approx(
        light.polygon_m
    )


def test_heads_move_as_heads_do():
    """A turn leaves heights, a nod keeps the neck; both keep all distances within the face."""
    for moved in (turned_head(FACE, 20), tipped_head(FACE, 10)):
        assert math.dist(moved.eye_left_m, moved.chin_m) == pytest.approx(
            math.dist(FACE.eye_left_m, FACE.chin_m)
        )
    assert turned_head(FACE, 20).crown_m == pytest.approx(FACE.crown_m)
    assert turned_head(FACE, 90).facing == pytest.approx(np.array([1, 0, 0]), abs=1e-9)
    down = tipped_head(FACE, 10)
    assert down.facing[2] == pytest.approx(-math.sin(math.radians(10)))
    assert math.dist(down.crown_m, [0, 0, 1.09]) == pytest.approx(0.22)
