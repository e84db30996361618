from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lay_cases import volume_m3

from kinlight.figures.draft import Draft
from kinlight.figures.growth import body
from kinlight.figures.rest import rest_of
from kinlight.figures.skinning import motions_of, skinned
from kinlight.figures.turns import about, about_x

REST = rest_of(body(34.0, "male"), age_years=34.0, sex="male", light=True)
_directions = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1)


def test_at_rest_nothing_moves() -> None:
    """The hips put where they rest."""
    middle = sum(REST.skeleton.joint_m(f"upperleg01.{side}") for side in "LR") / 2
    assert Draft(REST).hips(middle).vertices() == pytest.approx(REST.vertices_m, abs=1e-9)


@given(axis=_directions, angle=st.floats(-180, 180), shift=_directions)
@settings(max_examples=25)
def test_a_figure_that_moves_as_a_whole_stays_the_same(
    axis: tuple[float, ...], angle: float, shift: tuple[float, ...]
) -> None:
    """Every vertex turns and shifts alike."""
    turn = about(np.array(axis), angle)
    still = Draft(REST).hips(np.zeros(3)).vertices()
    moved = Draft(REST).hips(np.array(shift), turn).vertices()
    assert moved == pytest.approx(still @ turn.T + np.array(shift), abs=1e-9)


def test_what_one_bone_moves_alone_moves_with_it() -> None:
    """A vertex bound to one bone goes where that bone's turn and joint take it."""
    draft = Draft(REST).turned({"upperleg01.L": about_x(-80), "lowerleg01.L": about_x(100)})
    number = REST.shapes.bones.index("foot.L")
    alone = np.flatnonzero(REST.shapes.skinning[:, number] > 0.9999)
    assert len(alone) > 5
    from_joint = REST.vertices_m[alone] - REST.skeleton.joints_m[number]
    wanted = from_joint @ draft.posed.turn("foot.L").T + draft.joint_m("foot.L")
    assert draft.vertices(alone) == pytest.approx(wanted, abs=1e-3)


@pytest.mark.parametrize("bend", [90, 130, 150])
def test_bent_knees_keep_their_volume(bend: float) -> None:
    """Within 4 %, and better than the mean of the bones' matrices, computed here by hand."""
    draft = Draft(REST).turned({f"lowerleg01.{side}": about_x(bend) for side in "LR"})
    found = draft.posed
    shift = found.joints_m - np.einsum("bij,bj->bi", found.turns, REST.skeleton.joints_m)
    turns = np.einsum("nb,bij->nij", REST.shapes.skinning, found.turns)
    mean = np.einsum("nij,nj->ni", turns, REST.vertices_m) + REST.shapes.skinning @ shift
    whole = volume_m3(REST.vertices_m, REST.shapes.faces)
    own, other = (volume_m3(v, REST.shapes.faces) / whole for v in (draft.vertices(), mean))
    assert own == pytest.approx(1, abs=0.04)
    assert abs(own - 1) < abs(other - 1)


def test_some_vertices_are_those_of_all() -> None:
    """In the order asked for."""
    draft = Draft(REST).turned({"spine03": about_x(30)})
    some = np.array([500, 3, 77])
    motions = motions_of(REST, draft.posed)
    assert skinned(REST, motions, some) == pytest.approx(draft.vertices()[some], abs=1e-12)
