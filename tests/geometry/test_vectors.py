from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kinlight.geometry.people import FacePoints, Figure
from kinlight.geometry.vectors import UP, crossed, frame, frozen, turned, unit

number = st.floats(-10, 10)
vectors = st.tuples(number, number, number).map(np.array)


@given(vectors)
def test_a_unit_vector_has_length_one_and_the_same_direction(v: np.ndarray) -> None:
    """Scaled, not turned."""
    assume(np.linalg.norm(v) > 1e-3)
    assert np.linalg.norm(unit(v)) == pytest.approx(1)
    assert unit(v) @ v == pytest.approx(np.linalg.norm(v))


def test_a_cross_product_is_that_of_the_textbook() -> None:
    """Right-handed, by hand: x cross y is z, and (1, 2, 3) x (4, 5, 6) = (-3, 6, -3)."""
    x, y, z = np.eye(3)
    assert crossed(x, y) == pytest.approx(z)
    assert crossed(y, x) == pytest.approx(-z)
    assert crossed(np.array([1.0, 2.0, 3.0]), np.array([4.0, 5.0, 6.0])) == pytest.approx(
        [-3.0, 6.0, -3.0]
    )


@given(vectors, vectors)
def test_a_cross_product_is_square_to_both(a: np.ndarray, b: np.ndarray) -> None:
    """Its square and that of the dot product make up the squares of both lengths (Lagrange)."""
    c = crossed(a, b)
    assert c @ a == pytest.approx(0, abs=1e-9)
    assert c @ b == pytest.approx(0, abs=1e-9)
    assert c @ c + (a @ b) ** 2 == pytest.approx((a @ a) * (b @ b), abs=1e-8)


@given(vectors)
def test_a_frame_is_square_and_right_handed(v: np.ndarray) -> None:
    """Right, up and the direction are square to each other, the right one level."""
    assume(np.linalg.norm(v) > 1e-3)
    right, up = frame(v)
    axes = np.stack([right, up, unit(v)])
    assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-9)
    assert np.linalg.det(axes) == pytest.approx(1)
    assert abs(right[2]) < 1e-9


def test_a_panel_that_faces_the_camera_has_its_right_at_the_cameras_right() -> None:
    """Seen from its front, which the camera sees: facing -y, right is +x and up is +z."""
    right, up = frame([0.0, -1.0, 0.0])
    assert np.allclose(right, [1, 0, 0])
    assert np.allclose(up, UP)


@pytest.mark.parametrize("z", [1.0, -1.0])
def test_a_panel_that_lies_takes_the_backdrop_as_its_up(z: float) -> None:
    """Straight up or down there is no other upward direction."""
    _, up = frame([0.0, 0.0, z])
    assert np.allclose(up, [0, 1, 0])


def test_a_quarter_turn_is_anticlockwise_from_above() -> None:
    """From the camera's right to the backdrop; heights stay."""
    assert np.allclose(turned([1.0, 0.0, 0.7], 90), [0, 1, 0.7])


@given(vectors, st.floats(-360, 360), st.floats(-360, 360))
def test_turns_add_up(v: np.ndarray, a: float, b: float) -> None:
    """One after the other is their sum."""
    assert np.allclose(turned(turned(v, a), b), turned(v, a + b), atol=1e-9)


def test_frozen_arrays_cannot_be_written_to() -> None:
    """What scenes are made of stays as it is."""
    array = frozen([1, 2, 3])
    with pytest.raises(ValueError, match="read-only"):
        array[0] = 5


def _figure() -> Figure:
    """Somebody at the mark who faces the camera; their left is at the camera's right."""
    pair = np.array([[0.2, 0.0, 1.4], [-0.2, 0.0, 1.4]])
    face = FacePoints(
        eye_left_m=np.array([0.03, -0.08, 1.6]),
        eye_right_m=np.array([-0.03, -0.08, 1.6]),
        nose_m=np.array([0.0, -0.11, 1.57]),
        chin_m=np.array([0.0, -0.07, 1.5]),
        crown_m=np.array([0.0, 0.0, 1.72]),
        cheek_left_m=np.array([0.06, -0.06, 1.56]),
        cheek_right_m=np.array([-0.06, -0.06, 1.56]),
        facing=np.array([0.0, -1.0, 0.0]),
        up=UP,
    )
    return Figure("Ida", face, 0.15, pair, pair, pair, pair, pair)


def test_the_left_cheek_faces_the_cameras_right() -> None:
    """Half way between the nose line and the ear line, by hand (1, -1, 0) / sqrt 2."""
    face = _figure().face
    assert np.allclose(face.cheek_normal("left"), np.array([1, -1, 0]) / np.sqrt(2))
    assert np.allclose(face.cheek_normal("right"), np.array([-1, -1, 0]) / np.sqrt(2))


def test_a_head_is_as_broad_as_stated() -> None:
    """Its two sides lie half a breadth from the middle of crown and chin."""
    crown, chin, left, right = _figure().head_points_m()
    assert np.linalg.norm(left - right) == pytest.approx(0.15)
    assert np.allclose((left + right) / 2, (crown + chin) / 2)
    assert left[0] > right[0]
