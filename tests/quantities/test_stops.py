"""Stops and f-numbers. The full stops are powers of the square root of two, by definition."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import QuantityError, RangeError
from kinlight.quantities.stops import (
    exact_f_number,
    f_number_text,
    meter_text,
    parse_f_number,
    parse_meter_reading,
    stops,
    stops_text,
)

# The engravings in order, each a third of a stop from the next: common practice on cameras.
_THIRDS = (
    "1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 "
    "20 22 25 29 32 36 40 45 51 57 64 72 80 90"
)
THIRDS = _THIRDS.split()
# The same in half stops, without those that the thirds use for another value (1.2).
HALVES = {3: "1.7", 5: "2.4", 7: "3.3", 9: "4.8", 11: "6.7", 13: "9.5", 17: "19", 19: "27"}
ON_METER = st.integers(min_value=0, max_value=139)  # tenths of a stop over f/1


@pytest.mark.parametrize(("thirds", "engraved"), list(enumerate(THIRDS)))
def test_thirds_stand_for_sixth_roots_of_two(thirds: int, engraved: str) -> None:
    """f/N closes the aperture's area by 2^(1/3) a third, so N by 2^(1/6)."""
    assert exact_f_number(float(engraved)) == pytest.approx(2 ** (thirds / 6), rel=1e-12)


@pytest.mark.parametrize(("halves", "engraved"), HALVES.items())
def test_halves_stand_for_fourth_roots_of_two(halves: int, engraved: str) -> None:
    """Half a stop multiplies the f-number by 2^(1/4)."""
    assert exact_f_number(float(engraved)) == pytest.approx(2 ** (halves / 4), rel=1e-12)


@pytest.mark.parametrize("engraved", THIRDS)
def test_an_engraving_is_within_a_tenth_of_a_stop_of_its_value(engraved: str) -> None:
    """The engravings round the exact values; f/1.2 and f/3.5 by most."""
    exact = exact_f_number(float(engraved))
    assert abs(2 * math.log2(exact / float(engraved))) < 0.15


def test_a_number_that_is_not_engraved_stays_as_it_is() -> None:
    """f/8.3 is f/8.3."""
    assert exact_f_number(8.3) == 8.3


@pytest.mark.parametrize(
    ("ratio", "expected"),
    [(1, 0.0), (2, 1.0), (0.25, -2.0), (3, 1.585)],  # 3:1 from log2, three decimals, by hand
)
def test_stops_are_doublings(ratio: float, expected: float) -> None:
    """A ratio of 3:1 is 1.585 stops."""
    assert stops(ratio) == pytest.approx(expected, abs=5e-4)


@given(st.floats(min_value=1e-6, max_value=1e6), st.floats(min_value=1e-6, max_value=1e6))
def test_stops_of_two_ratios_add(first: float, second: float) -> None:
    """The stops of a product are the sum of the stops."""
    assert stops(first * second) == pytest.approx(stops(first) + stops(second), abs=1e-9)


@pytest.mark.parametrize(("ratio", "given"), [(0.0, "0"), (-1.0, "-1"), (math.nan, "nan")])
def test_no_light_is_no_number_of_stops(ratio: float, given: str) -> None:
    """A ratio must be above zero."""
    with pytest.raises(RangeError) as refused:
        stops(ratio)
    assert str(refused.value) == f"{given} is not a ratio of light; allowed: a number above 0"


@pytest.mark.parametrize(
    ("written", "f_number"),
    [("f/7.1", 7.1), ("7.1", 7.1), ("7,1", 7.1), (" F 8 ", 8.0), ("f8", 8.0), (8, 8.0), (2.8, 2.8)],
)
def test_an_aperture_is_read_as_engraved(written: object, f_number: float) -> None:
    """With or without the f, with a point or a comma."""
    assert parse_f_number(written) == f_number


@pytest.mark.parametrize(
    "written",
    ["", "f/", "f/0", 0, -8, "-8", "wide", "f/8 + 4/10", math.nan, math.inf, 10**400, True, None],
)
def test_what_is_not_an_aperture_is_refused(written: object) -> None:
    """The sentence names what was given and shows an aperture."""
    with pytest.raises(QuantityError) as refused:
        parse_f_number(written)
    expected = f"{written!r} is not an f-number; allowed: an aperture such as f/8 or 7.1"
    assert str(refused.value) == expected


