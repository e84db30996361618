from __future__ import annotations

import numpy as np
import pytest
from lay_cases import CASES, depth_m, depth_within_m, person, tips_m

from kinlight.figures.growth import Sex
from kinlight.figures.lay import LayFigure, finished, holding
from kinlight.figures.regions import region
from kinlight.figures.together import hand_in_hand, hand_on_shoulder

DEEPEST_M = 0.015
HOLDERS: list[tuple[float, Sex]] = [(34.0, "female"), (34.0, "male"), (76.0, "female")]


def _but_arms(figure: LayFigure) -> np.ndarray:
    """Return the vertices that no arm or hand moves."""
    shapes = figure.draft.rest.shapes
    words = ("arm", "wrist", "finger", "metacarpal")
    arms = [k for k, b in enumerate(shapes.bones) if any(w in b for w in words)]
    return np.flatnonzero(shapes.skinning[:, arms].sum(axis=1) < 0.3)


def _carried(
    age: float, posture: str, holder: tuple[float, Sex], **asked: object
) -> tuple[LayFigure, LayFigure]:
    """Return a holder with their arms around a child, and the child; of the full mesh."""
    seated = "standing" if posture == "hip" else "stool"
    big = person(*holder, seated, light=False)
    child = person(age, None, posture, holder=big, light=False, **asked)
    return holding(big, child), child


@pytest.mark.parametrize(("age", "sex", "posture"), [c for c in CASES if c[1] != "female"])
def test_no_fingertip_is_deep_in_the_own_body(age: float, sex: Sex | None, posture: str) -> None:
    """At most a centimetre and a half, which cloth and flesh give; measured on the full mesh."""
    figure = person(age, sex, posture, light=False)
    assert depth_m(tips_m(figure), figure, _but_arms(figure)) < DEEPEST_M


@pytest.mark.parametrize("posture", ["stool", "floor", "baby sitting", "on heels"])
@pytest.mark.parametrize("age", [2.0, 4.0, 8.0, 34.0, 76.0])
def test_palms_lie_on_the_legs(age: float, posture: str) -> None:
    """Within 4 cm of a vertex of the thighs: a palm's own thickness and the full mesh's spacing."""
    figure = person(age, "male", posture, light=False)
    for side in ("left", "right"):
        thighs = np.concatenate([figure.draft.region(f"thigh.{k}") for k in "LR"])
        away = np.linalg.norm(thighs - figure.landmark_m(f"palm {side}"), axis=1)
        assert away.min() < 0.04


@pytest.mark.parametrize("age", [1.0, 4.0, 12.0, 34.0, 76.0, 90.0])
def test_who_sits_on_the_heels_touches_them(age: float) -> None:
    """They sink in beside the heels by 3 cm at most; heels stick out behind by 4 cm at most."""
    figure = person(age, None, "on heels", light=False)
    seat = figure.draft.region("buttocks")
    feet = np.concatenate([figure.draft.region(f"foot.{k}") for k in "LR"])
    assert 0.0 < feet[:, 2].max() - seat[:, 2].min() < 0.03
    heel = feet[np.argmax(feet[:, 2])]
    assert seat[:, 1].min() < heel[1] < seat[:, 1].max() + 0.04


@pytest.mark.parametrize("holder", HOLDERS)
@pytest.mark.parametrize(
    ("age", "posture"),
    [(0.5, "hip"), (1.0, "hip"), (2.0, "hip"), (1.0, "lap"), (4.0, "lap"), (7.0, "lap")],
)
def test_who_is_held_is_held_by_hands_on_the_body(
    age: float, posture: str, holder: tuple[float, Sex]
) -> None:
    """No fingertip is deep in the other one, both palms are within 4 cm of the child."""
    big, child = _carried(age, posture, holder)
    assert depth_within_m(tips_m(big), child) < DEEPEST_M
    assert depth_within_m(tips_m(child), big) < DEEPEST_M
    for side in ("left", "right"):
        away = np.linalg.norm(child.bald_m - big.landmark_m(f"palm {side}"), axis=1)
        assert away.min() < 0.04


