"""Patterns, catchlights, spectacles and flare as a plan says them."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from black_room import LENS_M, bare, dark, shown

from kinlight.plan.faces_seen import camera_side
from kinlight.plan.model import PicturePlan

A = dark("A")
STANDS: list[dict[str, Any]] = [bare("key", "key", -1.5, -2.5, 2.2)]


def nose_m() -> np.ndarray:
    """Return where the nose of somebody on the mark is; lamps do not move it."""
    return shown(A, lights=STANDS)[1].scene.figures[0].face.nose_m


def seen_from(azimuth_deg: float, elevation_deg: float) -> PicturePlan:
    """Return the picture under one lamp, so many degrees to the person's right of the nose line."""
    az, el = math.radians(azimuth_deg), math.radians(elevation_deg)
    way = np.array([-math.sin(az) * math.cos(el), -math.cos(az) * math.cos(el), math.sin(el)])
    x, y, z = (nose_m() + 1.6 * way).tolist()
    return shown(A, lights=[bare("key", "key", x, y, z)])[1]


@pytest.mark.parametrize(
    ("azimuth_deg", "elevation_deg", "name"),
    [(0, 40, "butterfly"), (35, 40, "loop"), (55, 45, "Rembrandt"), (90, 10, "split")],
)
def test_a_pattern_is_named_from_the_nose_line(
    azimuth_deg: float, elevation_deg: float, name: str
) -> None:
    """Inside the published ranges (loop 20-50 / 25-60, Rembrandt 45-60 / 45, split about 90)."""
    pattern = seen_from(azimuth_deg, elevation_deg).faces[0].seen.pattern
    assert pattern is not None
    assert (pattern.name, pattern.light) == (name, "key")
    assert pattern.azimuth_deg == pytest.approx(-azimuth_deg, abs=0.01)
    assert pattern.elevation_deg == pytest.approx(elevation_deg, abs=0.01)


def test_the_pattern_is_that_of_the_lamp_which_brings_most() -> None:
    """The nearer one of two like lamps, whatever they are called."""
    lights = [bare("far", "key", -2.5, -4.0, 2.0), bare("near", "fill", 1.0, -1.2, 2.2)]
    pattern = shown(A, lights=lights)[1].faces[0].seen.pattern
    assert pattern is not None
    assert pattern.light == "near"
    assert pattern.azimuth_deg > 0  # to the person's own left, the camera's right


def test_a_lamp_over_the_lens_shows_at_twelve() -> None:
    """And it is a sixth of 0.9 m over twice the way: h r / (2 d + r) for a cornea of 7.8 mm."""
    box = {"kind": "softbox", "width": 0.9, "height": 0.9}
    key = bare("key", "key", 0, -2.0, 2.1, modifier=box)
    lights = shown(A, lights=[key])[1].faces[0].seen.catchlights
    assert {(c.eye, c.light, c.position) for c in lights} == {
        ("left", "key", "12 o'clock"),
        ("right", "key", "12 o'clock"),
    }
    distance_mm = 1000 * math.dist((0, -2.0, 2.1), nose_m().tolist())
    straight_ahead = 900 * 7.8 / (2 * distance_mm + 7.8) / 11.8
    for c in lights:  # somewhat smaller, as the lamp is off the axis and turned
        assert 0.8 * straight_ahead < c.iris_share <= 1.01 * straight_ahead


def test_a_flag_before_the_lamp_takes_it_out_of_the_eyes() -> None:
    """Then no light shows in them, and that is worth a look only if there is light at all."""
    key = bare("key", "key", -1.5, -2.5, 2.0)
    flag = {
        "id": "flag",
        "place": {"x": -0.75, "y": -1.25, "z": 1.8},
        "aim": {"x": -1.5, "y": -2.5, "height": 2.0},
        "width": 0.8,
        "height": 0.8,
        "sheets": ["black"],
    }
    open_, shut = (
        shown(A, lights=[key], reflectors=panels)[1].faces[0].seen for panels in ([], [flag])
    )
    assert len(open_.catchlights) == 2
    assert shut.catchlights == ()
    assert shut.pattern is None


def test_a_lamp_at_the_level_of_the_eyes_shows_in_spectacles() -> None:
    """Lenses tipped 8 degrees mirror to a level lens what lies 42 below to 10 over it, about.

    That range is computed for a curve of 6 dioptres over 20 mm to either side; a large lamp in it
    must glare, one whose lower edge is 15 degrees over it must not (facts on glare).
    """
    box = {"kind": "softbox", "width": 0.6, "height": 0.6}
    wearer = A | {"spectacles": True}
    height = 1.55
    low = shown(wearer, lights=[bare("key", "key", 0.3, -2.5, height - 0.3, modifier=box)])[1]
    high = shown(wearer, lights=[bare("key", "key", 0.3, -1.2, height + 1.1, modifier=box)])[1]
    (glare,) = low.faces[0].seen.glare
    assert glare.light == "key"
    assert max(glare.left_share, glare.right_share) > 0
    (said,) = [f for f in low.findings if "spectacles" in f]
    assert said.startswith("A's spectacles show the key over ")
    assert high.faces[0].seen.glare == ()
    bare_eyed = shown(A, lights=[bare("key", "key", 0.3, -2.5, height - 0.3, modifier=box)])[1]
    assert bare_eyed.faces[0].seen.glare == ()


