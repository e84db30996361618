"""Which lamps shine into the lens in a picture."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.cut_off import OPEN_DEG, off_axis_deg
from kinlight.light.exposure import exposure_for_lxs
from kinlight.light.flare import Flare, flare
from kinlight.light.world import World
from kinlight.optics.framing import CameraView
from kinlight.plan.faces import FaceReading
from kinlight.plan.lit import working_f_number
from kinlight.sitting.document import Sitting
from kinlight.stage.scene import Scene

_EMPTY = World()


@dataclass(frozen=True)
class LampToLens:
    """How a lamp stands to the lens in a picture; its level is over the faces' key sides.

    Attributes
    ----------
    light : which lamp it is.
    to_lens : how it stands, with what its grid leaves; in the frame is what shows in the print.
    """

    light: str
    to_lens: Flare


def lamps_to_lens(
    sitting: Sitting,
    scene: Scene,
    view: CameraView,
    faces: Sequence[FaceReading],
    shares: Array,
    *,
    gear: Collection[str],
) -> tuple[LampToLens, ...]:
    """Return how every lamp stands to the lens; none where no face has light.

    Parameters
    ----------
    scene, view : the picture staged, and the camera's view of it.
    faces : how its faces are lit: their key sides, on average, are what levels count from.
    shares : the powers of the lights as shares of full [-].
    gear : what hangs in the print.
    """
    lit = [2.0**f.key_side_stops for f in faces if f.ratio > 0]
    if not lit:
        return ()
    wanted = exposure_for_lxs(
        working_f_number(sitting), iso=sitting.camera.iso, c=sitting.meter.c_flat
    )
    found = []
    for lamp, share in zip(scene.lamps, shares.tolist(), strict=True):
        turned_off = off_axis_deg(view.entrance_pupil_m, lamp.emitter) >= OPEN_DEG
        to_lens = flare(
            view.entrance_pupil_m,
            view.axis,
            lamp.emitter,
            in_frame=lamp.id in gear,
            exitance_lxs=lamp.exitance_lxs * share,
            key_lxs=float(wanted) * float(np.mean(lit)),
            world=_EMPTY if turned_off else scene.world,
        )
        found.append(LampToLens(lamp.id, to_lens))
    return tuple(found)
