"""What spoils a print: spectacles, gear in it, an uneven backdrop, shadows and their mends."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from black_room import LENS_M, bare, dark, shown, spot

from kinlight.light.spectacles import glare
from kinlight.optics.crops import Rect
from kinlight.plan.findings import findings
from kinlight.plan.flares import LampToLens
from kinlight.plan.glares import lamps_in_spectacles
from kinlight.plan.in_print import in_print, printed_rects
from kinlight.plan.model import PicturePlan, Plan
from kinlight.plan.shadow_mends import SHADOW_STOPS, ShadowMends
from kinlight.plan.words import first_five
from kinlight.stage.view import view_of

A, B = dark("A", spectacles=True), dark("B", spectacles=True)
KEY = bare("key", "key", -1.5, -2.5, 2.0)
BOX = {"kind": "softbox", "width": 0.8, "height": 0.8}
PAIR = [spot("A", -0.35), spot("B", 0.35)]


def mirrored(ceiling: float) -> PicturePlan:
    """Return two in spectacles before a softbox at eye level, under a ceiling."""
    key = bare("key", "key", 0.5, -2.5, 1.5, modifier=BOX)
    return shown(
        A, B, lights=[key], places=PAIR, room={"ceiling": ceiling}, backdrop={"height": 1.9}
    )[1]


def test_one_line_for_a_lamp_names_everybody_it_shows_in() -> None:
    """And the moves it gives help each of them: glare looked for anew, lens by lens."""
    found = mirrored(3.2)
    (lamp,) = found.spectacles
    assert set(lamp.wearers) == {"A", "B"}
    (said,) = (f for f in found.findings if "spectacles show" in f)
    assert said.startswith(f"{lamp.wearers[0]}'s and {lamp.wearers[1]}'s spectacles show the key")
    shares = [s for f in found.faces for g in f.seen.glare for s in (g.left_share, g.right_share)]
    assert lamp.lens_share == max(shares)
    front = found.scene.lamps[0].emitter
    assert all(any(x.shows for x in glare(f.face, LENS_M, front)) for f in found.scene.figures)


@pytest.mark.parametrize(("ceiling", "free"), [(2.05, 0.1), (2.0, 0.05)])
def test_a_lamp_is_never_asked_into_the_ceiling(ceiling: float, free: float) -> None:
    """Its upper edge is at 1.90 m, or a hair under it leaning, and 5 cm are kept free above it."""
    found = mirrored(ceiling)
    (lamp,) = found.spectacles
    assert lamp.mends.free_m == pytest.approx(free, abs=0.011)
    assert not lamp.mends.can_be_raised
    (said,) = (f for f in found.findings if "spectacles show" in f)
    assert "raising the key would take" in said
    assert ": raise the key" not in said


def test_a_corner_of_a_lens_is_not_spoken_of(plan: Plan) -> None:
    """Under a fiftieth of a lens and not over the eye: no line; the face keeps the figure."""
    found = mirrored(3.2)
    face = found.faces[0]
    small = replace(face.seen.glare[0], left_share=0.019, right_share=0.0, pupil_share=0.0)

    def lamps(seen: Any) -> Any:
        faces = [replace(face, seen=replace(face.seen, glare=(seen,)))]
        return lamps_in_spectacles(plan.sitting, found.scene, faces, np.array(LENS_M))

    assert lamps(small) == ()
    assert len(lamps(replace(small, left_share=0.02))) == 1
    assert len(lamps(replace(small, pupil_share=0.01))) == 1


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Return the plan of one in spectacles before a bare key."""
    return shown(A, lights=[KEY])[0]


