"""What readings typed into a sitting say of its lights: a synthetic truth is found again."""

from __future__ import annotations

import math
from typing import Any

import pytest
from metered_sets import (
    POINTS,
    black,
    on_axis,
    planned_of,
    point,
    reading_of,
    shown_by,
    sitting_of,
    two_lights,
    with_shown,
)

from kinlight.errors import SittingError
from kinlight.plan.check import check
from kinlight.plan.fit_kept import FitKept, with_fit
from kinlight.plan.fit_plan import FitPlan, LightFit, reflectances_at
from kinlight.plan.model import Plan
from kinlight.plan.settle.settle import settle
from kinlight.quantities.stops import meter_text, parse_meter_reading

TRUTH_STOPS = 0.7


def fit_of(plan: Plan) -> FitPlan:
    """Return what the readings of a plan say; there are some."""
    assert plan.fit is not None
    return plan.fit


def lamp(plan: Plan, name: str) -> LightFit:
    """Return what they say of one light."""
    return next(x for x in fit_of(plan).lights if x.light == name)


def estimated(**truth: Any) -> dict[str, Any]:
    """Return the sitting of estimates with the readings of a truth in which the key is stronger."""
    shown = shown_by(sitting_of(two_lights(TRUTH_STOPS), **truth), POINTS)
    return with_shown(sitting_of(two_lights()), POINTS, shown)


def kept(plan: Plan) -> FitKept:
    """Return the plan's own sitting with what its readings show."""
    return with_fit(plan.sitting, plan.sitting, plan)


def moved_by(shown: str, stops: float) -> str:
    """Return a reading so many stops higher, as a meter shows it."""
    return meter_text(parse_meter_reading(shown) * 2 ** (stops / 2))


def test_a_key_stronger_than_estimated_is_found() -> None:
    """Its 0.7 stop and the fill's none, within their standard deviations; nothing is wrong."""
    plan = planned_of(estimated())
    key, fill = lamp(plan, "key"), lamp(plan, "fill")
    assert abs(key.correction_stops - TRUTH_STOPS) < key.sd_stops < 0.15
    assert abs(fill.correction_stops) < fill.sd_stops < 0.15
    assert key.metered
    assert fill.metered
    assert key.said == "key gives 0.7 stop more than the plan reckons with, known to 0.1 stop"
    assert fit_of(plan).findings == ()
    assert all(abs(r.residual_stops) < 0.15 for r in fit_of(plan).readings)
    assert not fit_of(plan).room_fitted
    assert fit_of(plan).room_factor == 1
    assert fit_of(plan).room == "the readings agree with the room as stated, known to 0.1 stop"


def test_predictions_stay_those_of_the_document() -> None:
    """The fit is reported beside them; only accepting it changes what is reckoned with."""
    document = estimated()
    without = document | {"meter_points": POINTS}
    read, unread = planned_of(document), planned_of(without)
    assert unread.fit is None
    assert [m.expected_f_number for m in read.meter] == [m.expected_f_number for m in unread.meter]
    assert read.lights == unread.lights
    off = reading_of(read, "key at the mark").off_stops
    assert off == pytest.approx(TRUTH_STOPS, abs=0.051)


def test_a_duller_room_is_told_from_weaker_lights() -> None:
    """Walls at three quarters of what is stated, seen by receptors that lights do not reach."""
    dull = {"wall_reflectance": 0.7 * 0.75, "ceiling_reflectance": 0.8 * 0.75}
    dull["floor_reflectance"] = 0.3 * 0.75
    plan = planned_of(estimated(room=dull))
    fit = fit_of(plan)
    assert fit.room_fitted
    assert math.log2(fit.room_factor / 0.75) == pytest.approx(0, abs=0.15)
    assert lamp(plan, "key").correction_stops == pytest.approx(TRUTH_STOPS, abs=0.15)


def test_a_slightly_paler_room_is_hinted_at_and_left_as_stated() -> None:
    """Walls 0.1 stop paler than stated, the meter good to a tenth: nothing of the room is kept."""
    pale = {"wall_reflectance": 0.7 * 1.07, "ceiling_reflectance": 0.8 * 1.07}
    plan = planned_of(estimated(room=pale | {"floor_reflectance": 0.3 * 1.07}))
    assert not fit_of(plan).room_fitted
    assert fit_of(plan).room.endswith(": left as stated; meter the shadow side to tell")
    found = kept(plan)
    assert found.room == {}
    assert found.sitting.room == plan.sitting.room
    assert lamp(plan, "key").correction_stops == pytest.approx(TRUTH_STOPS, abs=0.1)


