"""The body of a posed figure as rounded solids that stand in the light."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinlight.figures.tables import rule
from kinlight.geometry.people import FacePoints, Figure
from kinlight.geometry.solids import Solids, ellipsoid, limb, together, trunk
from kinlight.geometry.vectors import UP, Array, crossed, unit

_STEEP = 0.85
"""How upright a thigh must be for nobody to rest a hand on it: 58 degrees from level [-]."""


def solids(figure: Figure) -> Solids:
    """Return the solids of a person: head, neck, shoulders, chest, pelvis, then the limbs.

    A side's arm and leg come together, the left side first.

    Notes
    -----
    The head is an ellipsoid between the levels of chin and crown, which it touches at the crown;
    nose and chin stand out of it. Neck and limbs are round, one radius each, chest and pelvis oval.
    A forearm ends at the knuckles: it rests on the thigh of whoever sits, and hangs beside the hips
    of everyone else, clear of them. There are no feet: shanks end at the soles. Breadths are the
    figure's own, the rest are shares of them from rules.toml; nobody is stouter than their breadths
    say, and clothes have no thickness.
    """
    frame = _frame(figure)
    parts = [
        _head(figure.face, figure.head_breadth_m),
        _neck(figure, frame),
        _shoulders(figure, frame),
        *_torso(frame, rule("trunk_least") * figure.head_breadth_m),
    ]
    for side in (0, 1):
        parts += [*_arm(figure, frame, side), *_leg(figure, frame, side)]
    return together(parts)


@dataclass(frozen=True)
class _Frame:
    """A trunk: unit vectors to the person's left, ahead and up the spine, and its main sizes."""

    aside: Array
    ahead: Array
    spine: Array
    seat_m: Array  # middle of the underside of the trunk
    base_of_neck_m: Array
    sitting_m: float
    shoulder_breadth_m: float
    hip_breadth_m: float

    def outward(self, side: int) -> Array:
        """Return the unit vector out of the left side (0) or the right side (1)."""
        return self.aside if side == 0 else -self.aside


def _frame(figure: Figure) -> _Frame:
    shoulders, hips = figure.shoulders_m.mean(axis=0), figure.hips_m.mean(axis=0)
    spine = unit(shoulders - hips)
    across = figure.shoulders_m[0] - figure.shoulders_m[1]
    aside = unit(across - (across @ spine) * spine)
    sitting_m = _sitting_m(figure.face, float(np.linalg.norm(shoulders - hips)))
    drop_m = rule("shoulder_drop") * (sitting_m - _head_height_m(figure.face))
    return _Frame(
        aside=aside,
        ahead=crossed(aside, spine),
        spine=spine,
        seat_m=hips - rule("hip_joint_rise") * sitting_m * spine,
        base_of_neck_m=shoulders + rule("neck_base") * drop_m * spine,
        sitting_m=sitting_m,
        shoulder_breadth_m=float(np.linalg.norm(across)),
        hip_breadth_m=float(np.linalg.norm(figure.hips_m[0] - figure.hips_m[1])),
    )


def _sitting_m(face: FacePoints, hip_to_shoulder_m: float) -> float:
    """Return the sitting height: seat to hip joint, hip to shoulder, shoulder to chin, head [m]."""
    drop = rule("shoulder_drop")
    rest_m = hip_to_shoulder_m + (1 - drop) * _head_height_m(face)
    return rest_m / (1 - drop - rule("hip_joint_rise"))


def _head_height_m(face: FacePoints) -> float:
    return float((face.crown_m - face.chin_m) @ face.up)


def _head(face: FacePoints, breadth_m: float) -> Solids:
    height_m = _head_height_m(face)
    axes = np.stack([crossed(face.facing, face.up), face.facing, face.up])
    radii = (breadth_m / 2, rule("head_length") * breadth_m / 2, height_m / 2)
    return ellipsoid("head", face.crown_m - height_m / 2 * face.up, axes, radii)


def _neck(figure: Figure, frame: _Frame) -> Solids:
    face, height_m = figure.face, _head_height_m(figure.face)
    back_m = rule("neck_back") * rule("head_length") * figure.head_breadth_m
    skull = face.crown_m - (1 - rule("neck_rise")) * height_m * face.up - back_m * face.facing
    low = figure.shoulders_m.mean(axis=0) - back_m * frame.ahead
    size_m = np.sqrt(figure.head_breadth_m * frame.shoulder_breadth_m)
    return limb("neck", low, skull, radius_m=float(rule("neck_radius") * size_m))


def _shoulders(figure: Figure, frame: _Frame) -> Solids:
    """Return a bar from one shoulder to the other, as thick as the arms that hang from it."""
    left, right = (_shoulder_joint(figure, frame, side) for side in (0, 1))
    return limb("shoulders", left, right, radius_m=_arm_radius_m(frame))


def _arm_radius_m(frame: _Frame) -> float:
    return rule("upper_arm_radius") * frame.shoulder_breadth_m


