"""Which lamps and reflectors show in eyes that look into the lens, and how bright."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinlight.geometry.people import Figure
from kinlight.geometry.solids import Solids, lifted
from kinlight.geometry.vectors import Array, unit
from kinlight.light.catchlight import catchlight, iris_mm, sheet_front
from kinlight.light.emitter import Emitter
from kinlight.light.engine import engine_in_use
from kinlight.light.packed import lamps_of, shapes_of
from kinlight.light.transport import SAMPLES
from kinlight.sitting.document import Sitting
from kinlight.stage.receivers import Receiver, as_receivers
from kinlight.stage.scene import Scene, transfer

DIM_STOPS = 6.0
"""A reflector that shows in an eye is spoken of if it is no more than this dimmer than the
brightest lamp in it, a sixty-fourth: common practice, no source."""
_SIDES = ("left", "right")
_OFF_SHEET_M = 1e-3


@dataclass(frozen=True)
class EyeLight:
    """A lamp or reflector that shows in an eye which looks into the lens.

    `eye` is the person's own: their left eye is the right one in the picture.

    Attributes
    ----------
    eye : the person's own left or right.
    light : which lamp or reflector it is.
    position : where it lies as seen from the camera, "10 o'clock".
    clock : the same in hours, 12 along the head's own upright.
    iris_share : how large it is, over the diameter of the iris [-].
    dimmer_stops : by how much it is dimmer than the brightest lamp in that eye.
    """

    eye: str
    light: str
    position: str
    clock: float
    iris_share: float
    dimmer_stops: float


def _eyes_m(scene: Scene) -> Array:
    """Return everybody's eyes, (people, 2, 3) [m]."""
    bodies = {b.name: b.solids for b in scene.world.beings}
    return np.array([_bare_eyes_m(f, bodies[f.person]) for f in scene.figures])


def free_ways(scene: Scene, places: Sequence[Array]) -> NDArray[np.bool_]:
    """Return which eyes have a free way to which places, (people, 2, places)."""
    eyes = _eyes_m(scene)
    at = np.array(places).reshape(-1, 3)
    shape = (*eyes.shape[:2], len(at), 3)
    starts = np.broadcast_to(eyes[:, :, None], shape).reshape(-1, 3)
    ends = np.broadcast_to(at, shape).reshape(-1, 3)
    free = engine_in_use().clear(starts.copy(), ends.copy(), shapes_of(scene.world))
    return free.reshape(shape[:3])


def _bare_eyes_m(figure: Figure, body: Solids) -> Array:
    """Return both eyes, moved out of the rounded head that stands for the person's, (2, 3)."""
    points, _ = lifted(figure.face.eyes_m(), figure.face.facing, body.named("head"))
    return points


def eye_lights(
    sitting: Sitting, scene: Scene, shows: NDArray[np.bool_], shares: Array, lens_m: Array
) -> list[tuple[EyeLight, ...]]:
    """Return what shows in the eyes of everybody in a picture, in the order of its people.

    Parameters
    ----------
    shows : which lamps bring light to faces and have a free way to an eye, (people, 2, lamps).
    shares : the powers of the lights as shares of full [-].
    lens_m : the entrance pupil, into which everybody looks, shape (3,) [m].

    Notes
    -----
    Reflectors count by their whole outline and by what they send on, on average, toward the eye; a
    lamp mirrored in silver is brighter in its middle. A scrim or a black sheet is none.
    """
    found = _sources(sitting, scene, shows, shares, lens_m)
    return [_catchlights(sitting, found, f, k, lens_m) for k, f in enumerate(scene.figures)]


@dataclass(frozen=True)
class _Source:
    """What may show in eyes: its front, which eyes have a free way to it, and how bright it is.

    `shows` and `bright_lxs` have shape (people, 2); the latter is pi times its mean luminance as
    seen from the eye.
    """

    name: str
    front: Emitter
    shows: NDArray[np.bool_]
    bright_lxs: Array
    is_lamp: bool


