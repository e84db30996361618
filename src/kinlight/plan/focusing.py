"""How much depth a focus plane leaves over all pictures, and what the ideal plane would leave."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.optics.framing import CameraView
from kinlight.plan.framed import framing
from kinlight.plan.sharp import coc_of, limits_of
from kinlight.sitting.document import Sitting
from kinlight.stage.view import aim_point_m, view_of

_PLANES = 41
_NONE_SHARP_M = -1.0


@dataclass(frozen=True)
class Seen:
    """One picture as focusing sees it: view, circle of confusion, and eyes of shape (n, 3)."""

    key: str
    view: CameraView
    coc_mm: float
    eyes_m: Array

    def leeway_m(self, point_m: Array, *, f_number: float) -> float:
        """Return the least distance of an eye to an end of the sharp depth [m].

        Negative where an eye is not sharp; `point_m` lies in the plane of focus.
        """
        view = self.view.focused_on(point_m)
        limits = limits_of(view, f_number=f_number, coc_mm=self.coc_mm)
        if limits.empty:
            return _NONE_SHARP_M
        depths = view.depths_m(self.eyes_m)
        return float(min(depths.min() - limits.near_m, limits.far_m - depths.max()))


def seen_of(sitting: Sitting, figures: Mapping[str, Sequence[Figure]]) -> tuple[Seen, ...]:
    """Return every picture of a sitting whose camera and lenses are settled."""
    return tuple(_seen(sitting, p.key, figures[p.key]) for p in sitting.pictures)


def _seen(sitting: Sitting, key: str, figures: Sequence[Figure]) -> Seen:
    picture = next(p for p in sitting.pictures if p.key == key)
    view = view_of(sitting, picture, focus_on_m=aim_point_m(sitting))
    coc, _ = coc_of(sitting, framing(sitting, picture, figures, view))
    return Seen(key, view, coc, np.concatenate([f.face.eyes_m() for f in figures]))


def leeway_m(seen: Sequence[Seen], point_m: Array, *, f_number: float) -> float:
    """Return the least leeway over all pictures with the focus in the plane of a point [m]."""
    return min(s.leeway_m(point_m, f_number=f_number) for s in seen)


def ideal_leeway_m(seen: Sequence[Seen], *, f_number: float) -> float:
    """Return the leeway with the focus in the plane that leaves most, where nobody's eye need be.

    Planes are tried between the nearest and the farthest eye, a fortieth of that apart.
    """
    eyes = np.concatenate([s.eyes_m for s in seen])
    planes = np.linspace(eyes[:, 1].min(), eyes[:, 1].max(), _PLANES)
    height = float(eyes[:, 2].mean())
    return max(leeway_m(seen, np.array([0.0, y, height]), f_number=f_number) for y in planes)
