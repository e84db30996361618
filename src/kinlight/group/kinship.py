"""Who belongs to whom: what follows from the bonds that are stated."""

from __future__ import annotations

import functools
import itertools
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Literal

from kinlight.errors import Fault, RangeError

BondKind = Literal["parent", "partner", "sibling"]
Bond = tuple[BondKind, str, str]  # kind, who, of whom


@dataclass(frozen=True)
class Relative:
    """One person: how bonds name them, their age, and for which household they stand, if stated."""

    id: str
    age_years: float
    household: str | None = None


@dataclass(frozen=True)
class Kin:
    """A family, with everything that follows from its bonds; all lists run eldest to youngest.

    Attributes
    ----------
    people : everyone, by id.
    parents, children, partners, siblings : by id, who is that to each person.
    household : by id, the name of each person's household.
    bonded : whether any bond was stated.
    """

    people: Mapping[str, Relative]
    parents: Mapping[str, tuple[str, ...]]
    children: Mapping[str, tuple[str, ...]]
    partners: Mapping[str, tuple[str, ...]]
    siblings: Mapping[str, tuple[str, ...]]
    household: Mapping[str, str]
    bonded: bool

    def eldest_first(self, ids: Iterable[str]) -> tuple[str, ...]:
        """Return people eldest to youngest; of one age, in the order in which they were named."""
        chosen = set(ids)
        return tuple(i for i in self.people if i in chosen)

    def is_child(self, person: str) -> bool:
        """Return whether someone is photographed as a child.

        Someone under 18 who has a parent here, or is nobody's parent or partner here.
        """
        settled = self.children[person] or self.partners[person]
        return _is_minor(self.people[person]) and bool(self.parents[person] or not settled)

    def descendants(self, person: str, generations: int) -> tuple[str, ...]:
        """Return children (1), grandchildren (2) and so on."""
        line = {person}
        for _ in range(generations):
            line = {c for p in line for c in self.children[p]}
        return self.eldest_first(line)


@functools.cache
def table() -> dict[str, Any]:
    """Return combinations.toml."""
    text = files("kinlight.group").joinpath("data/combinations.toml").read_text("utf-8")
    return tomllib.loads(text)


def kin(people: Sequence[Relative], bonds: Sequence[Bond]) -> Kin:
    """Return a family from its people and the bonds that are stated.

    Raises
    ------
    RangeError
        If two people have one id, a bond names nobody here or one person twice, or someone would
        be their own ancestor.

    Notes
    -----
    What follows beside the stated bonds, all of it ours: whose parents are not stated shares those
    of a stated sibling; people who share a parent are siblings; two parents of one child are
    partners if neither has a partner stated. Inferred households are partners and their children
    under 18; a child of parents who live apart counts with the one whose bond comes first.
    """
    by_id = {p.id: p for p in sorted(people, key=lambda p: -p.age_years)}
    if faults := _faults(people, bonds):
        raise RangeError(faults)
    stated = _pairs(by_id, bonds, "sibling")
    groups = {i: _connected(i, stated) for i in by_id}
    parents = _parents(by_id, bonds, groups)
    if own := [i for i in by_id if i in _above(i, parents)]:
        raise RangeError(Fault(f"{own[0]} would be their own ancestor", where="bonds"))
    children = {i: [c for c in by_id if i in parents[c]] for i in by_id}
    partners = _partners(by_id, bonds, parents)
    siblings = {i: {s for p in parents[i] for s in children[p]} | groups[i] - {i} for i in by_id}
    household = _households(by_id, parents, partners, groups, alone=not bonds)

    def sorted_lists(one: Mapping[str, Iterable[str]]) -> dict[str, tuple[str, ...]]:
        return {i: tuple(x for x in by_id if x in set(one[i]) and x != i) for i in by_id}

    return Kin(
        people=by_id,
        parents=sorted_lists(parents),
        children=sorted_lists(children),
        partners=sorted_lists(partners),
        siblings=sorted_lists(siblings),
        household=household,
        bonded=bool(bonds),
    )


