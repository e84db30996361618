"""Whether every eye is sharp in the largest print and nobody smears."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.geometry.people import Figure
from kinlight.group.abilities import Abilities
from kinlight.optics.depth import SharpRange, f_number_for
from kinlight.optics.framing import CameraView
from kinlight.optics.motion import motion_blur, speeds
from kinlight.optics.sharpness import (
    best_f_number,
    coc_for_print_mm,
    sharp_limits,
    working_coc_mm,
)
from kinlight.plan.checks import EASY_SPACE_M, EASY_STOPS, Check
from kinlight.plan.framed import PLACEMENT_M, Framing
from kinlight.quantities.lengths import length_text
from kinlight.quantities.stops import exact_f_number, f_number_text, stops
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Posture


@dataclass(frozen=True)
class PersonDepth:
    """One person against the depth that is sharp; distances run from the front principal plane.

    `toward_m` and `away_m` are how far they may move toward and away from the camera.
    """

    person: str
    near_eye_m: float
    far_eye_m: float
    toward_m: float
    away_m: float
    motion: str
    motion_blur_mm: float


@dataclass(frozen=True)
class Shorter:
    """The same picture at a shorter focal length, cropped to the same view."""

    lens: str
    focal_length_mm: float
    depth_m: float
    pixels_kept: float


@dataclass(frozen=True)
class Sharpness:
    """What is sharp in one picture."""

    coc_mm: float
    coc_from: str
    limits: SharpRange
    f_number: float
    f_number_needed: float
    f_number_best: float
    people: tuple[PersonDepth, ...]
    shorter: Shorter | None


def coc_of(sitting: Sitting, found: Framing) -> tuple[float, str]:
    """Return the circle of confusion of a picture and where it comes from [mm]."""
    pitch = sitting.camera.sensor_width_mm / sitting.camera.pixels_wide
    stated = sitting.wishes.circle_of_confusion_mm
    if stated is not None:
        return working_coc_mm([stated], pixel_pitch_mm=pitch), "stated"
    cocs = {
        cut.size: coc_for_print_mm(
            print_width_m=cut.print_m[0],
            print_height_m=cut.print_m[1],
            crop_width_mm=cut.crop.rect.width_mm,
            crop_height_mm=cut.crop.rect.height_mm,
            acuity_arcmin=sitting.wishes.acuity_arcmin,
        )
        for cut in found.cuts
    }
    size = min(cocs, key=lambda key: cocs[key])
    coc = working_coc_mm(cocs.values(), pixel_pitch_mm=pitch)
    if coc > cocs[size]:
        return coc, "two pixels"
    return coc, f"{size}, {sitting.wishes.acuity_arcmin:g} arcmin"


def limits_of(view: CameraView, *, f_number: float, coc_mm: float) -> SharpRange:
    """Return from where to where a view is sharp, diffraction counted in."""
    return sharp_limits(
        focal_length_mm=view.focal_length_mm,
        f_number=f_number,
        blur_mm=coc_mm,
        focus_m=view.focus_m,
        pupil_ratio=view.pupil_ratio,
    )


def sharpness(
    sitting: Sitting,
    figures: Sequence[Figure],
    view: CameraView,
    found: Framing,
    *,
    f_number: float,
    stops_of_lens: tuple[float, float],
    blurs_mm: Mapping[str, tuple[str, float]],
) -> Sharpness:
    """Return how sharp each person of a picture is.

    Parameters
    ----------
    f_number : exact [-].
    stops_of_lens : the lens's widest and smallest f-number, as engraved [-].
    blurs_mm : for each person, the movement reckoned with and the streak it leaves [mm].
    """
    coc, coc_from = coc_of(sitting, found)
    limits = limits_of(view, f_number=f_number, coc_mm=coc)
    eyes = np.sort(view.depths_m(np.concatenate([f.face.eyes_m() for f in figures])))
    return Sharpness(
        coc_mm=coc,
        coc_from=coc_from,
        limits=limits,
        f_number=f_number,
        f_number_needed=max(_f_number_needed(view, eyes, coc), exact_f_number(stops_of_lens[0])),
        f_number_best=best_f_number(
            eyes,
            focus_m=view.focus_m,
            focal_length_mm=view.focal_length_mm,
            widest=stops_of_lens[0],
            narrowest=stops_of_lens[1],
            pupil_ratio=view.pupil_ratio,
        ).f_number,
        people=tuple(_person_depth(f, view, limits, blurs_mm[f.person]) for f in figures),
        shorter=_shorter(sitting, view, f_number=f_number, coc_mm=coc),
    )


def _f_number_needed(view: CameraView, eyes_m: np.ndarray, coc_mm: float) -> float:
    """Return the f-number that holds the nearest and farthest eye at this focus, by defocus."""
    return f_number_for(
        eyes_m,
        focus_m=view.focus_m,
        focal_length_mm=view.focal_length_mm,
        blur_mm=coc_mm,
        pupil_ratio=view.pupil_ratio,
    )


def _person_depth(
    figure: Figure, view: CameraView, limits: SharpRange, motion: tuple[str, float]
) -> PersonDepth:
    near, far = sorted(float(d) for d in view.depths_m(figure.face.eyes_m()))
    empty = -1.0 if limits.empty else 0.0
    return PersonDepth(
        person=figure.person,
        near_eye_m=near,
        far_eye_m=far,
        toward_m=near - limits.near_m + empty,
        away_m=limits.far_m - far + empty,
        motion=motion[0],
        motion_blur_mm=motion[1],
    )


def _shorter(
    sitting: Sitting, view: CameraView, *, f_number: float, coc_mm: float
) -> Shorter | None:
    """Return the next shorter focal length there is, cropped to the same view; None if none is."""
    now = view.focal_length_mm
    options = [
        (max(low, min(high, 0.8 * now)), lens)
        for lens in sitting.lenses
        for low, high in [lens.range_mm()]
        if low < 0.95 * now
    ]
    if not options:
        return None
    focal, lens = max(options, key=lambda option: option[0])
    wider = view.zoomed(focal)
    scale = wider.principal_distance_mm / view.principal_distance_mm
    pitch = sitting.camera.sensor_width_mm / sitting.camera.pixels_wide
    coc = working_coc_mm([coc_mm * scale], pixel_pitch_mm=pitch)
    limits = limits_of(wider, f_number=f_number, coc_mm=coc)
    return Shorter(lens.id, focal, 0.0 if limits.empty else limits.total_m, scale**2)


def movement(can: Abilities, posture: Posture) -> str:
    """Return the movement to reckon with for someone in a posture, a row of the speeds table.

    The fast gait of a child is not assumed of one who sits or is held.
    """
    sits = posture not in ("standing", "box")
    if can.is_child and can.age_years < 7:
        if can.walks_off and not sits:
            return "walking toddler"
        return "turning head" if sits and can.age_years < 3 else "swaying child"
    return "seated adult" if sits else "standing adult"


def motion_blur_of(
    name: str,
    view: CameraView,
    distance_m: float,
    *,
    t01_s: float,
    shutter_s: float,
    ambient_below_stops: float,
) -> tuple[str, float]:
    """Return the movement's name and the streak it leaves on the sensor [mm].

    The speed is the middle of the table's range; `speed_spread_stops` tells how wide that is.
    """
    scale = view.principal_distance_mm / (distance_m * 1000)
    found = motion_blur(
        speed_m_s=middle_speed_m_s(name),
        t01_s=t01_s,
        shutter_s=shutter_s,
        magnification=scale,
        ambient_stops_under=ambient_below_stops,
    )
    return name, found.worst_mm


def middle_speed_m_s(name: str) -> float:
    """Return the geometric middle of a movement's range of speeds [m/s]."""
    row = speeds()[name]
    return math.sqrt(row.low_m_s * row.high_m_s)


