"""What checking costs with more people, more pictures, more lights."""

from __future__ import annotations

from typing import Any

from bench.timing import seconds, table
from kinlight.plan.check import check
from kinlight.plan.settle.settle import settle
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse

_AGES = (34, 36, 5, 8, 3, 64, 66, 29, 31, 2, 40, 12)
_ROOM = {"width": 7, "length": 11, "ceiling": 3.2}
_LENSES = [{"id": "zoom", "shortest": 24, "longest": 60, "widest": 4, "nearest_focus": 0.5}]


def main() -> None:
    """Print how the time grows, one thing growing at a time."""
    rows = [_row(people, 6, 2) for people in (2, 4, 8, 12)]
    rows += [_row(4, pictures, 2) for pictures in (1, 3, 6, 12)]
    rows += [_row(4, 6, lights) for lights in (1, 2, 4, 8)]
    table(("people", "pictures", "lights", "check", "a picture"), rows)


def _row(people: int, pictures: int, lights: int) -> tuple[object, ...]:
    settled = settle(sitting(people, pictures, lights))
    taken_s = seconds(lambda: check(settled), times=3)
    each = f"{taken_s / pictures * 1000:.1f} ms"
    return people, pictures, lights, f"{taken_s * 1000:.0f} ms", each


def sitting(people: int, pictures: int, lights: int) -> Sitting:
    """Return a sitting in which everybody is in every picture."""
    names = [f"person {n}" for n in range(people)]
    ages = [_AGES[n % len(_AGES)] for n in range(people)]
    return parse(
        {
            "date": "2026-05-30",
            "people": [{"name": n, "age": a} for n, a in zip(names, ages, strict=True)],
            "pictures": [{"name": f"picture {n}", "people": names} for n in range(pictures)],
            "room": _ROOM,
            "backdrop": {"width": 5},
            "lenses": _LENSES,
            "lights": [_light(n, lights) for n in range(lights)],
        }
    )


def _light(number: int, of: int) -> dict[str, Any]:
    """Return one of several lights, spread before the mark to both sides."""
    angle = 40.0 if number == 0 else 100.0 * number / of
    return {
        "id": f"light {number}",
        "role": "key" if number == 0 else "fill",
        "energy": 500,
        "modifier": {"kind": "softbox", "width": 0.9},
        "place": {
            "distance": 2.5,
            "side": "left" if number % 2 else "right",
            "angle": angle,
            "height": 2.1,
        },
    }
