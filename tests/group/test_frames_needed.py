"""Frames for one picture: blinks by the published formula, liveliness by age.

Check values marked "facts" are the formula of Svenson and Barnes (2006), P = (1 - x t)^n, worked by
hand with their figures: 10 blinks a minute, 250 ms a blink, 8 ms of shutter.
"""

from __future__ import annotations

import math
import re
import tomllib
from importlib.resources import files

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.group.frames_needed import (
    blinks_per_min,
    frames_for,
    frames_needed,
    mean_frames,
    open_eyes_chance,
    usual_liveliness,
)

SHUTTER_S = 0.008
ARTICLE_PER_MIN = 10.0
AGES = st.floats(0, 100)


def clean(people: int, *, exposure_s: float = SHUTTER_S) -> float:
    """Return the chance that nobody's blink spoils a frame at the article's rate."""
    return open_eyes_chance(ARTICLE_PER_MIN, exposure_s=exposure_s) ** people


# people, P clean, mean frames, 95 %, 99 %: computed by hand from the formula of Svenson and Barnes
# (2006), rounded to the digits given; k by ceil(ln(1-q)/ln(1-P)).
TABLE = [
    (1, 0.957, 1.04, 1, 2),
    (2, 0.916, 1.09, 2, 2),
    (5, 0.803, 1.25, 2, 3),
    (10, 0.644, 1.55, 3, 5),
    (15, 0.517, 1.93, 5, 7),
    (20, 0.415, 2.41, 6, 9),
    (30, 0.268, 3.74, 10, 15),
    (50, 0.111, 9.00, 26, 40),
]


@pytest.mark.parametrize(("people", "p", "mean", "k95", "k99"), TABLE)
def test_blinks_alone_give_the_published_chances_and_counts(people, p, mean, k95, k99):
    """The whole table follows; tolerances are half a unit of the last digit given."""
    assert clean(people) == pytest.approx(p, abs=0.00051)
    assert mean_frames(clean(people)) == pytest.approx(mean, abs=0.0051)
    assert frames_for(clean(people), confidence=0.95) == k95
    assert frames_for(clean(people), confidence=0.99) == k99


@pytest.mark.parametrize(
    ("people", "mean", "p"),
    [
        (1, 1.0449, 0.957),
        (2, 1.0919, 0.9158),
        (5, 1.2458, 0.8027),
        (10, 1.552, 0.6443),
        (15, 1.9334, 0.5172),
        (20, 2.4086, 0.4152),
        (30, 3.738, 0.2675),
        (50, 9.0033, 0.1111),
    ],
)
def test_mean_frames_to_four_digits(people, mean, p):
    """1 / (1 - x t)^n worked by hand to four digits (Svenson and Barnes 2006)."""
    assert mean_frames(clean(people)) == pytest.approx(mean, rel=1e-4)
    assert clean(people) == pytest.approx(p, abs=0.000051)


def test_six_people_need_three_frames():
    """The count for 95 % at n = 6, ceil(ln 0.05 / ln(1 - P)) by hand."""
    assert frames_for(clean(6)) == 3


def test_rule_of_a_third_fails_at_two_three_and_six_people_only():
    """Svenson and Barnes claim better than 95 % for n / 3 frames, n < 20; by hand to 0.001."""
    holds = {n: 1 - (1 - clean(n)) ** math.ceil(n / 3) for n in range(1, 20)}
    fails = {n: chance for n, chance in holds.items() if chance < 0.95}
    assert fails == pytest.approx({2: 0.916, 3: 0.877, 6: 0.946}, abs=0.001)
    for n in fails:
        assert frames_for(clean(n)) > math.ceil(n / 3)


def test_fifteen_people_need_the_five_frames_of_the_worked_example():
    """Svenson and Barnes: fifteen people in good light, five frames."""
    assert frames_for(clean(15)) == 5


