"""Contradictions between parts of a document that are each right by themselves."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Set

from kinlight.errors import Fault, QuantityError
from kinlight.quantities.stops import exact_f_number
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Lens, Reflector
from kinlight.sitting.people import OLDEST_YEARS, Bond
from kinlight.sitting.room_fit import gear, gear_name, out_of_room
from kinlight.sitting.strobes import Light

_Check = Callable[[Sitting], Iterator[Fault]]
SOURCES = (
    "people",
    "lamps",
    "walls",
    "floor",
    "ceiling",
    "backdrop",
    "floor sweep",
    "backdrop lights",
    "others",
)
"""What a plan calls light that does not come from one light or reflector of the document."""
_WAIT = re.compile(r"wait \d{1,3} min(?: \(\d+\))?")  # the number in brackets tells two waits apart


def contradictions(sitting: Sitting, *, doubtful: Set[str] = frozenset()) -> list[Fault]:
    """Return everything in the sitting that contradicts something else in it.

    What rests on one of the `doubtful` sections is left out.
    """
    checks: tuple[tuple[_Check, tuple[str, ...]], ...] = (
        (_twice, ()),
        (_sources, ()),
        (_ages, ("date",)),
        (_bonds, ()),
        (_parents_older, ("people", "date")),
        (_parent_cycles, ()),
        (_pictures, ()),
        (_focal_lengths, ("camera", "lenses")),
        (_spots, ()),
        (_orders, ()),
        (_breaks, ()),
        (_gear_named, ()),
        (_powers, ()),
        (_apertures, ("camera", "lenses")),
        (out_of_room, ("room", "backdrop")),
        (_times, ("start",)),
    )
    return [
        fault
        for check, rests_on in checks
        if doubtful.isdisjoint(rests_on)
        for fault in check(sitting)
    ]


def _repeated(names: Iterable[str], what: str) -> Iterator[Fault]:
    for name, count in Counter(names).items():
        if count > 1:
            yield Fault(f"{count} {what} are called '{name}'", remedy="give each an id of its own")


def _twice(s: Sitting) -> Iterator[Fault]:
    yield from _repeated((p.key for p in s.people), "people")
    yield from _repeated((x.id for x in s.lights), "lights")
    yield from _repeated((x.id for x in s.lenses), "lenses")
    yield from _repeated((x.id for x in s.reflectors), "reflectors")
    yield from _repeated((x.id for x in s.seats), "seats")
    yield from _repeated((x.id for x in s.meter_points), "meter points")
    yield from _repeated((x.id for x in s.breaks), "breaks")
    yield from _repeated((x.key for x in s.pictures), "pictures")


def _sources(s: Sitting) -> Iterator[Fault]:
    """Yield what would be taken for another source where a plan says whose light a face gets.

    It names keys, fills and reflectors there, other lights together.
    """
    named = [x for x in s.lights if x.role in ("key", "fill")]
    lights = {x.id.casefold() for x in named}
    things: list[Light | Reflector] = [*named, *s.reflectors]
    for thing in things:
        if thing.id.casefold() in SOURCES:
            yield Fault(
                f"cannot be called that: a plan calls other light '{thing.id.casefold()}'",
                where=gear_name(thing),
                remedy=f"give it another id, such as '{thing.id} 1'",
            )
    for thing in s.reflectors:
        if thing.id.casefold() in lights:
            yield Fault(
                "has the id of a light", where=gear_name(thing), remedy="give it an id of its own"
            )


def _ages(s: Sitting) -> Iterator[Fault]:
    for p in s.people:
        if p.born and s.date is None:
            yield Fault(
                "has a date of birth, but the sitting has no date",
                where=f"person '{p.key}'",
                remedy='write date = "2026-05-30" or such in the sitting, or give an age',
            )
        elif p.born and s.date and p.born > s.date:
            yield Fault(
                f"date of birth {p.born} is after the sitting on {s.date}",
                where=f"person '{p.key}'",
                remedy="mend one of the dates",
            )
        elif p.born and p.age_on_years(s.date) > OLDEST_YEARS:
            yield Fault(
                f"date of birth {p.born} makes them {p.age_on_years(s.date):.0f} years old",
                where=f"person '{p.key}'",
                allowed=f"up to {OLDEST_YEARS} years",
            )


def _nobody(where: str, name: str, s: Sitting) -> Fault:
    people = "; ".join(p.key for p in s.people)
    return Fault(f"nobody here is called '{name}'", where=where, allowed=people)


def _bonds(s: Sitting) -> Iterator[Fault]:
    known = {p.key for p in s.people}
    for bond in s.bonds:
        where = _bond_name(bond)
        strangers = [name for name in (bond.one, bond.other) if name not in known]
        for name in strangers:
            yield _nobody(where, name, s)
        if bond.one == bond.other and not strangers:
            yield Fault("ties a person to themselves", where=where)


def _bond_name(bond: Bond) -> str:
    return f"bond '{bond.one} is {bond.kind} of {bond.other}'"


def _parents_older(s: Sitting) -> Iterator[Fault]:
    ages = {p.key: p.age_on_years(s.date) for p in s.people}
    for bond in s.bonds:
        known = bond.one in ages and bond.other in ages and bond.one != bond.other
        if known and bond.kind == "parent" and ages[bond.one] < ages[bond.other] + 10:
            yield Fault(
                f"{bond.one} is not at least 10 years older than {bond.other}",
                where=_bond_name(bond),
                remedy="mend an age, or turn the bond round",
            )


def _parent_cycles(s: Sitting) -> Iterator[Fault]:
    parents: dict[str, set[str]] = {}
    for bond in s.bonds:
        if bond.kind == "parent" and bond.one != bond.other:
            parents.setdefault(bond.other, set()).add(bond.one)
    for start in sorted(parents):
        above, todo = set[str](), list(parents[start])
        while todo:
            name = todo.pop()
            if name not in above:
                above.add(name)
                todo.extend(parents.get(name, ()))
        if start in above:
            yield Fault(
                f"{start} would be their own ancestor", where="bonds", remedy="turn one round"
            )
            return


def _pictures(s: Sitting) -> Iterator[Fault]:
    known, lenses = {p.key for p in s.people}, [x.id for x in s.lenses]
    for pic in s.pictures:
        where = f"picture '{pic.key}'"
        yield from (_nobody(where, n, s) for n in pic.people if n not in known)
        yield from (
            Fault(f"{n} is in it {c} times", where=where)
            for n, c in Counter(pic.people).items()
            if c > 1
        )
        if pic.lens and pic.lens not in lenses:
            yield Fault(f"there is no lens '{pic.lens}'", where=where, allowed="; ".join(lenses))
    for struck in s.strike:
        yield from (_nobody("strike", n, s) for n in struck if n not in known)


def _focal_lengths(s: Sitting) -> Iterator[Fault]:
    for pic in s.pictures:
        if pic.focal_length_mm is None:
            continue
        named = pic.lens or s.camera.lens
        lenses = [x for x in s.lenses if named in (None, x.id)]
        if lenses and not any(_has_focal_length(x, pic.focal_length_mm) for x in lenses):
            what = f"lens '{lenses[0].id}' has" if len(lenses) == 1 else "no lens here has"
            none = " no" if len(lenses) == 1 else " a"
            yield Fault(
                f"{what}{none} focal length of {pic.focal_length_mm:g} mm",
                where=f"picture '{pic.key}'",
                allowed="; ".join(_range_text(x) for x in lenses),
            )


def _has_focal_length(lens: Lens, focal_length_mm: float) -> bool:
    low, high = lens.range_mm()
    return low - 0.5 <= focal_length_mm <= high + 0.5


def _range_text(lens: Lens) -> str:
    low, high = lens.range_mm()
    return f"{low:g} to {high:g} mm" if high > low else f"{low:g} mm"


def _spots(s: Sitting) -> Iterator[Fault]:
    for pic in s.pictures:
        where = f"picture '{pic.key}', places"
        placed = [spot.person for spot in pic.places]
        yield from (
            Fault(f"{n} is not in the picture", where=where) for n in placed if n not in pic.people
        )
        yield from (
            Fault(f"{n} has {c} places", where=where) for n, c in Counter(placed).items() if c > 1
        )
        for spot in pic.places:
            if spot.posture in ("hip", "lap"):
                holder = next((x for x in pic.places if x.person == spot.held_by), None)
                if holder is None or holder.person == spot.person:
                    remedy = "name someone with a place in this picture in held_by"
                    yield Fault(
                        f"{spot.person} is on a {spot.posture} but nobody holds them",
                        where=where,
                        remedy=remedy,
                    )
                elif holder.posture in ("hip", "lap"):
                    yield Fault(
                        f"{holder.person} holds {spot.person} and is held as well", where=where
                    )
            elif spot.held_by is not None:
                yield Fault(
                    f"{spot.person} is held by {spot.held_by} but {spot.posture}",
                    where=where,
                    remedy='write posture = "hip" or posture = "lap", or leave held_by out',
                )


def _orders(s: Sitting) -> Iterator[Fault]:
    known = {p.key for p in s.pictures} | {b.id for b in s.breaks}
    for name, count in Counter(n for n in s.order if not _WAIT.fullmatch(n)).items():
        if name not in known:
            remedy = 'a wait is written "wait 10 min"' if name.startswith("wait") else ""
            yield Fault(f"there is no picture or break '{name}'", where="order", remedy=remedy)
        elif count > 1:
            yield Fault(f"'{name}' stands in it {count} times", where="order")


def _breaks(s: Sitting) -> Iterator[Fault]:
    known = {p.key for p in s.people}
    for b in s.breaks:
        yield from (_nobody(f"break '{b.id}'", n, s) for n in b.people if n not in known)


def _gear_named(s: Sitting) -> Iterator[Fault]:
    people, lights = {p.key for p in s.people}, {x.id for x in s.lights}
    lenses, pictures = {x.id for x in s.lenses}, {p.key for p in s.pictures}
    cam = s.camera
    if cam.lens and cam.lens not in lenses:
        yield Fault(
            f"there is no lens '{cam.lens}'", where="camera", allowed="; ".join(sorted(lenses))
        )
    if cam.focus_on and cam.focus_on not in people:
        yield _nobody("camera, focus_on", cam.focus_on, s)
    if cam.focus_in and cam.focus_in not in pictures:
        yield Fault(f"there is no picture '{cam.focus_in}'", where="camera, focus_in")
    for thing in gear(s):
        if thing.aim.at not in people | {"mark"}:
            yield Fault(
                f"cannot point at '{thing.aim.at}'",
                where=gear_name(thing),
                allowed='the mark, a person, or such as "20 degrees toward the camera"',
            )
    for point in s.meter_points:
        where = f"meter point '{point.id}'"
        if point.facing not in lights | {"camera", "backdrop", "up"}:
            yield Fault(
                f"cannot face '{point.facing}'",
                where=where,
                allowed="; ".join(["camera", "backdrop", "up", *sorted(lights)]),
            )
        yield from (
            Fault(f"there is no light '{n}'", where=where)
            for n in (*point.lights, *point.set_to)
            if n not in lights
        )


def _powers(s: Sitting) -> Iterator[Fault]:
    for light in s.lights:
        try:
            light.setting_stops()
        except QuantityError as error:
            yield error.faults[0].at(f"light '{light.id}', power")
        for point in (p for p in s.meter_points if light.id in p.set_to):
            try:
                light.dial.scale().parse(point.set_to[light.id])
            except QuantityError as error:
                yield error.faults[0].at(f"meter point '{point.id}', set_to, {light.id}")


def _apertures(s: Sitting) -> Iterator[Fault]:
    if s.camera.f_number is None:
        return
    for pic_lens in {pic.lens or s.camera.lens or s.lenses[0].id for pic in s.pictures}:
        for lens in s.lenses:
            wide, small = exact_f_number(lens.widest), exact_f_number(lens.smallest)
            if (
                lens.id == pic_lens
                and not wide * 0.98 <= exact_f_number(s.camera.f_number) <= small * 1.02
            ):
                yield Fault(
                    f"lens '{lens.id}' has no f/{s.camera.f_number:g}",
                    where="camera",
                    allowed=f"f/{lens.widest:g} to f/{lens.smallest:g}",
                )


def _times(s: Sitting) -> Iterator[Fault]:
    for p in s.people:
        if p.arrives and p.leaves and p.leaves <= p.arrives:
            yield Fault(
                f"leaves at {p.leaves:%H:%M}, before arriving at {p.arrives:%H:%M}",
                where=f"person '{p.key}'",
            )
        elif p.leaves and p.leaves <= s.start:
            yield Fault(
                f"leaves at {p.leaves:%H:%M}, before the sitting starts at {s.start:%H:%M}",
                where=f"person '{p.key}'",
            )
