"""The combinations of a family that a photographer would make, each with its reason."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import files

from kinlight.group.kinship import Bond, Kin, Relative

__all__ = ["Combination", "Relative", "combinations"]


@dataclass(frozen=True)
class Combination:
    """Some people worth a picture of their own.

    Attributes
    ----------
    people : eldest first.
    kind : what sort of combination, a row of combinations.toml.
    reason : why it is proposed, in words.
    household : the household it is for; "all" if for more than one.
    value : what it is worth beside the others [-].
    title : a name of its own, empty if the people's names say it best.
    """

    people: tuple[str, ...]
    kind: str
    reason: str
    household: str
    value: float
    title: str = ""


def combinations(relatives: Sequence[Relative], bonds: Sequence[Bond]) -> tuple[Combination, ...]:
    """Return the combinations worth proposing, the most comprehensive first.

    A set of people comes once, under the first kind that names it. The order is the same for the
    same people and bonds.

    Parameters
    ----------
    relatives : everyone who comes.
    bonds : (kind, one, other), as "one is parent of other".
    """
    kin = Kin(tuple(relatives), tuple(bonds))
    found: dict[frozenset[str], Combination] = {}
    for kinds in (
        _everyone, _households, _children, _parents_and_children, _couples, _grandparents,
        _generations, _grown_siblings, _alone,
    ):  # fmt: skip
        for combination in kinds(kin):
            found.setdefault(frozenset(combination.people), combination)
    return tuple(found.values())


@functools.cache
def _values() -> dict[str, float]:
    text = files("kinlight.group").joinpath("data/combinations.toml").read_text("utf-8")
    return {kind: float(value) for kind, value in tomllib.loads(text)["value"].items()}


def _made(kin: Kin, who: Iterable[str], kind: str, reason: str, title: str = "") -> Combination:
    people = kin.by_age(who)
    homes = {kin.households[p] for p in people}
    home = homes.pop() if len(homes) == 1 else "all"
    return Combination(people, kind, reason, home, _values()[kind], title)


def _everyone(kin: Kin) -> Iterator[Combination]:
    if len(kin.ids) > 1:
        yield _made(kin, kin.ids, "everyone", "the whole family", "everyone")


def _households(kin: Kin) -> Iterator[Combination]:
    homes: dict[str, list[str]] = {}
    for person in kin.ids:
        homes.setdefault(kin.households[person], []).append(person)
    for home, members in homes.items():
        if len(members) > 1:
            yield _made(kin, members, "household", f"those who live with {home}")


def _children(kin: Kin) -> Iterator[Combination]:
    children = [p for p in kin.ids if kin.is_child(p)]
    if len(children) > 1:
        yield _made(kin, children, "all the children", "all the children together", "the children")
    for group in kin.sibling_groups:
        young = [p for p in group if kin.is_child(p)]
        if len(young) > 1:
            yield _made(kin, young, "siblings", "brothers and sisters together")
    for child in children:
        yield _made(kin, [child], "child alone", f"{child} alone")


def _parents_and_children(kin: Kin) -> Iterator[Combination]:
    for parent in kin.ids:
        children = [c for c in kin.children_of(parent) if kin.is_child(c)]
        if len(children) > 1:
            reason = f"{parent} with their children"
            yield _made(kin, [parent, *children], "parent with children", reason)
        for child in children:
            reason = f"{parent} with {child}"
            yield _made(kin, [parent, child], "parent and child", reason)


def _couples(kin: Kin) -> Iterator[Combination]:
    for couple in kin.couples:
        if any(kin.grandchildren_of(p) for p in couple):
            yield _made(kin, couple, "grandparents", "the grandparents together")
        else:
            yield _made(kin, couple, "parents", "the two of them")


def _grandparents(kin: Kin) -> Iterator[Combination]:
    for elder in kin.ids:
        young = kin.grandchildren_of(elder)
        if not young:
            continue
        beside = [p for p in kin.partners_of(elder) if kin.grandchildren_of(p)]
        kind = "grandparents with grandchildren"
        if beside:
            both = [elder, beside[0], *young]
            yield _made(kin, both, kind, "the grandparents with their grandchildren")
        if len(young) > 1:
            reason = f"{elder} with all their grandchildren"
            yield _made(kin, [elder, *young], kind, reason)
        for child in young:
            reason = f"{elder} with {child}"
            yield _made(kin, [elder, child], "grandparent and grandchild", reason)


def _generations(kin: Kin) -> Iterator[Combination]:
    """Yield each line from an eldest down to the children at its end, three generations or more."""
    for elder in kin.ids:
        if not kin.parents_of(elder):
            for line in _lines(kin, (elder,)):
                if len(line) > 2:
                    last = kin.children_of(line[-2])
                    reason = f"{len(line)} generations in one line"
                    yield _made(kin, [*line[:-1], *last], "generations", reason)


def _lines(kin: Kin, line: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    children = [c for c in kin.children_of(line[-1]) if c not in line]
    if not children:
        yield line
    for child in children:
        yield from _lines(kin, (*line, child))


def _grown_siblings(kin: Kin) -> Iterator[Combination]:
    for group in kin.sibling_groups:
        grown = [p for p in group if not kin.is_child(p)]
        if len(grown) > 1:
            yield _made(kin, grown, "grown siblings", "grown brothers and sisters together")


def _alone(kin: Kin) -> Iterator[Combination]:
    """Yield everyone alone where nobody belongs to anybody, so that nobody goes without."""
    if not kin.bonds:
        for person in kin.ids:
            yield _made(kin, [person], "alone", f"{person} alone")
