from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.emitter import rectangle, round_front
from kinlight.light.exposure import exposure_for_lxs
from kinlight.light.output import exitance_lxs
from kinlight.light.polygon import flat_factor
from kinlight.light.powers import exposure_target, powers_for, ratio_target
from kinlight.quantities.power import PowerScale

THIRDS = PowerScale(lowest_stops=5, step_stops=1 / 3)
FINE = PowerScale(lowest_stops=10, step_stops=0.001)


def settings_for(contributions, targets, *, scale=THIRDS, names=("key", "fill"), **camera):
    """Return the powers for lights of one scale, at f/8 and ISO 100 if not said otherwise."""
    camera = {"f_number": 8.0, "iso": 100.0} | camera
    scales = dict.fromkeys(names, scale)
    return powers_for(contributions, targets=targets, scales=scales, **camera)


def lone_key(full_lxs, wanted_lxs, **camera):
    """Return the power of one light that gives so much at full."""
    targets = [exposure_target(0, receivers=1, wanted_lxs=wanted_lxs)]
    return settings_for([[full_lxs]], targets, names=("key",), **camera).lights[0]


def test_one_light_at_a_quarter():
    """640 lx s at full, 160 wanted: two stops down, by hand."""
    key = lone_key(640, 160)
    assert key.asked_stops == pytest.approx(2)
    assert key.set_stops == pytest.approx(2)
    assert key.short_stops == pytest.approx(0, abs=1e-12)
    assert key.message == ""


def test_key_and_fill_for_exposure_and_ratio():
    """Key only on the lit side, fill on both: 3:1 needs the fill at a third of the lit side.

    By hand: lit side 160 = K + F, shadow side F = 160/3, K = 320/3; of 400 and 200 lx s at full.
    """
    full = [[400, 200], [0, 200]]
    targets = [
        exposure_target(0, receivers=2, wanted_lxs=160),
        ratio_target(0, 1, receivers=2, ratio=3),
    ]
    found = settings_for(full, targets, scale=FINE)
    key, fill = found.lights
    assert (key.light, fill.light) == ("key", "fill")
    assert key.asked_stops == pytest.approx(math.log2(400 / (320 / 3)))
    assert fill.asked_stops == pytest.approx(math.log2(200 / (160 / 3)))
    assert found.reached_lxs == pytest.approx((160, 0), abs=0.1)
    assert found.faults == ()


def test_lights_that_do_not_count_are_left_out_of_a_target():
    """A hair light that spills on the lit cheek does not change the ratio; by hand."""
    full = [[400, 200, 100], [0, 200, 0], [0, 0, 500]]
    lamps = ("key", "fill")
    targets = [
        exposure_target(0, receivers=3, wanted_lxs=160, counted=lamps),
        ratio_target(0, 1, receivers=3, ratio=3, counted=lamps),
        exposure_target(2, receivers=3, wanted_lxs=250),
    ]
    found = settings_for(full, targets, scale=FINE, names=("key", "fill", "hair"))
    assert [light.asked_stops for light in found.lights] == pytest.approx(
        [math.log2(3.75), math.log2(3.75), 1.0]
    )


def test_rounding_to_a_step_is_told():
    """2.1 stops down on a strobe of thirds: set to two, a tenth stronger than asked."""
    key = lone_key(100 * 2**2.1, 100)
    assert key.set_stops == pytest.approx(2)
    assert key.short_stops == pytest.approx(-0.1)
    assert key.fault is None


def test_a_light_that_is_too_weak_says_what_to_do():
    """0.8 stop short at f/8 and ISO 100: a whole stop by ISO or aperture; 2^-0.4 = 0.757."""
    key = lone_key(100, 100 * 2**0.8)
    assert key.set_stops == 0
    assert key.asked_stops == pytest.approx(-0.8)
    assert key.short_stops == pytest.approx(0.8)
    assert key.message == (
        "light 'key': needs 0.8 stop more than full power; raise ISO to 200 or open to f/5.6 and "
        "set all lights anew, or move it to 0.75 of its distance or less"
    )


