from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.light.gloss import (
    coat_brdf,
    facet_density,
    gloss_brdf,
    lobe_albedo,
    masking,
    mean_lobe_albedo,
)
from kinlight.light.world import Coat

NORMAL = np.array([0.0, 0.0, 1.0])
ROUGH = st.floats(0.05, 1)
LEFT_AT_FULL = 1 - math.log(2)  # see the test of the roughest lobe


def _directions(count, seed, below=0.0):
    """Return directions spread over the hemisphere before the sheet, or a little behind it too."""
    rng = np.random.default_rng(seed)
    z, around = rng.uniform(below, 1, count), rng.uniform(0, 2 * np.pi, count)
    r = np.sqrt(1 - z**2)
    return np.stack([r * np.cos(around), r * np.sin(around), z], axis=1)


def _tilted(angle_deg):
    a = np.radians(angle_deg)
    return np.stack([np.sin(a), np.zeros_like(a), np.cos(a)], axis=-1)


def _hemisphere(tilts=700, around=360):
    """Return directions on a grid in the cosine and the azimuth, and their solid angle [sr]."""
    z = (np.arange(tilts) + 0.5) / tilts
    phi = 2 * np.pi * (np.arange(around) + 0.5) / around
    r = np.sqrt(1 - z**2)[:, None]
    upright = np.broadcast_to(z[:, None], (tilts, around))
    return np.stack([r * np.cos(phi), r * np.sin(phi), upright], axis=-1), 2 * np.pi / (
        tilts * around
    )


@pytest.mark.parametrize("roughness", [0.05, 0.1, 0.3, 0.7, 1.0])
def test_the_facets_cover_the_sheet_just_once(roughness):
    """The integral of D cos over the hemisphere is 1: what [walter2007] asks of a distribution.

    Gauss-Legendre in t, where cos = 1 - t^3 draws the points to the sharp peak.
    """
    t, weight = np.polynomial.legendre.leggauss(120)
    t, weight = (t + 1) / 2, weight / 2
    c = 1 - t**3
    area = 2 * np.pi * np.sum(weight * 3 * t**2 * c * facet_density(c, roughness=roughness))
    assert area == pytest.approx(1, abs=1e-9)


def test_straight_back_the_lobe_is_one_over_four_pi_alpha_squared():
    """Light and eye on the normal: D = 1 / (pi a^2), nothing hidden; computed by hand."""
    for roughness in (0.05, 0.3, 1):
        seen = gloss_brdf(NORMAL, NORMAL, NORMAL, roughness=roughness)
        assert seen == pytest.approx(1 / (4 * np.pi * roughness**2), rel=1e-9)


def test_half_the_facets_are_hidden_where_the_slope_says_so():
    """G1 is 2/3 where a tan = sqrt(3), since sqrt(1 + 3) = 2: computed by hand."""
    cosine = 1 / math.sqrt(1 + 3 / 0.25)
    assert masking(cosine, roughness=0.5) == pytest.approx(2 / 3, rel=1e-12)
    assert masking([1, 0, -0.5], roughness=0.5) == pytest.approx([1, 0, 0])


def test_the_roughest_lobe_has_a_closed_form():
    """For a = 1, D is 1/pi everywhere and G1 = 2 c / (1 + c): the lobe is 1 / (pi (1+l) (1+v)).

    Integrated by hand, it sends back 2 (1 - ln 2) / (1 + v) of light at cosine v, and of light from
    everywhere 4 (1 - ln 2)^2. Tolerance: the quadrature's 0.0005 as documented.
    """
    light, eye = _directions(200, 1), _directions(200, 2)
    by_hand = 1 / (np.pi * (1 + light[:, 2]) * (1 + eye[:, 2]))
    assert gloss_brdf(NORMAL, light, eye, roughness=1) == pytest.approx(by_hand, rel=1e-9)
    cosine = np.array([0, 0.1, 0.5, 1])
    by_hand = 2 * LEFT_AT_FULL / (1 + cosine)
    assert lobe_albedo(cosine, roughness=1) == pytest.approx(by_hand, abs=5e-4)
    assert mean_lobe_albedo(roughness=1) == pytest.approx(4 * LEFT_AT_FULL**2, abs=1e-4)


