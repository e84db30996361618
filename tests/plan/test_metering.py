"""The readings to expect: what they are by hand in a black room, in which order, how sure."""

from __future__ import annotations

import math

import pytest
from metered_sets import (
    AXIS_M,
    FIGURES,
    SQUARE,
    black,
    on_axis,
    planned_of,
    point,
    reading_of,
    sitting_of,
)
from plan_cases import NORA, light, read

from kinlight.errors import SittingError
from kinlight.plan.metering import held_note, held_words
from kinlight.quantities.power import fraction_of_full

EXITANCE_LXS = 4200 / 0.81  # 400 Ws x 30 lm s/Ws x 0.35 over 0.9 m square, by hand
# Illuminance per unit exitance on the axis of a 0.9 m square: closed form of a rectangle, which
# a general path tracer confirmed to 1.2e-5 (findings on light, case a).
ON_AXIS = {1.0: 0.2034634983, 1.5: 0.1023717892, 2.0: 0.0603939362, 3.0: 0.0278146602}
# The dome facing that square over the flat receptor there (findings on light, section 4).
DOME = {1.0: 1.029, 1.5: 1.014, 3.0: 1.004}


@pytest.mark.parametrize("distance_m", [1.0, 1.5, 2.0, 3.0])
def test_a_flat_receptor_reads_the_closed_form(distance_m: float) -> None:
    """N = sqrt(H S / 250) [iso2720] with H the exitance times the closed form."""
    found = reading_of(black(on_axis(distance_m), meter_points=[point()]), "p")
    lxs = EXITANCE_LXS * ON_AXIS[distance_m]
    assert found.expected_f_number == pytest.approx(math.sqrt(lxs * 100 / 250), rel=1e-6)
    assert found.band_stops == (0, 0)


@pytest.mark.parametrize("distance_m", [1.0, 1.5, 3.0])
def test_a_dome_reads_by_its_own_constant_and_response(distance_m: float) -> None:
    """N = sqrt(H S / 330); its response is quoted to a thousandth."""
    plan = black(on_axis(distance_m), meter_points=[point(receptor="dome")])
    lxs = EXITANCE_LXS * ON_AXIS[distance_m] * DOME[distance_m]
    by_hand = math.sqrt(lxs * 100 / 330)
    assert reading_of(plan, "p").expected_f_number == pytest.approx(by_hand, rel=5e-4)


@pytest.mark.parametrize("rho", [0.18, 0.9])
def test_a_reflected_reading_is_of_the_light_the_patch_sends_back(rho: float) -> None:
    """L = rho E / pi, and N = sqrt(L S / K) with K 12.5 [iso2720]."""
    patch = point(receptor="reflected", patch_reflectance=rho)
    found = reading_of(black(on_axis(2.0), meter_points=[patch]), "p")
    luminance = rho * EXITANCE_LXS * ON_AXIS[2.0] / math.pi
    by_hand = math.sqrt(luminance * 100 / 12.5)
    assert found.expected_f_number == pytest.approx(by_hand, rel=1e-6)
    said = held_words(found, units="metric")
    assert said == f"reflected, off a patch of {rho:.0%} {AXIS_M:.2f} m up that faces the key"


def test_nothing_comes_back_from_a_black_patch() -> None:
    """It is said so, and no number is made up."""
    patch = point(receptor="reflected", patch_reflectance=0)
    found = reading_of(black(on_axis(2.0), meter_points=[patch]), "p")
    assert (found.expected, found.expected_f_number) == ("nothing", 0)


def test_ambient_light_is_lux_times_seconds_and_both_add() -> None:
    """By hand: 400 lx over 1/60 s; the flash on top of it in lux seconds."""
    points = [point(counts, counts=counts) for counts in ("flash", "ambient", "both")]
    settings = {"camera": {"shutter": "1/60"}, "room": {"ambient": 400}}
    plan = black(on_axis(3.0), meter_points=points, **settings)
    shown = {name: reading_of(plan, name).expected_f_number for name in ("ambient", "both")}
    flash, ambient = EXITANCE_LXS * ON_AXIS[3.0], 400 / 60
    assert shown["ambient"] == pytest.approx(math.sqrt(ambient * 100 / 250), rel=1e-9)
    assert shown["both"] == pytest.approx(math.sqrt((flash + ambient) * 100 / 250), rel=1e-6)
    assert reading_of(plan, "ambient").lights == "none fired"
    assert reading_of(plan, "ambient").fired == ()
    assert reading_of(plan, "both").lights == "all, with the ambient light"


