"""All postures by name: what is asked of one, who it needs, and where its hands rest."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from kinlight.errors import Fault, RangeError
from kinlight.figures.arms import one_on_floor, resting
from kinlight.figures.carried import astride
from kinlight.figures.draft import Draft
from kinlight.figures.ground import cross_legged, legs_aside, legs_out, lying, on_heels
from kinlight.figures.rest import Rest
from kinlight.figures.seats import chair, hanging, stool, wheelchair
from kinlight.figures.stances import kneeling, standing

_HIGHEST_SEAT_M = 1.5
_LOWEST_SEAT_M = 0.05


@dataclass(frozen=True)
class Asked:
    """What a posture is to be like.

    Attributes
    ----------
    seat_height_m : height of the seat, or of what they stand, sit, kneel or lie on.
    feet_apart_m : between the ankles of someone standing; None puts them under the hips.
    lean_deg : of the trunk of someone standing or kneeling, forward from the hips.
    side : "L" or "R": the shin in front, or where the feet are of someone with their legs aside.
    """

    seat_height_m: float = 0.0
    feet_apart_m: float | None = None
    lean_deg: float = 0.0
    side: str = "L"


def _standing(rest: Rest, asked: Asked) -> Draft:
    return standing(
        rest,
        base_m=asked.seat_height_m,
        feet_apart_m=asked.feet_apart_m,
        lean_deg=asked.lean_deg,
    )


_BUILDERS: Mapping[str, tuple[Callable[[Rest, Asked], Draft], str]] = {
    "standing": (_standing, "hanging"),
    "box": (_standing, "hanging"),
    "stool": (lambda rest, asked: stool(rest, seat_m=asked.seat_height_m), "thighs"),
    "chair": (lambda rest, asked: chair(rest, seat_m=asked.seat_height_m), "lap"),
    "wheelchair": (lambda rest, asked: wheelchair(rest, seat_m=asked.seat_height_m), "arm-rests"),
    "floor": (
        lambda rest, asked: cross_legged(rest, base_m=asked.seat_height_m, front=asked.side),
        "knees",
    ),
    "legs aside": (
        lambda rest, asked: legs_aside(rest, base_m=asked.seat_height_m, side=asked.side),
        "floor",
    ),
    "baby sitting": (lambda rest, asked: legs_out(rest, base_m=asked.seat_height_m), "thighs"),
    "kneeling": (
        lambda rest, asked: kneeling(rest, base_m=asked.seat_height_m, lean_deg=asked.lean_deg),
        "hanging",
    ),
    "on heels": (lambda rest, asked: on_heels(rest, base_m=asked.seat_height_m), "thighs"),
    "lying": (lambda rest, asked: lying(rest, base_m=asked.seat_height_m), "lying"),
    "hip": (lambda rest, asked: astride(rest), "before"),
    "lap": (lambda rest, asked: hanging(rest, seat_m=0.0), "thighs"),
}
POSTURES = tuple(_BUILDERS)
"""The names of all postures."""
HELD = ("hip", "lap")
"""Postures that need a holder; lying may have one."""
_SEATS = ("stool", "chair", "wheelchair")
_LOW = ("floor", "legs aside", "baby sitting")
_LEANING = ("standing", "box", "kneeling")


def drafted(rest: Rest, posture: str, asked: Asked, hands: str | None = None) -> Draft:
    """Return someone in a posture, where they are by themselves: facing -y, near the origin.

    `hands` says where the hands rest, one of `arms.HANDS`, or on the floor "floor" for one hand
    beside the body and the other on the thigh; None does what is usual.

    Raises
    ------
    RangeError
        For a posture that does not exist, or numbers that do not fit it.
    """
    _require(posture, asked)
    builder, usual = _BUILDERS[posture]
    draft = builder(rest, asked)
    wanted = usual if hands is None else hands
    if wanted == "floor" and posture in _LOW:
        other = "R" if asked.side == "L" else "L"
        return one_on_floor(draft, other, asked.seat_height_m)
    return resting(draft, wanted, asked.side)


def _require(posture: str, asked: Asked) -> None:
    """Raise RangeError unless posture and numbers fit."""
    if posture not in _BUILDERS:
        allowed = ", ".join(_BUILDERS)
        raise RangeError(Fault("is not a posture", allowed=allowed, given=repr(posture)))
    least_m = _LOWEST_SEAT_M if posture in _SEATS else 0.0
    if not least_m <= asked.seat_height_m <= _HIGHEST_SEAT_M:  # nan is refused too
        raise RangeError(
            Fault(
                f"is not a height for the {posture} posture",
                allowed=f"{least_m:g} to {_HIGHEST_SEAT_M:g} m over the floor",
                given=f"{asked.seat_height_m:g} m",
            )
        )
    if asked.lean_deg and posture not in _LEANING:
        fault = Fault(f"nobody leans in the {posture} posture", allowed=", ".join(_LEANING))
        raise RangeError(fault)
    if asked.feet_apart_m is not None and posture not in ("standing", "box"):
        fault = Fault("only feet that are stood on can be put apart", given=posture)
        raise RangeError(fault)
