from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.geometry.solids import (
    Solids,
    ellipsoid,
    holds_points,
    lifted,
    limb,
    square_axes,
    together,
    trunk,
)
from kinlight.geometry.vectors import UP, unit

length = st.floats(0.02, 0.6)
straights = st.floats(0.0, 4.0)
numbers = st.floats(-1.0, 1.0)
directions = (
    st.tuples(numbers, numbers, numbers).map(np.array).filter(lambda v: np.linalg.norm(v) > 0.1)
)


@st.composite
def bodies(draw: st.DrawFn) -> Solids:
    """Return any one body anywhere near."""
    axes = square_axes(draw(directions))
    one = ellipsoid("x", draw(directions), axes, [draw(length) for _ in range(3)])
    return Solids(one.centre_m, one.axes, one.radius_m, np.array([draw(straights)]), one.part)


def surface_m(solids: Solids, count: int = 400) -> np.ndarray:
    """Return points all over the surface of the first of some bodies, shape (count, 3)."""
    ball = unit(np.random.default_rng(7).normal(size=(count, 3)))
    ball[:, 2] += np.sign(ball[:, 2]) * solids.straight[0]
    return solids.centre_m[0] + (ball * solids.radius_m[0]) @ solids.axes[0]


def test_a_limb_ends_one_radius_beyond_its_joints() -> None:
    """By hand: joints 0.4 m apart, 0.05 m thick each way."""
    one = limb("shank", [1, 0, 0.1], [1, 0, 0.5], radius_m=0.05)
    inside = [[1, 0, 0.051], [1, 0, 0.549], [1.049, 0, 0.3], [1, -0.049, 0.1], [1, 0.049, 0.5]]
    outside = [[1, 0, 0.049], [1, 0, 0.551], [1.051, 0, 0.3], [1.036, 0, 0.536], [1, 0.04, 0.54]]
    assert holds_points(one, inside).all()
    assert not holds_points(one, outside).any()


def test_a_limb_of_no_length_is_a_ball() -> None:
    """Joints that fall together leave a body, not a division by zero."""
    one = limb("forearm", [0, 0, 1], [0, 0, 1], radius_m=0.1)
    assert holds_points(one, [[0.09, 0, 1], [0, 0, 1.09], [0.08, 0, 1.08]]).ravel().tolist() == [
        True,
        True,
        False,
    ]
    assert one.reach_m() == pytest.approx([0.1])


def test_a_trunk_is_as_long_as_from_end_to_end_and_oval() -> None:
    """By hand: 0.6 m high, 0.3 m broad along x, 0.2 m deep, its ends rounded inward."""
    one = trunk("chest", [0, 0, 1], [0, 0, 1.6], aside=[1, 0, 0.4], **half(0.15, 0.1))
    inside = [[0, 0, 1.001], [0, 0, 1.599], [0.149, 0, 1.3], [0, -0.099, 1.3], [0.149, 0, 1.101]]
    outside = [[0, 0, 0.999], [0, 0, 1.601], [0.151, 0, 1.3], [0, 0.101, 1.3], [0.12, 0, 1.58]]
    assert holds_points(one, inside).all()
    assert not holds_points(one, outside).any()
    assert np.allclose(one.axes[0] @ one.axes[0].T, np.eye(3))
    assert np.linalg.det(one.axes[0]) == pytest.approx(1)


def test_a_trunk_shorter_than_deep_is_an_ellipsoid() -> None:
    """Nothing is left of its straight part."""
    one = trunk("chest", [0, 0, 0], [0, 0, 0.1], aside=[0, 1, 0], **half(0.3, 0.2))
    assert one.straight == pytest.approx([0])
    assert one.radius_m == pytest.approx(np.array([[0.3, 0.2, 0.05]]))


def half(breadth_m: float, depth_m: float) -> dict[str, float]:
    """Return the cross section of a trunk."""
    return {"half_breadth_m": breadth_m, "half_depth_m": depth_m}


@given(bodies())
@settings(max_examples=50)
def test_the_reach_is_that_of_the_farthest_point(one: Solids) -> None:
    """A ball about the centre holds the body, and is not much larger than it need be."""
    far = np.linalg.norm(surface_m(one, 4000) - one.centre_m[0], axis=1).max()
    assert far <= one.reach_m()[0] * (1 + 1e-9)
    assert far >= one.reach_m()[0] * 0.97  # as close as 4000 points come


def test_the_reach_of_a_broad_trunk_is_to_its_shoulder() -> None:
    """By hand: radii 2, 1, 1, straight 1: the farthest point is at cosine 1/3, sqrt(16/3) away."""
    one = Solids(
        np.zeros((1, 3)), np.eye(3)[None], np.array([[2.0, 1.0, 1.0]]), np.array([1.0]), ("x",)
    )
    assert one.reach_m() == pytest.approx([np.sqrt(16 / 3)])


