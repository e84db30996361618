"""Lay figures: people as closed surfaces, clothed, posed and placed in the room."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np

from kinlight.errors import Fault, RangeError
from kinlight.figures import carried
from kinlight.figures.draft import SIDES, Draft
from kinlight.figures.gaze import looking_at
from kinlight.figures.growth import Body, Sex
from kinlight.figures.normals import crosses, normals
from kinlight.figures.points import figure_of
from kinlight.figures.postures import HELD, Asked, drafted
from kinlight.figures.rest import rest_of
from kinlight.figures.shapes import Index
from kinlight.figures.skeleton import Posed
from kinlight.figures.turns import about_z
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array, frozen, unit

Side = Literal["left", "right"]
_LETTERS: dict[Side, str] = {"left": "L", "right": "R"}
HAIR_M = 0.018
"""Thickness of the hair if nothing is said of it (common practice, no source)."""
_REMEMBERED = 64
_rest_of = lru_cache(maxsize=_REMEMBERED)(rest_of)


@dataclass(frozen=True, eq=False)
class LayFigure:
    """A person in a posture and a place.

    Attributes
    ----------
    person : how the plan refers to them.
    posture : its name.
    draft : the pose, in the room.
    bald_m : the surface without hair, (n, 3).
    vertices_m : the surface, hair and all, (n, 3).
    side : the holder's own side, of someone held; of others the side their posture uses.
    """

    person: str
    posture: str
    draft: Draft
    bald_m: Array
    vertices_m: Array
    side: Side

    @property
    def body(self) -> Body:
        """Return the person's sizes."""
        return self.draft.rest.body

    @property
    def faces(self) -> Index:
        """Return the corners of the surface's triangles, (f, 3)."""
        return self.draft.rest.shapes.faces

    @property
    def parts(self) -> Index:
        """Return what each face is of: SKIN, CLOTHES, EYES or HAIR of `shapes`, (f,)."""
        return self.draft.rest.shapes.parts

    @property
    def skeleton(self) -> Posed:
        """Return the joints."""
        return self.draft.posed

    @cached_property
    def normals(self) -> Array:
        """Return the outward unit normals of the vertices, (n, 3)."""
        return normals(self.vertices_m, self.faces)

    @property
    def head_frame(self) -> Array:
        """Return the head's own left, facing and up as rows, (3, 3)."""
        left, back, up = self.skeleton.turn("head").T
        return np.stack([left, -back, up])

    def landmark_m(self, name: str) -> Array:
        """Return where a landmark is, on the skin or the clothes, shape (3,)."""
        return np.asarray(self.bald_m[self.draft.rest.shapes.landmarks[name]])

    def landmark_normal(self, name: str) -> Array:
        """Return the outward unit normal of the patch about a landmark, shape (3,)."""
        one, two, three, four = self.bald_m[self.draft.rest.shapes.neighbours[name]]
        return unit(crosses((one - two)[None], (three - four)[None])[0])

    def eyes_m(self) -> Array:
        """Return the pupils, left first, (2, 3)."""
        return np.stack([self.landmark_m("pupil left"), self.landmark_m("pupil right")])

    def gazes(self) -> Array:
        """Return the unit vectors along which the eyes look, left first, (2, 3)."""
        return np.stack([-self.skeleton.turn(f"eye.{side}")[:, 1] for side in SIDES])

    def figure(self) -> Figure:
        """Return the person as landmarks alone."""
        return figure_of(self.person, self.draft, self.bald_m)


