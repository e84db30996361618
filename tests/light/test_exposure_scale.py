from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.exposure import (
    C_DOME,
    C_FLAT,
    K,
    equivalent_reflectance,
    exposure_for_lxs,
    exposure_value,
    exposure_value_iso100,
    f_number_for,
    flash_over_ambient_stops,
    focal_middle_lxs,
    focal_saturation_lxs,
    illuminance_for_lx,
    luminance_for_cd_m2,
    rendered_linear,
    srgb_code,
    total_exposure_lxs,
)

F_NUMBERS = st.floats(0.7, 90)
SPEEDS = st.floats(25, 102_400)


def test_default_constants_are_those_of_the_standard():
    """C 250 flat and 330 dome, K 12.5 (ISO 2720 as quoted, reference values, section 1)."""
    assert (C_FLAT, C_DOME, K) == (250, 330, 12.5)


@pytest.mark.parametrize(
    ("f_number", "time_s", "iso", "c", "lux"),
    [
        (8, 1 / 125, 100, 250, 20_000),  # ISO 2720, N^2/t = E S / C
        (8, 1 / 125, 100, 330, 26_400),
        (8, 1, 100, 250, 160),  # example in the documentation of colour-hdri 0.2.6
        (4, 1 / 48, 800, 250, 240),  # worked cine example, 24 frames at 180 degrees
    ],
)
def test_steady_light_for_a_setting(f_number, time_s, iso, c, lux):
    """Check values, 0.1 %."""
    assert illuminance_for_lx(f_number, time_s=time_s, iso=iso, c=c) == pytest.approx(
        lux, rel=0.001
    )


@pytest.mark.parametrize(
    ("f_number", "iso", "c", "lxs"),
    [
        (8, 100, 250, 160),  # H = C N^2 / S from ISO 2720 with E t
        (5.6, 400, 250, 19.6),
        (8, 100, 330, 211),  # reference values, section 1, three digits
    ],
)
def test_flash_light_for_a_setting(f_number, iso, c, lxs):
    """Check values, 0.1 % (211 is rounded to half a unit)."""
    assert exposure_for_lxs(f_number, iso=iso, c=c) == pytest.approx(
        lxs, rel=0.0024 if c > 300 else 0.001
    )


def test_flat_and_dome_differ_by_four_tenths():
    """0.40 stop for one and the same light (reference values, section 1, two decimals)."""
    flat, dome = (f_number_for(500, iso=100, c=c) for c in (C_FLAT, C_DOME))
    assert 2 * math.log2(flat / dome) == pytest.approx(0.40, abs=0.005)


def test_luminance_for_a_setting():
    """8.0 cd/m2 at f/8, 1 s, ISO 100: example in the documentation of colour-hdri 0.2.6."""
    assert luminance_for_cd_m2(8, time_s=1, iso=100) == pytest.approx(8.0, rel=1e-12)


@pytest.mark.parametrize("iso", [100, 400])
def test_sunny_sixteen(iso):
    """f/16 at 1/ISO second is 3200 cd/m2: discussion of ANSI PH3.49 (check value, 0.1 %)."""
    assert luminance_for_cd_m2(16, time_s=1 / iso, iso=iso) == pytest.approx(3200, rel=0.001)


def test_exposure_values():
    """EV 12.966 at f/8 and 1/125 s; 320 lx is EV100 7 (check values)."""
    assert exposure_value(8, time_s=1 / 125) == pytest.approx(12.966, abs=0.001)
    assert exposure_value_iso100(320) == pytest.approx(7.0, abs=1e-12)
    assert exposure_value_iso100(2.5) == pytest.approx(0, abs=1e-12)  # EV100 = log2(E / 2.5)


@pytest.mark.parametrize(
    ("k", "c", "reflectance", "tolerance"),
    [
        (12.5, 250, 0.157, 0.001),  # light-meter reference article
        (14, 250, 0.176, 0.001),
        # Textbook chapter in foot units: K 3.64 fL, C 25.6 fc; 1 fL is 10.764/pi cd/m2.
        (3.64 * 10.7639 / math.pi, 25.6 * 10.7639, 0.142, 0.003),
    ],
)
def test_reflectance_on_which_both_meters_agree(k, c, reflectance, tolerance):
    """Check values."""
    assert equivalent_reflectance(k=k, c=c) == pytest.approx(reflectance, abs=tolerance)


def test_sensor_scale():
    """0.78 and 0.10 lx s at ISO 100; 18 % at the middle leaves room to 140 % (ISO 12232).

    The middle, 10 / S, is from memory; the others are check values (0.5 % and 0.1 %).
    """
    assert focal_saturation_lxs(100) == pytest.approx(0.78, rel=0.005)
    assert focal_middle_lxs(100) == pytest.approx(0.10, rel=1e-12)
    headroom = focal_saturation_lxs(100) / focal_middle_lxs(100)
    assert headroom * 0.18 == pytest.approx(1.404, rel=0.001)
    assert math.log2(headroom) == pytest.approx(2.96, abs=0.005)  # reference values, section 1


@pytest.mark.parametrize(
    ("linear", "code"), [(0.18, 117.6), (0.90, 243.4), (0.03, 48.4), (0.36, 161.7)]
)
def test_srgb_code(linear, code):
    """IEC 61966-2-1, computed check values, one decimal."""
    assert srgb_code(linear) == pytest.approx(code, abs=0.05)


