"""Combinations of a family: what a photographer would make, by hand from the bonds.

Which combinations are worth making is common practice, no source; the families are made up.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.group.combinations import Bond, Combination, Relative, combinations
from kinlight.group.kinship import kin

OLD = [Relative("Ada", 71), Relative("Otto", 73)]
MIDDLE = [Relative("Nora", 38), Relative("Per", 40)]
YOUNG = [Relative("Ida", 6), Relative("Tom", 1.5)]
PARENTS: list[Bond] = [("parent", p, c) for p in ("Nora", "Per") for c in ("Ida", "Tom")]
GRANDPARENTS: list[Bond] = [
    ("partner", "Ada", "Otto"),
    ("parent", "Ada", "Nora"),
    ("parent", "Otto", "Nora"),
]
COUSINS = [*OLD, *MIDDLE, *YOUNG, Relative("Lise", 35), Relative("Max", 3)]
COUSIN_BONDS: list[Bond] = [
    *GRANDPARENTS,
    *PARENTS,
    ("parent", "Ada", "Lise"),
    ("parent", "Otto", "Lise"),
    ("parent", "Lise", "Max"),
]


def _by_kind(found: tuple[Combination, ...], kind: str) -> list[str]:
    return [" ".join(c.people) for c in found if c.kind == kind]


def _of(found: tuple[Combination, ...], *people: str) -> Combination:
    return next(c for c in found if set(c.people) == set(people))


def test_one_child_is_photographed_alone() -> None:
    """Five lines of document are one picture."""
    (only,) = combinations([Relative("Ida", 4)], [])
    assert (only.people, only.kind, only.reason) == (("Ida",), "alone", "Ida alone")
    assert only.household == "Ida"


def test_nobody_is_no_picture() -> None:
    """No people, no combination."""
    assert combinations([], []) == ()


def test_a_mother_and_her_children() -> None:
    """A single parent: no couple, and the household is everyone."""
    found = combinations([MIDDLE[0], *YOUNG], [b for b in PARENTS if b[1] == "Nora"])
    assert [(c.kind, c.people) for c in found] == [
        ("everyone", ("Nora", "Ida", "Tom")),
        ("all children", ("Ida", "Tom")),
        ("alone", ("Ida",)),
        ("alone", ("Tom",)),
        ("parent with child", ("Nora", "Ida")),
        ("parent with child", ("Nora", "Tom")),
    ]
    assert {c.household for c in found} == {"Nora"}


def test_three_generations_with_cousins() -> None:
    """Every kind, by hand."""
    found = combinations(COUSINS, COUSIN_BONDS)
    assert {kind: _by_kind(found, kind) for kind in dict.fromkeys(c.kind for c in found)} == {
        "everyone": ["Otto Ada Per Nora Lise Ida Max Tom"],
        "household": ["Per Nora Ida Tom", "Lise Max"],
        "all children": ["Ida Max Tom"],
        "siblings": ["Ida Tom"],
        "alone": ["Ida", "Max", "Tom"],
        "grandparent with all grandchildren": ["Otto Ida Max Tom", "Ada Ida Max Tom"],
        "generations": [
            "Otto Nora Ida Tom",
            "Otto Lise Max",
            "Ada Nora Ida Tom",
            "Ada Lise Max",
        ],
        "grandparents": ["Otto Ada"],
        "parents": ["Per Nora"],
        "parent with all children": ["Per Ida Tom", "Nora Ida Tom"],
        "adult siblings": ["Nora Lise"],
        "grandparent with grandchild": [
            "Otto Ida", "Otto Max", "Otto Tom", "Ada Ida", "Ada Max", "Ada Tom",
        ],
        "parent with child": ["Per Ida", "Per Tom", "Nora Ida", "Nora Tom"],
    }  # fmt: skip


def test_whose_picture_it_is() -> None:
    """The households of those in it; of all children together, the grandparents' too."""
    found = combinations(COUSINS, COUSIN_BONDS)
    assert _of(found, "Ida", "Tom").households == ("Per and Nora",)
    assert _of(found, "Ada", "Max").households == ("Otto and Ada", "Lise")
    assert _of(found, "Ida", "Max", "Tom").household == "Otto and Ada, Per and Nora, Lise"
    assert found[0].households == ("Otto and Ada", "Per and Nora", "Lise")


def test_reasons_are_words() -> None:
    """Each says what the people are to each other."""
    found = combinations(COUSINS, COUSIN_BONDS)
    assert _of(found, "Nora", "Ida", "Tom").reason == "Nora with all children: Ida and Tom"
    assert _of(found, "Ada", "Max").reason == "Ada with grandchild Max"
    assert _of(found, "Ada", "Lise", "Max").reason == "3 generations in line, from Ada"
    assert _of(found, "Otto", "Ada").reason == "grandparents together: Otto and Ada"


