"""Thin-lens facts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.optics.lens import (
    entrance_pupil_offset_m,
    field_size_m,
    focus_for_magnification_m,
    from_film_plane_m,
    hyperfocal_m,
    image_distance_mm,
    magnification,
    pupil_to_focus_m,
    to_film_plane_m,
)

focal = st.floats(14, 200)
focus = st.floats(0.6, 20)


@pytest.mark.parametrize(
    ("focal_length_mm", "focus_m", "width_mm", "height_mm"),
    [
        (85, 4, 1658, 1105),  # by hand: 36 and 24 times (u - f) / f, to the millimetre
        (85, 5, 2082, 1388),
        (70, 4, 2021, 1347),
        (50, 3, 2124, 1416),
    ],
)
def test_field_at_the_subject(
    focal_length_mm: float, focus_m: float, width_mm: float, height_mm: float
) -> None:
    """A 36 x 24 mm frame covers the width and height computed by hand."""
    for sensor_mm, expected in ((36, width_mm), (24, height_mm)):
        covered = field_size_m(
            sensor_mm=sensor_mm, focal_length_mm=focal_length_mm, focus_m=focus_m
        )
        assert covered * 1000 == pytest.approx(expected, abs=0.51)


@pytest.mark.parametrize(
    ("focal_length_mm", "blur_mm", "expected_mm"),
    [  # f/8; f^2 / (N c) + f by hand, 0.1 mm
        (50, 0.03, 10466.7),
        (85, 0.03, 30189.2),
        (85, 0.025, 36210.0),
        (70, 0.025, 24570.0),
        (105, 0.02, 69011.2),
        (35, 0.03, 5139.2),
    ],
)
def test_hyperfocal_distance(focal_length_mm: float, blur_mm: float, expected_mm: float) -> None:
    """The hyperfocal distance is the one computed by hand from the exact formula."""
    h = hyperfocal_m(focal_length_mm=focal_length_mm, f_number=8, blur_mm=blur_mm)
    assert h * 1000 == pytest.approx(expected_mm, abs=0.06)


def test_hyperfocal_of_an_old_textbook() -> None:
    """A 6 inch lens at f/8 with 1/100 inch has 450 inches, less the focal length left out there.

    Source: The Barnet Book of Photography (1890s), H = f^2 / (N c).
    """
    inch = 25.4
    h = hyperfocal_m(focal_length_mm=6 * inch, f_number=8, blur_mm=inch / 100)
    assert h * 1000 / inch - 6 == pytest.approx(450, rel=1e-12)


def test_life_size() -> None:
    """At two focal lengths the image is life-size and as far behind (textbook, by hand)."""
    assert magnification(focal_length_mm=50, focus_m=0.1) == pytest.approx(1)
    assert image_distance_mm(focal_length_mm=50, focus_m=0.1) == pytest.approx(100)
    assert to_film_plane_m(focus_m=0.1, focal_length_mm=50) == pytest.approx(0.2)


@given(f=focal, u=focus)
def test_the_lens_equation_holds(f: float, u: float) -> None:
    """1/u + 1/v = 1/f, and image over object distance is the magnification."""
    v = image_distance_mm(focal_length_mm=f, focus_m=u)
    assert 1 / (u * 1000) + 1 / v == pytest.approx(1 / f)
    m = magnification(focal_length_mm=f, focus_m=u)
    assert v / (u * 1000) == pytest.approx(m)
    assert focus_for_magnification_m(focal_length_mm=f, magnification=m) == pytest.approx(u)


@given(f=focal, u=focus)
def test_film_plane_and_back(f: float, u: float) -> None:
    """A distance taken to the film plane and back is the same."""
    taped = to_film_plane_m(focus_m=u, focal_length_mm=f)
    assert taped > u
    assert from_film_plane_m(film_distance_m=taped, focal_length_mm=f) == pytest.approx(u)


def test_nearer_than_four_focal_lengths_is_refused() -> None:
    """No lens forms an image with film and subject closer than four focal lengths."""
    assert from_film_plane_m(film_distance_m=0.4, focal_length_mm=100) == pytest.approx(0.2)
    with pytest.raises(RangeError, match="four focal lengths"):
        from_film_plane_m(film_distance_m=0.399, focal_length_mm=100)


@given(f=focal, u=focus, p=st.floats(0.4, 2.5))
def test_pupil_distance_in_both_forms(f: float, u: float, p: float) -> None:
    """The distances u - f (1 - 1/P) and f (1/m + 1/P) are one."""
    m = magnification(focal_length_mm=f, focus_m=u)
    s = pupil_to_focus_m(focal_length_mm=f, focus_m=u, pupil_ratio=p)
    assert s * 1000 == pytest.approx(f * (1 / m + 1 / p))


def test_entrance_pupil_side() -> None:
    """A small entrance pupil lies in front, a large one behind, a symmetrical lens's at the plane.

    Derived: with P = 2, f (1 - 1/2); with P = 0.5, f (1 - 2).
    """
    assert entrance_pupil_offset_m(focal_length_mm=80, pupil_ratio=2) == pytest.approx(0.04)
    assert entrance_pupil_offset_m(focal_length_mm=80, pupil_ratio=1) == 0
    assert entrance_pupil_offset_m(focal_length_mm=80, pupil_ratio=0.5) == pytest.approx(-0.08)


@pytest.mark.parametrize("bad", [0.0, -85.0, math.nan, math.inf])
def test_a_focal_length_must_be_a_length(bad: float) -> None:
    """Zero, negative, infinite and undefined focal lengths are refused in words."""
    with pytest.raises(RangeError, match="cannot be the focal length"):
        magnification(focal_length_mm=bad, focus_m=3)


def test_focus_within_the_focal_length_is_refused() -> None:
    """Metres and millimetres mixed up read as a sentence."""
    with pytest.raises(RangeError, match="is too near for this lens") as caught:
        magnification(focal_length_mm=85, focus_m=0.085)
    assert "0.085 m" in str(caught.value)
