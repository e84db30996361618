"""Blur by movement: what the flash freezes, and what other light lets through."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from kinlight.errors import Fault, RangeError, StoreError
from kinlight.optics.checks import require_positive
from kinlight.optics.tables import constant, data_text, parse_rows

GHOST_LIMIT_STOPS = constant("ghost_limit_stops")


@dataclass(frozen=True)
class Speed:
    """How fast someone's face moves [m/s]: the figure used, its range, and where it is from."""

    name: str
    speed_m_s: float
    low_m_s: float
    high_m_s: float
    status: str
    source: str


def parse_speeds(text: str) -> dict[str, Speed]:
    """Read a table of speeds (TOML) and return its rows by name.

    Raises
    ------
    StoreError
        If a row is incomplete, or its figure lies outside its own range.
    """
    rows = parse_rows(text, "speed", numbers=("speed_m_s", "low_m_s", "high_m_s"))
    speeds = {name: Speed(**row) for name, row in rows.items()}
    for s in speeds.values():
        if not s.low_m_s <= s.speed_m_s <= s.high_m_s:
            raise StoreError(
                Fault(
                    "lies outside its own range",
                    where=f"speed {s.name!r}",
                    given=f"{s.speed_m_s:g} m/s",
                    allowed=f"{s.low_m_s:g} to {s.high_m_s:g} m/s",
                )
            )
    return speeds


@cache
def speeds() -> Mapping[str, Speed]:
    """Return the shipped table of speeds by name."""
    return MappingProxyType(parse_speeds(data_text("speeds.toml")))


def motion_blur_mm(*, speed_m_s: float, time_s: float, magnification: float) -> float:
    """Return the length of a streak on the sensor, v t m [mm].

    Parameters
    ----------
    speed_m_s : across the line of sight [m/s].
    time_s : the time light acts: a flash's t0.1, or the shutter [s].
    magnification : image over object where the movement is [-].
    """
    require_positive(time_s=time_s, magnification=magnification)
    return abs(speed_m_s) * time_s * magnification * 1000


def flash_t01_s(*, t05_s: float | None, t01_s: float | None, cut_off: bool) -> float:
    """Return how long a flash stays above a tenth of its peak, t0.1 [s].

    A stated t0.1 is returned as it is.

    Parameters
    ----------
    t05_s : time above half the peak, if that is what is known [s].
    t01_s : time above a tenth of the peak, if known [s].
    cut_off : whether the flash is cut off electronically rather than left to run out.

    Raises
    ------
    RangeError
        If t0.1 is not stated and cannot be had from t0.5: no rule leads from one to the other
        where the flash is cut off.

    Notes
    -----
    Left to run out, light decays exponentially: t0.1 = t0.5 ln 10 / ln 2 = 3.32 t0.5. Both times
    are defined in [iso2827] (secondary sources).
    """
    if t01_s is not None:
        require_positive(t01_s=t01_s)
        return t01_s
    if t05_s is None or cut_off:
        why = (
            "this flash is cut off electronically, so its t0.1 does not follow from its t0.5"
            if cut_off
            else "the flash's duration is not stated"
        )
        raise RangeError(Fault(why, remedy="give t0.1 from the maker's table for this power"))
    require_positive(t05_s=t05_s)
    return t05_s * math.log(10) / math.log(2)


def flash_caught(*, clear_time_s: float, t05_s: float) -> float:
    """Return the share of a flash's light that a shutter lets through [-].

    Parameters
    ----------
    clear_time_s : from the start of the flash to the moment the shutter begins to close [s].
    t05_s : the flash's t0.5 [s].

    Notes
    -----
    1 - 2^(-T / t0.5), for a flash left to run out (exponential decay).
    """
    require_positive(clear_time_s=clear_time_s, t05_s=t05_s)
    return -math.expm1(-math.log(2) * clear_time_s / t05_s)


@dataclass(frozen=True)
class MotionBlur:
    """Streaks on the sensor [mm]: the flash's, and that of all other light during the shutter.

    `ambient_stops_under` is how far the other light lies under the flash [stop];
    `ambient_counts` whether that is near enough to show as a ghost.
    """

    flash_mm: float
    ambient_mm: float
    ambient_stops_under: float
    ambient_counts: bool

    @property
    def worst_mm(self) -> float:
        """The longest streak that counts [mm]."""
        return max(self.flash_mm, self.ambient_mm) if self.ambient_counts else self.flash_mm


def motion_blur(
    *,
    speed_m_s: float,
    t01_s: float,
    shutter_s: float,
    magnification: float,
    ambient_stops_under: float,
    ghost_limit_stops: float = GHOST_LIMIT_STOPS,
) -> MotionBlur:
    """Return the streaks that a movement leaves in a flash exposure.

    Parameters
    ----------
    speed_m_s : across the line of sight [m/s].
    t01_s : the flash's t0.1 [s].
    shutter_s : the shutter time, in which ambient and modelling light act [s].
    magnification : image over object where the movement is [-].
    ambient_stops_under : the exposure by ambient light under that by flash; inf for none [stop].
    ghost_limit_stops : so far under or more, the ambient streak is left out [stop]. Five, a
        thirtieth of the light, is common practice without a source.
    """
    if math.isnan(ambient_stops_under):
        raise RangeError(Fault("how far ambient light lies under the flash is not a number"))
    return MotionBlur(
        flash_mm=motion_blur_mm(
            speed_m_s=speed_m_s, time_s=min(t01_s, shutter_s), magnification=magnification
        ),
        ambient_mm=motion_blur_mm(
            speed_m_s=speed_m_s, time_s=shutter_s, magnification=magnification
        ),
        ambient_stops_under=ambient_stops_under,
        ambient_counts=ambient_stops_under < ghost_limit_stops,
    )
