"""How steady a light stand is under what hangs from it, and how heavy a bag it needs.

Plain statics of rigid stands on a level floor. Masses lie on the stand's column or along the boom;
places along it are counted from the column, positive to the side of the boom's long arm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.light.checks import require_not_negative, require_positive
from kinlight.light.tables import constant

STANDARD_GRAVITY = constant("standard_gravity").value
"""Free fall [m/s2]."""
SAFETY_FACTOR = constant("stand_safety_factor").value
PUSH_N = constant("stand_push_n").value
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Stand:
    """A light stand on legs that are spread evenly around its column.

    Attributes
    ----------
    legs : how many, three or more.
    radius_m : from the column to where a foot stands on the floor [m].
    mass_kg : of the stand itself, without bags [kg].
    """

    legs: int
    radius_m: float
    mass_kg: float


@dataclass(frozen=True)
class Load:
    """A mass on the column or on the boom: a head, the boom's tube, a counterweight, a bag.

    Attributes
    ----------
    mass_kg : its mass [kg].
    offset_m : from the column to below its middle, along the boom, negative on the short arm [m].
    """

    mass_kg: float
    offset_m: float = 0.0


@dataclass(frozen=True)
class Footing:
    """How a loaded stand holds, in the worst direction for legs that stand in a certain way.

    Attributes
    ----------
    restoring_n_m : moment that keeps it up beyond what pulls it over; negative, it falls [N m].
    tips_at_n : the push at the stated height that tips it; 0 if it falls by itself [N].
    hanging_bag_kg : bag at the foot of the column that holds what hangs out, with the factor [kg].
    pushed_bag_kg : the same, with the push as well [kg].
    """

    restoring_n_m: float
    tips_at_n: float
    hanging_bag_kg: float
    pushed_bag_kg: float


@dataclass(frozen=True)
class Steadiness:
    """How a loaded stand holds, whichever way its legs point, and with one leg under the load.

    Attributes
    ----------
    any_way : nothing is known of the legs.
    leg_under : one leg points along the boom, below the load.
    push_n : the push reckoned with [N].
    push_height_m : where it pushes [m].
    factor : how many times over it is to hold [-].
    """

    any_way: Footing
    leg_under: Footing
    push_n: float
    push_height_m: float
    factor: float

    def text(self) -> str:
        """Return what to do, in one sentence."""
        what = "It can fall by itself"
        if self.any_way.restoring_n_m > 0:
            pull = pull_text(self.any_way.tips_at_n)
            what = f"A pull of {pull} at {self.push_height_m:g} m can tip it"
        there = f"{pull_text(self.push_n)} at {self.push_height_m:g} m"
        aim = f"to hold {self.factor:g} times a pull of {there}"
        if self.any_way.pushed_bag_kg == 0:
            return f"{what}; it needs no bag {aim}."
        bags = [_bags(footing.pushed_bag_kg) for footing in (self.any_way, self.leg_under)]
        less = "" if bags[0] == bags[1] else f", or {bags[1]} if one leg points under the load"
        return f"{what}; {aim} it needs {bags[0]} at the foot of its column{less}."


def pull_text(push_n: float) -> str:
    """Return a push as the weight that pulls as much, to the next tenth below: "1.7 kg"."""
    tenths = math.floor(10 * push_n / STANDARD_GRAVITY + _ROUNDING)
    return f"{tenths / 10:g} kg"


def tip_distance_m(*, legs: int, radius_m: float) -> float:
    """Return how far from the column the line between two feet is, over which a stand tips [m].

    Parameters
    ----------
    legs : how many, spread evenly, three or more.
    radius_m : from the column to a foot [m].

    Raises
    ------
    RangeError
        If the legs are too few or the radius is not above zero.

    Notes
    -----
    radius x cos(pi / legs), midway between two legs: the worst direction.
    """
    if legs < 3:
        raise RangeError(Fault("cannot carry a stand", allowed="3 or more", given=f"{legs} legs"))
    require_positive(radius_m, what="the reach of a stand's legs", unit="m")
    return radius_m * math.cos(math.pi / legs)


def steadiness(
    stand: Stand,
    loads: Sequence[Load],
    *,
    push_height_m: float,
    push_n: float = PUSH_N,
    factor: float = SAFETY_FACTOR,
) -> Steadiness:
    """Return how a loaded stand holds against what hangs out and against a push.

    Parameters
    ----------
    stand : the legs and their own mass.
    loads : what it carries, along one boom.
    push_height_m : height of the push over the floor, as a rule that of the lamp head [m].
    push_n : a level push in the worst direction [N].
    factor : moments that hold over moments that tip, 1 or more [-].

    Raises
    ------
    RangeError
        If a mass, the push or its height is below zero, the factor below 1, or the stand none.

    Notes
    -----
    Over the line between two feet, at b = `tip_distance_m`, a mass m whose offset is x c (c the
    cosine between boom and the direction square to that line) holds with m g (b - x c), or tips if
    that is negative. A bag of mass M at the column holds with M g b. The bag wanted is a convex
    function of c for factors of 1 and more, so the worst c lies at an end: along the boom, to
    either side, where nothing is known of the legs; over one of the lines between feet where a leg
    lies under the load. The column is taken to be upright and the floor level.
    """
    _refuse_loads(stand, loads, push_height_m, push_n, factor)
    edges = np.cos(np.pi * (2 * np.arange(stand.legs) + 1) / stand.legs)
    push_moment = push_n * push_height_m
    return Steadiness(
        _footing(stand, loads, np.array([1.0, -1.0]), push_height_m, push_moment, factor),
        _footing(stand, loads, edges, push_height_m, push_moment, factor),
        push_n,
        push_height_m,
        factor,
    )


def _footing(
    stand: Stand,
    loads: Sequence[Load],
    cosines: Array,
    push_height_m: float,
    push_moment: float,
    factor: float,
) -> Footing:
    """Return how a stand holds over the worst of the lines at these cosines to its boom."""
    b = tip_distance_m(legs=stand.legs, radius_m=stand.radius_m)
    mass = np.array([stand.mass_kg, *(load.mass_kg for load in loads)])
    offset = np.array([0.0, *(load.offset_m for load in loads)])
    moments = STANDARD_GRAVITY * mass * (b - np.outer(cosines, offset))
    restoring = float(moments.sum(axis=1).min())
    holds, tips = np.maximum(moments, 0).sum(axis=1), np.maximum(-moments, 0).sum(axis=1)
    bags = [
        max(0.0, float((factor * (tips + extra) - holds).max()) / (STANDARD_GRAVITY * b))
        for extra in (0.0, push_moment)
    ]
    tips_at = max(0.0, restoring) / push_height_m
    return Footing(restoring, tips_at, hanging_bag_kg=bags[0], pushed_bag_kg=bags[1])


def _refuse_loads(
    stand: Stand, loads: Sequence[Load], push_height_m: float, push_n: float, factor: float
) -> None:
    """Raise RangeError for masses and pushes that nothing can have."""
    require_not_negative((stand.mass_kg, *(x.mass_kg for x in loads)), what="a mass", unit="kg")
    if not all(math.isfinite(x.offset_m) for x in loads):
        raise RangeError(
            Fault("a load on a boom has no place", remedy="measure it from the column")
        )
    require_positive(push_height_m, what="the height of a push", unit="m")
    require_not_negative(push_n, what="a push", unit="N")
    if not 1 <= factor < math.inf:
        raise RangeError(Fault("cannot be a safety factor", "", "1 or more", f"{factor:g}"))


def _bags(mass_kg: float) -> str:
    """Return the bags to lay, to the next whole kilogram."""
    return f"{math.ceil(mass_kg - _ROUNDING)} kg of bags" if mass_kg > 0 else "none"