@given(roughness=ROUGH, seed=st.integers(0, 10**6))
@settings(max_examples=40)
def test_light_and_eye_may_change_places(roughness, seed):
    """Helmholtz reciprocity."""
    light, eye = _directions(50, seed), _directions(50, seed + 1)
    there = gloss_brdf(NORMAL, light, eye, roughness=roughness)
    assert there == pytest.approx(gloss_brdf(NORMAL, eye, light, roughness=roughness), rel=1e-12)
    assert np.all(there >= 0)


@given(roughness=ROUGH, cosine=st.floats(0, 1))
@settings(max_examples=60)
def test_no_more_comes_back_than_falls_on(roughness, cosine):
    """From any direction and of any roughness; the 0.0005 is the quadrature's."""
    assert 0 < lobe_albedo(cosine, roughness=roughness) < 1 + 5e-4


def test_a_rougher_lobe_loses_more_between_its_facets():
    """Nearly nothing at 0.05, most at 1."""
    means = [mean_lobe_albedo(roughness=r) for r in (0.05, 0.1, 0.3, 0.6, 1)]
    assert means[0] > 0.98
    assert means == sorted(means, reverse=True)


@pytest.mark.parametrize(("roughness", "angle_deg"), [(0.3, 0), (0.3, 60), (0.6, 30), (1, 80)])
def test_the_albedo_is_the_lobe_summed_over_all_eyes(roughness, angle_deg):
    """Against a plain sum over the hemisphere, whose own error at these roughnesses is 0.0002."""
    eyes, solid_angle = _hemisphere()
    light = _tilted(angle_deg)
    seen = gloss_brdf(NORMAL, light, eyes, roughness=roughness) * eyes[..., 2]
    albedo = lobe_albedo(math.cos(math.radians(angle_deg)), roughness=roughness)
    assert albedo == pytest.approx(seen.sum() * solid_angle, abs=5e-4 + 2e-4)


def test_a_smooth_lobe_is_nearly_a_mirror():
    """Of light straight down, what comes back within an angle is that of facets within half of it.

    Their share is tan^2 / (a^2 + tan^2), from D by hand: 99.3 % within 60 degrees at a = 0.05, of
    which G1(60 deg) = 0.998 at worst is hidden. At a = 0.5 it is 57 % at most.
    """
    eyes, solid_angle = _hemisphere(tilts=4000, around=16)
    near = eyes[..., 2] > 0.5

    def within(roughness):
        seen = gloss_brdf(NORMAL, NORMAL, eyes, roughness=roughness) * eyes[..., 2]
        return seen[near].sum() * solid_angle

    share = 1 / 3 / (0.05**2 + 1 / 3)
    assert 0.998 * share - 1e-3 < within(0.05) < share + 1e-3
    assert within(0.5) < 1 / 3 / (0.5**2 + 1 / 3)


def test_the_lobe_is_brightest_near_the_mirror_direction():
    """Light from 30 degrees to one side is brightest near 30 degrees to the other."""
    angles_deg = np.arange(-80.0, 81.0, 1.0)
    seen = gloss_brdf(NORMAL, _tilted(-30.0), _tilted(angles_deg), roughness=0.1)
    assert angles_deg[np.argmax(seen)] == pytest.approx(30, abs=2)


def test_nothing_is_seen_from_behind_or_lit_from_behind():
    """Nor does light exactly against the eye disturb."""
    down = -NORMAL
    for light, eye in ((NORMAL, down), (down, NORMAL), (down, down)):
        assert gloss_brdf(NORMAL, light, eye, roughness=0.3) == 0
        assert coat_brdf(Coat(0.8, 0.5), NORMAL, light, eye) == 0
    level = np.array([1.0, 0, 0])
    assert gloss_brdf(NORMAL, level, -level, roughness=0.3) == 0


