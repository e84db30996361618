from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from metered_room import (
    BOUNCED,
    DIRECT,
    FACTORS,
    FIRED,
    GROWTH,
    SIGNS,
    corrections,
    fit_of,
    shown_lxs,
)

from kinlight.errors import RangeError
from kinlight.light.fit import band_sd_stops
from kinlight.light.fit_model import Arrivals


@pytest.mark.parametrize("room", [0.55, 0.75, 0.9, 1.2])
def test_outputs_and_room_are_found_again(room):
    """Without noise, and with estimates that hardly count, to the estimates' small pull.

    At sd 1e-4 the room's own sd is below 1e-3 stop, so its prior of 0.5 pulls less than 1e-5.
    """
    true = [0.8, -1.3, 0.4]
    fit = fit_of(shown_lxs(true, room=room), prior=5.0, sd=1e-4)
    assert fit.room.fitted
    assert fit.room.factor == pytest.approx(room, rel=1e-5)
    assert corrections(fit) == pytest.approx(true, abs=1e-5)
    assert [light.factor for light in fit.lights] == pytest.approx(2.0 ** np.array(true), rel=1e-5)
    assert fit.findings() == ()
    for reading in fit.readings:
        assert reading.predicted_lxs == pytest.approx(reading.observed_lxs, rel=1e-5)


def test_a_room_that_is_as_stated_is_left_so():
    """However well the readings tell it, and it is said that they agree."""
    true = [0.8, -1.3, 0.4]
    fit = fit_of(shown_lxs(true), prior=5.0, sd=1e-4)
    assert not fit.room.fitted
    assert fit.room.factor == 1
    assert corrections(fit) == pytest.approx(true, abs=1e-5)
    assert fit.room.text() == "the readings agree with the room as stated, known to 0.1 stop"


@pytest.mark.parametrize(("sds_away", "changed"), [(1.9, False), (2.1, True)])
@pytest.mark.parametrize("way", [-1, 1])
def test_a_room_is_changed_beyond_twice_its_own_uncertainty(sds_away, changed, way):
    """Not before; the lights are then those of the room as stated, and it is said why.

    By hand: one light whose two readings are nearly all direct and nearly all bounced. The first
    settles it, the second then tells GROWTH x room to sd 0.1 x sqrt 2, so the room alone to
    0.101; with its prior of 0.5, a hint of r stops is pulled to r / (1 + 0.101^2 / 0.25), and its
    sd is 0.099. That many sds away, it is or is not believed.
    """
    one = {"fired": np.ones((2, 1)), "direct": np.array([[1e6], [1.0]])}
    one |= {"bounced": np.array([[1.0], [1e6]]), "prior": 50.0}
    alone = 0.1 * math.sqrt(2) / GROWTH
    sd = 1 / math.hypot(1 / alone, 1 / 0.5)
    hint = way * sds_away * sd
    stops = hint * (1 + (alone / 0.5) ** 2)
    fit = fit_of(np.array([1e6, 1e6 * 2 ** (GROWTH * stops)]), **one)
    assert fit.room.fitted is changed
    if changed:
        assert math.log2(fit.room.factor) == pytest.approx(hint, abs=1e-4)
        assert fit.room.sd_stops == pytest.approx(sd, abs=1e-4)
        return
    assert fit.room.factor == 1
    assert (fit.room.hint_stops, fit.room.hint_sd_stops) == pytest.approx((hint, sd), abs=1e-4)
    assert fit.room.sd_stops == pytest.approx(math.hypot(hint, sd), abs=1e-4)
    # the light is then the mean of both readings, each as sure
    assert corrections(fit) == pytest.approx(GROWTH * stops / 2, abs=1e-3)
    assert fit.room.text() == (
        f"the readings hint at walls 0.2 stop {'paler' if way > 0 else 'darker'}, known to 0.1 "
        "stop: left as stated; meter the shadow side to tell"
    )


def test_far_off_outputs_are_found_again():
    """Six stops over, five under: the steps settle from the estimates."""
    true = [6.0, -5.0, 3.0]
    fit = fit_of(shown_lxs(true), prior=20.0, sd=1e-4)
    assert corrections(fit) == pytest.approx(true, abs=1e-4)


def test_steady_light_is_taken_off():
    """Readings with steady light in them give the same outputs once it is stated."""
    ambient = np.full(7, 12.0)
    fit = fit_of(shown_lxs([0.5, 0.2, -0.6]) + ambient, prior=5.0, sd=1e-4, ambient=ambient)
    assert corrections(fit) == pytest.approx([0.5, 0.2, -0.6], abs=1e-5)