def test_thirty_people_in_poor_light_need_about_thirty_frames():
    """Svenson and Barnes: about thirty for 99 %; an eighth of a second is inferred (29.6)."""
    poor = clean(30, exposure_s=1 / 8)
    assert frames_for(poor, confidence=0.99) == 30
    assert math.log(0.01) / math.log(1 - poor) == pytest.approx(29.6, abs=0.06)


@pytest.mark.parametrize(
    ("rate", "people", "mean"), [(17, 6, 1.58), (17, 10, 2.14), (26, 6, 2.04), (26, 10, 3.27)]
)
def test_rates_of_rest_and_conversation(rate, people, mean):
    """Rates of Bentivoglio and others (1997), means by hand to two decimals."""
    chance = open_eyes_chance(rate, exposure_s=SHUTTER_S) ** people
    assert mean_frames(chance) == pytest.approx(mean, abs=0.0051)


def test_four_adults_and_two_toddlers_at_their_usual_rates():
    """Adults at 17 a minute (Bentivoglio 1997), toddlers at 5 (from memory): product by hand."""
    ages = [34, 36, 61, 63, 2.5, 3.0]
    lively = [1.0] * 6
    needed = frames_needed(ages, exposure_s=SHUTTER_S, liveliness=lively)
    assert needed.chance_low == pytest.approx(0.7067, abs=0.00051)
    assert needed.chance_high == needed.chance_low


@pytest.mark.parametrize(
    ("age", "per_min"),
    [(0.5, 2), (1.99, 2), (2, 5), (7, 8), (14.9, 12), (15, 17), (40, 17)],
)
def test_blink_rates_by_age(age, per_min):
    """Under 2 in infancy (Zametkin 1979), 17 in adults at rest (1997), between from memory."""
    assert blinks_per_min(age) == per_min


@pytest.mark.parametrize(
    ("age", "good"),
    [(0, 0.25), (0.99, 0.25), (1, 0.3), (3.9, 0.3), (4, 0.5), (7, 0.7), (12.9, 0.7), (13, 0.85)],
)
def test_liveliness_by_age(age, good):
    """Bands of common practice, no source: the file says so in every row."""
    assert usual_liveliness(age) == good


def test_two_children_range_from_independent_to_one_call():
    """By hand: l .3 and .5, blinks 1 - 5/60 x .251 = .979083 each (t0.1 of 1 ms)."""
    needed = frames_needed([2, 4], exposure_s=0.001)
    assert needed.chance_low == pytest.approx(0.15 * 0.979083**2, rel=1e-6)
    assert needed.chance_high == pytest.approx(0.3 * 0.979083**2, rel=1e-6)
    # ln .05 / ln(1 - .143791) = 19.30, ln .05 / ln(1 - .287581) = 8.83,
    # geometric mean .203351: 13.18
    assert (needed.most, needed.least, needed.planned) == (20, 9, 14)
    assert needed.mean_most == pytest.approx(6.954, abs=0.001)
    assert needed.mean_least == pytest.approx(3.477, abs=0.001)


def test_one_person_has_no_range():
    """Alone there is nobody to depend on."""
    needed = frames_needed([40], exposure_s=0.001)
    assert needed.most == needed.least == needed.planned


def test_counts_that_reach_the_confidence_exactly_are_not_rounded_up():
    """1 - (1 - P)^k = q with whole k: by hand."""
    assert frames_for(0.5, confidence=0.75) == 2
    assert frames_for(0.5, confidence=0.875) == 3
    assert frames_for(0.9, confidence=0.999) == 3
    assert frames_for(0.8, confidence=0.8) == 1
    assert frames_for(1.0) == 1


@given(st.floats(1e-3, 1), st.floats(0.01, 0.999))
def test_count_is_the_smallest_that_reaches_the_confidence(chance, confidence):
    """So many frames reach it and one fewer does not."""
    k = frames_for(chance, confidence=confidence)
    assert 1 - (1 - chance) ** k >= confidence - 1e-9
    assert k == 1 or 1 - (1 - chance) ** (k - 1) < confidence + 1e-9


