"""A picture staged: where its light falls, and how much of each lamp's light arrives there.

`stage` gives a `Scene`, `transfer` what each lamp at full power brings to each receiver. From
there on power, ISO and f-number cost no geometry. Light is direct here: figures, panels and
walls neither block nor reflect it yet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import Fault, SittingError
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import UP, Array, unit
from kinlight.light.polygon import dome_factor, flat_factor
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import MeterPoint
from kinlight.sitting.pictures import Picture
from kinlight.stage.lamps import Lamp, lamps_of
from kinlight.stage.view import settled

BACKDROP_SPREAD_M = 0.6
"""Backdrop is judged in its middle and this far to either side, at face height."""


@dataclass(frozen=True)
class Receiver:
    """A point that light falls on. `what` names it: chin, cheek left, hair, backdrop, a meter."""

    what: str
    whose: str
    point_m: Array
    normal: Array
    dome: bool


@dataclass(frozen=True)
class Scene:
    """Everything light needs to know of one picture."""

    picture: str
    figures: tuple[Figure, ...]
    lamps: tuple[Lamp, ...]
    receivers: tuple[Receiver, ...]


@dataclass(frozen=True)
class Transfer:
    """What each lamp brings to each receiver.

    Attributes
    ----------
    receivers : as in the scene, n of them.
    lamps : ids of the lamps, k of them.
    flash_lxs : at full power, shape (n, k) [lx s].
    modelling_lx : by the modelling lamps that are on, shape (n, k) [lx].
    """

    receivers: tuple[Receiver, ...]
    lamps: tuple[str, ...]
    flash_lxs: Array
    modelling_lx: Array

    def rows(self, what: str, whose: str = "") -> list[int]:
        """Return the rows of the receivers of that name."""
        return [
            i for i, r in enumerate(self.receivers) if r.what == what and whose in ("", r.whose)
        ]


def stage(sitting: Sitting, picture: Picture, figures: Sequence[Figure]) -> Scene:
    """Return the scene of a settled picture."""
    camera = np.array(settled(sitting.camera.place, "camera, place").xyz_m())
    by_person = {f.person: f for f in figures}
    lamps = lamps_of(sitting, camera, by_person)
    faces = [r for f in figures for r in _face_receivers(f, camera)]
    return Scene(picture.key, tuple(figures), lamps, tuple(faces))


def stage_meter(sitting: Sitting, *, height_m: float) -> Scene:
    """Return the empty set with its meter points, one of them over the mark.

    Parameters
    ----------
    height_m : height over the floor of that one and of the points on the backdrop: the faces'.
    """
    camera = np.array(settled(sitting.camera.place, "camera, place").xyz_m())
    lamps = lamps_of(sitting, camera, {})
    at_mark = np.array([0.0, 0.0, height_m])
    mark = Receiver("mark", "", at_mark, unit(camera - at_mark), dome=True)
    toward_lamps = [
        Receiver("toward", lamp.id, at_mark, unit(lamp.emitter.centre_m - at_mark), dome=False)
        for lamp in lamps
    ]
    points = [_meter_receiver(p, camera, lamps) for p in sitting.meter_points]
    return Scene("", (), lamps, (mark, *toward_lamps, *points, *_backdrop(sitting, height_m)))


def transfer(scene: Scene) -> Transfer:
    """Return what each lamp at full power brings to each receiver of the scene."""
    points = np.array([r.point_m for r in scene.receivers])
    normals = np.array([r.normal for r in scene.receivers])
    domes = np.array([r.dome for r in scene.receivers])
    factors = np.zeros((len(points), len(scene.lamps)))
    for k, lamp in enumerate(scene.lamps):
        polygon = lamp.emitter.polygon_m
        if domes.any():
            factors[domes, k] = dome_factor(points[domes], normals[domes], polygon)
        if not domes.all():
            factors[~domes, k] = flat_factor(points[~domes], normals[~domes], polygon)
    flash = np.array([lamp.exitance_lxs for lamp in scene.lamps])
    modelling = np.array([lamp.modelling_lm / lamp.emitter.area_m2 for lamp in scene.lamps])
    return Transfer(
        scene.receivers,
        tuple(lamp.id for lamp in scene.lamps),
        factors * flash,
        factors * modelling,
    )


def _face_receivers(figure: Figure, camera_m: Array) -> list[Receiver]:
    face, who = figure.face, figure.person
    return [
        Receiver("chin", who, face.chin_m, unit(camera_m - face.chin_m), dome=True),
        Receiver("cheek left", who, face.cheek_left_m, face.cheek_normal("left"), dome=False),
        Receiver("cheek right", who, face.cheek_right_m, face.cheek_normal("right"), dome=False),
        Receiver("hair", who, face.crown_m, face.up, dome=False),
    ]


def _backdrop(sitting: Sitting, height: float) -> list[Receiver]:
    y = sitting.backdrop.distance_m
    return [
        Receiver("backdrop", "", np.array([x, y, height]), np.array([0.0, -1.0, 0.0]), dome=False)
        for x in (-BACKDROP_SPREAD_M, 0.0, BACKDROP_SPREAD_M)
    ]


def _meter_receiver(point: MeterPoint, camera_m: Array, lamps: Sequence[Lamp]) -> Receiver:
    at = np.array(point.place.xyz_m())
    targets = {lamp.id: lamp.emitter.centre_m - at for lamp in lamps}
    targets |= {"camera": camera_m - at, "backdrop": np.array([0.0, 1.0, 0.0]), "up": UP}
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
