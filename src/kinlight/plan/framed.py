"""Whether everybody is in the frame for every size, and the lens far enough from every face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.geometry.people import Figure
from kinlight.optics.crops import Crop, crop_for_print, needed_rect_mm
from kinlight.optics.framing import CameraView
from kinlight.optics.lens import to_film_plane_m
from kinlight.optics.sharpness import ppi_resolved, viewing_distance_m
from kinlight.plan.checks import EASY_DISTANCE_M, EASY_SPACE_M, Check
from kinlight.plan.subject import subject_points_m
from kinlight.quantities.lengths import length_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Lens
from kinlight.sitting.pictures import Picture

PLACEMENT_M = 0.03
"""How well people keep to a taped place, one standard deviation: common practice, no source."""


@dataclass(frozen=True)
class SizeCut:
    """What one size takes of the frame."""

    size: str
    print_m: tuple[float, float]
    crop: Crop
    pixels: tuple[int, int]
    ppi: float
    ppi_seen: float


@dataclass(frozen=True)
class Framing:
    """How one picture sits in its frame.

    `room_m` is the room in the plane of focus to the side that has least beyond what is uncertain,
    over all sizes, and `spread_m` that uncertainty, one standard deviation; `nearest_face_m` runs
    from the entrance pupil.
    """

    cuts: tuple[SizeCut, ...]
    room_m: float
    spread_m: float
    tightest_size: str
    tightest_side: str
    nearest_face_m: float
    nearest_face: str
    focus_from_film_m: float


def framing(
    sitting: Sitting,
    picture: Picture,
    figures: Sequence[Figure],
    view: CameraView,
    *,
    stature_sd_m: float = 0.0,
) -> Framing:
    """Return how the picture sits in the frame.

    Parameters
    ----------
    stature_sd_m : the widest spread of a stature that is only assumed [m].

    Raises
    ------
    RangeError
        If somebody is not in front of the lens.
    """
    points = subject_points_m(figures, crop=picture.crop_of(), head_room=sitting.wishes.head_room)
    needed = needed_rect_mm(view, points)
    pitch = sitting.camera.sensor_width_mm / sitting.camera.pixels_wide
    cuts = []
    for size in sitting.sizes_of(picture):
        crop = crop_for_print(needed, view=view, size_m=(size.width_m, size.height_m))
        seen = viewing_distance_m(print_width_m=size.width_m, print_height_m=size.height_m)
        cuts.append(
            SizeCut(
                size=size.name,
                print_m=crop.print_m,
                crop=crop,
                pixels=crop.pixels(pixel_pitch_mm=pitch),
                ppi=crop.ppi(pixel_pitch_mm=pitch),
                ppi_seen=ppi_resolved(
                    viewing_distance_m=seen, acuity_arcmin=sitting.wishes.acuity_arcmin
                ),
            )
        )
    spread = {side: PLACEMENT_M for side in ("left", "right", "bottom")}
    spread["top"] = float(np.hypot(PLACEMENT_M, stature_sd_m))
    _, room, size_name, side = min(
        (room - (spread[side] if room >= 0 else 0.0), room, cut.size, side)
        for cut in cuts
        for side, room in zip(cut.crop.room_m._fields, cut.crop.room_m, strict=True)
    )
    faces = [float(np.linalg.norm(f.face.nose_m - view.entrance_pupil_m)) for f in figures]
    nearest = int(np.argmin(faces))
    return Framing(
        cuts=tuple(cuts),
        room_m=room,
        spread_m=spread[side],
        tightest_size=size_name,
        tightest_side=side,
        nearest_face_m=faces[nearest],
        nearest_face=figures[nearest].person,
        focus_from_film_m=to_film_plane_m(
            focus_m=view.focus_m, focal_length_mm=view.focal_length_mm
        ),
    )


def framed_checks(sitting: Sitting, found: Framing, lens: Lens) -> tuple[Check, ...]:
    """Return the checks of the Framed column."""
    units = sitting.preferences.units
    room = length_text(found.room_m, units=units)
    if found.room_m >= 0:
        sentence = f"{found.tightest_size} leaves {room} to the {found.tightest_side}"
    else:
        short = length_text(-found.room_m, units=units)
        sentence = f"{found.tightest_size} is {short} too tight at the {found.tightest_side}"
    away = found.nearest_face_m - sitting.wishes.working_distance_m
    face = length_text(found.nearest_face_m, units=units)
    focus = found.focus_from_film_m - lens.nearest_focus_m
    return (
        Check("Framed", "crop", found.room_m, "m", found.spread_m, room, sentence, EASY_SPACE_M),
        Check(
            "Framed",
            "working distance",
            away,
            "m",
            0.0,
            length_text(away, units=units),
            f"{found.nearest_face} is {face} from the lens",
            EASY_DISTANCE_M,
        ),
        Check(
            "Framed",
            "nearest focus",
            focus,
            "m",
            0.0,
            length_text(focus, units=units),
            f"the lens focuses from {length_text(lens.nearest_focus_m, units=units)}",
            EASY_DISTANCE_M,
        ),
    )
