"""The people of a sitting: who they are, what they can do, how they belong together."""

from __future__ import annotations

import datetime as dt
import math
import re
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from kinlight.errors import Fault, QuantityError
from kinlight.quantities.times import DAYS_PER_YEAR
from kinlight.sitting.base import Clock, Day, Metres, Minutes, Number, Stated, Years, YesNo
from kinlight.sitting.tones import Clothes, Hair, Skin

Motor = Literal["lies", "sits", "crawls", "pulls up", "new walker", "runs"]
OLDEST_YEARS = 115


class Away(Stated):
    """A time at which someone cannot be photographed: a nap or a meal."""

    start: Clock
    """When it starts."""
    minutes_min: Annotated[Minutes, Field(gt=0, le=240)]
    """How long it lasts."""


class Person(Stated):
    """One person of the sitting. A name and an age are enough."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    """The name the plan calls them by."""
    id: Annotated[str, Field(max_length=60)] = ""
    """How the rest of the document refers to them; left out, the name."""
    age_years: Annotated[Years, Field(ge=0, le=OLDEST_YEARS)] | None = None
    """Age: 4, "3 1/2", "8 months"."""
    born: Day | None = None
    """Date of birth, instead of the age."""
    stature_m: Annotated[Metres, Field(ge=0.35, le=2.4)] | None = None
    """Standing height; left out, from age by the growth tables."""
    sex: Literal["female", "male"] | None = None
    """Used for stature only, if given."""
    mass_kg: Annotated[Number, Field(ge=1.5, le=250)] | None = None
    """Weight; left out, by age. It says whom one can hold."""
    skin: Skin = "medium"
    """Reflectance, or very dark, dark, medium, light, very light."""
    hair: Hair = "dark"
    """Reflectance, or black, dark, mid, fair, white, bald."""
    clothes: Clothes = "mid"
    """Reflectance, or black, dark, mid, light, white."""
    spectacles: YesNo = False
    """Wears spectacles in the pictures."""
    stands: YesNo | None = None
    """Can stand for a picture; left out, by age and motor stage."""
    sits_on_floor: YesNo | None = None
    """Can sit on the floor and get up again; left out, yes under 70."""
    kneels: YesNo | None = None
    """Can kneel; left out, yes from 3 to under 65."""
    holds_child_min: Annotated[Minutes, Field(ge=0, le=120)] | None = None
    """How long they can hold a child; left out, by age; 0 for not at all."""
    wheelchair_seat_m: Annotated[Metres, Field(ge=0.3, le=0.7)] | None = None
    """Sits in their own wheelchair, its seat at this height."""
    motor: Motor | None = None
    """What a small child does; left out, by age."""
    patience_min: Annotated[Minutes, Field(gt=0, le=240)] | None = None
    """Good minutes a child will give, counted from arrival; left out, by age."""
    arrives: Clock | None = None
    """When they arrive; left out, at the start."""
    leaves: Clock | None = None
    """When they must go."""
    away: tuple[Away, ...] = ()
    """Naps and meals."""
    household: str | None = None
    """Who buys together; left out, from the bonds."""

    @model_validator(mode="after")
    def _one_age(self) -> Person:
        if (self.age_years is None) == (self.born is None):
            problem = "has both an age and a date of birth" if self.born else "has no age"
            raise QuantityError(
                Fault(problem, remedy='give one of age = 4 and born = "2022-05-30"')
            )
        return self

    @property
    def key(self) -> str:
        """How others refer to this person."""
        return self.id or self.name

    def age_on_years(self, date: dt.date | None) -> float:
        """Return the age at `date` [years]; nan if born on a date and none is given."""
        if self.born is not None:
            if date is None:
                return math.nan
            return (date - self.born).days / DAYS_PER_YEAR
        return self.age_years or 0.0


_BOND = re.compile(
    r"(?P<one>.+?)\s+(?:is\s+)?(?:a\s+)?(?P<kind>parent|partner|sibling)\s+of\s+(?P<other>.+)"
)


class Bond(Stated):
    """How two people belong together, as text: "Nora is parent of Ida"."""

    one: Annotated[str, Field(min_length=1)]
    """A person's id."""
    kind: Literal["parent", "partner", "sibling"]
    """What `one` is to `other`."""
    other: Annotated[str, Field(min_length=1)]
    """A person's id."""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        match = _BOND.fullmatch(value.strip())
        if not match:
            raise QuantityError(
                Fault(
                    "is not a bond",
                    given=repr(value),
                    allowed='such as "Nora is parent of Ida", partner of, sibling of',
                )
            )
        return match.groupdict()