def test_modelling_lamps_count_as_ambient_light_if_they_stay_on() -> None:
    """By hand: 8000 lm x 0.35 through the front of 0.81 m2, over 1/60 s at two metres."""
    settings = {"camera": {"shutter": "1/60"}, "room": {"ambient": 0}}
    points = [point(counts="ambient")]
    lamp = on_axis(2.0, modelling=8000)
    off = reading_of(black(lamp, meter_points=points, **settings), "p")
    assert off.expected_f_number == 0
    on = reading_of(black(lamp | {"modelling_on": True}, meter_points=points, **settings), "p")
    lxs = 8000 * 0.35 / 0.81 * ON_AXIS[2.0] / 60
    assert on.expected_f_number == pytest.approx(math.sqrt(lxs * 100 / 250), rel=1e-6)


def test_walls_add_to_a_reading() -> None:
    """A pale room reads more than a black one, the dome at the mark more than the flat one."""
    points = [point(), point("dome", receptor="dome")]
    pale = {"wall_reflectance": 0.8, "ceiling_reflectance": 0.8}
    rooms = [black(on_axis(2.0), meter_points=points, room=room) for room in ({}, pale)]
    flat, dome = ([reading_of(r, n).expected_f_number for r in rooms] for n in ("p", "dome"))
    assert dome[1] / dome[0] > flat[1] / flat[0] > 1.005


def test_the_table_is_in_the_order_of_metering() -> None:
    """Each alone, key first; those on the faces; all; then the sitting's own."""
    lights = [
        light("back", "backdrop", -1.2, 0.9, 0.8, aim={"x": 0, "y": 1.8, "height": 1.2}, **FIGURES),
        light("low", "fill", 1.4, -2.4, 1.8, **FIGURES),
        light("main", "key", -1.4, -1.4, 2.0, **FIGURES),
    ]
    plan = black(*lights, meter_points=[point(facing="main"), point("main", facing="main")])
    names = [m.where for m in plan.meter]
    assert names == ["main", "low", "back", "low and main together", "all together", "p"]
    kinds = [m.kind for m in plan.meter]
    assert kinds == ["point", "alone", "alone", "together", "together", "point"]
    alone, together, everything = (plan.meter[i] for i in (1, 3, 4))
    assert [m.number for m in plan.meter] == [1, 2, 3, 4, 5, 6]
    assert held_words(alone, units="metric") == "flat, facing the low"
    back = held_words(reading_of(plan, "back"), units="metric")
    assert back == "flat on the backdrop, facing the camera"
    assert reading_of(plan, "back").place_m == pytest.approx(
        (0, 1.798, plan.mark_height_m), abs=1e-3
    )
    assert held_words(everything, units="metric") == "dome, facing the camera"
    own_point = held_words(reading_of(plan, "p"), units="metric")
    assert own_point == f"flat {AXIS_M:.2f} m up, facing the main"
    assert held_note(plan.sitting) == ""
    assert together.fired == ("low", "main")
    assert everything.fired == ("back", "low", "main")
    own = {x.light: x.reading_f_number for x in plan.lights}
    assert alone.expected_f_number == own["low"]


def test_light_adds_up_in_the_readings_together() -> None:
    """N^2 of all together is the sum of N^2 of each at the same spot with the same receptor."""
    lights = [
        on_axis(2.0),
        light("fill", "fill", 1.4, -2.4, 1.8, modifier=SQUARE, **FIGURES),
        light("hair", "hair", 0.6, 1.2, 2.4, modifier=SQUARE, **FIGURES),
    ]
    dome = {"receptor": "dome", "facing": "camera"}
    points = [point(x["id"] + " there", lights=[x["id"]], **dome) for x in lights]
    plan = black(*lights, meter_points=[*points, point("sum", **dome)])
    note = "hair: at the mark too, as high as the eyes there, not at a head."
    assert held_note(plan.sitting) == note
    parts = [reading_of(plan, p["id"]).expected_f_number ** 2 for p in points]
    assert reading_of(plan, "sum").expected_f_number ** 2 == pytest.approx(sum(parts), rel=1e-9)


