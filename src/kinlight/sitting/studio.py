"""The room, the backdrop, the studio's ways of working, and breaks."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from kinlight.errors import Fault, QuantityError
from kinlight.sitting.base import (
    Id,
    Metres,
    Millimetres,
    Minutes,
    Number,
    Seconds,
    Stated,
    Whole,
    YesNo,
)
from kinlight.sitting.gear import Share


def _currency(value: object) -> object:
    if isinstance(value, str) and re.fullmatch("[A-Z]{3}", value):
        return value
    fault = Fault("is not a currency", allowed="three capitals, as EUR", given=repr(value))
    raise QuantityError(fault)


Currency = Annotated[str, BeforeValidator(_currency), Field(pattern="^[A-Z]{3}$")]


class Room(Stated):
    """The room. Its length runs from the wall behind the camera to the wall behind the backdrop."""

    width_m: Annotated[Metres, Field(ge=1.5, le=40)] = 5.0
    """From the left wall to the right."""
    length_m: Annotated[Metres, Field(ge=2, le=60)] = 8.0
    """From the wall behind the camera to the one behind the backdrop."""
    ceiling_m: Annotated[Metres, Field(ge=1.9, le=12)] = 3.0
    """Height of the ceiling."""
    wall_reflectance: Share = 0.7
    """Reflectance of the walls."""
    ceiling_reflectance: Share = 0.8
    """Reflectance of the ceiling."""
    floor_reflectance: Share = 0.3
    """Reflectance of the floor."""
    mark_from_left_wall_m: Annotated[Metres, Field(gt=0, le=40)] | None = None
    """From the left wall to the mark; left out, half the width."""
    mark_from_back_wall_m: Annotated[Metres, Field(gt=0, le=60)] | None = None
    """From the wall behind the backdrop to the mark; left out, 0.3 m more than the backdrop."""
    ambient_lx: Annotated[Number, Field(ge=0, le=100_000)] = 60.0
    """Light at the mark without flash and modelling lamps."""


class Backdrop(Stated):
    """The backdrop."""

    width_m: Annotated[Metres, Field(ge=0.5, le=15)] = 2.7
    """Width."""
    height_m: Annotated[Metres, Field(ge=0.5, le=8)] = 2.6
    """Height of its top over the floor."""
    distance_m: Annotated[Metres, Field(ge=0, le=15)] = 1.8
    """From the mark back to it."""
    sweep_m: Annotated[Metres, Field(ge=0, le=15)] = 2.0
    """How far it runs out over the floor toward the camera."""
    reflectance: Share = 0.5
    """Reflectance."""


class Preferences(Stated):
    """How the studio counts."""

    units: Literal["metric", "feet"] = "metric"
    """Units printed."""
    currency: Currency = "EUR"
    """Three letters after ISO 4217."""
    tax_percent: Annotated[Number, Field(ge=0, le=60)] = 0.0
    """Tax on sales."""
    tax_included: YesNo = True
    """Whether prices include it."""


class Wishes(Stated):
    """The look wanted and the limits the plan keeps to."""

    acuity_arcmin: Annotated[Number, Field(ge=0.5, le=6)] = 2.0
    """Detail that must be sharp in the print, as seen at its viewing distance."""
    circle_of_confusion_mm: Annotated[Millimetres, Field(gt=0.001, le=0.2)] | None = None
    """Fixed instead, such as the customary 0.03 or 0.02."""
    head_room: Annotated[Number, Field(ge=0, le=1)] = 0.3
    """Room kept around the people, in head heights."""
    working_distance_m: Annotated[Metres, Field(ge=0.5, le=10)] = 1.5
    """Nearest the lens may be to a face, for pleasing perspective."""
    fill_below_key_stops: Annotated[Number, Field(ge=0, le=6)] = 1.0
    """Fill lamp under the key lamp, each metered alone."""
    hair_from_key_stops: Annotated[Number, Field(ge=-4, le=3)] = 0.0
    """Hair light from the working aperture, metered alone."""
    backdrop_from_key_stops: Annotated[Number, Field(ge=-5, le=4)] = 0.0
    """Light on the backdrop from the working aperture."""
    exposure_within_stops: Annotated[Number, Field(gt=0, le=2)] = 1 / 3
    """How far the reading at the mark may be from the working aperture."""
    ambient_below_stops: Annotated[Number, Field(ge=0, le=12)] = 4.0
    """How far ambient light must stay under the flash."""
    seconds_between_frames_s: Annotated[Seconds, Field(gt=0, le=60)] = 4.0
    """Rhythm of frames when expressions come."""
    frames_least: Annotated[Whole, Field(ge=1, le=100)] = 5
    """Frames made of every picture at the least, however lively everyone is."""
    change_over_s: Annotated[Seconds, Field(ge=0, le=1200)] = 45.0
    """Between two pictures, for placing people."""
    change_over_per_person_s: Annotated[Seconds, Field(ge=0, le=300)] = 8.0
    """And for each person in the next picture."""
    heavy_child_kg: Annotated[Number, Field(gt=0, le=60)] = 8.0
    """A child from this weight is not carried in two pictures running."""


class Break(Stated):
    """A pause that may be put into the running order and gives children some patience back."""

    id: Id
    """What the plan calls it."""
    kind: Literal["break", "feed"] = "break"
    """A break for all, or a feed."""
    people: tuple[str, ...] = ()
    """Ids of the children it is for; left out, all."""
    lasts_min: Annotated[Minutes, Field(gt=0, le=120)] = 10.0
    """How long it lasts."""
    restores_min: Annotated[Minutes, Field(ge=0, le=120)] = 12.0
    """Patience it gives back to each of them, its own length included."""
