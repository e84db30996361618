"""The people of a picture as figures in their places."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager

from kinlight.errors import Fault, RangeError, SittingError
from kinlight.figures.growth import Body, body
from kinlight.figures.posture import figure
from kinlight.figures.solids import solids
from kinlight.geometry.people import Figure
from kinlight.geometry.solids import Solids
from kinlight.sitting.document import Sitting
from kinlight.sitting.people import Person
from kinlight.sitting.pictures import Picture, Spot
from kinlight.stage.memory import Memory, digest

_solids: Memory[Solids] = Memory(256)


def bodies_of(sitting: Sitting) -> dict[str, Body]:
    """Return everyone's body by id: stated measures, the rest from age.

    Raises
    ------
    SittingError
        If somebody states a measure nobody of that age has.
    """
    return {p.key: _body(p, sitting.age_years(p.key)) for p in sitting.people}


def _body(person: Person, age_years: float) -> Body:
    with _said_at(f"person '{person.key}'"):
        return body(age_years, sex=person.sex, stature_m=person.stature_m, mass_kg=person.mass_kg)


def figures_of(picture: Picture, bodies: Mapping[str, Body]) -> tuple[Figure, ...]:
    """Return the figures of a settled picture, in the order of its people.

    Raises
    ------
    SittingError
        If somebody has no place yet, or a place that does not fit their posture.
    """
    spots = {spot.person: spot for spot in picture.places}
    missing = [p for p in picture.people if p not in spots]
    if missing:
        where = f"picture '{picture.key}'"
        problem = f"{', '.join(missing)} has no place"
        raise SittingError(Fault(problem, where=where, remedy="run kinlight settle first"))
    where = f"picture '{picture.key}'"
    held = {p for p in picture.people if spots[p].held_by is not None}
    posed = {p: _posed(spots[p], bodies, where) for p in picture.people if p not in held}
    return tuple(
        _posed(spots[p], bodies, where, posed.get(spots[p].held_by or ""))
        if p in held
        else posed[p]
        for p in picture.people
    )


def solids_of(posed: Figure) -> Solids:
    """Return the body of a figure as rounded solids, reckoned once."""
    return _solids.get(digest(posed), lambda: solids(posed))


def face_height_m(figures: Iterable[Sequence[Figure]]) -> float:
    """Return the mean height of all eyes of all pictures over the floor, to 5 cm [m]."""
    eyes = [float(f.face.eyes_m()[:, 2].mean()) for fs in figures for f in fs]
    return round(sum(eyes) / len(eyes) * 20) / 20


def _posed(
    spot: Spot, bodies: Mapping[str, Body], where: str, holder: Figure | None = None
) -> Figure:
    with _said_at(f"{where}, {spot.person}"):
        return figure(
            spot.person,
            bodies[spot.person],
            spot.posture,
            (spot.x_m, spot.y_m),
            seat_height_m=spot.seat_m,
            facing_deg=spot.turned_deg,
            holder=holder,
        )


@contextmanager
def _said_at(where: str) -> Iterator[None]:
    """Say what cannot be posed as a fault of the sitting, with its place in it."""
    try:
        yield
    except RangeError as error:
        raise SittingError([fault.at(where) for fault in error.faults]) from None
