"""What there is to look at in the light is counted in the plan and listed with its tables."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kinlight.cli.findings_said import (
    behind_table,
    eyes_words,
    lens_table,
    lens_words,
    seen_table,
)
from kinlight.cli.light_tables import hair_table, lit_table
from kinlight.cli.show import light_text, plan_text
from kinlight.light.flare import Flare
from kinlight.plan.check import check
from kinlight.plan.eyes_seen import EyeLight
from kinlight.plan.faces import HairReading
from kinlight.plan.faces_seen import FaceSeen
from kinlight.plan.flares import LampToLens
from kinlight.plan.model import Plan, findings_lines, to_look_at
from kinlight.plan.settle.settle import settle
from kinlight.sitting.files import parse


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Return the plan of two pictures, one of them before a backdrop as light as a shirt."""
    return check(
        settle(
            parse(
                {
                    "people": [{"name": "Nora", "age": 36, "clothes": "light"}],
                    "pictures": [{"people": ["Nora"], "name": n} for n in ("one", "two")],
                    "propose_pictures": False,
                    "room": {"length": 8},
                }
            )
        )
    )


def with_findings(plan: Plan, *found: tuple[str, ...]) -> Plan:
    """Return the plan with other findings, picture by picture, each lighter than the one before."""
    pictures = (
        replace(p, findings=said, weights=tuple(1 / (k + 1) for k in range(len(said))))
        for p, said in zip(plan.pictures, found, strict=True)
    )
    return replace(plan, pictures=tuple(pictures))


def test_the_same_of_several_pictures_is_said_once(plan: Plan) -> None:
    """With the names of the pictures; one that is of a single picture has its own line."""
    both = with_findings(plan, ("a shadow", "a glare"), ("a shadow",))
    assert findings_lines(both.pictures) == ["one; two: a shadow", "one: a glare"]
    assert to_look_at(both.pictures) == (
        "2 things to look at in the pictures' light, the weightiest: a shadow, in one; two."
    )


def test_the_weightiest_comes_first_whichever_picture_it_is_of(plan: Plan) -> None:
    """It is named in the line that counts them, without what follows on what to do about it."""
    one, two = plan.pictures
    pictures = (
        replace(one, findings=("a shadow", "hair"), weights=(0.5, 0.1)),
        replace(two, findings=("a strip: move it", "hair"), weights=(0.7, 0.2)),
    )
    assert findings_lines(pictures) == ["two: a strip: move it", "one: a shadow", "one; two: hair"]
    assert to_look_at(pictures).endswith("the weightiest: a strip, in two.")
    assert to_look_at(pictures[1:]).endswith("the weightiest: a strip.")


def test_of_many_pictures_their_number_is_said(plan: Plan) -> None:
    """Five that share a finding are counted, four are named."""
    one = replace(plan.pictures[0], findings=("hair",), weights=(0.1,))
    named = [replace(one, name=name) for name in "abcde"]
    assert findings_lines(named[:4]) == ["a; b; c; d: hair"]
    assert findings_lines(named) == ["5 pictures: hair"]
    assert to_look_at(named) == "1 thing to look at in the pictures' light: hair, in 5 pictures."


def test_one_line_counts_them_and_the_tables_list_them(plan: Plan) -> None:
    """The weightiest in the plan's head, all with `--tables` and in `kinlight light`."""
    one = with_findings(plan, ("a shadow: move",), ())
    first = "1 thing to look at in the pictures' light: a shadow, in one."
    for short in (plan_text(one), plan_text(one, short=True)):
        assert f"{first} What to do: kinlight light, or --tables." in " ".join(short.split())
        assert "one: a shadow: move" not in short
    for text in (plan_text(one, tables=True), light_text(one)):
        assert "one: a shadow: move" in text
        assert "What to do: kinlight light" not in text


def test_where_there_is_nothing_nothing_is_said(plan: Plan) -> None:
    """No line about no things, and no title without lines."""
    none = with_findings(plan, (), ())
    assert to_look_at(none.pictures) == ""
    assert "to look at" not in plan_text(none).lower()
    assert "to look at" not in plan_text(none, tables=True).lower()


