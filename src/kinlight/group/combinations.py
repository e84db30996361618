"""The combinations of people a photographer would make of a family, each with its reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from kinlight.group.kinship import Bond, Kin, Relative, kin, table

__all__ = ["Bond", "Combination", "Relative", "combinations"]


@dataclass(frozen=True)
class Combination:
    """People to be photographed together.

    Attributes
    ----------
    people : ids, eldest to youngest.
    kind : what they are to each other, a row of combinations.toml.
    reason : why, in words.
    title : what the picture may be called, if their names do not say it better; may be empty.
    households : whose picture it is.
    value : what it is expected to bring beside the others [-].
    """

    people: tuple[str, ...]
    kind: str
    reason: str
    title: str
    households: tuple[str, ...]
    value: float

    @property
    def household(self) -> str:
        """Whose picture it is, as text."""
        return ", ".join(self.households)


@dataclass(frozen=True)
class _Idea:
    """A set of people, the kind it is of, and the words its reason needs."""

    kind: str
    people: tuple[str, ...]
    first: str
    great: str = ""
    count: int = 0


def combinations(people: Sequence[Relative], bonds: Sequence[Bond]) -> tuple[Combination, ...]:
    """Return the combinations worth making, in the order of combinations.toml.

    Parameters
    ----------
    people : everyone who comes.
    bonds : kind, who, of whom: ("parent", "Nora", "Ida") says Nora is a parent of Ida.

    Raises
    ------
    RangeError
        If the bonds contradict each other or name nobody here.

    Notes
    -----
    The list is common practice, no source. No set of people stands in it twice: the kind of the
    highest value is kept. One person is always "alone". Without any bond: each one alone,
    households that are stated, and everyone.
    """
    if not people:
        return ()
    family = kin(people, bonds)
    rows = {row["kind"]: (place, row) for place, row in enumerate(table()["combination"])}
    best: dict[frozenset[str], _Idea] = {}
    for idea in _ideas(family):
        who = frozenset(idea.people)
        known = best.get(who)
        if known is None or _strength(idea, rows) > _strength(known, rows):
            best[who] = idea
    places = {person: place for place, person in enumerate(family.people)}
    listed = sorted(
        best.values(),
        key=lambda idea: (rows[idea.kind][0], [places[p] for p in idea.people]),
    )
    return tuple(_combination(family, idea, rows[idea.kind][1]) for idea in listed)


def _strength(idea: _Idea, rows: dict[str, tuple[int, dict[str, Any]]]) -> tuple[bool, float, int]:
    """Return what decides between two kinds of one set: alone, then value, then place."""
    place, row = rows[idea.kind]
    return idea.kind == "alone", float(row["value"]), -place


def _combination(family: Kin, idea: _Idea, row: dict[str, Any]) -> Combination:
    """Return an idea with its words, household and value."""
    rest = tuple(p for p in idea.people if p != idea.first)
    words = {
        "first": idea.first,
        "rest": _listed(rest),
        "people": _listed(idea.people),
        "great": idea.great,
        "count": idea.count,
    }
    buyers: tuple[str, ...] = idea.people
    if idea.kind == "all children":
        grand = {p for p in family.people if family.descendants(p, 2)}
        buyers = family.eldest_first(grand | set(idea.people))
    return Combination(
        people=idea.people,
        kind=idea.kind,
        reason=row["reason"].format(**words),
        title=row["title"].format(**words),
        households=tuple(dict.fromkeys(family.household[p] for p in buyers)),
        value=float(row["value"]),
    )


def _listed(names: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def _ideas(family: Kin) -> Iterator[_Idea]:
    """Yield every idea, sets that stand for two kinds more than once."""
    everyone = tuple(family.people)
    if len(everyone) > 1:
        yield _Idea("everyone", everyone, everyone[0])
    yield from _households(family)
    if not family.bonded or len(everyone) == 1:
        yield from (_Idea("alone", (p,), p) for p in everyone)
        return
    children = tuple(p for p in everyone if family.is_child(p))
    yield from (_Idea("alone", (c,), c) for c in children)
    if len(children) > 1:
        yield _Idea("all children", children, children[0])
    yield from _siblings(family)
    yield from _couples(family)
    for person in everyone:
        yield from _with_children(family, person)
        yield from _with_grandchildren(family, person)
        yield from _lines(family, (person,))


def _households(family: Kin) -> Iterator[_Idea]:
    """Yield every household of more than one that is not just a couple."""
    for name in dict.fromkeys(family.household.values()):
        together = tuple(p for p in family.people if family.household[p] == name)
        couple = len(together) == 2 and together[1] in family.partners[together[0]]
        if len(together) > 1 and not couple:
            yield _Idea("household", together, name)


def _siblings(family: Kin) -> Iterator[_Idea]:
    """Yield siblings together, half siblings and the children of two partners included."""
    near = {p: set(family.siblings[p]) | _step_siblings(family, p) for p in family.people}
    for group in _groups(family, near):
        if len(group) > 1:
            child = any(family.is_child(p) for p in group)
            yield _Idea("siblings" if child else "adult siblings", group, group[0])


def _step_siblings(family: Kin, person: str) -> set[str]:
    """Return the children of a child's parents' partners who are of one household."""
    if not family.is_child(person):
        return set()
    partners = {x for p in family.parents[person] for x in family.partners[p]}
    home = family.household[person]
    theirs = {c for x in partners for c in family.children[x] if family.is_child(c)}
    return {c for c in theirs if family.household[c] == home} - {person}


def _groups(family: Kin, near: dict[str, set[str]]) -> Iterator[tuple[str, ...]]:
    """Yield the connected groups of a mutual relation."""
    seen = set[str]()
    for start in family.people:
        group, todo = set[str](), [start]
        while todo:
            one = todo.pop()
            if one not in group | seen:
                group.add(one)
                todo += near[one]
        seen |= group
        if group:
            yield family.eldest_first(group)


def _couples(family: Kin) -> Iterator[_Idea]:
    """Yield partners, as grandparents or parents where one of them is."""
    for one in family.people:
        for other in family.partners[one]:
            pair = family.eldest_first((one, other))
            if pair[0] == one:
                grand = any(family.descendants(p, 2) for p in pair)
                parents = any(family.children[p] for p in pair)
                kind = "grandparents" if grand else "parents" if parents else "partners"
                yield _Idea(kind, pair, one)


def _with_children(family: Kin, parent: str) -> Iterator[_Idea]:
    """Yield a parent with each child and with all of them."""
    children = [c for c in family.children[parent] if family.is_child(c)]
    yield from (
        _Idea("parent with child", family.eldest_first((parent, c)), parent) for c in children
    )
    if len(children) > 1:
        yield _Idea("parent with all children", family.eldest_first((parent, *children)), parent)


def _with_grandchildren(family: Kin, grandparent: str) -> Iterator[_Idea]:
    """Yield a grandparent with each grandchild under age and with all, and so on downward."""
    generations = 2
    while descendants := family.descendants(grandparent, generations):
        great = "great-" * (generations - 2)
        for one in descendants:
            if family.is_child(one):
                pair = family.eldest_first((grandparent, one))
                yield _Idea("grandparent with grandchild", pair, grandparent, great)
        if len(descendants) > 1:
            people = family.eldest_first((grandparent, *descendants))
            yield _Idea("grandparent with all grandchildren", people, grandparent, great)
        generations += 1


def _lines(family: Kin, line: tuple[str, ...]) -> Iterator[_Idea]:
    """Yield a line of three generations or more, down to the last parent's childless children."""
    children: Iterable[str] = family.children[line[-1]]
    last = [c for c in children if not family.children[c]]
    if last and len(line) > 1:
        people = family.eldest_first((*line, *last))
        yield _Idea("generations", people, line[0], count=len(line) + 1)
    for parent in children:
        if family.children[parent]:
            yield from _lines(family, (*line, parent))
