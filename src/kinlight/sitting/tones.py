"""Reflectances of skin, hair, clothes and surfaces: a number, or a tier with a name."""

from __future__ import annotations

import functools
import tomllib
from contextlib import suppress
from importlib.resources import files
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

from kinlight.errors import Fault, QuantityError
from kinlight.sitting.base import parse_part


@functools.cache
def tiers(kind: str) -> dict[str, float]:
    """Return the named reflectances of `kind` (skin, hair or clothes) [-]."""
    text = files("kinlight.sitting").joinpath("data/reflectances.toml").read_text("utf-8")
    rows = tomllib.loads(text)[kind]
    return {name: float(row["reflectance"]) for name, row in rows.items()}


def reflectance(tone: str | float, kind: str) -> float:
    """Return a tone as a reflectance, 0 to 1 [-]."""
    return tiers(kind)[tone] if isinstance(tone, str) else tone


def _tone(kind: str) -> tuple[BeforeValidator, WithJsonSchema]:
    def read(value: object) -> str | float:
        names = tiers(kind)
        if isinstance(value, str) and value.strip().lower() in names:
            return value.strip().lower()
        with suppress(QuantityError):
            if 0 <= (part := parse_part(value)) <= 1:
                return part
        allowed = f"a reflectance from 0 to 1, or {', '.join(names)}"
        raise QuantityError(Fault(f"is not a tone of {kind}", given=repr(value), allowed=allowed))

    return BeforeValidator(read), WithJsonSchema({"type": ["number", "string"]})


_skin, _hair, _clothes = _tone("skin"), _tone("hair"), _tone("clothes")
Skin = Annotated[str | float, _skin[0], _skin[1]]
Hair = Annotated[str | float, _hair[0], _hair[1]]
Clothes = Annotated[str | float, _clothes[0], _clothes[1]]
