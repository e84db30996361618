"""A picture staged: where its light falls, and how much of each lamp's light arrives there.

`stage` gives a `Scene`, `transfer` what each lamp at full power brings to each receiver, straight
and by what surfaces. From there on power, ISO and f-number cost no geometry. Each step is kept by a
hash of what it reads: a moved lamp costs its own column alone. What the bodies of lamps keep off is
part of the world and is renewed when the picture is staged anew.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
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
        """Return the scene with one lamp moved or changed, front and body.

        Its own light meets its body in the new place, all other light still in the old one, until
        the picture is staged anew.
        """
        lamps = tuple(lamp if one.id == lamp.id else one for one in self.lamps)
        return replace(self, lamps=lamps)

    def with_moved(self, people: Collection[str], by_m: ArrayLike) -> Scene:
        """Return the scene with people moved, and what is asked for of their faces and hair.

        Whoever holds somebody is named with them. All keep the way they face; what is asked for of
        the backdrop behind them stays where it was until the picture is staged anew.
        """
        by = np.asarray(by_m, dtype=np.float64)
        beings = tuple(b.moved(by) if b.name in people else b for b in self.world.beings)
        figures = tuple(f.moved(by) if f.person in people else f for f in self.figures)
        receivers = tuple(
            replace(r, point_m=r.point_m + by)
            if r.whose in people and not r.what.startswith("behind")
            else r
            for r in self.receivers
        )
        world = replace(self.world, beings=beings)
        return replace(self, figures=figures, receivers=receivers, world=world)

    def seen_by(self, number: int) -> World:
        """Return the world as the light of one lamp finds it: that lamp's body where it is now."""
        first = len(self.world.sheets) - len(self.lamps)
        own, box = first + number, self.lamps[number].box
        if digest(self.world.sheets[own]) == digest(box):
            return self.world
        sheets = (*self.world.sheets[:own], box, *self.world.sheets[own + 1 :])
        return replace(self.world, sheets=sheets)


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
    seen = [scene.seen_by(k) for k in range(len(scene.lamps))]
    keys = [
        (world, world if s is scene.world else digest(s), digest(lamp.emitter))
        for s, lamp in zip(seen, scene.lamps, strict=True)
    ]

    def make(some: list[int]) -> list[Light]:
        still = [k for k in some if seen[k] is scene.world]
        made = dict(zip(still, _made(scene, at, points, keys, still, samples), strict=True))
        for k in some:
            if k not in made:
                (made[k],) = _made(scene, at, points, keys, [k], samples)
        return [made[k] for k in some]

    return _column.each([(*key, points, samples) for key in keys], make)


def _made(
    scene: Scene,
    at: Receivers,
    points: bytes,
    keys: Sequence[tuple[bytes, bytes, bytes]],
    some: Sequence[int],
    samples: int,
) -> list[Light]:
    """Return what some lamps bring, all of which find the world alike."""
    if not some:
        return []
    world = keys[some[0]][0]
    around = _around.get(world, lambda: surroundings(scene.world))
    gather = _gather.get((world, points), lambda: gathered(around, at))
    found = scene.seen_by(some[0])
    if found is not scene.world:
        around = around.among(found)
    emitters = [scene.lamps[k].emitter for k in some]
    leaving = _leaving.each(
        [keys[k] for k in some],
        lambda few: list(leaving_at(around, [emitters[k] for k in few]).T),
    )
    light = light_at(around, emitters, at, gather, leaving=np.array(leaving).T, samples=samples)
    return [light.of(k) for k in range(len(some))]


def forget() -> None:
    """Forget everything kept, as `bench` does between runs."""
    for memory in (_around, _gather, _leaving, _column):
        memory.clear()
