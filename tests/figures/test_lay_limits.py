from __future__ import annotations

import csv
from importlib.resources import files

import numpy as np
import pytest
from lay_cases import CASES, person

from kinlight.figures.draft import Draft
from kinlight.figures.gaze import MOST_EYE_DEG, MOST_TURN_DEG
from kinlight.figures.growth import Sex
from kinlight.figures.lay import holding
from kinlight.figures.limits import broken_deg, limits_deg, movements_deg
from kinlight.figures.turns import about_x, about_y, about_z
from kinlight.geometry.vectors import unit


@pytest.mark.parametrize(("age", "sex", "posture"), CASES)
def test_no_posture_breaks_a_joint(age: float, sex: Sex | None, posture: str) -> None:
    """With the head turned and tipped as people do for a picture."""
    figure = person(age, sex, posture, head_turn_deg=40.0, chin_up_deg=-10.0, head_tilt_deg=10.0)
    assert broken_deg(figure.skeleton) == {}


@pytest.mark.parametrize("age", [0.5, 1.0, 2.0, 3.0])
@pytest.mark.parametrize("holder", [(34.0, "female"), (34.0, "male")])
@pytest.mark.parametrize("posture", ["hip", "lap"])
def test_nobody_who_holds_or_is_held_breaks_a_joint(
    age: float, holder: tuple[float, Sex], posture: str
) -> None:
    """Whichever side."""
    big = person(*holder, "standing" if posture == "hip" else "stool")
    for side in ("left", "right"):
        child = person(age, None, posture, holder=big, side=side)
        assert broken_deg(child.skeleton) == {}
        assert broken_deg(holding(big, child).skeleton) == {}


@pytest.mark.parametrize(
    ("joint", "turn", "movement", "angle"),
    [
        ("upperleg01.L", about_x(-70), "left hip bend", 70),
        ("upperleg01.R", about_y(30), "right hip spread", 30),
        ("upperleg01.L", about_y(-30), "left hip spread", 30),
        ("upperleg01.L", about_z(40), "left hip twist", 40),
        ("upperleg01.R", about_z(-40), "right hip twist", 40),
        ("upperleg01.L", about_x(-80) @ about_z(40), "left hip twist", 40),
        ("foot.R", about_x(30), "right ankle bend", 30),
        ("head", about_z(50), "neck turn", 50),
        ("head", about_x(20), "neck tip", 20),
        ("spine03", about_y(-15), "spine tilt", -15),
    ],
)
def test_a_movement_is_told_by_its_angle(
    joint: str, turn: np.ndarray, movement: str, angle: float
) -> None:
    """One joint turned, all else at rest; left and right alike."""
    rest = person(34.0, "male", "standing").draft.rest
    found = movements_deg(Draft(rest).turned({joint: turn}).posed)
    assert found[movement] == pytest.approx(angle, abs=1e-6)


def test_a_knee_cannot_bend_beyond_the_thigh() -> None:
    """By how much it does is said, of that side alone."""
    rest = person(34.0, "male", "standing").draft.rest
    broken = broken_deg(Draft(rest).turned({"lowerleg01.L": about_x(175)}).posed)
    assert list(broken) == ["left knee bend"]
    most = limits_deg()["knee", "bend"][1]
    assert broken["left knee bend"] == pytest.approx(175 - most, abs=8)  # legs rest a little bent


def test_every_limit_says_where_it_is_from() -> None:
    """All rows are from memory, and the least is less than the most."""
    text = (files("kinlight.figures") / "data" / "joint_limits.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(x for x in text.splitlines() if not x.startswith("#")))
    assert {row["status"] for row in rows} == {"from memory"}
    assert len(rows) == len(limits_deg())
    assert all(least < most for least, most in limits_deg().values())


@pytest.mark.parametrize("target", [(0.4, -1.5, 1.2), (-1.0, -1.0, 0.2), (0.0, -2.0, 2.4)])
def test_eyes_meet_what_they_look_at(target: tuple[float, ...]) -> None:
    """Both pupils' lines pass through it, within half a degree; the head does most of the turn."""
    figure = person(34.0, "female", "standing", looks_at_m=np.array(target))
    for eye, gaze in zip("LR", figure.gazes(), strict=True):
        aim = unit(np.array(target) - figure.skeleton.joint_m(f"eye.{eye}"))
        assert np.linalg.norm(gaze - aim) < np.radians(0.5)
    assert broken_deg(figure.skeleton) == {}


def test_what_is_behind_is_not_seen() -> None:
    """Head and eyes go as far as they go."""
    figure = person(34.0, "female", "standing", looks_at_m=np.array([1.0, 3.0, 1.6]))
    facing = figure.head_frame[1]
    turn = np.degrees(np.arctan2(facing[0], -facing[1]))
    assert turn == pytest.approx(MOST_TURN_DEG, abs=1)
    gaze = figure.gazes()[0]
    assert (
        2 * np.degrees(np.arcsin(np.linalg.norm(gaze - facing) / 2))
        <= MOST_EYE_DEG * np.sqrt(2) + 1e-6
    )