def lay_figure(
    person: str,
    body: Body,
    posture: str,
    place_m: tuple[float, float] = (0.0, 0.0),
    *,
    age_years: float,
    sex: Sex | None = None,
    light: bool = True,
    seat_height_m: float = 0.0,
    facing_deg: float = 0.0,
    head_turn_deg: float = 0.0,
    chin_up_deg: float = 0.0,
    head_tilt_deg: float = 0.0,
    looks_at_m: Array | None = None,
    lean_deg: float = 0.0,
    feet_apart_m: float | None = None,
    hands: str | None = None,
    hair_m: float = HAIR_M,
    holder: LayFigure | None = None,
    side: Side = "left",
) -> LayFigure:
    """Return a person posed in the room.

    Parameters
    ----------
    person : how the plan refers to them.
    body : their sizes.
    posture : one of `postures.POSTURES`.
    place_m : x and y on the floor: between the feet of someone standing, else under the hips;
        whoever is held is where the holder has them.
    age_years, sex : from which the shape is taken; None is half-way between the sexes.
    light : of the light mesh, to reckon with, or of the full one, to draw.
    seat_height_m : height over the floor of the seat, or of the box or mat they stand, sit, kneel
        or lie on.
    facing_deg : 0 toward the camera (-y), positive toward the person's own left. Someone who lies
        has their feet that way. Of someone held, only the head follows it freely.
    head_turn_deg, chin_up_deg, head_tilt_deg : the head on the trunk, toward the own left, tipped
        back, and tilted toward the left shoulder. It is level whatever the spine does, but goes
        with the trunk of someone who lies.
    looks_at_m : a place in the room they look at, shape (3,); the head turns and tips for it.
    lean_deg : of someone standing or kneeling, forward from the hips.
    feet_apart_m : between the ankles of someone standing; None puts them under the hips.
    hands : where the hands rest, one of `arms.HANDS`; None does what is usual in the posture.
    hair_m : thickness of the hair.
    holder : who holds them; for a lap someone seated, for a hip someone standing. Put the holder's
        arms around them with `holding` afterwards.
    side : which hip or thigh, the holder's own; of others the shin in front, or where the feet are.

    Raises
    ------
    RangeError
        For an unknown posture, numbers that do not fit it, or someone held by nobody.
    """
    _require_numbers(*place_m, facing_deg, head_turn_deg, chin_up_deg, head_tilt_deg, hair_m)
    if posture in HELD and holder is None:
        raise RangeError(Fault(f"nobody holds them on the {posture}", remedy="say who does"))
    rest = _rest_of(body, age_years=age_years, sex=sex, light=light)
    asked = Asked(seat_height_m, feet_apart_m, lean_deg, _LETTERS[side])
    draft = drafted(rest, posture, asked, hands)
    if holder is None or posture not in (*HELD, "lying"):
        draft = draft.placed(about_z(facing_deg), np.array([*place_m, 0.0]))
    else:
        draft = _held(draft, posture, holder.draft, _LETTERS[side], facing_deg)
        if posture in HELD:
            head_turn_deg += _wrapped_deg(facing_deg - carried.facing_of_deg(draft))
    draft = draft.head(head_turn_deg, chin_up_deg, head_tilt_deg)
    if looks_at_m is not None:
        draft = looking_at(draft, looks_at_m, tilt_deg=head_tilt_deg)
    return finished(person, posture, draft, hair_m=hair_m, side=side)


def finished(
    person: str, posture: str, draft: Draft, *, hair_m: float = HAIR_M, side: Side = "left"
) -> LayFigure:
    """Return the lay figure of a draft that stands in the room."""
    of, bald = draft.rest.shapes, draft.vertices()
    hairy = bald + normals(bald, of.faces) * (hair_m * of.hair)[:, None]
    return LayFigure(person, posture, draft, frozen(bald), frozen(hairy), side)


def holding(holder: LayFigure, child: LayFigure) -> LayFigure:
    """Return a holder with their arms around the child they hold."""
    letter = _LETTERS[child.side]
    held = {"hip": carried.holding_on_hip, "lap": carried.holding_on_lap}
    around = held.get(child.posture, carried.holding_across_lap)
    draft = around(holder.draft, child.draft, letter)
    return finished(holder.person, holder.posture, draft, side=holder.side)


def _held(draft: Draft, posture: str, holder: Draft, side: str, facing_deg: float) -> Draft:
    """Return someone where their holder has them."""
    if posture == "hip":
        return carried.on_hip(draft, holder=holder, side=side)
    if posture == "lap":
        return carried.on_lap(draft, holder=holder, side=side, facing_deg=facing_deg)
    return carried.across_lap(draft, holder=holder, side=side)


def _wrapped_deg(angle_deg: float) -> float:
    """Return an angle as -180 to 180 degrees."""
    return (angle_deg + 180.0) % 360.0 - 180.0


def _require_numbers(*values: float) -> None:
    """Raise RangeError unless all are numbers."""
    for value in values:
        if not math.isfinite(value):
            raise RangeError(Fault("is not a place, an angle or a length", given=f"{value:g}"))
