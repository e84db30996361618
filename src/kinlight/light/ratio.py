"""Lighting ratio, key and fill together over fill alone: (K + F) : F."""

from __future__ import annotations

import math

from kinlight.errors import Fault, RangeError


def additive_ratio(key_over_fill_stops: float) -> float:
    """Return the additive ratio of a key that many stops over its fill, 2^s + 1 [-].

    The key reaches only the lit side, the fill both; lamps at 1 stop give 3:1.
    """
    return math.exp2(key_over_fill_stops) + 1


def key_over_fill_stops(ratio: float) -> float:
    """Return how far the key must read over the fill for an additive ratio, log2(R - 1) [stop].

    Raises
    ------
    RangeError
        If the ratio is not above 1: with any key at all the lit side is the brighter one.
    """
    if not (math.isfinite(ratio) and ratio > 1):
        fault = Fault("is no ratio a key can give", allowed="more than 1:1", given=f"{ratio:g}:1")
        raise RangeError(fault)
    return math.log2(ratio - 1)


def sides_apart_stops(ratio: float) -> float:
    """Return how far lit side and shadow side read apart for an additive ratio, log2(R) [stop].

    Raises
    ------
    RangeError
        If the ratio is not above zero.
    """
    if not (math.isfinite(ratio) and ratio > 0):
        fault = Fault("is no lighting ratio", allowed="more than 0:1", given=f"{ratio:g}:1")
        raise RangeError(fault)
    return math.log2(ratio)
