"""Lengths as people write them.

Foot and inch by definition: exactly 0.3048 m and 0.0254 m (yard and pound agreement of 1959).
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import QuantityError
from kinlight.quantities.lengths import as_float, length_text, number, parse_length_m

METRES = st.floats(min_value=-30, max_value=30, allow_nan=False)
INCH_M = 0.0254


@pytest.mark.parametrize(
    ("written", "metres"),
    [
        (2.4, 2.4),
        (2, 2.0),
        ("2.4", 2.4),
        ("2,4 m", 2.4),
        ("2.4m", 2.4),
        ("2.4 M", 2.4),
        ("2.4 metres", 2.4),
        ("2.4 meters", 2.4),
        ("85 mm", 0.085),
        ("85 cm", 0.85),
        ("-1.2 m", -1.2),
        ("+1.2 m", 1.2),
        ("8 ft", 8 * 0.3048),
        ("8 feet", 8 * 0.3048),
        ("1 foot", 0.3048),
        ("1 in", INCH_M),
        ("1 inch", INCH_M),
        ("36 inches", 0.9144),
        ("5 ft 6 in", 66 * INCH_M),
        ("5ft6in", 66 * INCH_M),
        ("5' 6\"", 66 * INCH_M),
        ("5′ 6″", 66 * INCH_M),
        ("5' 6''", 66 * INCH_M),
        ("6'1\"", 73 * INCH_M),
        ("6'1", 73 * INCH_M),
        ("6’ 1 1/2", 73.5 * INCH_M),
        ("5’ 6”", 66 * INCH_M),
        ("5 ft 6 1/2 in", 66.5 * INCH_M),
        ("3/4 in", 0.75 * INCH_M),
        ("1 m 20 cm", 1.2),
    ],
)
def test_each_way_of_writing_a_length_is_read(written: object, metres: float) -> None:
    """Metric and imperial lengths, by the definition of the foot and the inch."""
    assert parse_length_m(written) == pytest.approx(metres, rel=1e-14)


def test_one_inch_is_exactly_its_definition() -> None:
    """One inch is 0.0254 m without any rounding of ours."""
    assert parse_length_m("1 in") == 0.0254


@pytest.mark.parametrize(
    ("written", "metres"),
    [("-5 ft 6 in", -66 * INCH_M), ("-3 1/2 in", -3.5 * INCH_M), ("- 40 cm", -0.4)],
)
def test_a_minus_sign_holds_for_the_whole_length(written: str, metres: float) -> None:
    """Five feet six to the left is not five feet left and six inches right."""
    assert parse_length_m(written) == pytest.approx(metres, rel=1e-14)


def test_a_bare_number_is_in_the_unit_asked_for() -> None:
    """Focal lengths are given in millimetres without saying so; a stated unit still counts."""
    assert parse_length_m(85, bare_unit="mm") == pytest.approx(0.085)
    assert parse_length_m("85", bare_unit="mm") == pytest.approx(0.085)
    assert parse_length_m("8.5 cm", bare_unit="mm") == pytest.approx(0.085)


@pytest.mark.parametrize(
    "written",
    [
        "",
        " ",
        "m",
        "two metres",
        "2.4 yards",
        "5 ft 6",
        "5 6 ft",
        "6'1 2",
        "1' 2' 3 4",
        "5 ft -6 in",
        "--2 m",
        "2.4.5 m",
        "1/0 in",
        "nan",
        "inf m",
        "1e3",
        math.nan,
        math.inf,
        -math.inf,
        10**400,
        True,
        False,
        None,
        [2.4],
        b"2.4 m",
    ],
)
def test_what_is_not_a_length_is_refused(written: object) -> None:
    """Text, not-a-number, infinity, truth values and lists are no lengths."""
    with pytest.raises(QuantityError, match="is not a length"):
        parse_length_m(written)


@pytest.mark.parametrize(
    ("written", "unit", "sentence"),
    [
        (
            "2.4 yards",
            "m",
            "'2.4 yards' is not a length; "
            'allowed: a length such as 2.4, "2.4 m", "8 ft" or "5 ft 6 in"',
        ),
        (
            True,
            "m",
            'True is not a length; allowed: a length such as 2.4, "2.4 m", "8 ft" or "5 ft 6 in"',
        ),
        ("wide", "mm", '\'wide\' is not a length; allowed: a length such as 85, "85 mm" or "3 in"'),
        ("2,400 mm", "m", "'2,400 mm' can be read two ways; write 2.400 or 2400, as you mean"),
    ],
)
def test_the_sentence_says_what_would_be_right(written: object, unit: str, sentence: str) -> None:
    """The refusal names what was given, as it was given, and shows lengths that can be read."""
    with pytest.raises(QuantityError) as refused:
        parse_length_m(written, bare_unit=unit)
    assert str(refused.value) == sentence


@given(METRES)
def test_a_number_and_its_text_are_the_same_length(metres: float) -> None:
    """Plain decimal text with a unit reads back to the number, whichever decimal sign is used."""
    text = f"{metres:.4f}"
    assert parse_length_m(f"{text} m") == pytest.approx(float(text), abs=1e-12)
    assert parse_length_m(f"{text.replace('.', ',')} m") == parse_length_m(f"{text} m")


@given(METRES)
def test_a_metric_length_reads_back_to_the_centimetre(metres: float) -> None:
    """Taped lengths are shown in whole centimetres, so at most half of one is lost."""
    assert parse_length_m(length_text(metres)) == pytest.approx(metres, abs=0.005 + 1e-9)


@given(METRES)
def test_a_length_in_feet_reads_back_to_the_inch(metres: float) -> None:
    """Lengths in feet are shown in whole inches, so at most half of one is lost."""
    shown = length_text(metres, units="feet")
    assert parse_length_m(shown) == pytest.approx(metres, abs=INCH_M / 2 + 1e-9)
    inches = re.search(r"(\d+) in$", shown)
    assert inches is None or int(inches[1]) < 12


@pytest.mark.parametrize(
    ("metres", "metric", "feet"),
    [
        (2.4, "2.40 m", "7 ft 10 in"),
        (0.85, "85 cm", "2 ft 9 in"),
        (0.996, "1.00 m", "3 ft 3 in"),
        (0.0, "0 cm", "0 in"),
        (-0.001, "0 cm", "0 in"),
        (-0.5, "-50 cm", "-1 ft 8 in"),
        (1.8288, "1.83 m", "6 ft"),
        (math.inf, "no limit", "no limit"),
    ],
)
def test_a_length_is_shown_as_it_is_taped(metres: float, metric: str, feet: str) -> None:
    """Centimetres under a metre, metres above; feet and inches without a needless zero."""
    assert length_text(metres) == metric
    assert length_text(metres, units="feet") == feet


@pytest.mark.parametrize(
    ("text", "value"),
    [("3", 3.0), ("3,5", 3.5), ("1/4", 0.25), ("3 1/2", 3.5), ("-3 1/2", -3.5), ("+1/2", 0.5)],
)
def test_fractions_and_mixed_numbers_are_read(text: str, value: float) -> None:
    """A mixed number is the sum of its parts, and its sign is that of the whole."""
    assert number(text) == value


def test_a_number_too_large_for_a_float_is_infinite() -> None:
    """So that it is refused like infinity, and not with an error of its own."""
    assert as_float(10**400) == math.inf
    assert as_float(3) == 3.0