def speed_spread_stops(name: str) -> float:
    """Return how much faster than the middle a movement may be, as a power of two [stop]."""
    return stops(speeds()[name].high_m_s / middle_speed_m_s(name))


def sharp_checks(sitting: Sitting, found: Sharpness) -> tuple[Check, ...]:
    """Return the checks of the Sharp column."""
    units = sitting.preferences.units
    worst = min(found.people, key=lambda p: min(p.toward_m, p.away_m))
    leeway = min(worst.toward_m, worst.away_m)
    way = "toward" if worst.toward_m < worst.away_m else "away from"
    if found.limits.empty:
        said = f"diffraction at {f_number_text(found.f_number)} blurs more than the print allows"
    elif leeway >= 0:
        said = f"{worst.person} may move {length_text(leeway, units=units)} {way} the camera"
    else:
        said = f"{worst.person} is {length_text(-leeway, units=units)} out of the sharp depth"
    return (
        Check(
            "Sharp",
            "depth",
            leeway,
            "m",
            PLACEMENT_M,
            length_text(leeway, units=units),
            said,
            EASY_SPACE_M,
        ),
        _movement_check(found),
    )


def _movement_check(found: Sharpness) -> Check:
    """Return whether the fastest face smears by no more than the blur allowed."""
    fastest = max(found.people, key=lambda p: p.motion_blur_mm)
    times = found.coc_mm / max(fastest.motion_blur_mm, 1e-9)
    who = f"{fastest.person} ({fastest.motion})"
    if times >= 1:
        said = f"{who} could move {times:.1f} times as fast before it shows"
        text = f"{times:.1f} times as fast"
    else:
        said = f"{who} smears {1 / times:.1f} times what the print allows"
        text = f"{1 / times:.1f} times too fast"
    spread = speed_spread_stops(fastest.motion)
    return Check("Sharp", "movement", stops(times), "stop", spread, text, said, EASY_STOPS)
