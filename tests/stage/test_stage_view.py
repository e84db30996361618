"""The camera looks from where it is put, at what it is aimed at."""

from __future__ import annotations

import numpy as np
import pytest
from stage_cases import AIM_M, staged

from kinlight.errors import SittingError
from kinlight.stage.people import bodies_of, figures_of
from kinlight.stage.view import (
    aim_point_m,
    focal_length_mm,
    near_eye_m,
    settled,
    turned_shift_m,
    view_of,
)

FOCUS = np.array([0.0, 0.0, AIM_M])


def test_the_lens_is_at_the_place_and_looks_at_the_aim() -> None:
    """Pupil ratio 1: the entrance pupil is the place itself; the aim is the middle of the frame."""
    sitting = staged()
    view = view_of(sitting, sitting.pictures[0], focus_on_m=FOCUS)
    assert view.entrance_pupil_m == pytest.approx([0, -4, AIM_M])
    assert view.project_mm(aim_point_m(sitting))[0] == pytest.approx([0, 0], abs=1e-9)
    assert view.focus_m == pytest.approx(4.0)


def test_an_entrance_pupil_lies_before_the_lens() -> None:
    """By hand: f (1 - 1/P) = 50 mm (1 - 1/2) = 25 mm nearer to the people."""
    lens = {"id": "zoom", "shortest": 24, "longest": 70, "pupil_ratio": 2}
    sitting = staged(lenses=[lens])
    view = view_of(sitting, sitting.pictures[0], focus_on_m=FOCUS)
    assert view.entrance_pupil_m == pytest.approx([0, -3.975, AIM_M])
    assert view.focus_m == pytest.approx(4.0)


def test_the_film_plane_stays_at_its_place() -> None:
    """Lens and image distance together are the 4 m that were taped."""
    sitting = staged(camera={"measured_from": "film plane"})
    view = view_of(sitting, sitting.pictures[0], focus_on_m=FOCUS)
    image_m = 0.05 * (1 + view.magnification)  # v = f (1 + m)
    assert view.focus_m + image_m == pytest.approx(4.0)
    assert view.entrance_pupil_m[1] == pytest.approx(-4.0 + image_m)


@pytest.mark.parametrize(
    ("turned_on", "shift_m"),
    [("collar", (0, 0)), ("plate", (0, 0.03)), ("head", (-0.11, -0.11))],
)
def test_how_far_the_lens_moves_when_turned(turned_on: str, shift_m: tuple[float, float]) -> None:
    """Right and up: a collar keeps it, a plate lifts it, a head tips it aside and down."""
    camera = {"turned_on": turned_on, "plate_shift": 30, "axis_over_pivot": 110}
    assert turned_shift_m(staged(camera=camera).camera) == pytest.approx(shift_m)


def test_the_nearer_eye_is_the_one_on_the_camera_side() -> None:
    """Seen from the left, the person's right eye; from the right, the left one."""
    sitting = staged()
    (nora,) = figures_of(sitting.pictures[0], bodies_of(sitting))
    assert near_eye_m(nora, [-3, -3, 1.5]) == pytest.approx(nora.face.eye_right_m)
    assert near_eye_m(nora, [3, -3, 1.5]) == pytest.approx(nora.face.eye_left_m)


def test_a_fixed_lens_has_its_focal_length() -> None:
    """And a picture its own on a zoom."""
    sitting = staged()
    assert focal_length_mm(sitting, sitting.pictures[0]) == 50
    blank = sitting.pictures[0].with_stated(focal_length_mm=None)
    fixed = staged(
        lenses=[{"id": "zoom", "shortest": 85}], pictures=[{"name": "x", "people": ["Nora"]}]
    )
    assert focal_length_mm(fixed, blank) == 85


def test_what_is_blank_is_said() -> None:
    """With its place in the document."""
    with pytest.raises(SittingError, match="camera, place: is blank; run kinlight settle first"):
        settled(None, "camera, place")
    assert settled(0, "camera, place") == 0
