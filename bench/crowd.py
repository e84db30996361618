"""What the light of one picture costs with more people and more lamps, nothing kept."""

from __future__ import annotations

from typing import Any

import numpy as np

from bench.timing import least, table
from kinlight.light.engine import prepare
from kinlight.sitting.files import parse
from kinlight.stage.people import bodies_of, figures_of
from kinlight.stage.scene import Scene, forget, stage, transfer

PEOPLE, LIGHTS = (2, 4, 8, 16, 24, 40), (2, 4, 8)
MOST_BY_PEOPLE, MOST_BY_LIGHTS = 1.5, 1.0
"""Powers of people and of lamps that the time is meant to grow with at most."""
_MANY = 8
_APART_M, _ROWS_APART_M, _IN_A_ROW = 0.6, 0.7, 10
_AGES = (34, 36, 5, 8, 12, 64, 66, 29, 31, 15)


def main() -> None:
    """Print the times, and the powers of people and lamps they grow with."""
    prepare()
    counts, times = [], []
    rows: list[tuple[object, ...]] = []
    for people in PEOPLE:
        row: list[object] = [people]
        for lights in LIGHTS:
            scene = crowd(people, lights)
            taken = least(lambda scene=scene: _anew(scene), times=3)  # type: ignore[misc]
            counts.append((people, lights))
            times.append(taken.processor_s)
            row.append(f"{taken.wall_s * 1000:.0f} / {taken.processor_s * 1000:.0f} ms")
        rows.append(tuple(row))
    print("  wall / processor time")
    table(("people", *(f"{n} lamps" for n in LIGHTS)), rows)
    used, taken_s = np.array(counts, dtype=np.float64), np.array(times)
    _tell_powers("over all", used, taken_s)
    many = used[:, 0] >= _MANY
    _tell_powers(f"from {_MANY} people on", used[many], taken_s[many])


def _tell_powers(what: str, counts: np.ndarray, times_s: np.ndarray) -> None:
    """Print the powers of people and lamps whose product fits the times best."""
    terms = np.column_stack([np.ones(len(counts)), np.log(counts)])
    _, by_people, by_lights = np.linalg.lstsq(terms, np.log(times_s), rcond=None)[0]
    within = by_people <= MOST_BY_PEOPLE and by_lights <= MOST_BY_LIGHTS
    print(
        f"  {what}: time grows as people^{by_people:.2f} x lamps^{by_lights:.2f}, "
        f"{'within' if within else 'OVER'} people^{MOST_BY_PEOPLE} x lamps"
    )


def _anew(scene: Scene) -> None:
    forget()
    transfer(scene)


def crowd(people: int, lights: int) -> Scene:
    """Return a picture of so many people in rows, with so many lamps before them."""
    names = [f"person {n}" for n in range(people)]
    places = []
    for n, name in enumerate(names):
        row, column = divmod(n, _IN_A_ROW)
        wide = min(people - row * _IN_A_ROW, _IN_A_ROW)
        x = (column - (wide - 1) / 2) * _APART_M + 0.3 * (row % 2)
        y = row * _ROWS_APART_M
        places.append({"person": name, "posture": "standing", "x": x, "y": y})
    sitting = parse(
        {
            "date": "2026-05-30",
            "people": [{"name": n, "age": _AGES[k % len(_AGES)]} for k, n in enumerate(names)],
            "pictures": [{"name": "all", "people": names, "places": places, "focal_length": 35}],
            "room": {"width": 10, "length": 14, "ceiling": 3.4},
            "backdrop": {"width": 8, "distance": 3.2},
            "lenses": [{"id": "zoom", "shortest": 24, "longest": 60, "widest": 4}],
            "camera": {"place": {"x": 0, "y": -6, "z": 1.6}},
            "lights": [_lamp(n, lights) for n in range(lights)],
        }
    )
    picture = sitting.pictures[0]
    return stage(sitting, picture, figures_of(picture, bodies_of(sitting)))


def _lamp(number: int, of: int) -> dict[str, Any]:
    """Return one of several lamps on an arc before the group."""
    angle = np.radians(140.0 * (number + 0.5) / of - 70.0)
    return {
        "id": f"light {number}",
        "role": "key" if number == 0 else "fill",
        "energy": 500,
        "modifier": {"kind": "softbox", "width": 0.9},
        "place": {"x": 4.0 * np.sin(angle), "y": -3.5 * np.cos(angle), "z": 2.4},
    }
