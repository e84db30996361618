from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.figures.skeleton import Pose, Reach, Skeleton, posed

# A stick figure of our own: hips at 1 m, a spine, arms a little bent, legs straight.
_JOINTS = {
    "root": ("", (0, 0, 1.0)),
    "spine01": ("root", (0, 0, 1.2)),
    "upperarm01.L": ("spine01", (0.2, 0, 1.4)),
    "lowerarm01.L": ("upperarm01.L", (0.4, 0.02, 1.25)),
    "wrist.L": ("lowerarm01.L", (0.6, -0.02, 1.1)),
    "upperarm01.R": ("spine01", (-0.2, 0, 1.4)),
    "lowerarm01.R": ("upperarm01.R", (-0.4, 0.02, 1.25)),
    "wrist.R": ("lowerarm01.R", (-0.6, -0.02, 1.1)),
    "upperleg01.L": ("root", (0.1, 0, 0.95)),
    "lowerleg01.L": ("upperleg01.L", (0.1, 0, 0.5)),
    "foot.L": ("lowerleg01.L", (0.1, 0, 0.08)),
    "upperleg01.R": ("root", (-0.1, 0, 0.95)),
    "lowerleg01.R": ("upperleg01.R", (-0.1, 0, 0.5)),
    "foot.R": ("lowerleg01.R", (-0.1, 0, 0.08)),
}
_NAMES = tuple(_JOINTS)
STICK = Skeleton(
    _NAMES,
    np.array([_NAMES.index(p) if p else -1 for p, _ in _JOINTS.values()]),
    np.array([at for _, at in _JOINTS.values()]),
)
HIPS = np.array([0.0, 0.0, 0.95])
MIRROR = np.array([-1.0, 1.0, 1.0])
LIMBS = ["arm.L", "arm.R", "leg.L", "leg.R"]

_directions = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1)


def about(axis: int, angle_deg: float) -> np.ndarray:
    """Return a turn about one of the three axes."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    one, two = [k for k in range(3) if k != axis]
    turn = np.eye(3)
    turn[one, one] = turn[two, two] = c
    turn[one, two], turn[two, one] = -s, s
    return turn


def test_without_a_pose_every_joint_is_where_it_rests() -> None:
    """The middle between the hip joints put where it rests."""
    found = posed(STICK, Pose(np.eye(3), HIPS))
    assert found.joints_m == pytest.approx(STICK.joints_m, abs=1e-12)
    assert found.turns == pytest.approx(np.tile(np.eye(3), (len(_NAMES), 1, 1)))


def test_a_turned_spine_takes_the_arms_along_and_leaves_the_legs() -> None:
    """A quarter turn about the vertical: the left arm points to the back."""
    found = posed(STICK, Pose(np.eye(3), HIPS, turns={"spine01": about(2, 90)}))
    assert found.joint_m("upperarm01.L") == pytest.approx([0.0, 0.2, 1.4])
    assert found.joint_m("foot.L") == pytest.approx([0.1, 0, 0.08])


@given(st.sampled_from(LIMBS), _directions, _directions, st.floats(0.15, 0.9))
def test_a_limb_reaches_what_lies_within_its_length(limb, direction, bend, share) -> None:
    """Bones keep their lengths, the end is where it should be, the joint lies to the side asked."""
    kind, side = limb.split(".")
    names = ("upperarm01", "lowerarm01", "wrist")
    if kind == "leg":
        names = ("upperleg01", "lowerleg01", "foot")
    first, middle, last = (f"{n}.{side}" for n in names)
    lengths = STICK.length_m(first, middle), STICK.length_m(middle, last)
    away = np.array(direction) / np.linalg.norm(direction)
    target = STICK.joint_m(first) + share * sum(lengths) * away
    found = posed(STICK, Pose(np.eye(3), HIPS, reaches={limb: Reach(target, np.array(bend))}))
    assert found.joint_m(last) == pytest.approx(target, abs=1e-9)
    assert found.missed_m[limb] == pytest.approx(0, abs=1e-12)
    elbow = found.joint_m(middle) - found.joint_m(first)
    assert np.linalg.norm(elbow) == pytest.approx(lengths[0], abs=1e-9)
    wish = np.array(bend) - (np.array(bend) @ away) * away
    if np.linalg.norm(wish) > 1e-3:
        out = elbow - (elbow @ away) * away
        assert out @ wish >= -1e-12
        assert np.linalg.norm(np.cross(out, wish)) < 1e-6
    for turn in found.turns:
        assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-9)
        assert np.linalg.det(turn) == pytest.approx(1)


def test_what_is_out_of_reach_is_missed_by_what_is_told() -> None:
    """The leg is 0.87 m long and stretches to 99.9 % of it."""
    target = STICK.joint_m("upperleg01.L") + np.array([0, 0, -1.0])
    found = posed(STICK, Pose(np.eye(3), HIPS, reaches={"leg.L": Reach(target, [0, -1.0, 0])}))
    assert found.missed_m["leg.L"] == pytest.approx(1.0 - 0.999 * 0.87)


@given(_directions, _directions, st.floats(0.2, 1.2))
def test_mirrored_wishes_give_mirrored_limbs(direction, bend, far) -> None:
    """For arms and legs alike."""
    for kind in ("arm", "leg"):
        first = "upperarm01" if kind == "arm" else "upperleg01"
        target = STICK.joint_m(f"{first}.L") + far * 0.5 * np.array(direction)
        left = Reach(target, np.array(bend))
        right = Reach(target * MIRROR, np.array(bend) * MIRROR)
        one = posed(STICK, Pose(np.eye(3), HIPS, reaches={f"{kind}.L": left}))
        other = posed(STICK, Pose(np.eye(3), HIPS, reaches={f"{kind}.R": right}))
        for name in ("upperarm01", "lowerarm01", "wrist", "upperleg01", "lowerleg01", "foot"):
            mirrored = one.joint_m(f"{name}.L") * MIRROR
            assert other.joint_m(f"{name}.R") == pytest.approx(mirrored, abs=1e-9)


def test_a_held_foot_stays_level_whatever_the_leg_does() -> None:
    """And the root's turn moves everything else."""
    reach = Reach(np.array([0.1, -0.3, 0.4]), np.array([0, -1.0, 0]))
    pose = Pose(about(0, -20), HIPS, held={"foot.L": np.eye(3)}, reaches={"leg.L": reach})
    found = posed(STICK, pose)
    assert found.turn("foot.L") == pytest.approx(np.eye(3))
    assert found.turn("root") == pytest.approx(about(0, -20))
