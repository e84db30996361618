"""Why the camera may not come too near: near parts of a face grow faster than far ones."""

from __future__ import annotations

from kinlight.optics.checks import require_positive
from kinlight.optics.tables import constant

FACE_DEPTH_M = constant("face_depth_m")


def near_plane_gain(*, distance_m: float, depth_m: float = FACE_DEPTH_M) -> float:
    """Return how many times larger the near plane of a face appears beside its far plane [-].

    1 is the view from far away, 1.08 a nose 8 % too wide.

    Parameters
    ----------
    distance_m : from the entrance pupil to the near plane [m].
    depth_m : between the two planes [m].

    Notes
    -----
    (D + d) / D. With d = 0.12 m the view from 12 in against that from 60 in gives 29 %, as a
    published model of average faces does for the nose's base [nasal-distortion2018]; d is fitted
    to it.
    """
    require_positive(distance_m=distance_m, depth_m=depth_m)
    return (distance_m + depth_m) / distance_m
