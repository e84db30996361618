"""How deep the people's shadow on the backdrop is, and the smallest moves that take it away."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.emitter import Emitter
from kinlight.light.engine import engine_in_use
from kinlight.light.mends import MOST_RAISE_M, raised_by
from kinlight.light.packed import lamps_of, shapes_of
from kinlight.light.transport import SAMPLES
from kinlight.light.world import Sheet, World
from kinlight.plan.lamp_room import fits_in_room
from kinlight.plan.spots import BEHIND_CAMERA_M
from kinlight.quantities.lengths import METRES_PER_INCH, length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.room_fit import room_sides_m
from kinlight.stage.scene import Scene
from kinlight.stage.view import settled
from kinlight.stage.world import BACKDROP, SWEEP

SHADOW_STOPS = 0.3
"""A shadow this deep on the backdrop shows: common practice, no source."""
MOST_FORWARD_M = 1.5
"""The farthest a set is brought forward, our choice: the backdrop's edges come into the frame."""
DARKEST_STOPS = 20.0
"""What no light at all counts as."""
_STEP_M = 0.1
_STEP_INCHES = 4
_LEAST_M = 0.02  # over the floor


@dataclass(frozen=True)
class ShadowMends:
    """Moves that leave no shadow that shows, each alone, in tens of centimetres or four inches.

    Attributes
    ----------
    forward_m : of people, camera, lights and panels away from the backdrop, whose own lights stay
        with it; null where there is no room for it, or none within 1.5 m does [m].
    light : the lamp that casts the shadow.
    raise_m : of that lamp, its aim kept; null where none does that fits under the ceiling [m].
    """

    forward_m: float | None
    light: str
    raise_m: float | None

    def sentence(self, *, units: str) -> str:
        """Return the moves in words: "bring people, camera and lights 40 cm forward"."""
        ways = []
        if self.forward_m is not None:
            forward = length_text(self.forward_m, units=units)
            ways.append(f"bring people, camera and lights {forward} forward")
        if self.raise_m is not None:
            ways.append(f"raise the {self.light} {length_text(self.raise_m, units=units)}")
        if ways:
            return " or ".join(ways)
        return f"the room leaves no move that ends it: swing the {self.light} farther out"


