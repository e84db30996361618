"""Crops for the sizes sold."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.optics.crops import (
    Crop,
    Margins,
    Rect,
    crop_for_print,
    crop_one_way,
    needed_rect_mm,
)
from kinlight.optics.framing import CameraView, aimed
from kinlight.optics.prints import kept_of_frame, ppi_to_fill, ways_to_hang

INCH = 0.0254
MARK = (0.0, 0.0, 1.2)
SIZES = [(8 * INCH, 10 * INCH), (20 * INCH, 30 * INCH), (0.3, 0.3), (5 * INCH, 7 * INCH)]
share = st.floats(0, 0.3)
margins = st.builds(Margins, left=share, right=share, bottom=share, top=share)
size = st.sampled_from(SIZES)
coordinate = st.floats(-11.5, 11.5)


def view(*, upright: bool = False) -> CameraView:
    """Return a level camera at 4 m, 85 mm on 36 x 24 mm."""
    return aimed(
        entrance_pupil_m=(0, -4, 1.2),
        aim_m=MARK,
        focus_on_m=MARK,
        focal_length_mm=85,
        sensor_width_mm=36,
        sensor_height_mm=24,
        upright=upright,
    )


@st.composite
def rects(draw: st.DrawFn) -> Rect:
    """Return a rectangle in or near the frame, of some size."""
    x, y = (
        sorted([draw(coordinate), draw(coordinate)]),
        sorted([draw(coordinate), draw(coordinate)]),
    )
    assume(x[1] - x[0] > 0.01 and y[1] - y[0] > 0.01)
    return Rect(x[0], x[1], y[0], y[1])


@pytest.mark.parametrize(
    ("inches", "expected"),
    [  # share of a 3:2 frame, by hand from the two shapes
        ((4, 6), 1.0),
        ((5, 7), 0.9333),
        ((8, 10), 0.8333),
        ((11, 14), 0.8485),
        ((16, 20), 0.8333),
        ((20, 24), 0.8),
        ((20, 30), 1.0),
        ((24, 36), 1.0),
        ((30, 40), 0.8889),
        ((10, 20), 0.75),
        ((8, 8), 0.6667),
    ],
)
def test_share_of_the_frame_kept(inches: tuple[float, float], expected: float) -> None:
    """A print that is cropped to fill keeps the share computed by hand, either way round."""
    wide, high = (side * INCH for side in inches)
    assert kept_of_frame(frame=(36, 24), print_m=(wide, high)) == pytest.approx(expected, abs=6e-5)
    assert kept_of_frame(frame=(24, 36), print_m=(high, wide)) == pytest.approx(expected, abs=6e-5)


@pytest.mark.parametrize(
    ("pixels", "inches", "expected"),
    [  # min(X / long, Y / short), by hand
        ((6000, 4000), (8, 10), 500.0),
        ((6000, 4000), (16, 20), 250.0),
        ((6000, 4000), (20, 30), 200.0),
        ((6000, 4000), (30, 40), 133.3),
        ((8192, 5464), (30, 40), 182.1),
    ],
)
def test_ppi_after_cropping_to_fill(
    pixels: tuple[int, int], inches: tuple[float, float], expected: float
) -> None:
    """The print has the pixels per inch computed by hand."""
    ppi = ppi_to_fill(pixels=pixels, print_m=(inches[0] * INCH, inches[1] * INCH))
    assert ppi == pytest.approx(expected, abs=0.06)


def test_a_crop_by_hand() -> None:
    """What is 12 x 18 mm, with a tenth of air above, needs 20 mm of height and 16 of width at 4:5.

    By hand: 18 / 0.9 = 20; 20 x 8/10 = 16 > 12. Spare width is shared: 2 mm on each side.
    """
    needed = Rect(left_mm=-5, right_mm=7, bottom_mm=-10, top_mm=8)
    crop = crop_one_way(needed, view=view(), print_m=(0.8, 1.0), margins=Margins(top=0.1))
    assert crop.rect.width_mm == pytest.approx(16)
    assert crop.rect.height_mm == pytest.approx(20)
    assert (crop.rect.left_mm, crop.rect.right_mm) == pytest.approx((-7, 9))
    assert (crop.rect.bottom_mm, crop.rect.top_mm) == pytest.approx((-10, 10))
    assert crop.room_mm == pytest.approx((13, 11, 2, 2))  # frame edges at 18 and 12
    assert crop.room_m.left == pytest.approx(13 * (4000 - 85) / 85 / 1000)
    assert crop.fits
    assert crop.kept == pytest.approx(320 / 864)
    assert crop.pixels(pixel_pitch_mm=0.006) == (2666, 3333)
    assert crop.ppi(pixel_pitch_mm=0.006) == pytest.approx(16 / 0.006 / (0.8 / INCH))


def test_a_crop_slides_into_the_frame() -> None:
    """A tall figure near the right edge: the square crop is moved left just far enough (by hand).

    2 x 20 mm at 15 to 17 mm; centred the crop would reach to 26, the frame ends at 18.
    """
    crop = crop_one_way(Rect(15, 17, -10, 10), view=view(), print_m=(0.3, 0.3))
    assert (crop.rect.left_mm, crop.rect.right_mm) == pytest.approx((-2, 18))
    assert crop.fits
    assert crop.room_mm.right == pytest.approx(1)


def test_whole_frame_has_the_whole_sensor() -> None:
    """A 2:3 print of people who fill the frame keeps all of it: 6000 x 4000 pixels at 6 um."""
    needed = Rect(-18, 18, -12, 12)
    crop = crop_for_print(needed, view=view(), size_m=(20 * INCH, 30 * INCH))
    assert crop.fits
    assert crop.kept == pytest.approx(1)
    assert crop.print_m == (30 * INCH, 20 * INCH)
    assert crop.pixels(pixel_pitch_mm=0.006) == (6000, 4000)
    assert crop.ppi(pixel_pitch_mm=0.006) == pytest.approx(200)


def _holds(crop: Crop, needed: Rect, m: Margins) -> None:
    """Check that a crop holds what is needed and its margins."""
    r, hair = crop.rect, 1e-9
    assert r.left_mm + m.left * r.width_mm <= needed.left_mm + hair
    assert r.right_mm - m.right * r.width_mm >= needed.right_mm - hair
    assert r.bottom_mm + m.bottom * r.height_mm <= needed.bottom_mm + hair
    assert r.top_mm - m.top * r.height_mm >= needed.top_mm - hair


@given(needed=rects(), print_m=size, m=margins)
def test_a_crop_holds_what_is_needed(
    needed: Rect, print_m: tuple[float, float], m: Margins
) -> None:
    """It contains it with the margins, has the print's shape, and is inside if it says so."""
    crop = crop_for_print(needed, view=view(), size_m=print_m, margins=m)
    r = crop.rect
    _holds(crop, needed, m)
    assert r.width_mm / r.height_mm == pytest.approx(crop.print_m[0] / crop.print_m[1])
    inside = (
        r.left_mm >= -18 - 1e-8
        and r.right_mm <= 18 + 1e-8
        and r.bottom_mm >= -12 - 1e-8
        and r.top_mm <= 12 + 1e-8
    )
    assert inside == crop.fits


