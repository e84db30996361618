"""What a stand needs against what is stated of it, and the room over what it carries."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from kinlight.light.booms import Clearance, ceiling_clearance, counterweight
from kinlight.light.stands import Footing, Load, Stand, Steadiness, steadiness, tip_distance_m
from kinlight.light.world import Sheet
from kinlight.sitting.room_fit import CLEARANCE_M
from kinlight.sitting.strobes import LightStand

USUAL_BAG_KG = 7.0
"""Sand in a usual bag: common practice, no source. What it holds is said of a stand without one."""
_LEVEL = 1e-6
_TENTH_KG = 0.05
"""A counterweight that is short by less prints as none missing."""


@dataclass(frozen=True)
class BagPlan:
    """The sandbags at the foot of a stand, and the pushes that tip it.

    `falls` and `tips_at_n` are of the stand as stated, bags on, pushed at `push_height_m` over the
    floor; `tip_distance_m` is from its column to the line between two feet. The bags that hold
    `factor` times a push of `push_n` are those of the balanced boom: `any_way_bag_kg` whichever way
    the legs point, `leg_under_bag_kg` with one below the load; `hanging_bag_kg` of the first
    without any push, against what hangs out alone. What is missing is for the legs as stated.
    `laid_bag_kg` is what a photographer lays: the bags stated, or one usual bag of 7 kg; with it,
    the boom balanced and the legs as stated, a push of `laid_tips_at_n` tips it.
    """

    tip_distance_m: float
    push_height_m: float
    push_n: float
    factor: float
    falls: bool
    tips_at_n: float
    hanging_bag_kg: float
    any_way_bag_kg: float
    leg_under_bag_kg: float
    leg_under: bool
    stated_bag_kg: float
    missing_bag_kg: float
    laid_bag_kg: float
    laid_tips_at_n: float


@dataclass(frozen=True)
class CounterweightPlan:
    """What balances a boom, hung on its short arm so far from the column, and what is stated."""

    arm_m: float
    counterweight_kg: float
    stated_counterweight_kg: float
    missing_counterweight_kg: float


@dataclass(frozen=True)
class Headroom:
    """The room over a light, the least of all pictures.

    `top_m` is the highest point of its front, or of what is stated to reach behind it; at
    `clearance_m` under the ceiling. `room_behind_m` is how far a head may reach behind a front that
    points down before it meets the ceiling; null where it points level or up.
    """

    top_m: float
    clearance_m: float
    room_behind_m: float


def bag_plan(stand: LightStand, balance: CounterweightPlan | None, height_m: float) -> BagPlan:
    """Return the bags of a stand whose load hangs so high.

    Parameters
    ----------
    stand : as stated.
    balance : of its boom; None without a short arm.
    height_m : of the lamp over the floor; the push is reckoned there [m].
    """
    now = _steadiness(stand, height_m, bag_kg=stand.bag_kg)
    missing = balance.missing_counterweight_kg if balance is not None else 0.0
    hung = stand.counterweight_kg + missing
    balanced = _with_counterweight(stand, hung)
    wanted = _steadiness(balanced, height_m, bag_kg=0.0)
    laid_kg = stand.bag_kg or USUAL_BAG_KG
    laid = _footing(_steadiness(balanced, height_m, bag_kg=laid_kg), stand)
    as_stated, needed = _footing(now, stand), _footing(wanted, stand)
    return BagPlan(
        tip_distance_m=tip_distance_m(legs=stand.legs, radius_m=stand.radius_m),
        push_height_m=height_m,
        push_n=now.push_n,
        factor=now.factor,
        falls=as_stated.restoring_n_m <= 0,
        tips_at_n=as_stated.tips_at_n,
        hanging_bag_kg=wanted.any_way.hanging_bag_kg,
        any_way_bag_kg=wanted.any_way.pushed_bag_kg,
        leg_under_bag_kg=wanted.leg_under.pushed_bag_kg,
        leg_under=stand.leg_under,
        stated_bag_kg=stand.bag_kg,
        missing_bag_kg=max(0.0, needed.pushed_bag_kg - stand.bag_kg),
        laid_bag_kg=laid_kg,
        laid_tips_at_n=laid.tips_at_n,
    )


def _with_counterweight(stand: LightStand, counterweight_kg: float) -> LightStand:
    """Return a stand with another counterweight."""
    changed: LightStand = stand.with_stated(counterweight_kg=counterweight_kg)
    return changed


def _footing(found: Steadiness, stand: LightStand) -> Footing:
    return found.leg_under if stand.leg_under else found.any_way


def _steadiness(stand: LightStand, height_m: float, *, bag_kg: float) -> Steadiness:
    loads = [
        Load(stand.head_kg, stand.boom_m),
        Load(stand.boom_tube_kg, _boom_middle_m(stand)),
        Load(stand.counterweight_kg, -stand.short_arm_m),
        Load(bag_kg),
    ]
    feet = Stand(stand.legs, stand.radius_m, stand.mass_kg)
    return steadiness(feet, loads, push_height_m=height_m)


def _boom_middle_m(stand: LightStand) -> float:
    return (stand.boom_m - stand.short_arm_m) / 2


def counterweight_plan(stand: LightStand) -> CounterweightPlan | None:
    """Return what a boom needs on its short arm; None without a boom or a short arm."""
    if stand.boom_m == 0 or stand.short_arm_m == 0:
        return None
    needed_kg = counterweight(
        load_kg=stand.head_kg,
        arm_m=stand.boom_m,
        counter_arm_m=stand.short_arm_m,
        boom_kg=stand.boom_tube_kg,
        boom_offset_m=_boom_middle_m(stand),
    ).mass_kg
    short_kg = needed_kg - stand.counterweight_kg
    missing_kg = short_kg if short_kg >= _TENTH_KG else 0.0
    return CounterweightPlan(stand.short_arm_m, needed_kg, stand.counterweight_kg, missing_kg)


def headroom(boxes: Iterable[Sheet], *, depth_m: float, ceiling_m: float) -> Headroom:
    """Return the room over a light, given its body in every picture.

    Parameters
    ----------
    boxes : its body as light meets it, one at least: where it is and how it is tilted.
    depth_m : how far it reaches back behind its front, as stated; 0 if nothing is [m].
    ceiling_m : height of the ceiling [m].
    """
    found = [_over(box, depth_m, ceiling_m) for box in boxes]
    return min(found, key=lambda x: (x.clearance_m, x.room_behind_m))


def _over(box: Sheet, depth_m: float, ceiling_m: float) -> Headroom:
    down = min(1.0, max(-1.0, -float(box.normal[2])))
    height_m = float(box.centre_m[2])
    clear: Clearance = ceiling_clearance(
        centre_height_m=height_m,
        front_height_m=2 * box.half_m[1],
        tilt_deg=math.degrees(math.asin(down)),
        ceiling_m=ceiling_m,
        depth_m=depth_m,
    )
    behind = (ceiling_m - CLEARANCE_M - height_m) / down if down > _LEVEL else math.inf
    return Headroom(clear.top_m, clear.clearance_m, behind)