def test_two_thirds_short_asks_for_two_thirds():
    """0.66 stop: ISO 160 and f/6.3 are two thirds, by the marks of cameras and lenses."""
    assert "raise ISO to 160 or open to f/6.3" in lone_key(100, 100 * 2**0.66).message


def test_a_light_that_is_too_strong_says_what_to_do():
    """0.6 stop too strong at 1/32: two thirds by ISO or aperture; 2^0.3 = 1.231."""
    key = lone_key(100 * 2**5.6, 100)
    assert key.set_stops == pytest.approx(5)
    assert key.short_stops == pytest.approx(-0.6)
    assert key.message == (
        "light 'key': is 0.6 stop too strong at its lowest power (1/32); lower ISO to 64 or stop "
        "down to f/10 and set all lights anew, or move it to 1.24 times its distance or more, or "
        "put diffusion over it"
    )


def test_remedies_no_camera_has_are_left_out():
    """No ISO under the lowest mark, no aperture wider than f/1."""
    strong = lone_key(100 * 2**6, 100, iso=50).message
    assert "ISO" not in strong
    assert "(1/32); stop down to f/11 and set all lights anew" in strong
    weak = lone_key(100, 400, iso=25_600, f_number=1.4).message
    assert weak.endswith(
        "needs 2.0 stops more than full power; move it to 0.50 of its distance or less"
    )


def test_following_the_remedy_helps():
    """Moved as told, the box that was too weak is strong enough; so is one that was too strong."""
    wanted_lxs = float(exposure_for_lxs(8, iso=100))

    def key_at(distance_m, energy_lms):
        front = rectangle((0, distance_m, 0), (0, -1, 0), width_m=0.9, height_m=0.9)
        factor = flat_factor([[0, 0, 0]], (0, 1, 0), front.polygon_m)[0]
        return lone_key(factor * exitance_lxs(energy_lms, area_m2=front.area_m2), wanted_lxs)

    weak = key_at(4.0, 5000)
    assert weak.short_stops > 0.3
    assert key_at(4.0 * 0.9 * 2 ** (-weak.short_stops / 2), 5000).fault is None
    strong = key_at(1.5, 80_000)
    assert strong.short_stops < -0.3
    assert key_at(1.5 * 1.2 * 2 ** (-strong.short_stops / 2), 80_000).fault is None


def test_a_light_the_targets_are_better_off_without_is_to_be_switched_off():
    """Key spills half on the shadow side: 3:1 cannot be had, and a fill makes it worse."""
    targets = [
        exposure_target(0, receivers=2, wanted_lxs=100),
        ratio_target(0, 1, receivers=2, ratio=3),
    ]
    fill = settings_for([[400, 200], [200, 200]], targets).lights[1]
    assert fill.asked_stops == math.inf
    assert fill.set_stops == pytest.approx(5)
    assert fill.short_stops == -math.inf
    assert fill.message == (
        "light 'fill': the wanted values are met best without it; "
        "switch it off, or ask for less contrast"
    )


def test_more_targets_than_lights_share_the_misfit_relatively():
    """One light, 100 and 200 lx s wanted where it gives equal light: by hand (least squares).

    Minimise (x/100 - 1)^2 + (x/200 - 1)^2: x = (1/100 + 1/200)/(1/100^2 + 1/200^2) = 120.
    """
    targets = [exposure_target(i, receivers=2, wanted_lxs=w) for i, w in enumerate((100, 200))]
    key = settings_for([[240], [240]], targets, names=("key",), scale=FINE).lights[0]
    assert key.asked_stops == pytest.approx(1)


