"""Which pictures are proposed for a sitting: every combination that is not struck or stated."""

from __future__ import annotations

import itertools

from plan_cases import IDA, NORA, TOM, read, settled

from kinlight.plan.settle.pictures import proposals, with_pictures
from kinlight.sitting.document import Sitting

BONDS = ["Nora is parent of Ida", "Tom is parent of Ida"]

# The demo's family by hand: Wilma is the mother of Silke and Hanne; Silke has Fenja and Oskar,
# Hanne and her partner Piet have Jonas and Jule.
EVERYONE = "Wilma Silke Piet Hanne Fenja Jonas Jule Oskar"
DEMO = [
    EVERYONE,
    *["Silke Fenja Oskar", "Piet Hanne Jonas Jule"],  # households
    *["Fenja Jonas Jule Oskar", "Fenja Oskar", "Jonas Jule"],  # children, brothers and sisters
    *["Fenja", "Jonas", "Jule", "Oskar"],
    *["Wilma Fenja Jonas Jule Oskar"],
    *["Wilma Fenja", "Wilma Jonas", "Wilma Jule", "Wilma Oskar"],
    *["Wilma Silke Fenja Oskar", "Wilma Hanne Jonas Jule"],  # three generations in line
    *["Piet Hanne", "Silke Hanne"],  # the couple, the sisters
    *["Silke Fenja", "Silke Oskar"],
    *["Piet Jonas Jule", "Piet Jonas", "Piet Jule"],
    *["Hanne Jonas Jule", "Hanne Jonas", "Hanne Jule"],
]


def test_the_demo_family_by_hand(demo: Sitting) -> None:
    """Every combination of the family above, each once, and no other."""
    found = [frozenset(c.people) for c in proposals(demo)]
    assert len(found) == len(set(found))
    assert set(found) == {frozenset(names.split()) for names in DEMO}


def test_the_demo_makes_what_is_left_of_it(demo: Sitting, demo_settled: Sitting) -> None:
    """All of them less those struck; the stated ones first, as they are."""
    wanted = {frozenset(names.split()) for names in DEMO} | {p.who() for p in demo.pictures}
    struck = {frozenset(s) for s in demo.strike} - {p.who() for p in demo.pictures}
    assert {p.who() for p in demo_settled.pictures} == wanted - struck
    first = demo_settled.pictures[: len(demo.pictures)]
    assert [(p.name, p.must, p.value) for p in first] == [
        (p.name, p.must, p.value) for p in demo.pictures
    ]


def test_the_order_in_which_people_are_named_does_not_matter() -> None:
    """Nor does that of the bonds: the same pictures under the same names, in the same order."""
    expected = [
        (p.name, p.people) for p in with_pictures(read(NORA, TOM, IDA, bonds=BONDS)).pictures
    ]
    assert len(expected) > 3
    for people in itertools.permutations([NORA, TOM, IDA]):
        for bonds in itertools.permutations(BONDS):
            found = with_pictures(read(*people, bonds=list(bonds))).pictures
            assert [(p.name, p.people) for p in found] == expected


def test_what_is_struck_or_stated_is_not_proposed() -> None:
    """In whatever order its people are named."""
    stated = [{"name": "ours", "people": ["Ida", "Nora"]}]
    sitting = read(
        NORA, TOM, IDA, bonds=BONDS, pictures=stated, propose_pictures=True, strike=[["Ida", "Tom"]]
    )
    found = with_pictures(sitting).pictures
    sets = [p.who() for p in found]
    assert len(sets) == len(set(sets))
    assert frozenset(("Ida", "Tom")) not in sets
    assert found[0].name == "ours"


def test_stated_pictures_alone_are_made_unless_more_are_asked_for() -> None:
    """Pictures wanted and nothing said: no other is added."""
    stated = [{"name": "ours", "people": ["Ida", "Nora"]}]
    assert [p.name for p in settled(NORA, IDA, pictures=stated).pictures] == ["ours"]
    assert len(settled(NORA, IDA, pictures=stated, propose_pictures=True).pictures) > 1


def test_every_proposal_says_why() -> None:
    """A reason, a household and a value, marked as proposed as a whole."""
    once = settled(NORA, TOM, IDA, bonds=BONDS)
    assert all(p.reason and p.household and p.value > 0 for p in once.pictures)
    assert all(once.origins[f"pictures.{p.key}"] == "proposed" for p in once.pictures)
