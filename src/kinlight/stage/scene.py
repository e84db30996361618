"""A picture staged: where its light falls, and how much of each lamp's light arrives there.

`stage` gives a `Scene`, `transfer` what each lamp at full power brings to each receiver, straight
and by what surfaces. From there on power, ISO and f-number cost no geometry. Each step is kept by a
hash of what it reads: a moved lamp costs its own column alone. What the bodies of lamps keep off is
part of the world and is renewed when the picture is staged anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array, unit
from kinlight.light.transport import (
    SAMPLES,
    Gathered,
    Light,
    Surroundings,
    gathered,
    leaving_at,
    light_at,
    surroundings,
)
from kinlight.light.world import Receivers, World
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Picture
from kinlight.stage.lamps import Lamp, lamps_of
from kinlight.stage.memory import Memory, digest
from kinlight.stage.receivers import (
    Receiver,
    as_receivers,
    backdrop_points,
    figure_receivers,
    meter_receiver,
)
from kinlight.stage.view import settled
from kinlight.stage.world import world_of

_around: Memory[Surroundings] = Memory(48)
_gather: Memory[Gathered] = Memory(96)
_leaving: Memory[Array] = Memory(1024)
_column: Memory[Light] = Memory(1024)


@dataclass(frozen=True)
class Scene:
    """Everything light needs to know of one picture."""

    picture: str
    figures: tuple[Figure, ...]
    lamps: tuple[Lamp, ...]
    receivers: tuple[Receiver, ...]
    world: World

    def with_lamp(self, lamp: Lamp) -> Scene:
        """Return the scene with one lamp moved or changed, its body left where it was."""
        lamps = tuple(lamp if one.id == lamp.id else one for one in self.lamps)
        return replace(self, lamps=lamps)

    def with_moved(self, person: str, by_m: ArrayLike) -> Scene:
        """Return the scene with one person moved, and what is asked for of them."""
        by = np.asarray(by_m, dtype=np.float64)
        beings = tuple(b.moved(by) if b.name == person else b for b in self.world.beings)
        receivers = tuple(
            replace(r, point_m=r.point_m + by)
            if r.whose == person and not r.what.startswith("behind")
            else r
            for r in self.receivers
        )
        return replace(self, receivers=receivers, world=replace(self.world, beings=beings))


@dataclass(frozen=True)
class Transfer:
    """What each lamp brings to each receiver.

    Attributes
    ----------
    receivers : as in the scene, n of them.
    lamps : ids of the lamps, k of them.
    flash_lxs : all light at full power, shape (n, k) [lx s].
    direct_lxs : of that, what comes straight from the lamps, shape (n, k) [lx s].
    bounced_lxs : by way of each group of surfaces, shape (groups, n, k) [lx s].
    groups : the names of these: people, a reflector's id, walls, floor, ceiling.
    modelling_lx : by the modelling lamps that are on, shape (n, k) [lx].
    """

    receivers: tuple[Receiver, ...]
    lamps: tuple[str, ...]
    flash_lxs: Array
    direct_lxs: Array
    bounced_lxs: Array
    groups: tuple[str, ...]
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
    found = [r for f in figures for r in figure_receivers(sitting, f, camera)]
    world = world_of(sitting, figures, lamps, camera)
    return Scene(picture.key, tuple(figures), lamps, tuple(found), world)


def stage_meter(sitting: Sitting, *, height_m: float) -> Scene:
    """Return the empty set with its meter points, one of them over the mark.

    Parameters
    ----------
    height_m : height over the floor of that one and of the points on the backdrop: the faces'.
    """
    camera = np.array(settled(sitting.camera.place, "camera, place").xyz_m())
    lamps = lamps_of(sitting, camera, {})
    at_mark = np.array([0.0, 0.0, height_m])
    found = [Receiver("mark", "", at_mark, unit(camera - at_mark), dome=True)]
    found += [
        Receiver("toward", lamp.id, at_mark, unit(lamp.emitter.centre_m - at_mark), dome=False)
        for lamp in lamps
    ]
    found += [meter_receiver(p, camera, lamps) for p in sitting.meter_points]
    found += backdrop_points(sitting, height_m)
    return Scene("", (), lamps, tuple(found), world_of(sitting, (), lamps, camera))


def transfer(scene: Scene, *, samples: int = SAMPLES) -> Transfer:
    """Return what each lamp at full power brings to each receiver of the scene."""
    at = as_receivers(scene.receivers)
    lights = _lights(scene, at, samples)
    flash = np.array([lamp.exitance_lxs for lamp in scene.lamps])
    modelling = np.array([lamp.modelling_lm / lamp.emitter.area_m2 for lamp in scene.lamps])
    groups = lights[0].groups if lights else ()
    shape = (len(groups), len(at), len(lights))
    direct, bounced = np.zeros(shape[1:]), np.zeros(shape)
    for k, light in enumerate(lights):
        direct[:, k] = light.direct[:, 0]
        bounced[:, :, k] = light.bounced_by[:, :, 0]
    total = direct + bounced.sum(axis=0)
    return Transfer(
        scene.receivers,
        tuple(lamp.id for lamp in scene.lamps),
        total * flash,
        direct * flash,
        bounced * flash,
        groups,
        total * modelling,
    )


def _lights(scene: Scene, at: Receivers, samples: int) -> list[Light]:
    """Return what each lamp brings per unit exitance; those not at hand are reckoned together."""
    world, points = digest(scene.world), digest(at)
    emitters = [lamp.emitter for lamp in scene.lamps]
    fronts = [digest(e) for e in emitters]

    def make(some: list[int]) -> list[Light]:
        around = _around.get(world, lambda: surroundings(scene.world))
        gather = _gather.get((world, points), lambda: gathered(around, at))
        asked = [emitters[k] for k in some]
        leaving = _leaving.each(
            [(world, fronts[k]) for k in some],
            lambda few: list(leaving_at(around, [asked[k] for k in few]).T),
        )
        light = light_at(around, asked, at, gather, leaving=np.array(leaving).T, samples=samples)
        return [light.of(k) for k in range(len(some))]

    return _column.each([(world, points, front, samples) for front in fronts], make)


def forget() -> None:
    """Forget everything kept, as `bench` does between runs."""
    for memory in (_around, _gather, _leaving, _column):
        memory.clear()
