"""Readings of the hand meter as they are typed in, checked and laid out for the fit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.light.checks import require_not_negative, require_positive
from kinlight.light.fit_model import Arrivals, Problem
from kinlight.light.tables import constant

METER_SD_STOPS = constant("meter_sd_stops").value
ROOM_FACTOR_SD_STOPS = constant("room_factor_sd_stops").value


@dataclass(frozen=True, eq=False)
class Otherwise:
    """What a reading would have shown, had it been taken another way.

    The light is counted as the caller would have counted it: for the dome instead of the flat
    receptor, in lux seconds as converted with the flat receptor's constant.

    Attributes
    ----------
    direct_lxs : by each light at its estimated output, shape (lights,) [lx.s].
    bounced_lxs : by the room at each room factor, shape (factors, lights) [lx.s].
    """

    direct_lxs: Array
    bounced_lxs: Array


@dataclass(frozen=True)
class Reading:
    """One thing the hand meter showed.

    Attributes
    ----------
    label : where it was taken and what was on, in the photographer's words.
    fired : for each light whether it was on.
    observed_lxs : the light that was read [lx.s].
    sd_stops : how far the meter strays, a standard deviation [stop].
    ambient_lxs : light in it that is not flash [lx.s].
    alternatives : other ways it may have been taken by mistake, each by what goes after "was it
        taken with" ("the dome").
    number : by which it is counted where the photographer finds it; 0, by its place among those
        given [-].
    """

    label: str
    fired: tuple[bool, ...]
    observed_lxs: float
    sd_stops: float = METER_SD_STOPS
    ambient_lxs: float = 0.0
    alternatives: Mapping[str, Otherwise] = field(default_factory=dict)
    number: int = 0


def problem_of(
    readings: Sequence[Reading],
    *,
    direct_lxs: ArrayLike,
    bounced_lxs: ArrayLike,
    room_factors: ArrayLike,
    prior_stops: ArrayLike,
) -> Problem:
    """Return the readings as a problem to solve, its room sought if there is more than one factor.

    Arguments and refusals are those of `kinlight.light.fit.fit_readings`.
    """
    factors = _checked_factors(room_factors)
    direct, bounced, prior = (
        np.asarray(values, dtype=np.float64) for values in (direct_lxs, bounced_lxs, prior_stops)
    )
    _require_readings(readings, len(prior))
    require_not_negative(direct, what="the light of a lamp", unit="lx s")
    require_not_negative(bounced, what="bounced light", unit="lx s")
    require_positive(prior, what="the uncertainty of an estimate", unit="stop")
    sides = prior if prior.ndim == 2 else np.stack([prior, prior], axis=1)
    problem = Problem(
        fired=np.array([r.fired for r in readings], dtype=np.float64),
        arrivals=Arrivals.through(direct, bounced, room_factors=factors),
        ambient_lxs=np.array([r.ambient_lxs for r in readings]),
        observed=np.log2([r.observed_lxs for r in readings]),
        sd_stops=np.array([r.sd_stops for r in readings]),
        below_stops=sides[:, 0],
        above_stops=sides[:, 1],
        room_sd_stops=ROOM_FACTOR_SD_STOPS,
        room_free=len(factors) > 1,
    )
    _require_light(problem, readings)
    return problem


def _checked_factors(room_factors: ArrayLike) -> Array:
    factors = np.atleast_1d(np.asarray(room_factors, dtype=np.float64))
    require_positive(factors, what="a room factor")
    if (np.diff(factors) <= 0).any() or not factors[0] <= 1 <= factors[-1]:
        given = ", ".join(f"{value:g}" for value in factors)
        allowed = "factors that rise, with 1 within them"
        raise RangeError(Fault("cannot be the room factors", given=given, allowed=allowed))
    return factors


def _require_readings(readings: Sequence[Reading], lights: int) -> None:
    """Raise RangeError unless there are readings, and each can be one."""
    if not readings:
        raise RangeError(Fault("there is no reading", remedy="meter at least one light"))
    faults = []
    for number, reading in enumerate(readings, start=1):
        try:
            require_positive(reading.observed_lxs, what="a meter reading", unit="lx s")
            require_positive(reading.sd_stops, what="how far a meter strays", unit="stop")
            require_not_negative(reading.ambient_lxs, what="the steady light", unit="lx s")
        except RangeError as error:
            faults += [fault.at(_place(number, reading)) for fault in error.faults]
        if len(reading.fired) != lights:
            problem = (
                f"says of {len(reading.fired)} lights whether they fired, and there are {lights}"
            )
            faults.append(Fault(problem, where=_place(number, reading)))
    if faults:
        raise RangeError(faults)


def _place(number: int, reading: Reading) -> str:
    return f"reading {reading.number or number} ({reading.label})"


def otherwise_row(other: Otherwise, room_factors: ArrayLike) -> Arrivals:
    """Return the arrivals of a single reading taken another way."""
    direct = np.asarray(other.direct_lxs, dtype=np.float64)
    bounced = np.asarray(other.bounced_lxs, dtype=np.float64)
    return Arrivals.through(direct[None, :], bounced[:, None, :], room_factors=room_factors)


def shares_lxs(problem: Problem) -> Array:
    """Return what each light gives to each reading as estimated, shape (readings, lights)."""
    return problem.fired * (problem.arrivals.direct_lxs + problem.arrivals.bounced_at(0.0)[0])


def _require_light(problem: Problem, readings: Sequence[Reading]) -> None:
    """Raise RangeError for readings that no light reaches."""
    lit = shares_lxs(problem).sum(axis=1) > 0
    remedy = "check which lights were on and which way the meter faced"
    faults = [
        Fault("no light that fired arrives there", where=_place(number, reading), remedy=remedy)
        for number, (reading, arrives) in enumerate(zip(readings, lit, strict=True), start=1)
        if not arrives
    ]
    if faults:
        raise RangeError(faults)
