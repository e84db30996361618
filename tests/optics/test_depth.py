"""Depth of field and defocus blur."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.optics.depth import (
    SharpRange,
    defocus_blur_mm,
    depth_limits,
    f_number_for,
    f_number_for_two,
    focus_for_two_m,
    total_depth_m,
)
from kinlight.optics.lens import hyperfocal_m, magnification
from kinlight.quantities.stops import exact_f_number

FOOT = 0.3048
focal = st.floats(24, 135)
focus = st.floats(1, 12)
stop = st.floats(1.4, 22)
ratio = st.floats(0.5, 2)


def limits(f: float, n: float, c: float, u: float, p: float = 1.0) -> SharpRange:
    """Return depth limits from bare numbers."""
    return depth_limits(focal_length_mm=f, f_number=n, blur_mm=c, focus_m=u, pupil_ratio=p)


@pytest.mark.parametrize(
    ("f", "c", "u", "near_mm", "far_mm"),
    [  # f/8, exact thin-lens formulas computed by hand, 0.1 mm
        (50, 0.03, 3, 2337.9, 4185.3),
        (85, 0.03, 3, 2735.2, 3321.6),
        (85, 0.025, 4, 3608.9, 4486.2),
        (70, 0.025, 4, 3447.1, 4764.2),
        (105, 0.02, 3.5, 3335.7, 3681.4),
        (35, 0.03, 2.5, 1685.8, 4835.0),
    ],
)
def test_limits_by_hand(f: float, c: float, u: float, near_mm: float, far_mm: float) -> None:
    """Near and far limits are those computed by hand."""
    sharp = limits(f, 8, c, u)
    assert sharp.near_m * 1000 == pytest.approx(near_mm, abs=0.06)
    assert sharp.far_m * 1000 == pytest.approx(far_mm, abs=0.06)


@pytest.mark.parametrize(
    ("f", "n", "u", "c", "near", "far", "tolerance"),
    [
        # printed scale readings of camera manuals (metres unless in feet); c = 1/30 mm, the usual
        # one for engraved scales of 24 x 36 cameras. The tolerance is the readings' rounding.
        (50, 8, 3, 1 / 30, 2.3, 4.5, 0.03),
        (50, 4, 5, 1 / 30, 4, 7, 0.04),
        (55, 16, 1.5, 1 / 30, 1.2, 2.0, 0.02),  # focal length inferred
        (50, 4, 15 * FOOT, 1 / 30, 12 * FOOT, 19 * FOOT, 0.05),
        # an older convention, c = f/1000; focal length from memory
        (45, 8, 6 * FOOT, 0.045, 4.5 * FOOT, 9 * FOOT, 0.03),
        (127, 32, 5, 0.063, 3, 13, 0.05),  # 6 x 7 cm camera; c fitted
    ],
)
def test_published_scale_readings(
    f: float, n: float, u: float, c: float, near: float, far: float, tolerance: float
) -> None:
    """Camera manuals print these limits, rounded as scales are."""
    sharp = limits(f, n, c, u)
    assert sharp.near_m == pytest.approx(near, rel=tolerance)
    assert sharp.far_m == pytest.approx(far, rel=tolerance)


def test_published_reading_that_ends_at_infinity() -> None:
    """50 mm f/16 at 15 ft reads 8 ft to infinity in a manual; ours ends beyond any scale's marks.

    With c = 1/30 mm focus is just short of the hyperfocal distance, so the far limit is finite.
    """
    sharp = limits(50, 16, 1 / 30, 15 * FOOT)
    assert sharp.near_m == pytest.approx(8 * FOOT, rel=0.05)
    assert sharp.far_m > 100 * FOOT


def test_published_reading_in_inches() -> None:
    """A 1960s manual gives 7 5/8 in before and 8 3/4 in behind 10 ft at f/2 (55 mm inferred)."""
    sharp = limits(55, 2, 1 / 30, 10 * FOOT)
    assert sharp.before_m / 0.0254 == pytest.approx(7.625, rel=0.04)
    assert sharp.behind_m / 0.0254 == pytest.approx(8.75, rel=0.04)


def test_limits_of_an_optics_text() -> None:
    """Modern Optical Engineering, eqs 9.9-9.10: f D (A + B) / (f A +- D B) = 2735.8 and 3322.6 mm.

    The text's form differs from the exact one by (A + B)/A, 0.03 % here.
    """
    sharp = limits(85, 8, 0.03, 3)
    assert sharp.near_m * 1000 == pytest.approx(2735.8, rel=5e-4)
    assert sharp.far_m * 1000 == pytest.approx(3322.6, rel=5e-4)


def test_angular_criterion_problem() -> None:
    """50 mm f/8 at 6 m with 1/30 degree: 3.85 to 13.59 m (problem printed in a calculus textbook).

    Its formula, from memory, is u L / (L +- u tan theta) with L the aperture; a blur seen under
    theta from the lens measures m u tan theta on the sensor.
    """
    c = magnification(focal_length_mm=50, focus_m=6) * 6000 * math.tan(math.radians(1 / 30))
    sharp = limits(50, 8, c, 6)
    assert (sharp.near_m, sharp.far_m) == pytest.approx((3.85, 13.59), abs=0.005)


def test_traced_blur() -> None:
    """A paraxial ray trace (optiland 0.6.3) of f 85 at f/8 on 3 m gives these blurs."""
    blur = defocus_blur_mm([2.5, 3.3216, 3.0], focal_length_mm=85, f_number=8, focus_m=3)
    assert blur[0] == pytest.approx(0.061964, abs=5e-7)
    assert blur[1] == pytest.approx(0.0300, abs=5e-5)
    assert blur[2] == 0


@pytest.mark.parametrize(
    ("m", "p", "expected_mm", "tolerance_mm"),
    [  # 2 N c (1 + m/P) / (m^2 - (N c / f)^2) by hand; form of the formula from memory, re-derived
        (0.1, 1, 52.84, 0.006),
        (0.1, 0.5, 57.65, 0.006),
        (0.1, 2, 50.44, 0.006),
        (0.02, 0.5, 1273.4, 0.06),
        (0.02, 1, 1248.9, 0.06),
        (0.25, 0.5, 11.52, 0.006),
        (0.25, 1, 9.60, 0.006),
        (0.25, 2, 8.64, 0.006),
    ],
)
def test_total_depth_with_pupil_ratio(
    m: float, p: float, expected_mm: float, tolerance_mm: float
) -> None:
    """The pupil ratio changes depth by the amounts computed by hand, little at portrait scale."""
    depth = total_depth_m(
        focal_length_mm=85, f_number=8, blur_mm=0.03, magnification=m, pupil_ratio=p
    )
    assert depth * 1000 == pytest.approx(expected_mm, abs=tolerance_mm)


def test_depth_a_group_has() -> None:
    """85 mm at 5 m, f/8, c 0.02: 491 mm before and 611 mm behind; 70 mm at 4 m: 1044 (by hand)."""
    sharp = limits(85, 8, 0.02, 5)
    assert sharp.before_m * 1000 == pytest.approx(491, abs=0.6)
    assert sharp.behind_m * 1000 == pytest.approx(611, abs=0.6)
    assert limits(70, 8, 0.02, 4).total_m * 1000 == pytest.approx(1044, abs=0.6)


def test_two_planes_by_hand() -> None:
    """3 and 4 m want focus at 3428.57 mm; 3.5 and 4.3 m with f 85, c 0.02 want f/9.818."""
    focus_m = focus_for_two_m(near_m=3, far_m=4, focal_length_mm=85)
    assert focus_m * 1000 == pytest.approx(3428.57, abs=0.005)
    n = f_number_for_two(near_m=3.5, far_m=4.3, focal_length_mm=85, blur_mm=0.02)
    assert n == pytest.approx(9.818, abs=0.0006)


@given(f=focal, c=st.floats(0.01, 0.04), a=focus, deep=st.floats(0.05, 3), p=ratio)
def test_two_planes_round_trip(f: float, c: float, a: float, deep: float, p: float) -> None:
    """The focus and f-number for two planes give just those planes as limits."""
    b = a + deep
    u = focus_for_two_m(near_m=a, far_m=b, focal_length_mm=f, pupil_ratio=p)
    n = f_number_for_two(near_m=a, far_m=b, focal_length_mm=f, blur_mm=c, pupil_ratio=p)
    sharp = limits(f, n, c, u, p)
    assert sharp.near_m == pytest.approx(a, rel=1e-9)
    assert sharp.far_m == pytest.approx(b, rel=1e-7)


@given(f=focal, n=stop, u=focus, p=ratio)
def test_limits_contain_the_focus_and_have_the_blur(f: float, n: float, u: float, p: float) -> None:
    """The focus lies within, and the blur at each limit is the one allowed."""
    sharp = limits(f, n, 0.02, u, p)
    assert sharp.near_m < u < sharp.far_m
    assert sharp.holds(u)
    ends = [sharp.near_m] + ([sharp.far_m] if math.isfinite(sharp.far_m) else [])
    blur = defocus_blur_mm(ends, focal_length_mm=f, f_number=n, focus_m=u, pupil_ratio=p)
    assert blur == pytest.approx(0.02, rel=1e-6)


@given(f=focal, n=stop, u=focus, p=ratio)
def test_stopping_down_never_loses_depth(f: float, n: float, u: float, p: float) -> None:
    """Depth grows with the f-number on both sides."""
    open_, closed = limits(f, n, 0.02, u, p), limits(f, n * 1.1, 0.02, u, p)
    assert closed.near_m < open_.near_m
    assert closed.far_m > open_.far_m or math.isinf(open_.far_m)


@given(f=focal, n=stop)
def test_hyperfocal_reaches_infinity(f: float, n: float) -> None:
    """Focused just beyond the hyperfocal distance infinity is sharp, and half that distance."""
    h = hyperfocal_m(focal_length_mm=f, f_number=n, blur_mm=0.03)
    sharp = limits(f, n, 0.03, h * (1 + 1e-9))
    assert math.isinf(sharp.far_m)
    assert sharp.near_m == pytest.approx(h / 2, rel=1e-6)
    assert math.isinf(sharp.behind_m)
    assert math.isinf(sharp.total_m)


def test_focus_for_two_up_to_infinity() -> None:
    """To hold 5 m and infinity, focus at 10 m (textbook, by hand)."""
    assert focus_for_two_m(near_m=5, far_m=math.inf, focal_length_mm=50) == pytest.approx(10)


@given(u=st.floats(2, 6), offsets=st.lists(st.floats(-0.9, 1.5), min_size=1, max_size=6))
def test_f_number_for_a_stated_focus(u: float, offsets: list[float]) -> None:
    """At the f-number returned the worst distance has exactly the blur allowed."""
    distances = u + np.array(offsets)
    n = f_number_for(distances, focus_m=u, focal_length_mm=85, blur_mm=0.02)
    if n < 1e-6:
        assert np.allclose(distances, u)
        return
    blur = defocus_blur_mm(distances, focal_length_mm=85, f_number=n, focus_m=u)
    assert blur.max() == pytest.approx(0.02)


def test_one_plane_needs_no_depth() -> None:
    """Any f-number holds a single plane."""
    assert f_number_for_two(near_m=3, far_m=3, focal_length_mm=85, blur_mm=0.02) == pytest.approx(
        0, abs=1e-9
    )


def test_shapes_and_infinity() -> None:
    """The blur keeps its argument's shape; at infinity it is the aperture times m."""
    far = np.array([[2.0, 3.0], [5.0, np.inf]])
    blur = defocus_blur_mm(far, focal_length_mm=85, f_number=8, focus_m=3)
    assert blur.shape == (2, 2)
    m = magnification(focal_length_mm=85, focus_m=3)
    assert blur[1, 1] == pytest.approx(85 / 8 * m)
    assert defocus_blur_mm(2.0, focal_length_mm=85, f_number=8, focus_m=3).shape == ()


def test_refusals_are_sentences() -> None:
    """Objects behind the lens, and planes in the wrong order, are refused."""
    with pytest.raises(RangeError, match=r"^-1 m is not in front of the lens"):
        defocus_blur_mm([2, -1], focal_length_mm=85, f_number=8, focus_m=3)
    with pytest.raises(RangeError, match="the nearer one first"):
        focus_for_two_m(near_m=4, far_m=3, focal_length_mm=85)
    with pytest.raises(RangeError, match=r"^0 cannot be the f-number"):
        limits(85, 0, 0.02, 3)


def test_engraved_stops_are_exact_ones() -> None:
    """The depth at f/5.6 is that of 5.657: half the depth of f/11 to first order, not 1.96 of it.

    Derived: small depths are proportional to N, and exact stops two apart double it.
    """
    wide, narrow = (limits(105, exact_f_number(n), 0.001, 2).total_m for n in (5.6, 11))
    assert narrow / wide == pytest.approx(2, rel=1e-4)
