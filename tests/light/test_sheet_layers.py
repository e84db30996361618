from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.gloss import mean_lobe_albedo
from kinlight.light.layers import Layer, added, cloth, layered, stack, stack_compared
from kinlight.light.tables import SHEET_MATERIALS, STATUSES, sheet_figures
from kinlight.light.world import Coat, sheet


def _matt(reflectance, transmittance=0.0, behind=None):
    back = reflectance if behind is None else behind
    return Layer(Coat(reflectance), Coat(back), transmittance)


@st.composite
def cloths(draw):
    """Draw a matt sheet, different from its two sides, that keeps or passes what it gets."""
    t = draw(st.floats(0, 1))
    return _matt(draw(st.floats(0, 1)) * (1 - t), t, draw(st.floats(0, 1)) * (1 - t))


def _parts(layer):
    return layer.front.reflectance, layer.back.reflectance, layer.transmittance


@pytest.mark.parametrize(
    ("scrim", "behind", "together"),
    [
        ((0.45, 0.45), 0.9, 0.756303),
        ((0.45, 0.45), 0.05, 0.460358),
        ((0.35, 0.55), 0.9, 0.7474),
        ((0.5, 0.4), 0.85, 0.7365),
    ],
)
def test_a_scrim_on_a_sheet_reflects_as_kubelka_says(scrim, behind, together):
    """Check values computed from the formula in the abstract of [kubelka1954], to their digits."""
    found = layered([_matt(*scrim), _matt(behind)])
    digits = 1e-6 if together in (0.756303, 0.460358) else 5e-5
    assert found.front.reflectance == pytest.approx(together, abs=digits)
    assert found.transmittance == 0


def test_two_diffusers_lose_less_than_twice_one():
    """R = T = .45 twice: T 0.253918, 1.98 stops and not the product's 2.30; R 0.5643. As above."""
    two = layered([_matt(0.45, 0.45)] * 2)
    assert two.transmittance == pytest.approx(0.253918, abs=1e-6)
    assert -math.log2(two.transmittance) == pytest.approx(1.98, abs=0.005)
    assert two.front.reflectance == pytest.approx(0.5643, abs=5e-5)
    assert two.back == two.front


def test_the_light_between_two_sheets_meets_the_back_of_the_first():
    """R .2 and .6 from behind, T .3, on .5: .2 + .09 x .5 / (1 - .6 x .5) = .264286, by hand.

    With the front's own .2 in the denominator it would come to .25.
    """
    found = layered([_matt(0.2, 0.3, behind=0.6), _matt(0.5)])
    assert found.front.reflectance == pytest.approx(0.2642857, abs=1e-7)


@given(front=cloths(), back=cloths())
def test_the_sum_is_that_of_all_bounces_one_by_one(front, back):
    """Light followed to and fro between the sheets until a thousandth of a thousandth is left."""
    at_back = front.transmittance
    sent, passed, step = front.front.reflectance, 0.0, 0
    while at_back > 1e-12 and step < 3000:
        passed += at_back * back.transmittance
        at_front = at_back * back.front.reflectance
        sent += at_front * front.transmittance
        at_back = at_front * front.back.reflectance
        step += 1
    found = added(front, back)
    assert found.front.reflectance == pytest.approx(sent, abs=1e-6 + at_back)
    assert found.transmittance == pytest.approx(passed, abs=1e-6 + at_back)


@given(a=cloths(), b=cloths(), c=cloths())
def test_no_stack_sends_on_more_than_it_gets(a, b, c):
    """From either side, as no sheet does; turned over, a stack lets the same share through."""
    whole = layered([a, b, c])
    for side in (whole.front, whole.back):
        assert side.reflectance >= 0
        assert side.reflectance + whole.transmittance <= 1 + 1e-9
    over = layered([Layer(x.back, x.front, x.transmittance) for x in (c, b, a)])
    assert _parts(over) == pytest.approx(
        (whole.back.reflectance, whole.front.reflectance, whole.transmittance), abs=1e-9
    )


@given(a=cloths(), b=cloths(), c=cloths())
def test_it_does_not_matter_which_two_are_joined_first(a, b, c):
    """Three sheets are one stack."""
    assert _parts(added(added(a, b), c)) == pytest.approx(_parts(added(a, added(b, c))), abs=1e-7)


