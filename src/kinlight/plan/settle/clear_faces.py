"""Shifting proposed places sideways so that no head stands before another.

Heads are taken as ellipses seen from the lens line at a usual distance. People are moved in steps
that a hand can tape, those held with the one who holds them; stated places stay.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.sitting.pictures import Spot

STEP_M = 0.05
FARTHEST_M = 0.40
"""How far anybody is shifted from their place in the row: our choice."""
SEEN_FROM_M = 4.0
"""Distance of the lens for this purpose: common practice, no source."""
SHOULDERS_KEPT = 0.6
"""Share of two people's half shoulders that stays between neighbours (60 to 75 %: from memory)."""
_SAME_ROW_M = 0.15
_HIDDEN, _CROWDED, _SHIFTED = (
    10.0,
    3.0,
    0.2,
)  # what a share hidden, a metre crowded or shifted costs
_SWEEPS = 3


@dataclass(frozen=True)
class _Heads:
    """Heads of n people: centre x, z and half sizes as seen (n,), depth, shoulders, mover [m]."""

    x: Array
    z: Array
    half_width: Array
    half_height: Array
    y: Array
    shoulders: Array
    mover: tuple[int, ...]

    def cost(self, shift: Array) -> float:
        """Return what an arrangement costs; `shift` is each mover's, (n,) [m]."""
        x = self.x + shift[list(self.mover)]
        apart = np.abs(x[:, None] - x[None, :])
        across = self.half_width[:, None] + self.half_width[None, :] - apart
        along = self.half_height[:, None] + self.half_height[None, :]
        along = along - np.abs(self.z[:, None] - self.z[None, :])
        hidden = np.clip(across, 0, None) * np.clip(along, 0, None)
        size = 4 * self.half_width * self.half_height
        hidden = hidden / np.minimum(size[:, None], size[None, :])
        one_row = np.abs(self.y[:, None] - self.y[None, :]) < _SAME_ROW_M
        room = SHOULDERS_KEPT * (self.shoulders[:, None] + self.shoulders[None, :]) / 2
        crowded = np.where(one_row & ~self._together(), np.clip(room - apart, 0, None), 0.0)
        pairs = np.triu_indices(len(x), k=1)
        return float(
            _HIDDEN * hidden[pairs].sum()
            + _CROWDED * crowded[pairs].sum()
            + _SHIFTED * np.abs(shift).sum()
        )

    def _together(self) -> NDArray[np.bool_]:
        movers = np.array(self.mover)
        same: NDArray[np.bool_] = movers[:, None] == movers[None, :]
        return same


def cleared(
    spots: Sequence[Spot], figures: Sequence[Figure], *, stated: Set[str]
) -> tuple[Spot, ...]:
    """Return the places with heads clear of each other, as far as small shifts can do it.

    Parameters
    ----------
    spots, figures : of one picture, in the same order.
    stated : people whose place is not to be touched.
    """
    heads = _heads(spots, figures)
    free = [i for i, spot in enumerate(spots) if heads.mover[i] == i and spot.person not in stated]
    shift = np.zeros(len(spots))
    steps = round(FARTHEST_M / STEP_M)
    tries = [0, *(sign * k for k in range(1, steps + 1) for sign in (1, -1))]
    for _ in range(_SWEEPS):
        for i in free:
            shift[i] = min(
                (STEP_M * k for k in tries), key=lambda s: heads.cost(_with(shift, i, s))
            )
    return tuple(
        spot.model_copy(update={"x_m": round(spot.x_m + float(shift[heads.mover[i]]), 2)})
        if spot.person not in stated
        else spot
        for i, spot in enumerate(spots)
    )


def _with(shift: Array, i: int, value: float) -> Array:
    changed = shift.copy()
    changed[i] = value
    return changed


def _heads(spots: Sequence[Spot], figures: Sequence[Figure]) -> _Heads:
    at = {spot.person: i for i, spot in enumerate(spots)}
    centre = np.array([(f.face.crown_m + f.face.chin_m) / 2 for f in figures])
    height = np.array([f.face.crown_m[2] - f.face.chin_m[2] for f in figures])
    scale = SEEN_FROM_M / (SEEN_FROM_M + centre[:, 1])
    return _Heads(
        x=centre[:, 0] * scale,
        z=centre[:, 2] * scale,
        half_width=np.array([f.head_breadth_m for f in figures]) / 2 * scale,
        half_height=height / 2 * scale,
        y=centre[:, 1],
        shoulders=np.array([np.ptp(f.shoulders_m[:, 0]) for f in figures]),
        mover=tuple(at.get(s.held_by or s.person, i) for i, s in enumerate(spots)),
    )
