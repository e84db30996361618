"""Print sharpness, diffraction, and the best f-number."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.optics.depth import depth_limits
from kinlight.optics.sharpness import (
    COC_LOOSE_MM,
    COC_STRICT_MM,
    airy_diameter_mm,
    best_f_number,
    coc_for_print_mm,
    coc_for_viewing_mm,
    combined_blur_mm,
    ppi_resolved,
    resolved_mm,
    sharp_limits,
    third_stops,
    viewing_distance_m,
    working_coc_mm,
)
from kinlight.quantities.stops import f_number_text

INCH = 0.0254


def test_standard_ring_at_five_metres() -> None:
    """ISO 8596: acuity 1.0 is 5' outside and a 1' gap; at 5 m a page prints 7.3 and 1.46 mm.

    By geometry 7.27 and 1.454 mm, 0.5 %.
    """
    assert resolved_mm(viewing_distance_m=5, acuity_arcmin=5) == pytest.approx(7.27, rel=0.005)
    assert resolved_mm(viewing_distance_m=5, acuity_arcmin=1) == pytest.approx(1.454, rel=0.0005)


def test_one_arcminute_at_reading_distance() -> None:
    """1' at 250 mm is 0.0727 mm, and the customary 0.2 mm is 2.75' (by geometry)."""
    assert resolved_mm(viewing_distance_m=0.25, acuity_arcmin=1) == pytest.approx(0.0727, abs=5e-5)
    assert resolved_mm(viewing_distance_m=0.25, acuity_arcmin=2.75) == pytest.approx(0.2, abs=4e-4)


@pytest.mark.parametrize(
    ("inches", "expected"),
    [(10, 343.8), (20, 171.9), (1 / INCH, 87.3)],  # 3437.7 over inches, by geometry
)
def test_ppi_for_one_arcminute(inches: float, expected: float) -> None:
    """A pixel of 1' needs so many to the inch."""
    ppi = ppi_resolved(viewing_distance_m=inches * INCH, acuity_arcmin=1)
    assert ppi == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize(
    ("distance_m", "enlargement", "arcmin", "expected_mm"),
    [  # D tan(angle) / enlargement by hand
        (0.25, 203.2 / 24, 1, 0.00859),
        (0.25, 203.2 / 24, 2, 0.0172),
        (1.27, 762 / 24, 1, 0.01164),
        (1.27, 762 / 24, 2, 0.0233),
    ],
)
def test_coc_by_hand(
    distance_m: float, enlargement: float, arcmin: float, expected_mm: float
) -> None:
    """The circle of confusion is the one computed by hand."""
    c = coc_for_viewing_mm(
        viewing_distance_m=distance_m, enlargement=enlargement, acuity_arcmin=arcmin
    )
    assert c == pytest.approx(expected_mm, abs=6e-5 if expected_mm > 0.0116 else 6e-6)


def test_coc_for_a_wall_print() -> None:
    """30 x 40 in from a 24 x 32 mm crop, seen from its 1.27 m diagonal at 1': 0.01164 (by hand)."""
    size = {"print_width_m": 40 * INCH, "print_height_m": 30 * INCH}
    assert viewing_distance_m(**size) == pytest.approx(1.27)
    c = coc_for_print_mm(**size, crop_width_mm=32, crop_height_mm=24, acuity_arcmin=1)
    assert c == pytest.approx(0.01164, abs=6e-6)


def test_small_prints_are_held_no_nearer_than_reading_distance() -> None:
    """A 10 x 15 cm print is seen from 250 mm, though its diagonal is less."""
    assert viewing_distance_m(print_width_m=0.1, print_height_m=0.15) == 0.25


@given(side=st.floats(0.25, 2), crop=st.floats(10, 24), grow=st.floats(1.1, 3))
def test_large_prints_need_no_finer_blur(side: float, crop: float, grow: float) -> None:
    """Beyond reading distance a larger print is seen from as much farther: the same blur serves.

    A tighter crop does ask for a finer one, in proportion.
    """

    def coc(side_m: float, crop_mm: float) -> float:
        return coc_for_print_mm(
            print_width_m=side_m,
            print_height_m=side_m * 1.25,
            crop_width_mm=crop_mm,
            crop_height_mm=crop_mm * 1.25,
        )

    assert coc(side * grow, crop) == pytest.approx(coc(side, crop))
    assert coc(side, crop / grow) == pytest.approx(coc(side, crop) / grow)


def test_working_coc_is_the_smallest_but_two_pixels() -> None:
    """The strictest size rules, down to two pixels; customary figures may stand in."""
    assert working_coc_mm([0.023, 0.017], pixel_pitch_mm=0.006) == 0.017
    assert working_coc_mm([0.009], pixel_pitch_mm=0.006) == 0.012
    assert (COC_LOOSE_MM, COC_STRICT_MM) == (0.03, 0.02)  # format custom, from memory
    with pytest.raises(RangeError, match="no print size"):
        working_coc_mm([], pixel_pitch_mm=0.006)


@pytest.mark.parametrize(
    ("f_number", "expected_um"), [(8, 10.74), (11, 14.76), (16, 21.47), (22, 29.52)]
)
def test_airy_diameter_by_hand(f_number: float, expected_um: float) -> None:
    """2.44 x 550 nm x N, by hand."""
    assert airy_diameter_mm(f_number=f_number) * 1000 == pytest.approx(expected_um, abs=0.006)


def test_airy_grows_with_magnification() -> None:
    """At life size the disk is twice as large, and with pupil ratio 2 half as much more."""
    far = airy_diameter_mm(f_number=8)
    assert airy_diameter_mm(f_number=8, magnification=1) == pytest.approx(2 * far)
    assert airy_diameter_mm(f_number=8, magnification=1, pupil_ratio=2) == pytest.approx(1.5 * far)