def flared(**light: Any) -> PicturePlan:
    """Return the picture with a hair light on a stand beside the backdrop, aimed at the lens."""
    hair = bare("hair", "hair", 2.4, 1.5, 1.9, aim={"x": 0, "y": -4, "height": 1.4}) | light
    return shown(A, lights=[bare("key", "key", -1.5, -2.5, 2.0), hair])[1]


def test_a_lamp_aimed_at_the_lens_shines_into_it() -> None:
    """It is said with what it would take; one that faces away is not spoken of."""
    found = {x.light: x.to_lens for x in flared().flare}
    assert found["hair"].sees
    assert not found["hair"].in_frame
    assert any(f.startswith("hair shines into the lens") for f in flared().findings)
    away = flared(aim={"x": 2.4, "y": 4, "height": 1.9})
    assert not {x.light: x.to_lens for x in away.flare}["hair"].sees
    assert not any("shines into the lens" in f for f in away.findings)


@pytest.mark.parametrize(("power", "share"), [(1, 1.0), ("1/4", 0.25)])
def test_the_level_on_the_lens_by_hand(power: object, share: float) -> None:
    """Q / pi, inverse square, the cosine at the lens; over the key side of the face."""
    found = flared(power=power)
    to_lens = {x.light: x.to_lens for x in found.flare}["hair"]
    lamp = found.scene.lamps[1].emitter.centre_m
    way = np.array(LENS_M) - lamp
    d = float(np.linalg.norm(way))
    looking = np.array([0, 1, 0])  # level: the lens is aimed as high as it stands
    light = share * 3000 / math.pi / d**2 * float(-way @ looking) / d
    key = 160 * 2.0 ** found.faces[0].key_side_stops  # f/8 at ISO 100 is 160 lx s, flat [iso2720]
    # The lens's entrance pupil may lie some centimetres from where the tape ends.
    assert to_lens.level_stops == pytest.approx(math.log2(light / key), abs=0.1)


def test_a_lamp_in_the_picture_is_said_to_be() -> None:
    """Straight behind the head, over it, and pointing at the lens."""
    found = flared(place={"x": 0.5, "y": 1.5, "z": 1.75})
    assert {x.light: x.to_lens for x in found.flare}["hair"].in_frame
    assert "hair is in the picture and shines into the lens" in found.findings


def test_a_grid_keeps_a_lamp_off_the_lens() -> None:
    """Aimed at the hair through deep cells, it has degrees to spare; without them it has none."""
    aim = {"x": 0, "y": 0, "height": 1.6}
    dish = {"kind": "dish", "width": 0.18}
    gridded = dish | {"grid_cell": 0.01, "grid_depth": 0.04}
    open_, shut = (
        {x.light: x.to_lens for x in flared(aim=aim, modifier=m).flare}["hair"]
        for m in (dish, gridded)
    )
    assert open_.sees
    assert not shut.sees
    assert shut.leeway_deg > 0 > open_.leeway_deg


def panel(*cloths: str, x: float = 0.8, y: float = -0.7, z: float = 1.3) -> dict[str, Any]:
    """Return a panel 0.8 by 1.2 m to the camera's right of somebody on the mark, facing them."""
    return {
        "id": "panel",
        "place": {"x": x, "y": y, "z": z},
        "aim": {"x": 0, "y": 0, "height": 1.6},
        "width": 0.8,
        "height": 1.2,
        "sheets": list(cloths),
    }


SOFT = {"kind": "softbox", "width": 0.9, "height": 0.9, "beam": 120, "transmission": 1}


def in_eyes(*panels: dict[str, Any], **key: Any) -> dict[tuple[str, str], Any]:
    """Return what shows in the eyes under a softbox to the camera's left, by eye and light."""
    light = bare("key", "key", -0.9, -1.3, 2.0, modifier=SOFT) | key
    seen = shown(A, lights=[light], reflectors=list(panels))[1].faces[0].seen
    return {(c.eye, c.light): c for c in seen.catchlights}


def test_a_white_panel_is_the_second_catchlight() -> None:
    """Low to the camera's right it shows at 3 to 4 o'clock; its size by h r / (2 d + r), roughly.

    1.2 m high and 1.1 m away, it is 1200 x 7.8 / (2 x 1100 + 7.8) = 4.2 mm, 36 % of an iris of
    11.8 mm; so far off the axis a sphere mirrors it narrower to the side and a little lower.
    """
    found = in_eyes(panel("white"))
    both = [found[eye, "panel"] for eye in ("left", "right") if (eye, "panel") in found]
    assert both
    for c in both:
        assert 3 <= c.clock <= 4.6
        assert 0.2 < c.iris_share < 0.4
        assert 0 < c.dimmer_stops < 6
    assert found["left", "key"].dimmer_stops == 0


