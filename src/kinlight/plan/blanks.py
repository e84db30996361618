"""What `settle` would still fill in: a plan is computed only once nothing of it is blank."""

from __future__ import annotations

from collections.abc import Iterator

from kinlight.errors import Fault
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Picture

_REMEDY = "run kinlight settle first"


def blanks(sitting: Sitting) -> tuple[Fault, ...]:
    """Return one fault for each thing that is still blank."""
    return (*_of_sitting(sitting), *(f for p in sitting.pictures for f in _of_picture(sitting, p)))


def _of_sitting(sitting: Sitting) -> Iterator[Fault]:
    camera = sitting.camera
    needed = {
        "pictures": sitting.pictures,
        "order": sitting.order,
        "camera, place": camera.place,
        "camera, aim_height": camera.aim_height_m,
        "camera, f_number": camera.f_number,
        "camera, focus_on": camera.focus_on,
        "camera, focus_in": camera.focus_in,
    }
    for where, value in needed.items():
        if value in (None, ()):
            yield Fault("is blank", where=where, remedy=_REMEDY)
    for light in sitting.lights:
        if light.power is None:
            yield Fault("has no power", where=f"light '{light.id}'", remedy=_REMEDY)


def _of_picture(sitting: Sitting, picture: Picture) -> Iterator[Fault]:
    where = f"picture '{picture.key}'"
    placed = {spot.person for spot in picture.places}
    if missing := [p for p in picture.people if p not in placed]:
        have = "has" if len(missing) == 1 else "have"
        yield Fault(f"{', '.join(missing)} {have} no place", where=where, remedy=_REMEDY)
    if picture.lens is None and sitting.camera.lens is None:
        yield Fault("has no lens", where=where, remedy=_REMEDY)
    elif sitting.lens_for(picture).is_zoom and picture.focal_length_mm is None:
        yield Fault("has no focal length", where=where, remedy=_REMEDY)
    if picture.orientation == "either":
        remedy = f"say upright or level, or {_REMEDY}"
        yield Fault("is neither upright nor level yet", where=where, remedy=remedy)