def test_a_print_shows_its_crop_and_no_more(plan: Plan) -> None:
    """A point a hair inside an edge of the crop is in it, one beyond is not."""
    picture = plan.pictures[0]
    view = view_of(plan.sitting, plan.sitting.pictures[0], focus_on_m=np.array([0, 0, 1.5]))
    rect = Rect(-5.0, 5.0, -8.0, 8.0)
    d = view.principal_distance_mm

    def at(x: float, y: float) -> np.ndarray[Any, Any]:
        return view.entrance_pupil_m + 4 * (view.axis + x / d * view.right + y / d * view.up)

    points = np.array([at(4.9, 0), at(5.1, 0), at(0, -7.9), at(0, 8.1)])
    assert in_print(points, view, [rect]).tolist() == [True, False, True, False]
    assert in_print(points, view, [rect, Rect(0, 6, 0, 9)]).tolist() == [True, True, True, True]
    rects = printed_rects(picture.framing, view)
    for cut, seen in zip(picture.framing.cuts, rects, strict=True):
        assert seen.width_mm <= min(cut.crop.rect.width_mm, view.frame_mm[0]) + 1e-9
    none = replace(picture.framing, cuts=())
    (whole,) = printed_rects(none, view)
    assert (whole.width_mm, whole.height_mm) == pytest.approx(view.frame_mm)


def hung(**light: Any) -> PicturePlan:
    """Return a picture with a small lamp over the shoulder, before the backdrop."""
    hair = bare("hair", "hair", 0.32, 1.0, 1.6, modifier=BOX | {"width": 0.2, "height": 0.2})
    return shown(A, lights=[KEY, hair | light])[1]


@pytest.mark.parametrize(
    "aim", [{"x": 0, "y": -4, "height": 1.4}, {"x": 0.3, "y": 4, "height": 1.6}]
)
def test_gear_in_the_print_is_told_whether_it_shines_or_not(aim: dict[str, float]) -> None:
    """Toward the lens or away from it: it hangs there either way."""
    found = hung(aim=aim)
    assert found.gear == ("hair",)
    to_lens = {x.light: x.to_lens for x in found.flare}["hair"]
    too = " and shines into the lens" if to_lens.sees else ""
    assert to_lens.sees == (aim["y"] < 0)
    assert found.findings[0] == f"hair is in the picture{too}"


def test_gear_behind_somebody_or_beside_the_print_is_not_told() -> None:
    """Hidden by the body, and a metre and more to the side."""
    assert hung(place={"x": 0.0, "y": 1.0, "z": 1.3}).gear == ()
    assert hung(place={"x": 2.0, "y": 1.0, "z": 1.6}).gear == ()


def test_a_panel_in_the_print_is_told() -> None:
    """A flag between the people and the backdrop, over the shoulder."""
    flag = {
        "id": "flag",
        "sheets": ["black"],
        "place": {"x": 0.35, "y": 1.0, "z": 1.6},
        "width": 0.2,
        "height": 0.2,
    }
    found = shown(A, lights=[KEY], reflectors=[flag])[1]
    assert found.gear == ("flag",)
    assert "flag is in the picture" in found.findings


WALL = {"reflectance": 0.5, "distance": 1.2, "width": 4, "height": 3, "sweep": 0}
FILL = bare("fill", "fill", 0.0, -4.1, 1.4)


def test_an_uneven_backdrop_is_told_with_where_it_is_brightest() -> None:
    """A lamp on its left third; the word is that of the side. One far off lights it evenly."""
    near = bare("wash", "backdrop", -0.9, 0.4, 1.5, aim={"x": -0.9, "y": 1.2, "height": 1.5})
    found = shown(dark("A"), lights=[KEY, near], backdrop=WALL)[1]
    assert found.behind.backdrop is not None
    assert found.behind.backdrop.evenness_stops > 1
    assert found.behind.backdrop.brightest.endswith("left")
    said = "the backdrop is uneven by over a stop, brightest at the left of the print"
    assert said in found.findings
    even = shown(dark("A"), lights=[FILL], backdrop=WALL)[1]
    assert even.behind.backdrop is not None
    assert even.behind.backdrop.evenness_stops < 0.5
    assert not any("uneven" in f for f in even.findings)


def shadowed(x: float = -1.2, z: float = 1.75, **sections: Any) -> PicturePlan:
    """Return one whose small key casts a shadow on a backdrop close behind."""
    key = bare("key", "key", x, -3.0, z)
    return shown(dark("A"), lights=[key, FILL], backdrop=WALL, **sections)[1]


