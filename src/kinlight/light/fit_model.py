"""What readings should show at given outputs, and the outputs that come nearest to them.

Unknowns are kept in stops: first how far each light is from its estimate, last how far the room's
bounce factor is from 1.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array

_ROUNDS = 200
_LONGEST = 4.0  # stops an unknown may move in one round; keeps powers of two in range
_SETTLED = 1e-13  # share by which the sum of squares could still fall
_STUCK = 1e12  # so damped, a step is too short to lower the sum by more than rounding
_LEAST_BEND = 1e-9  # against the readings' and estimates' own; a direction is never called straight


@dataclass(frozen=True, eq=False)
class Arrivals:
    """The light of each lamp at each reading, direct and by the room, at the estimated outputs.

    Attributes
    ----------
    direct_lxs : shape (readings, lights) [lx.s].
    knots : logarithms to base 2 of the room factors, rising, shape (factors,).
    logs, slopes : log2 of the bounced light and its slope at each knot, shape
        (factors, readings, lights); 0 where nothing bounces.
    bounces : whether there is bounced light, shape (readings, lights).
    """

    direct_lxs: Array
    knots: Array
    logs: Array
    slopes: Array
    bounces: NDArray[np.bool_]

    @classmethod
    def through(
        cls, direct_lxs: ArrayLike, bounced_lxs: ArrayLike, *, room_factors: ArrayLike
    ) -> Self:
        """Return arrivals through samples of the bounced light at a few room factors.

        Notes
        -----
        Piecewise cubic in the logarithms of light and factor, which are nearly in proportion.
        Slopes after [fritsch1984]: zero where the values turn, else a weighted harmonic mean of
        the secants, so that more reflectance never means less light. Secants' slopes at the ends.
        """
        direct, bounced, factors = (
            np.asarray(values, dtype=np.float64)
            for values in (direct_lxs, bounced_lxs, room_factors)
        )
        bounced = np.broadcast_to(bounced, (*factors.shape, *direct.shape))
        bounces = bounced.min(axis=0) > 0
        if (bounced.max(axis=0)[~bounces] > 0).any():
            remedy = "compute it along the same paths for every factor"
            raise RangeError(Fault("the room bounces light at some factors only", remedy=remedy))
        knots, logs = np.log2(factors), np.log2(np.where(bounces, bounced, 1.0))
        return cls(direct, knots, logs, _slopes(knots, logs), bounces)

    def rows(self, which: NDArray[np.intp]) -> Self:
        """Return some of the readings."""
        return replace(
            self,
            direct_lxs=self.direct_lxs[which],
            logs=self.logs[:, which],
            slopes=self.slopes[:, which],
            bounces=self.bounces[which],
        )

    def bounced_at(self, room_stops: float) -> tuple[Array, Array]:
        """Return the bounced light at a room factor [lx.s], and how its log2 grows with that's."""
        log, slope = self._log_at(room_stops)
        return np.exp2(log) * self.bounces, slope

    def _log_at(self, room_stops: float) -> tuple[Array, Array]:
        """Return log2 of the bounced light and its slope, between two knots or at the only one."""
        if len(self.knots) == 1:
            return self.logs[0], self.slopes[0]
        i = int(np.clip(np.searchsorted(self.knots, room_stops) - 1, 0, len(self.knots) - 2))
        h = self.knots[i + 1] - self.knots[i]
        u = (room_stops - self.knots[i]) / h
        rise = self.logs[i + 1] - self.logs[i]
        p, q = h * self.slopes[i] - rise, h * self.slopes[i + 1] - rise
        log = self.logs[i] + u * rise + u * (1 - u) * ((1 - u) * p - u * q)
        slope = (rise + (1 - u) * (1 - 3 * u) * p + u * (3 * u - 2) * q) / h
        return log, slope


def _slopes(x: Array, y: Array) -> Array:
    """Return the slope at each knot along the first axis."""
    if len(x) == 1:
        return np.zeros_like(y)
    steps = np.diff(x).reshape(-1, *[1] * (y.ndim - 1))
    secants = np.diff(y, axis=0) / steps
    before, after = secants[:-1], secants[1:]
    w1, w2 = 2 * steps[1:] + steps[:-1], steps[1:] + 2 * steps[:-1]
    alike = before * after > 0
    b, a = np.where(alike, before, 1.0), np.where(alike, after, 1.0)
    inner = np.where(alike, (w1 + w2) / (w1 / b + w2 / a), 0.0)
    return np.concatenate([secants[:1], inner, secants[-1:]])