def test_a_stated_household_goes_first() -> None:
    """Partners and children under age without one share the stated one."""
    people = [Relative("Nora", 38, "Hill Street"), MIDDLE[1], *YOUNG, *OLD]
    found = combinations(people, [*PARENTS, *GRANDPARENTS, ("partner", "Nora", "Per")])
    assert _of(found, "Ida").household == "Hill Street"
    assert _by_kind(found, "household") == ["Per Nora Ida Tom"]


def test_a_step_family_is_one_household() -> None:
    """Per is Nora's partner and no parent of hers: no picture as one, but the children together."""
    people = [*MIDDLE, Relative("Ida", 6), Relative("Bo", 9), Relative("Ada", 70)]
    bonds: list[Bond] = [
        ("partner", "Nora", "Per"),
        ("parent", "Nora", "Ida"),
        ("parent", "Per", "Bo"),
        ("parent", "Ada", "Nora"),
    ]
    found = combinations(people, bonds)
    assert _by_kind(found, "household") == ["Per Nora Bo Ida"]
    assert _by_kind(found, "parents") == ["Per Nora"]
    assert _by_kind(found, "parent with child") == ["Per Bo", "Nora Ida"]
    assert _by_kind(found, "all children") == ["Bo Ida"]
    assert _by_kind(found, "grandparent with grandchild") == ["Ada Ida"]


def test_parents_who_live_apart_are_no_couple() -> None:
    """Each has another partner; the child counts with the parent named first."""
    people = [*MIDDLE, Relative("Ida", 6), Relative("Eva", 33), Relative("Jan", 44)]
    bonds: list[Bond] = [
        ("parent", "Nora", "Ida"),
        ("parent", "Per", "Ida"),
        ("partner", "Nora", "Jan"),
        ("partner", "Per", "Eva"),
    ]
    found = combinations(people, bonds)
    assert _by_kind(found, "parents") == ["Jan Nora", "Per Eva"]
    assert _of(found, "Ida").household == "Jan and Nora"
    assert not any(c.people == ("Per", "Nora") for c in found)


def test_two_couples_of_grandparents() -> None:
    """Each couple together, each of the four with the grandchildren."""
    people = [*OLD, *MIDDLE, *YOUNG, Relative("Gro", 68), Relative("Leif", 70)]
    bonds: list[Bond] = [
        *PARENTS,
        *GRANDPARENTS,
        ("parent", "Gro", "Per"),
        ("parent", "Leif", "Per"),
        ("partner", "Gro", "Leif"),
    ]
    found = combinations(people, bonds)
    assert _by_kind(found, "grandparents") == ["Otto Ada", "Leif Gro"]
    assert len(_by_kind(found, "grandparent with all grandchildren")) == 4
    assert len(_by_kind(found, "grandparent with grandchild")) == 8
    assert len(_by_kind(found, "generations")) == 4


def test_great_grandparents() -> None:
    """Four generations in line; the great-grandmother with each child and with all."""
    people = [Relative("Una", 94), *OLD, *MIDDLE, *YOUNG]
    found = combinations(people, [*PARENTS, *GRANDPARENTS, ("parent", "Una", "Otto")])
    line = _of(found, "Una", "Otto", "Nora", "Ida", "Tom")
    assert line.reason == "4 generations in line, from Una"
    assert _of(found, "Una", "Tom").reason == "Una with great-grandchild Tom"
    assert _of(found, "Una", "Ida", "Tom").reason == "Una with all great-grandchildren"


def test_without_bonds_each_one_and_everyone() -> None:
    """And households that are stated."""
    found = combinations([*MIDDLE, *YOUNG], [])
    assert [(c.kind, " ".join(c.people)) for c in found] == [
        ("everyone", "Per Nora Ida Tom"),
        ("alone", "Per"),
        ("alone", "Nora"),
        ("alone", "Ida"),
        ("alone", "Tom"),
    ]
    stated = [Relative("Eva", 30, "north"), Relative("Kim", 4, "north"), Relative("Jan", 50)]
    assert _by_kind(combinations(stated, []), "household") == ["Eva Kim"]


def test_stated_siblings_share_parents_and_a_parent_makes_siblings() -> None:
    """Tom's parents are not stated, Ida's are; half siblings count."""
    family = kin(
        [*MIDDLE, *YOUNG, Relative("Bo", 9)],
        [
            ("parent", "Nora", "Ida"),
            ("sibling", "Ida", "Tom"),
            ("parent", "Nora", "Bo"),
            ("parent", "Per", "Bo"),
        ],
    )
    assert family.parents["Tom"] == ("Nora",)
    assert family.siblings["Ida"] == ("Bo", "Tom")
    assert family.partners["Nora"] == ("Per",)
    assert family.descendants("Nora", 1) == ("Bo", "Ida", "Tom")