@given(a=cloths())
def test_nothing_before_or_behind_a_sheet_changes_nothing(a):
    """A black hole behind it takes what passes; clear air is no sheet."""
    air, nothing = _matt(0, 1), _matt(0, 0)
    assert _parts(added(air, a)) == pytest.approx(_parts(a))
    assert _parts(added(a, air)) == pytest.approx(_parts(a))
    assert added(a, nothing).front.reflectance == a.front.reflectance
    assert added(a, nothing).transmittance == 0


@given(t=st.floats(0, 1), behind=st.floats(0, 1))
def test_a_scrim_that_loses_nothing_never_lowers_the_total(t, behind):
    """What it sends back at once has not met the sheet; strictly more over a dull one."""
    total = layered([_matt(1 - t, t), _matt(behind)]).front.reflectance
    assert total >= behind - 1e-9


@given(behind=st.floats(0, 1))
def test_nothing_behind_an_opaque_sheet_shows(behind):
    """Silver before anything is silver, lobe and all."""
    found = layered([cloth("silver"), _matt(behind)])
    assert found.front == cloth("silver").front
    assert found.transmittance == 0


def test_order_matters():
    """A scrim before silver, and silver before a scrim."""
    before, behind = stack(["translucent", "silver"]), stack(["silver", "translucent"])
    assert before.front.reflectance != pytest.approx(behind.front.reflectance, abs=0.01)
    assert (before.front.gloss, behind.front.gloss) == (0, cloth("silver").front.gloss)
    assert before.back == cloth("silver").back


def test_what_passes_a_glossy_film_comes_back_matt():
    """R .3 all gloss, T .6, on .5: .3 of .3 + .36 x .5 / (1 - .5 R) is lobe; by hand.

    R is what its back really sends back: .3, less what a rough lobe loses in itself.
    """
    film = Layer(Coat(0.3, 1.0, 0.2), Coat(0.3, 1.0, 0.2), 0.6)
    front = layered([film, _matt(0.5)]).front
    sent = 0.3 * mean_lobe_albedo(roughness=0.2)
    assert front.reflectance == pytest.approx(0.3 + 0.18 / (1 - 0.5 * sent), abs=1e-12)
    assert front.reflectance * front.gloss == pytest.approx(0.3)
    assert front.roughness == 0.2


def test_two_perfect_mirrors_face_to_face_pass_nothing():
    """Nothing divides by nothing."""
    assert _parts(layered([_matt(1), _matt(1)])) == (1, 1, 0)


def test_one_sheet_is_itself_and_none_is_refused():
    """One plain sentence."""
    assert stack(["white"]) == cloth("white")
    with pytest.raises(RangeError) as caught:
        layered([])
    assert str(caught.value) == (
        "a reflector has no sheet; name at least one of white, silver, black, translucent"
    )


def test_what_no_cloth_can_be_is_refused():
    """Shares above one, and more light than there is."""
    with pytest.raises(RangeError, match=r"^1.2 cannot be a share of light; allowed: 0 to 1$"):
        _matt(1.2)
    with pytest.raises(RangeError, match="are more light than falls on it"):
        _matt(0.6, 0.6)
    with pytest.raises(RangeError, match=r"transmittance 0\.6 of a sheet are more light"):
        _matt(0.2, 0.6, behind=0.6)
    with pytest.raises(RangeError, match=r"^'gold' is a sheet of which nothing is known"):
        cloth("gold")


def test_every_material_of_the_table_is_marked_for_what_it_is():
    """Bounds inside 0 to 1, a status and a source; nothing of it was measured."""
    for material in SHEET_MATERIALS:
        figures = sheet_figures(material)
        for figure in (figures.reflectance, figures.transmittance, figures.gloss):
            assert 0 <= figure.low <= figure.value <= figure.high <= 1
        assert 0.05 <= figures.roughness.low <= figures.roughness.high <= 1
        for figure in vars(figures).values():
            assert figure.status in STATUSES
            assert figure.source


