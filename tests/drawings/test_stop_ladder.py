"""The stop ladder stands things around the working aperture."""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawn_plans import SVG, plan_of, root_of, words_of

from kinlight.drawings.stop_ladder import light_marks, stop_ladder, tone_marks
from kinlight.plan.faces import FaceReading
from kinlight.plan.model import Plan


def _face() -> FaceReading:
    """Return the face of p0 with round numbers; its chin reads something else than its cheeks."""
    return replace(
        plan_of("plain").pictures[0].faces[0],
        person="p0",
        from_aperture_stops=0.2,
        key_side_stops=0.5,
        shadow_side_stops=-1.0,
        hair_from_aperture_stops=-0.5,
        hair_lit_stops=0.75,
    )


def _plan() -> Plan:
    """Return a plan with round reflectances: one stop over and under mid grey, 18 %."""
    plan = plan_of("plain")
    person = plan.sitting.person("p0").with_stated(skin=0.36, hair=0.09, clothes=0.045)
    people = tuple(person if p.key == "p0" else p for p in plan.sitting.people)
    backdrop = plan.sitting.backdrop.with_stated(reflectance=0.18)
    sitting = plan.sitting.with_stated(people=people, backdrop=backdrop)
    return replace(plan, sitting=sitting, backdrop_stops=-1.0)


def test_light_is_counted_from_the_working_aperture() -> None:
    """The sides are the cheeks, not the chin."""
    expected = {"key side": 0.5, "shadow side": -1.0, "hair light": -0.5, "backdrop": -1.0}
    assert dict(light_marks(_plan(), _face())) == pytest.approx(expected)


def test_tones_are_light_times_reflectance_against_mid_grey() -> None:
    """0.36 lies one stop over 0.18, 0.09 one under, 0.045 two under: by hand."""
    expected = {
        "skin, key side": 1.5,
        "skin, shadow side": 0.0,
        "hair": -0.25,
        "clothes": -1.5,
        "backdrop": -1.0,
    }
    assert dict(tone_marks(_plan(), _face())) == pytest.approx(expected)


def test_hair_counts_all_light_on_it() -> None:
    """Without a hair light none stands on the ladder; the tone is that of what is there."""
    face = replace(_face(), hair_from_aperture_stops=None)
    assert "hair light" not in dict(light_marks(_plan(), face))
    assert dict(tone_marks(_plan(), face))["hair"] == pytest.approx(-0.25)


def test_black_things_stand_at_the_foot_of_the_ladder() -> None:
    """Reflectance nought is no number of stops; it is drawn at the lowest rung."""
    plan = _plan()
    backdrop = plan.sitting.backdrop.with_stated(reflectance=0.0)
    plan = replace(plan, sitting=plan.sitting.with_stated(backdrop=backdrop))
    picture = replace(plan.pictures[0], faces=(_face(),))
    root = root_of(stop_ladder(plan, picture, "p0"))
    dots = [float(c.attrib["cy"]) for c in root.iter(f"{SVG}circle")]
    said = [w.said for w in words_of(root)]
    assert "−7" in said
    assert "−8" not in said
    assert max(dots) <= 96.0


def test_marks_stand_at_their_stops() -> None:
    """A mark half a stop over the aperture lies halfway between the rungs 0 and +1."""
    plan = _plan()
    picture = replace(plan.pictures[0], faces=(_face(),))
    root = root_of(stop_ladder(plan, picture, "p0"))
    dots = [float(c.attrib["cy"]) for c in root.iter(f"{SVG}circle")]
    rungs = {w.said: float(w.corners[0][1]) for w in words_of(root)}
    one, two = rungs["−1"], rungs["−2"]
    step = two - one
    key, shadow = dots[0], dots[1]
    assert shadow - key == pytest.approx(1.5 * step, abs=0.02)
    words = [w.said for w in words_of(root)]
    assert "key side +0.5" in words
    assert "shadow side −1.0" in words
