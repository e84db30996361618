"""Who belongs to whom, worked out from parent, partner and sibling bonds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

ADULT_YEARS = 18.0


@dataclass(frozen=True)
class Relative:
    """One person: how old, and with whom they buy if that is stated."""

    id: str
    age_years: float
    household: str | None = None


Bond = tuple[str, str, str]
"""Kind, one, other: one is "parent", "partner" or "sibling" of the other."""


@dataclass(frozen=True)
class Kin:
    """The people of a sitting and their bonds."""

    people: tuple[Relative, ...]
    bonds: tuple[Bond, ...]

    @cached_property
    def age(self) -> dict[str, float]:
        """Everyone's age [years]."""
        return {p.id: p.age_years for p in self.people}

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """Everyone, eldest first; of one age, in the order given."""
        return tuple(p.id for p in sorted(self.people, key=lambda p: -p.age_years))

    def by_age(self, who: Iterable[str]) -> tuple[str, ...]:
        """Return these people, eldest first."""
        chosen = set(who)
        return tuple(p for p in self.ids if p in chosen)

    def children_of(self, person: str) -> tuple[str, ...]:
        """Return a person's children, eldest first; grown ones too."""
        return self.by_age(b for kind, a, b in self.bonds if kind == "parent" and a == person)

    def parents_of(self, person: str) -> tuple[str, ...]:
        """Return a person's parents, eldest first."""
        return self.by_age(a for kind, a, b in self.bonds if kind == "parent" and b == person)

    def grandchildren_of(self, person: str) -> tuple[str, ...]:
        """Return the children of a person's children, eldest first."""
        return self.by_age(g for c in self.children_of(person) for g in self.children_of(c))

    def partners_of(self, person: str) -> tuple[str, ...]:
        """Return a person's partners, eldest first."""
        return self.by_age(
            b if a == person else a
            for kind, a, b in self.bonds
            if kind == "partner" and person in (a, b)
        )

    def siblings_of(self, person: str) -> tuple[str, ...]:
        """Return siblings by bond or by a parent in common, eldest first."""
        stated = {
            b if a == person else a
            for kind, a, b in self.bonds
            if kind == "sibling" and person in (a, b)
        }
        shared = {c for p in self.parents_of(person) for c in self.children_of(p)}
        return self.by_age((stated | shared) - {person})

    def is_child(self, person: str) -> bool:
        """Return whether someone is under 18."""
        return self.age[person] < ADULT_YEARS

    @cached_property
    def couples(self) -> tuple[tuple[str, ...], ...]:
        """Partners, and two who have a child here in common, each pair once."""
        pairs = {frozenset((a, b)) for kind, a, b in self.bonds if kind == "partner"}
        pairs |= {frozenset(ps) for c in self.ids for ps in [self.parents_of(c)] if len(ps) == 2}
        return self._sorted(self.by_age(p) for p in pairs)

    @cached_property
    def sibling_groups(self) -> tuple[tuple[str, ...], ...]:
        """Brothers and sisters who are joined by sibling bonds or parents, two or more."""
        return tuple(g for g in self._joined(self.siblings_of, self.ids) if len(g) > 1)

    @cached_property
    def households(self) -> dict[str, str]:
        """The household of everyone: stated, else partners with their children under 18.

        It is called after its eldest member.
        """
        stated = {p.id: p.household for p in self.people if p.household}
        home: dict[str, str] = dict(stated)
        rest = [p for p in self.ids if p not in stated]

        def together(person: str) -> Sequence[str]:
            minors = [c for c in self.children_of(person) if self.is_child(c)]
            mine = self.parents_of(person) if self.is_child(person) else ()
            return [*self.partners_of(person), *minors, *mine]

        for group in self._joined(together, rest):
            homes = [stated[x] for p in group for x in together(p) if x in stated]
            name = homes[0] if homes else group[0]
            home.update(dict.fromkeys(group, name))
        return home

    def _joined(
        self, near: Callable[[str], Iterable[str]], among: Sequence[str]
    ) -> tuple[tuple[str, ...], ...]:
        """Return the groups of people who are connected step by step."""
        left, groups = list(among), []
        while left:
            group, todo = set[str](), [left[0]]
            while todo:
                person = todo.pop()
                if person in left:
                    left.remove(person)
                    group.add(person)
                    todo.extend(near(person))
            groups.append(self.by_age(group))
        return tuple(groups)

    def _sorted(self, groups: Iterable[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
        place = {p: i for i, p in enumerate(self.ids)}
        return tuple(sorted(groups, key=lambda g: [place[p] for p in g]))