def test_combined_blur_by_hand() -> None:
    """0.02 mm of defocus at f/11 (N = 11.0) makes 0.02486 mm."""
    blur = combined_blur_mm(0.02, airy_mm=airy_diameter_mm(f_number=11))
    assert float(blur) == pytest.approx(0.02486, abs=6e-6)


lens = {"focal_length_mm": 85.0, "focus_m": 4.0}


@given(n=st.floats(2, 16), u=st.floats(1.5, 8), f=st.floats(35, 120), p=st.floats(0.5, 2))
def test_sharp_range_lies_within_the_geometric_one(n: float, u: float, f: float, p: float) -> None:
    """Diffraction only ever takes depth away, and the combined blur at the near end is c."""
    common = {"focal_length_mm": f, "f_number": n, "focus_m": u, "pupil_ratio": p}
    sharp = sharp_limits(blur_mm=0.025, **common)
    plain = depth_limits(blur_mm=0.025, **common)
    assert not sharp.empty
    assert plain.near_m < sharp.near_m < u < sharp.far_m
    assert sharp.far_m <= plain.far_m
    assert sharp.holds([sharp.near_m, u])


def test_blur_at_the_ends_is_the_one_allowed() -> None:
    """defocus^2 + Airy^2 = c^2 at both ends, with the formulas written out by hand."""
    f, n, u, c = 85.0, 11.3137, 4000.0, 0.02
    sharp = sharp_limits(f_number=n, blur_mm=c, **lens)
    for x in (sharp.near_m * 1000, sharp.far_m * 1000):
        defocus = f**2 / n * abs(x - u) / (x * (u - f))
        airy = 2.44 * 550e-6 * n * (1 + f / (u - f))
        assert defocus**2 + airy**2 == pytest.approx(c**2, rel=1e-9)


def test_diffraction_alone_can_leave_nothing_sharp() -> None:
    """At f/22 the disk is 0.03 mm: with 0.02 allowed the range is empty, and says so."""
    sharp = sharp_limits(f_number=22, blur_mm=0.02, **lens)
    assert sharp.empty
    assert sharp.near_m == sharp.focus_m == sharp.far_m == 4
    assert sharp.total_m == 0
    assert not sharp.holds(4.0)


def test_a_disk_of_just_the_blur_leaves_the_plane_of_focus() -> None:
    """Where the disk equals the blur allowed the focus alone is sharp."""
    m = 85 / (4000 - 85)
    airy = airy_diameter_mm(f_number=8, magnification=m)
    sharp = sharp_limits(f_number=8, blur_mm=airy, **lens)
    assert not sharp.empty
    assert sharp.holds(4.0)
    assert sharp.total_m == 0


def test_third_stop_marks() -> None:
    """A lens of 2.8 to 22 has these marks (common practice, as engraved)."""
    marks = [f_number_text(n) for n in third_stops(widest=2.8, narrowest=22)]
    engraved = (2.8, 3.2, 3.5, 4, 4.5, 5, 5.6, 6.3, 7.1, 8, 9, 10, 11, 13, 14, 16, 18, 20, 22)
    assert marks == [f"f/{n:g}" for n in engraved]
    assert third_stops(widest=1.9, narrowest=1.9) == [1.9]
    with pytest.raises(RangeError, match="f/8 to f/4 does not run from the widest"):
        third_stops(widest=8, narrowest=4)


def test_best_f_number_for_a_focus_spread_of_one_millimetre() -> None:
    """A focus spread dv of 1 mm wants f/19.3 (minimising by hand), so the mark 20, not 18.

    Published practice, from memory: sqrt(375 dv) = 19.4. dv is made with planes at 5 and 16.2 m
    for 85 mm: f^2 (1/a - 1/b) is 1 mm to within 2 %. At the optimum dv/2N equals the Airy disk, so
    the blur is sqrt(2.44 lambda dv) = 0.0366 mm.
    """
    far = 1 / (1 / 5 - 1 / 7.225)
    focus = 2 / (1 / 5 + 1 / far)
    best = best_f_number([5, far], focus_m=focus, focal_length_mm=85, widest=1.4, narrowest=32)
    assert best.f_number == pytest.approx(2 ** (26 / 6))
    assert f_number_text(best.f_number) == "f/20"
    assert best.worst_blur_mm == pytest.approx(math.sqrt(2.44 * 550e-6), rel=0.02)


@given(u=st.floats(2, 6), before=st.floats(0.01, 0.8), behind=st.floats(0.01, 1.5))
def test_no_other_mark_is_better(u: float, before: float, behind: float) -> None:
    """Every other mark of the range has a worst blur at least as large, by the written formula."""
    f, distances = 85.0, [u - before, u + behind]
    best = best_f_number(distances, focus_m=u, focal_length_mm=f, widest=2.8, narrowest=22)
    m = f / (u * 1000 - f)
    for n in third_stops(widest=2.8, narrowest=22):
        defocus = max(f**2 / n * abs(x - u) / (x * (u * 1000 - f)) for x in distances)
        airy = 2.44 * 550e-6 * n * (1 + m)
        assert best.worst_blur_mm <= math.hypot(defocus, airy) * (1 + 1e-12)


def test_a_flat_subject_wants_the_lens_wide_open() -> None:
    """With nothing out of focus the widest mark blurs least."""
    best = best_f_number([3.0], focus_m=3.0, focal_length_mm=85, widest=1.8, narrowest=22)
    assert best.f_number == third_stops(widest=1.8, narrowest=22)[0]
