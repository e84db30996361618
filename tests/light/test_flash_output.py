from __future__ import annotations

import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError, StoreError
from kinlight.light import tables
from kinlight.light.output import (
    beam_power,
    diffuser_transmission,
    estimated_output,
    exitance_lxs,
    front_energy_lms,
    guide_number_cds,
    guide_number_feet,
    guide_number_m,
    isotropic_cds,
    lambertian_cds,
)
from kinlight.light.polygon import flat_factor

# Two film data sheets (1990s-2000s) print this table for ISO 100: BCPS, feet, metres.
FILM_TABLE = [
    (350, 40, 12),
    (700, 60, 18),
    (1000, 70, 21),
    (2000, 100, 30),
    (2800, 120, 36),
    (5600, 170, 50),
    (8000, 200, 60),
]
KINDS = [
    *("softbox", "octagon", "shoot-through umbrella", "reflecting umbrella"),
    *("beauty dish", "dish", "bare"),
]
FILM_C = 222  # the constant the table implies, check value with 3 %


@pytest.mark.parametrize(("bcps", "feet", "metres"), FILM_TABLE)
def test_guide_numbers_match_the_film_tables(bcps, feet, metres):
    """Within the 6 % to which the tables are rounded (check values)."""
    assert guide_number_feet(bcps, iso=100, c=FILM_C) == pytest.approx(feet, rel=0.06)
    assert guide_number_m(bcps, iso=100, c=FILM_C) == pytest.approx(metres, rel=0.06)


def test_the_film_tables_imply_a_constant_of_about_222():
    """Median over the metre column of what the guide numbers say about C; check value, 3 %."""
    implied = [
        250 * (guide_number_m(bcps, iso=100, c=250) / metres) ** 2 for bcps, _, metres in FILM_TABLE
    ]
    assert statistics.median(implied) == pytest.approx(222, rel=0.03)


def test_guide_number_with_the_usual_meter_constant():
    """2000 cd s at ISO 100 is 28.3 m: computed check value, 0.5 %."""
    assert guide_number_m(2000, iso=100) == pytest.approx(28.3, rel=0.005)


def test_intensity_for_a_working_aperture():
    """f/8 at 2 m and ISO 100 takes 640 cd s: computed check value, 0.1 %."""
    assert guide_number_cds(8 * 2, iso=100) == pytest.approx(640, rel=0.001)


def test_three_hundred_joules_as_a_bare_tube_and_as_a_front():
    """300 J x 30 lm s/J: 716 cd s and GN 17 m all around, 2865 cd s and GN 34 m as a front.

    Computed in reference values, section 1, to the digits printed.
    """
    energy_lms = front_energy_lms(300, efficacy_lms_per_j=30)
    assert energy_lms == 9000
    assert isotropic_cds(energy_lms) == pytest.approx(716, abs=0.5)
    assert guide_number_m(isotropic_cds(energy_lms), iso=100) == pytest.approx(17, abs=0.5)
    assert lambertian_cds(energy_lms) == pytest.approx(2865, abs=0.5)
    assert guide_number_m(lambertian_cds(energy_lms), iso=100) == pytest.approx(34, abs=0.5)


def test_efficacy_range_is_the_makers():
    """15 to 45 lm s per J: strobe maker's technical page (check value)."""
    efficacy = tables.constant("flash_efficacy_lms_per_j")
    assert (efficacy.low, efficacy.high) == (15, 45)
    assert efficacy.low < efficacy.value < efficacy.high


def test_estimate_carries_the_band_of_the_efficacy():
    """30 of 15 to 45: from 1 stop below to log2(1.5) above, computed by hand."""
    estimate = estimated_output(400, modifier="softbox", transmission=0.5)
    assert estimate.luminous_energy_lms == pytest.approx(6000)
    assert estimate.below_stops == pytest.approx(1)
    assert estimate.above_stops == pytest.approx(math.log2(1.5))
    assert estimate.text() == (
        "6000 lm s, an estimate (-1.0 to +0.6 stop) from a typical strobe's efficacy; not metered"
    )


def test_estimate_adds_the_band_of_a_typical_modifier():
    """A softbox loses 1 to 2 stops, from memory: each bound adds to the efficacy's."""
    estimate = estimated_output(400, modifier="softbox")
    loss_stops = -math.log2(estimate.luminous_energy_lms / (400 * 30))
    assert 1 < loss_stops < 2
    assert estimate.above_stops == pytest.approx(math.log2(1.5) + loss_stops - 1)
    assert estimate.below_stops == pytest.approx(1 + 2 - loss_stops)
    assert "and a typical loss in this kind of modifier (softbox)" in estimate.text()