@settings(max_examples=60, deadline=None)
@given(
    steps=st.tuples(*[st.integers(0, 15)] * 3),
    strength=st.tuples(*[st.floats(50, 5000)] * 3),
    spill=st.floats(0, 0.4),
    wide=st.floats(0.2, 3),
)
def test_powers_that_were_set_are_found_again(steps, strength, spill, wide):
    """Readings made with known dials give those dials back, each on its step."""
    full = (np.eye(3) + spill * (1 - np.eye(3))) * np.array(strength)
    below = np.array(steps) / 3
    readings = full @ 2.0**-below
    targets = [exposure_target(i, receivers=3, wanted_lxs=r) for i, r in enumerate(readings)]
    targets.append(ratio_target(0, 1, receivers=3, ratio=readings[0] / readings[1]))
    found = settings_for(full, targets, names=("key", "fill", "hair"))
    assert [light.set_stops for light in found.lights] == pytest.approx(below.tolist(), abs=1e-9)
    assert found.reached_lxs[:3] == pytest.approx(readings.tolist(), rel=1e-9)
    assert found.faults == ()
    # All targets up together: every power up by as much, whatever else is in the set.
    scaled = [exposure_target(i, receivers=3, wanted_lxs=wide * r) for i, r in enumerate(readings)]
    for one, other in zip(
        found.lights, settings_for(full, scaled, names=("a", "b", "c")).lights, strict=True
    ):
        assert one.asked_stops - other.asked_stops == pytest.approx(math.log2(wide), abs=1e-6)


def test_powers_for_a_real_set_give_the_wanted_readings():
    """Box and umbrella on two cheeks: the readings at the asked powers are the wanted ones."""
    key = rectangle((-1.2, -1.4, 0.6), (1.2, 1.4, -0.6), width_m=0.9, height_m=0.9)
    fill = round_front((1.0, -2.8, 0.3), (-1.0, 2.8, -0.3), diameter_m=1.0)
    cheeks = np.array([[-0.05, 0, 0], [0.05, 0, 0]])
    normals = np.array([[-0.7, -0.7, 0], [0.7, -0.7, 0]])
    full = np.stack(
        [
            flat_factor(cheeks, normals, e.polygon_m) * exitance_lxs(4200, area_m2=e.area_m2)
            for e in (key, fill)
        ],
        axis=-1,
    )
    wanted = float(exposure_for_lxs(8, iso=100))
    targets = [
        exposure_target(0, receivers=2, wanted_lxs=wanted),
        ratio_target(0, 1, receivers=2, ratio=3),
    ]
    found = settings_for(full, targets)
    lit, shadow = full @ [2.0**-light.asked_stops for light in found.lights]
    assert lit == pytest.approx(wanted, rel=1e-9)
    assert lit / shadow == pytest.approx(3, rel=1e-9)
    for light in found.lights:
        assert abs(light.short_stops) <= 1 / 6 + 1e-9


@pytest.mark.parametrize(
    ("full", "targets", "sentence"),
    [
        (
            [[400, 200], [0, 200]],
            [ratio_target(0, 1, receivers=2, ratio=3)],
            "no exposure is asked for, only ratios; state the aperture or a reading to work at",
        ),
        (
            [[400, 200], [0, 200]],
            [exposure_target(0, receivers=2, wanted_lxs=100)],
            "the wanted values settle 1 of 2 powers; "
            "ask for one more reading or ratio, or state a power",
        ),
        (
            [[400, 0], [0, 0]],
            [exposure_target(0, receivers=2, wanted_lxs=100)],
            "light 'fill': none of the wanted values depends on its power; "
            "say what it should read, or switch it off",
        ),
    ],
)
def test_targets_that_leave_powers_open_are_refused(full, targets, sentence):
    """No power is guessed."""
    with pytest.raises(RangeError) as caught:
        settings_for(full, targets)
    assert str(caught.value) == sentence


def test_light_and_camera_have_to_make_sense():
    """Negative light, no aperture, no ratio."""
    targets = [exposure_target(0, receivers=1, wanted_lxs=100)]
    with pytest.raises(RangeError, match="the light of a lamp"):
        settings_for([[-1]], targets, names=("key",))
    with pytest.raises(RangeError, match="the f-number"):
        settings_for([[1]], targets, names=("key",), f_number=0)
    with pytest.raises(RangeError, match="a wanted exposure"):
        lone_key(100, -5)
    with pytest.raises(RangeError, match="a lighting ratio"):
        ratio_target(0, 1, receivers=2, ratio=0)
