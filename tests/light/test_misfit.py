from __future__ import annotations

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
    LIGHTS,
    bounced_lxs,
    corrections,
    fit_of,
    noisy,
    shown_lxs,
)

from kinlight.light.fit import fit_readings
from kinlight.light.misfit import consistent
from kinlight.light.readings import Otherwise, Reading


@pytest.mark.parametrize(
    ("freedom", "tabled"), [(1, 6.635), (2, 9.210), (3, 11.345), (5, 15.086), (10, 23.209)]
)
def test_the_limit_of_chance_is_that_of_the_tables(freedom, tabled):
    """99 % points of chi-squared as in statistics tables (from memory).

    The formula errs by less than 1 %: a little less is let pass, a little more is not.
    """
    assert consistent(0.98 * tabled, freedom)
    assert not consistent(1.02 * tabled, freedom)


def test_sound_readings_are_not_accused():
    """Fewer than 2 % of 200 sets with nothing wrong but the meter's scatter."""
    rng = np.random.default_rng(22)
    fits = [fit_of(noisy(rng, prior=1.0, sd=0.1)[2]) for _ in range(200)]
    assert sum(fit.misfit is not None for fit in fits) < 4


WRONG = [
    # which reading, what was on instead of what was said, stops misread, question
    pytest.param(2, (1, 1, 0), 0, "did light 'hair' fire?", id="one did not fire"),
    pytest.param(3, (0, 1, 0), 0, "did light 'key' fire?", id="another did not fire"),
    pytest.param(1, (1, 1, 0), 0, "was light 'key' off?", id="one fired as well"),
    pytest.param(4, (1, 0, 0), 1, "was it read or written one stop too high?", id="high"),
    pytest.param(6, (1, 1, 0), -1, "was it read or written one stop too low?", id="low"),
    pytest.param(
        6, (1, 1, 0), 1 / 3, "was it read or written a third of a stop too high?", id="third"
    ),
    pytest.param(4, (1, 0, 0), 2.45, "check it or take it again", id="nothing simple"),
]


def wrong_set(reading, on, misread, *, room=1.1, stops=(0.5, -0.4, 0.3)):
    """Return readings of which one was taken with other lights on, or misread."""
    actual = FIRED.copy()
    actual[reading] = on
    shown = shown_lxs(stops, room=room, fired=actual)
    shown[reading] *= 2**misread
    return shown


@pytest.mark.parametrize(("reading", "on", "misread", "question"), WRONG)
def test_a_wrong_reading_is_named_with_its_reason(reading, on, misread, question):
    """From readings that are otherwise without noise."""
    sd = 0.05 if abs(misread) == 1 / 3 else 0.1
    fit = fit_of(wrong_set(reading, on, misread), sd=sd)
    assert fit.misfit is not None
    assert fit.misfit.reading == reading
    assert fit.misfit.sentence().endswith(question)
    assert fit.findings() == (fit.misfit.sentence(),)
    right = shown_lxs([0.5, -0.4, 0.3], room=1.1)
    off = math.log2(wrong_set(reading, on, misread)[reading] / right[reading])
    assert fit.misfit.off_stops == pytest.approx(off, abs=0.1)


def test_the_sentence_reads_plainly():
    """Number, label, amount and side, then the question."""
    fit = fit_of(wrong_set(4, (1, 0, 0), 1))
    assert fit.misfit.sentence() == (
        "reading 5 (edge) is 1.0 stop over what the others say: "
        "was it read or written one stop too high?"
    )


@pytest.mark.parametrize(("reading", "on", "misread", "question"), WRONG[:5])
def test_a_wrong_reading_is_mostly_named_in_noise(reading, on, misread, question):
    """In 30 draws with the meter's scatter: never another one alone, and its reason in most."""
    rng = np.random.default_rng(23)
    named = right = 0
    for _ in range(30):
        shown = wrong_set(reading, on, misread) * 2 ** rng.normal(0, 0.05, 7)
        misfit = fit_of(shown, sd=0.05).misfit
        if misfit is not None:
            assert reading in (misfit.reading, *misfit.instead)
            named += misfit.reading == reading
            right += misfit.reading == reading and misfit.question == question
    assert named >= 24
    assert right >= 20