def test_stated_figures_leave_no_band_but_are_not_metered():
    """Nothing is assumed, and the text still says that nobody measured it."""
    estimate = estimated_output(400, modifier="bare", efficacy_lms_per_j=20, transmission=0.5)
    assert (estimate.below_stops, estimate.above_stops, estimate.assumed) == (0, 0, ())
    assert estimate.text() == "4000 lm s, from stated figures; not metered"


def test_every_kind_of_modifier_has_a_typical_loss_with_its_source():
    """The kinds a sitting document knows; each is marked for what it is."""
    for kind in KINDS:
        figure = tables.typical_transmission(kind)
        assert 0 < figure.low <= figure.value <= figure.high <= 1
        assert figure.status in tables.STATUSES
        assert figure.source


def test_every_kind_of_modifier_has_a_beam_and_a_profile_with_their_sources():
    """Sheets and matt umbrellas are matt; dishes are narrower, and all is from memory."""
    for kind in KINDS:
        for figure in (tables.typical_beam(kind), tables.typical_edge_stops(kind)):
            assert 0 < figure.low <= figure.value <= figure.high
            assert figure.status in tables.STATUSES
            assert figure.source
    matt = [kind for kind in KINDS if tables.typical_beam(kind).value == 1]
    assert [kind for kind in KINDS if kind not in matt] == ["beauty dish", "dish"]


@pytest.mark.parametrize(
    ("kind", "half_angle_deg"), [("beauty dish", (50, 40, 30)), ("dish", (56, 30, 25))]
)
def test_the_beams_of_dishes_are_those_of_the_angles_they_are_given_by(kind, half_angle_deg):
    """Low, value and high of the table, which prints one decimal."""
    figure = tables.typical_beam(kind)
    powers = [beam_power(half_angle_deg=angle_deg) for angle_deg in half_angle_deg]
    assert [figure.low, figure.value, figure.high] == pytest.approx(powers, abs=0.051)


@pytest.mark.parametrize(("half_angle_deg", "power"), [(60, 1), (45, 2), (30, 4.8188)])
def test_a_beam_of_known_angle(half_angle_deg, power):
    """Cos 60 = 1/2; cos 45 squared = 1/2; ln 2 / ln (2 / sqrt 3) = 4.8188, by hand."""
    assert beam_power(half_angle_deg=half_angle_deg) == pytest.approx(power, abs=5e-5)


@given(half_angle_deg=st.floats(1, 89))
def test_half_is_left_at_the_half_angle(half_angle_deg):
    """The cosine to that power is one half."""
    power = beam_power(half_angle_deg=half_angle_deg)
    assert math.cos(math.radians(half_angle_deg)) ** power == pytest.approx(0.5, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "passed"),
    [
        ("full white", 0.35),
        ("half white", 0.59),
        ("quarter white", 0.79),
        ("full grid cloth", 0.18),
        ("light grid cloth", 0.25),
        ("quarter grid cloth", 0.50),
        ("artificial silk", 0.31),
        ("china silk", 0.50),
        ("muslin", 0.25),
    ],
)
def test_what_cloths_of_the_gaffers_table_pass(name, passed):
    """2 to the minus loss: computed check values, two digits, half of the last and rounding."""
    figure = tables.diffuser_loss_stops(name)
    assert figure.status == "published"
    assert diffuser_transmission(outer_stops=figure.value) == pytest.approx(passed, abs=0.006)


def test_a_box_loses_in_its_lining_and_both_sheets():
    """.8 x 2^-(1 + .75) = .2378, by hand; nothing in the way passes everything."""
    box = diffuser_transmission(inner_stops=1, outer_stops=0.75, shell=0.8)
    assert box == pytest.approx(0.2378, abs=5e-5)
    assert diffuser_transmission() == 1


@given(energy=st.floats(1, 5000), iso=st.floats(25, 6400), c=st.floats(200, 540))
def test_guide_number_and_intensity_are_inverse(energy, iso, c):
    """There and back; and four times the speed doubles the guide number."""
    number = guide_number_m(energy, iso=iso, c=c)
    assert guide_number_cds(number, iso=iso, c=c) == pytest.approx(energy, rel=1e-12)
    assert guide_number_m(energy, iso=4 * iso, c=c) == pytest.approx(2 * number, rel=1e-12)
    assert guide_number_feet(energy, iso=iso, c=c) == pytest.approx(number / 0.3048, rel=1e-12)


