"""Proposing who is where in a picture: seats by ability, small heads in front, two short rows.

This is a plain arrangement by rule. Common practice, no source: small children beside a seated
adult so that heads come near each other, the tall standing behind, babies in arms that can hold
them, shoulders overlapping by a quarter.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from kinlight.errors import Fault, SittingError
from kinlight.figures.growth import Body
from kinlight.group.abilities import Abilities
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Seat
from kinlight.sitting.pictures import Picture, Posture, Spot

ROW_GAP_M = 0.30
"""From the front row to the one standing close behind it: common practice, no source."""
FRONT_ROW = 4
"""People up to which tall children stand beside a seated adult and not behind: our choice."""
ROW_MOST = 6
"""People side by side in one standing row; more stand in a further row: common practice."""
OVERLAP = 0.75
"""Share of the shoulder breadth a person takes in a row (60 to 75 %: from memory)."""
WHEELCHAIR_M = 0.66
"""Width of a wheelchair: from memory."""
LAP_CHILD_M = 0.20
"""Room a child on a lap takes beside the one who holds it: common practice, no source."""
TALL_CHILD_YEARS = 8.0
SEATED_FROM_YEARS = 65.0
"""From this age people are offered a seat: common practice, no source."""


@dataclass(frozen=True)
class _Group:
    """The people of one picture with all that placing them needs."""

    members: tuple[str, ...]
    can: Mapping[str, Abilities]
    bodies: Mapping[str, Body]
    parents: Mapping[str, frozenset[str]]

    def adults(self) -> list[str]:
        return [p for p in self.members if not self.can[p].is_child]

    def held(self) -> list[str]:
        """Return those who are best in arms, or cannot be without: no steady walkers yet."""
        return [p for p in self.members if self.can[p].is_held or self.can[p].walks_off]

    def small(self) -> list[str]:
        return [
            p
            for p in self.members
            if self.can[p].is_child
            and p not in self.held()
            and self.can[p].age_years < TALL_CHILD_YEARS
        ]


def proposed_places(
    sitting: Sitting,
    picture: Picture,
    can: Mapping[str, Abilities],
    bodies: Mapping[str, Body],
) -> tuple[Spot, ...]:
    """Return a place for everyone in the picture; places it states already are kept."""
    parents = {
        p.key: frozenset(b.one for b in sitting.bonds if b.kind == "parent" and b.other == p.key)
        for p in sitting.people
    }
    group = _Group(picture.people, can, bodies, parents)
    stated = {spot.person: spot for spot in picture.places}
    holders = _holders(group, stated)
    _require_arms(group, {*holders, *stated}, picture.key)
    held = {*holders, *(spot.person for spot in stated.values() if spot.held_by)}
    postures = _postures(group, holders, held)
    seats = _Stock(sitting.seats)
    front, back = _rows(group, postures, holders)
    spots = [
        spot
        for i, row in enumerate(r for r in (front, *_in_rows(back, group)) if r)
        for spot in _row(row, i * ROW_GAP_M, postures, group, seats, holders)
    ]
    by_person = {spot.person: spot for spot in spots}
    for child, holder in holders.items():
        spots.append(Spot(person=child, posture="lap", held_by=holder, x_m=0.0, y_m=0.0))
    ordered = [stated.get(p) or next(x for x in spots if x.person == p) for p in picture.people]
    return tuple(_beside_holder(spot, by_person, stated) for spot in ordered)


def _require_arms(group: _Group, placed: Collection[str], picture: str) -> None:
    """Raise SittingError for a baby that cannot sit yet and whom nobody can hold."""
    for person in group.members:
        if group.can[person].motor == "lies" and person not in placed:
            raise SittingError(
                Fault(
                    f"{person} cannot sit yet and nobody in it is free to hold them",
                    where=f"picture '{picture}'",
                    remedy="add someone who can; lying babies are not planned yet",
                )
            )


def _beside_holder(spot: Spot, placed: Mapping[str, Spot], stated: Mapping[str, Spot]) -> Spot:
    """Give someone held the place of the one who holds them, and a posture that fits it."""
    if spot.person in stated or spot.held_by is None:
        return spot
    holder = stated.get(spot.held_by) or placed[spot.held_by]
    sits = holder.posture in ("stool", "chair", "wheelchair", "floor")
    posture: Posture = "lap" if sits else "hip"
    return spot.model_copy(update={"posture": posture, "x_m": holder.x_m, "y_m": holder.y_m})


def _holders(group: _Group, stated: Mapping[str, Spot]) -> dict[str, str]:
    """Return who holds each child that cannot stand: a parent first, then the youngest adult.

    A child that has a place keeps it, and whoever holds one by it has no arm free.
    """
    busy = {spot.held_by for spot in stated.values()}
    free = [p for p in group.adults() if group.can[p].holds_child_min > 0 and p not in busy]
    chosen: dict[str, str] = {}
    for child in [p for p in group.held() if p not in stated]:
        free.sort(key=lambda a: (a not in group.parents[child], group.can[a].age_years))
        if free:
            chosen[child] = free.pop(0)
    return chosen


def _postures(
    group: _Group, holders: Mapping[str, str], held: Collection[str]
) -> dict[str, Posture]:
    """Return how each person not proposed to be held is in the picture."""
    seated = _seated_adults(group, holders)
    babies = [p for p in group.held() if group.can[p].is_held]
    beside_floor = any(p not in held for p in babies)  # a baby nobody can hold
    postures: dict[str, Posture] = {}
    for person in group.members:
        can = group.can[person]
        if person in holders:
            continue
        if can.wheelchair_seat_m is not None:
            postures[person] = "wheelchair"
        elif can.is_held:
            postures[person] = "floor"
        elif not can.is_child:
            postures[person] = "stool" if person in seated else "standing"
        elif not group.adults() and (beside_floor or can.motor == "new walker"):
            postures[person] = "floor" if can.sits_on_floor else "stool"
        elif not group.adults() or not can.stands:
            postures[person] = "stool"
        else:
            postures[person] = "standing"
    return postures


def _seated_adults(group: _Group, holders: Mapping[str, str]) -> set[str]:
    """Return the adults on stools: whoever cannot stand or holds, and one near small children."""
    adults = group.adults()
    seated = {a for a in adults if not group.can[a].stands or a in holders.values()}
    seated |= {a for a in adults if group.can[a].age_years >= SEATED_FROM_YEARS}
    near_small = group.small() and not seated
    if near_small or len(group.members) == 1:
        shortest = sorted(adults, key=lambda a: (group.bodies[a].stature_m, a))
        seated |= set(shortest[:1])
    return seated


def _rows(
    group: _Group, postures: Mapping[str, Posture], holders: Mapping[str, str]
) -> tuple[list[str], list[str]]:
    """Return the front row, seated adults in its middle and children about them, and the back."""
    few = len(postures) <= FRONT_ROW and any(how != "standing" for how in postures.values())
    standing = [
        p
        for p, how in postures.items()
        if how == "standing" and p not in group.small() and not (few and group.can[p].is_child)
    ]
    front = [p for p in postures if p not in standing]
    seated = [p for p in front if not group.can[p].is_child]
    children = [p for p in front if group.can[p].is_child]
    row = list(seated)
    for i, child in enumerate(_tallest_first(children, group)):
        row.insert(0, child) if i % 2 else row.append(child)
    return row, standing


def _tallest_inside(people: Sequence[str], group: _Group) -> list[str]:
    row: list[str] = []
    for i, person in enumerate(_tallest_first(people, group)):
        row.insert(0, person) if i % 2 else row.append(person)
    return row


def _tallest_first(people: Sequence[str], group: _Group) -> list[str]:
    return sorted(people, key=lambda p: (-group.bodies[p].stature_m, p))


def _in_rows(people: Sequence[str], group: _Group) -> list[Sequence[str]]:
    """Return a long standing row as several of nearly equal length, the shorter in front."""
    count = max(1, -(-len(people) // ROW_MOST))
    rising = _tallest_first(people, group)[::-1]
    ends = [round(len(rising) * i / count) for i in range(count + 1)]
    rows = [rising[a:b] for a, b in itertools.pairwise(ends)]
    return [_tallest_inside(row, group) for row in rows]


class _Stock:
    """The stools and boxes not yet taken in this picture."""

    def __init__(self, seats: Sequence[Seat]) -> None:
        self._left = {seat.id: [seat.height_m] * seat.count for seat in seats if seat.kind != "box"}

    def take_m(self, wanted_m: float) -> float | None:
        """Return the height of the free seat nearest to `wanted_m`; None if none is left."""
        free = [(abs(h[0] - wanted_m), key) for key, h in self._left.items() if h]
        return self._left[min(free)[1]].pop() if free else None


def _row(
    row: Sequence[str],
    y_m: float,
    postures: Mapping[str, Posture],
    group: _Group,
    seats: _Stock,
    holders: Mapping[str, str],
) -> list[Spot]:
    """Place a row side by side, centred on the mark; whoever finds no stool left stands."""
    holding = set(holders.values())
    widths = [_width_m(p, postures[p], group) + (LAP_CHILD_M if p in holding else 0.0) for p in row]
    left = -sum(widths) / 2
    spots = []
    for person, width in zip(row, widths, strict=True):
        posture: Posture = postures[person]
        seat_m = 0.0
        if posture == "wheelchair":
            seat_m = group.can[person].wheelchair_seat_m or 0.0
        elif posture == "stool":
            seat = seats.take_m(group.bodies[person].popliteal_m)
            if seat is None:
                posture = "standing" if group.can[person].stands else "floor"
            seat_m = seat or 0.0
        x = round((left + width / 2) * 20) / 20  # to 5 cm, as a hand can place people
        spots.append(Spot(person=person, posture=posture, x_m=x, y_m=y_m, seat_m=seat_m))
        left += width
    return spots


def _width_m(person: str, posture: Posture, group: _Group) -> float:
    shoulders = group.bodies[person].shoulder_breadth_m * OVERLAP
    if posture == "wheelchair":
        return WHEELCHAIR_M
    if posture == "floor":
        return shoulders * 1.4  # crossed legs are wider than shoulders
    return shoulders
