"""Whether a lamp can be set elsewhere: between the walls, and its top under the ceiling."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from kinlight.light.booms import ceiling_clearance
from kinlight.light.emitter import Emitter
from kinlight.sitting.document import Sitting
from kinlight.sitting.room_fit import CLEARANCE_M, room_sides_m
from kinlight.stage.lamps import Lamp

_ROUNDING_M = 1e-9


def fits_in_room(sitting: Sitting, lamp: Lamp) -> Callable[[Emitter], bool]:
    """Return how to tell whether a lamp fits into the room where its front is tried.

    Notes
    -----
    Its top is reckoned as in the table of stands, with what is stated to reach behind its front,
    and stays `CLEARANCE_M` under the ceiling. A lamp that stands higher already fits nowhere
    higher.
    """
    left, right, front, back = room_sides_m(sitting)
    light = next(x for x in sitting.lights if x.id == lamp.id)
    depth_m = light.modifier.depth_m or 0.0

    def fits(emitter: Emitter) -> bool:
        x, y, z = emitter.centre_m
        down = float(np.clip(-emitter.normal[2], -1.0, 1.0))
        over = ceiling_clearance(
            centre_height_m=float(z),
            front_height_m=2 * lamp.box.half_m[1],
            tilt_deg=math.degrees(math.asin(down)),
            ceiling_m=sitting.room.ceiling_m,
            depth_m=depth_m,
        )
        between = left <= x <= right and front <= y <= back
        return bool(between) and over.clearance_m >= CLEARANCE_M - _ROUNDING_M

    return fits
