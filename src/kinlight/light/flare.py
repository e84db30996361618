"""Whether the front of a lamp shines into the lens, how strongly, and how far a grid is from it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kinlight.geometry.vectors import unit
from kinlight.light.checks import require_positive
from kinlight.light.cut_off import cut_off_deg, off_axis_deg
from kinlight.light.emitter import Emitter
from kinlight.light.engine import Engine, engine_in_use
from kinlight.light.packed import lamps_of, shapes_of
from kinlight.light.world import World

_SAMPLES = 128
_NOTHING_STANDS = World()


@dataclass(frozen=True)
class Flare:
    """How a lamp stands to the lens.

    Attributes
    ----------
    sees : whether light comes straight from its front onto the lens.
    in_frame : whether the lamp itself is in the picture, as the caller said.
    angle_deg : the way from its middle to the lens, off the direction it faces [deg].
    cut_off_deg : turned so far from the lens, it no longer shines on it: by its grid, or 90 [deg].
    leeway_deg : the first less the second: how far it may be turned toward the lens before it
        shines into it; below zero, how far it has to be turned away [deg].
    level_stops : its light on the lens over the key's on the face; -inf for none [stop].
    """

    sees: bool
    in_frame: bool
    angle_deg: float
    cut_off_deg: float
    leeway_deg: float
    level_stops: float


def flare(
    camera_m: ArrayLike,
    looking: ArrayLike,
    emitter: Emitter,
    *,
    in_frame: bool,
    exitance_lxs: float,
    key_lxs: float,
    world: World = _NOTHING_STANDS,
    engine: Engine | None = None,
) -> Flare:
    """Return how a lamp stands to the lens.

    Parameters
    ----------
    camera_m : the entrance pupil, shape (3,) [m].
    looking : where the camera points, shape (3,), any length [-].
    emitter : the lamp's front, with its beam and its grid.
    in_frame : whether the lamp itself is in the picture.
    exitance_lxs : luminous exitance of the front as it is powered [lx s].
    key_lxs : the exposure of a face, flat on the side of the key [lx s].
    world : what may stand in between: flags, people.
    engine : for the light; the one in use by default.

    Raises
    ------
    RangeError
        If the exitance or the exposure of the face is not above zero.

    Notes
    -----
    The light on the lens is that on a flat receptor in its place, square to its axis. How much of
    it veils the picture depends on the lens, its coating and its hood, and is not known here.
    """
    require_positive(exitance_lxs, what="the light of a lamp", unit="lx s")
    require_positive(key_lxs, what="the exposure of a face", unit="lx s")
    camera = np.asarray(camera_m, dtype=np.float64)
    receiver = (camera[None], unit(looking)[None], np.zeros(1, dtype=np.bool_))
    use, lamp = engine or engine_in_use(), lamps_of([emitter])
    factor = float(use.direct(*receiver, lamp, shapes_of(world), _SAMPLES)[0, 0])
    level = math.log2(factor * exitance_lxs / key_lxs) if factor > 0 else -math.inf
    angle_deg, cut_off = off_axis_deg(camera, emitter), cut_off_deg(camera, emitter)
    return Flare(factor > 0, in_frame, angle_deg, cut_off, angle_deg - cut_off, level)