@settings(max_examples=60)
@given(st.lists(AGES, min_size=1, max_size=25), AGES, st.floats(0, 0.5))
def test_another_person_never_saves_a_frame(ages, another, exposure_s):
    """Every count and mean stays or grows, and the range stays in order."""
    few = frames_needed(ages, exposure_s=exposure_s)
    many = frames_needed([*ages, another], exposure_s=exposure_s)
    for name in ("mean_most", "mean_least", "most", "least", "planned"):
        assert getattr(many, name) >= getattr(few, name)
    assert 0 < many.chance_low <= many.chance_high <= 1
    assert many.least <= many.planned <= many.most
    assert many.mean_least <= many.mean_most


@settings(max_examples=30)
@given(st.lists(AGES, min_size=1, max_size=8), st.floats(0, 0.2), st.floats(0, 0.2))
def test_longer_exposures_need_no_fewer_frames(ages, one_s, other_s):
    """A longer look catches more blinks."""
    short, long = sorted((one_s, other_s))
    quick, slow = (frames_needed(ages, exposure_s=t) for t in (short, long))
    assert quick.most <= slow.most
    assert quick.chance_high >= slow.chance_high


def test_stated_liveliness_replaces_the_usual_one_person_by_person():
    """None keeps the band's value."""
    stated = frames_needed([2, 40], exposure_s=0.0, liveliness=[0.6, None])
    usual = frames_needed([2, 40], exposure_s=0.0)
    assert stated.chance_low == pytest.approx(2 * usual.chance_low)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: frames_needed([], exposure_s=0.01), "nobody is in the picture"),
        (
            lambda: frames_needed([-1], exposure_s=0.01),
            "-1 years is not an age; allowed: 0 years or more",
        ),
        (lambda: frames_needed([math.nan], exposure_s=0.01), "nan years is not an age"),
        (lambda: frames_needed([3], exposure_s=-1), "-1 s is not an exposure time"),
        (
            lambda: frames_needed([40], exposure_s=4),
            "4 s is so long an exposure that everyone blinks in it; allowed: less than 3.3 s",
        ),
        (
            lambda: frames_needed([3, 4], exposure_s=0.01, liveliness=[0.5]),
            "a list of 1 is not one chance of a good face for each person; allowed: 2, one each",
        ),
        (
            lambda: frames_needed([3], exposure_s=0.01, liveliness=[0.0]),
            "0 is a chance with which no number of frames is enough",
        ),
        (
            lambda: open_eyes_chance(math.nan, exposure_s=0.01),
            "nan a minute is not a rate of blinking",
        ),
        (
            lambda: frames_for(0.5, confidence=1.0),
            "1 is not a confidence; allowed: above 0 and below 1",
        ),
        (lambda: mean_frames(1.2), "1.2 is a chance"),
    ],
)
def test_values_out_of_range_are_refused_in_words(call, sentence):
    """The sentence says what is wrong and what was given."""
    with pytest.raises(RangeError, match=re.escape(sentence)):
        call()


def test_every_row_of_the_data_says_where_it_is_from():
    """A source and a status for each band, bands in order, rates inside their own range."""
    data = files("kinlight.group") / "data"
    blink = tomllib.loads((data / "blink.toml").read_text("utf-8"))
    lively = tomllib.loads((data / "liveliness.toml").read_text("utf-8"))
    for rows in (blink["rate"], lively["chance"]):
        starts = [row["from_years"] for row in rows]
        assert starts == sorted(set(starts))
        assert starts[0] == 0
        assert all(row["source"] and row["status"] for row in rows)
    assert all(r["low_per_min"] <= r["per_min"] <= r["high_per_min"] for r in blink["rate"])
    assert {row["source"] for row in lively["chance"]} == {"common practice, no source"}
