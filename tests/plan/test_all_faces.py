"""All faces of all pictures against the working aperture."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kinlight.plan.all_faces import all_faces
from kinlight.plan.faces import FaceReading
from kinlight.plan.model import Plan


def test_mean_spread_and_ends_by_hand(demo_plan: Plan) -> None:
    """Of -0.4, 0.2 and 0.8: mean 0.2, standard deviation sqrt(0.72 / 3)."""
    some = demo_plan.pictures[0].faces[0]

    def face(person: str, stops: float) -> FaceReading:
        return replace(some, person=person, from_aperture_stops=stops)

    found = all_faces(
        {"two": [face("Ida", -0.4), face("Tom", 0.2)], "Tom alone": [face("Tom", 0.8)]}
    )
    assert found.count == 3
    assert found.mean_stops == pytest.approx(0.2)
    assert found.sd_stops == pytest.approx(0.24**0.5)
    assert found.sentence() == (
        "All 3 faces: +0.2 stop from the working aperture on average, from -0.4 stop "
        "(Ida in two) to +0.8 stop (Tom in Tom alone)."
    )
    one = all_faces({"Tom alone": [face("Tom", 0.01)]})
    assert one.sentence() == "The one face: even with the working aperture."


def test_the_demos_faces_get_the_working_aperture(demo_plan: Plan) -> None:
    """On average within a tenth of a stop, everything on: why powers aim at the mark alone."""
    assert abs(demo_plan.all_faces.mean_stops) <= 0.1
    assert demo_plan.all_faces.count == sum(len(p.faces) for p in demo_plan.to_make)
