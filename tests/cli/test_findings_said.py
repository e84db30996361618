"""What there is to look at in the light is counted in the plan and listed with its tables."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kinlight.cli.findings_said import (
    behind_table,
    eyes_words,
    findings_count,
    findings_lines,
    seen_table,
)
from kinlight.cli.show import light_text, plan_text
from kinlight.plan.check import check
from kinlight.plan.faces_seen import EyeLight, FaceSeen
from kinlight.plan.model import Plan
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
    """Return the plan with other findings, picture by picture."""
    pictures = (replace(p, findings=said) for p, said in zip(plan.pictures, found, strict=True))
    return replace(plan, pictures=tuple(pictures))


def test_the_same_of_several_pictures_is_said_once(plan: Plan) -> None:
    """With the names of the pictures; one that is of a single picture has its own line."""
    both = with_findings(plan, ("a shadow", "a glare"), ("a shadow",))
    assert findings_lines(both.pictures) == ["one; two: a shadow", "one: a glare"]
    assert findings_count(both.pictures).startswith("2 things to look at in the pictures' light")


def test_one_line_counts_them_and_the_tables_list_them(plan: Plan) -> None:
    """Shortly in the plan, all of them with `--tables` and in `kinlight light`."""
    one = with_findings(plan, ("a shadow",), ())
    assert "1 thing to look at in the pictures' light: see --tables" in plan_text(one)
    assert "a shadow" not in plan_text(one)
    for text in (plan_text(one, tables=True), light_text(one)):
        assert "one: a shadow" in text
        assert "thing to look at" not in text


def test_where_there_is_nothing_nothing_is_said(plan: Plan) -> None:
    """No line about no things, and no title without lines."""
    none = with_findings(plan, (), ())
    assert findings_count(none.pictures) == ""
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
    left, right = (EyeLight(eye, "key", "10 o'clock", 10.0, 0.1) for eye in ("left", "right"))
    assert eyes_words(FaceSeen(None, (left, right), ())) == "key at 10 o'clock"
    assert eyes_words(FaceSeen(None, (left,), ())) == "left: key at 10 o'clock; right: nothing"
    assert eyes_words(FaceSeen(None, (), ())) == "nothing"
