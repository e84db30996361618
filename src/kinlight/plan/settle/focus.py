"""Proposing the aperture and whose near eye the focus is locked on.

The focus stays on one plane of the room for every picture. The aperture is the widest marked one
at which everybody may sway a hand's breadth and stay sharp; failing that, the one that leaves most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import Fault, RangeError
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.optics.sharpness import third_stops
from kinlight.plan.focusing import Seen, leeway_m, seen_of
from kinlight.quantities.stops import exact_f_number, f_number_text
from kinlight.sitting.document import Sitting
from kinlight.stage.view import near_eye_m

SWAY_M = 0.10
"""A hand's breadth of sway to allow for: common practice, no source."""
LEAST_M = 0.05
"""Leeway below which a picture is worth making shorter and cropping: common practice, no source."""
WIDEST = 5.6
"""Wider apertures are not proposed for family portraits: common practice, no source."""


@dataclass(frozen=True)
class Focus:
    """Where to focus. `tight` are the pictures that leave less than `LEAST_M`.

    `leeway_m` is the least that any eye has to an end of the sharp depth, over all pictures.
    """

    person: str
    picture: str
    f_number: float
    leeway_m: float
    tight: tuple[str, ...]


@dataclass(frozen=True)
class _Eye:
    """A near eye that could be focused on, and how much its picture matters."""

    person: str
    picture: str
    point_m: Array
    weight: float


def best_focus(sitting: Sitting, figures: Mapping[str, Sequence[Figure]]) -> Focus:
    """Return the aperture and the eye to focus on; stated ones are kept."""
    seen, eyes = seen_of(sitting, figures), _eyes(sitting, figures)
    best: Focus | None = None
    for f_number in _apertures(sitting):
        found = _best_eye(seen, eyes, f_number)
        if best is None or found.leeway_m > best.leeway_m + 1e-6:
            best = found
        if found.leeway_m >= SWAY_M:
            break
    if best is None:
        raise RangeError(Fault("the lenses used have no aperture in common"))
    return best


def _best_eye(seen: Sequence[Seen], eyes: Sequence[_Eye], f_number: float) -> Focus:
    """Return the eye that leaves most; within a centimetre, one of the pictures that matter."""
    tried = [(leeway_m(seen, eye.point_m, f_number=f_number), eye) for eye in eyes]
    most = max(leeway for leeway, _ in tried)
    near_best = [(leeway, eye) for leeway, eye in tried if leeway >= most - 0.01]
    leeway, eye = max(near_best, key=lambda pair: (pair[1].weight, pair[0]))
    tight = tuple(s.key for s in seen if s.leeway_m(eye.point_m, f_number=f_number) < LEAST_M)
    return Focus(eye.person, eye.picture, f_number, leeway, tight)


def _eyes(sitting: Sitting, figures: Mapping[str, Sequence[Figure]]) -> list[_Eye]:
    """Return who could be focused on, the most important pictures first."""
    camera = np.array(sitting.camera.place.xyz_m()) if sitting.camera.place else np.zeros(3)
    on, where = sitting.camera.focus_on, sitting.camera.focus_in
    pictures = sorted(sitting.pictures, key=lambda p: (not p.must, -p.value))
    found: dict[tuple[int, str], _Eye] = {}
    for rank, picture in enumerate(pictures):
        for f in figures[picture.key]:
            if on in (None, f.person) and where in (None, picture.key):
                point = near_eye_m(f, camera)
                # the same person in the same plane, to half a centimetre, need not be tried twice
                plane = (round(float(point[1]) * 200), f.person)
                found.setdefault(plane, _Eye(f.person, picture.key, point, -rank))
    if not found:
        raise RangeError(Fault(f"{on} is not in {where}", where="camera, focus_in"))
    return list(found.values())


def _apertures(sitting: Sitting) -> list[float]:
    if sitting.camera.f_number is not None:
        return [exact_f_number(sitting.camera.f_number)]
    used = [sitting.lens_for(p) for p in sitting.pictures]
    widest = max(exact_f_number(lens.widest) for lens in used)
    smallest = min(exact_f_number(lens.smallest) for lens in used)
    floor = exact_f_number(WIDEST)
    return third_stops(widest=max(widest, min(floor, smallest)), narrowest=smallest)


def engraved(f_number: float) -> float:
    """Return the engraving of an exact f-number, as the camera shows it."""
    return float(f_number_text(f_number).removeprefix("f/"))
