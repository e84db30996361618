"""Learning from the hand meter: each light's true output, and how much the room gives back.

Every exposure is the sum over the lights that fired, each in proportion to its output, so that a
few readings correct the estimates for good. Corrections are found in stops, weighed against how
sure the estimates and the meter are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from kinlight.geometry.vectors import Array, frozen
from kinlight.light.checks import require_not_negative
from kinlight.light.fit_model import Problem, Solution, solve
from kinlight.light.misfit import OPEN_STOPS, Misfit, amount_text, consistent, find_misfit
from kinlight.light.readings import (
    METER_SD_STOPS,
    Reading,
    otherwise_row,
    problem_of,
    shares_lxs,
)
from kinlight.light.tables import constant

STATED_OUTPUT_SD_STOPS = constant("stated_output_sd_stops").value
_ROOM_TOLD = 0.6  # of the prior's standard deviation; above it readings say too little of the room
_ROOM_CLEAR = 2.0  # of its own standard deviation; a change of the room within that is no change
_METERED_STOPS = 0.5  # readings that tell an output no better than that have not metered it
_TENSION = 2.0  # standard deviations of estimate and readings beyond which figures are doubted
_EDGE_STOPS = 1e-6  # nearer than that the room factor is at an end of its range


@dataclass(frozen=True)
class FittedLight:
    """One light's output now.

    Attributes
    ----------
    light : its name.
    factor : true over estimated output [-].
    correction_stops : the same in stops.
    sd_stops : standard deviation of the correction [stop].
    metered : whether the readings by themselves tell its output to half a stop or better.
    doubt : what to ask if the readings are far from the estimate; else empty.
    """

    light: str
    factor: float
    correction_stops: float
    sd_stops: float
    metered: bool
    doubt: str = ""

    def text(self) -> str:
        """Return the output against the estimate, and where it comes from."""
        origin = "metered" if self.metered else "an estimate, not metered"
        return f"{_against(self.correction_stops)}, +-{self.sd_stops:.1f} stop; {origin}"


@dataclass(frozen=True)
class FittedRoom:
    """How much the room gives back, against what its stated walls would.

    Attributes
    ----------
    factor : on the stated reflectances [-].
    sd_stops : how far log2 of the true factor may be from that, a standard deviation [stop].
    fitted : whether it clearly is another than stated; if not, the factor is 1.
    at_limit : whether it lies at an end of the factors that were computed.
    hint_stops, hint_sd_stops : what the readings hint at if that is not clear of its own standard
        deviation; None if they tell too little or one of them does not fit [stop].
    misfit : whether it was left as stated since a reading does not fit.
    """

    factor: float
    sd_stops: float
    fitted: bool
    at_limit: bool
    hint_stops: float | None = None
    hint_sd_stops: float | None = None
    misfit: bool = False

    def text(self) -> str:
        """Return what the readings say about the room, or why it was left as stated."""
        if self.misfit:
            return "the room is left as stated while a reading does not fit"
        if self.hint_stops is not None and self.hint_sd_stops is not None:
            return _hint(self.hint_stops, self.hint_sd_stops)
        if not self.fitted:
            return "the readings do not tell how much the room gives back; taken as stated"
        text = f"the walls reflect {self.factor:.2f} of what is stated"
        beyond = " or less" if self.factor < 1 else " or more"
        return f"{text}{beyond}: state them anew" if self.at_limit else f"{text}{_known(self)}"


@dataclass(frozen=True)
class FittedReading:
    """One reading beside what the fitted outputs predict.

    `residual_stops` is observed over predicted.
    """

    label: str
    predicted_lxs: float
    observed_lxs: float
    residual_stops: float


@dataclass(frozen=True, eq=False)
class Fit:
    """What the readings say, all together.

    Attributes
    ----------
    lights : one entry per light, in the order given.
    room : the room's factor.
    readings : one entry per reading, in the order given.
    chi2 : sum of the squares of residuals over their standard deviations [-].
    freedom : what chi2 is expected to be if all is well [-].
    covariance : of the lights' corrections and log2 of the room factor, shape
        (lights + 1, lights + 1) [square stops].
    misfit : the reading that does not fit the others, or None.
    scatter : what to say if the readings disagree and none of them is named; else empty.
    """

    lights: tuple[FittedLight, ...]
    room: FittedRoom
    readings: tuple[FittedReading, ...]
    chi2: float
    freedom: float
    covariance: Array
    misfit: Misfit | None
    scatter: str

    def findings(self) -> tuple[str, ...]:
        """Return what is wrong, as sentences, one thing at a time; empty if all fits."""
        if self.misfit:
            return (self.misfit.sentence(),)
        return tuple(text for text in (self.scatter, *(x.doubt for x in self.lights)) if text)


def band_sd_stops(below_stops: float, above_stops: float) -> tuple[float, float]:
    """Return how unsure an estimate with outer limits is, below and above [stop].

    Half of each limit, taken as two standard deviations, and never less than a light of stated
    figures; common practice, no source.
    """
    require_not_negative([below_stops, above_stops], what="a limit of an estimate", unit="stop")
    return (
        max(below_stops / 2, STATED_OUTPUT_SD_STOPS),
        max(above_stops / 2, STATED_OUTPUT_SD_STOPS),
    )


def fit_readings(
    readings: Sequence[Reading],
    *,
    lights: Sequence[str],
    direct_lxs: ArrayLike,
    bounced_lxs: ArrayLike,
    room_factors: ArrayLike,
    prior_stops: ArrayLike,
) -> Fit:
    """Return the outputs and the room factor that explain readings, and what does not fit.

    Parameters
    ----------
    readings : one or more.
    lights : their names.
    direct_lxs : light of each lamp at each reading at its estimated output, whether or not it
        fired, at the power it was set to, shape (readings, lights) [lx.s].
    bounced_lxs : what the room adds at each room factor, shape (factors, readings, lights) [lx.s].
    room_factors : of the stated reflectances, rising, 1 within them; 1 alone if the room is not
        to be fitted, shape (factors,) [-].
    prior_stops : standard deviation of each estimate, shape (lights,), or below and above, shape
        (lights, 2) [stop]; see `band_sd_stops`.

    Raises
    ------
    RangeError
        If there is no reading, one cannot be a reading, no light that fired arrives at one, or
        the room factors are not as said.

    Notes
    -----
    H = ambient + sum over the lights that fired of x (direct + bounced(q)). Least squares in
    stops: log2 of observed over predicted, of each x and of q, each over its standard deviation.
    The room's q is sought only if all readings fit, there are more of them than lights they touch
    and it comes out surer than 0.6 of what it was. It is kept only if it is farther from 1 than
    twice its own standard deviation; else it is 1, and how far the room may be from that is carried
    into the uncertainty of the lights: its own, or deviation and hint together. If chi2 is above
    what is expected, the readings count as less sure in that ratio.
    """
    problem = problem_of(
        readings,
        direct_lxs=direct_lxs,
        bounced_lxs=bounced_lxs,
        room_factors=room_factors,
        prior_stops=prior_stops,
    )
    alternatives = [
        {name: otherwise_row(other, room_factors) for name, other in reading.alternatives.items()}
        for reading in readings
    ]
    labels = [reading.label for reading in readings]
    alone = solve(problem.opened(OPEN_STOPS))
    misfit = find_misfit(
        problem,
        lights=lights,
        labels=labels,
        numbers=[reading.number or i for i, reading in enumerate(readings, start=1)],
        alternatives=alternatives,
    )
    solution, room = _solved(problem, misfit)
    return Fit(
        lights=_lights(solution, alone, problem, lights),
        room=room,
        readings=_readings(solution, readings),
        chi2=solution.chi2,
        freedom=solution.freedom,
        covariance=frozen(solution.covariance_by_scatter),
        misfit=misfit,
        scatter="" if misfit else _scatter(alone),
    )


def _hint(stops: float, sd_stops: float) -> str:
    """Return why a room that the readings do not clearly change was left as stated."""
    known = f"known to {max(sd_stops, METER_SD_STOPS):.1f} stop"
    if abs(round(stops, 1)) == 0:
        return f"the readings agree with the room as stated, {known}"
    walls = f"walls {amount_text(stops)} {'paler' if stops > 0 else 'darker'}"
    return f"the readings hint at {walls}, {known}: left as stated; meter the shadow side to tell"


def _known(room: FittedRoom) -> str:
    """Return a change of the room in stops, with how well it is known."""
    stops = math.log2(room.factor)
    way = "paler" if stops > 0 else "darker"
    return f", {amount_text(stops)} {way}, known to {max(room.sd_stops, METER_SD_STOPS):.1f} stop"


def _solved(problem: Problem, misfit: Misfit | None) -> tuple[Solution, FittedRoom]:
    """Return the solution, with another room than stated only if the readings clearly tell it."""
    touched = int((shares_lxs(problem) > 0).any(axis=0).sum())
    sought = problem.room_free and misfit is None and len(problem) > touched
    if sought:
        solution = solve(problem)
        if np.sqrt(solution.covariance[-1, -1]) < _ROOM_TOLD * problem.room_sd_stops:
            return _clear_room(problem, solution)
    held = problem.room_free and misfit is not None
    room = FittedRoom(1.0, problem.room_sd_stops, fitted=False, at_limit=False, misfit=held)
    return solve(replace(problem, room_free=False)), room


def _clear_room(problem: Problem, solution: Solution) -> tuple[Solution, FittedRoom]:
    """Return a solution with its room, or that of the room as stated if no other is clear."""
    stops = float(solution.unknowns[-1])
    sd = float(np.sqrt(solution.covariance_by_scatter[-1, -1]))
    if abs(stops) > _ROOM_CLEAR * sd:
        at_limit = min(abs(stops - end) for end in problem.room_range()) < _EDGE_STOPS
        return solution, FittedRoom(2**stops, sd, fitted=True, at_limit=at_limit)
    room = FittedRoom(
        1.0, math.hypot(sd, stops), fitted=False, at_limit=False, hint_stops=stops, hint_sd_stops=sd
    )
    stated = solve(replace(problem, room_free=False))
    return replace(
        stated,
        covariance=_less_room(solution.covariance, stops),
        covariance_by_scatter=_less_room(solution.covariance_by_scatter, stops),
    ), room


def _less_room(covariance: Array, stops: float) -> Array:
    """Return the covariance about unknowns that leave out so much of the room.

    As they then move with it, h = column of the room / its variance, each is off by stops x h more.
    """
    h = covariance[:, -1] / covariance[-1, -1]
    return np.asarray(covariance + stops**2 * np.outer(h, h))


def _lights(
    solution: Solution, alone: Solution, problem: Problem, lights: Sequence[str]
) -> tuple[FittedLight, ...]:
    told = 1 / np.diag(solution.covariance) - 1 / problem.prior_sd(solution.unknowns) ** 2
    sds = np.sqrt(np.diag(solution.covariance_by_scatter))
    unsure = np.sqrt(problem.prior_sd(alone.unknowns) ** 2 + np.diag(alone.covariance_by_scatter))
    return tuple(
        FittedLight(
            light=name,
            factor=float(np.exp2(solution.unknowns[k])),
            correction_stops=float(solution.unknowns[k]),
            sd_stops=float(sds[k]),
            metered=bool(told[k] >= 1 / _METERED_STOPS**2),
            doubt=_doubt(name, float(alone.unknowns[k]), float(unsure[k])),
        )
        for k, name in enumerate(lights)
    )


def _doubt(name: str, stops: float, unsure: float) -> str:
    """Return what to ask if the readings by themselves are far from an estimate."""
    if abs(stops) <= _TENSION * unsure:
        return ""
    return f"light '{name}' reads {_against(stops)}: is its modifier or power as stated?"


def _against(stops: float) -> str:
    """Return a correction in words: "1.8 stops under its estimate"."""
    if abs(round(stops, 1)) == 0:
        return "as its estimate"
    return f"{amount_text(stops)} {'under' if stops < 0 else 'over'} its estimate"


def _readings(solution: Solution, readings: Sequence[Reading]) -> tuple[FittedReading, ...]:
    return tuple(
        FittedReading(
            reading.label,
            predicted_lxs=float(reading.observed_lxs * 2**-residual),
            observed_lxs=float(reading.observed_lxs),
            residual_stops=float(residual),
        )
        for reading, residual in zip(readings, solution.residuals, strict=True)
    )


def _scatter(solution: Solution) -> str:
    """Return what to say of readings that do not agree, estimates hardly counting."""
    if consistent(solution.chi2, solution.freedom):
        return ""
    worst = amount_text(float(np.abs(solution.residuals).max()))
    return (
        f"the readings disagree by up to {worst}, more than the meter strays: "
        "check that nothing moved and no dial was turned between them"
    )
