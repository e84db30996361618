from __future__ import annotations

import itertools

import numpy as np
import pytest

from kinlight.figures.growth import body
from kinlight.figures.rest import rest_of
from kinlight.figures.tables import rule

AGES = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 20.0, 34.0, 60.0, 90.0)
SEXES = ("female", "male", None)
CASES = list(itertools.product(AGES, SEXES))


def made(age_years, sex, light=True, **stated):
    """Return the figure at rest of somebody of an age."""
    return rest_of(body(age_years, sex, **stated), age_years=age_years, sex=sex, light=light)


@pytest.mark.parametrize(("age_years", "sex"), CASES)
def test_a_figure_measures_what_its_body_measures(age_years, sex):
    """Body's measures are those of the published tables; stature to 2 mm, the rest to 1 %."""
    rest = made(age_years, sex)
    of, head = rest.body, rest.landmark_m("crown")[2] - rest.landmark_m("menton")[2]
    assert np.isfinite(rest.vertices_m).all()
    assert rest.vertices_m[:, 2].min() == pytest.approx(0, abs=1e-9)
    assert rest.vertices_m[:, 2].max() == pytest.approx(of.stature_m, abs=0.002)
    seat_m = rest.landmark_m("seat left")[2]
    assert of.stature_m - seat_m == pytest.approx(of.sitting_height_m, rel=0.01)
    assert head == pytest.approx(of.head_height_m, rel=0.01)
    apart_m = rest.landmark_m("pupil left")[0] - rest.landmark_m("pupil right")[0]
    assert apart_m == pytest.approx(of.pupil_distance_m, abs=0.001)
    acromia_m = 2 * rest.landmark_m("acromion left")[0]
    assert acromia_m == pytest.approx(rule("acromion_share") * of.shoulder_breadth_m, rel=0.01)


@pytest.mark.parametrize(("age_years", "sex"), CASES)
def test_eyes_are_as_high_as_published(age_years, sex):
    """Crown to eye, of adults from [ansur2]; within 2 % of the stature, the aim for heights."""
    rest = made(age_years, sex)
    below_m = rest.landmark_m("crown")[2] - rest.landmark_m("pupil left")[2]
    assert below_m == pytest.approx(rest.body.crown_to_eye_m, abs=0.02 * rest.body.stature_m)
    if age_years >= 20:
        assert below_m == pytest.approx(rest.body.crown_to_eye_m, abs=0.005)


@pytest.mark.parametrize("light", [True, False])
@pytest.mark.parametrize("age_years", [0.5, 4.0, 34.0, 90.0])
def test_left_and_right_are_mirror_images(age_years, light):
    """To a tenth of a millimetre, as the stored shapes are."""
    rest = made(age_years, None, light)
    mirrored = rest.vertices_m[rest.shapes.mirror] * [-1, 1, 1]
    assert rest.vertices_m == pytest.approx(mirrored, abs=1e-4)


@pytest.mark.parametrize("age_years", [1.0, 8.0, 34.0])
def test_the_light_figure_measures_what_the_full_one_does(age_years):
    """Landmarks of both within half a centimetre."""
    light, full = made(age_years, "female"), made(age_years, "female", light=False)
    for name in ("crown", "chin", "pupil left", "nose", "seat left", "knee left", "palm left"):
        apart_m = np.linalg.norm(light.landmark_m(name) - full.landmark_m(name))
        assert apart_m < 0.005, name


def test_nobody_jumps_on_a_birthday():
    """In two months no landmark rises by more than the stature does, and half a centimetre."""
    last = None
    for months in range(0, 12 * 24, 2):
        rest = made(months / 12, "male")
        heights = np.array([rest.landmark_m(n)[2] for n in ("crown", "menton", "seat left")])
        if last is not None:
            grown_m = rest.body.stature_m - last[0]
            assert np.abs(heights - last).max() < 1.1 * grown_m + 0.005
        last = heights


def test_a_stated_stature_and_weight_are_kept():
    """A tall man's head grows by the fourth root of his stature; a heavy one is wider."""
    usual, tall = made(34.0, "male"), made(34.0, "male", stature_m=1.95)
    assert tall.vertices_m[:, 2].max() == pytest.approx(1.95, abs=0.002)
    heads = [r.landmark_m("crown")[2] - r.landmark_m("menton")[2] for r in (usual, tall)]
    share = (1.95 / usual.body.stature_m) ** rule("head_follows_stature")
    assert heads[1] / heads[0] == pytest.approx(share, rel=0.01)
    heavy = made(34.0, "male", mass_kg=105.0)
    waist = [np.ptp(r.vertices_m[_waist(r), 1]) for r in (usual, heavy)]
    assert waist[1] > 1.1 * waist[0]


@pytest.mark.parametrize(("age_years", "sex"), CASES)
@pytest.mark.parametrize("share", [0.8, 1.0, 1.3])
def test_a_figure_holds_what_its_body_weighs(age_years, sex, share):
    """As much water as its weight, to 8 %: its build and girth follow a stated weight."""
    usual = body(age_years, sex)
    rest = made(age_years, sex, mass_kg=share * usual.mass_kg)
    a, b, c = np.moveaxis(rest.vertices_m[rest.shapes.faces], 1, 0)
    litres = 1000 * np.einsum("ij,ij->", a, np.cross(b, c)) / 6
    assert litres * 1.01 == pytest.approx(share * usual.mass_kg, rel=0.08)


def _waist(rest):
    seat_m, crown_m = rest.landmark_m("seat left")[2], rest.landmark_m("crown")[2]
    up = (rest.vertices_m[:, 2] - seat_m) / (crown_m - seat_m)
    return (up > 0.2) & (up < 0.4) & (np.abs(rest.vertices_m[:, 0]) < 0.1)
