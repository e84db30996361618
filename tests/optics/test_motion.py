"""Motion blur, flash duration and the table of speeds."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError, StoreError
from kinlight.optics.motion import (
    flash_caught,
    flash_t01_s,
    motion_blur,
    motion_blur_mm,
    parse_speeds,
    speeds,
)
from kinlight.optics.perspective import near_plane_gain
from kinlight.optics.tables import constant, data_text, parse_rows


def test_motion_blur_by_hand() -> None:
    """0.7 m/s for 3.322 ms at m 0.02 is 0.0465 mm; for 1/1000 s 14 um (by hand)."""
    assert motion_blur_mm(speed_m_s=0.7, time_s=0.003322, magnification=0.02) == pytest.approx(
        0.0465, rel=5e-4
    )
    assert motion_blur_mm(speed_m_s=0.7, time_s=0.001, magnification=0.02) == pytest.approx(0.014)


def test_t01_of_a_flash_that_runs_out() -> None:
    """t0.5 1/1000 s means t0.1 1/301 s; the ratio ln 10 / ln 2 is 3.3219 (derived)."""
    t01 = flash_t01_s(t05_s=0.001, t01_s=None, cut_off=False)
    assert t01 / 0.001 == pytest.approx(3.3219, abs=5e-5)
    assert t01 == pytest.approx(1 / 301, rel=1e-3)


def test_t01_of_a_flash_that_is_cut_off_must_be_stated() -> None:
    """No rule leads from t0.5 to t0.1 there; a stated t0.1 is used for either kind."""
    with pytest.raises(RangeError, match=r"cut off electronically.*maker's table"):
        flash_t01_s(t05_s=0.001, t01_s=None, cut_off=True)
    with pytest.raises(RangeError, match="duration is not stated"):
        flash_t01_s(t05_s=None, t01_s=None, cut_off=False)
    assert flash_t01_s(t05_s=0.001, t01_s=0.0012, cut_off=True) == 0.0012
    assert flash_t01_s(t05_s=None, t01_s=0.0012, cut_off=False) == 0.0012


def test_light_caught_by_a_short_shutter() -> None:
    """4 ms clear of a t0.5 of 2 ms catches 0.75, 0.42 stop short (by hand)."""
    caught = flash_caught(clear_time_s=0.004, t05_s=0.002)
    assert caught == pytest.approx(0.75)
    assert math.log2(caught) == pytest.approx(-0.415, abs=5e-4)


def test_half_the_light_inside_t05_and_nine_tenths_inside_t01() -> None:
    """Exponential decay: 50 % within t0.5 (also stated in print), 90 % within t0.1 (derived)."""
    assert flash_caught(clear_time_s=0.002, t05_s=0.002) == pytest.approx(0.5)
    t01 = flash_t01_s(t05_s=0.002, t01_s=None, cut_off=False)
    assert flash_caught(clear_time_s=t01, t05_s=0.002) == pytest.approx(0.9)


@given(t=st.floats(1e-4, 1), more=st.floats(1.01, 5))
def test_a_longer_shutter_catches_more(t: float, more: float) -> None:
    """The share grows with time and never passes one."""
    assert 0 < flash_caught(clear_time_s=t, t05_s=0.01) <= 1
    short = flash_caught(clear_time_s=t, t05_s=1.0)
    assert short < flash_caught(clear_time_s=t * more, t05_s=1.0)


def test_ambient_light_counts_until_five_stops_under() -> None:
    """Five stops under and more the ghost is left out (common practice, no source)."""
    moving = {"speed_m_s": 0.7, "t01_s": 1 / 301, "shutter_s": 1 / 160, "magnification": 0.02}
    near = motion_blur(**moving, ambient_stops_under=4.9)
    assert near.ambient_counts
    assert near.worst_mm == near.ambient_mm == pytest.approx(0.7 / 160 * 0.02 * 1000)
    far = motion_blur(**moving, ambient_stops_under=5.0)
    assert not far.ambient_counts
    assert far.worst_mm == far.flash_mm == pytest.approx(0.0465, rel=2e-3)
    assert not motion_blur(**moving, ambient_stops_under=math.inf).ambient_counts
    with pytest.raises(RangeError, match="not a number"):
        motion_blur(**moving, ambient_stops_under=math.nan)


def test_the_shutter_ends_a_flash_that_outlasts_it() -> None:
    """A flash longer than the shutter streaks no longer than the shutter is open."""
    blur = motion_blur(
        speed_m_s=1, t01_s=0.01, shutter_s=0.005, magnification=0.02, ambient_stops_under=9
    )
    assert blur.flash_mm == pytest.approx(0.1)


def test_speeds_table() -> None:
    """Every row of the shipped table is sourced; a walking child's is the published range.

    J. Appl. Physiol. 86 (1999): 1.00 m/s at 3-4 years, 1.28 at 11-14.
    """
    table = speeds()
    assert {
        "seated adult",
        "standing adult",
        "swaying child",
        "turning head",
        "crawling baby",
        "walking toddler",
        "walking child",
        "running child",
    } <= set(table)
    walking = table["walking child"]
    assert (walking.low_m_s, walking.high_m_s) == (1.00, 1.28)
    assert walking.status == "published"
    assert table["turning head"].high_m_s == pytest.approx(0.09 * math.radians(150), abs=0.005)
    ordered = [table[k].speed_m_s for k in ("seated adult", "standing adult", "walking toddler")]
    assert ordered == sorted(ordered)


ROW = """
[[speed]]
name = "x"
speed_m_s = {speed}
low_m_s = 0.1
high_m_s = 0.2
status = "{status}"
source = "{source}"
"""


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"speed": 0.3}, "outside its own range"),
        ({"speed": -1}, "no positive speed_m_s"),
        ({"speed": '"fast"'}, "no positive speed_m_s"),
        ({"status": "guess"}, "no status out of"),
        ({"source": ""}, "has no source"),
    ],
)
def test_bad_rows_are_refused(changes: dict[str, object], message: str) -> None:
    """A row without source, status or a sensible figure is refused, by name."""
    good: dict[str, object] = {"speed": 0.15, "status": "from memory", "source": "nobody"}
    assert parse_speeds(ROW.format(**good))["x"].speed_m_s == 0.15
    with pytest.raises(StoreError, match=message) as caught:
        parse_speeds(ROW.format(**(good | changes)))
    assert "'x'" in str(caught.value)


def test_a_name_may_come_once() -> None:
    """Two rows of one name are refused."""
    row = ROW.format(speed=0.15, status="from memory", source="nobody")
    with pytest.raises(StoreError, match="comes twice"):
        parse_speeds(row + row)


def test_constants_are_sourced() -> None:
    """Every shipped constant passes the loader and states how sure it is."""
    rows = parse_rows(data_text("constants.toml"), "constant", numbers=("value",))
    assert all(row["uncertainty"] and row["unit"] for row in rows.values())
    assert constant("wavelength_nm") == 550


def test_noses_at_arms_length() -> None:
    """12 in against 60 in: the nose's base 29-30 % wider (research letter, 2018), ours 1.292."""
    gain = near_plane_gain(distance_m=0.3048) / near_plane_gain(distance_m=1.524)
    assert gain == pytest.approx(1.292, abs=0.002)
    assert 1.285 < gain < 1.305


@pytest.mark.parametrize(("distance_m", "gain"), [(1.5, 1.08), (2, 1.06), (3, 1.04), (4, 1.03)])
def test_near_plane_at_portrait_distances(distance_m: float, gain: float) -> None:
    """(D + 0.12) / D by hand."""
    assert near_plane_gain(distance_m=distance_m) == pytest.approx(gain, abs=5e-4)
