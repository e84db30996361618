"""The pictures wanted, the sizes they are meant for, and who is where in each."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from kinlight.errors import Fault, QuantityError
from kinlight.quantities.lengths import METRES_PER_INCH, parse_length_m
from kinlight.sitting.base import Metres, Millimetres, Number, Seconds, Stated, Whole, YesNo
from kinlight.sitting.paper import paper_sides_m
from kinlight.sitting.place import Coordinate

Posture = Literal[
    "standing", "stool", "chair", "wheelchair", "box", "floor", "kneeling", "on heels", "hip", "lap"
]
Crop = Literal["head and shoulders", "half length", "three-quarter", "full length"]
_SIZE = re.compile(
    r"\s*(?P<a>[\d.,/ ]+?)\s*[x×]\s*(?P<b>[\d.,/ ]+?)\s*"
    r"(?P<unit>cm|mm|m|metres|meters|in|inch|inches|ft|feet|\"|″)\s*",
    re.IGNORECASE,
)
PrintSide = Annotated[Metres, Field(ge=0.03, le=4)]


class Size(Stated):
    """A size of print, as text: "20x25 cm", "8x10 in", "A4"."""

    width_m: PrintSide
    """One side of the print."""
    height_m: PrintSide
    """The other side."""
    text: str = ""
    """How it is called; left out, its sides."""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        if sides := paper_sides_m(value):
            return {"width": sides[0], "height": sides[1], "text": value.strip().upper()}
        match = _SIZE.fullmatch(value)
        if not match:
            allowed = 'such as "20x25 cm", "8x10 in" or "A4"'
            raise QuantityError(Fault("is not a size", given=repr(value), allowed=allowed))
        width, height = (parse_length_m(match[side] + match["unit"]) for side in "ab")
        return {"width": width, "height": height, "text": value.strip()}

    @property
    def name(self) -> str:
        """What the plan calls it."""
        return self.text or f"{self.width_m * 100:g}x{self.height_m * 100:g} cm"

    def inches(self) -> tuple[float, float]:
        """Return both sides in inches."""
        return self.width_m / METRES_PER_INCH, self.height_m / METRES_PER_INCH


class Spot(Stated):
    """Where one person is in a picture, and how."""

    person: str
    """A person's id."""
    posture: Posture = "standing"
    """How they are: on the hip and on the lap need `held_by`."""
    x_m: Coordinate = 0.0
    """To the camera's right of the mark: between the feet, or under the seat."""
    y_m: Coordinate = 0.0
    """From the mark toward the backdrop."""
    seat_m: Annotated[Metres, Field(ge=0, le=1.2)] = 0.0
    """Height of the seat or box over the floor."""
    held_by: str | None = None
    """The id of the one who holds them."""
    turned_deg: Annotated[Number, Field(ge=-180, le=180)] = 0.0
    """Turned from the camera, positive toward the camera's right."""


class Picture(Stated):
    """A picture wanted: who is in it and what it is meant for."""

    people: Annotated[tuple[str, ...], Field(min_length=1, max_length=60)]
    """Ids of the people in it."""
    name: Annotated[str, Field(max_length=120)] = ""
    """What the plan calls it; left out, the names."""
    must: YesNo = False
    """Must be made; the others are made if there is time."""
    value: Annotated[Number, Field(ge=0, le=1e6)] = 1.0
    """What it is expected to bring, in any unit that is the same for all."""
    sizes: tuple[Size, ...] = ()
    """Sizes it is meant for; left out, those of the sitting."""
    orientation: Literal["upright", "level", "either"] = "either"
    """The camera's: left out, whichever shows the people larger."""
    crop: Crop | None = None
    """How much of the people; left out, half length for one or two, else three-quarter."""
    lens: str | None = None
    """The id of the lens for it; left out, the sitting's."""
    focal_length_mm: Annotated[Millimetres, Field(ge=8, le=800)] | None = None
    """On a zoom; left out, the longest that holds every size."""
    seconds_between_frames_s: Annotated[Seconds, Field(gt=0, le=60)] | None = None
    """Rhythm of this picture; left out, the sitting's."""
    frames: Annotated[Whole, Field(ge=1, le=500)] | None = None
    """Frames to make; left out, as many as one good one needs."""
    places: tuple[Spot, ...] = ()
    """Who is where; left out, proposed."""
    reason: str = ""
    """Why it is proposed."""
    household: str = ""
    """For which household it is."""

    @property
    def key(self) -> str:
        """How the running order refers to it."""
        return self.name or " + ".join(self.people)

    def who(self) -> frozenset[str]:
        """Return the people in it, regardless of order."""
        return frozenset(self.people)

    def crop_of(self) -> Crop:
        """Return how much of the people it shows."""
        return self.crop or ("half length" if len(self.people) <= 2 else "three-quarter")
