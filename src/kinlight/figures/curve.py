"""A smooth curve through measures at a few ages that neither overshoots nor turns back."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

# Growth is nearly straight in the logarithm of age plus this [years]. The value is ours: of 0.05
# to 0.4 it keeps stature nearest to the WHO medians of every day between the rows we ship.
_LEAD_YEARS = 0.15


def _stretched(age_years: float) -> float:
    """Return the age on the scale on which growth is nearly straight."""
    return math.log(age_years + _LEAD_YEARS)


@dataclass(frozen=True)
class Curve:
    """A positive quantity over age; make one with `Curve.through`.

    `ages` and `logs` hold the stretched ages and log values of the points, `slopes` the slope at
    each.
    """

    ages: tuple[float, ...]
    logs: tuple[float, ...]
    slopes: tuple[float, ...]

    @classmethod
    def through(cls, points: Sequence[tuple[float, float]]) -> Curve:
        """Return the curve through two or more (age [years], value) points, ages rising.

        Notes
        -----
        Piecewise cubic in the logarithms of value and of age + 0.15 years. Slopes after
        [fritsch1984]: zero where the values turn, else a weighted harmonic mean of the secants, so
        that the curve rises or falls only where the points do. At the ends the slope of the secant.
        """
        ages = tuple(_stretched(age) for age, _ in points)
        logs = tuple(math.log(value) for _, value in points)
        return cls(ages, logs, _slopes(ages, logs))

    def at(self, age_years: float) -> float:
        """Return the value at an age; before the first and after the last point, theirs."""
        x = min(max(_stretched(age_years), self.ages[0]), self.ages[-1])
        i = min(bisect_right(self.ages, x), len(self.ages) - 1) - 1
        h = self.ages[i + 1] - self.ages[i]
        u = (x - self.ages[i]) / h
        rise = self.logs[i + 1] - self.logs[i]
        bend = (
            u
            * (1 - u)
            * ((1 - u) * (h * self.slopes[i] - rise) - u * (h * self.slopes[i + 1] - rise))
        )
        return math.exp(self.logs[i] + u * rise + bend)


def _slopes(x: tuple[float, ...], y: tuple[float, ...]) -> tuple[float, ...]:
    """Return the slope at each point."""
    steps = [b - a for a, b in pairwise(x)]
    secants = [(b - a) / h for (a, b), h in zip(pairwise(y), steps, strict=True)]
    pairs = zip(pairwise(secants), pairwise(steps), strict=True)
    inner = (_slope(*both, *widths) for both, widths in pairs)
    return (secants[0], *inner, secants[-1])


def _slope(before: float, after: float, step_before: float, step_after: float) -> float:
    """Return the slope between two secants, zero if they do not agree in sign."""
    if before * after <= 0:
        return 0.0
    w1, w2 = 2 * step_after + step_before, step_after + 2 * step_before
    return (w1 + w2) / (w1 / before + w2 / after)
