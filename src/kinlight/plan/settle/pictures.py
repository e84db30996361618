"""Proposing which combinations of people to photograph."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kinlight.group.abilities import Abilities, abilities_of_all
from kinlight.group.combinations import Combination, Relative, combinations
from kinlight.sitting.document import Sitting
from kinlight.sitting.origins import noted
from kinlight.sitting.pictures import Picture


def with_pictures(sitting: Sitting) -> Sitting:
    """Return the sitting with the pictures a photographer would make beside those stated.

    Stated ones stay first and as they are; combinations that are struck or stated already are not
    proposed.
    """
    wanted = sitting.propose_pictures
    if wanted is False or (wanted is None and sitting.pictures):
        return sitting
    can = abilities_of_all(sitting)
    taken = {p.who() for p in sitting.pictures} | {frozenset(s) for s in sitting.strike}
    names = {p.key for p in sitting.pictures}
    new = []
    for combination in proposals(sitting):
        if frozenset(combination.people) in taken or not _can_be_posed(combination.people, can):
            continue
        picture = _picture(combination, sitting, names)
        names.add(picture.key)
        new.append(picture)
    return noted(
        sitting.with_stated(pictures=(*sitting.pictures, *new)),
        [f"pictures.{p.key}" for p in new],
    )


def proposals(sitting: Sitting) -> tuple[Combination, ...]:
    """Return every combination worth proposing for the people and bonds of a sitting."""
    relatives = [Relative(p.key, sitting.age_years(p.key), p.household) for p in sitting.people]
    bonds = [(b.kind, b.one, b.other) for b in sitting.bonds]
    return combinations(relatives, bonds)


def _can_be_posed(people: Sequence[str], can: Mapping[str, Abilities]) -> bool:
    """Return whether there are arms for every baby that cannot sit yet."""
    babies = sum(can[p].motor == "lies" for p in people)
    return babies <= sum(can[p].holds_child_min > 0 for p in people)


def _picture(combination: Combination, sitting: Sitting, names: set[str]) -> Picture:
    return Picture(
        name=_name(combination, sitting, names),
        people=combination.people,
        value=combination.value,
        must=combination.kind == "everyone",
        reason=combination.reason,
        household=combination.household,
    )


def _name(combination: Combination, sitting: Sitting, taken: set[str]) -> str:
    """Return a name no other picture has: its title, the people's names, their ids, a number."""
    called = _joined([sitting.person(p).name for p in combination.people])
    by_id = _joined(list(combination.people))
    names = [combination.title, called, by_id, *(f"{by_id} ({n})" for n in range(2, 100))]
    return next(name for name in names if name and name not in taken)


def _joined(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