def test_one_light_by_hand():
    """320 lx s where 160 were expected, estimate within 0.5 stop, meter within 0.1.

    By hand: 1 stop over; weights 1/0.01 and 1/0.25 give 100/104 of it, sd 1/sqrt(104), residual
    4/104 stop, factor 2^(100/104). Expected of chi2: 1 - 100/104.
    """
    fit = fit_of(
        [320],
        fired=FIRED[:1, :1],
        direct=np.array([[160.0]]),
        bounced=np.zeros((1, 1)),
        factors=np.array([1.0]),
        prior=0.5,
    )
    key = fit.lights[0]
    assert key.light == "key"
    assert key.correction_stops == pytest.approx(100 / 104)
    assert key.factor == pytest.approx(2 ** (100 / 104))
    assert key.sd_stops == pytest.approx(1 / math.sqrt(104))
    assert key.metered
    assert key.text() == "1.0 stop over its estimate, +-0.1 stop; metered"
    assert fit.readings[0].residual_stops == pytest.approx(4 / 104)
    assert fit.readings[0].predicted_lxs == pytest.approx(320 * 2 ** (-4 / 104))
    assert fit.chi2 == pytest.approx((40 / 104) ** 2)
    assert fit.freedom == pytest.approx(4 / 104)
    assert fit.covariance[0, 0] == pytest.approx(1 / 104)
    assert fit.findings() == ()


def test_a_band_may_differ_above_and_below():
    """By hand: the side on which the light turns out counts; 1 stop under, sd 0.3 on that side."""
    one = {"fired": FIRED[:1, :1], "direct": np.array([[160.0]]), "bounced": np.zeros((1, 1))}
    under = fit_of([80], **one, prior=[(0.3, 2.0)]).lights[0]
    over = fit_of([320], **one, prior=[(0.3, 2.0)]).lights[0]
    assert under.correction_stops == pytest.approx(-1 / (1 + 0.01 / 0.09))
    assert over.correction_stops == pytest.approx(1 / (1 + 0.01 / 4))


def test_a_room_the_readings_do_not_tell_stays_as_stated():
    """With one reading, and the light's own uncertainty then includes the room's.

    By hand: 0.2 of the light is bounced and grows as q^1.4, so a room 0.5 stop unsure moves the
    reading 0.14 stop, here with the estimate hardly counting.
    """
    one = {"fired": FIRED[:1, :1], "direct": np.array([[80.0]]), "bounced": np.array([[20.0]])}
    fit = fit_of([200], **one, prior=100.0)
    assert not fit.room.fitted
    assert fit.room.factor == 1
    assert fit.room.sd_stops == pytest.approx(0.5)
    assert "taken as stated" in fit.room.text()
    assert fit.lights[0].correction_stops == pytest.approx(1, abs=1e-5)
    assert fit.lights[0].sd_stops == pytest.approx(math.hypot(0.1, 0.14), rel=1e-4)


def test_a_sure_light_alone_does_not_tell_the_room():
    """One reading for one light, nearly all of it bounced: what is off may be either."""
    one = {"fired": FIRED[:1, :1], "direct": np.array([[10.0]]), "bounced": np.array([[90.0]])}
    assert not fit_of([200], **one, prior=0.15).room.fitted
    twice = {name: np.vstack([value, value]) for name, value in one.items()}
    assert fit_of([200, 200], **twice, prior=0.15).room.fitted


def test_a_room_beyond_what_was_computed_is_said_to_be():
    """Walls half again as bright as stated, with factors up to 1.25 only."""
    fit = fit_of(shown_lxs([0, 0, 0], room=1.5), sd=0.02)
    assert fit.room.at_limit
    assert fit.room.factor == pytest.approx(1.25)
    assert "or more: state them anew" in fit.room.text()


def test_a_light_no_reading_touches_keeps_its_estimate():
    """And its uncertainty, whatever the others do."""
    fired = FIRED.copy()
    fired[:, 2] = 0
    kept = [0, 1, 3, 4, 6]
    fit = fit_of(
        shown_lxs([1, -1, 0], fired=fired)[kept],
        fired=fired[kept],
        direct=DIRECT[kept],
        bounced=BOUNCED[kept],
        prior=1.2,
    )
    hair = fit.lights[2]
    assert not hair.metered
    assert hair.correction_stops == pytest.approx(0, abs=1e-12)
    assert hair.sd_stops == pytest.approx(1.2)
    assert hair.text() == "as its estimate, +-1.2 stop; an estimate, not metered"
    assert fit.lights[0].metered


def test_a_light_lost_among_brighter_ones_is_not_metered():
    """On, but with a hundredth of the light: sd 0.1 over 0.01 would be 10 stops."""
    direct, none = np.array([[99.0, 1.0]]), np.zeros((1, 2))
    fit = fit_of([100], fired=np.array([[1, 1]]), direct=direct, bounced=none)
    assert [light.metered for light in fit.lights] == [True, False]


