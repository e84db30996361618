"""What the camera sees behind people: tones apart, the backdrop's own tone, and shadows."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from black_room import bare, dark, shown, spot, stops_over_aperture
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.light.exposure import C_FLAT
from kinlight.plan.behind import BehindPlan, Edge
from kinlight.plan.model import PicturePlan

A = dark("A", hair=0.06, clothes=0.2)
KEY = bare("key", "key", -1.5, -2.5, 2.0)
HIGH = bare("key", "key", 0.0, -1.6, 2.9)
FAR_BLACK = {"distance": 3, "reflectance": 0.0}


def seen(
    *people: dict[str, Any], lights: list[dict[str, Any]], grey: float = 0.18, **sections: Any
) -> PicturePlan:
    """Return a picture before a backdrop of that reflectance, two metres behind the mark."""
    wall = {"reflectance": grey, "distance": 2, "width": 4, "height": 3, "sweep": 0}
    wall |= sections.pop("backdrop", {})
    return shown(*people, lights=lights, backdrop=wall, **sections)[1]


def apart(found: PicturePlan) -> dict[tuple[str, str], float]:
    """Return how far each edge stands from the backdrop, by part and side."""
    return {(e.part, e.side): e.from_backdrop_stops for e in found.behind.edges}


def test_all_four_edges_of_one_before_a_wide_backdrop() -> None:
    """Hair and clothes, left and right."""
    assert set(apart(seen(A, lights=[KEY]))) == {
        (part, side) for part in ("hair", "clothes") for side in ("left", "right")
    }


def test_a_stop_of_hair_is_a_stop_of_separation() -> None:
    """Twice the reflectance in the same light; black people and room send nothing back on it."""
    one, two = (apart(seen(dark("A", hair=h), lights=[KEY])) for h in (0.1, 0.2))
    for edge in (("hair", "left"), ("hair", "right")):
        # only the backdrop's light sent back by the hair itself could differ: a hair's breadth
        assert two[edge] - one[edge] == pytest.approx(1, abs=0.005)


def test_separation_by_hand() -> None:
    """Tones are reflectance times light: the lamp's point law on hair and on the backdrop there.

    What backdrop and hair send each other adds a little light to the hair, and to the backdrop.
    """
    lamp = bare("key", "key", -0.4, -3.0, 2.9)
    found = seen(dark("A", hair=0.3), lights=[lamp], grey=0.05)
    front = found.scene.lamps[0].emitter

    def light(what: str) -> float:
        r = next(r for r in found.scene.receivers if r.what == what)
        way = r.point_m - front.centre_m
        d = float(np.linalg.norm(way))
        return float(way @ front.normal) * float(-way @ r.normal) / d**4

    by_hand = math.log2(0.3 * light("hair right") / (0.05 * light("behind head right")))
    assert apart(found)["hair", "right"] == pytest.approx(by_hand, abs=0.05)


def test_a_black_backdrop_far_behind_separates() -> None:
    """Three metres behind and black: even dark hair stands out; black beside black does not."""
    assert min(apart(seen(A, lights=[HIGH], backdrop=FAR_BLACK)).values()) > 3
    assert set(apart(seen(dark("A"), lights=[HIGH], backdrop=FAR_BLACK)).values()) == {0.0}


def test_the_side_no_light_reaches_melts_into_black() -> None:
    """A single lamp from the camera's left leaves the person's left side as black as the wall."""
    edges = apart(seen(A, lights=[bare("key", "key", -2.5, -0.6, 1.6)], backdrop=FAR_BLACK))
    assert edges["hair", "right"] > 3
    assert edges["hair", "left"] == 0


def test_what_melts_into_the_backdrop_is_said_by_name() -> None:
    """The edge nearest to it, with its tone; nothing where all stand out."""
    said = [f for f in seen(A, lights=[HIGH], backdrop=FAR_BLACK).findings if "backdrop" in f]
    assert said == []
    black = dark("A", hair="black")
    (melts,) = (f for f in seen(black, lights=[HIGH], grey=0.03).findings if "black hair" in f)
    assert melts.startswith("A's black hair is ")
    assert melts.endswith(" the backdrop behind")


def test_what_stands_well_apart_is_not_spoken_of() -> None:
    """Hair and clothes a stop and more from a backdrop that is lit, in either direction."""
    found = seen(dark("A", hair=0.02, clothes=0.02), lights=[HIGH], grey=0.3)
    (least,) = found.behind.least()
    assert 1 < abs(least.from_backdrop_stops) < 8
    assert not any("the backdrop behind" in said for said in found.findings)


def test_edges_beyond_the_backdrop_do_not_count() -> None:
    """A strip wider than the head and narrower than the shoulders shows beside the hair alone."""
    strip = {"width": 0.6, "distance": 0.3}
    assert {e.part for e in seen(A, lights=[KEY], backdrop=strip).behind.edges} == {"hair"}


def test_somebody_behind_is_not_the_backdrop() -> None:
    """A tall one right behind a child: the child's head is against clothes, not the backdrop."""
    child = dark("C") | {"stature": 1.1, "age": 5}
    places = [spot("C", 0, -0.4), spot("A", 0, 0.3)]
    edges = seen(child, A, lights=[KEY], places=places).behind.edges
    assert not any(e.person == "C" and e.part == "hair" for e in edges)
    assert any(e.person == "A" and e.part == "hair" for e in edges)


def test_the_least_edge_of_each_person() -> None:
    """Whichever way it differs from the backdrop."""
    edges = (
        Edge("A", "hair", "left", -2.0),
        Edge("B", "hair", "left", 1.0),
        Edge("A", "clothes", "right", 0.4),
    )
    assert BehindPlan(None, edges, None).least() == (edges[2], edges[1])