def _is_minor(person: Relative) -> bool:
    return person.age_years < float(table()["ages"]["child_until_years"])


def _faults(people: Sequence[Relative], bonds: Sequence[Bond]) -> list[Fault]:
    """Return what makes bonds unusable."""
    ids = [p.id for p in people]
    faults = [Fault(f"two people are called '{i}'") for i in sorted(set(ids)) if ids.count(i) > 1]
    for kind, one, other in bonds:
        where = f"bond '{one} is {kind} of {other}'"
        unknown = [i for i in (one, other) if i not in ids]
        faults += [Fault(f"nobody here is called '{i}'", where=where) for i in unknown]
        if one == other:
            faults.append(Fault("ties a person to themselves", where=where))
    return faults


def _above(person: str, parents: Mapping[str, Iterable[str]]) -> set[str]:
    """Return all ancestors."""
    found, todo = set[str](), list(parents[person])
    while todo:
        one = todo.pop()
        if one not in found:
            found.add(one)
            todo += parents[one]
    return found


def _pairs(by_id: Mapping[str, Relative], bonds: Sequence[Bond], kind: str) -> dict[str, set[str]]:
    """Return the bonds of a mutual kind, both ways round."""
    pairs: dict[str, set[str]] = {i: set() for i in by_id}
    for stated, one, other in bonds:
        if stated == kind:
            pairs[one].add(other)
            pairs[other].add(one)
    return pairs


def _connected(start: str, pairs: Mapping[str, Iterable[str]]) -> set[str]:
    """Return everyone connected with someone, and that one."""
    return _above(start, pairs) | {start}


def _parents(
    by_id: Mapping[str, Relative], bonds: Sequence[Bond], groups: Mapping[str, set[str]]
) -> dict[str, list[str]]:
    """Return everyone's parents in the order stated; without any, those of a stated sibling."""
    stated: dict[str, list[str]] = {i: [] for i in by_id}
    for kind, one, other in bonds:
        if kind == "parent" and one not in stated[other]:
            stated[other].append(one)
    return {
        i: stated[i] or next((stated[s] for s in by_id if s in groups[i] and stated[s]), [])
        for i in by_id
    }


def _partners(
    by_id: Mapping[str, Relative], bonds: Sequence[Bond], parents: Mapping[str, list[str]]
) -> dict[str, set[str]]:
    """Return everyone's partners: stated, or the other parent if neither has one stated."""
    stated = _pairs(by_id, bonds, "partner")
    partners = {i: set(stated[i]) for i in by_id}
    for both in parents.values():
        for one, other in itertools.combinations(both, 2):
            if not stated[one] and not stated[other]:
                partners[one].add(other)
                partners[other].add(one)
    return partners


def _households(
    by_id: Mapping[str, Relative],
    parents: Mapping[str, list[str]],
    partners: Mapping[str, set[str]],
    siblings: Mapping[str, set[str]],
    *,
    alone: bool,
) -> dict[str, str]:
    """Return everyone's household by name; without any bond, all that state none are one."""
    if alone:
        unnamed = next((i for i, p in by_id.items() if not p.household), "")
        return {i: p.household or unnamed for i, p in by_id.items()}
    ties = {i: set(partners[i]) for i in by_id}
    for i, person in by_id.items():
        if _is_minor(person) and not partners[i]:
            eldest = [s for s in by_id if s in siblings[i] and s != i]
            near = [p for p in parents[i] if p != i][:1] or eldest[:1]
            for other in near:
                ties[i].add(other)
                ties[other].add(i)
    names = {}
    for i, person in by_id.items():
        together = [x for x in by_id if x in _connected(i, ties)]
        stated = next((h for x in together if (h := by_id[x].household)), None)
        adults = [x for x in together if not _is_minor(by_id[x])] or together[:1]
        names[i] = person.household or stated or " and ".join(adults)
    return names
