"""How soon a strobe can fire again, and how short its flash is, at the power it is set to."""

from __future__ import annotations

import math
from collections.abc import Iterable

from kinlight.errors import Fault, RangeError
from kinlight.light.checks import require_not_negative, require_positive
from kinlight.light.tables import constant
from kinlight.quantities.power import PowerScale, fraction_of_full

FLASH_GAP_S = constant("flash_gap_s").value


def recycle_s(
    below_full_stops: float, *, full_s: float, lowest_s: float, scale: PowerScale
) -> float:
    """Return the recycle time at a power setting [s].

    Parameters
    ----------
    below_full_stops : the setting, stops below full [stop].
    full_s, lowest_s : the maker's recycle times at full and at lowest power [s].
    scale : the strobe's range.

    Raises
    ------
    RangeError
        If the setting is beyond the strobe's range or a time is not above zero.

    Notes
    -----
    A charger of even power refills in proportion to the energy used, so the time runs linearly in
    the share of full energy between the maker's two figures. An assumption, from memory; a maker's
    own table wins.
    """
    _require_inside(below_full_stops, scale)
    _require_times(full_s, lowest_s, what="a recycle time")
    least = fraction_of_full(scale.lowest_stops)
    if least >= 1:
        return full_s
    used = (fraction_of_full(below_full_stops) - least) / (1 - least)
    return lowest_s + (full_s - lowest_s) * min(max(used, 0.0), 1.0)


def flash_time_s(
    below_full_stops: float, *, full_s: float, lowest_s: float, scale: PowerScale
) -> float:
    """Return the flash's duration at a power setting [s], t0.1 from t0.1 or t0.5 from t0.5.

    Parameters
    ----------
    below_full_stops : the setting, stops below full [stop].
    full_s, lowest_s : the maker's duration at full and at lowest power, both of one kind [s].
    scale : the strobe's range.

    Raises
    ------
    RangeError
        If the setting is beyond the strobe's range or a time is not above zero.

    Notes
    -----
    The logarithm of the time runs linearly in stops between the two figures: equal steps of power
    change the time by equal ratios. An assumption, from memory; strobes that are cut off
    electronically get shorter and others longer as power falls, and a maker's own table wins.
    """
    _require_inside(below_full_stops, scale)
    _require_times(full_s, lowest_s, what="a flash duration")
    if scale.lowest_stops <= 0:
        return full_s
    share = min(max(below_full_stops / scale.lowest_stops, 0.0), 1.0)
    return full_s * math.exp(share * math.log(lowest_s / full_s))


def fastest_rhythm_s(recycle_times_s: Iterable[float], *, margin_s: float) -> float:
    """Return the shortest time from one frame to the next that every light can follow [s].

    Parameters
    ----------
    recycle_times_s : the recycle time of each light that fires, at its setting [s].
    margin_s : what is allowed for worn capacitors, mains voltage and batteries [s].

    Raises
    ------
    RangeError
        If no time is given, a time is not above zero or the margin is negative.

    Notes
    -----
    The slowest light's recycle time and the margin, and never less than `FLASH_GAP_S`: bursts of
    flashes can harm photosensitive people, so they are kept well under three in a second [wcag22].
    """
    times = list(recycle_times_s)
    if not times:
        raise RangeError(Fault("no light fires", remedy="give each light's recycle time"))
    require_positive(times, what="a recycle time", unit="s")
    require_not_negative(margin_s, what="the margin on the recycle time", unit="s")
    return max(max(times) + margin_s, FLASH_GAP_S)


def _require_inside(below_full_stops: float, scale: PowerScale) -> None:
    """Raise RangeError if the strobe has no such setting."""
    if not scale.within(below_full_stops):
        raise RangeError(
            Fault(
                "is beyond the strobe's range",
                allowed=f"0 to {scale.lowest_stops:.3g}",
                given=f"a power of {below_full_stops:.3g} stops below full",
            )
        )


def _require_times(*times_s: float, what: str) -> None:
    """Raise RangeError for a time that is not above zero."""
    require_positive(times_s, what=what, unit="s")