def test_the_band_of_a_sum_is_that_of_its_lights_by_their_shares() -> None:
    """One stated, one whose efficacy alone is typical: 30, from 15 to 45 lm s per Ws.

    Both at the same spot, the same in everything else, so half of the light each: by hand
    log2(1 / (1/2 + 1/4)) below and log2(1/2 + 3/4) above.
    """
    sure = on_axis(2.0)
    guess = sure | {"id": "other", "role": "fill"}
    del guess["efficacy"]
    plan = black(sure, guess, meter_points=[point()])
    band = reading_of(plan, "p").band_stops
    assert band == pytest.approx((math.log2(4 / 3), math.log2(5 / 4)))
    assert reading_of(plan, "other").band_stops == pytest.approx((1.0, math.log2(1.5)))


def test_a_reading_taken_at_other_settings_is_held_against_those() -> None:
    """The key was at a quarter and is now at full: two stops less than now expected was right."""
    quarter = on_axis(2.0, power="1/4")
    shown = reading_of(black(quarter, meter_points=[point()]), "p").expected
    read = point(reading=shown, set_to={"key": "1/4"})
    found = reading_of(black(on_axis(2.0), meter_points=[read]), "p")
    assert found.off_stops == pytest.approx(0, abs=0.051)  # meters show tenths
    assert found.set_then == "key 1/4"
    low = reading_of(black(quarter, meter_points=[point()]), "p").expected_f_number
    assert found.expected_f_number == pytest.approx(low / math.sqrt(fraction_of_full(2)))
    now = reading_of(black(on_axis(2.0), meter_points=[point(reading=shown)]), "p")
    assert now.off_stops == pytest.approx(-2, abs=0.051)


def test_a_lamp_is_an_estimate_until_it_is_metered() -> None:
    """The light table and the first line say so, and since when and how well it is known."""
    key = light("key", "key", -1.4, -1.4, 2.0, power="1/4")
    fill = light("fill", "fill", 1.4, -2.4, 1.8, power="1/4")
    fitted = {"stops": 0.4, "sd": 0.18, "on": "2026-05-30"}
    none = planned_of(sitting_of([key, fill]))
    one = planned_of(sitting_of([key | {"fitted": fitted}, fill]))
    both = planned_of(sitting_of([key | {"fitted": fitted}, fill | {"fitted": fitted}]))
    assert [x.known for x in none.lights] == ["estimate", "estimate"]
    assert [x.known for x in one.lights] == ["metered 2026-05-30, known to 0.2 stop", "estimate"]
    assert none.first_five[0].endswith("(estimates until metered)")
    assert one.first_five[0].endswith("(fill: estimates until metered)")
    assert "estimate" not in both.first_five[0]
    more = 2 * math.log2(one.lights[0].reading_f_number / none.lights[0].reading_f_number)
    assert more == pytest.approx(0.4)
    assert not any("efficacy" in a or "watt-second" in a for a in both.assumed)
    assert any("watt-second" in a for a in none.assumed)


@pytest.mark.parametrize(
    ("set_to", "said"),
    [
        ({"hair": "1/4"}, "meter point 'p': there is no light 'hair'"),
        ({"key": "1/64"}, "meter point 'p', set_to, key: '1/64' is beyond this strobe's range"),
        ({"key": True}, "is not a power"),
        ("1/4", "is not a table of entries"),
    ],
)
def test_settings_that_cannot_have_been_are_said(set_to: object, said: str) -> None:
    """A light that is not there, a power it does not have, no power at all."""
    with pytest.raises(SittingError) as caught:
        read(NORA, lights=[on_axis(2.0)], meter_points=[point(set_to=set_to)])
    assert said in str(caught.value)
