"""Settling keeps what is stated, marks what it fills in, and comes to rest."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import BABY, IDA, NORA, TWO, light, read, settled

from kinlight.errors import SittingError
from kinlight.plan.check import check
from kinlight.plan.settle.settle import settle
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse, plain, toml_text
from kinlight.sitting.origins import accepted

NORA_STANDS = {"person": "Nora", "posture": "standing", "x": 0.25, "y": 0.1}
IDA_STANDS = {"person": "Ida", "posture": "standing", "x": -0.2}
LIGHTS = [light("key", "key", -1.4, -1.4, 2.0), light("fill", "fill", 1.5, -2.6, 1.8)]


def _some(**optional: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional=optional)


_PICTURE = _some(
    orientation=st.sampled_from(["upright", "level"]),
    lens=st.just("zoom"),
    focal_length=st.sampled_from([28, 35]),
    places=st.sampled_from([[NORA_STANDS], [IDA_STANDS], [IDA_STANDS, NORA_STANDS]]),
    must=st.booleans(),
    frames=st.integers(1, 9),
)
_CAMERA = _some(
    place=st.sampled_from([{"distance": 3.6}, {"x": 0.1, "y": -3.5, "z": 1.3}]),
    aim_height=st.sampled_from([1.05, 1.15]),
    f_number=st.sampled_from([7.1, 11]),
    focus_on=st.just("Ida"),
    focus_in=st.just("two"),
    lens=st.just("zoom"),
)
_KEY = _some(
    power=st.sampled_from(["1/2", "1/4 -0.3"]),
    aim=st.sampled_from(["mark", "Ida", "20 degrees toward the camera", {"at": "mark", "turn": 9}]),
)
_LENSES = [
    {"id": "zoom", "shortest": 24, "longest": 70},
    {"id": "fixed", "shortest": 85},
]


@st.composite
def _sittings(draw: st.DrawFn) -> Sitting:
    """Return sittings of two people that state some of what settling would fill in."""
    sections: dict[str, Any] = {
        "pictures": [{**TWO, **draw(_PICTURE)}],
        "camera": draw(_CAMERA),
        "lights": [{**LIGHTS[0], **draw(_KEY)}, LIGHTS[1]],
        "lenses": draw(st.permutations(_LENSES)) if draw(st.booleans()) else _LENSES[:1],
    }
    if "focal_length" in sections["pictures"][0]:
        sections["lenses"] = _LENSES  # a stated focal length is held against the first lens
    if draw(st.booleans()):
        sections["order"] = ["two"]
    return read(NORA, IDA, **sections)


def _leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield every value of a document with its path; entries of lists by how they are called."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _leaves(inner, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for entry in value:
            called = entry.get("id") or entry.get("name") or entry.get("person")
            yield from _leaves(entry, f"{path}.{called}")
    else:
        yield path, value


def _document(sitting: Sitting) -> dict[str, Any]:
    document = plain(sitting)
    for key in ("origins", "format", "written_by"):
        document.pop(key, None)
    return document


@settings(max_examples=30)
@given(_sittings())
def test_nothing_stated_is_changed_and_all_else_is_marked(stated: Sitting) -> None:
    """Every stated value stands in the settled sitting, unmarked; every other one is marked."""
    after = settle(stated)
    before = dict(_leaves(_document(stated)))
    for path, value in _leaves(_document(after)):
        marked = [m for m in after.origins if path == m or path.startswith(m + ".")]
        if path in before:
            assert value == before[path], path
            assert not marked, path
        else:
            assert marked, path
    assert before.keys() <= dict(_leaves(_document(after))).keys()
    assert set(after.origins.values()) <= {"proposed"}


@settings(max_examples=10)
@given(_sittings())
def test_settling_comes_to_rest(stated: Sitting) -> None:
    """A second time changes nothing, nor does settling what was accepted; and it is repeatable."""
    once = settle(stated)
    assert settle(once) == once
    assert settle(stated) == once
    kept = accepted(once)
    assert "proposed" not in kept.origins.values()
    assert settle(kept) == kept


@settings(max_examples=6)
@given(_sittings())
def test_a_settled_file_gives_the_same_plan(stated: Sitting) -> None:
    """Written as TOML and read again, a settled sitting has the same plan and the same marks."""
    once = settle(stated)
    again = parse(tomllib.loads(toml_text(once)))
    assert again.origins == once.origins
    one, other = check(once), check(again)
    assert one.first_five == other.first_five
    assert [p.checks for p in one.pictures] == [p.checks for p in other.pictures]
    assert one.proposed == other.proposed


def test_the_demo_comes_to_rest(demo_settled: Sitting) -> None:
    """The demo settled twice is the demo settled once."""
    assert settle(demo_settled) == demo_settled


def test_one_who_has_a_place_keeps_it_when_settled_anew() -> None:
    """One of two places stated: the other is proposed anew, and only that one is marked."""
    once = settled(NORA, IDA, pictures=[{**TWO, "places": [NORA_STANDS]}])
    assert "pictures.two.places.Ida" in once.origins
    assert "pictures.two.places" not in once.origins
    again = settle(once)
    nora = next(s for s in again.pictures[0].places if s.person == "Nora")
    assert (nora.x_m, nora.y_m) == (0.25, 0.1)


def test_a_feathered_light_stays_feathered_when_settled_anew() -> None:
    """The height aimed at is proposed; the turn that is stated stays, twice over."""
    feathered = {**LIGHTS[0], "aim": "20 degrees toward the camera"}
    again = settle(settled(NORA, lights=[feathered]))
    assert again.lights[0].aim.turn_deg == 20
    eyes = [f.face.eyes_m()[:, 2].mean() for p in check(again).pictures for f in p.scene.figures]
    height_m = again.lights[0].aim.height_m
    assert height_m is not None
    assert abs(height_m - sum(eyes) / len(eyes)) <= 0.025 + 1e-9  # said to 5 cm
    assert "lights.key.aim.height" in again.origins


def test_a_person_to_focus_on_stays_when_settled_anew() -> None:
    """Only the picture of the focus is proposed, if the person is stated."""
    once = settled(NORA, IDA, camera={"focus_on": "Ida"})
    assert "camera.focus_on" not in once.origins
    assert once.origins["camera.focus_in"] == "proposed"
    assert settle(once).camera.focus_on == "Ida"


def test_a_tripod_place_without_height_gets_one() -> None:
    """The lens is not left on the floor: its height is that of the aim, marked as proposed."""
    once = settled(NORA, camera={"place": {"distance": 3.5}})
    assert once.camera.place is not None
    assert once.camera.place.xyz_m() == (0.0, -3.5, once.camera.aim_height_m)
    assert "camera.place.height" in once.origins
    assert "camera.place" not in once.origins
    again = settle(changed_aim(once, 1.4))
    assert again.camera.place is not None
    assert again.camera.place.xyz_m()[2] == 1.4


def changed_aim(sitting: Sitting, height_m: float) -> Sitting:
    """Return the sitting with a stated height of the aim."""
    camera = sitting.camera.with_stated(aim_height_m=height_m)
    origins = {k: v for k, v in sitting.origins.items() if k != "camera.aim_height"}
    result: Sitting = sitting.with_stated(camera=camera, origins=origins)
    return result


def test_moving_the_tripod_moves_nobody_else() -> None:
    """People and lights stand where they stood, whether the tripod's place is stated or changed."""
    near = settled(NORA, IDA, pictures=[TWO])
    far = settled(NORA, IDA, pictures=[TWO], camera={"place": {"x": 0, "y": -4.5, "z": 1.2}})
    moved = near.with_stated(camera=near.camera.with_stated(place=far.camera.place))
    for other in (far, moved):
        assert other.pictures[0].places == near.pictures[0].places
        assert [x.place for x in other.lights] == [x.place for x in near.lights]
    one, two = (check(s).pictures[0].scene.figures for s in (near, moved))
    for a, b in zip(one, two, strict=True):
        assert (a.face.eyes_m() == b.face.eyes_m()).all()
        assert (a.feet_m == b.feet_m).all()