@pytest.mark.parametrize("holder", HOLDERS)
@pytest.mark.parametrize(
    ("age", "posture"), [(1.0, "hip"), (2.0, "hip"), (1.0, "lap"), (7.0, "lap")]
)
def test_bodies_press_only_lightly_into_each_other(
    age: float, posture: str, holder: tuple[float, Sex]
) -> None:
    """The child's trunk into the holder's: 1.5 cm at most, and they do touch."""
    big, child = _carried(age, posture, holder)
    trunk = child.bald_m[region(child.draft.rest.shapes, "trunk")]
    assert depth_within_m(trunk, big) < DEEPEST_M
    body = big.bald_m[_but_arms(big)]
    apart = np.linalg.norm(child.bald_m[:, None, :] - body[::2], axis=2)
    assert apart.min() < 0.02


@pytest.mark.parametrize("age", [1.0, 4.0])
def test_a_lap_carries_a_child_on_the_thigh(age: float) -> None:
    """The lowest point of the seat is within a centimetre of the top of the holder's thigh."""
    big, child = _carried(age, "lap", HOLDERS[1])
    seat = child.draft.region("seat")
    low = seat[np.argmin(seat[:, 2])]
    thigh = big.draft.region("thigh.L")
    near = np.linalg.norm((thigh - low)[:, :2], axis=1) < 0.05
    assert low[2] == pytest.approx(thigh[near, 2].max(), abs=0.01)


@pytest.mark.parametrize(("side", "sign"), [("left", 1.0), ("right", -1.0)])
def test_a_child_is_on_the_side_that_was_asked_for(side: str, sign: float) -> None:
    """The holder's own, on a hip, turned inward, the face where it was asked to look."""
    _, child = _carried(1.0, "hip", HOLDERS[0], side=side, facing_deg=10.0)
    assert sign * child.skeleton.joint_m("root")[0] > 0.1
    facing = child.head_frame[1]
    assert np.degrees(np.arctan2(facing[0], -facing[1])) == pytest.approx(10.0)
    trunk = -child.draft.level[:, 1]
    assert sign * trunk[0] < -0.5


def test_a_baby_lies_across_a_lap() -> None:
    """Face up, its head toward the asked side, a hand under it, carried by both thighs."""
    big, child = _carried(0.1, "lying", HOLDERS[0])
    assert child.head_frame[1][2] > 0.9
    assert child.landmark_m("crown")[0] > child.skeleton.joint_m("root")[0] + 0.1
    assert child.bald_m[:, 2].min() > 0.45
    palm = big.landmark_m("palm left")
    assert np.linalg.norm(child.bald_m - palm, axis=1).min() < 0.03
    assert depth_within_m(tips_m(big), child) < DEEPEST_M


def test_a_hand_is_put_on_a_shoulder() -> None:
    """The palm is within 2 cm of the other one's shoulder, no fingertip deep in it."""
    behind = person(34.0, "male", "standing", place_m=(-0.3, 0.35), light=False)
    seated = person(76.0, "female", "stool", light=False)
    draft = hand_on_shoulder(behind.draft, "L", seated.draft, "R")
    placed = finished("a", "standing", draft)
    away = placed.landmark_m("palm left") - seated.landmark_m("acromion right")
    assert np.linalg.norm(away) < 0.02
    assert depth_within_m(tips_m(placed), seated) < DEEPEST_M


@pytest.mark.parametrize("age", [4.0, 8.0, 34.0])
def test_two_people_are_hand_in_hand(age: float) -> None:
    """Their palms are within 2 cm of each other, and both arms reach."""
    one = person(34.0, "female", "standing", place_m=(-0.3, 0.0))
    two = person(age, None, "standing", place_m=(0.25, 0.0))
    drafts = hand_in_hand(one.draft, "L", two.draft, "R")
    hands = [finished("x", "standing", draft) for draft in drafts]
    apart = hands[0].landmark_m("palm left") - hands[1].landmark_m("palm right")
    assert np.linalg.norm(apart) < 0.02
    assert max(d.posed.missed_m[k] for d, k in zip(drafts, ("arm.L", "arm.R"), strict=True)) < 0.001
