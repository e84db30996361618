"""What fails in a plan, each thing once with the pictures it concerns, and what to try first."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib.resources import files

from kinlight.plan.model import Plan


@dataclass(frozen=True)
class Failing:
    """All that fails of one kind: lines that say what and where, and what to try first."""

    check: str
    lines: tuple[str, ...]
    remedy: str


@functools.cache
def _remedies() -> dict[str, str]:
    text = files("kinlight.sheets").joinpath("data/remedies.toml").read_text("utf-8")
    return tomllib.loads(text)


def what_fails(plan: Plan) -> tuple[Failing, ...]:
    """Return the failing checks of all pictures to make, by kind; then what must be and is not.

    Sentences that are the same are said once, with the pictures they apply to.
    """
    found: dict[str, dict[tuple[str, str], list[str]]] = {}
    for picture in plan.to_make:
        for check in (c for c in picture.checks if c.verdict == "fails"):
            alike = found.setdefault(check.name.partition(" of ")[0], {})
            alike.setdefault((check.name, check.sentence), []).append(picture.name)
    kinds = [
        Failing(kind, tuple(_line(plan, *key, where) for key, where in alike.items()), _tried(kind))
        for kind, alike in found.items()
    ]
    return (*kinds, *_left_out(plan))


def _line(plan: Plan, check: str, sentence: str, pictures: list[str]) -> str:
    count = len(plan.to_make)
    everywhere = len(pictures) == count > 1
    where = f"all {count} pictures" if everywhere else "; ".join(pictures)
    return f"{check}, in {where}: {sentence}"


def _tried(kind: str) -> str:
    return _remedies().get(kind, "")


def _left_out(plan: Plan) -> list[Failing]:
    """Return the pictures that must be made and have no place in the order."""
    why = dict(plan.order.left_out)
    lines = tuple(
        f"left out, {p.name}: {why.get(p.name, 'it has no place in the order')}; it must be made"
        for p in plan.pictures
        if p.must and not p.made
    )
    return [Failing("left out", lines, _tried("patience"))] if lines else []
