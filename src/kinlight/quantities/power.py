"""Power settings of strobes: fractions, dial numbers, and stops below full.

A setting is kept in stops below full power: 0 is full, 2 a quarter.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from kinlight.errors import Fault, QuantityError
from kinlight.quantities.lengths import as_float, number

_SETTING = re.compile(
    r"(?P<full>full)?(?:(?P<over>1)\s*/\s*(?P<under>\d{1,5}))?\s*"
    r"(?P<more>[-+]\s*(?:\d+(?:[.,]\d+)?(?:\s*/\s*\d+)?))?\s*(?:stops?)?",
    re.IGNORECASE,
)
_HALF_A_TENTH = 0.05 + 1e-9  # a written tenth stands for anything that rounds to it


@dataclass(frozen=True)
class PowerScale:
    """How a strobe's power is set.

    Attributes
    ----------
    lowest_stops : stops below full at the lowest setting, positive [stop].
    step_stops : the step of the dial or buttons [stop].
    dial_full : the dial's number at full power; None if it shows fractions [-].
    stops_per_number : stops between two whole dial numbers [stop].
    """

    lowest_stops: float = 5.0
    step_stops: float = 1 / 3
    dial_full: float | None = None
    stops_per_number: float = 1.0

    def clamped(self, below_full_stops: float) -> float:
        """Return the nearest setting within the range, on a step, in stops below full."""
        inside = min(max(below_full_stops, 0.0), self.lowest_stops)
        steps = round(inside / self.step_stops)
        steps = min(steps, math.floor(self.lowest_stops / self.step_stops + 1e-9))
        return steps * self.step_stops

    def within(self, below_full_stops: float) -> bool:
        """Return whether the strobe can be set there."""
        slack = self._slack_stops()
        return -slack <= below_full_stops <= self.lowest_stops + slack

    def _slack_stops(self) -> float:
        """Return what is lost by showing one decimal, of a stop or of the dial's numbers [stop]."""
        return _HALF_A_TENTH * (1.0 if self.dial_full is None else self.stops_per_number)

    def text(self, below_full_stops: float) -> str:
        """Return the setting as the strobe shows it."""
        if self.dial_full is not None:
            return f"{self.dial_full - below_full_stops / self.stops_per_number:.1f}"
        return fraction_text(below_full_stops)

    def parse(self, value: object) -> float:
        """Read a setting and return stops below full.

        Raises
        ------
        QuantityError
            If it is no setting of this strobe, or beyond its range.
        """
        stops = self._dial(value) if self.dial_full is not None else parse_fraction(value)
        if not self.within(stops):
            raise QuantityError(
                Fault(
                    "is beyond this strobe's range",
                    given=repr(value),
                    allowed=f"{self.text(self.lowest_stops)} to {self.text(0)}",
                )
            )
        nearest = self.clamped(stops)  # "1/4 -0.3" on a strobe of thirds means a third
        return nearest if abs(nearest - stops) <= self._slack_stops() else max(stops, 0.0)

    def _dial(self, value: object) -> float:
        assert self.dial_full is not None  # only called for a dial
        text = f"{as_float(value):g}" if isinstance(value, int | float) else value
        if isinstance(value, bool) or not isinstance(text, str):
            text = ""
        try:
            shown = float(text.replace(",", "."))
        except ValueError:
            shown = math.nan
        if not math.isfinite(shown):
            raise QuantityError(
                Fault(
                    "is not a setting of this strobe's dial",
                    given=repr(value),
                    allowed=f"a number from {self.text(self.lowest_stops)} to {self.text(0)}",
                )
            )
        return (self.dial_full - shown) * self.stops_per_number


def parse_fraction(value: object) -> float:
    """Read "1/4", "1/4 -0.3", "1/8 + 1/3", "full", 1 or 0.25; return stops below full."""
    problem = QuantityError(
        Fault("is not a power", given=repr(value), allowed='a fraction such as "1/4" or "1/4 -0.3"')
    )
    if isinstance(value, int | float) and not isinstance(value, bool):
        if not 0 < value <= 1:
            raise problem
        return -math.log2(value)
    match = _SETTING.fullmatch(value.strip()) if isinstance(value, str) else None
    if not match or not (match["full"] or match["over"]) or (match["full"] and match["over"]):
        raise problem
    try:
        stops = math.log2(int(match["under"] or 1)) - _more_stops(match["more"])
    except (ValueError, ZeroDivisionError):  # 1/0 of full power, or 1/0 of a stop
        raise problem from None
    if not math.isfinite(stops):
        raise problem
    return stops


def _more_stops(text: str | None) -> float:
    """Return a signed part of a stop; 0.3 and 0.7 as written on strobes are tenths, not thirds."""
    if not text:
        return 0.0
    sign = -1.0 if text[0] == "-" else 1.0
    return sign * number(text[1:].replace(" ", ""))


def fraction_text(below_full_stops: float) -> str:
    """Return a power as the nearest whole fraction and what is left of a stop in tenths."""
    tenths = round(below_full_stops * 10)
    whole, rest = divmod(tenths, 10)
    if rest > 5:
        whole, rest = whole + 1, rest - 10
    base = f"1/{2**whole}"
    return base if rest == 0 else f"{base} {-rest / 10:+.1f}"


def fraction_of_full(below_full_stops: float) -> float:
    """Return the share of full energy at a setting [-]."""
    return math.exp2(-below_full_stops)
