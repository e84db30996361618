"""How many frames one picture needs until every eye is open and every face is good."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from kinlight.errors import Fault, RangeError

_S_PER_MIN = 60.0
_USUAL_CONFIDENCE = 0.95
_LEAST_CHANCE = 1e-100  # of a good frame; a photographer gives up long before


@dataclass(frozen=True)
class FramesNeeded:
    """Frames for one picture, as a range between two ways in which faces can depend on each other.

    Attributes
    ----------
    chance_low : chance that one frame is good if every face is good or not by itself [-].
    chance_high : the same if one call turns all faces at once, so that the least lively face
        decides; blinks stay everyone's own [-].
    mean_most, mean_least : frames to the first good one on average, at the low and the high chance.
    most, least : frames that hold a good one in 95 of 100 sittings, at the low and the high chance.
    planned : the same at the geometric mean of both chances; our convention, no source.
    """

    chance_low: float
    chance_high: float
    mean_most: float
    mean_least: float
    most: int
    least: int
    planned: int


def frames_needed(
    ages_years: Sequence[float],
    *,
    exposure_s: float,
    liveliness: Sequence[float | None] | None = None,
) -> FramesNeeded:
    """Return the frames a picture of people of these ages needs.

    Parameters
    ----------
    ages_years : one age for each person in the picture.
    exposure_s : the time in which a blink is caught: the flash's t0.1 where flash dominates, else
        the shutter time.
    liveliness : for each person the chance that their face is good in one frame, their eyes apart
        [-]; None for one of them, or for all, takes the usual one at that age.

    Raises
    ------
    RangeError
        If nobody is in the picture, or for an age, a time or a chance out of range.

    Notes
    -----
    A face is good with chance l, its eyes are open with chance c (`open_eyes_chance`). Faces
    independent: the product of all l and all c; turned by one call: the smallest l and all c.
    """
    lively = _liveliness(ages_years, liveliness)
    clean = math.prod(
        open_eyes_chance(blinks_per_min(age), exposure_s=exposure_s) for age in ages_years
    )
    low, high = math.prod(lively) * clean, min(lively) * clean
    return FramesNeeded(
        chance_low=low,
        chance_high=high,
        mean_most=mean_frames(low),
        mean_least=mean_frames(high),
        most=frames_for(low),
        least=frames_for(high),
        planned=frames_for(math.sqrt(low) * math.sqrt(high)),
    )


def open_eyes_chance(rate_per_min: float, *, exposure_s: float) -> float:
    """Return the chance that one person's blink does not spoil a frame [-].

    Notes
    -----
    1 - x t after [svenson2006], x blinks a second, t the time a blink lasts plus the exposure. It
    holds while x t is below one. Frames are independent of each other; a blink startled by the
    flash spoils a frame that follows within a fraction of a second, not this one.
    """
    if not (math.isfinite(exposure_s) and exposure_s >= 0):
        raise _out_of_range("is not an exposure time", "0 s or more", f"{exposure_s:g} s")
    if not (math.isfinite(rate_per_min) and rate_per_min >= 0):
        raise _out_of_range(
            "is not a rate of blinking", "0 a minute or more", f"{rate_per_min:g} a minute"
        )
    spoiled = rate_per_min / _S_PER_MIN * (_blink_s() + exposure_s)
    if spoiled >= 1:
        longest_s = _S_PER_MIN / rate_per_min - _blink_s()
        raise _out_of_range(
            "is so long an exposure that everyone blinks in it",
            f"less than {longest_s:.2g} s",
            f"{exposure_s:g} s",
        )
    return 1 - spoiled


def mean_frames(chance: float) -> float:
    """Return the frames up to and with the first good one on average, 1 / P [-] [svenson2006]."""
    _require_chance(chance)
    return 1 / chance


def frames_for(chance: float, *, confidence: float = _USUAL_CONFIDENCE) -> int:
    """Return how many frames hold a good one with the given confidence.

    Parameters
    ----------
    chance : that one frame is good [-], above 0.
    confidence : chance that one or more of the frames is good [-], below 1.

    Notes
    -----
    The smallest whole k with 1 - (1 - P)^k >= q: ln(1 - q) / ln(1 - P) rounded up. A k that
    reaches q exactly is not pushed up by the last digit of a float.
    """
    _require_chance(chance)
    if not 0 < confidence < 1:
        raise _out_of_range("is not a confidence", "above 0 and below 1", f"{confidence:g}")
    if chance == 1:
        return 1
    exact = math.log1p(-confidence) / math.log1p(-chance)
    return max(1, math.ceil(exact * (1 - 1e-12)))


def blinks_per_min(age_years: float) -> float:
    """Return the blinks a minute usual at an age, from blink.toml."""
    return float(_band("blink.toml", "rate", age_years)["per_min"])


def usual_liveliness(age_years: float) -> float:
    """Return the chance that a face of an age is good in one frame, from liveliness.toml [-]."""
    return float(_band("liveliness.toml", "chance", age_years)["good"])


def _liveliness(ages_years: Sequence[float], stated: Sequence[float | None] | None) -> list[float]:
    """Return everyone's liveliness, the stated one where there is one."""
    if not ages_years:
        raise RangeError(Fault("nobody is in the picture", remedy="name the people in it"))
    given = [None] * len(ages_years) if stated is None else list(stated)
    if len(given) != len(ages_years):
        raise _out_of_range(
            "is not one chance of a good face for each person",
            f"{len(ages_years)}, one each",
            f"a list of {len(given)}",
        )
    for chance in given:
        if chance is not None:
            _require_chance(chance)
    pairs = zip(ages_years, given, strict=True)
    return [usual_liveliness(age) if own is None else own for age, own in pairs]


@cache
def _data(filename: str) -> dict[str, Any]:
    """Return one of this package's data files."""
    text = (files("kinlight.group") / "data" / filename).read_text(encoding="utf-8")
    return tomllib.loads(text)


def _blink_s() -> float:
    """Return how long a blink lasts [s]."""
    return float(_data("blink.toml")["duration"]["seconds"])


def _band(filename: str, table: str, age_years: float) -> dict[str, Any]:
    """Return the row of a table by age into which an age falls."""
    if not (math.isfinite(age_years) and age_years >= 0):
        raise _out_of_range("is not an age", "0 years or more", f"{age_years:g} years")
    rows: list[dict[str, Any]] = _data(filename)[table]
    return [row for row in rows if row["from_years"] <= age_years + 1e-9][-1]


def _require_chance(chance: float) -> None:
    """Raise RangeError unless a chance leaves hope and is at most one."""
    if not _LEAST_CHANCE <= chance <= 1:
        raise _out_of_range(
            "is a chance with which no number of frames is enough",
            "above 0, at most 1",
            f"{chance:g}",
        )


def _out_of_range(problem: str, allowed: str, given: str) -> RangeError:
    """Return the error for a value out of range."""
    return RangeError(Fault(problem, allowed=allowed, given=given))
