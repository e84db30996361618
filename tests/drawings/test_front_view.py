"""The front view shows the picture as framed, and the crops where they will be cut."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_plans import SVG, lines_of, plan_of, root_of, words_of

from kinlight.drawings.figure_outline import BOTH, around
from kinlight.drawings.front_view import front_view
from kinlight.geometry.vectors import Array
from kinlight.plan.check import check
from kinlight.plan.settle.settle import settle
from kinlight.sitting.files import parse


def _frame(svg: str) -> tuple[float, float, float, float]:
    clip = root_of(svg).find(f".//{SVG}clipPath/{SVG}rect")
    assert clip is not None
    return tuple(float(clip.attrib[k]) for k in ("x", "y", "width", "height"))  # type: ignore[return-value]


def test_the_frame_has_the_shape_of_the_sensor() -> None:
    """3 to 2 level, 2 to 3 upright, for the usual 36 x 24 mm."""
    plan = plan_of("plain")
    for picture in plan.pictures:
        _, _, width, height = _frame(front_view(plan, picture))
        assert width / height == pytest.approx(2 / 3 if picture.upright else 3 / 2, rel=1e-3)


def test_every_crop_is_marked_where_it_will_be_cut() -> None:
    """Eight arms a crop; its corners lie at the crop's share of the frame, from the middle."""
    plan = plan_of("plain")
    for picture in plan.pictures:
        svg = front_view(plan, picture, width_mm=120, height_mm=120)
        x, y, width, height = _frame(svg)
        across, up = (24.0, 36.0) if picture.upright else (36.0, 24.0)
        corners = {p for line in lines_of(root_of(svg)) for p in line}
        for cut in picture.framing.cuts:
            r = cut.crop.rect
            for u in (r.left_mm, r.right_mm):
                for v in (r.bottom_mm, r.top_mm):
                    at = (x + (0.5 + u / across) * width, y + (0.5 - v / up) * height)
                    off = min(max(abs(a - at[0]), abs(b - at[1])) for a, b in corners)
                    assert off < 0.02, cut.size


def test_sizes_stand_at_their_crops() -> None:
    """Each size is said once in the drawing of a lone person, where there is room."""
    plan = plan_of("plain")
    said = " ".join(w.said for w in words_of(root_of(front_view(plan, plan.pictures[-1]))))
    for cut in plan.pictures[-1].framing.cuts:
        assert said.count(cut.size) == 1


def test_crowns_are_dimensioned_at_their_height() -> None:
    """Someone stated to be 1.86 m tall who stands has the crown 1.86 m over the floor."""
    plan = plan_of("plain")
    picture = plan.pictures[0]
    spots = next(p.places for p in plan.sitting.pictures if p.key == picture.name)
    assert next(s.posture for s in spots if s.person == "p0") == "standing"
    svg = front_view(plan, picture, width_mm=180, height_mm=100, heights=True)
    said = [w.said for w in words_of(root_of(svg))]
    assert "1.86 m Tall" in said
    assert len([s for s in said if " m " in s or " cm " in s]) >= len(picture.people)


def test_everyone_has_a_head_and_two_eyes() -> None:
    """Also those whom others stand before."""
    plan = plan_of("many")
    picture = plan.pictures[0]
    root = root_of(front_view(plan, picture))
    assert len(list(root.iter(f"{SVG}ellipse"))) == len(picture.people) == 14
    assert len(list(root.iter(f"{SVG}circle"))) == 28


def test_heads_lie_inside_every_crop() -> None:
    """What the plan holds to be framed is drawn inside the crop marks."""
    plan = plan_of("plain")
    for picture in (p for p in plan.pictures if p.framing.room_m >= 0):
        svg = front_view(plan, picture)
        x, y, width, height = _frame(svg)
        across, up = (24.0, 36.0) if picture.upright else (36.0, 24.0)
        for head in root_of(svg).iter(f"{SVG}ellipse"):
            u = ((float(head.attrib["cx"]) - x) / width - 0.5) * across
            v = (0.5 - (float(head.attrib["cy"]) - y) / height) * up
            for cut in picture.framing.cuts:
                r = cut.crop.rect
                assert r.left_mm < u < r.right_mm
                assert r.bottom_mm < v < r.top_mm


def test_the_arms_of_a_holder_end_in_front_of_the_child() -> None:
    """Both hands of someone with a child on the lap lie on the child's trunk."""

    def straight_on(points_m: Array) -> Array:
        return points_m[:, [0, 2]] * 100

    people = [
        {"id": "a", "name": "Ida", "age": 40},
        {"id": "b", "name": "Bo", "age": 1},
    ]
    places = [
        {"person": "a", "posture": "stool", "seat": 0.45},
        {"person": "b", "posture": "lap", "held_by": "a"},
    ]
    document = {
        "people": people,
        "pictures": [{"name": "two", "people": ["a", "b"], "places": places, "must": True}],
        "propose_pictures": False,
    }
    picture = check(settle(parse(document))).pictures[0]
    holder, held = (next(f for f in picture.scene.figures if f.person == p) for p in "ab")
    svg = around(holder, held, straight_on, scale=100, ink_mm=0.2, sides=BOTH)
    hands = [line[-1] for line in lines_of(root_of(f"<svg>{svg}</svg>"))]
    trunk = np.concatenate([held.hips_m, held.shoulders_m])
    assert len(hands) == 4
    for x, z in hands:
        assert trunk[:, 0].min() * 100 < x < trunk[:, 0].max() * 100
        assert trunk[:, 2].min() * 100 < z < trunk[:, 2].max() * 100
