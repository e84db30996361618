"""Camera, lenses, strobes and their modifiers, reflectors, seats and the hand meter."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from kinlight.errors import Fault, QuantityError
from kinlight.quantities.power import PowerScale, parse_fraction
from kinlight.sitting.base import (
    Day,
    FNumber,
    Id,
    MeterReading,
    Metres,
    Millimetres,
    Number,
    Part,
    PowerSetting,
    Seconds,
    Stated,
    Whole,
    YesNo,
)
from kinlight.sitting.place import Aim, Place

Share = Annotated[Part, Field(ge=0, le=1)]
Span = Annotated[Metres, Field(ge=0.05, le=3.5)]
_USUAL_WIDTH_M = 0.9
"""Width of a softbox, octagon or umbrella where none is stated: common practice, no source."""
_BARE_WIDTH_M = 0.18
"""Width of a bare head with its small dish: common practice, no source."""
FlashTime = Annotated[Seconds, Field(gt=1e-5, le=0.05)]


class Lens(Stated):
    """A lens, fixed or zoom."""

    id: Id
    """How the document refers to it."""
    shortest_mm: Annotated[Millimetres, Field(ge=8, le=800)]
    """Focal length; of a zoom, the shortest."""
    longest_mm: Annotated[Millimetres, Field(ge=8, le=800)] | None = None
    """Longest focal length of a zoom; left out for a fixed lens."""
    widest: Annotated[FNumber, Field(ge=0.7, le=32)] = 2.8
    """Widest aperture."""
    smallest: Annotated[FNumber, Field(ge=2, le=90)] = 22
    """Smallest aperture."""
    nearest_focus_m: Annotated[Metres, Field(ge=0.05, le=5)] = 0.9
    """Nearest distance it focuses at, from the film plane."""
    pupil_ratio: Annotated[Number, Field(ge=0.2, le=5)] = 1.0
    """Exit pupil over entrance pupil."""
    holds_focus: YesNo = False
    """Keeps its focus when zoomed."""

    @model_validator(mode="after")
    def _order(self) -> Lens:
        if self.longest_mm is not None and self.longest_mm < self.shortest_mm:
            raise QuantityError(Fault("has its longest focal length below its shortest"))
        if self.smallest < self.widest:
            raise QuantityError(
                Fault(f"has a widest aperture, f/{self.widest:g}, smaller than f/{self.smallest:g}")
            )
        return self

    def range_mm(self) -> tuple[float, float]:
        """Return the shortest and longest focal length [mm]."""
        return self.shortest_mm, self.longest_mm or self.shortest_mm

    @property
    def is_zoom(self) -> bool:
        """Whether its focal length can be changed."""
        return self.longest_mm is not None and self.longest_mm > self.shortest_mm


class Camera(Stated):
    """The camera on its tripod."""

    sensor_width_mm: Annotated[Millimetres, Field(ge=4, le=130)] = 36.0
    """Long side of the sensor."""
    sensor_height_mm: Annotated[Millimetres, Field(ge=3, le=110)] = 24.0
    """Short side of the sensor."""
    pixels_wide: Annotated[Whole, Field(ge=500, le=50_000)] = 6000
    """Pixels along the long side."""
    pixels_high: Annotated[Whole, Field(ge=400, le=40_000)] = 4000
    """Pixels along the short side."""
    iso: Annotated[Number, Field(ge=25, le=102_400)] = 100
    """ISO speed."""
    f_number: Annotated[FNumber, Field(ge=0.7, le=90)] | None = None
    """Working aperture; left out, proposed."""
    shutter_s: Annotated[Seconds, Field(ge=1e-4, le=30)] = 1 / 125
    """Shutter time."""
    sync_s: Annotated[Seconds, Field(ge=1 / 2000, le=1 / 15)] = 1 / 200
    """Shortest shutter time at which the whole frame gets the flash."""
    lens: str | None = None
    """The id of the lens to use; left out, proposed."""
    place: Place | None = None
    """Tripod place and height of the lens; left out, proposed."""
    measured_from: Literal["lens", "film plane"] = "lens"
    """What distances to the camera are taped to: the lens (its front principal plane, near the
    aperture) or the film plane mark on the body."""
    aim_height_m: Annotated[Metres, Field(ge=0, le=3)] | None = None
    """Height over the mark the lens axis points at; left out, proposed."""
    focus_on: str | None = None
    """Whose near eye the focus is locked on; left out, proposed."""
    focus_in: str | None = None
    """The picture in which it is locked; left out, proposed."""
    turned_on: Literal["collar", "plate", "head"] = "plate"
    """How the camera is turned upright: a lens collar, an L-shaped plate, or the tripod head."""
    axis_over_pivot_mm: Annotated[Millimetres, Field(ge=0, le=400)] = 120.0
    """Lens axis over the head's pivot: how far tipping the head moves the lens."""
    plate_shift_mm: Annotated[Millimetres, Field(ge=-150, le=150)] = 25.0
    """How much higher the lens is when re-clamped upright on the plate."""

    @model_validator(mode="after")
    def _long_side(self) -> Camera:
        if self.sensor_height_mm > self.sensor_width_mm or self.pixels_high > self.pixels_wide:
            raise QuantityError(
                Fault("has its sensor on end", remedy="give the long side as width")
            )
        return self


