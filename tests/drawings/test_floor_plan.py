"""The floor plan is to scale, and says what stands where."""

from __future__ import annotations

import itertools
import math
import re

import pytest
from drawn_plans import HOSTILE, SVG, lines_of, plan_of, root_of, words_of

from kinlight.drawings.floor_plan import floor_plan
from kinlight.drawings.floor_scale import SCALES, floor_of
from kinlight.drawings.words import front_text
from kinlight.sitting.place import Place
from kinlight.sitting.strobes import Light, Modifier


def _scale(svg: str) -> int:
    found = re.search(r"<title[^>]*>Floor plan, 1:(\d+)<", svg)
    assert found
    return int(found[1])


def _edges_m(svg: str) -> list[float]:
    """Return how long every straight edge of the drawing is in the room [m]."""
    scale = _scale(svg)
    return [
        math.dist(a, b) * scale / 1000
        for line in lines_of(root_of(svg))
        for a, b in zip(line, [*line[1:], line[0]], strict=True)
    ]


@pytest.mark.parametrize(
    ("what", "length_m"),
    [
        ("mark to lens", 4.2),
        ("mark to backdrop", 1.9),
        ("mark to key", 2.6),
        ("width of the room", 6.0),
        ("width of the backdrop", 3.6),
        ("width of the key's front", 0.9),
    ],
)
@pytest.mark.parametrize("width_mm", [182.0, 150.0])
def test_distances_on_paper_times_the_scale_are_those_stated(
    what: str, length_m: float, width_mm: float
) -> None:
    """As stated in the sitting; coordinates are rounded to 0.01 mm, 2 mm in the room at 1:100."""
    svg = floor_plan(plan_of("plain"), width_mm=width_mm)
    assert min(abs(edge - length_m) for edge in _edges_m(svg)) < 0.002, what


def test_the_room_keeps_its_shape() -> None:
    """The same scale along and across: the backdrop's distance against its width, by hand."""
    sitting = plan_of("plain").sitting
    floor = floor_of(sitting, width_mm=100, height_mm=110, corner=(7.0, 9.0))
    assert floor.scale in SCALES
    left, mark = floor.at(-1.8, 1.9), floor.at(0.0, 0.0)
    assert mark[1] - left[1] == pytest.approx(1.9 / 1.8 * (mark[0] - left[0]))
    assert mark[0] - 7.0 == pytest.approx(3000 / floor.scale)  # half of 6 m from the left wall


def test_the_scale_is_the_largest_usual_one_that_fits() -> None:
    """A room 6 m wide takes 100 mm at 1:60, and would take 120 mm at 1:50."""
    sitting = plan_of("plain").sitting
    assert floor_of(sitting, width_mm=119, height_mm=900, corner=(0, 0)).scale == 60
    assert floor_of(sitting, width_mm=120, height_mm=900, corner=(0, 0)).scale == 50


def test_floor_behind_the_camera_is_cut_off_and_said() -> None:
    """The room's whole length stands there in words."""
    svg = floor_plan(plan_of("plain"))
    floor = floor_of(plan_of("plain").sitting, width_mm=100, height_mm=110, corner=(0, 0))
    assert floor.cut
    assert floor.near_y_m < -4.2
    assert "room 9.00 m long, ceiling 3.00 m" in svg


def test_labels_say_what_each_light_is_how_it_is_set_and_where() -> None:
    """In the words used on set, with its tape."""
    plan = plan_of("plain")
    said = " ".join(w.said for w in words_of(root_of(floor_plan(plan))))
    for light in plan.lights:
        assert light.setting in said
    for words in ("90 square", "110 reflecting umbrella", "60 octagon", "2.60 m left, 40°"):
        assert words in said
    assert "top (hair)" in said
    assert "40°" in said


def test_leaders_run_through_no_words() -> None:
    """No line of the drawing crosses a label in the margins."""
    svg = floor_plan(plan_of("plain"))
    root = root_of(svg)
    margins = [w for w in words_of(root) if w.box()[2] < 36 or w.box()[0] > 146]
    labels = [w for w in margins if w.box()[3] < 120]
    assert len(labels) > 10
    for line in lines_of(root):
        for (ax, ay), (bx, by) in itertools.pairwise(line):
            for step in range(101):
                x, y = ax + (bx - ax) * step / 100, ay + (by - ay) * step / 100
                for label in labels:
                    left, top, right, bottom = label.box()
                    assert not (left < x < right and top < y < bottom), label.said


def test_everyone_is_drawn_and_named() -> None:
    """A numbered ellipse on the floor and the name beside the number; held children too."""
    for kind, count in (("plain", 5), ("many", 14)):
        plan = plan_of(kind)
        root = root_of(floor_plan(plan, "everyone"))
        people = [e for e in root.iter(f"{SVG}ellipse") if e.attrib["fill"] == "#f5f1e8"]
        assert len(people) == count
        said = [w.said for w in words_of(root)]
        for number in range(1, count + 1):
            assert said.count(str(number)) == 2
        for person in plan.sitting.people:
            assert any(words.startswith(f"{person.name} ") for words in said)


def test_hostile_names_arrive_as_they_are() -> None:
    """Marks that mean something in XML, and a name too long for its column is cut."""
    said = [w.said for w in words_of(root_of(floor_plan(plan_of("hostile"), "everyone")))]
    for name in HOSTILE:
        assert any(words.startswith(name[:20]) for words in said), name


def test_feet_are_printed_where_the_studio_counts_in_feet() -> None:
    """No metres anywhere: 4.20 m is 13 ft 9 in, worked out by hand."""
    svg = floor_plan(plan_of("feet"))
    said = [w.said for w in words_of(root_of(svg))]
    assert "13 ft 9 in" in said
    assert not [words for words in said if re.search(r"\d (m|cm)\b", words)]


def test_a_front_is_called_as_on_set() -> None:
    """Centimetres, or inches where the studio counts in feet; 0.9 m are 35 in, by hand."""

    def light(**modifier: object) -> Light:
        shape = Modifier.model_validate(modifier)
        return Light(id="a", role="key", place=Place(x_m=0.0, y_m=-2.0), modifier=shape)

    assert front_text(light(width=0.9), "metric") == "90 square"
    assert front_text(light(width=0.3, height=1.2), "metric") == "30 × 120 softbox"
    assert front_text(light(width=0.9), "feet") == "35 in square"
    assert front_text(light(kind="bare", width=0.18), "metric") == "bare head, 18 cm"