def test_a_dome_in_place_of_the_flat_receptor_is_asked_about():
    """The reading agrees with what the caller says the dome would have shown, and no other."""
    dome = Otherwise(DIRECT[3] * 1.3 + (25, 10, 0), 1.7 * bounced_lxs()[:, 3])
    stops, room = np.array([0.5, -0.4, 0.3]), 1.1
    shown = shown_lxs(stops, room=room)
    walls = 1.7 * room**GROWTH * BOUNCED[3]
    shown[3] = (FIRED[3] * 2**stops * (dome.direct_lxs + walls)).sum()
    fit = fit_of(shown, ways={i: {"the dome": dome} for i in (3,)})
    assert fit.misfit.reading == 3
    assert fit.misfit.question == "was it taken with the dome?"


def test_of_two_wrong_readings_the_worse_is_named_first():
    """One 2.5 stops off, another 1.2: the first is said, and that it is not alone."""
    shown = shown_lxs([0.5, -0.4, 0.3])
    fired = np.vstack([FIRED, FIRED])
    shown = np.concatenate([shown, shown])
    shown[4] *= 2**-2.5
    shown[9] *= 2**1.2
    readings = [Reading(f"no. {i}", tuple(map(bool, fired[i])), shown[i]) for i in range(14)]
    fit = fit_readings(
        readings,
        lights=LIGHTS,
        direct_lxs=np.vstack([DIRECT, DIRECT]),
        bounced_lxs=np.concatenate([bounced_lxs(), bounced_lxs()], axis=1),
        room_factors=FACTORS,
        prior_stops=np.ones(3),
    )
    assert fit.misfit.reading == 4
    assert fit.misfit.off_stops == pytest.approx(-2.5, abs=0.15)
    assert fit.misfit.more
    assert "it is not the only one" in fit.misfit.sentence()


def test_two_readings_that_contradict_each_other_are_both_suspect():
    """The same light at the same place, 0.9 stop apart: either may be wrong, and that is said."""
    one = {"fired": FIRED[:2, :1] * 0 + 1, "direct": np.full((2, 1), 160.0)}
    fit = fit_of([160, 160 * 2**0.9], **one, bounced=np.zeros((2, 1)))
    assert {fit.misfit.reading, *fit.misfit.instead} == {0, 1}
    assert f"or reading {2 - fit.misfit.reading} is wrong" in fit.misfit.sentence()


def test_scatter_without_a_culprit_is_said():
    """Four readings of one thing in two camps: none is to blame alone, and the sd grows.

    By hand: +-0.4 stop about the mean; chi2 4 x 16 of 3 to be expected, sd 0.05 sqrt(64 / 3).
    """
    one = {"fired": np.ones((4, 1)), "direct": np.full((4, 1), 160.0), "bounced": np.zeros((4, 1))}
    fit = fit_of(160 * 2.0 ** np.array([0.4, -0.4, 0.4, -0.4]), **one, prior=50.0)
    assert fit.misfit is None
    assert fit.findings()[0].startswith("the readings disagree by up to 0.4 stop")
    assert fit.chi2 == pytest.approx(64, rel=1e-3)
    assert fit.freedom == pytest.approx(3, rel=1e-3)
    assert fit.lights[0].sd_stops == pytest.approx(0.05 * math.sqrt(64 / 3), rel=1e-3)


@settings(max_examples=20)
@given(st.permutations(range(7)))
def test_the_order_of_readings_does_not_matter(order):
    """Nor does it change which is named."""
    shown = wrong_set(2, (1, 1, 0), 0)
    plain = fit_of(shown)
    order = list(order)
    turned = fit_of(shown[order], fired=FIRED[order], direct=DIRECT[order], bounced=BOUNCED[order])
    assert corrections(turned) == pytest.approx(corrections(plain), abs=1e-7)
    assert order[turned.misfit.reading] == plain.misfit.reading


def test_a_quarter_stop_is_not_worth_an_accusation():
    """The hair light alone, with a weak fill that fired as well: 0.25 stop off, by hand.

    Hair (80 + 9) x 2^0.3, fill (5 + 20) x 2^-0.4.
    """
    hair, fill = 89 * 2**0.3, 25 * 2**-0.4
    assert math.log2((hair + fill) / hair) == pytest.approx(0.23, abs=0.01)
    fit = fit_of(wrong_set(5, (0, 1, 1), 0, room=1.0), sd=0.02)
    assert fit.misfit is None


def test_one_reading_alone_is_never_accused():
    """However far it is from the estimate: there are no others."""
    fit = fit_of([160 * 2.0**14])
    assert fit.misfit is None
    assert fit.scatter == ""
    assert any("stops over its estimate" in text for text in fit.findings())