def test_a_matt_coat_is_reflectance_over_pi():
    """Lambert's law, whichever way it is lit and seen."""
    light, eye = _directions(20, 5), _directions(20, 6)
    assert coat_brdf(Coat(0.8), NORMAL, light, eye) == pytest.approx(0.8 / np.pi)


@given(
    reflectance=st.floats(0, 1),
    gloss=st.floats(0, 1),
    roughness=st.floats(0.2, 1),
    angle_deg=st.floats(0, 75),
)
@settings(max_examples=15, deadline=None)
def test_a_coat_sends_back_at_most_its_reflectance(reflectance, gloss, roughness, angle_deg):
    """Matt part and lobe together, summed over the hemisphere; 0.002 for the coarse sum."""
    eyes, solid_angle = _hemisphere(tilts=200, around=120)
    coat = Coat(reflectance, gloss, roughness)
    seen = coat_brdf(coat, NORMAL, _tilted(angle_deg), eyes) * eyes[..., 2]
    sent = seen.sum() * solid_angle
    lost = 1 - lobe_albedo(math.cos(math.radians(angle_deg)), roughness=roughness)
    assert sent <= reflectance + 2e-3
    assert sent == pytest.approx(reflectance * (1 - gloss * lost), abs=2e-3)


def test_shapes_broadcast():
    """Many sheets, many eyes, a roughness for each."""
    normals = np.stack([NORMAL, _tilted(20.0), _tilted(-20.0)])[:, None]
    seen = gloss_brdf(
        normals, _directions(3, 7)[:, None], _directions(5, 8), roughness=[[0.1], [0.2], [0.3]]
    )
    assert seen.shape == (3, 5)
    assert lobe_albedo(np.full((2, 3), 0.5), roughness=0.2).shape == (2, 3)
    assert lobe_albedo(0.5, roughness=0.2).shape == ()


def test_roughness_and_cosines_outside_their_bounds_are_refused():
    """One plain sentence each."""
    with pytest.raises(RangeError) as caught:
        gloss_brdf(NORMAL, NORMAL, NORMAL, roughness=0.01)
    assert str(caught.value) == (
        "0.01 cannot be the roughness of a sheet; "
        "allowed: 0.05 (nearly a mirror) to 1 (nearly matt)"
    )
    with pytest.raises(RangeError, match="roughness"):
        facet_density(1, roughness=math.nan)
    with pytest.raises(RangeError, match="cosine of a direction"):
        lobe_albedo(1.2, roughness=0.3)


def test_the_lobe_is_that_of_an_independent_path_tracer():
    """Random pairs of directions, some from behind; its single precision allows 0.1 %.

    The tracer returns the lobe times the cosine toward the light it is asked for.
    """
    mitsuba = pytest.importorskip("mitsuba")
    mitsuba.set_variant("scalar_rgb")
    light, eye = _directions(150, 11, below=-0.2), _directions(150, 12, below=-0.2)
    compared = 0
    for roughness in (0.05, 0.1, 0.3, 0.6, 1.0):
        bsdf = mitsuba.load_dict(
            {
                "type": "roughconductor",
                "material": "none",
                "distribution": "ggx",
                "alpha": roughness,
            }
        )
        ours = gloss_brdf(NORMAL, light, eye, roughness=roughness) * np.maximum(light[:, 2], 0)
        for toward, seen_from, value in zip(light, eye, ours, strict=True):
            at = mitsuba.SurfaceInteraction3f()
            at.wi = mitsuba.Vector3f(*(float(x) for x in seen_from))
            toward_light = mitsuba.Vector3f(*(float(x) for x in toward))
            theirs = bsdf.eval(mitsuba.BSDFContext(), at, toward_light)[0]
            assert value == pytest.approx(theirs, rel=1e-3, abs=1e-6)
            compared += value > 0
    assert compared > 300
