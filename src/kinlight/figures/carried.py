"""Children carried on a hip, sitting or lying on a lap, and the arms of those who hold them."""

from __future__ import annotations

import math

import numpy as np

from kinlight.figures.arms import top_of_thigh
from kinlight.figures.draft import LEGS, SIDES, Draft
from kinlight.figures.hands import flat, placed_hand
from kinlight.figures.rest import Rest
from kinlight.figures.skeleton import Limb, Reach
from kinlight.figures.tables import rule
from kinlight.figures.turns import about_x, about_z
from kinlight.geometry.vectors import UP, Array, unit

_TURNED_IN_DEG = 55.0
"""How far a child on a hip turns toward who carries it, out of that one's own facing."""
_AHEAD = 0.05
"""How far before the holder's hip joint the child sits, as a share of the holder's stature, so that
the upper arm passes behind its back (from memory)."""
_LAP_IN_DEG = 12.0
_LAP_FREE_DEG = 45.0
"""How far a child on a lap may be turned against who holds it."""
_LAP_SHARE = 0.50
"""Where on the thigh a child sits, from hip joint to knee."""
_PRESSED_M = 0.01
"""How far two clothed bodies press into each other."""
_BEHIND_M = 0.025
"""How near to one line two vertices lie that count as one behind the other."""


def on_hip(child: Draft, *, holder: Draft, side: str) -> Draft:
    """Return a small child `astride` a standing holder's hip, in the room.

    It sits just over the hip bone, is turned inward, and is shifted outward until its trunk only
    presses lightly into the holder's.
    """
    s, level = SIDES[side], holder.level
    hip = holder.joint_m(f"upperleg01.{side}")
    shoulder = holder.joint_m(f"upperarm01.{side}")
    start = hip - _AHEAD * holder.rest.body.stature_m * level[:, 1]
    seat_m = float(hip[2]) + rule("hip_seat_rise") * float(shoulder[2] - hip[2])
    child = child.placed(level @ about_z(-s * _TURNED_IN_DEG), start * [1.0, 1.0, 0.0])
    child = child.moved((seat_m - child.lowest_m("seat")) * UP)
    against = ("trunk", f"shoulder.{side}")
    return _clear(child, holder, s * level[:, 0], *against, least_m=-1.0)


def on_lap(child: Draft, *, holder: Draft, side: str, facing_deg: float) -> Draft:
    """Return a child, sitting with its legs hanging, on a seated holder's thigh, in the room.

    `facing_deg` is where it would face; its trunk follows as far as the lap lets it.
    """
    at, _, _ = top_of_thigh(holder, side, _LAP_SHARE)
    own_deg = facing_of_deg(holder) - SIDES[side] * _LAP_IN_DEG
    aside_deg = (facing_deg - own_deg + 180.0) % 360.0 - 180.0
    turn_deg = own_deg + min(max(aside_deg, -_LAP_FREE_DEG), _LAP_FREE_DEG)
    child = child.moved(-child.lowest_m("seat") * UP).placed(about_z(turn_deg), at)
    return _clear(child, holder, -holder.level[:, 1], "trunk", least_m=0.0)


def across_lap(child: Draft, *, holder: Draft, side: str) -> Draft:
    """Return a baby on its back across a seated holder's thighs, its head at one side."""
    s, level = SIDES[side], holder.level
    tops = [top_of_thigh(holder, k, 0.5)[0] for k in SIDES]
    at = (tops[0] + tops[1]) / 2
    at[2] = max(float(top[2]) for top in tops) - child.lowest_m("whole")
    child = child.placed(level @ about_z(-90.0 * s), at)
    return child.moved(-0.10 * s * child.rest.body.stature_m * level[:, 0])


def _clear(child: Draft, holder: Draft, out: Array, *against: str, least_m: float) -> Draft:
    """Return the child shifted outward until its trunk only presses lightly into the holder.

    Of all pairs of vertices that lie nearly one behind the other along `out`, the deepest counts.
    """
    own = child.region("trunk")
    other = np.concatenate([holder.region(name) for name in against])
    along_own, along_other = own @ out, other @ out
    aside_own, aside_other = own - along_own[:, None] * out, other - along_other[:, None] * out
    gaps2 = ((aside_own[:, None] - aside_other) ** 2).sum(axis=2)
    deep = np.where(gaps2 < _BEHIND_M**2, along_other - along_own[:, None], -np.inf)
    deep_m = float(deep.max())
    if not math.isfinite(deep_m):
        return child
    return child.moved(max(deep_m - _PRESSED_M, least_m) * out)