def share_inside(freedom, draws=200_000):
    """Return how often a truth lies within one sd that is widened whenever chi2 exceeds freedom."""
    rng = np.random.default_rng(4)
    wide = np.sqrt(np.maximum(1, rng.chisquare(freedom, draws) / freedom))
    return np.mean(np.abs(rng.normal(size=draws)) <= wide)


def binomial_bounds(share, draws):
    """Return bounds that a counted share stays within, 3 standard deviations either way."""
    spread = 3 * math.sqrt(share * (1 - share) / draws)
    return share - spread, share + spread


def test_one_standard_deviation_holds_its_share_of_truths():
    """As many as it should, for each light; 7 readings less 4 unknowns.

    The room is drawn evenly from where it can be found, so that about half are left as stated and
    half are changed; its own sd may hold more but not fewer.
    """
    rng, draws = np.random.default_rng(20), 600
    inside, room_inside, changed = np.zeros(3), 0, 0
    for _ in range(draws):
        stops, room = rng.normal(0, 1.0, 3), 2 ** rng.uniform(-0.75, 0.25)
        fit = fit_of(shown_lxs(stops, room=room) * 2 ** rng.normal(0, 0.03, 7), sd=0.03)
        changed += fit.room.fitted
        sds = np.array([light.sd_stops for light in fit.lights])
        inside += np.abs(corrections(fit) - stops) <= sds
        room_inside += abs(math.log2(fit.room.factor / room)) <= fit.room.sd_stops
    assert 0.4 < changed / draws < 0.6
    low, high = binomial_bounds(share_inside(3), draws)
    assert low <= min(inside) / draws
    assert max(inside) / draws <= high
    assert room_inside / draws >= binomial_bounds(0.683, draws)[0]


def test_few_readings_are_as_unsure_as_they_say():
    """Three readings for three lights, a room of unknown factor: 68.3 % of truths inside one sd.

    The room is drawn from its prior and held at 1, so its share must be in the lights' sd.
    """
    rng, draws, rows = np.random.default_rng(21), 800, [0, 1, 5]
    inside = np.zeros(3)
    for _ in range(draws):
        stops, room = rng.normal(0, 1, 3), 2 ** rng.normal(0, 0.5)
        shown = shown_lxs(stops, room=room)[rows] * 2 ** rng.normal(0, 0.1, 3)
        fit = fit_of(shown, fired=FIRED[rows], direct=DIRECT[rows], bounced=BOUNCED[rows])
        sds = np.array([light.sd_stops for light in fit.lights])
        inside += np.abs(corrections(fit) - stops) <= sds
    low, high = binomial_bounds(0.683, draws)
    assert low <= min(inside) / draws
    assert max(inside) / draws <= high


def test_as_many_readings_as_lights_are_held_against_the_estimates():
    """Nothing contradicts, but a light 1.9 stops under an estimate good to 0.5 is asked about."""
    rows = [0, 1, 5]
    fit = fit_of(
        shown_lxs([-1.9, 0.1, 0.2])[rows],
        fired=FIRED[rows],
        direct=DIRECT[rows],
        bounced=BOUNCED[rows],
        prior=0.5,
        sd=0.02,
    )
    assert fit.misfit is None
    assert fit.findings() == (
        "light 'key' reads 1.9 stops under its estimate: is its modifier or power as stated?",
    )
    assert fit.lights[0].correction_stops == pytest.approx(-1.9, abs=0.1)


def test_many_readings_that_agree_against_an_estimate_do_not_accuse_each_other():
    """An output far from a sure estimate is the light's affair, not the readings'."""
    fit = fit_of(shown_lxs([-1.0, 0, 0]), prior=0.15)
    assert fit.misfit is None
    assert len(fit.findings()) == 1
    assert fit.findings()[0].startswith("light 'key' reads 1.0 stop under its estimate")


@settings(max_examples=40)
@given(st.floats(-3, 3), st.lists(st.floats(-0.1, 0.1), min_size=7, max_size=7))
def test_scaling_all_readings_moves_all_corrections_alike(by, noise):
    """By its stops, and the room not at all, where estimates do not pull."""
    shown = shown_lxs([0.3, -0.2, 0.5]) * 2.0 ** np.array(noise)
    before = fit_of(shown, prior=1e3)
    after = fit_of(shown * 2.0**by, prior=1e3)
    assert corrections(after) - corrections(before) == pytest.approx(np.full(3, by), abs=1e-4)
    assert after.room.factor == pytest.approx(before.room.factor, abs=1e-4)
    assert after.chi2 == pytest.approx(before.chi2, abs=1e-3)