@pytest.mark.parametrize(
    ("stated", "factor", "whitest"), [(0.8, 1.25, 0.9), (0.93, 1.25, 0.93), (0.4, 1.25, 0.5)]
)
def test_no_surface_becomes_whiter_than_fresh_paint(
    stated: float, factor: float, whitest: float
) -> None:
    """0.90, common practice without a source; what is stated to be whiter stays so."""
    room = planned_of(sitting_of(two_lights(), room={"ceiling_reflectance": stated})).sitting.room
    assert reflectances_at(room, factor)["ceiling_reflectance"] == pytest.approx(whitest)


def test_a_wrong_reading_is_named_and_nothing_is_kept() -> None:
    """One read a stop too high."""
    document = estimated()
    points = [dict(p) for p in document["meter_points"]]
    points[2]["reading"] = moved_by(points[2]["reading"], 1.0)
    plan = planned_of(document | {"meter_points": points})
    assert fit_of(plan).wrong == "both at the mark"
    (finding,) = fit_of(plan).findings
    # by the plan's table: key, fill, all together, then the sitting's own points
    assert finding.startswith("reading 6 (both at the mark) is 1.")
    assert fit_of(plan).room == "the room is left as stated while a reading does not fit"
    assert fit_of(plan).room_factor == 1
    with pytest.raises(SittingError, match=r"both at the mark.*nothing is kept until"):
        kept(plan)


def test_a_reading_with_the_other_receptor_is_asked_about() -> None:
    """The dome facing the camera reads otherwise than the flat receptor does there."""
    truth = sitting_of(two_lights(TRUTH_STOPS))
    points = [dict(p) for p in POINTS]
    points[4] |= {"receptor": "dome"}
    shown = shown_by(truth, points)
    plan = planned_of(with_shown(sitting_of(two_lights()), POINTS, shown))
    assert fit_of(plan).wrong == "key, from behind"
    assert "was it taken with the dome?" in fit_of(plan).findings[0]


def test_one_light_in_a_black_room_by_hand() -> None:
    """A stop over, the meter good to 0.1, stated figures to 0.15: weights 100 and 1/0.0225.

    Both standard deviations are common practice; the room, which is black, adds nothing. What is
    left over, about 0.3 stop, is three times what a meter strays: it counts as less sure in that
    ratio squared, as the fit's notes say.
    """
    expected = reading_of(black(on_axis(2.0), meter_points=[point()]), "p").expected
    plan = black(on_axis(2.0), meter_points=[point(reading=moved_by(expected, 1.0))])
    found, off = lamp(plan, "key"), reading_of(plan, "p").off_stops
    assert off == pytest.approx(1, abs=0.051)
    share = 100 / (100 + 1 / 0.0225)
    assert off is not None
    assert found.correction_stops == pytest.approx(share * off, abs=1e-6)
    scatter = ((1 - share) * off / 0.1) ** 2
    assert found.sd_stops == pytest.approx(1 / math.sqrt(100 / scatter + 1 / 0.0225))
    assert not fit_of(plan).room_fitted


def test_a_reflected_reading_and_one_with_ambient_light_tell_the_same() -> None:
    """As the flat one: what a patch and the ambient light do to a reading is undone again."""
    ways = [
        {},
        {"receptor": "reflected", "patch_reflectance": 0.18},
        {"counts": "both"},
    ]
    found = []
    for way in ways:
        room = {"ambient": 400}
        shown = reading_of(
            black(on_axis(2.0), meter_points=[point(**way)], room=room), "p"
        ).expected
        read = point(reading=shown, **way)
        plan = black(on_axis(2.0, energy=200), meter_points=[read], room=room)
        found.append(lamp(plan, "key").correction_stops)
    assert found == pytest.approx([found[0]] * 3, abs=0.1)  # each reading is rounded to a tenth
    assert found[0] == pytest.approx(100 / (100 + 1 / 0.0225), abs=0.051)


def test_accepting_makes_predictions_agree_and_the_label_change() -> None:
    """Each reading is then what is expected, to the meter's tenths and the room's rounding."""
    before = planned_of(estimated())
    found = kept(before)
    after = check(found.sitting)
    for m in after.meter:
        assert m.off_stops is None or m.off_stops == pytest.approx(0, abs=0.15)
    assert reading_of(before, "key at the mark").off_stops == pytest.approx(0.7, abs=0.051)
    assert [x.known for x in after.lights] == ["metered 2026-05-30, known to 0.1 stop"] * 2
    assert "estimate" not in after.first_five[0]
    assert found.said[0] == (
        "key: gives 0.7 stop more than its figures say, metered 2026-05-30, known to 0.1 stop"
    )