def astride(rest: Rest) -> Draft:
    """Return a child with its thighs apart and up, shanks hanging."""
    of = rest.skeleton
    thigh_m = of.length_m("upperleg01.L", "lowerleg01.L")
    shank_m = of.length_m("lowerleg01.L", "foot.L")
    legs: dict[Limb, Reach] = {}
    for side, s in SIDES.items():
        knee = np.array([s * float(of.joint_m("upperleg01.L")[0]), 0.0, 0.0])
        knee = knee + thigh_m * unit(np.array([0.85 * s, -0.65, -0.10]))
        ankle = knee + shank_m * unit(np.array([-0.10 * s, 0.05, -1.0]))
        legs[LEGS[side]] = Reach(ankle, np.array([0.7 * s, -1.0, 0.8]))
    feet = {f"foot.{side}": about_x(15.0) for side in SIDES}
    return Draft(rest).spine(pitch_deg=6.0).turned(feet).reaching(legs)


def holding_on_hip(holder: Draft, child: Draft, side: str) -> Draft:
    """Return the holder with one arm under the child's seat, the other hand on its thigh."""
    s, level = SIDES[side], holder.level
    other = "R" if side == "L" else "L"
    out, ahead = s * level[:, 0], -level[:, 1]
    holder = flat(holder)
    seat = child.region("seat")
    under = seat[int(np.argmin(seat[:, 2]))]
    holder = placed_hand(
        holder,
        side,
        palm_m=under - 0.006 * UP,
        fingers=ahead - 0.25 * out,
        facing=UP - 0.4 * out,
        elbow=0.5 * out - 0.7 * ahead - UP,
    )
    top, normal, _ = top_of_thigh(child, side, 0.65)
    return placed_hand(
        holder,
        other,
        palm_m=top + 0.008 * normal,
        fingers=out + 0.4 * ahead,
        facing=-normal - 0.2 * ahead,
        elbow=ahead - 0.7 * out - 0.6 * UP,
    )


def holding_on_lap(holder: Draft, child: Draft, side: str) -> Draft:
    """Return the holder with both hands at the child's waist."""
    level = holder.level
    ahead, waist = -level[:, 1], child.joint_m("spine04")
    trunk = child.region("trunk")
    band = trunk[np.abs(trunk[:, 2] - waist[2]) < 0.06 * child.rest.body.stature_m]
    holder = flat(holder)
    for k, s in SIDES.items():
        out = s * level[:, 0]
        at = band[int(np.argmax(band @ out - 0.5 * np.abs((band - waist) @ ahead)))]
        holder = placed_hand(
            holder,
            k,
            palm_m=at + 0.006 * out,
            fingers=ahead + 0.3 * out,
            facing=-out,
            elbow=0.7 * out - 0.4 * ahead - UP,
        )
    return holder


def holding_across_lap(holder: Draft, child: Draft, side: str) -> Draft:
    """Return the holder with one hand under the baby's head, the other on its belly."""
    level = holder.level
    other = "R" if side == "L" else "L"
    out, ahead = SIDES[side] * level[:, 0], -level[:, 1]
    head, belly = child.region("head"), child.region("trunk")
    near = belly[
        np.linalg.norm((belly - child.joint_m("spine03"))[:, :2], axis=1)
        < 0.06 * child.rest.body.stature_m
    ]
    under = head[int(np.argmin(head[:, 2]))]
    holder = flat(holder)
    holder = placed_hand(
        holder,
        side,
        palm_m=under - 0.004 * UP,
        fingers=ahead - 0.5 * out,
        facing=UP - 0.3 * out,
        elbow=0.3 * out - UP,
    )
    top = near[int(np.argmax(near[:, 2]))]
    return placed_hand(
        holder,
        other,
        palm_m=top + 0.004 * UP,
        fingers=out + 0.4 * ahead,
        facing=-UP,
        elbow=-0.8 * out - UP,
    )


def facing_of_deg(draft: Draft) -> float:
    """Return where a placed draft faces: 0 is -y, positive toward +x."""
    x, y = (-draft.level[:, 1])[:2].tolist()
    return math.degrees(math.atan2(x, -y))