class PowerDial(Stated):
    """How a strobe's power is set and shown."""

    shows: Literal["fractions", "numbers"] = "fractions"
    """Fractions of full power, or numbers on a dial."""
    lowest: PowerSetting = "1/32"
    """The lowest setting, as the strobe shows it."""
    full: Annotated[Number, Field(gt=0, le=20)] = 10.0
    """The dial's number at full power."""
    stops_per_number: Annotated[Number, Field(gt=0, le=5)] = 1.0
    """Stops between two whole numbers of the dial."""
    step_stops: Annotated[Number, Field(gt=0.01, le=1)] = 0.1
    """The smallest step."""

    @model_validator(mode="after")
    def _readable(self) -> PowerDial:
        self.scale()
        return self

    def scale(self) -> PowerScale:
        """Return the scale that reads and writes settings."""
        step = 1 / 3 if abs(self.step_stops - 0.33) < 0.01 else self.step_stops
        if self.shows == "fractions":
            return PowerScale(lowest_stops=parse_fraction(self.lowest), step_stops=step)
        unbounded = PowerScale(
            lowest_stops=20,
            step_stops=step,
            dial_full=self.full,
            stops_per_number=self.stops_per_number,
        )
        return PowerScale(
            lowest_stops=unbounded.parse(self.lowest),
            step_stops=step,
            dial_full=self.full,
            stops_per_number=self.stops_per_number,
        )


class Modifier(Stated):
    """What is in front of the lamp."""

    kind: Literal["softbox", "octagon", "shoot-through umbrella", "reflecting umbrella", "bare"] = (
        "softbox"
    )
    """A softbox is square, rectangle or strip by its width and height."""
    width_m: Span | None = None
    """Width of the front; of an octagon or umbrella, its diameter. Left out, 0.9; bare, 0.18."""
    height_m: Span | None = None
    """Height of the front; left out, as the width."""
    transmission: Annotated[Part, Field(gt=0, le=1)] | None = None
    """Share of the light that leaves the front; left out, typical of its kind."""
    profile: Literal["flat", "hot"] = "flat"
    """Evenly bright over the front, or brighter in its middle."""
    grid_cell_m: Annotated[Metres, Field(ge=0.001, le=0.3)] | None = None
    """Width of a cell of the grid."""
    grid_depth_m: Annotated[Metres, Field(ge=0.001, le=0.3)] | None = None
    """Depth of the grid."""

    @model_validator(mode="after")
    def _whole_grid(self) -> Modifier:
        if (self.grid_cell_m is None) != (self.grid_depth_m is None):
            raise QuantityError(Fault("has half a grid", remedy="give grid_cell and grid_depth"))
        return self

    def front_m(self) -> tuple[float, float]:
        """Return the width and height of the front [m]; left out, those usual for its kind."""
        width = self.width_m
        if width is None:
            width = _BARE_WIDTH_M if self.kind == "bare" else _USUAL_WIDTH_M
        return width, self.height_m if self.height_m is not None else width


