"""Where things stand and where they point, said as people measure it."""

from __future__ import annotations

import math
import re
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from kinlight.errors import Fault, QuantityError
from kinlight.sitting.base import Metres, Number, Stated

Coordinate = Annotated[Metres, Field(ge=-30, le=30)]


class Place(Stated):
    """A point in the studio, in one of two ways of measuring it.

    Either `x`, `y` (and `z` for its height): metres from the mark, x to the camera's right, y
    toward the backdrop. Or `distance` along the floor from the mark, the `side` it lies on seen
    from the camera, the `angle` from the lens line (0 is straight before the mark on the
    camera's side, 90 is level with it, 180 straight behind), and the `height` of its centre.
    """

    x_m: Coordinate | None = None
    """To the camera's right of the mark."""
    y_m: Coordinate | None = None
    """From the mark toward the backdrop; negative is toward the camera."""
    z_m: Annotated[Metres, Field(ge=0, le=12)] | None = None
    """Height of the centre over the floor."""
    distance_m: Annotated[Metres, Field(ge=0, le=30)] | None = None
    """Along the floor from the mark to the point under the centre."""
    side: Literal["left", "right"] | None = None
    """The side of the lens line, seen from the camera."""
    angle_deg: Annotated[Number, Field(ge=0, le=180)] | None = None
    """From the lens line: 0 before the mark, 90 level with it, 180 behind it."""
    height_m: Annotated[Metres, Field(ge=0, le=12)] | None = None
    """Height of the centre over the floor."""

    @model_validator(mode="after")
    def _one_way(self) -> Place:
        by_tape = self.distance_m is not None
        by_axes = self.x_m is not None or self.y_m is not None
        if by_tape == by_axes:
            raise QuantityError(
                Fault(
                    "is not measured in one way",
                    allowed="x, y and z, or distance with side, angle and height",
                )
            )
        if by_tape and self.angle_deg not in (None, 0, 180) and self.side is None:
            raise QuantityError(Fault("has an angle but no side", remedy='add side = "left"'))
        if by_axes and not (self.side is None and self.angle_deg is None):
            raise QuantityError(Fault("mixes x and y with an angle or side", remedy="keep one"))
        return self

    def xyz_m(self) -> tuple[float, float, float]:
        """Return the point as x, y, z from the mark [m]; a height left out is 0."""
        height = self.z_m if self.z_m is not None else self.height_m
        if self.distance_m is None:
            return (self.x_m or 0.0, self.y_m or 0.0, height or 0.0)
        angle = math.radians(self.angle_deg or 0.0)
        aside = -1.0 if self.side == "left" else 1.0
        return (
            aside * self.distance_m * math.sin(angle),
            -self.distance_m * math.cos(angle),
            height or 0.0,
        )


_TURNED = re.compile(
    r"(?P<deg>\d+(?:[.,]\d+)?)\s*(?:deg|degrees|°)\s*(?:toward|towards)\s*(?:the\s+)?(?P<to>\w+)"
)


class Aim(Stated):
    """Where something points: the mark, a person, or a point; and how far it is then turned off.

    As text: "mark", a person's name, or "20 degrees toward the camera".
    """

    at: str = "mark"
    """The mark, or a person's id."""
    height_m: Annotated[Metres, Field(ge=0, le=6)] | None = None
    """Height aimed at over the mark; left out, the middle of the faces."""
    x_m: Coordinate | None = None
    """A point aimed at instead: to the camera's right of the mark."""
    y_m: Coordinate | None = None
    """A point aimed at instead: from the mark toward the backdrop."""
    turn_deg: Annotated[Number, Field(ge=0, le=180)] = 0.0
    """Then turned away from there by this angle (feathered)."""
    toward: Literal["camera", "backdrop", "left", "right", "up", "down"] = "camera"
    """The direction of that turn."""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        match = _TURNED.fullmatch(value.strip().lower())
        if match:
            return {"turn": float(match["deg"].replace(",", ".")), "toward": match["to"]}
        return {"at": value.strip()}

    @model_validator(mode="after")
    def _whole_point(self) -> Aim:
        if (self.x_m is None) != (self.y_m is None):
            raise QuantityError(Fault("gives only one of x and y", remedy="give both"))
        return self
