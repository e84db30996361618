from __future__ import annotations

import numpy as np
import pytest
from plan_cases import NORA, TOM, settled

from kinlight.geometry.people import Figure
from kinlight.plan.model import Plan
from kinlight.plan.settle.clear_faces import FARTHEST_M, cleared
from kinlight.sitting.pictures import Spot
from kinlight.stage.people import bodies_of, figures_of
from kinlight.stage.view import view_of


def _hidden_eyes(plan: Plan) -> list[tuple[str, str, str]]:
    """Return picture, whose eye, and who stands before it, seen from the lens."""
    found = []
    pictures = {p.key: p for p in plan.sitting.pictures}
    for picture in plan.pictures:
        view = view_of(plan.sitting, pictures[picture.name], focus_on_m=np.array([0.0, 0.0, 1.0]))
        for person in picture.scene.figures:
            for eye in view.project_mm(person.face.eyes_m()):
                for other in picture.scene.figures:
                    if other is not person and _covers(view, other, eye, person):
                        found.append((picture.name, person.person, other.person))
    return found


def _covers(view, other: Figure, eye_mm: np.ndarray, person: Figure) -> bool:  # type: ignore[no-untyped-def]
    """Return whether a point of the picture lies on the head of somebody nearer to the lens."""
    near = view.depths_m(np.array([other.face.nose_m, person.face.nose_m]))
    crown, chin, left, right = view.project_mm(other.head_points_m())
    centre = (crown + chin) / 2
    size = np.array([np.linalg.norm(left - right) / 2, np.linalg.norm(crown - chin) / 2])
    return bool(near[0] < near[1] and (((eye_mm - centre) / size) ** 2).sum() < 1)


def test_no_eye_of_the_demo_is_hidden(demo_plan: Plan) -> None:
    """Eight people in three heights: every eye is seen from the lens, in every picture."""
    assert _hidden_eyes(demo_plan) == []


def _pair(x_m: float) -> tuple[tuple[Spot, ...], tuple[Figure, ...]]:
    places = [{"person": "Nora", "x": x_m}, {"person": "Tom", "x": 0.0, "y": 0.4}]
    once = settled(NORA, TOM, pictures=[{"people": ["Nora", "Tom"], "places": places}])
    (picture,) = once.pictures
    return picture.places, figures_of(picture, bodies_of(once))


def test_one_behind_the_other_steps_aside() -> None:
    """Both standing in one line: they are shifted until the heads no longer meet."""
    places, figures = _pair(0.0)
    moved = cleared(places, figures, stated=frozenset())
    apart = abs(moved[0].x_m - moved[1].x_m)
    assert apart > 0.14  # about a head's breadth, 0.148 and 0.154 m by ANSUR II
    assert max(abs(s.x_m) for s in moved) <= FARTHEST_M


def test_those_clear_of_each_other_stay() -> None:
    """Half a metre apart nobody needs to move."""
    places, figures = _pair(0.5)
    assert cleared(places, figures, stated=frozenset()) == places


@pytest.mark.parametrize("stated", [{"Nora"}, {"Tom"}, {"Nora", "Tom"}])
def test_stated_places_are_not_touched(stated: set[str]) -> None:
    """Whoever has a stated place keeps it, hidden or not."""
    places, figures = _pair(0.0)
    moved = cleared(places, figures, stated=stated)
    assert [s for s in moved if s.person in stated] == [s for s in places if s.person in stated]
