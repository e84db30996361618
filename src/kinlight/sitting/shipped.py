"""The set kinlight assumes where neither the sitting nor the studio's usual set says anything."""

from __future__ import annotations

import functools
import tomllib
from importlib.resources import files
from typing import Any, TypeVar

from pydantic import BaseModel

Model = TypeVar("Model", bound=BaseModel)


@functools.cache
def _document() -> dict[str, Any]:
    text = files("kinlight.sitting").joinpath("data/shipped_set.toml").read_text("utf-8")
    return tomllib.loads(text)


def shipped(section: str, model: type[Model]) -> tuple[Model, ...]:
    """Return the shipped entries of a section of the document."""
    return tuple(model.model_validate(entry) for entry in _document()[section])
