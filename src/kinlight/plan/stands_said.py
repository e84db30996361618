"""How a light stands, in sentences: what holds, and what to do before anybody stands near it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kinlight.light.stands import STANDARD_GRAVITY, pull_text
from kinlight.plan.stands import BagPlan, CounterweightPlan, Headroom
from kinlight.quantities.lengths import length_text
from kinlight.sitting.room_fit import CLEARANCE_M

HEAD_REACH_M = 0.4
"""A lamp's head and modifier seldom reach back less than this: common practice, no source."""
_LEAST_N = 0.1 * STANDARD_GRAVITY
_ROUNDING = 1e-9
_CENTIMETRE_M = 0.01


def says(
    bags: BagPlan | None, balance: CounterweightPlan | None, over: Headroom, *, units: str
) -> str:
    """Return in a sentence how a light stands as stated."""
    if bags is None:
        stands = "its stand is not stated"
    elif bags.falls:
        stands = "as stated it falls by itself"
    else:
        height = length_text(bags.push_height_m, units=units)
        stands = f"as stated {_pull(bags.tips_at_n)} at {height} tips it"
    if balance is not None:
        arm = length_text(balance.arm_m, units=units)
        stands += f"; {balance.counterweight_kg:.1f} kg at {arm} balance its boom"
    return f"{stands}; {_top(over, units)}"


def _top(over: Headroom, units: str) -> str:
    top, left = (length_text(abs(x), units=units) for x in (over.top_m, over.clearance_m))
    if abs(over.clearance_m) < _CENTIMETRE_M / 2:
        return f"its top is at {top}, touching the ceiling"
    where = "under" if over.clearance_m > 0 else "above"
    return f"its top is at {top}, {left} {where} the ceiling"


def findings(
    light: str,
    bags: BagPlan | None,
    balance: CounterweightPlan | None,
    over: Headroom,
    *,
    depth_stated: bool,
    units: str,
) -> tuple[str, ...]:
    """Return what is missing for a light to stand safely, the worst first; empty if nothing is."""
    found = [*_of_stand(bags, balance, units), *_of_ceiling(over, depth_stated, units)]
    return tuple(f"{light}: {text}." for text in found)


def _of_stand(bags: BagPlan | None, balance: CounterweightPlan | None, units: str) -> Iterator[str]:
    if bags is None:
        return
    unbalanced = balance is not None and balance.missing_counterweight_kg > 0
    if bags.falls:
        balanced = " and its boom balanced" if unbalanced else ""
        yield (
            "as stated its stand falls over by itself, with nobody touching it; do not raise the "
            f"head before its foot is loaded{balanced}"
        )
    if bags.missing_bag_kg > _ROUNDING:
        yield f"{_laid(bags, unbalanced)}{_wanted(bags)}"
    if balance is not None and unbalanced:
        arm = length_text(balance.arm_m, units=units)
        now = f"{balance.stated_counterweight_kg:.1f} kg"
        yield (
            f"hang {balance.counterweight_kg:.1f} kg on the short arm of its boom, {arm} from the "
            "column, while someone holds the boom; "
            f"stated: {now if balance.stated_counterweight_kg else 'none'}"
        )


def _laid(bags: BagPlan, unbalanced: bool) -> str:
    """Return what the stated bags or a usual one are good for."""
    bag = "the bags stated" if bags.stated_bag_kg else "a usual bag"
    bag = f"with {bag}, {bags.laid_bag_kg:g} kg on its foot,"
    once = " once its boom is balanced" if unbalanced else ""
    if bags.laid_tips_at_n <= 0:
        return f"{bag} it still falls by itself{once}; "
    return f"{bag} {_pull(bags.laid_tips_at_n)} at the lamp tips it{once}; "


def _pull(push_n: float) -> str:
    return "the least pull" if push_n < _LEAST_N else f"a pull of {pull_text(push_n)}"


def _wanted(bags: BagPlan) -> str:
    """Return the sand that holds the push reckoned with, so many times over."""
    return f"{_sand(bags)} to hold {bags.factor:g} times a pull of {pull_text(bags.push_n)}"


def _sand(bags: BagPlan) -> str:
    """Return the sand it takes, to the next whole kilogram, and the less a leg under makes it."""
    any_way, leg_under = (_whole_kg(x) for x in (bags.any_way_bag_kg, bags.leg_under_bag_kg))
    if bags.leg_under:
        return f"it takes {leg_under} kg of sand, with one leg under the load,"
    if leg_under == any_way:
        return f"it takes {any_way} kg of sand"
    return f"it takes {any_way} kg of sand, or {leg_under} kg with one leg under the load,"


def _whole_kg(mass_kg: float) -> int:
    return math.ceil(mass_kg - _ROUNDING)


def _of_ceiling(over: Headroom, depth_stated: bool, units: str) -> Iterator[str]:
    if over.clearance_m < CLEARANCE_M - _ROUNDING:
        by = length_text(CLEARANCE_M - over.clearance_m, units=units)
        yield f"{_top(over, units)}; lower it by {by} or more"
    elif not depth_stated and over.room_behind_m < HEAD_REACH_M:
        room = length_text(max(over.room_behind_m, 0.0), units=units)
        yield (
            f"pointing down as it does, there are {room} behind its front before the ceiling; "
            "see that its head fits, or state the depth of its modifier"
        )
