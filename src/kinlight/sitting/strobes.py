"""Strobes: the lamp, what is in front of it, how it is set, and what it stands on."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from kinlight.errors import Fault, QuantityError
from kinlight.quantities.power import PowerScale, parse_fraction
from kinlight.sitting.base import (
    Day,
    Id,
    Metres,
    Number,
    Part,
    PowerSetting,
    Seconds,
    Stated,
    Whole,
    YesNo,
)
from kinlight.sitting.gear import Span
from kinlight.sitting.place import Aim, Place

ModifierKind = Literal[
    "softbox",
    "octagon",
    "shoot-through umbrella",
    "reflecting umbrella",
    "beauty dish",
    "dish",
    "bare",
]
_USUAL_WIDTH_M = {"bare": 0.18, "dish": 0.18, "beauty dish": 0.55}
"""Widths where none is stated, others 0.9: common practice, no source."""
FlashTime = Annotated[Seconds, Field(gt=1e-5, le=0.05)]
LossStops = Annotated[Number, Field(ge=0, le=5)]


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

    kind: ModifierKind = "softbox"
    """A softbox is square, rectangle or strip by its width and height; a dish is the metal
    reflector of a bare head."""
    width_m: Span | None = None
    """Width of the front; of what is round, its diameter. Left out, what is usual for the kind."""
    height_m: Span | None = None
    """Height of the front; left out, as the width."""
    depth_m: Span | None = None
    """How far it and the lamp's head reach back behind the front; left out, the plan says how much
    room they have under the ceiling."""
    transmission: Annotated[Part, Field(gt=0, le=1)] | None = None
    """Share of the light that leaves the front; left out, typical of its kind."""
    inner_loss_stops: LossStops | None = None
    """What its inner sheet costs, instead of `transmission`; 0 if it is taken out."""
    outer_loss_stops: LossStops | None = None
    """What its front sheet costs, instead of `transmission`."""
    profile: Literal["flat", "hot"] = "flat"
    """Evenly bright over the front, or brighter in its middle."""
    edge_stops: LossStops | None = None
    """Of a hot front, how far its rim is darker than its middle; left out, typical of its kind."""
    beam_deg: Annotated[Number, Field(ge=10, le=160)] | None = None
    """Full angle between the directions in which half its strength is left; left out, typical."""
    grid_cells: Literal["square", "honeycomb"] = "square"
    """Shape of the grid's cells."""
    grid_cell_m: Annotated[Metres, Field(ge=0.001, le=0.3)] | None = None
    """Width of a cell of the grid."""
    grid_depth_m: Annotated[Metres, Field(ge=0.001, le=0.3)] | None = None
    """Depth of the grid."""

    @model_validator(mode="after")
    def _whole_grid(self) -> Modifier:
        if (self.grid_cell_m is None) != (self.grid_depth_m is None):
            raise QuantityError(Fault("has half a grid", remedy="give grid_cell and grid_depth"))
        return self

    @model_validator(mode="after")
    def _one_loss(self) -> Modifier:
        sheets = self.inner_loss_stops is not None or self.outer_loss_stops is not None
        if sheets and self.transmission is not None:
            raise QuantityError(
                Fault("says twice what is lost in it", remedy="keep transmission, or its sheets")
            )
        if self.edge_stops is not None and self.profile == "flat":
            raise QuantityError(
                Fault("is flat and has a darker edge", remedy='say profile = "hot"')
            )
        return self

    def front_m(self) -> tuple[float, float]:
        """Return the width and height of the front [m]; left out, those usual for its kind."""
        width = _USUAL_WIDTH_M.get(self.kind, 0.9) if self.width_m is None else self.width_m
        return width, self.height_m if self.height_m is not None else width


class LightStand(Stated):
    """The stand of a light and what it carries, for how steadily it stands.

    Which way a boom points is not asked: its column stands where you put it, so far from below the
    head.
    """

    legs: Annotated[Whole, Field(ge=3, le=5)] = 3
    """How many legs it has, spread evenly."""
    radius_m: Annotated[Metres, Field(ge=0.1, le=1.5)] = 0.5
    """From its column to where a foot stands."""
    mass_kg: Annotated[Number, Field(ge=0.3, le=60)] = 3.0
    """Mass of the stand itself, without bags and boom."""
    head_kg: Annotated[Number, Field(ge=0.1, le=30)] = 3.0
    """Mass of the head with its modifier and what else hangs there."""
    boom_m: Annotated[Metres, Field(ge=0, le=4)] = 0.0
    """Along the floor from the column to below the head; 0 without a boom."""
    boom_tube_kg: Annotated[Number, Field(ge=0, le=20)] = 0.0
    """Mass of the boom's tube, taken as even from the head to the end of its short arm."""
    short_arm_m: Annotated[Metres, Field(ge=0, le=2)] = 0.0
    """Along the floor from the column to below the counterweight; 0 without a short arm."""
    counterweight_kg: Annotated[Number, Field(ge=0, le=40)] = 0.0
    """Mass of the counterweight on the short arm; the plan says what it has to be."""
    bag_kg: Annotated[Number, Field(ge=0, le=60)] = 0.0
    """Sandbags at the foot of the column; the plan says what they have to be."""
    leg_under: YesNo = False
    """Whether one leg is set to point below the load; else it may point anywhere."""

    @model_validator(mode="after")
    def _whole_boom(self) -> LightStand:
        if self.boom_m == 0 and (self.boom_tube_kg > 0 or self.short_arm_m > 0):
            remedy = "give boom, from the column to below the head"
            raise QuantityError(Fault("has parts of a boom and no boom", remedy=remedy))
        if self.counterweight_kg > 0 and self.short_arm_m == 0:
            remedy = "give short_arm, from the column to the counterweight"
            raise QuantityError(
                Fault("has a counterweight and no arm to hang it on", remedy=remedy)
            )
        return self


class Fitted(Stated):
    """What hand meter readings have shown of a light in its modifier."""

    stops: Annotated[Number, Field(ge=-6, le=6)]
    """How much more it gives than its figures say."""
    sd_stops: Annotated[Number, Field(ge=0, le=3)]
    """How well that is known, one standard deviation."""
    on: Day | None = None
    """The day of the readings."""


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
    stand: LightStand | None = None
    """Its stand or boom; left out, how steadily it stands is not reckoned."""
    fitted: Fitted | None = None
    """What readings have shown of it; left out, its light is an estimate."""

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
