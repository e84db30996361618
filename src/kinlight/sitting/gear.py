"""Camera, lenses, reflectors, seats and the hand meter."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from kinlight.errors import Fault, QuantityError
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
    receptor: Literal["dome", "flat", "reflected"] = "dome"
    """Which receptor is on the meter; "reflected" reads a patch there instead, facing that way."""
    patch_reflectance: Share = 0.18
    """Reflectance of the patch that a reflected reading is taken of."""
    counts: Literal["flash", "ambient", "both"] = "flash"
    """What the meter is set to count: the flash, the light without it, or both together."""
    lights: tuple[str, ...] = ()
    """Ids of the lights fired; left out, all."""
    reading: MeterReading | None = None
    """What the meter showed: "f/8 + 4/10"."""
    read_on: Day | None = None
    """The day it showed that; left out, the day of the sitting."""
    set_to: dict[str, PowerSetting] = Field(default_factory=dict)
    """What lights were set to when it showed that; left out, as they are set now."""