class Light(Stated):
    """A strobe with its modifier, in its place."""

    id: Id
    """How the document refers to it."""
    role: Literal["key", "fill", "hair", "backdrop"]
    """What it is for."""
    place: Place
    """Where the middle of its front is."""
    aim: Aim = Aim()
    """Where it points."""
    modifier: Modifier = Modifier()
    """What is in front of it."""
    power: PowerSetting | None = None
    """The setting, as the strobe shows it; left out, proposed."""
    dial: PowerDial = PowerDial()
    """How its power is set."""
    energy_j: Annotated[Number, Field(ge=5, le=6400)] = 400.0
    """Energy at full power, watt-seconds."""
    efficacy: Annotated[Number, Field(ge=5, le=60)] | None = None
    """Lumen seconds per watt-second; left out, a typical strobe's."""
    guide_number_m: Annotated[Metres, Field(ge=2, le=300)] | None = None
    """Guide number at ISO 100 of a bare head, as the maker gives it, instead of the energy."""
    recycle_s: Annotated[Seconds, Field(gt=0, le=30)] = 1.5
    """Recycle time at full power."""
    recycle_lowest_s: Annotated[Seconds, Field(gt=0, le=30)] = 0.2
    """Recycle time at the lowest power."""
    t01_s: FlashTime | None = None
    """t0.1 at full power, as the maker gives it."""
    t05_s: FlashTime | None = None
    """t0.5 at full power, if the maker gives that."""
    t01_lowest_s: FlashTime | None = None
    """t0.1 at the lowest power; left out, as at full."""
    cut_off: YesNo = False
    """Its flash is cut off electronically, so that t0.1 does not follow from t0.5."""
    modelling_lm: Annotated[Number, Field(ge=0, le=50_000)] = 1500.0
    """Light of its modelling lamp."""
    modelling_on: YesNo = False
    """Whether the modelling lamp stays on during the frame."""

    @model_validator(mode="after")
    def _flash_time(self) -> Light:
        if self.cut_off and self.t05_s is not None and self.t01_s is None:
            raise QuantityError(
                Fault("is cut off electronically and gives only t0.5", remedy="give t01 as well")
            )
        return self

    @model_validator(mode="after")
    def _bare_guide_number(self) -> Light:
        if self.guide_number_m is not None and self.modifier.kind != "bare":
            raise QuantityError(
                Fault(
                    "has a guide number and something in front of the lamp",
                    remedy='give energy instead, or modifier = { kind = "bare" }',
                )
            )
        return self

    def setting_stops(self) -> float | None:
        """Return the stated power in stops below full; None if it is blank."""
        return None if self.power is None else self.dial.scale().parse(self.power)


class Reflector(Stated):
    """A reflector, panel or flag."""

    id: Id
    """How the document refers to it."""
    place: Place
    """Where its middle is."""
    aim: Aim = Aim()
    """Where its face points."""
    width_m: Span = 1.0
    """Width of the sheet."""
    height_m: Span = 1.0
    """Height of the sheet."""
    sheets: Annotated[
        tuple[Literal["white", "silver", "black", "translucent"], ...], Field(min_length=1)
    ] = ("white",)
    """The sheets from the front backward."""


class Seat(Stated):
    """Something to sit or stand on, of which there are so many."""

    id: Id
    """How the document refers to it."""
    kind: Literal["stool", "chair", "box"] = "stool"
    """Boxes can be stood on and stacked."""
    height_m: Annotated[Metres, Field(ge=0.02, le=1.2)] = 0.45
    """Height of the seat."""
    width_m: Annotated[Metres, Field(ge=0.1, le=2)] = 0.4
    """Width of the seat."""
    depth_m: Annotated[Metres, Field(ge=0.1, le=2)] = 0.4
    """Depth of the seat."""
    count: Annotated[Whole, Field(ge=1, le=50)] = 1
    """How many there are."""


class HandMeter(Stated):
    """The hand meter's calibration."""

    c_flat: Annotated[Number, Field(ge=200, le=450)] = 250.0
    """Constant C with the flat receptor."""
    c_dome: Annotated[Number, Field(ge=250, le=600)] = 330.0
    """Constant C with the dome."""


class MeterPoint(Stated):
    """A place where the hand meter is held, and what it showed."""

    id: Id
    """What the plan calls it."""
    place: Place
    """Where the receptor is."""
    facing: str = "camera"
    """What the receptor faces: the camera, the backdrop, up, or a light's id."""
    receptor: Literal["dome", "flat"] = "dome"
    """Which receptor is on the meter."""
    lights: tuple[str, ...] = ()
    """Ids of the lights fired; left out, all."""
    reading: MeterReading | None = None
    """What the meter showed: "f/8 + 4/10"."""
    read_on: Day | None = None
    """The day it showed that."""