def _shoulder_joint(figure: Figure, frame: _Frame, side: int) -> Array:
    """Return the middle of an arm's rounded top; the figure's point is outside and over it."""
    joint: Array = figure.shoulders_m[side] - _arm_radius_m(frame) * (
        frame.outward(side) + frame.spine
    )
    return joint


def _torso(frame: _Frame, least_m: float) -> tuple[Solids, Solids]:
    """Return chest and pelvis, their rounded ends one in the other."""
    low = frame.seat_m + rule("chest_bottom") * frame.sitting_m * frame.spine
    high = frame.seat_m + rule("pelvis_top") * frame.sitting_m * frame.spine
    chest = trunk(
        "chest",
        low,
        frame.base_of_neck_m,
        aside=frame.aside,
        half_breadth_m=max(rule("chest_breadth") * frame.shoulder_breadth_m, least_m) / 2,
        half_depth_m=max(rule("chest_depth") * frame.shoulder_breadth_m, least_m) / 2,
    )
    pelvis = trunk(
        "pelvis",
        frame.seat_m,
        high,
        aside=frame.aside,
        half_breadth_m=max(rule("pelvis_breadth") * frame.hip_breadth_m, least_m) / 2,
        half_depth_m=max(rule("pelvis_depth") * frame.hip_breadth_m, least_m) / 2,
    )
    return chest, pelvis


def _arm(figure: Figure, frame: _Frame, side: int) -> tuple[Solids, Solids]:
    """Return upper arm and forearm; the figure's points are on the outside of the upper arm."""
    out, radius_m = frame.outward(side), _arm_radius_m(frame)
    shoulder, elbow = figure.shoulders_m[side], figure.elbows_m[side]
    reach_m = float(np.linalg.norm(elbow - shoulder)) * (rule("forearm") + rule("hand") / 2)
    joint = elbow - radius_m * out
    upper = limb("upper arm", _shoulder_joint(figure, frame, side), joint, radius_m=radius_m)
    thin_m = rule("forearm_radius") * frame.shoulder_breadth_m
    hip, end, thick_m = _thigh(figure, frame, side)
    along = unit(end - hip)
    if abs(along[2]) > _STEEP:
        hand = _hanging(joint, frame, out, reach_m=reach_m, radius_m=thin_m)
    else:
        over = (thick_m + thin_m) * unit(UP - along[2] * along)
        hand = _resting(joint, hip + over, end + over, reach_m)
    return upper, limb("forearm", joint, hand, radius_m=thin_m)


def _hanging(
    elbow_m: Array, frame: _Frame, out: Array, *, reach_m: float, radius_m: float
) -> Array:
    """Return a hand that hangs a little ahead of the elbow, and outside the hips."""
    clear_m = frame.hip_breadth_m / 2 + radius_m - float((elbow_m - frame.seat_m) @ out)
    aside_m = min(max(clear_m, 0.0), reach_m / 2)
    ahead_m = rule("hand_ahead") * reach_m
    down_m = np.sqrt(reach_m**2 - aside_m**2 - ahead_m**2)
    hand: Array = elbow_m + aside_m * out + ahead_m * frame.ahead - down_m * frame.spine
    return hand


def _resting(elbow_m: Array, from_m: Array, to_m: Array, reach_m: float) -> Array:
    """Return the place of a hand between two points over a thigh, as far along as it reaches."""
    along = unit(to_m - from_m)
    least_m = float((elbow_m - from_m) @ along)
    nearest = from_m + least_m * along
    gap_m = float(np.linalg.norm(nearest - elbow_m))
    if gap_m >= reach_m:
        raised: Array = elbow_m + reach_m * unit(nearest + (reach_m / 2) * along - elbow_m)
        return raised
    wanted_m = least_m + np.sqrt(reach_m**2 - gap_m**2)
    hand: Array = from_m + min(wanted_m, float(np.linalg.norm(to_m - from_m))) * along
    return hand


def _thigh(figure: Figure, frame: _Frame, side: int) -> tuple[Array, Array, float]:
    """Return where a thigh begins and ends, and its radius [m].

    It begins at the hip joint, half-way from the middle to the side of the hip, and ends so far
    before the knee that it sticks out beyond it no more than the thinner shank does.
    """
    hip = (figure.hips_m.mean(axis=0) + figure.hips_m[side]) / 2
    whole = figure.knees_m[side] - hip
    length_m = float(np.linalg.norm(whole))
    radius_m = rule("thigh_radius") * length_m
    short_m = max(radius_m - _shank_radius_m(frame), 0.0)
    return hip, hip + (1 - short_m / length_m) * whole, radius_m


def _shank_radius_m(frame: _Frame) -> float:
    return rule("shank_radius") * frame.hip_breadth_m


def _leg(figure: Figure, frame: _Frame, side: int) -> tuple[Solids, Solids]:
    """Return thigh and shank."""
    hip, end, thick_m = _thigh(figure, frame, side)
    thin_m = _shank_radius_m(frame)
    ankle = figure.feet_m[side] + thin_m * UP
    return (
        limb("thigh", hip, end, radius_m=thick_m),
        limb("shank", figure.knees_m[side], ankle, radius_m=thin_m),
    )
