"""Which reading does not fit the others, and the plainest thing that would explain it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.fit_model import Arrivals, Problem, Solution, predicted, solve

_SIGMAS = 3.0  # a reading nearer than that to what the others say is not accused
_LEAST_STOPS = 0.3  # nor is anything said of readings that are off by less
_FALSE_ALARMS = 0.01  # accusations among sets in which nothing is wrong, at most
_CONSISTENT = 0.99  # share of sound sets that are called consistent
OPEN_STOPS = 3.0  # how unsure estimates are held to be while readings are set against each other
_KNOWN_STOPS = 1.0  # surer than that, what others lead to expect comes from them, not the estimates
_EXPLAINED_STOPS = 0.2  # how near an explanation must come
_TOLD_APART = 6.0  # surprise between two suspects from which one is clearly the likelier (20 to 1)
_ERROR_RANGE_STOPS = 8.0  # an unexplained error lies anywhere in a range so wide
_SLIPS = {"one stop": (1.0, 2.0), "a third of a stop": (1 / 3, 4.0)}  # size, how much less likely
_Called = tuple[int, str]  # a reading's number and label


@dataclass(frozen=True)
class Misfit:
    """A reading that does not fit the others.

    Attributes
    ----------
    reading : its number from 0.
    label : what it is called.
    off_stops : how far over what the others lead to expect; negative is under [stop].
    off_sigmas : the same in standard deviations, of that expectation and the reading together [-].
    question : what to ask; empty if nothing simple explains it.
    instead : readings that may as well be the wrong one, by their numbers from 0.
    more : whether another reading is off, too.
    numbers : by which each of all the readings is counted where the photographer finds it.
    """

    reading: int
    label: str
    off_stops: float
    off_sigmas: float
    question: str
    instead: tuple[int, ...]
    more: bool
    numbers: tuple[int, ...]

    def sentence(self) -> str:
        """Return what to tell the photographer."""
        side = "over" if self.off_stops > 0 else "under"
        amount = amount_text(self.off_stops)
        number = self.numbers[self.reading]
        text = f"reading {number} ({self.label}) is {amount} {side} what the others say"
        if self.instead:
            others = " or ".join(f"reading {self.numbers[i]}" for i in self.instead)
            text += f", or {others} is wrong"
        if self.more:
            text += ", and it is not the only one that is off"
        return f"{text}: {self.question or 'check it or take it again'}"


def amount_text(stops: float) -> str:
    """Return a size in stops without its sign: "0.9 stop", "1.8 stops"."""
    tenths = f"{abs(stops):.1f}"
    return f"{tenths} stop" + ("" if float(tenths) <= 1 else "s")


@dataclass(frozen=True)
class _Suspect:
    """A reading against what the others say, and how likely it is that it is the wrong one."""

    reading: int
    off_stops: float
    off_sigmas: float
    accused: bool
    rest_cost: float
    votes: int  # readings among the others beyond what they need for themselves
    question: str
    surprise: float


def find_misfit(
    problem: Problem,
    *,
    lights: Sequence[str],
    labels: Sequence[str],
    numbers: Sequence[int],
    alternatives: Sequence[Mapping[str, Arrivals]],
) -> Misfit | None:
    """Return the reading that fits worst if it clearly does not fit, else None.

    Parameters
    ----------
    problem : the readings, with the room sought.
    lights : their names.
    labels : what each reading is called.
    numbers : by which each is counted where the photographer finds it.
    alternatives : for each reading, what the lights would have given it had it been taken
        otherwise; each by the name of that way ("the dome").

    Notes
    -----
    Each reading is left out in turn and predicted from the others alone, the estimates being
    held as unsure. It is suspected if it is more than 3 standard deviations away (more for many
    readings, so that one sound set in a hundred is accused) and the others agree without it.
    Standard deviations are counted by how much the sum of squares falls without the reading,
    since light in stops is far from linear where lamps add up. Of several suspects the likeliest
    is named, each with the explanation under which its own value is the least surprising; none
    if all that may be wrong is 0.3 stop or less off. If no one reading can be blamed, two are
    tried, against which as many others must vote.
    """
    full = solve(problem.opened(OPEN_STOPS))
    if full.cost < _SIGMAS**2:  # leaving one out cannot gain more than that
        return None
    search = _Search(problem, lights, alternatives, full.unknowns)
    called = list(zip(numbers, labels, strict=True))
    everyone = list(range(len(problem)))
    suspects = search.suspects(everyone)
    accused = [s for s in suspects if s.accused]
    if accused:
        return _misfit(accused, called, more=False)
    if consistent(full.chi2, full.freedom):
        return None
    worst = min(suspects, key=lambda s: s.rest_cost)
    everyone.remove(worst.reading)
    accused = [s for s in search.suspects(everyone) if s.accused]
    if not accused:
        return None
    everyone.remove(min(accused, key=lambda s: s.surprise).reading)
    return _worse_of_two(search, everyone, called)


def _worse_of_two(search: _Search, rest: Sequence[int], called: Sequence[_Called]) -> Misfit | None:
    """Return the worse of the two readings that are not in the rest, if the rest outvotes them."""
    pair = [i for i in range(len(called)) if i not in rest]
    off = [s for s in (search.suspect(i, rest) for i in pair) if s.accused and s.votes >= 2]
    if not off:
        return None
    return _misfit([max(off, key=lambda s: abs(s.off_stops))], called, more=len(off) > 1)


def consistent(chi2: float, freedom: float) -> bool:
    """Return whether a sum of squares is no larger than chance makes it, 99 times in 100.

    Notes
    -----
    Percentage point of the chi-squared distribution after [wilson1931], for less than one degree
    of freedom that of one.
    """
    n = max(freedom, 1.0)
    z = NormalDist().inv_cdf(_CONSISTENT)
    return chi2 <= n * (1 - 2 / (9 * n) + z * math.sqrt(2 / (9 * n))) ** 3


def _misfit(accused: Sequence[_Suspect], called: Sequence[_Called], *, more: bool) -> Misfit | None:
    """Return the likeliest of the accused, if it or one nearly as likely is far off."""
    first, *rest = sorted(accused, key=lambda s: s.surprise)
    instead = [s for s in rest if s.surprise < first.surprise + _TOLD_APART]
    if max(abs(s.off_stops) for s in (first, *instead)) <= _LEAST_STOPS:
        return None
    return Misfit(
        first.reading,
        called[first.reading][1],
        off_stops=first.off_stops,
        off_sigmas=first.off_sigmas,
        question=first.question,
        instead=tuple(s.reading for s in instead),
        more=more,
        numbers=tuple(number for number, _ in called),
    )


@dataclass(frozen=True, eq=False)
class _Search:
    problem: Problem
    lights: Sequence[str]
    alternatives: Sequence[Mapping[str, Arrivals]]
    start: Array

    def suspects(self, among: Sequence[int]) -> list[_Suspect]:
        """Return each of some readings against the others of them."""
        return [self.suspect(i, [j for j in among if j != i]) for i in among]

    def suspect(self, reading: int, others: Sequence[int]) -> _Suspect:
        """Return a reading against some others."""
        one, rest = self.problem.only([reading]), self.problem.only(others)
        free = self._solved(rest)
        off, sd = _off(one, free)
        gain = self._solved(self.problem.only([*others, reading])).cost - free.cost
        sigmas = math.copysign(math.sqrt(max(gain, 0.0)), off)
        limit = max(_SIGMAS, NormalDist().inv_cdf(1 - _FALSE_ALARMS / 2 / (len(others) + 1)))
        known, far = sd < _KNOWN_STOPS, abs(sigmas) > limit
        accused = known and far and consistent(free.chi2, free.freedom)
        question, surprise = "", math.inf
        if accused:
            bound = solve(rest, start=self.start)
            question, own = self._explained(reading, one, bound)
            surprise = bound.surprise + own
        votes = round(free.freedom)
        return _Suspect(reading, off, sigmas, accused, free.cost, votes, question, surprise)

    def _solved(self, readings: Problem) -> Solution:
        """Return what readings say by themselves."""
        return solve(readings.opened(OPEN_STOPS), start=self.start)

    def _explained(self, reading: int, one: Problem, rest: Solution) -> tuple[str, float]:
        """Return the best question about a reading and how surprising it then is."""
        best = ("", 2 * math.log(_ERROR_RANGE_STOPS))
        for question, told, handicap in self._explanations(reading, one):
            off, sd = _off(told, rest)
            surprise = (off / sd) ** 2 + math.log(2 * math.pi * sd**2) + handicap
            if abs(off) <= _EXPLAINED_STOPS and surprise < best[1]:
                best = (question, surprise)
        return best

    def _explanations(self, reading: int, one: Problem) -> Iterator[tuple[str, Problem, float]]:
        """Yield what may have happened: a question, the reading as it then was, a handicap."""
        for k, name in enumerate(self.lights):
            fired = one.fired.copy()
            fired[0, k] = 1 - fired[0, k]
            asked = f"was light '{name}' off?" if fired[0, k] else f"did light '{name}' fire?"
            yield asked, replace(one, fired=fired), 0.0
        for name, arrivals in self.alternatives[reading].items():
            yield f"was it taken with {name}?", replace(one, arrivals=arrivals), 0.0
        for size, (stops, handicap) in _SLIPS.items():
            for side, sign in (("high", -1), ("low", 1)):
                right = replace(one, observed=one.observed + sign * stops)
                yield f"was it read or written {size} too {side}?", right, handicap


def _off(one: Problem, rest: Solution) -> tuple[float, float]:
    """Return how far a reading is over what others lead to expect, and the sd of that [stop]."""
    bounced, _ = one.arrivals.bounced_at(float(rest.unknowns[-1]))
    if not (one.ambient_lxs + (one.fired * (one.arrivals.direct_lxs + bounced)).sum()) > 0:
        return math.inf, 1.0
    shown = predicted(rest.unknowns, one)
    variance = one.sd_stops[0] ** 2 + float(
        np.squeeze(shown.slopes @ rest.covariance @ shown.slopes.T)
    )
    return float(one.observed[0] - shown.logs[0]), math.sqrt(variance)
