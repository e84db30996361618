"""What balances a boom, and whether what it carries fits under the ceiling."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kinlight.errors import Fault, RangeError
from kinlight.light.checks import require_not_negative, require_positive


@dataclass(frozen=True)
class Counterweight:
    """What balances a boom: a mass on its short arm.

    Attributes
    ----------
    mass_kg : to hang there; 0 if the boom's own tube outweighs the load [kg].
    arm_m : how far from the pivot [m].
    """

    mass_kg: float
    arm_m: float

    def text(self) -> str:
        """Return what to hang where, in one sentence."""
        if self.mass_kg == 0:
            return "The boom's short arm already outweighs what hangs on the long one."
        return (
            f"Hang {self.mass_kg:.1f} kg on the short arm, {self.arm_m:g} m from the pivot, while "
            "someone holds the boom."
        )


@dataclass(frozen=True)
class Clearance:
    """The highest point of a lamp and its modifier under the ceiling.

    Attributes
    ----------
    top_m : its height over the floor [m].
    clearance_m : what is left up to the ceiling; negative, it does not fit [m].
    """

    top_m: float
    clearance_m: float

    def text(self) -> str:
        """Return whether it fits, in one sentence."""
        top = f"Its top is at {self.top_m:.2f} m"
        if self.clearance_m < 0:
            return f"{top}, {-self.clearance_m:.2f} m too high for the ceiling: lower it."
        return f"{top}, {self.clearance_m:.2f} m under the ceiling."


def counterweight(
    *,
    load_kg: float,
    arm_m: float,
    counter_arm_m: float,
    boom_kg: float = 0.0,
    boom_offset_m: float = 0.0,
    factor: float = 1.0,
) -> Counterweight:
    """Return the mass on a boom's short arm that balances what hangs on the long one.

    Parameters
    ----------
    load_kg : head, modifier and cable on the long arm [kg].
    arm_m, counter_arm_m : from the pivot to the load and to the counterweight [m].
    boom_kg : the tube's own mass [kg].
    boom_offset_m : from the pivot to the tube's middle, positive on the long arm [m].
    factor : 1 balances; more leaves the short arm the heavier, as some prefer: times all that pulls
        the long arm down, load and tube [-].

    Raises
    ------
    RangeError
        If a mass is below zero, or an arm or the factor is not above zero.

    Notes
    -----
    Balance of moments about the pivot; the boom's slope makes no difference. It is no substitute
    for a bag on the stand, see `steadiness`.
    """
    require_not_negative((load_kg, boom_kg), what="the mass on a boom", unit="kg")
    require_positive((arm_m, counter_arm_m), what="the arm of a boom", unit="m")
    require_positive(factor, what="a safety factor")
    long_arm_kg_m = max(0.0, load_kg * arm_m + boom_kg * boom_offset_m)
    return Counterweight(factor * long_arm_kg_m / counter_arm_m, counter_arm_m)


def ceiling_clearance(
    *,
    centre_height_m: float,
    front_height_m: float,
    tilt_deg: float,
    ceiling_m: float,
    depth_m: float = 0.0,
    back_height_m: float = 0.0,
) -> Clearance:
    """Return how far under the ceiling the top of a lamp and its modifier stays.

    Parameters
    ----------
    centre_height_m : of the middle of its front, over the floor [m].
    front_height_m : height of the front, or its diameter, along its own slope [m].
    tilt_deg : how far it points down from level; negative is up, -90 to 90 [deg].
    ceiling_m : height of the ceiling [m].
    depth_m : how far lamp and modifier reach behind the front [m].
    back_height_m : how high they are there, along the same slope [m].

    Raises
    ------
    RangeError
        If a length is below zero or the tilt outside its bounds.

    Notes
    -----
    The higher of the front's upper edge and the back's: a front that points down has its lamp
    above it. Between front and back the modifier is taken to lie inside the straight lines.
    """
    lengths = (centre_height_m, front_height_m, ceiling_m, depth_m, back_height_m)
    require_not_negative(lengths, what="a length of a lamp or room", unit="m")
    if not -90 <= tilt_deg <= 90:
        fault = Fault("cannot be the tilt of a lamp", "", "-90 to 90 deg", f"{tilt_deg:g} deg")
        raise RangeError(fault)
    tilt = math.radians(tilt_deg)
    front = front_height_m / 2 * math.cos(tilt)
    back = back_height_m / 2 * math.cos(tilt) + depth_m * math.sin(tilt)
    top_m = centre_height_m + max(front, back)
    return Clearance(top_m, ceiling_m - top_m)