@settings(max_examples=5)
@given(st.sampled_from([0.02, 0.18, 0.5, 0.9]))
def test_a_backdrop_comes_out_at_its_reflectance_times_its_light(grey: float) -> None:
    """On the aperture it is its own reflectance, a stop over it twice that: the camera's scale."""
    found = seen(dark("A"), lights=[KEY], grey=grey).behind.backdrop
    assert found is not None
    assert found.tone == pytest.approx(grey * 2**found.from_aperture_stops, rel=1e-9)
    linear = min(found.tone, 1.0)
    by_hand = 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    assert found.code == pytest.approx(255 * by_hand, abs=0.5)  # [iec61966-2-1]


def test_the_light_on_the_backdrop_by_hand() -> None:
    """A lamp from the lens: I cos / d^2 lies between what corners and middle of it get.

    The nearest point of the plane, straight before the lamp, gets the most; the farthest that can
    be seen is the farthest corner of the backdrop.
    """
    x, y, z = 0.0, -3.5, 1.55
    found = seen(dark("A"), lights=[bare("key", "key", x, y, z)]).behind.backdrop
    assert found is not None

    def stops(aside: float, up: float) -> float:
        d = math.dist((x, y, z), (aside, 2.0, up))
        return stops_over_aperture(3000 / math.pi * ((2.0 - y) / d) ** 2 / d**2, C_FLAT)

    most, least = stops(0, z), min(stops(a, b) for a in (-2, 2) for b in (0, 3))
    assert least - 0.01 <= found.from_aperture_stops <= most + 0.01
    assert 0 <= found.evenness_stops <= most - least + 0.02


def test_a_backdrop_against_the_wall_is_lit_like_one_a_hand_before_it() -> None:
    """Its points lie before it, also where it hangs on the wall itself."""
    walls = ({"mark_from_back_wall": wall} for wall in (2.0, 2.1))
    on, off = (
        seen(dark("A"), lights=[HIGH], room=room, backdrop={"width": 3}).behind.backdrop
        for room in walls
    )
    assert on is not None
    assert off is not None
    assert on.from_aperture_stops == pytest.approx(off.from_aperture_stops, abs=0.05)


def test_no_backdrop_in_the_frame() -> None:
    """Through 135 mm at four metres and 1.4 m high nothing under a metre shows; it hangs lower."""
    low, long = {"height": 0.5, "distance": 0.4}, [{"id": "long", "shortest": 135}]
    assert seen(A, lights=[KEY], backdrop=low, lenses=long).behind.backdrop is None


def shadow_of(found: PicturePlan) -> Any:
    """Return the shadow, which there must be."""
    assert found.behind.shadow is not None
    return found.behind.shadow


FILL = bare("fill", "fill", 0.0, -4.1, 1.4)


@pytest.mark.parametrize(("x", "side"), [(-1.2, "right"), (1.2, "left")])
def test_a_shadow_lies_away_from_the_key_and_is_as_deep_as_key_over_fill(
    x: float, side: str
) -> None:
    """A lamp from the left casts it to the right. In its full shade only the fill is left.

    So it is log2((K + F) / F) deep, K and F by the point law on the backdrop; over all of what can
    be seen of it that quotient has a least and a greatest, and the shadow lies between. The fill
    stands by the lens, which sees nothing of its shadow.
    """
    key = bare("key", "key", x, -3.0, 1.75)
    found = seen(dark("A"), lights=[key, FILL], backdrop={"distance": 1.2, "sweep": 0})
    shadow = shadow_of(found)
    assert (shadow.side, shadow.person) == (side, "A")

    def light(lamp: int, aside: float, up: float) -> float:
        front = found.scene.lamps[lamp].emitter
        way = np.array([aside, 1.2, up]) - front.centre_m
        return float(way @ front.normal) * float(way[1]) / float(way @ way) ** 2

    over = np.sign(-x) * np.linspace(0, 1.2, 25)
    depths = [
        math.log2(1 + light(0, float(a), float(b)) / light(1, float(a), float(b)))
        for a in over
        for b in np.linspace(0.02, 2.2, 12)
    ]
    assert min(depths) - 0.05 <= shadow.depth_stops <= max(depths) + 0.05
    assert any(f"falls on the backdrop {side} of A at" in f for f in found.findings)


def test_a_shadow_that_the_people_hide_is_none() -> None:
    """The only lamp stands by the lens: what it does not light, the lens does not see."""
    found = seen(dark("A"), lights=[bare("key", "key", 0.0, -4.05, 1.4)])
    assert found.behind.backdrop is not None
    assert found.behind.shadow is None


def test_a_shadow_softens_with_the_way_to_the_backdrop() -> None:
    """A large key: a hand's breadth behind the people it is deeper than metres behind them."""
    box = {"kind": "softbox", "width": 1.5, "height": 1.5}
    key = bare("key", "key", -1.6, -1.2, 1.9, modifier=box)
    near, far = (
        seen(dark("A"), lights=[key, FILL], backdrop={"distance": d}).behind.shadow
        for d in (0.4, 3.0)
    )
    assert near is not None
    assert near.depth_stops > 2 * (0.0 if far is None else far.depth_stops)


def test_a_backdrop_light_fills_the_shadow() -> None:
    """It is what the picture shows: more light there, less depth."""
    key = bare("key", "key", -1.2, -3.0, 1.75)
    wash = bare("wash", "backdrop", 2.4, -0.2, 1.5, aim={"x": 0.6, "y": 1.2, "height": 1.3})
    where = {"distance": 1.2, "sweep": 0}
    without = shadow_of(seen(dark("A"), lights=[key, FILL], backdrop=where))
    filled = seen(dark("A"), lights=[key, FILL, wash], backdrop=where).behind.shadow
    assert filled is None or filled.depth_stops < without.depth_stops - 0.3