@dataclass(frozen=True, eq=False)
class Problem:
    """Readings to be explained; arrays as in `fit_readings`, `observed` as log2 of lux seconds.

    Attributes
    ----------
    fired : 1 where a light was on, else 0, shape (readings, lights) [-].
    arrivals : what each light gives at each reading.
    ambient_lxs : light that is not flash, shape (readings,) [lx.s].
    observed : log2 of the readings, shape (readings,).
    sd_stops : of the readings, shape (readings,) [stop].
    below_stops, above_stops : standard deviations of the estimates, shape (lights,) [stop].
    room_sd_stops : standard deviation of log2 of the room factor [stop].
    room_free : whether the room factor is sought; else it is 1.
    """

    fired: Array
    arrivals: Arrivals
    ambient_lxs: Array
    observed: Array
    sd_stops: Array
    below_stops: Array
    above_stops: Array
    room_sd_stops: float
    room_free: bool = True

    def __len__(self) -> int:
        return len(self.observed)

    def only(self, readings: Sequence[int]) -> Problem:
        """Return the problem with some of the readings."""
        kept = np.array(readings, dtype=np.intp)
        return replace(
            self,
            fired=self.fired[kept],
            arrivals=self.arrivals.rows(kept),
            ambient_lxs=self.ambient_lxs[kept],
            observed=self.observed[kept],
            sd_stops=self.sd_stops[kept],
        )

    def opened(self, sd_stops: float) -> Problem:
        """Return the problem with estimates no surer than that, so that readings alone speak."""
        below, above = (np.maximum(sd, sd_stops) for sd in (self.below_stops, self.above_stops))
        return replace(self, below_stops=below, above_stops=above)

    def room_range(self) -> tuple[float, float]:
        """Return the range in which the room's unknown is sought [stop]."""
        if not self.room_free:
            return 0.0, 0.0
        return float(self.arrivals.knots[0]), float(self.arrivals.knots[-1])

    def prior_sd(self, unknowns: Array) -> Array:
        """Return the standard deviation of each unknown on the side where it is [stop]."""
        sides = np.where(unknowns[:-1] < 0, self.below_stops, self.above_stops)
        return np.append(sides, self.room_sd_stops)


@dataclass(frozen=True, eq=False)
class Prediction:
    """What readings should show.

    H = ambient + sum of x_k (direct + bounced), over the lights that fired, x_k = 2^unknown.

    Attributes
    ----------
    logs : log2 of the light, shape (readings,).
    shares : of each light in it, shape (readings, lights) [-].
    room_shares : bounced part of each share, times its growth with the room, same shape [-].
    room_growth : those times their growth again, added up, shape (readings,) [-].
    """

    logs: Array
    shares: Array
    room_shares: Array
    room_growth: Array

    @property
    def slopes(self) -> Array:
        """The derivatives to each unknown, shape (readings, unknowns) [-]."""
        return np.column_stack([self.shares, self.room_shares.sum(axis=1)])

    def curvature(self, weights: Array) -> Array:
        """Return the weighted sum over readings of the second derivatives to the unknowns.

        The growth of bounced light with the room is taken as constant.
        """
        slopes = self.slopes
        bent = -slopes.T @ (slopes * weights[:, None])
        bent[:-1, :-1] += np.diag(weights @ self.shares)
        bent[:-1, -1] += weights @ self.room_shares
        bent[-1, :-1] += weights @ self.room_shares
        bent[-1, -1] += weights @ self.room_growth
        return np.asarray(bent * math.log(2))


def predicted(unknowns: Array, problem: Problem) -> Prediction:
    """Return what the readings of a problem should show."""
    bounced, growth = problem.arrivals.bounced_at(float(unknowns[-1]))
    on = problem.fired * np.exp2(unknowns[:-1])
    light = on * (problem.arrivals.direct_lxs + bounced)
    total = problem.ambient_lxs + light.sum(axis=1)
    room = on * bounced * growth / total[:, None]
    return Prediction(np.log2(total), light / total[:, None], room, (room * growth).sum(axis=1))


@dataclass(frozen=True, eq=False)
class Solution:
    """The unknowns that come nearest to readings and estimates.

    Attributes
    ----------
    unknowns : shape (lights + 1,) [stop].
    residuals : observed over predicted, shape (readings,) [stop].
    chi2 : sum of the squares of residuals over their standard deviations.
    freedom : what chi2 is expected to be: readings, less what was spent on the unknowns.
    cost : chi2, and the same for unknowns against their estimates.
    covariance : of the unknowns, readings being as sure as stated [square stops].
    covariance_by_scatter : the same, the readings' variance raised by chi2 / freedom if above 1.
    surprise : minus twice the log probability of the readings, but for a constant of the lights
        and readings there are.
    """

    unknowns: Array
    residuals: Array
    chi2: float
    freedom: float
    cost: float
    covariance: Array
    covariance_by_scatter: Array
    surprise: float


