"""Worlds and receivers that cannot be: refused, and no number that looks like light."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kinlight.errors import RangeError
from kinlight.light.world import BLACK, Coat, Receivers, Room, World, receivers, sheet

WHITE = Coat(0.8)
ROOM = Room((-2, -2.5, 0), (2, 2.5, 2.6), (0.5,) * 6)


def held(name, centre_m=(0, 0, 1.2), direction=(0.3, -1, 0.2), **changed):
    """Return a white panel of 1 m."""
    sizes = {"width_m": 1, "height_m": 1, "front": WHITE}
    return sheet(name, centre_m, direction, **(sizes | changed))


ONE = held("one")
BACK_TO_FRONT = replace(ONE, name="two", right=-ONE.right)
BESIDE = held("two", ONE.centre_m + 0.9 * ONE.right)
SMALL = held("two", ONE.centre_m + 0.3 * ONE.up, width_m=0.05, height_m=0.05)
ROUND = held("round the corner", ONE.centre_m + 0.87 * (ONE.right + ONE.up), shape="ellipse")


@pytest.mark.parametrize("two", [replace(ONE, name="two"), BACK_TO_FRONT, BESIDE, SMALL])
def test_two_sheets_in_one_place_are_refused(two):
    """Both would send on the light that falls there: twice what one gives."""
    for sheets in ((ONE, two), (two, ONE)):
        names = [s.name for s in sheets]
        with pytest.raises(RangeError) as caught:
            World(sheets=sheets)
        assert str(caught.value) == (
            f"'{names[1]}': lies in one place with '{names[0]}', and both would send on the same "
            "light; move one of them a centimetre, or lay them together as the sheets of one"
        )


@pytest.mark.parametrize(
    "two",
    [
        held("edge to edge", ONE.centre_m + ONE.right),
        held("before it", ONE.centre_m + 0.001 * ONE.normal),
        held("across it", ONE.centre_m, (1, 0.3, 0)),
        held("a black one", front=BLACK),
        ROUND,
    ],
    ids=lambda s: s.name,
)
def test_sheets_that_share_no_place_are_not(two):
    """Their outlines do not overlap, or one is behind the other, or one sends on nothing."""
    World(sheets=(ONE, two), room=ROOM)
    World(sheets=(two, ONE), room=ROOM)


@pytest.mark.parametrize(
    ("centre_m", "direction", "wall"),
    [
        ((-2, 0, 1), (1, 0, 0), "left wall"),
        ((2, 0, 1), (1, 0, 0), "right wall"),
        ((0, -2.5, 1), (0, 1, 0), "front wall"),
        ((0, 2.49995, 1), (0, -1, 0), "back wall"),
        ((0, 0, 0), (0, 0, 1), "floor"),
        ((0, 0, 2.6), (0, 0, -1), "ceiling"),
    ],
)
def test_a_sheet_in_a_wall_is_refused(centre_m, direction, wall):
    """A centimetre before it, or in one that sends on nothing, it is not."""
    panel = held("panel", centre_m, direction)
    with pytest.raises(RangeError) as caught:
        World(sheets=(panel,), room=ROOM)
    assert str(caught.value) == (
        f"'panel': lies in the {wall}, and both would send on the same light; "
        "move it a centimetre into the room"
    )
    inward = 0.01 * np.sign(np.array([0, 0, 1.3]) - centre_m) * np.abs(panel.normal)
    World(sheets=(replace(panel, centre_m=panel.centre_m + inward),), room=ROOM)
    World(sheets=(panel,), room=replace(ROOM, reflectance=(0.0,) * 6))
    World(sheets=(replace(panel, front=BLACK),), room=ROOM)


@pytest.mark.parametrize("wrong", [math.nan, math.inf])
def test_a_receiver_without_a_place_is_refused(wrong):
    """Among others that have one; by either way to make them."""
    points, normals = np.array([[0.0, 0, 1], [0, wrong, 1]]), np.array([[0.0, 1, 0]] * 2)
    sentence = r"^a place that light is asked for has no coordinates; say where it is$"
    with pytest.raises(RangeError, match=sentence):
        receivers(points, normals)
    with pytest.raises(RangeError, match=sentence):
        Receivers(points, normals, np.zeros(2, dtype=bool))


@pytest.mark.parametrize("wrong", [0.0, math.nan, math.inf])
def test_a_receiver_that_faces_nowhere_is_refused(wrong):
    """Among others that face somewhere; by either way to make them."""
    points, normals = np.array([[0.0, 0, 1]] * 2), np.array([[0.0, 1, 0], [0, wrong, 0]])
    sentence = "^a receptor of light faces nowhere; turn it toward the camera or a light$"
    with pytest.raises(RangeError, match=sentence):
        receivers(points, normals)
    with pytest.raises(RangeError, match=sentence):
        Receivers(points, normals, np.zeros(2, dtype=bool))


def test_no_receivers_are_none():
    """Nobody asks for anything: that is no fault."""
    assert len(receivers(np.zeros((0, 3)), np.zeros((0, 3)))) == 0