def _sources(
    sitting: Sitting, scene: Scene, shows: NDArray[np.bool_], shares: Array, lens_m: Array
) -> list[_Source]:
    """Return the lamps and reflectors that may show in eyes; `shows` is of the lamps."""
    sheets = {s.name: s for s in scene.world.sheets}
    middle = _eyes_m(scene).mean(axis=(0, 1)) if scene.figures else lens_m
    asked = [(r.id, sheet_front(sheets[r.id], middle)) for r in sitting.reflectors]
    panels = [(name, front) for name, front in asked if front is not None]
    fronts = [*((lamp.id, lamp.emitter) for lamp in scene.lamps), *panels]
    free = free_ways(scene, [f.centre_m + _OFF_SHEET_M * f.normal for _, f in panels])
    bright = _brightness_lxs(scene, fronts, shares, lens_m)
    both = np.concatenate([shows, free], axis=2)
    return [
        _Source(name, front, both[:, :, k], bright[:, :, k], k < len(scene.lamps))
        for k, (name, front) in enumerate(fronts)
    ]


def _brightness_lxs(
    scene: Scene, fronts: Sequence[tuple[str, Emitter]], shares: Array, lens_m: Array
) -> Array:
    """Return how bright fronts are as seen from every eye, (people, 2, fronts) [lx s].

    The light that comes from a front to the eye, over what it would be if the part of it that is
    seen were evenly lit at an exitance of one: lamps first, then reflectors.
    """
    eyes, lamps = _eyes_m(scene), len(scene.lamps)
    asked = tuple(
        Receiver("eye", f.person, eye, unit(lens_m - eye), dome=True)
        for f, pair in zip(scene.figures, eyes, strict=True)
        for eye in pair
    )
    light = np.zeros((len(asked), len(fronts)))
    flash = np.array([lamp.exitance_lxs for lamp in scene.lamps])
    light[:, :lamps] = _per_exitance(scene, asked, [f for _, f in fronts[:lamps]]) * flash * shares
    if len(fronts) > lamps:
        moved = transfer(replace(scene, receivers=asked))
        sent = dict(zip(moved.groups, moved.bounced_lxs @ shares, strict=True))
        light[:, lamps:] = np.column_stack([sent[name] for name, _ in fronts[lamps:]])
    even = [replace(front, beam=1.0, edge_stops=0.0, grid=None) for _, front in fronts]
    whole = _per_exitance(scene, asked, even)
    bright = np.divide(light, whole, out=np.zeros_like(light), where=whole > 0)
    return np.asarray(bright.reshape(*eyes.shape[:2], len(fronts)))


def _per_exitance(scene: Scene, asked: Sequence[Receiver], fronts: Sequence[Emitter]) -> Array:
    """Return the light straight from fronts per unit exitance, what blocks it counted, (n, k)."""
    at = as_receivers(asked)
    return engine_in_use().direct(
        at.points_m, at.normals, at.dome, lamps_of(fronts), shapes_of(scene.world), SAMPLES
    )


def _catchlights(
    sitting: Sitting, sources: Sequence[_Source], figure: Figure, k: int, lens_m: Array
) -> tuple[EyeLight, ...]:
    """Return what shows in both eyes of the k-th person, who looks into the lens."""
    iris = iris_mm(sitting.age_years(figure.person))
    found = []
    for e, (eye, at) in enumerate(zip(_SIDES, figure.face.eyes_m(), strict=True)):
        showing = [s for s in sources if s.shows[k, e]]
        most = max((float(s.bright_lxs[k, e]) for s in showing if s.is_lamp), default=0.0)
        for source in showing:
            dimmer = dimmer_stops(float(source.bright_lxs[k, e]), most)
            if not source.is_lamp and dimmer > DIM_STOPS:
                continue
            image = catchlight(
                at, unit(lens_m - at), figure.face.up, lens_m, source.front, iris_mm=iris
            )
            if image is not None and image.seen:
                where = image.position, image.clock, image.iris_share
                found.append(EyeLight(eye, source.name, *where, dimmer))
    return tuple(found)


def dimmer_stops(bright: float, most: float) -> float:
    """Return how many stops one brightness is under the most; inf for none at all [stop]."""
    if bright <= 0:
        return math.inf
    return math.log2(most / bright) if most > bright else 0.0