def test_siblings_without_parents_here_are_children_and_one_household() -> None:
    """Their aunt brings them; she is their mother's sister, who is not here."""
    found = combinations([*YOUNG, Relative("Lise", 35)], [("sibling", "Ida", "Tom")])
    assert _by_kind(found, "alone") == ["Ida", "Tom"]
    assert _of(found, "Ida", "Tom").household == "Ida"


def test_grown_children_are_no_children() -> None:
    """From 18 on they are siblings together, not alone."""
    people = [Relative("Ada", 60), Relative("Kai", 18), Relative("Eva", 17.9)]
    found = combinations(people, [("parent", "Ada", "Kai"), ("parent", "Ada", "Eva")])
    assert _by_kind(found, "alone") == ["Eva"]
    assert _by_kind(found, "siblings") == ["Kai Eva"]
    both = [Relative("Ada", 60), Relative("Kai", 20), Relative("Eva", 19)]
    grown = combinations(both, [("parent", "Ada", "Kai"), ("parent", "Ada", "Eva")])
    assert [c.kind for c in grown] == ["everyone", "adult siblings"]


@pytest.mark.parametrize(
    ("bonds", "sentence"),
    [
        ([("parent", "Ida", "Otto")], "bond 'Ida is parent of Otto': nobody here is called 'Otto'"),
        ([("sibling", "Ida", "Ida")], "bond 'Ida is sibling of Ida': ties a person to themselves"),
        (
            [("parent", "Ida", "Tom"), ("parent", "Tom", "Ida")],
            "bonds: Ida would be their own ancestor",
        ),
        (
            [("parent", "Ida", "Tom"), ("parent", "Bo", "Ida"), ("sibling", "Bo", "Tom")],
            "bonds: Bo would be their own ancestor",
        ),
    ],
)
def test_impossible_bonds_are_said(bonds: list[Bond], sentence: str) -> None:
    """Nobody, oneself, and circles, also those that only follow from a sibling."""
    with pytest.raises(RangeError) as error:
        combinations([*YOUNG, Relative("Bo", 9)], bonds)
    assert str(error.value) == sentence


@st.composite
def families(draw: st.DrawFn) -> tuple[list[Relative], list[Bond]]:
    """Draw 1 to 40 people with bonds that contradict nothing."""
    count = draw(st.integers(1, 40))
    ages = sorted((draw(st.integers(0, 95)) for _ in range(count)), reverse=True)
    homes = st.sampled_from([None, None, None, "north", "south"])
    people = [Relative(f"p{i}", age, draw(homes)) for i, age in enumerate(ages)]
    bonds: list[Bond] = []
    for child in range(1, count):
        elders = [i for i in range(child) if ages[i] >= ages[child] + 18]
        if elders:
            chosen = draw(st.lists(st.sampled_from(elders), max_size=2, unique=True))
            bonds += [("parent", f"p{i}", f"p{child}") for i in chosen]
        if draw(st.integers(0, 5)) == 0 and ages[child] >= 18:
            bonds.append(("partner", f"p{child - 1}", f"p{child}"))
    return people, bonds


@settings(max_examples=60)
@given(families(), st.randoms(use_true_random=False))
def test_every_family_has_a_sound_list(
    family: tuple[list[Relative], list[Bond]], random: object
) -> None:
    """No set twice, everyone in some picture, eldest first, words and household, same again."""
    people, bonds = family
    found = combinations(people, bonds)
    ages = {p.id: p.age_years for p in people}
    assert len({frozenset(c.people) for c in found}) == len(found)
    assert {p for c in found for p in c.people} == set(ages)
    for combination in found:
        inside = [ages[p] for p in combination.people]
        assert inside == sorted(inside, reverse=True)
        assert len(set(combination.people)) == len(inside)
        assert combination.reason
        assert all(combination.households)
        assert combination.value > 0
    children = {p.id for p in people if p.age_years < 18} & {
        b for k, _, b in bonds if k == "parent"
    }
    assert {(c,) for c in children} <= {c.people for c in found}
    turned = list(bonds)
    random.shuffle(turned)  # type: ignore[attr-defined]
    sets = {frozenset(c.people) for c in found}
    if all(p.household for p in people) or not bonds:
        assert {frozenset(c.people) for c in combinations(people, turned)} == sets
    assert combinations(people, bonds) == found