def test_srgb_ends_and_joint():
    """Black is 0, white 255, beyond is clipped, and the two pieces meet (IEC rounds to 1e-5)."""
    assert srgb_code([-0.5, 0, 1, 3]).tolist() == pytest.approx([0, 0, 255, 255])
    low, high = srgb_code([0.0031308, 0.0031308 + 1e-12])
    assert high - low == pytest.approx(0, abs=1e-4)


@given(n=F_NUMBERS, iso=SPEEDS, c=st.floats(240, 540))
def test_light_and_f_number_are_inverse(n, iso, c):
    """There and back; a stop more of light is a stop on the meter."""
    lxs = exposure_for_lxs(n, iso=iso, c=c)
    assert f_number_for(lxs, iso=iso, c=c) == pytest.approx(n, rel=1e-12)
    assert f_number_for(2 * lxs, iso=iso, c=c) == pytest.approx(n * math.sqrt(2), rel=1e-12)


@given(n=F_NUMBERS, iso=SPEEDS, reflectance=st.floats(0, 1), stops=st.floats(-5, 5))
def test_a_patch_at_its_flat_reading_comes_out_at_its_own_reflectance(n, iso, reflectance, stops):
    """And in proportion to its light otherwise."""
    lxs = exposure_for_lxs(n, iso=iso)
    tone = rendered_linear(reflectance, lxs, f_number=n, iso=iso)
    assert tone == pytest.approx(reflectance, rel=1e-12)
    tone = rendered_linear(reflectance, lxs * 2**stops, f_number=n, iso=iso)
    assert tone == pytest.approx(reflectance * 2**stops, rel=1e-12)


@given(lxs=st.floats(0.1, 1e4), lx=st.floats(0.1, 1e4), time_s=st.floats(1e-3, 1))
def test_ambient_light_adds_to_the_flash(lxs, lx, time_s):
    """Halving the shutter time puts it a stop farther under; the sum is at least the flash."""
    under = flash_over_ambient_stops(lxs, ambient_lx=lx, time_s=time_s)
    faster = flash_over_ambient_stops(lxs, ambient_lx=lx, time_s=time_s / 2)
    assert faster - under == pytest.approx(1, abs=1e-9)
    total = total_exposure_lxs(lxs, ambient_lx=lx, time_s=time_s)
    assert total / lxs == pytest.approx(1 + 2.0 ** (-under), rel=1e-9)


def test_ambient_light_by_hand():
    """160 lx s over 200 lx for 1/125 s: 1.6 lx s, log2(100) = 6.644 stops (by hand)."""
    assert total_exposure_lxs(160, ambient_lx=200, time_s=1 / 125) == pytest.approx(161.6)
    stops = flash_over_ambient_stops(160, ambient_lx=200, time_s=1 / 125)
    assert stops == pytest.approx(6.644, abs=0.0005)


def test_darkness_has_its_own_answers():
    """No light reads f/0; no ambient is infinitely far under; nothing against nothing is open."""
    assert f_number_for(0, iso=100) == 0
    under = flash_over_ambient_stops([160, 0, 0], ambient_lx=[0, 10, 0], time_s=0.01)
    assert under[:2].tolist() == [math.inf, -math.inf]
    assert np.isnan(under[2])


def test_arrays_keep_their_shape():
    """Receivers in, receivers out."""
    lxs = np.array([[160.0, 320.0], [640.0, 0.0]])
    assert f_number_for(lxs, iso=100) == pytest.approx(np.array([[8, 8 * 2**0.5], [16, 0]]))
    assert total_exposure_lxs(lxs, ambient_lx=100, time_s=0.01) == pytest.approx(lxs + 1)
    assert rendered_linear([0.18, 0.9], [160.0, 80.0], f_number=8, iso=100) == pytest.approx(
        np.array([0.18, 0.45])
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: exposure_for_lxs(0, iso=100), r"^0 cannot be the f-number; allowed: more than 0$"),
        (lambda: exposure_for_lxs(8, iso=-100), r"^-100 cannot be the ISO speed"),
        (lambda: exposure_for_lxs(8, iso=100, c=0), "the meter constant"),
        (
            lambda: f_number_for([1, -2], iso=100),
            r"^-2 lx s cannot be the exposure; allowed: 0 lx s or more$",
        ),
        (lambda: f_number_for(math.nan, iso=100), r"^nan lx s cannot be the exposure"),
        (
            lambda: illuminance_for_lx(8, time_s=0, iso=100),
            r"the shutter time; allowed: more than 0 s",
        ),
        (lambda: exposure_value(8, time_s=-1), "the shutter time"),
        (lambda: exposure_value_iso100(0), "the illuminance"),
        (lambda: rendered_linear(-0.1, 1, f_number=8, iso=100), "the reflectance"),
        (lambda: total_exposure_lxs(1, ambient_lx=-1, time_s=1), "the steady light"),
        (lambda: focal_middle_lxs(0), "the ISO speed"),
    ],
)
def test_figures_no_camera_can_have_are_refused(call, words):
    """One plain sentence each."""
    with pytest.raises(RangeError, match=words):
        call()
