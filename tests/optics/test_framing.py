"""Projection from the entrance pupil."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.optics.framing import CameraView, aimed, upright_shift_m

MARK = (0.0, 0.0, 1.2)
place = st.tuples(st.floats(-1.5, 1.5), st.floats(-1, 1), st.floats(0, 2))


def at(distance: float = 4.0, **changes: object) -> CameraView:
    """Return a level camera before the mark, 85 mm on 36 x 24 mm."""
    settings: dict[str, object] = {
        "entrance_pupil_m": (0, -distance, 1.2),
        "aim_m": MARK,
        "focus_on_m": MARK,
        "focal_length_mm": 85.0,
        "sensor_width_mm": 36.0,
        "sensor_height_mm": 24.0,
    }
    return aimed(**(settings | changes))  # type: ignore[arg-type]


def test_field_edges_fall_on_the_frame_edges() -> None:
    """85 mm at 4 m covers 1658 x 1105 mm (by hand): those corners land on the sensor's corners."""
    corners = [(x, 0, 1.2 + z) for x in (-0.829, 0.829) for z in (-0.5525, 0.5525)]
    xy = at().project_mm(corners)
    assert np.abs(xy[:, 0]) == pytest.approx(18, rel=5e-4)
    assert np.abs(xy[:, 1]) == pytest.approx(12, rel=5e-4)


def test_right_and_up_are_right_and_up() -> None:
    """Camera right (room +x) is right in the picture, and higher is higher."""
    xy = at().project_mm([(0.5, 0, 1.2), (0, 0, 1.7), MARK])
    assert xy[0, 0] > 0
    assert xy[0, 1] == pytest.approx(0)
    assert xy[1, 1] > 0
    assert xy[2] == pytest.approx([0, 0], abs=1e-12)


@given(p=place, ratio=st.floats(0.5, 2))
def test_in_focus_the_picture_is_the_magnification_times_life(
    p: tuple[float, float, float], ratio: float
) -> None:
    """In the plane of focus, sizes on the sensor are m times life for any pupil ratio."""
    view = at(pupil_ratio=ratio)
    (xy,) = view.project_mm([(p[0], 0, p[2])])
    assert xy == pytest.approx(
        [p[0] * view.magnification * 1000, (p[2] - 1.2) * view.magnification * 1000]
    )


@given(p=place, scale=st.floats(0.3, 3))
def test_points_on_one_line_of_sight_coincide(p: tuple[float, float, float], scale: float) -> None:
    """A point moved along its line from the entrance pupil stays where it is in the picture."""
    view = at(aim_m=(0.4, 0.1, 0.9), pupil_ratio=1.3)
    pupil = view.entrance_pupil_m
    there = pupil + scale * (np.array(p) - pupil)
    assert view.project_mm([there]) == pytest.approx(view.project_mm([p]), abs=1e-9)


@given(p=place, k=st.floats(0.5, 2))
def test_projection_does_not_know_the_scale_of_the_room(
    p: tuple[float, float, float], k: float
) -> None:
    """Slopes are unchanged when the whole room is enlarged about the camera."""
    near, far = at(4), at(4 * k)
    grown = np.array([p[0] * k, p[1] * k, 1.2 + (p[2] - 1.2) * k])
    assert far.slopes([grown]) == pytest.approx(near.slopes([p]), abs=1e-12)


def test_near_things_are_larger_by_the_distances_from_the_pupil() -> None:
    """A face at 2 m is twice as large as one at 4 m, counted from the entrance pupil (by hand)."""
    near, far = at(pupil_ratio=1.5).project_mm([(0.2, -2, 1.2), (0.2, 0, 1.2)])
    assert near[0] / far[0] == pytest.approx(2)


def test_depth_runs_from_the_principal_plane() -> None:
    """With P = 2 the entrance pupil stands f/2 in front of it: 4 m from the pupil are 4.0425 m."""
    view = at(pupil_ratio=2.0)
    assert view.focus_m == pytest.approx(4 + 0.0425)
    assert view.depths_m([MARK]) == pytest.approx([4.0425])
    assert view.along_axis_m([MARK]) == pytest.approx([4.0])


def test_points_behind_the_lens_are_in_no_picture() -> None:
    """A stand beside or behind the camera projects to nan, and others are not disturbed."""
    xy = at().project_mm([(0.5, -5, 1), (0.5, -4, 1), (0.1, 0, 1.2)])
    assert np.isnan(xy[:2]).all()
    assert np.isfinite(xy[2]).all()


def test_upright_swaps_the_frame_and_nothing_else() -> None:
    """Turned upright the frame stands; points stay where they were in the picture."""
    level, upright = at(), at(upright=True)
    assert level.frame_mm == (36, 24)
    assert upright.frame_mm == (24, 36)
    points = [(0.3, 0.2, 1.5)]
    assert level.project_mm(points) == pytest.approx(upright.project_mm(points))


@given(f=st.floats(24, 200), ratio=st.floats(0.5, 2))
def test_zooming_keeps_the_plane_of_focus(f: float, ratio: float) -> None:
    """After zooming the mark is still in focus and the picture has grown by the scale alone."""
    view = at(pupil_ratio=ratio)
    zoomed = view.zoomed(f)
    assert zoomed.depths_m([MARK]) == pytest.approx([zoomed.focus_m])
    grown = zoomed.principal_distance_mm / view.principal_distance_mm
    points = [(0.3, 0.5, 1.6), (-0.4, -0.3, 0.8)]
    assert zoomed.project_mm(points) == pytest.approx(grown * view.project_mm(points))


def test_moving_keeps_the_plane_of_focus() -> None:
    """Moved back and aside, the camera is still focused on the mark."""
    view = at(aim_m=(0.2, 0, 1.0)).moved((0.3, -0.5, 0.1))
    assert view.depths_m([MARK]) == pytest.approx([view.focus_m])
    assert view.entrance_pupil_m == pytest.approx([0.3, -4.5, 1.3])


def test_focused_on_another_point() -> None:
    """The plane of focus can be put through somebody's eye."""
    view = at().focused_on((0.1, 0.3, 1.4))
    assert view.focus_m == pytest.approx(4.3)


@pytest.mark.parametrize(
    ("given", "expected"),
    [  # by hand: a quarter turn about the joint carries (0, h) to (-h, 0) or (h, 0)
        ({}, (0, 0)),
        ({"axis_above_pivot_m": 0.12}, (-0.12, -0.12)),
        ({"axis_above_pivot_m": 0.12, "to_right": True}, (0.12, -0.12)),
        ({"plate_right_m": 0.01, "plate_up_m": 0.03}, (0.01, 0.03)),
    ],
)
def test_how_far_the_lens_moves_when_turned_upright(
    given: dict[str, float], expected: tuple[float, float]
) -> None:
    """A collar moves it not at all, a plate as stated, a tipped head aside and down alike."""
    assert upright_shift_m(**given) == pytest.approx(expected)  # type: ignore[arg-type]


def test_impossible_cameras_are_refused() -> None:
    """A camera at its own aim, or focused behind itself, is refused in words."""
    with pytest.raises(RangeError, match="stands at the very point"):
        at(aim_m=(0, -4, 1.2))
    with pytest.raises(RangeError, match="focus"):
        at(focus_on_m=(0, -6, 1.2))
    view = at()
    with pytest.raises(RangeError, match="not square to each other"):
        CameraView(
            entrance_pupil_m=view.entrance_pupil_m,
            axis=view.axis,
            right=view.up,
            up=view.up,
            focal_length_mm=85,
            focus_m=4,
            sensor_width_mm=36,
            sensor_height_mm=24,
        )