def test_exitance_and_intensity_describe_one_front():
    """Far away, exitance x factor is intensity over distance squared (size/distance of 1/1000)."""
    side_m, distance_m, energy_lms = 0.1, 100.0, 9000.0
    h = side_m / 2
    front = [[-h, distance_m, -h], [h, distance_m, -h], [h, distance_m, h], [-h, distance_m, h]]
    exposure_lxs = exitance_lxs(energy_lms, area_m2=side_m**2) * flat_factor(
        [[0, 0, 0]], (0, 1, 0), front
    )
    assert exposure_lxs[0] == pytest.approx(lambertian_cds(energy_lms) / distance_m**2, rel=1e-5)


def test_figures_no_flash_can_have_are_refused():
    """One plain sentence each."""
    with pytest.raises(
        RangeError, match=r"^0 J cannot be the energy of a flash; allowed: more than 0 J$"
    ):
        front_energy_lms(0, efficacy_lms_per_j=30)
    with pytest.raises(RangeError, match="efficacy of a flash"):
        front_energy_lms(100, efficacy_lms_per_j=-1)
    with pytest.raises(RangeError) as caught:
        front_energy_lms(100, efficacy_lms_per_j=30, transmission=1.2)
    assert str(caught.value) == (
        "1.2 cannot be the transmission of a modifier; "
        "allowed: up to 1, as it cannot pass on more light than it gets"
    )
    with pytest.raises(RangeError, match="area of a front"):
        exitance_lxs(100, area_m2=0)
    with pytest.raises(
        RangeError,
        match=r"^'paper lantern' is a modifier of which no typical loss is known; .*softbox",
    ):
        estimated_output(400, modifier="paper lantern")
    with pytest.raises(RangeError, match=r"beam is known; .*; state its beam angle$"):
        tables.typical_beam("paper lantern")
    with pytest.raises(RangeError, match="profile is known"):
        tables.typical_edge_stops("paper lantern")
    with pytest.raises(
        RangeError, match=r"^'fog' is a diffuser of which no loss is known; .*muslin"
    ):
        tables.diffuser_loss_stops("fog")
    with pytest.raises(RangeError, match="half the light is left; allowed: above 0 and below 90"):
        beam_power(half_angle_deg=90)
    with pytest.raises(RangeError, match=r"^-1 stop cannot be the loss in a sheet"):
        diffuser_transmission(inner_stops=-1)
    with pytest.raises(
        RangeError, match=r"^1\.1 cannot be the share of light a box's lining leaves"
    ):
        diffuser_transmission(shell=1.1)


GOOD_ROW = """
[[thing]]
name = "a"
value = 2
low = 1
status = "published"
source = "somewhere"
"""


def test_a_data_row_is_read_with_its_bounds():
    """A missing bound is the value itself."""
    rows = tables.parse_figures(GOOD_ROW, table="thing", key="name", field="value")
    assert rows == {"a": tables.Figure(2, 1, 2, "published", "somewhere")}


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        (GOOD_ROW.replace('name = "a"\n', ""), "thing '': has no name"),
        (GOOD_ROW.replace('source = "somewhere"\n', ""), "thing 'a': has no source"),
        (GOOD_ROW.replace("published", "rumour"), "has no status out of published"),
        (GOOD_ROW.replace("value = 2\n", ""), "has no positive value"),
        (GOOD_ROW.replace("value = 2", "value = -2"), "has no positive value"),
        (GOOD_ROW.replace("low = 1", "low = 3"), "has its value outside its bounds"),
        (GOOD_ROW + GOOD_ROW, "comes twice"),
    ],
)
def test_a_data_row_without_source_or_sense_is_refused(row, problem):
    """Nothing numeric without a source."""
    with pytest.raises(StoreError, match=problem):
        tables.parse_figures(row, table="thing", key="name", field="value")


def test_a_figure_of_zero_is_read_where_it_makes_sense():
    """A sheet may pass nothing; no row may be negative."""
    row = GOOD_ROW.replace("value = 2\nlow = 1", "value = 0")
    fields = {"table": "thing", "key": "name", "field": "value"}
    assert tables.parse_figures(row, **fields, may_be_zero=True)["a"].value == 0
    with pytest.raises(StoreError, match="has no positive value"):
        tables.parse_figures(row, **fields)
    with pytest.raises(StoreError, match="has no positive value"):
        tables.parse_figures(row.replace("= 0", "= -1"), **fields, may_be_zero=True)
