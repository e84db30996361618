"""People of all ages in the postures that fit them, for the tests of lay figures."""

from __future__ import annotations

import numpy as np

from kinlight.figures.growth import Sex, body
from kinlight.figures.lay import LayFigure, lay_figure
from kinlight.figures.normals import crosses, depths_m, normals

AGES = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 34.0, 76.0, 90.0)
SEXES: tuple[Sex | None, ...] = ("female", "male", None)
SEAT_M = {"stool": 0.45, "chair": 0.45, "wheelchair": 0.5, "box": 0.2}
FROM_YEARS = {
    "standing": 1.0,
    "box": 2.0,
    "stool": 1.0,
    "chair": 4.0,
    "wheelchair": 4.0,
    "floor": 2.0,
    "legs aside": 2.0,
    "baby sitting": 0.5,
    "kneeling": 1.0,
    "on heels": 1.0,
    "lying": 0.0,
}
UNTIL_YEARS = {"baby sitting": 4.0}
CASES = [
    (age, sex, posture)
    for posture, since in FROM_YEARS.items()
    for age in AGES
    for sex in SEXES
    if since <= age <= UNTIL_YEARS.get(posture, 200.0)
]
TIPS = [
    f"{finger} tip {side}"
    for finger in ("thumb", "index", "middle", "ring", "little")
    for side in ("left", "right")
]


def person(age: float, sex: Sex | None, posture: str, **asked: object) -> LayFigure:
    """Return someone of an age in a posture, without hair unless it is asked for."""
    usual = {"seat_height_m": SEAT_M.get(posture, 0.0), "hair_m": 0.0}
    return lay_figure(
        "someone",
        body(age, sex),
        posture,
        age_years=age,
        sex=sex,
        **{**usual, **asked},  # type: ignore[arg-type]
    )


def volume_m3(vertices: np.ndarray, faces: np.ndarray) -> float:
    """Return the signed volume within a surface."""
    a, b, c = np.moveaxis(vertices[faces] - vertices.mean(axis=0), 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


def tips_m(figure: LayFigure) -> np.ndarray:
    """Return the ten fingertips, (10, 3)."""
    return np.array([figure.landmark_m(name) for name in TIPS])


def inside(points: np.ndarray, figure: LayFigure) -> np.ndarray:
    """Return which points are within a figure: the surface goes around them (winding number)."""
    a, b, c = (figure.bald_m[figure.faces[:, k]] for k in range(3))
    wound = []
    for point in points:
        p, q, r = a - point, b - point, c - point
        lengths = [np.sqrt(np.einsum("ij,ij->i", v, v)) for v in (p, q, r)]
        over = np.einsum("ij,ij->i", p, crosses(q, r))
        dots = [np.einsum("ij,ij->i", v, w) for v, w in ((q, r), (r, p), (p, q))]
        under = lengths[0] * lengths[1] * lengths[2]
        under += sum(length * dot for length, dot in zip(lengths, dots, strict=True))
        wound.append(2 * np.arctan2(over, under).sum() / (4 * np.pi))
    return np.array(wound) > 0.5


def depth_within_m(points: np.ndarray, figure: LayFigure) -> float:
    """Return how deep the deepest of some points is in a figure; zero if none is inside.

    Depth is measured to the tangent plane of the nearest vertex.
    """
    within = points[inside(points, figure)]
    return max(depth_m(within, figure), 0.0) if len(within) else 0.0


def depth_m(
    points: np.ndarray, figure: LayFigure, which: np.ndarray | slice = slice(None)
) -> float:
    """Return how deep the deepest of some points is in a figure, or in some vertices of it."""
    outward = normals(figure.bald_m, figure.faces)
    return float(depths_m(points, figure.bald_m[which], outward[which]).max())
