"""What each person can do and how long a child will give, stated or by age."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from kinlight.sitting.document import Sitting
from kinlight.sitting.people import Motor, Person


@dataclass(frozen=True)
class Abilities:
    """What one person can do in a picture.

    `patience_min` is None for those whose patience does not limit the sitting; `motor` is None
    from school age.
    """

    age_years: float
    stands: bool
    sits_on_floor: bool
    kneels: bool
    holds_child_min: float
    motor: Motor | None
    patience_min: float | None
    wheelchair_seat_m: float | None

    @property
    def is_child(self) -> bool:
        """Whether they count as a child, whose good minutes are numbered."""
        return self.age_years < float(_table()["limits"]["child_until_years"])

    @property
    def walks_off(self) -> bool:
        """Whether they would not stay put when stood: new walkers, and runners under three."""
        stays_from = float(_table()["limits"]["stays_from_years"])
        return self.motor == "new walker" or (self.motor == "runs" and self.age_years < stays_from)

    @property
    def is_held(self) -> bool:
        """Whether they need an adult's arms or lap: they cannot yet stand by themselves."""
        return self.motor in ("lies", "sits", "crawls", "pulls up")


@functools.cache
def _table() -> dict[str, Any]:
    text = files("kinlight.group").joinpath("data/abilities.toml").read_text("utf-8")
    return tomllib.loads(text)


def _row(table: str, age_years: float) -> dict[str, Any]:
    rows: list[dict[str, Any]] = _table()[table]
    return [row for row in rows if row["from_years"] <= age_years + 1e-9][-1]


def abilities(person: Person, age_years: float) -> Abilities:
    """Return what a person of this age can do; what the document states goes first."""
    limits = _table()["limits"]
    small = age_years < limits["child_until_years"]
    motor = person.motor or (_row("motor", age_years)["stage"] if age_years < 6 else None)
    in_wheelchair = person.wheelchair_seat_m is not None
    on_feet = motor in (None, "runs", "new walker") and not in_wheelchair
    by_age = _row("patience", age_years)["minutes"] if small else None
    return Abilities(
        age_years=age_years,
        stands=_stated(person.stands, on_feet),
        sits_on_floor=_stated(
            person.sits_on_floor,
            age_years < limits["sits_on_floor_until_years"]
            and not in_wheelchair
            and motor != "lies",
        ),
        kneels=_stated(
            person.kneels,
            limits["kneels_from_years"] <= age_years < limits["kneels_until_years"]
            and not in_wheelchair,
        ),
        holds_child_min=(
            _row("holding", age_years)["minutes"]
            if person.holds_child_min is None
            else person.holds_child_min
        ),
        motor=motor,
        patience_min=person.patience_min if person.patience_min is not None else by_age,
        wheelchair_seat_m=person.wheelchair_seat_m,
    )


def _stated(stated: bool | None, by_age: bool) -> bool:
    return by_age if stated is None else stated


def abilities_of_all(sitting: Sitting) -> dict[str, Abilities]:
    """Return everyone's abilities by id."""
    return {p.key: abilities(p, sitting.age_years(p.key)) for p in sitting.people}
