"""Proposing the aperture and whose near eye the focus is locked on.

The focus stays on one plane of the room for every picture. The aperture is the widest marked one
at which everybody may sway a hand's breadth and stay sharp; failing that, the one that leaves most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import RangeError
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.optics.framing import CameraView
from kinlight.optics.sharpness import third_stops
from kinlight.plan.framed import framing
from kinlight.plan.sharp import coc_of, limits_of
from kinlight.quantities.stops import exact_f_number, f_number_text
from kinlight.sitting.document import Sitting
from kinlight.stage.view import aim_point_m, near_eye_m, view_of

SWAY_M = 0.10
"""A hand's breadth of sway to allow for: common practice, no source."""
_IDEAL_STEPS = 41


@dataclass(frozen=True)
class Focus:
    """Where to focus, and what it costs.

    `leeway_m` is the least that any eye has to either end of the sharp depth, over all pictures;
    `ideal_leeway_m` the same with the focus in the ideal plane, where nobody's eye is.
    """

    person: str
    picture: str
    f_number: float
    leeway_m: float
    ideal_leeway_m: float


@dataclass(frozen=True)
class _Seen:
    """One picture's view, circle of confusion and eyes, for trying focus planes."""

    view: CameraView
    coc_mm: float
    eyes_m: Array

    def leeway_m(self, point_m: Array, f_number: float) -> float:
        view = self.view.focused_on(point_m)
        limits = limits_of(view, f_number=f_number, coc_mm=self.coc_mm)
        if limits.empty:
            return -1.0
        depths = view.depths_m(self.eyes_m)
        return float(min(depths.min() - limits.near_m, limits.far_m - depths.max()))


def best_focus(sitting: Sitting, figures: Mapping[str, Sequence[Figure]]) -> Focus:
    """Return the aperture and the eye to focus on; stated ones are kept."""
    seen = [_seen(sitting, p.key, figures[p.key]) for p in sitting.pictures]
    candidates = _candidates(sitting, figures)
    best: tuple[float, Focus] | None = None
    for f_number in _apertures(sitting):
        leeway, person, picture = max(
            (min(s.leeway_m(point, f_number) for s in seen), person, picture)
            for person, picture, point in candidates
        )
        found = Focus(person, picture, f_number, leeway, _ideal_m(seen, f_number))
        if best is None or leeway > best[0] + 1e-6:
            best = (leeway, found)
        if leeway >= SWAY_M:
            return found
    if best is None:
        raise AssertionError("a lens always has an aperture")
    return best[1]


def _seen(sitting: Sitting, key: str, figures: Sequence[Figure]) -> _Seen:
    picture = next(p for p in sitting.pictures if p.key == key)
    view = view_of(sitting, picture, focus_on_m=aim_point_m(sitting))
    coc, _ = coc_of(sitting, framing(sitting, picture, figures, view))
    return _Seen(view, coc, np.concatenate([f.face.eyes_m() for f in figures]))


def _candidates(
    sitting: Sitting, figures: Mapping[str, Sequence[Figure]]
) -> list[tuple[str, str, Array]]:
    """Return who could be focused on: person, picture and the near eye."""
    camera = np.array(sitting.camera.place.xyz_m()) if sitting.camera.place else np.zeros(3)
    on, where = sitting.camera.focus_on, sitting.camera.focus_in
    found = [
        (f.person, key, near_eye_m(f, camera))
        for key, fs in figures.items()
        for f in fs
        if on in (None, f.person) and where in (None, key)
    ]
    if not found:
        raise RangeError([])
    unlike: dict[tuple[int, str], tuple[str, str, Array]] = {}
    for person, key, eye in found:  # the same person in the same plane need not be tried twice
        unlike.setdefault((round(float(eye[1]) * 200), person), (person, key, eye))
    return list(unlike.values())


def _apertures(sitting: Sitting) -> list[float]:
    if sitting.camera.f_number is not None:
        return [exact_f_number(sitting.camera.f_number)]
    used = [sitting.lens_for(p) for p in sitting.pictures]
    widest = max(exact_f_number(lens.widest) for lens in used)
    smallest = min(exact_f_number(lens.smallest) for lens in used)
    floor = exact_f_number(5.6)  # wider, portraits of groups leave nothing to chance: practice
    return third_stops(widest=max(widest, min(floor, smallest)), narrowest=smallest)


def _ideal_m(seen: Sequence[_Seen], f_number: float) -> float:
    """Return the leeway with the focus plane where it is best, by trying planes."""
    eyes = np.concatenate([s.eyes_m for s in seen])
    planes = np.linspace(eyes[:, 1].min(), eyes[:, 1].max(), _IDEAL_STEPS)
    height = float(eyes[:, 2].mean())
    return max(min(s.leeway_m(np.array([0.0, y, height]), f_number) for s in seen) for y in planes)


def engraved(f_number: float) -> float:
    """Return the engraving of an exact f-number, as the camera shows it."""
    return float(f_number_text(f_number).removeprefix("f/"))