def solve(problem: Problem, *, start: Array | None = None) -> Solution:
    """Return the solution of a problem, sought from the estimates if no start is given.

    Raises
    ------
    RangeError
        If the search does not settle.

    Notes
    -----
    The least of the sum of (log2(observed / predicted) / sd)^2 over the readings and
    (unknown / sd)^2 over the unknowns, by damped steps [marquardt1963]. The second derivatives
    are whole, not those of Gauss and Newton alone, which swing to and fro where readings contradict
    each other; a direction in which they are negative counts as if positive. The room's unknown
    is held at an end of its range while it pulls outward.
    """
    p = np.zeros(len(problem.below_stops) + 1) if start is None else start
    low, high = np.full(p.shape, -np.inf), np.full(p.shape, np.inf)
    low[-1], high[-1] = problem.room_range()
    p = np.clip(p, low, high)
    damping, cost = 1e-4, _cost(problem, p)
    for _ in range(_ROUNDS):
        pull, scale, bent = _bend(problem, p)
        held = (low == high) | ((p <= low) & (pull > 0)) | ((p >= high) & (pull < 0))
        bends, axes = np.linalg.eigh(bent[np.ix_(~held, ~held)])
        along, bends = axes.T @ (pull / scale)[~held], np.maximum(np.abs(bends), _LEAST_BEND)
        if along**2 @ (1 / bends) < _SETTLED * (1 + cost) or damping > _STUCK:
            return _solution(problem, p)
        step = np.zeros_like(p)
        step[~held] = -axes @ (along / (bends + damping)) / scale[~held]
        trial = np.clip(p + np.clip(step, -_LONGEST, _LONGEST), low, high)
        reached = _cost(problem, trial)
        if reached < cost:
            p, cost, damping = trial, reached, damping / 10
        else:
            damping *= 10
    raise RangeError(
        Fault("the readings cannot be fitted", remedy="check them, or take them again")
    )


def _cost(problem: Problem, p: Array) -> float:
    """Return the sum of squares that is to be least."""
    misses = (predicted(p, problem).logs - problem.observed) / problem.sd_stops
    strains = p / problem.prior_sd(p)
    return float(misses @ misses + strains @ strains)


def _bend(problem: Problem, p: Array) -> tuple[Array, Array, Array]:
    """Return half the cost's gradient, a scale for each unknown, and its scaled half Hessian."""
    shown, known = predicted(p, problem), 1 / problem.prior_sd(p) ** 2
    weights = (shown.logs - problem.observed) / problem.sd_stops**2
    slopes = shown.slopes
    normal = slopes.T @ (slopes / problem.sd_stops[:, None] ** 2) + np.diag(known)
    scale = np.sqrt(np.diag(normal))
    bent = (normal + shown.curvature(weights)) / np.outer(scale, scale)
    return slopes.T @ weights + known * p, scale, bent


def _solution(problem: Problem, p: Array) -> Solution:
    shown, prior, count = predicted(p, problem), problem.prior_sd(p), len(problem)
    residuals, j = problem.observed - shown.logs, shown.slopes / problem.sd_stops[:, None]
    chi2 = float(((residuals / problem.sd_stops) ** 2).sum())
    cost = chi2 + float(((p / prior) ** 2).sum())
    sought = slice(None) if problem.room_free else slice(-1)
    told, known = (j.T @ j)[sought, sought], np.diag(1 / prior[sought] ** 2)
    freedom = count - float(np.trace(np.linalg.solve(told + known, told)))
    scatter = max(1.0, chi2 / max(freedom, 1.0))
    shrunk = np.linalg.slogdet(told + known)[1] + 2 * np.log(prior[sought]).sum()
    return Solution(
        unknowns=p,
        residuals=residuals,
        chi2=chi2,
        freedom=freedom,
        cost=cost,
        covariance=_covariance(j, prior, 1.0, problem.room_free),
        covariance_by_scatter=_covariance(j, prior, scatter, problem.room_free),
        surprise=float(cost + shrunk + 2 * np.log(problem.sd_stops).sum()),
    )


def _covariance(j: Array, prior: Array, scatter: float, room_free: bool) -> Array:
    """Return the covariance of the unknowns; a room that is not sought stays as unsure as it is.

    Held at 1 with variance v, it moves the lights by g per stop: v g g' is added to theirs.
    """
    normal = j.T @ j / scatter + np.diag(1 / prior**2)
    if room_free:
        return np.asarray(np.linalg.inv(normal))
    lights = np.linalg.inv(normal[:-1, :-1])
    g = np.append(-lights @ normal[:-1, -1], 1.0)
    covariance = prior[-1] ** 2 * np.outer(g, g)
    covariance[:-1, :-1] += lights
    return np.asarray(covariance)
