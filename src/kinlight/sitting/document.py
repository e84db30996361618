"""The sitting: everything stated about one booking."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field, WithJsonSchema

from kinlight.sitting.base import Clock, Day, Stated, Whole, YesNo
from kinlight.sitting.gear import Camera, HandMeter, Lens, MeterPoint, Reflector, Seat
from kinlight.sitting.people import Bond, Person
from kinlight.sitting.pictures import Picture, Size
from kinlight.sitting.shipped import shipped
from kinlight.sitting.strobes import Light
from kinlight.sitting.studio import Backdrop, Break, Preferences, Room, Wishes

FORMAT = 1
_ORIGIN_IN_A_FILE = {"type": "string", "pattern": "^(usual set|proposed( [0-9a-f]{8})?)$"}
Origin = Annotated[Literal["usual set", "proposed"], WithJsonSchema(_ORIGIN_IN_A_FILE)]


class Sitting(Stated):
    """One sitting. A person with an age is enough; everything else has a default."""

    format: Whole = FORMAT
    """The version of this file format."""
    written_by: str = ""
    """The program that wrote the file."""
    title: Annotated[str, Field(max_length=200)] = "A family sitting"
    """What the sitting is called."""
    date: Day | None = None
    """The day; ages from dates of birth are counted to it. Left out, the day it is planned."""
    start: Clock = dt.time(10, 0)
    """When the first picture can begin."""
    people: Annotated[tuple[Person, ...], Field(min_length=1, max_length=60)]
    """Who comes."""
    bonds: tuple[Bond, ...] = ()
    """How they belong together."""
    pictures: tuple[Picture, ...] = ()
    """Pictures wanted."""
    propose_pictures: YesNo | None = None
    """Whether combinations are proposed beside those; left out, only if none is stated."""
    strike: tuple[tuple[str, ...], ...] = ()
    """Combinations of people that are not to be proposed."""
    order: tuple[str, ...] = ()
    """The running order: names of pictures and breaks, "wait 10 min"; left out, proposed."""
    breaks: tuple[Break, ...] = ()
    """Pauses that may be used."""
    sizes: Annotated[tuple[Size, ...], Field(min_length=1)] = Field(
        default_factory=lambda: shipped("sizes", Size)
    )
    """Sizes every picture must serve unless it names its own."""
    room: Room = Room()
    """The room."""
    backdrop: Backdrop = Backdrop()
    """The backdrop."""
    camera: Camera = Camera()
    """The camera."""
    lenses: Annotated[tuple[Lens, ...], Field(min_length=1)] = Field(
        default_factory=lambda: shipped("lenses", Lens)
    )
    """The lenses there are."""
    lights: tuple[Light, ...] = Field(default_factory=lambda: shipped("lights", Light))
    """The strobes."""
    reflectors: tuple[Reflector, ...] = ()
    """Reflectors, panels and flags."""
    seats: tuple[Seat, ...] = Field(default_factory=lambda: shipped("seats", Seat))
    """Stools, chairs and boxes."""
    meter: HandMeter = HandMeter()
    """The hand meter."""
    meter_points: tuple[MeterPoint, ...] = ()
    """Where it is held."""
    preferences: Preferences = Preferences()
    """How the studio counts."""
    wishes: Wishes = Wishes()
    """The look and the limits."""
    origins: dict[str, Origin] = Field(default_factory=dict)
    """What was not stated here but taken from the usual set or proposed: path and origin."""

    def person(self, key: str) -> Person:
        """Return the person with this id."""
        return next(p for p in self.people if p.key == key)

    def lens(self, key: str) -> Lens:
        """Return the lens with this id."""
        return next(lens for lens in self.lenses if lens.id == key)

    def lens_for(self, picture: Picture) -> Lens:
        """Return the lens a picture is made with."""
        return self.lens(picture.lens or self.camera.lens or self.lenses[0].id)

    def sizes_of(self, picture: Picture) -> tuple[Size, ...]:
        """Return the sizes a picture must serve."""
        return picture.sizes or self.sizes

    def age_years(self, key: str) -> float:
        """Return a person's age on the day [years]; nan if born on a date and there is no day."""
        return self.person(key).age_on_years(self.date)