@dataclass(frozen=True)
class OnBackdrop:
    """What arrives at the places of a backdrop that are seen.

    Attributes
    ----------
    scene, lens_m : the picture staged, and from where it is seen [m].
    points_m : the places, shape (n, 3) [m].
    bounced_lxs : what they get by way of surfaces at the powers as set, shape (n,) [lx s].
    shares, on_face : the powers of all lights, and of key and fill alone, as shares of full [-].
    """

    sitting: Sitting
    scene: Scene
    lens_m: Array
    points_m: Array
    bounced_lxs: Array
    shares: Array
    on_face: Array

    @cached_property
    def fronts(self) -> tuple[Emitter, ...]:
        """The fronts of the lamps where they stand."""
        return tuple(lamp.emitter for lamp in self.scene.lamps)

    def straight_lxs(
        self, points: Array, fronts: tuple[Emitter, ...], sheets: tuple[Sheet, ...]
    ) -> tuple[Array, Array]:
        """Return what places get straight from each lamp at full, people there and away, (n, k)."""
        normals = np.broadcast_to([0.0, -1.0, 0.0], points.shape).copy()
        dome = np.zeros(len(points), dtype=np.bool_)
        flash = np.array([lamp.exitance_lxs for lamp in self.scene.lamps])
        there, away = (
            engine_in_use().direct(
                points,
                normals,
                dome,
                lamps_of(fronts),
                shapes_of(World(beings, sheets, None)),
                SAMPLES,
            )
            * flash
            for beings in (self.scene.world.beings, ())
        )
        return there, away

    def depth_stops(
        self,
        points: Array | None = None,
        fronts: tuple[Emitter, ...] | None = None,
        sheets: tuple[Sheet, ...] | None = None,
    ) -> Array:
        """Return by how much people darken places, by keeping key and fill off them, (n,)."""
        there, away = self.straight_lxs(
            self.points_m if points is None else points,
            self.fronts if fronts is None else fronts,
            self.scene.world.sheets if sheets is None else sheets,
        )
        light = there @ self.shares + self.bounced_lxs
        lost = np.maximum((away - there) @ self.on_face, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            depth = np.where(lost > 0, np.log2((light + lost) / light), 0.0)
        return np.asarray(np.minimum(depth, DARKEST_STOPS))


def shadow_mends(found: OnBackdrop, deepest: int) -> ShadowMends:
    """Return the smallest moves after which no place seen is in a shadow that shows.

    Parameters
    ----------
    deepest : the place where the shadow lies.

    Notes
    -----
    The picture of the people stays as it is: each place is looked for anew where the lens sees it.
    Light by way of walls is taken as it is now. A lamp is raised with its aim at the middle of the
    eyes.
    """
    there, away = found.straight_lxs(found.points_m, found.fronts, found.scene.world.sheets)
    number = int(((away - there) * found.on_face)[deepest].argmax())
    forward = next((d for d in _steps(found, _room_m(found.sitting)) if _ends(found, d)), None)
    return ShadowMends(forward, found.scene.lamps[number].id, _raise_m(found, number))


def _steps(found: OnBackdrop, most_m: float) -> Iterator[float]:
    """Yield the lengths tried, up to a limit."""
    feet = found.sitting.preferences.units == "feet"
    step_m = _STEP_INCHES * METRES_PER_INCH if feet else _STEP_M
    return (n * step_m for n in range(1, math.floor(most_m / step_m + 1e-9) + 1))


def _room_m(sitting: Sitting) -> float:
    """Return how far the set can be brought forward in its room."""
    front = room_sides_m(sitting)[2]
    camera = settled(sitting.camera.place, "camera, place").xyz_m()[1] - BEHIND_CAMERA_M
    stands = [x.place.xyz_m()[1] for x in sitting.lights if x.role != "backdrop"]
    stands += [panel.place.xyz_m()[1] for panel in sitting.reflectors]
    return min(MOST_FORWARD_M, *(y - front for y in (camera, *stands)))


def _ends(found: OnBackdrop, forward_m: float) -> bool:
    """Return whether no shadow shows with the backdrop, and its lights, so much farther behind."""
    by = np.array([0.0, forward_m, 0.0])
    with_it = {BACKDROP, SWEEP} | {x.id for x in found.sitting.lights if x.role == "backdrop"}
    sheets = tuple(
        replace(s, centre_m=s.centre_m + by) if s.name in with_it else s
        for s in found.scene.world.sheets
    )
    fronts = tuple(
        replace(e, polygon_m=e.polygon_m + by) if lamp.id in with_it else e
        for lamp, e in zip(found.scene.lamps, found.fronts, strict=True)
    )
    way = found.points_m - found.lens_m
    points = found.lens_m + way * (1 + forward_m / way[:, 1:2])
    depth = found.depth_stops(points, fronts, sheets)
    behind = found.sitting.backdrop
    on_it = (np.abs(points[:, 0]) <= behind.width_m / 2) & (points[:, 2] <= behind.height_m)
    return not (depth[on_it & (points[:, 2] >= _LEAST_M)] >= SHADOW_STOPS).any()


def _raise_m(found: OnBackdrop, number: int) -> float | None:
    """Return how far a lamp is to be raised; None where that does not fit or does not do."""
    lamp = found.scene.lamps[number]
    eyes = np.mean([f.face.eyes_m().mean(axis=0) for f in found.scene.figures], axis=0)
    fits = fits_in_room(found.sitting, lamp)
    sheets = tuple(s for s in found.scene.world.sheets if s.name != lamp.id)
    for raise_m in _steps(found, MOST_RAISE_M):
        up = raised_by(lamp.emitter, eyes, raise_m)
        if not fits(up):
            return None
        fronts = tuple(up if k == number else e for k, e in enumerate(found.fronts))
        if found.depth_stops(fronts=fronts, sheets=sheets).max() < SHADOW_STOPS:
            return raise_m
    return None