def test_a_set_brought_forward_has_no_shadow_that_shows() -> None:
    """The move is made, the backdrop so much farther behind, and the shadow looked for anew."""
    found = shadowed().behind.shadow
    assert found is not None
    assert found.mends is not None
    assert found.mends.light == "key"
    forward = found.mends.forward_m
    assert forward is not None
    again, short = (
        shown(
            dark("A"),
            lights=[bare("key", "key", -1.2, -3.0, 1.75), FILL],
            backdrop=WALL | {"distance": 1.2 + by},
        )[1].behind.shadow
        for by in (forward, forward - 0.1)
    )
    assert again is None or again.depth_stops < SHADOW_STOPS
    assert short is not None
    assert short.depth_stops >= SHADOW_STOPS


def test_a_shadow_without_room_before_it_asks_for_none() -> None:
    """The camera has its back to the wall: the set cannot come forward."""
    tight = shadowed(room={"length": 8.7})
    assert tight.behind.shadow is not None
    assert tight.behind.shadow.mends is not None
    assert tight.behind.shadow.mends.forward_m is None


def test_mends_of_a_shadow_in_words() -> None:
    """Either move or both; where there is none, that."""
    assert ShadowMends(0.4, "key", 0.3).sentence(units="metric") == (
        "bring people, camera and lights 40 cm forward or raise the key 30 cm"
    )
    assert ShadowMends(None, "key", 0.1016).sentence(units="feet") == "raise the key 4 in"
    none = ShadowMends(None, "key", None).sentence(units="metric")
    assert none == "the room leaves no move that ends it: swing the key farther out"


def test_the_kind_goes_before_the_excess_and_the_excess_before_the_order(plan: Plan) -> None:
    """Gear in the picture first; of two lamps that flare the brighter one; the backdrop last."""
    found = hung(aim={"x": 0, "y": -4, "height": 1.4})
    (lamp,) = (x for x in found.flare if x.light == "hair")
    dim, bright = (
        LampToLens(name, replace(lamp.to_lens, in_frame=False, level_stops=level))
        for name, level in (("dim", -2.0), ("bright", 1.0))
    )
    seen = replace(found.behind, edges=(), shadow=None)
    assert seen.backdrop is not None
    seen = replace(seen, backdrop=replace(seen.backdrop, evenness_stops=30.0, tone=0.5))
    said = findings(plan.sitting, (), seen, [dim, bright], glares=(), gear=("a flag",))
    assert [x.text.split()[0] for x in said] == ["a", "bright", "dim", "the"]
    weights = [x.weight for x in said]
    assert weights == sorted(weights, reverse=True)
    assert all(math.isfinite(w) for w in weights)


def test_the_stops_line_says_what_the_prints_show_of_the_backdrop() -> None:
    """From the darkest picture to the brightest, and how uneven it is at most."""
    plan, one = shown(dark("A"), lights=[KEY], backdrop=WALL)
    wall = one.behind.backdrop
    assert wall is not None

    def stops(*each: tuple[float, float]) -> str:
        pictures = []
        for level, uneven in each:
            seen = replace(wall, from_aperture_stops=level, evenness_stops=uneven)
            pictures.append(replace(one, behind=replace(one.behind, backdrop=seen)))
        parts = (plan.lights, plan.tapes, plan.order, plan.focus)
        line = first_five(plan.sitting, pictures, *parts, backdrop_stops=-0.7)[3]
        return line.partition("backdrop ")[2]

    assert stops((0.02, 0.1)) == "as the faces' aperture"
    assert stops((-0.3, 2.6)) == "-0.3 stop, uneven by up to 2.6 stop"
    assert stops((-1.1, 0.4), (0.0, 0.6)) == "-1.1 to 0 stops, uneven by up to 0.6 stop"
    unseen = replace(one, behind=replace(one.behind, backdrop=None))
    parts = (plan.lights, plan.tapes, plan.order, plan.focus)
    line = first_five(plan.sitting, [unseen], *parts, backdrop_stops=-0.7)[3]
    assert line.endswith("backdrop -0.7 stop, in no print")
