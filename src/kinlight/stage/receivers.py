"""Where light is asked for in a picture: on faces, hair, clothes and backdrop, and by the meter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import Fault, SittingError
from kinlight.geometry.people import Figure
from kinlight.geometry.solids import lifted
from kinlight.geometry.vectors import UP, Array, crossed, unit
from kinlight.light.world import Receivers
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import MeterPoint
from kinlight.stage.lamps import Lamp
from kinlight.stage.people import solids_of
from kinlight.stage.world import backdrop_y_m

BACKDROP_SPREAD_M = 0.6
"""Backdrop is judged in its middle and this far to either side, at face height."""
BACKDROP_ACROSS, BACKDROP_UP = 9, 7
"""Points of the backdrop on which the group's shadow is looked for."""
CHIN_METER_M = 0.03
"""How far before the chin the meter's dome is held (from memory)."""
_OFF_M = 0.001
_OFF_BACKDROP_M = 0.002
_BACK = np.array([0.0, -1.0, 0.0])


@dataclass(frozen=True)
class Receiver:
    """A point that light falls on. `what` names it: chin, cheek left, hair, backdrop, a meter."""

    what: str
    whose: str
    point_m: Array
    normal: Array
    dome: bool


def as_receivers(found: Sequence[Receiver]) -> Receivers:
    """Return receivers as light takes them; each is reckoned alike whatever others there are."""
    seen: dict[str, int] = {}
    turn = []
    for r in found:
        turn.append(seen.setdefault(r.whose, 0))
        seen[r.whose] += 1
    return Receivers(
        np.array([r.point_m for r in found]).reshape(-1, 3),
        np.array([r.normal for r in found]).reshape(-1, 3),
        np.array([r.dome for r in found], dtype=np.bool_),
        np.array(turn, dtype=np.int64),
    )


def figure_receivers(sitting: Sitting, figure: Figure, camera_m: Array) -> list[Receiver]:
    """Return the receivers of one person, and of the backdrop behind their edges.

    Chin by dome toward the camera; flat ones on both cheeks, nose, hair (crown and to either side)
    and both upper arms; and where the camera sees each edge of head and arms against the backdrop.
    """
    face, who = figure.face, figure.person
    own = solids_of(figure)
    chin = face.chin_m + CHIN_METER_M * unit(camera_m - face.chin_m)
    aside = crossed(face.up, face.facing)
    flat = {
        "cheek left": (face.cheek_left_m, face.cheek_normal("left")),
        "cheek right": (face.cheek_right_m, face.cheek_normal("right")),
        "nose": (face.nose_m, face.facing),
        "hair": (face.crown_m, face.up),
        **_hair_sides(figure, aside),
    }
    head = own.named("head", "neck")
    points, _clear = lifted(
        np.array([p for p, _ in flat.values()]),
        np.array([n for _, n in flat.values()]),
        head,
        by_m=_OFF_M,
    )
    found = [Receiver("chin", who, chin, unit(camera_m - face.chin_m), dome=True)]
    found += [
        Receiver(what, who, point, unit(normal), dome=False)
        for (what, (_, normal)), point in zip(flat.items(), points, strict=True)
    ]
    return found + _edges(sitting, figure, camera_m, aside)


def _hair_sides(figure: Figure, aside: Array) -> dict[str, tuple[Array, Array]]:
    """Return points of the hair up and to either side, 45 degrees from the crown."""
    face = figure.face
    middle = (face.crown_m + face.chin_m) / 2
    half_height = float(np.linalg.norm(face.crown_m - face.chin_m)) / 2
    slant = np.sqrt(0.5)
    sides = {}
    for name, sign in (("hair left", 1.0), ("hair right", -1.0)):
        out = sign * aside
        point = middle + slant * (half_height * face.up + figure.head_breadth_m / 2 * out)
        sides[name] = (point, unit(face.up / half_height + out / (figure.head_breadth_m / 2)))
    return sides


def _edges(sitting: Sitting, figure: Figure, camera_m: Array, aside: Array) -> list[Receiver]:
    """Return clothes at both upper arms, and the backdrop seen beside them and beside the head."""
    face, found = figure.face, []
    middle = (face.crown_m + face.chin_m) / 2
    for k, (side, sign) in enumerate((("left", 1.0), ("right", -1.0))):
        out = sign * aside
        arm = (figure.shoulders_m[k] + figure.elbows_m[k]) / 2
        normal = unit(out + unit(camera_m - arm))
        clothes = arm + 0.05 * out + _OFF_M * normal
        found.append(Receiver(f"clothes {side}", figure.person, clothes, normal, dome=False))
        edges = {"arm": arm + 0.08 * out, "head": middle + (figure.head_breadth_m / 2 + 0.03) * out}
        for part, edge in edges.items():
            behind = _on_backdrop(sitting, edge, camera_m)
            what = f"behind {part} {side}"
            found.append(Receiver(what, figure.person, behind, _BACK, dome=False))
    return found


def _on_backdrop(sitting: Sitting, point: Array, camera_m: Array) -> Array:
    """Return where the camera sees a point against the backdrop, kept on the backdrop."""
    y = backdrop_y_m(sitting) - _OFF_BACKDROP_M
    ahead = point - camera_m
    share = (y - camera_m[1]) / ahead[1] if ahead[1] > 0 else 1.0
    seen = camera_m + share * ahead
    half = sitting.backdrop.width_m / 2
    x = float(np.clip(seen[0], -half, half))
    z = float(np.clip(seen[2], 0.02, sitting.backdrop.height_m))
    return np.array([x, y, z])


def backdrop_points(sitting: Sitting, height_m: float) -> list[Receiver]:
    """Return the backdrop's middle and to either side of it, at a height."""
    y = backdrop_y_m(sitting) - _OFF_BACKDROP_M
    return [
        Receiver("backdrop", "", np.array([x, y, height_m]), _BACK, dome=False)
        for x in (-BACKDROP_SPREAD_M, 0.0, BACKDROP_SPREAD_M)
    ]


def shadow_points(sitting: Sitting, low_m: Array, high_m: Array) -> list[Receiver]:
    """Return a grid of points of the backdrop between two corners (x, z), those on it."""
    y = backdrop_y_m(sitting) - _OFF_BACKDROP_M
    half = sitting.backdrop.width_m / 2
    found = []
    for z in np.linspace(low_m[1], high_m[1], BACKDROP_UP):
        for x in np.linspace(low_m[0], high_m[0], BACKDROP_ACROSS):
            if abs(x) <= half and 0.02 <= z <= sitting.backdrop.height_m:
                found.append(Receiver("shadow", "", np.array([x, y, z]), _BACK, dome=False))
    return found


def meter_receiver(point: MeterPoint, camera_m: Array, lamps: Sequence[Lamp]) -> Receiver:
    """Return a meter point; a reflected reading is of what falls flat on its patch."""
    at = np.array(point.place.xyz_m())
    targets = {lamp.id: lamp.emitter.centre_m - at for lamp in lamps}
    targets |= {"camera": camera_m - at, "backdrop": -_BACK, "up": UP}
    toward = targets[point.facing]
    if not np.linalg.norm(toward) > 0:
        raise SittingError(
            Fault(
                f"is in the very place of what it faces, the {point.facing}",
                where=f"meter point '{point.id}'",
                remedy="move it",
            )
        )
    return Receiver("meter", point.id, at, unit(toward), point.receptor == "dome")