def test_every_picture_has_a_row_behind_and_every_face_one_of_what_shows(plan: Plan) -> None:
    """Also where nothing of the backdrop is seen, or no light draws a pattern."""
    assert [row[0] for row in behind_table(plan.pictures, "metric").rows] == ["one", "two"]
    hidden = replace(
        plan.pictures[0],
        behind=replace(plan.pictures[0].behind, backdrop=None, edges=(), shadow=None),
    )
    assert behind_table([hidden], "metric").rows[0][1] == "not seen"
    rows = seen_table(plan.pictures).rows
    assert [row[1] for row in rows] == ["Nora", "Nora"]
    face = plan.pictures[0].faces[0]
    unlit = replace(face, seen=FaceSeen(None, (), ()))
    (row,) = seen_table([replace(plan.pictures[0], faces=(unlit,))]).rows
    assert row[2:] == ("none", "", "nothing")


def test_lights_in_both_eyes_are_said_once_where_they_are_alike() -> None:
    """And eye by eye where they are not."""
    left, right = (EyeLight(eye, "key", "10 o'clock", 10.0, 0.1, 0.0) for eye in ("left", "right"))
    panel = EyeLight("left", "panel", "4 o'clock", 4.0, 0.35, 4.6)
    assert eyes_words(FaceSeen(None, (left, right), ())) == "key at 10 o'clock (10%)"
    assert eyes_words(FaceSeen(None, (left, panel, right), ())) == (
        "key at 10 o'clock (10%); camera right eye also: panel at 4 o'clock (35%, 5 stops dimmer)"
    )
    assert eyes_words(FaceSeen(None, (left,), ())) == (
        "camera left eye: nothing; camera right eye: key at 10 o'clock (10%)"
    )
    assert eyes_words(FaceSeen(None, (), ())) == "nothing"


def test_a_lamp_that_misses_the_lens_says_by_how_much() -> None:
    """By its grid, or since it faces away; one that shines into it says how strongly."""
    grid = Flare(False, False, 30.2, 18.2, 12.0, -math.inf)
    assert lens_words(LampToLens("hair", grid)) == "its grid keeps it off by 12 degrees"
    away = replace(grid, angle_deg=95.0, cut_off_deg=90.0, leeway_deg=5.0, in_frame=True)
    assert lens_words(LampToLens("back", away)) == "in the picture; faces away by 5 degrees"
    shut = replace(grid, angle_deg=10.0, leeway_deg=-8.2)
    assert lens_words(LampToLens("hair", shut)) == "something stands between"
    into = replace(shut, sees=True, level_stops=-1.0)
    assert lens_words(LampToLens("hair", into)).startswith("shines into it, -1.0 stop against")
    weak = replace(into, level_stops=-4.3)
    assert lens_words(LampToLens("key", weak)).startswith("reaches it weakly, -4.3 stops against")


def test_of_several_pictures_the_one_nearest_to_flare_is_said(plan: Plan) -> None:
    """One row a lamp; the picture is named."""
    spare = [Flare(False, False, 10.0 + n, 10.0, float(n), -math.inf) for n in (12, 7)]
    pictures = [
        replace(p, flare=(LampToLens("key", x),)) for p, x in zip(plan.pictures, spare, strict=True)
    ]
    assert lens_table(pictures).rows == (("key", "its grid keeps it off by 7 degrees", "two"),)
    assert lens_table(pictures[:1]).columns == ("Light", "Toward the lens")


def test_hair_lights_have_a_table_with_what_they_do_to_faces(plan: Plan) -> None:
    """Lit side, crown, nose and shadow side of every head, however little; none without any."""
    picture = plan.pictures[0]
    hair = HairReading(-2.2, -0.4, -4.8, 1.0, True, 0.1, False, -6.0, -math.inf)
    lit = replace(picture, faces=(replace(picture.faces[0], hair=hair),))
    (row,) = hair_table([lit]).rows
    assert row[2:] == ("camera right, -0.4 stop", "-2.2 stops", "-6.0 stops", "none to speak of")
    assert hair_table([replace(picture, faces=(replace(lit.faces[0], hair=None),))]).rows == ()


def test_the_key_side_is_the_one_the_camera_sees(plan: Plan) -> None:
    """The person's own right is on the camera's left; one face is not even with itself."""
    picture = plan.pictures[0]
    face = replace(picture.faces[0], key_side="right")
    (row,) = lit_table([replace(picture, faces=(face,))]).rows
    assert row[0] == "one"
    assert row[4].startswith("camera left, ")
