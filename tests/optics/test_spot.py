"""Focal lengths and tripod spots that frame."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.optics.crops import Margins, crop_for_print, needed_rect_mm
from kinlight.optics.framing import CameraView, aimed
from kinlight.optics.spot import (
    ToFrame,
    ZoomLimits,
    level_line,
    nearest_spot_m,
    spot_range_m,
    working_distance_m,
)
from kinlight.optics.zoom import longest_focal_mm

INCH = 0.0254
SIZES = ((8 * INCH, 10 * INCH), (16 * INCH, 24 * INCH))
AIR = Margins(left=0.05, right=0.05, bottom=0.0, top=0.1)
point = st.tuples(st.floats(-1.2, 1.2), st.floats(-0.6, 0.6), st.floats(0.2, 1.9))


def camera(distance: float = 4.0, *, pupil_ratio: float = 1.0, aim_z: float = 1.2) -> CameraView:
    """Return a camera before the mark at 1.2 m, 85 mm on 36 x 24 mm."""
    return aimed(
        entrance_pupil_m=(0, -distance, 1.2),
        aim_m=(0, 0, aim_z),
        focus_on_m=(0, 0, 1.2),
        focal_length_mm=85,
        sensor_width_mm=36,
        sensor_height_mm=24,
        pupil_ratio=pupil_ratio,
    )


def framed(view: CameraView, points: object, margins: Margins = AIR) -> bool:
    """Return whether every size is framed, by projecting and cropping."""
    needed = needed_rect_mm(view, np.asarray(points))
    return all(
        crop_for_print(needed, view=view, size_m=size, margins=margins).fits for size in SIZES
    )


def board(width: float, height: float) -> np.ndarray:
    """Return the corners of a board that stands across the mark, centred on the lens axis."""
    return np.array(
        [(x, 0, 1.2 + z) for x in (-width / 2, width / 2) for z in (-height / 2, height / 2)]
    )


def picture(
    name: str, points: np.ndarray, *, faces: object = (), view: CameraView | None = None
) -> ToFrame:
    """Return a picture to be framed on the line through the mark."""
    return ToFrame(
        name=name,
        points_m=points,
        faces_m=np.asarray(faces, dtype=float).reshape(-1, 3),
        sizes_m=((24 * INCH, 36 * INCH),),
        view_at=level_line(view or camera(), from_m=(0, 0, 1.2)),
    )


def test_longest_focal_by_hand() -> None:
    """A board of 1.658 x 1.105 m at 4 m, for a 2:3 print, is framed by 85 mm (field by hand)."""
    f = longest_focal_mm(camera(), board(1.658, 1.105), sizes_m=[(24 * INCH, 36 * INCH)])
    assert f == pytest.approx(85, rel=5e-4)


@given(
    points=st.lists(point, min_size=2, max_size=6, unique_by=lambda p: (p[0], p[2])),
    ratio=st.floats(0.6, 1.6),
    aim_z=st.floats(0.8, 1.5),
)
def test_the_longest_focal_fits_and_one_per_cent_longer_does_not(
    points: list[tuple[float, float, float]], ratio: float, aim_z: float
) -> None:
    """Checked by projecting and cropping anew at both focal lengths."""
    view = camera(pupil_ratio=ratio, aim_z=aim_z)
    spread = np.ptp(view.slopes(points), axis=0).max()
    if spread < 0.02:  # a few centimetres: no lens is that long
        return
    f = longest_focal_mm(view, points, sizes_m=SIZES, margins=AIR)
    assert framed(view.zoomed(f * (1 - 1e-12)), points)
    assert not framed(view.zoomed(f * 1.01), points)


def test_nearest_spot_by_hand() -> None:
    """85 mm frames a board of 1.658 x 1.105 m from 4 m (field by hand), and from nowhere nearer."""
    nearest = nearest_spot_m(
        picture("board", board(1.658, 1.105)), focal_length_mm=85, shortest_m=1, longest_m=8
    )
    assert nearest == pytest.approx(4, abs=2e-3)
    none = nearest_spot_m(
        picture("board", board(1.658, 1.105)), focal_length_mm=85, shortest_m=1, longest_m=3.9
    )
    assert none is None


def test_where_zooming_alone_serves_by_hand() -> None:
    """24-70 mm, boards 2.124 x 1.416 m and 1.0 x 0.667 m: 1.476 m at 24 mm to 2.014 m at 70 mm.

    By hand in the plane of focus, u = f (1 + 1/m): the large board has m = 36/2124 and is framed
    at 24 mm from u = 24 (1 + 59.0) = 1440 mm; the small one, m = 0.036, fills the frame at 70 mm
    up to 70 (1 + 27.78) = 2014 mm.
    """
    pictures = [picture("all", board(2.124, 1.416)), picture("one", board(1.0, 1.0 / 1.5))]
    limits = ZoomLimits(focal_min_mm=24, focal_max_mm=70, shortest_m=0.5, longest_m=6)
    found = spot_range_m(pictures, limits=limits)
    assert found is not None
    assert found.nearest_m == pytest.approx(24 * (1 + 2124 / 36) / 1000, abs=1e-4)
    assert found.farthest_m == pytest.approx(70 * (1 + 1000 / 36) / 1000, abs=1e-4)
    assert found.nearest_because == "all does not fit the frame at 24 mm"
    assert found.farthest_because == "one does not fill the frame at 70 mm"


def test_cropping_reaches_farther_back() -> None:
    """Allowed to fill half the frame's length, the spot may lie about twice as far off.

    By hand: 70 mm fills half at m = 0.018, u = 70 (1 + 55.56) = 3959 mm.
    """
    limits = ZoomLimits(
        focal_min_mm=24, focal_max_mm=70, shortest_m=0.5, longest_m=6, least_fill=0.5
    )
    found = spot_range_m([picture("one", board(1.0, 1.0 / 1.5))], limits=limits)
    assert found is not None
    assert found.farthest_m == pytest.approx(3.9589, abs=1e-3)


def test_faces_focus_and_room_bound_the_spot() -> None:
    """Working distance, nearest focus and the room each end the range, and are named.

    By hand: a face 0.4 m before the mark must be 1.5 m (3 m for two) from the pupil.
    """
    face = (0, -0.4, 1.2)
    one = picture("one", board(0.5, 0.3), faces=[face])
    limits = ZoomLimits(
        focal_min_mm=20, focal_max_mm=400, shortest_m=0.5, longest_m=5, least_fill=0.05
    )
    found = spot_range_m([one], limits=limits)
    assert found is not None
    assert found.nearest_m == pytest.approx(1.9, abs=1e-5)
    assert found.nearest_because == "one has a face nearer than 1.5 m"
    assert (found.farthest_m, found.farthest_because) == (5, "the room ends")
    two = picture("two", board(0.5, 0.3), faces=[face, (0.1, 0, 1.2)])
    found = spot_range_m([two], limits=limits)
    assert found is not None
    assert found.nearest_m == pytest.approx(3.4, abs=1e-5)
    far_focus = ZoomLimits(
        focal_min_mm=20,
        focal_max_mm=400,
        shortest_m=0.5,
        longest_m=5,
        least_fill=0.05,
        nearest_focus_m=2.5,
    )
    found = spot_range_m([one], limits=far_focus)
    assert found is not None
    assert "does not focus that near" in found.nearest_because
    u, f = found.nearest_m, 0.085
    assert u + u * f / (u - f) == pytest.approx(2.5, abs=1e-5)


def test_default_working_distances() -> None:
    """1.5 m for one face (from memory) and 3 m for several (common practice, no source)."""
    assert working_distance_m(1) == 1.5
    assert working_distance_m(4) == 3.0


def test_no_spot_is_none() -> None:
    """A board wider than the shortest setting covers anywhere in the room has no spot."""
    limits = ZoomLimits(focal_min_mm=70, focal_max_mm=200, shortest_m=1, longest_m=4)
    assert spot_range_m([picture("all", board(4, 2))], limits=limits) is None


@settings(max_examples=15, deadline=None)
@given(
    width=st.floats(0.4, 3),
    height=st.floats(0.4, 2),
    depth=st.floats(-0.5, 0.5),
    fill=st.floats(0.5, 1),
)
def test_inside_the_range_it_works_and_outside_it_does_not(
    width: float, height: float, depth: float, fill: float
) -> None:
    """At both ends zooming frames the picture; a centimetre beyond, one end of the zoom fails."""
    points = board(width, height) + np.array([0, depth, 0])
    one = picture("one", points)
    limits = ZoomLimits(
        focal_min_mm=35, focal_max_mm=85, shortest_m=0.8, longest_m=12, least_fill=fill
    )

    def works(distance: float) -> bool:
        view = one.view_at(distance)
        f = longest_focal_mm(view, points, sizes_m=one.sizes_m)
        at_long = view.zoomed(85).principal_distance_mm / view.zoomed(f).principal_distance_mm
        return f >= 35 and at_long >= fill

    found = spot_range_m([one], limits=limits)
    assert found is not None
    assert works(found.nearest_m)
    assert works(found.farthest_m)
    assert found.nearest_because == "no nearer spot is allowed" or not works(found.nearest_m - 0.01)
    assert found.farthest_because == "the room ends" or not works(found.farthest_m + 0.01)


def test_the_level_line_keeps_height_aim_and_focus() -> None:
    """A camera that looks down steps back level, and stays focused on the same plane."""
    tilted = camera(aim_z=0.9)
    moved = level_line(tilted, from_m=(0, 0, 0))(5.5)
    assert moved.entrance_pupil_m == pytest.approx([0, -5.5, 1.2])
    assert moved.axis == pytest.approx(tilted.axis)
    assert moved.depths_m([(0, 0, 1.2)]) == pytest.approx([moved.focus_m])


def test_what_cannot_be_judged_is_said() -> None:
    """No size, no picture, no room and no lens are refused in words, not searched around."""
    good = ZoomLimits(focal_min_mm=24, focal_max_mm=70, shortest_m=1, longest_m=4)
    no_size = ToFrame(
        "x", board(1, 1), np.zeros((0, 3)), (), level_line(camera(), from_m=(0, 0, 0))
    )
    with pytest.raises(RangeError, match="no print size"):
        spot_range_m([no_size], limits=good)
    with pytest.raises(RangeError, match="no picture"):
        spot_range_m([], limits=good)
    with pytest.raises(RangeError, match="4 to 1 m leaves no distance for the tripod"):
        ZoomLimits(focal_min_mm=24, focal_max_mm=70, shortest_m=4, longest_m=1)
    with pytest.raises(RangeError, match="shortest focal length to its longest"):
        ZoomLimits(focal_min_mm=70, focal_max_mm=24, shortest_m=1, longest_m=4)
    with pytest.raises(RangeError, match="share of the frame"):
        ZoomLimits(focal_min_mm=24, focal_max_mm=70, shortest_m=1, longest_m=4, least_fill=0)
    down = camera()
    straight = aimed(
        entrance_pupil_m=(0, 0, 3),
        aim_m=(0, 0, 0),
        focus_on_m=(0, 0, 0),
        focal_length_mm=50,
        sensor_width_mm=36,
        sensor_height_mm=24,
    )
    assert level_line(down, from_m=(0, 0, 0))(4).entrance_pupil_m == pytest.approx([0, -4, 1.2])
    with pytest.raises(RangeError, match="straight up or down"):
        level_line(straight, from_m=(0, 0, 0))
    with pytest.raises(RangeError, match="single point"):
        longest_focal_mm(camera(), [(0, 0, 1)], sizes_m=SIZES)