def test_how_dim_a_white_panel_shows_by_hand() -> None:
    """Its exitance is 0.78 of the light on it, over the key's, against a point in its middle.

    The softbox of 0.81 m2 counts for the panel as its area times both cosines over pi and the
    distance squared, taken by points over both; matt white is equally bright to all sides.
    """
    white = panel("white")
    found = shown(
        A, lights=[bare("key", "key", -0.9, -1.3, 2.0, modifier=SOFT)], reflectors=[white]
    )[1]
    lamp = found.scene.lamps[0].emitter
    sheet = next(s for s in found.scene.world.sheets if s.name == "panel")
    grid = (np.arange(12) + 0.5) / 12 * 2 - 1
    x, y = (g.ravel() for g in np.meshgrid(grid, grid))
    corner, across, up = lamp.polygon_m[0], *(lamp.polygon_m[[1, 3]] - lamp.polygon_m[0])
    fronts = corner + (x[:, None] + 1) / 2 * across + (y[:, None] + 1) / 2 * up
    places = sheet.centre_m + sheet.half_m[0] * x[:, None] * sheet.right
    places = places + sheet.half_m[1] * y[:, None] * sheet.up
    way = fronts[None] - places[:, None]
    d = np.linalg.norm(way, axis=2)
    falls, leaves = np.maximum(way @ sheet.normal, 0) / d, np.maximum(-way @ lamp.normal, 0) / d
    light = float((falls * leaves / math.pi / d**2).mean()) * lamp.area_m2
    seen = {(c.eye, c.light): c for c in found.faces[0].seen.catchlights}
    by_hand = -math.log2(0.78 * light)
    panels = [c for (_, light), c in seen.items() if light == "panel"]
    assert panels
    for c in panels:  # the eye sees more of the panel's nearer half, and the panel is in tiles
        assert c.dimmer_stops == pytest.approx(by_hand, abs=0.25)


@pytest.mark.parametrize("cloth", ["black", "translucent"])
def test_black_and_scrims_show_in_no_eye(cloth: str) -> None:
    """Only lamps and what sends light back do."""
    assert {light for _, light in in_eyes(panel(cloth))} == {"key"}


def test_a_panel_that_gets_next_to_no_light_is_left_out() -> None:
    """A sixty-fourth of the lamp's brightness is the least; the panel's lit side faces away.

    The key lies behind the panel's plane, so that in a black room its side to the face is dark.
    """
    dark_side = panel("white", x=0.9, y=-1.2)
    assert ("left", "panel") in in_eyes(dark_side)
    far = in_eyes(dark_side, place={"x": 2.2, "y": -2.9, "z": 2.6})
    assert {light for _, light in far} <= {"key"}


def test_a_low_key_is_told_with_how_much_higher_it_must_stand() -> None:
    """By hand, 1.6 m from the nose and 10 degrees up: 1.6 cos 10 tan 25 - 1.6 sin 10.

    That is 45.7 cm in a room 3.2 m high; under a ceiling that leaves less it is said what is free.
    """
    rise = 1.6 * math.cos(math.radians(10)) * math.tan(math.radians(25))
    rise -= 1.6 * math.sin(math.radians(10))
    found = seen_from(35, 10)
    pattern = found.faces[0].seen.pattern
    assert pattern is not None
    assert (pattern.name, pattern.lowest_deg) == ("loop, but low", 25)
    assert pattern.raise_m == pytest.approx(rise, abs=1e-3)
    (said,) = [f for f in found.findings if "is low on" in f]
    assert said == (
        "the key is low on A, 10 degrees over the nose line; loop asks for 25 or more: "
        "raise it 46 cm"
    )


def test_the_ceiling_is_respected() -> None:
    """The front of 5 cm at 1.83 m or so under 2.1 m: what is free is that less 2.5 and 5 cm."""
    key_m = nose_m() + 1.6 * np.array(
        [-math.sin(0.61) * math.cos(0.17), -math.cos(0.61) * math.cos(0.17), math.sin(0.17)]
    )
    x, y, z = key_m.tolist()
    found = shown(
        A, lights=[bare("key", "key", x, y, z)], room={"ceiling": 2.1}, backdrop={"height": 2.0}
    )[1]
    pattern = found.faces[0].seen.pattern
    assert pattern is not None
    assert pattern.free_m == pytest.approx(2.1 - z - 0.025 - 0.05, abs=0.002)
    assert pattern.free_m < pattern.raise_m
    (said,) = [f for f in found.findings if "is low on" in f]
    assert f"with only {round(100 * pattern.free_m)} cm free above, so bring it nearer" in said


def test_a_little_low_is_not_worth_a_line() -> None:
    """Patterns' ranges are round figures: four degrees under are not spoken of."""
    assert not any("is low on" in f for f in seen_from(35, 21).findings)


def test_sides_are_the_cameras_in_words() -> None:
    """Whoever faces the camera has their own left on its right."""
    assert camera_side("left") == "camera right"
    assert camera_side("right") == "camera left"
