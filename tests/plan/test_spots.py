"""From where along the lens line the tripod serves every picture."""

from __future__ import annotations

import pytest
from plan_cases import IDA, NORA, TOM, changed, changed_picture, picture, planned, settled

from kinlight.plan.check import check
from kinlight.plan.model import Plan
from kinlight.plan.spots import Spots
from kinlight.sitting.document import Sitting

FIXED = [{"id": "85", "shortest": 85}]
US = {"name": "us", "people": ["Nora", "Tom", "Ida"]}
ALONE = {"name": "alone", "people": ["Ida"]}
ZOOM = [{"id": "z", "shortest": 35, "longest": 105}]
ROOM = {"length": 12, "mark_from_back_wall": 2.0}


def family(**sections: object) -> Sitting:
    """Return three people in a long room, settled."""
    given: dict[str, object] = {"lenses": FIXED, "pictures": [US], "room": ROOM}
    return settled(NORA, TOM, IDA, **(given | sections))


def at(sitting: Sitting, distance_m: float) -> Plan:
    """Return the plan with the tripod put at a distance on its line."""
    place = sitting.camera.place
    assert place is not None
    return check(changed(sitting, "camera", place=place.with_stated(y_m=-distance_m)))


def crop_m(plan: Plan, name: str = "us") -> float:
    """Return the least room left in the frame of a picture, to any side, for any size."""
    return min(min(cut.crop.room_m) for cut in picture(plan, name).framing.cuts)


def _cropped(spots: Spots) -> tuple[float, float]:
    assert spots.cropped is not None
    return spots.cropped.nearest_m, spots.cropped.farthest_m


def test_nearer_than_the_interval_the_crop_fails_and_within_it_holds() -> None:
    """The plan's own crop check agrees with the end of the interval, to a centimetre."""
    once = family()
    spots = check(once).spots
    near, far = _cropped(spots)
    assert crop_m(at(once, near + 0.01)) >= 0
    assert crop_m(at(once, near - 0.01)) < 0
    assert crop_m(at(once, far)) > 0
    assert spots.cropped is not None
    assert spots.cropped.nearest_because == "us does not fit the frame at 85 mm"


def test_the_room_ends_the_interval() -> None:
    """12 m less 2.0 m to the wall behind the backdrop, less 0.6 m for the photographer: 9.4 m."""
    spots = check(family()).spots
    assert _cropped(spots)[1] == pytest.approx(9.4)
    assert spots.cropped is not None
    assert spots.cropped.farthest_because == "the room ends"


def test_the_sentence_says_both_ends() -> None:
    """Distances as taped, and what ends them."""
    spots = check(family()).spots
    near, _ = _cropped(spots)
    assert spots.sentence == (
        f"the tripod may stand {near:.2f} to 9.40 m before the mark: nearer, us does not fit the "
        "frame at 85 mm; farther, the room ends"
    )


def test_a_face_too_near_ends_it() -> None:
    """A child alone before a long lens: the working distance of 1.5 m, from the nose, ends it."""
    level = [{"name": "alone", "people": ["Ida"], "orientation": "level"}]
    once = settled(IDA, lenses=[{"id": "50", "shortest": 50}], room=ROOM, pictures=level)
    spots = check(once).spots
    assert spots.cropped is not None
    assert "has a face nearer than 1.5 m" in spots.cropped.nearest_because
    nose = picture(check(once)).scene.figures[0].face.nose_m
    across = float(nose[2]) - (once.camera.aim_height_m or 0.0)
    by_hand = (1.5**2 - across**2) ** 0.5 - float(nose[1])  # 1.5 m in a straight line to the nose
    assert spots.cropped.nearest_m == pytest.approx(by_hand, abs=1e-3)


def test_the_nearest_focus_ends_it() -> None:
    """A lens that focuses from 4 m on, measured from the film plane, f (1 + m) behind the lens."""
    slow = [{"id": "50", "shortest": 50, "nearest_focus": 4.0}]
    once = settled(IDA, lenses=slow, room=ROOM)
    spots = check(once).spots
    assert spots.cropped is not None
    assert spots.cropped.nearest_because.startswith("the lens does not focus that near")
    assert at(once, spots.cropped.nearest_m).pictures[0].framing.focus_from_film_m == (
        pytest.approx(4.0, abs=1e-3)
    )


def test_a_zoom_that_is_too_short_crops() -> None:
    """Farther than where 105 mm fills the frame with the child alone, that picture is cropped."""
    once = family(lenses=ZOOM, pictures=[ALONE])
    spots = check(once).spots
    assert spots.cropped is not None
    assert spots.zoomed is not None
    assert spots.zoomed.farthest_m < spots.cropped.farthest_m
    assert "alone does not fill the frame at 105 mm" in spots.sentence
    there = at(changed_picture(once, "alone", focal_length_mm=105.0), spots.zoomed.farthest_m)
    assert crop_m(there, "alone") == pytest.approx(0, abs=2e-3)


def test_a_zoom_may_serve_no_spot_without_cropping() -> None:
    """A group that needs 35 mm far back and a child that needs more than 40 mm there."""
    short = [{"id": "z", "shortest": 35, "longest": 40}]
    spots = check(family(lenses=short, pictures=[US, ALONE])).spots
    assert spots.cropped is not None
    assert spots.zoomed is None
    assert spots.sentence.endswith(
        "from no spot does zooming alone fill the frame of every picture"
    )


def test_a_fixed_lens_is_cropped_as_a_matter_of_course() -> None:
    """With fixed lenses alone, both stretches are one."""
    spots = check(family(pictures=[US, ALONE])).spots
    assert spots.cropped == spots.zoomed
    assert "zooming" not in spots.sentence


def test_only_pictures_to_be_made_count() -> None:
    """A group left out of the order does not hold the tripod back."""
    once = family(pictures=[US, ALONE])
    both, alone = check(once).spots, check(once.with_stated(order=("alone",))).spots
    assert _cropped(alone)[0] < _cropped(both)[0]


def test_a_picture_that_fits_nowhere_is_named() -> None:
    """Someone put four metres aside: no spot of the room serves with the fixed 85."""
    once = family()
    spots = [s.with_stated(x_m=4.0) if s.person == "Tom" else s for s in once.pictures[0].places]
    plan = check(changed_picture(once, "us", places=tuple(spots)))
    assert plan.spots == Spots(None, None, "us fits with its lens from no spot that serves all")


def test_the_interval_holds_where_the_tripod_was_proposed(demo_plan: Plan) -> None:
    """The demo's tripod stands within its own interval."""
    place = demo_plan.sitting.camera.place
    assert place is not None
    near, far = _cropped(demo_plan.spots)
    assert near <= -place.xyz_m()[1] <= far


def test_feet_are_said_in_feet() -> None:
    """The two distances are read off a tape in feet and inches."""
    assert planned(IDA, preferences={"units": "feet"}).spots.sentence.count(" ft ") == 2