@settings(max_examples=30)
@given(st.integers(0, 6), st.floats(0.05, 1))
def test_a_higher_reading_is_predicted_higher(reading, by):
    """Raising one reading never lowers its own prediction."""
    shown = shown_lxs([0.3, -0.2, 0.5])
    raised = shown.copy()
    raised[reading] *= 2**by
    before, after = (fit_of(values).readings[reading] for values in (shown, raised))
    assert after.predicted_lxs >= before.predicted_lxs * (1 - 1e-9)


@pytest.mark.parametrize(("room", "changed"), [(0.6, True), (1.1, False)])
def test_the_fit_is_the_best_there_is(room, changed):
    """No small move in any unknown lowers the sum of squares, counted here anew.

    Nor in any light, where the room is left as stated.
    """
    shown = shown_lxs([0.3, -0.2, 0.5], room=room) * 2.0 ** (0.05 * SIGNS)
    fit = fit_of(shown, sd=0.05)
    assert fit.room.fitted is changed

    def total(stops, log_room):
        log = np.log2(shown / shown_lxs(stops, room=2**log_room))
        return (log**2).sum() / 0.05**2 + (stops**2).sum() + log_room**2 / 0.25

    best, log_room = corrections(fit), math.log2(fit.room.factor)
    least = total(best, log_room)
    for moves in itertools.product((-1e-3, 0, 1e-3), repeat=4):
        room_move = moves[3] if changed else 0.0
        assert total(best + moves[:3], log_room + room_move) >= least - 1e-9


def arrivals(logs):
    """Return one light's arrivals at one reading, given log2 of its bounced light."""
    bounced = 2.0 ** np.array(logs)[:, None, None]
    return Arrivals.through([[1.0]], bounced, room_factors=FACTORS)


@settings(max_examples=40)
@given(st.lists(st.floats(0, 2), min_size=3, max_size=3), st.floats(-3, 3))
def test_bounced_light_rises_with_the_room(rises, first):
    """Through the samples, never falling between them, and by the growth that is stated."""
    logs = first + np.concatenate([[0], np.cumsum(rises)])
    curve = arrivals(logs)
    at_knots = [curve.bounced_at(x)[0][0, 0] for x in np.log2(FACTORS)]
    assert at_knots == pytest.approx(2.0**logs)
    fine = np.linspace(-1, math.log2(1.25), 400)
    values = np.log2([curve.bounced_at(x)[0][0, 0] for x in fine])
    assert (np.diff(values) >= -1e-12).all()
    growth = np.array([curve.bounced_at(x)[1][0, 0] for x in fine])
    steps = (growth[1:] + growth[:-1]) / 2 * np.diff(fine)
    assert steps.sum() == pytest.approx(logs[-1] - logs[0], abs=0.02)


def test_a_room_that_bounces_at_some_factors_only_is_refused():
    """No light at all at one factor means none at any."""
    bounced = np.array([0.0, 1, 1, 1])[:, None, None]
    with pytest.raises(RangeError, match="bounces light at some factors only"):
        Arrivals.through([[1.0]], bounced, room_factors=FACTORS)


def test_a_band_is_taken_as_two_standard_deviations():
    """By hand: half of each limit, and 0.15 stop for a light of stated figures."""
    assert band_sd_stops(1.0, 0.8) == pytest.approx((0.5, 0.4))
    assert band_sd_stops(0.0, 0.0) == (0.15, 0.15)
    with pytest.raises(RangeError, match="a limit of an estimate"):
        band_sd_stops(-1.0, 0.8)


def test_no_reading_is_refused():
    """With what to do."""
    with pytest.raises(RangeError, match="there is no reading; meter at least one light"):
        fit_of([])


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_what_no_meter_shows_is_refused(value):
    """By the reading's number and label."""
    with pytest.raises(RangeError, match=r"reading 2 \(fill alone\): .* cannot be a meter reading"):
        fit_of([100, value])


def test_a_reading_without_light_is_refused():
    """Nothing on, or nothing on that reaches it."""
    with pytest.raises(RangeError, match=r"reading 1 \(key alone\): no light that fired arrives"):
        fit_of([100], fired=np.zeros((1, 3)))
    with pytest.raises(RangeError, match="no light that fired arrives"):
        fit_of([100], direct=np.array([[0.0, 9.0, 9.0]]), bounced=np.zeros((1, 3)))


def test_lights_and_flags_must_match():
    """Every light is said to have fired or not."""
    with pytest.raises(RangeError, match="says of 2 lights"):
        fit_of([100], fired=np.ones((1, 2)))


@pytest.mark.parametrize("factors", [[0.5, 0.75], [1.0, 0.5], [1.0, 1.0], [0.0, 1.0], [1.1, 1.5]])
def test_room_factors_must_rise_about_one(factors):
    """Since 1 is the room as stated."""
    with pytest.raises(RangeError, match="room factor"):
        fit_of([100], factors=np.array(factors))
