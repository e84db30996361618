"""What fails is said once for each kind, with the pictures it concerns and what to try."""

from __future__ import annotations

import functools

from kinlight.plan.check import check
from kinlight.plan.model import Plan
from kinlight.plan.settle.settle import settle
from kinlight.sheets.failing import what_fails
from kinlight.sitting.files import parse


@functools.cache
def _plan(*, holds: bool) -> Plan:
    """Return three pictures of two people, with a shutter too short for the flash or not."""
    pictures = [{"name": n, "people": p} for n, p in (("both", ["a", "b"]), ("A, B", ["a"]))]
    document = {
        "people": [{"id": "a", "name": "Ida", "age": 40}, {"id": "b", "name": "Tom", "age": 38}],
        "pictures": pictures,
        "propose_pictures": False,
        "camera": {"shutter": "1/125" if holds else "1/1000", "sync": "1/200"},
    }
    return check(settle(parse(document)))


def test_nothing_fails_where_the_set_holds() -> None:
    """No kind, no line."""
    assert _plan(holds=True).holds
    assert what_fails(_plan(holds=True)) == ()


def test_the_same_fault_of_all_pictures_is_one_line_with_a_remedy() -> None:
    """The shutter is wrong for both pictures alike."""
    sync = next(kind for kind in what_fails(_plan(holds=False)) if kind.check == "sync")
    assert len(sync.lines) == 1
    assert sync.lines[0].startswith("sync, in all 2 pictures: shutter 1/1000")
    assert sync.remedy == "a longer shutter time"


def test_every_failing_check_is_among_the_lines() -> None:
    """None is dropped when they are merged, and every kind of them has a remedy."""
    plan = _plan(holds=False)
    said = " ".join(line for kind in what_fails(plan) for line in kind.lines)
    for picture in plan.to_make:
        for found in picture.checks:
            assert (found.sentence in said) == (found.verdict == "fails") or found.leeway >= 0
    assert all(kind.remedy for kind in what_fails(plan))


def test_every_check_of_a_plan_has_a_remedy_ready() -> None:
    """Also the checks that hold today."""
    from kinlight.sheets.failing import _remedies

    names = {c.name.partition(" of ")[0] for p in _plan(holds=True).pictures for c in p.checks}
    assert names <= set(_remedies())