@pytest.mark.parametrize(
    ("written", "exact"),
    [
        ("f/8 + 4/10", 9.190),  # 8 x 2^(4/20), by hand
        ("f/8", 8.0),
        ("8", 8.0),
        (8, 8.0),
        ("f/5.6", 5.657),  # 4 x sqrt(2)
        (5.6, 5.657),
        ("f/11 + 5/10", 13.454),  # 8 x sqrt(2) x 2^(5/20)
        ("F11+5/10", 13.454),
        ("f/7.1", 7.127),  # 4 x 2^(5/6)
        ("7.1", 7.127),
        ("f/4.5", 4.490),  # 4 x 2^(1/6)
        ("2.8", 2.828),
    ],
)
def test_a_meters_display_is_read(written: object, exact: float) -> None:
    """A full stop and tenths, or an engraved third; values by hand, rounded to a thousandth."""
    assert parse_meter_reading(written) == pytest.approx(exact, abs=5e-4)


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        (
            8.4,
            "8.4 can be read two ways: did the meter show f/8 and 4 tenths "
            '(then write "f/8 + 4/10", which is f/9.2), '
            'or the f-number 8.4 (then write "f/8 + 1/10")?',
        ),
        (
            "11,3",
            "11,3 can be read two ways: did the meter show f/11 and 3 tenths "
            '(then write "f/11 + 3/10", which is f/12.6), '
            'or the f-number 11.3 (then write "f/11")?',
        ),
        (
            "4.5",
            "4.5 can be read two ways: did the meter show f/4 and 5 tenths "
            '(then write "f/4 + 5/10", which is f/4.8), '
            'or the f-number 4.5 (then write "f/4.5")?',
        ),
    ],
)
def test_a_reading_that_could_mean_two_things_is_asked_about(
    written: object, sentence: str
) -> None:
    """A bare 8.4 is answered with a question, and the question says how to answer it."""
    with pytest.raises(QuantityError) as asked:
        parse_meter_reading(written)
    assert str(asked.value) == sentence


@pytest.mark.parametrize("written", ["f/8 + 4/10", "f/8 + 1/10", "f/11 + 3/10", "f/4.5"])
def test_every_answer_a_question_offers_can_be_read(written: str) -> None:
    """What the program tells someone to write, it reads."""
    assert parse_meter_reading(written) > 0


@pytest.mark.parametrize("written", ["f/7.3", "12", "f/8.45", "f/7.1 + 2/10", "f/4.5 + 2/10", "0"])
def test_what_no_meter_shows_is_refused(written: str) -> None:
    """Tenths go with full stops, and other numbers only as engraved."""
    with pytest.raises(QuantityError) as refused:
        parse_meter_reading(written)
    assert str(refused.value) == (
        f"{written!r} is not on a meter's scale; "
        'allowed: a full stop and tenths, such as "f/8 + 4/10" or "f/5.6"'
    )


@pytest.mark.parametrize("written", ["", "bright", "f/8 + 4", "-8", math.nan, math.inf, True, None])
def test_what_is_not_a_reading_is_refused(written: object) -> None:
    """The sentence shows how a reading is written."""
    with pytest.raises(QuantityError) as refused:
        parse_meter_reading(written)
    expected = f'{written!r} is not a meter reading; allowed: a reading such as "f/8 + 4/10"'
    assert str(refused.value) == expected


@given(ON_METER)
def test_every_reading_of_the_scale_goes_there_and_back(tenths: int) -> None:
    """From f/1 to f/90 and nine tenths, text and value agree."""
    exact = 2 ** (tenths / 20)
    assert parse_meter_reading(meter_text(exact)) == pytest.approx(exact, rel=1e-9)


@given(st.floats(min_value=1.0, max_value=120.0))
def test_a_reading_loses_at_most_half_a_tenth(f_number: float) -> None:
    """The display has tenths of a stop, so what it shows is within a twentieth."""
    read = parse_meter_reading(meter_text(f_number))
    assert abs(2 * math.log2(read / f_number)) <= 0.05 + 1e-9


@pytest.mark.parametrize(
    ("f_number", "shown"),
    [
        (9.19, "f/8 + 4/10"),
        (8.0, "f/8"),
        (7.98, "f/8"),
        (5.657, "f/5.6"),
        (0.5, "under f/1"),
        (0.0, "under f/1"),
        (200.0, "over f/90"),
        (math.inf, "over f/90"),
    ],
)
def test_the_meter_shows_the_full_stop_below_and_tenths(f_number: float, shown: str) -> None:
    """Beyond its scale, and with no light at all, it says so."""
    assert meter_text(f_number) == shown


@pytest.mark.parametrize("engraved", THIRDS)
def test_an_exact_value_is_shown_as_engraved(engraved: str) -> None:
    """2^(15/6) is f/5.6, not f/5.7."""
    assert f_number_text(exact_f_number(float(engraved))) == f"f/{engraved}"


@pytest.mark.parametrize(("f_number", "shown"), [(8.44, "f/8.4"), (20.9, "f/21"), (8.1, "f/8")])
def test_other_f_numbers_are_shown_plainly(f_number: float, shown: str) -> None:
    """A twentieth of a stop is let pass; more is not."""
    assert f_number_text(f_number) == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (0.3, "+0.3 stop"),
        (-0.3, "-0.3 stop"),
        (1.0, "+1.0 stop"),
        (-1.5, "-1.5 stops"),
        (0.04, "even"),
        (-0.04, "even"),
    ],
)
def test_a_difference_is_said_in_tenths(value: float, shown: str) -> None:
    """Less than half a tenth is even."""
    assert stops_text(value) == shown
