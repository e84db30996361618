"""The people of a picture as figures in their places."""

from __future__ import annotations

from collections.abc import Mapping

from kinlight.errors import Fault, SittingError
from kinlight.figures.growth import Body, body
from kinlight.figures.posture import figure
from kinlight.geometry.people import Figure
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Picture, Spot


def bodies_of(sitting: Sitting) -> dict[str, Body]:
    """Return everyone's body by id: stated measures, the rest from age."""
    return {
        p.key: body(sitting.age_years(p.key), sex=p.sex, stature_m=p.stature_m, mass_kg=p.mass_kg)
        for p in sitting.people
    }


def figures_of(picture: Picture, bodies: Mapping[str, Body]) -> tuple[Figure, ...]:
    """Return the figures of a settled picture, in the order of its people.

    Raises
    ------
    SittingError
        If somebody has no place yet.
    """
    spots = {spot.person: spot for spot in picture.places}
    missing = [p for p in picture.people if p not in spots]
    if missing:
        where = f"picture '{picture.key}'"
        problem = f"{', '.join(missing)} has no place"
        raise SittingError(Fault(problem, where=where, remedy="run kinlight settle first"))
    holders = {p: _posed(spots[p], bodies) for p in picture.people if spots[p].held_by is None}
    return tuple(
        holders.get(p) or _posed(spots[p], bodies, holders.get(spots[p].held_by or ""))
        for p in picture.people
    )


def _posed(spot: Spot, bodies: Mapping[str, Body], holder: Figure | None = None) -> Figure:
    return figure(
        spot.person,
        bodies[spot.person],
        spot.posture,
        (spot.x_m, spot.y_m),
        seat_height_m=spot.seat_m,
        facing_deg=spot.turned_deg,
        holder=holder,
    )