def test_five_lines_are_enough() -> None:
    """One person with an age settles and is checked, and what is assumed is said."""
    plan = check(settled(IDA))
    assert [p.people for p in plan.pictures] == [("Ida",)]
    assert plan.assumed[0].startswith("strobes: key")
    assert any("stature of Ida" in line for line in plan.assumed)
    assert len(plan.first_five) == 5


def test_what_is_proposed_is_said_in_groups() -> None:
    """The plan names what was filled in, and nothing of it once it is accepted."""
    once = settled(NORA, pictures=[{"people": ["Nora"]}], camera={"f_number": 8, "lens": "zoom"})
    said = check(once).proposed
    assert "who is where" in said
    assert "the powers" in said
    assert "the pictures" not in said
    assert check(accepted(once)).proposed == ()


def test_progress_runs_from_start_to_end() -> None:
    """The share that is done rises to one."""
    shares: list[float] = []
    settle(read(IDA), progress=shares.append)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


@pytest.mark.parametrize(
    ("sections", "said"),
    [
        ({"propose_pictures": False}, "pictures: there is none to make"),
        ({"strike": [["Ida"]]}, "pictures: there is none to make"),
        ({"camera": {"shutter": "30 s"}}, "so long an exposure that everyone blinks"),
    ],
)
def test_what_cannot_be_settled_is_said(sections: dict[str, Any], said: str) -> None:
    """Nothing to photograph, or a shutter nobody keeps their eyes open for."""
    with pytest.raises(SittingError, match=said):
        settle(read(IDA, **sections))


def test_a_stated_holder_is_not_given_a_second_child() -> None:
    """Nora holds the one by statement, so the other is held by Tom, who is there too."""
    other = {"name": "Fe", "age": "7 months"}
    tom = {"name": "Tom", "age": 41}
    spots = [
        {"person": "Nora", "posture": "stool", "seat": 0.45},
        {"person": "Bo", "posture": "lap", "held_by": "Nora"},
    ]
    pic = {"name": "all", "people": ["Nora", "Tom", "Bo", "Fe"], "places": spots}
    once = settled(NORA, tom, BABY, other, pictures=[pic])
    held = {s.person: s.held_by for s in once.pictures[0].places if s.held_by}
    assert held == {"Bo": "Nora", "Fe": "Tom"}


def test_two_of_one_name_get_pictures_of_their_own() -> None:
    """Proposed pictures have names that differ, and each shows its own people."""
    twins = [{"name": "Anna", "id": "a", "age": 4}, {"name": "Anna", "id": "b", "age": 5}]
    once = settled(*twins)
    keys = [p.key for p in once.pictures]
    assert len(set(keys)) == len(keys) == 3
    assert parse(tomllib.loads(toml_text(once))) is not None
