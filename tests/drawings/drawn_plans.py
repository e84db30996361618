"""Plans that the tests draw, and a reader for the SVG that comes out."""

from __future__ import annotations

import functools
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from typing import Any

from kinlight.drawings.lettering import text_width_mm
from kinlight.plan.check import check
from kinlight.plan.model import Plan
from kinlight.plan.settle.settle import settle
from kinlight.sitting.files import parse

Point = tuple[float, float]
SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = ('<b>&"q"', "O'Neil ]]>", "#set page()", "Zoë 🎂", "x" * 60, "名前", "{{}} $ \\ %")


def _family(count: int, names: tuple[str, ...] = ()) -> list[dict[str, Any]]:
    ages = (70, 41, 39, 12, 9, 6, 4)
    return [
        {"id": f"p{i}", "name": names[i] if names else f"Name {i}", "age": ages[i % len(ages)]}
        for i in range(count)
    ]


def _sitting(people: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    everyone = {"name": "everyone", "people": [p["id"] for p in people], "must": True}
    return {
        "people": people,
        "pictures": [everyone, {"name": "first", "people": ["p0"], "must": True}],
        "propose_pictures": False,
        "room": {"width": 6.0, "length": 9.0, "ceiling": 3.0},
        "backdrop": {"width": 3.6, "height": 2.8, "distance": 1.9},
        "camera": {"place": {"x": 0.0, "y": -4.2, "z": 1.1}},
        "lenses": [{"id": "zoom", "shortest": 24, "longest": 70, "widest": 2.8}],
        "lights": [
            {
                "id": "key",
                "role": "key",
                "modifier": {"kind": "softbox", "width": 0.9},
                "place": {"distance": 2.6, "side": "left", "angle": 40, "height": 2.2},
            },
            {
                "id": "fill",
                "role": "fill",
                "modifier": {"kind": "reflecting umbrella", "width": 1.1},
                "place": {"distance": 3.6, "side": "right", "angle": 20, "height": 1.9},
            },
            {
                "id": "top",
                "role": "hair",
                "modifier": {"kind": "octagon", "width": 0.6},
                "place": {"x": 0.9, "y": 1.2, "z": 2.5},
            },
            {
                "id": "bare one",
                "role": "backdrop",
                "modifier": {"kind": "bare", "width": 0.2},
                "place": {"x": -1.5, "y": 1.0, "z": 0.6},
                "aim": {"x": 0.0, "y": 1.9, "height": 1.3},
            },
        ],
        "reflectors": [{"id": "panel", "place": {"x": 1.9, "y": -0.6, "z": 1.0}}],
        **more,
    }


@functools.cache
def plan_of(kind: str) -> Plan:
    """Return a plan by name: plain, feet, hostile, many or bare."""
    tall = {"id": "p0", "name": "Tall", "age": 40, "stature": 1.86}
    documents = {
        "plain": lambda: _sitting([tall, *_family(5)[1:]]),
        "feet": lambda: _sitting(_family(4), preferences={"units": "feet"}),
        "hostile": lambda: _sitting(_family(7, HOSTILE), title="<&> " + "long " * 30),
        "many": lambda: _sitting(
            _family(14), room={"width": 12.0, "length": 12.0, "ceiling": 3.5},
            backdrop={"width": 8.0, "height": 3.2, "distance": 2.5},
        ),
        "bare": lambda: {"people": [{"id": "p0", "name": "Alone", "age": 30}]},
    }  # fmt: skip
    return check(settle(parse(documents[kind]())))


@dataclass(frozen=True)
class Words:
    """A text of a drawing: its words, and the corners of the box it takes at most."""

    said: str
    size_mm: float
    corners: tuple[Point, ...]

    def box(self) -> tuple[float, float, float, float]:
        """Return the upright box around it."""
        xs, ys = zip(*self.corners, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


def root_of(svg: str) -> ET.Element:
    """Return the drawing as a tree."""
    return ET.fromstring(svg)


def paper_of(root: ET.Element) -> tuple[float, float]:
    """Return width and height of the drawing."""
    left, top, width, height = (float(v) for v in root.attrib["viewBox"].split())
    assert (left, top) == (0, 0)
    return width, height


def lines_of(root: ET.Element) -> list[list[Point]]:
    """Return the points of every line and outline that is not clipped."""
    found = []
    for element in _unclipped(root):
        if "points" in element.attrib:
            pairs = [p.split(",") for p in element.attrib["points"].split()]
            found.append([(float(x), float(y)) for x, y in pairs])
    return found


def words_of(root: ET.Element) -> list[Words]:
    """Return every text of a drawing with the box it takes."""
    return [_words(element) for element in root.iter(f"{SVG}text")]


def _unclipped(element: ET.Element) -> list[ET.Element]:
    if "clip-path" in element.attrib:
        return []
    return [element, *(e for child in element for e in _unclipped(child))]


def _words(element: ET.Element) -> Words:
    said, size = element.text or "", float(element.attrib["font-size"])
    x, y = float(element.attrib["x"]), float(element.attrib["y"])
    width = text_width_mm(said, size)
    left = {"start": x, "middle": x - width / 2, "end": x - width}[element.attrib["text-anchor"]]
    corners = [(left, y - 0.72 * size), (left + width, y - 0.72 * size)]
    corners += [(left + width, y + 0.2 * size), (left, y + 0.2 * size)]
    turn = re.match(r"rotate\((\S+)", element.attrib.get("transform", ""))
    angle = math.radians(float(turn[1])) if turn else 0.0
    c, s = math.cos(angle), math.sin(angle)
    around = [(x + c * (u - x) - s * (v - y), y + s * (u - x) + c * (v - y)) for u, v in corners]
    return Words(said, size, tuple(around))