@given(needed=rects(), print_m=size, m=margins)
def test_no_smaller_crop_would_do(needed: Rect, print_m: tuple[float, float], m: Margins) -> None:
    """One side is just as long as what is needed and its margins ask."""
    r = crop_one_way(needed, view=view(), print_m=print_m, margins=m).rect
    spare_across = r.width_mm * (1 - m.left - m.right) - needed.width_mm
    spare_up = r.height_mm * (1 - m.bottom - m.top) - needed.height_mm
    assert min(spare_across, spare_up) == pytest.approx(0, abs=1e-9)


@given(needed=rects(), print_m=size, m=margins)
def test_room_is_how_far_the_people_may_shift(
    needed: Rect, print_m: tuple[float, float], m: Margins
) -> None:
    """Shifted by the room to one side the crop still fits; a millimetre more and it does not."""
    camera = view()
    crop = crop_one_way(needed, view=camera, print_m=print_m, margins=m)
    assume(crop.fits)
    for further, fits in ((-1e-6, True), (1.0, False)):
        shift = crop.room_mm.left + further
        moved = Rect(
            needed.left_mm - shift, needed.right_mm - shift, needed.bottom_mm, needed.top_mm
        )
        assert crop_one_way(moved, view=camera, print_m=print_m, margins=m).fits is fits
        shift = crop.room_mm.top + further
        moved = Rect(
            needed.left_mm, needed.right_mm, needed.bottom_mm + shift, needed.top_mm + shift
        )
        assert crop_one_way(moved, view=camera, print_m=print_m, margins=m).fits is fits


def test_the_way_that_fits_is_chosen() -> None:
    """A standing figure takes the print upright; one too tall for the frame has neither."""
    tall = Rect(-3, 3, -10, 10)
    assert crop_for_print(tall, view=view(), size_m=(0.3, 0.2)).print_m == (0.2, 0.3)
    giant = Rect(-3, 3, -20, 20)
    assert not crop_for_print(giant, view=view(), size_m=(0.3, 0.2)).fits
    assert not crop_for_print(giant, view=view(upright=True), size_m=(0.3, 0.2)).fits
    fits_upright = Rect(-3, 3, -17, 17)
    assert crop_for_print(fits_upright, view=view(upright=True), size_m=(0.3, 0.2)).fits


def test_a_square_hangs_one_way() -> None:
    """There is one way to hang a square and two to hang another print."""
    assert ways_to_hang((0.3, 0.3)) == [(0.3, 0.3)]
    assert ways_to_hang((0.2, 0.3)) == [(0.2, 0.3), (0.3, 0.2)]


def test_a_crop_too_large_for_the_frame_has_no_room() -> None:
    """A square of people 30 mm tall in a 24 mm frame lacks 6 mm, though there is air aside."""
    crop = crop_one_way(Rect(-1, 1, -15, 15), view=view(), print_m=(1, 1))
    assert not crop.fits
    assert crop.room_mm.bottom == pytest.approx(-6)
    assert crop.room_mm.left == pytest.approx(17)


def test_needed_rectangle_bounds_the_points() -> None:
    """It is the box around the projected points, and refuses points behind the lens."""
    rect = needed_rect_mm(view(), [(-0.829, 0, 1.2), (0.829, 0, 1.2), (0, 0, 1.7525)])
    assert (rect.left_mm, rect.right_mm, rect.top_mm) == pytest.approx((-18, 18, 12), rel=5e-4)
    assert rect.bottom_mm == pytest.approx(0)
    with pytest.raises(RangeError, match="not in front of the lens"):
        needed_rect_mm(view(), [(0, 0, 1), (0, -5, 1)])
    with pytest.raises(RangeError, match="not in front of the lens"):
        needed_rect_mm(view(), [])


def test_refusals_are_sentences() -> None:
    """Margins that leave nothing, and single points, are refused."""
    with pytest.raises(RangeError, match="leave no room for the people"):
        Margins(left=0.5, right=0.5)
    with pytest.raises(RangeError, match="single point"):
        crop_one_way(Rect(1, 1, 1, 1), view=view(), print_m=(1, 1))
