"""How large people are: stature, head, trunk, legs and weight from age, sex and stated height."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from kinlight.errors import Fault, RangeError
from kinlight.figures.tables import SEXES, measure, rule
from kinlight.quantities.times import age_text

Sex = Literal["female", "male"]
OLDEST_YEARS = 115.0
_LEAST_SHARE, _MOST_SHARE = (
    0.5,
    1.6,
)  # of the usual stature at an age; beyond it is a slip of the pen
_LEAST_KG, _MOST_KG = 1.5, 250.0
_HEAD = ("head_height_m", "head_breadth_m", "crown_to_eye_m", "pupil_distance_m")
_LENGTHS = ("sitting_height_m", "shoulder_breadth_m", "hip_breadth_m", "popliteal_m")


@dataclass(frozen=True)
class Body:
    """The sizes of one person, barefoot and without hair.

    Attributes
    ----------
    stature_m, stature_sd_m : standing height and its standard deviation.
    sitting_height_m : seat to crown, sitting upright.
    head_height_m : crown to chin.
    head_breadth_m : over the ears.
    crown_to_eye_m : height of the crown over the eyes.
    pupil_distance_m : between the pupils, looking far; 45 to 80 mm in adults [dodgson2004].
    shoulder_breadth_m : over the upper arms (bideltoid).
    popliteal_m : floor to the underside of the bent knee: the seat that leaves the feet flat.
    hip_breadth_m : sitting.
    mass_kg : weight.
    """

    stature_m: float
    stature_sd_m: float
    sitting_height_m: float
    head_height_m: float
    head_breadth_m: float
    crown_to_eye_m: float
    pupil_distance_m: float
    shoulder_breadth_m: float
    popliteal_m: float
    hip_breadth_m: float
    mass_kg: float

    @property
    def leg_m(self) -> float:
        """Return the part of the stature below the seat [m]."""
        return self.stature_m - self.sitting_height_m


def body(
    age_years: float,
    sex: Sex | None = None,
    stature_m: float | None = None,
    mass_kg: float | None = None,
) -> Body:
    """Return the sizes of a person of an age; what is not stated is usual at that age.

    Parameters
    ----------
    age_years : 0 (newborn) to 115.
    sex : "female" or "male"; None takes the mean of both, and counts their difference as spread.
    stature_m : standing height, if known.
    mass_kg : weight, if known.

    Raises
    ------
    RangeError
        For an age, height or weight nobody has, and for a sex that is not in the tables.

    Notes
    -----
    Up to 19 years medians of [who2006] and [who2007], sitting height after [fredriks2005], from 20
    to 45 the means of [ansur2] (soldiers; at 19 WHO has men 0.9 cm taller, women 0.3 cm), after
    that 1 cm is lost in ten years, from the trunk (from memory). Below two years WHO measured
    people lying; stature is that length less 0.7 cm. Rows marked "from memory" in measures.csv
    rest on no text seen. A stated height scales trunk and limbs in proportion, the head by its
    fourth root and the mass by its square (see rules.toml).
    """
    _require_range("an age", age_years, 0.0, OLDEST_YEARS, "years")
    usual = _usual(age_years, sex)
    if stature_m is not None:
        usual = _scaled(usual, stature_m, age_years)
    if mass_kg is not None:
        _require_range("a weight", mass_kg, _LEAST_KG, _MOST_KG, "kg")
        usual = replace(usual, mass_kg=mass_kg)
    return usual


def _require_range(what: str, value: float, least: float, most: float, unit: str) -> None:
    """Raise RangeError unless `value` is a number from `least` to `most`."""
    if not (math.isfinite(value) and least <= value <= most):
        allowed = f"{least:g} to {most:g} {unit}"
        raise RangeError(
            Fault(f"is not {what} of people", allowed=allowed, given=f"{value:g} {unit}")
        )


def _usual(age_years: float, sex: str | None) -> Body:
    """Return the usual body at an age, of one sex or the mean of both."""
    if sex is None:
        return _between(*(_of_sex(age_years, each) for each in SEXES))
    if sex not in SEXES:
        raise RangeError(
            Fault("is not in the tables", allowed="female, male or left out", given=repr(sex))
        )
    return _of_sex(age_years, sex)


def _lost_m(age_years: float) -> float:
    """Return the stature lost since 45 [m]."""
    years = min(age_years, rule("loss_until_years")) - rule("loss_from_years")
    return max(years, 0.0) * rule("loss_m_per_year")


def _of_sex(age_years: float, sex: str) -> Body:
    """Return the usual body of one sex."""

    def at(name: str) -> float:
        return measure(name, sex).at(age_years)

    lost_m, full_m = _lost_m(age_years), at("stature")
    sitting_m = full_m * at("sitting share")
    return Body(
        stature_m=full_m - lost_m,
        stature_sd_m=at("stature spread"),
        sitting_height_m=sitting_m - lost_m,
        head_height_m=at("head height"),
        head_breadth_m=at("head breadth"),
        crown_to_eye_m=at("eye drop share") * at("head circumference"),
        pupil_distance_m=at("pupil distance"),
        shoulder_breadth_m=at("shoulder breadth"),
        popliteal_m=(full_m - sitting_m) * at("popliteal share"),
        hip_breadth_m=at("hip breadth"),
        mass_kg=at("mass"),
    )


def _between(one: Body, other: Body) -> Body:
    """Return the mean of two bodies; half their difference in stature counts as spread."""
    means = {name: (value + getattr(other, name)) / 2 for name, value in vars(one).items()}
    variance = (one.stature_sd_m**2 + other.stature_sd_m**2) / 2
    apart = (one.stature_m - other.stature_m) / 2
    return Body(**{**means, "stature_sd_m": math.sqrt(variance + apart**2)})


def _scaled(usual: Body, stature_m: float, age_years: float) -> Body:
    """Return the body of someone whose height is stated."""
    share = stature_m / usual.stature_m
    if not _LEAST_SHARE <= share <= _MOST_SHARE:  # nan is refused too
        raise RangeError(
            Fault(
                f"is not a height of someone of {age_text(age_years)}",
                allowed=f"{_LEAST_SHARE * usual.stature_m:.2f} to "
                f"{_MOST_SHARE * usual.stature_m:.2f} m",
                given=f"{stature_m:g} m",
                remedy=f"leave it out to take the usual {usual.stature_m:.2f} m",
            )
        )
    head = share ** rule("head_follows_stature")
    sizes = {name: getattr(usual, name) * head for name in _HEAD}
    sizes |= {name: getattr(usual, name) * share for name in _LENGTHS}
    return Body(
        stature_m=stature_m,
        stature_sd_m=rule("stated_stature_sd_m"),
        mass_kg=usual.mass_kg * share ** rule("mass_follows_stature"),
        **sizes,
    )