def test_the_materials_lie_where_photographers_remember_them():
    """White fabric .70 to .85, silver .65 to .85, black .03 to .05: from memory."""
    assert 0.70 <= cloth("white").front.reflectance <= 0.85
    assert 0.65 <= cloth("silver").front.reflectance <= 0.85
    assert 0.03 <= cloth("black").front.reflectance <= 0.05
    assert _parts(cloth("translucent")) == (0.45, 0.45, 0.45)
    assert [m for m in SHEET_MATERIALS if cloth(m).front.gloss > 0] == ["silver"]


def test_a_stack_makes_a_sheet_of_the_world():
    """Its parts are those a sheet takes."""
    layer = stack(["translucent", "silver"])
    made = sheet(
        "kicker",
        (0, 0, 1),
        (0, -1, 0),
        width_m=1,
        height_m=1,
        front=layer.front,
        back=layer.back,
        transmittance=layer.transmittance,
    )
    assert (made.front, made.back, made.transmittance) == (
        layer.front,
        layer.back,
        layer.transmittance,
    )


def test_a_scrim_dims_silver_in_its_mirror_direction_and_brightens_it_beside():
    """Lamp on the normal; silver of .75, gloss .8, roughness .3; computed by hand.

    Straight back D G / 4 = 1 / (4 pi .09); 45 degrees aside the facets are tilted by 22.5 degrees,
    D = .09 / (pi (1 - .91 cos^2 22.5)^2) and G1(45) = 2 / (1 + sqrt(1.09)).
    """
    silver = Layer(Coat(0.75, 0.8, 0.3), Coat(0.75), 0.0)
    scrim = _matt(0.45, 0.45)
    of_scrim, of_silver = stack_compared([scrim, silver], incidence_deg=0)
    sent = 0.75 * (0.2 + 0.8 * mean_lobe_albedo(roughness=0.3))  # the lobe loses some in itself
    whole = (0.45 + 0.45**2 * sent / (1 - 0.45 * sent)) / math.pi
    straight = 0.75 * (0.2 / math.pi + 0.8 / (4 * math.pi * 0.09))
    d = 0.09 / (math.pi * (1 - 0.91 * math.cos(math.radians(22.5)) ** 2) ** 2)
    lobe = d * 2 / (1 + math.sqrt(1.09)) / (4 * math.cos(math.radians(45)))
    aside = 0.75 * (0.2 / math.pi + 0.8 * lobe)
    assert of_silver.mirror_stops == pytest.approx(math.log2(whole / straight), abs=1e-9)
    assert of_silver.aside_stops == pytest.approx(math.log2(whole / aside), abs=1e-9)
    assert of_silver.mirror_stops < 0 < of_silver.aside_stops
    assert of_scrim.mirror_stops == pytest.approx(math.log2(whole * math.pi / 0.45))
    assert of_scrim.aside_stops == pytest.approx(of_scrim.mirror_stops)
    assert (of_scrim.alone, of_silver.alone) == (scrim, silver)


@given(incidence_deg=st.floats(0, 80), aside_deg=st.floats(0, 60))
def test_a_single_sheet_is_as_bright_as_itself(incidence_deg, aside_deg):
    """No stop between them, wherever it is seen from."""
    (found,) = stack_compared([cloth("silver")], incidence_deg=incidence_deg, aside_deg=aside_deg)
    assert (found.mirror_stops, found.aside_stops) == (0, 0)


def test_a_sheet_that_sends_nothing_has_no_stops_to_compare():
    """Infinitely brighter than a black hole; nothing can be said of two of them."""
    over, hole = stack_compared([_matt(0.4, 0.4), _matt(0)], incidence_deg=30)
    assert (over.mirror_stops, hole.mirror_stops) == (0, math.inf)
    (none,) = stack_compared([_matt(0)], incidence_deg=30)
    assert np.isnan([none.mirror_stops, none.aside_stops]).all()


@pytest.mark.parametrize("angles", [{"incidence_deg": 90}, {"incidence_deg": 0, "aside_deg": -1}])
def test_angles_along_or_behind_the_sheet_are_refused(angles):
    """Level light meets no sheet."""
    with pytest.raises(RangeError, match="allowed: 0 to below 90 deg"):
        stack_compared([cloth("white")], **angles)