def test_the_same_readings_do_not_count_twice() -> None:
    """Kept and read again, they find no further correction and are no surer."""
    first = planned_of(estimated())
    again = check(kept(first).sitting)
    for name in ("key", "fill"):
        one, other = lamp(first, name), lamp(again, name)
        assert other.stops == pytest.approx(one.stops, abs=0.03)  # the room drifts by its prior
        assert other.correction_stops == pytest.approx(0, abs=0.03)
        assert other.sd_stops == pytest.approx(one.sd_stops, rel=0.05)


def test_later_readings_weigh_what_was_known_before() -> None:
    """By hand, in a black room: known to 0.1 from an earlier day, a reading good to 0.1: half."""
    fitted = {"stops": 0.5, "sd": 0.1, "on": "2026-05-01"}
    expected = reading_of(black(on_axis(2.0, fitted=fitted), meter_points=[point()]), "p").expected
    read = point(reading=moved_by(expected, 0.1), read_on="2026-05-30")
    plan = black(on_axis(2.0, fitted=fitted), meter_points=[read])
    found, off = lamp(plan, "key"), reading_of(plan, "p").off_stops
    assert off is not None
    assert found.correction_stops == pytest.approx(off / 2, abs=1e-6)
    assert found.stops == pytest.approx(0.5 + off / 2, abs=1e-6)
    assert found.sd_stops == pytest.approx(0.1 / math.sqrt(2))
    earlier = black(on_axis(2.0, fitted=fitted), meter_points=[read | {"read_on": "2026-05-01"}])
    anew = 100 / (100 + 1 / 0.0225) * (0.5 + off)
    assert lamp(earlier, "key").stops == pytest.approx(anew, abs=1e-6)


def test_what_says_nothing_of_the_lights_is_said_to() -> None:
    """Ambient light, and a place no light reaches; the other reading still counts."""
    points = [
        point(reading="f/11"),
        point("dark", counts="ambient", reading="f/1"),
        point("behind", facing="backdrop", reading="f/2"),
    ]
    fit = fit_of(black(on_axis(2.0), meter_points=points))
    assert fit.unused == (
        ("dark", "it is of the ambient light"),
        ("behind", "no light that fired arrives there"),
    )
    assert [r.where for r in fit.readings] == ["p"]
    none = fit_of(black(on_axis(2.0), meter_points=points[1:]))
    assert none.lights == ()


def test_a_light_no_reading_tells_stays_as_it_is() -> None:
    """It is said so; the other is kept."""
    document = estimated()
    plan = planned_of(document | {"meter_points": document["meter_points"][:1]})
    found = kept(plan)
    assert set(found.fitted) == {"key"}
    assert "fill: no reading of it; nothing of it is changed" in found.said
    assert next(x for x in found.sitting.lights if x.id == "fill").fitted is None


def test_without_readings_there_is_nothing_to_keep() -> None:
    """One sentence says what to do."""
    with pytest.raises(SittingError, match="the sitting states no meter reading; give meter"):
        kept(planned_of(sitting_of(two_lights())))


def test_an_output_out_of_all_bounds_is_not_kept() -> None:
    """Seven stops over its figures it is not: something else is wrong with it."""
    lowest = on_axis(2.0, power="1/32")
    expected = reading_of(black(lowest, meter_points=[point()]), "p").expected
    far = point(reading=moved_by(expected, 7.0))
    with pytest.raises(SittingError, match="too far from its figures to be its output"):
        kept(black(lowest, meter_points=[far, *(far | {"id": f"p{i}"} for i in range(9))]))


def test_powers_proposed_anew_do_not_take_the_readings_along() -> None:
    """A key found a stop stronger is proposed a stop less power; its readings stay as taken."""
    lights = two_lights()
    for x in lights:
        del x["power"]
    first = planned_of(sitting_of(lights))
    powers = {x.light: x.setting for x in first.lights}
    truth = [x | {"power": powers[x["id"]]} for x in two_lights(1.0)]
    shown = shown_by(sitting_of(truth), POINTS)
    read = planned_of(with_shown(sitting_of(lights), POINTS, shown))
    found = kept(read)
    again = check(settle(found.sitting))
    before, after = ({x.light: x.set_stops for x in p.lights} for p in (read, again))
    assert after["key"] - before["key"] == pytest.approx(1, abs=0.21)
    assert reading_of(again, "key at the mark").set_then.startswith("key ")
    for m in again.meter:
        assert m.off_stops is None or m.off_stops == pytest.approx(0, abs=0.15)
    assert lamp(again, "key").correction_stops == pytest.approx(0, abs=0.05)