@given(bodies(), directions)
@settings(max_examples=50)
def test_bodies_are_moved_whole(one: Solids, by_m: np.ndarray) -> None:
    """What was inside stays inside."""
    points = one.centre_m[0] + np.random.default_rng(1).uniform(-1, 1, (200, 3)) * one.reach_m()
    moved = one.moved(by_m)
    assert moved.part == one.part
    near = np.abs(holds_points(swollen(one, 1.001), points)) != holds_points(one, points)
    same = holds_points(moved, points + by_m) == holds_points(one, points)
    assert (same | near).all()  # but for points that lie on the surface to a thousandth


def swollen(one: Solids, share: float) -> Solids:
    """Return a body larger about its centre."""
    return Solids(one.centre_m, one.axes, one.radius_m * share, one.straight, one.part)


@given(bodies())
@settings(max_examples=50)
def test_the_surface_parts_inside_from_outside(one: Solids) -> None:
    """A hair less and a point is held, a hair more and it is not."""
    from_centre = surface_m(one) - one.centre_m[0]
    assert holds_points(one, one.centre_m[0] + 0.999 * from_centre).all()
    assert not holds_points(one, one.centre_m[0] + 1.001 * from_centre).any()


def test_bodies_together_keep_their_order() -> None:
    """And none at all is a list too, that holds nothing and moves nothing."""
    two = together([limb("a", [0, 0, 0], UP, radius_m=0.1), limb("b", [5, 0, 0], UP, radius_m=0.2)])
    assert two.part == ("a", "b")
    assert holds_points(two, [[0.05, 0, 0.5]]).tolist() == [[True, False]]
    assert two.named("b", "c").part == ("b",)
    assert two.named("b").centre_m.tolist() == [[2.5, 0, 0.5]]
    assert len(two.named()) == 0
    none = together([])
    assert len(none) == 0
    assert none.reach_m().shape == (0,)
    assert holds_points(none, [[0, 0, 0]]).shape == (1, 0)
    points, clear = lifted([[1, 2, 3]], [[0, 0, 1]], none)
    assert points.tolist() == [[1, 2, 3]]
    assert clear.all()


@given(bodies(), directions, st.floats(0.0005, 0.02))
def test_lifted_points_lie_on_their_normal_and_clear(
    one: Solids, normal: np.ndarray, by_m: float
) -> None:
    """No point of the surface is nearer than asked, and none is moved when it need not be."""
    inside = one.centre_m[0] + 0.9 * (surface_m(one, 40) - one.centre_m[0])
    points, clear = lifted(inside, normal, one, by_m=by_m, most_m=np.inf)
    assert clear.all()
    moved = points - inside
    assert np.allclose(np.cross(moved, unit(normal)), 0, atol=1e-9)
    assert (moved @ unit(normal) > 0).all()
    away = np.linalg.norm(points[:, None] - surface_m(one, 2000)[None], axis=-1)
    assert away.min() >= by_m * (1 - 1e-9)
    assert not holds_points(one, points).any()
    again, still = lifted(points + 1e-9 * unit(normal), normal, one, by_m=by_m)
    assert still.all()
    assert np.allclose(again, points, atol=1e-8)


@given(st.lists(bodies(), min_size=2, max_size=4), directions)
@settings(max_examples=40)
def test_lifting_agrees_with_a_march_in_small_steps(
    parts: list[Solids], normal: np.ndarray
) -> None:
    """The nearest free place along the normal, past several bodies one in the other."""
    several = together(parts)
    start = several.centre_m[0]
    points, clear = lifted(start, normal, several, by_m=1e-6, most_m=np.inf)
    ways = np.arange(0, 12, 0.004)
    held = holds_points(several, start + ways[:, None] * unit(normal)).any(axis=1)
    assert clear.all()
    way = float(np.linalg.norm(points[0] - start))
    # a gap or a graze narrower than a step can be missed by the march, never the other way round
    assert not holds_points(several, points + 1e-6 * unit(normal)).any()
    assert held[(ways > 0) & (ways < way - 0.004)].all()
    assert way <= ways[~held][0] + 0.004


def test_a_point_is_lifted_by_hand() -> None:
    """From the middle of a ball of 50 mm: 51 mm to be 1 mm clear; too far if 30 mm is the most."""
    ball = limb("head", [0, 0, 1], [0, 0, 1], radius_m=0.05)
    points, clear = lifted([[0, 0, 1], [0, 0, 1.03], [0, 0, 2]], [[0, 0, 2]] * 3, ball)
    assert points[:, 2] == pytest.approx([1.051, 1.051, 2])
    assert clear.tolist() == [True, True, True]
    points, clear = lifted([[0, 0, 1], [0, 0, 1.03]], [[0, 0, 2]] * 2, ball, most_m=0.03)
    assert points[:, 2] == pytest.approx([1, 1.051])
    assert clear.tolist() == [False, True]


def test_a_point_outside_is_left_though_its_normal_meets_a_body() -> None:
    """Only what buries a point moves it."""
    ball = limb("head", [0, 0, 1], [0, 0, 1], radius_m=0.05)
    points, clear = lifted([0, 0, 0.9], [0, 0, 1], ball)
    assert points.tolist() == [[0, 0, 0.9]]
    assert clear.all()
