"""Everything computed about one picture of a settled sitting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.errors import Fault, RangeError, SittingError
from kinlight.figures.growth import Body
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array
from kinlight.group.abilities import Abilities
from kinlight.optics.framing import CameraView
from kinlight.plan.behind import behind_plan
from kinlight.plan.checks import EASY_S, Check
from kinlight.plan.face_checks import face_checks
from kinlight.plan.faces import face_readings
from kinlight.plan.findings import findings
from kinlight.plan.flares import lamps_to_lens
from kinlight.plan.framed import Framing, framed_checks, framing
from kinlight.plan.glares import lamps_in_spectacles
from kinlight.plan.hair_said import hair_said
from kinlight.plan.in_print import gear_in_print, printed_rects
from kinlight.plan.lit import (
    LightPlan,
    ambient_below_stops,
    backdrop_stops,
    exposure_stops,
    face_flash_t01_s,
)
from kinlight.plan.lit_checks import aperture_check, lit_checks
from kinlight.plan.model import PicturePlan, PictureTime
from kinlight.plan.sharp import Sharpness, motion_blur_of, movement, sharp_checks, sharpness
from kinlight.plan.timing import picture_time
from kinlight.quantities.times import span_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Picture
from kinlight.stage.lamps import Lamp
from kinlight.stage.scene import Scene, Transfer, transfer
from kinlight.stage.view import focal_length_mm, near_eye_m, settled, view_of


@dataclass(frozen=True)
class Set:
    """What stays the same for every picture of a sitting.

    `shares` are the powers as shares of full, `focus_point_m` where the focus is locked, `at_mark`
    the transfer to the meter points of the empty set, `scenes` the pictures staged.
    """

    sitting: Sitting
    bodies: Mapping[str, Body]
    can: Mapping[str, Abilities]
    f_number: float
    shares: Array
    rhythm_s: float
    focus_point_m: Array
    at_mark: Transfer
    scenes: Mapping[str, Scene]
    lamps: tuple[Lamp, ...]
    lights: tuple[LightPlan, ...]


def focus_point_m(sitting: Sitting, figures: Mapping[str, Sequence[Figure]]) -> Array:
    """Return the near eye the focus is locked on [m].

    Raises
    ------
    SittingError
        If the person focused on is not in the picture in which the focus is locked.
    """
    person = settled(sitting.camera.focus_on, "camera, focus_on")
    picture = settled(sitting.camera.focus_in, "camera, focus_in")
    camera = settled(sitting.camera.place, "camera, place").xyz_m()
    found = [f for f in figures.get(picture, ()) if f.person == person]
    if not found:
        problem, remedy = (
            f"{person} is not in {picture}",
            "focus on somebody who is in that picture",
        )
        raise SittingError(Fault(problem, where="camera, focus_in", remedy=remedy))
    return near_eye_m(found[0], camera)


def plan_picture(
    kept: Set, picture: Picture, *, made: bool, order_checks: Sequence[Check]
) -> PicturePlan:
    """Return the plan of one picture.

    Raises
    ------
    SittingError
        If it cannot be computed: somebody is beside or behind the lens.
    """
    try:
        return _plan_picture(kept, picture, made, order_checks)
    except RangeError as error:
        where = f"picture '{picture.key}'"
        raise SittingError([f.at(where) for f in error.faults]) from None


def _plan_picture(
    kept: Set, picture: Picture, made: bool, order_checks: Sequence[Check]
) -> PicturePlan:
    sitting = kept.sitting
    scene = kept.scenes[picture.key]
    figures, moved = scene.figures, transfer(scene)
    view = view_of(sitting, picture, focus_on_m=kept.focus_point_m)
    framed = framing(sitting, picture, figures, view, stature_sd_m=_stature_sd_m(kept, picture))
    sharp = _sharpness(kept, picture, figures, view, framed, moved)
    time = time_of(kept, picture, moved)
    faces = face_readings(sitting, scene, moved, kept.shares, view.entrance_pupil_m)
    offsets = [f.from_aperture_stops for f in faces]
    prints = printed_rects(framed, view)
    behind = behind_plan(sitting, scene, moved, view, kept.shares, prints=prints)
    gear = gear_in_print(scene, view, prints)
    to_lens = lamps_to_lens(sitting, scene, view, faces, kept.shares, gear=gear)
    glares = lamps_in_spectacles(sitting, scene, faces, view.entrance_pupil_m)
    hair = hair_said(sitting, scene, moved, kept.shares, faces)
    found = findings(sitting, faces, behind, to_lens, glares=glares, gear=gear, hair=hair)
    return PicturePlan(
        name=picture.key,
        people=picture.people,
        must=picture.must,
        value=picture.value,
        reason=picture.reason,
        household=picture.household,
        lens=sitting.lens_for(picture).id,
        focal_length_mm=focal_length_mm(sitting, picture),
        upright=view.upright,
        focus_m=view.focus_m,
        framing=framed,
        sharpness=sharp,
        faces=faces,
        evenness_stops=max(offsets) - min(offsets),
        behind=behind,
        flare=to_lens,
        gear=gear,
        spectacles=glares,
        findings=tuple(x.text for x in found),
        weights=tuple(x.weight for x in found),
        time=time,
        made=made,
        checks=(
            *framed_checks(sitting, framed, sitting.lens_for(picture)),
            *sharp_checks(sitting, sharp),
            *lit_checks(
                sitting,
                kept.lights,
                exposure_off_stops=exposure_stops(sitting, kept.at_mark, kept.shares),
                backdrop=backdrop_stops(sitting, kept.at_mark, kept.shares),
                ambient_below=_ambient(kept, picture, moved),
            ),
            *face_checks(sitting, faces, kept.lights),
            aperture_check(kept.f_number, sitting.lens_for(picture)),
            _recycle_check(kept, picture, time),
            *order_checks,
        ),
        scene=scene,
    )


def _sharpness(
    kept: Set,
    picture: Picture,
    figures: Sequence[Figure],
    view: CameraView,
    framed: Framing,
    moved: Transfer,
) -> Sharpness:
    sitting, spots = kept.sitting, {s.person: s for s in picture.places}
    blurs = {}
    for f in figures:
        blurs[f.person] = motion_blur_of(
            movement(kept.can[f.person], spots[f.person].posture),
            view,
            float(view.along_axis_m(f.face.nose_m)),
            t01_s=face_flash_t01_s(sitting, moved, kept.shares, f.person),
            shutter_s=sitting.camera.shutter_s,
            ambient_below_stops=ambient_below_stops(sitting, moved, kept.shares, f.person),
        )
    lens = sitting.lens_for(picture)
    return sharpness(
        sitting,
        figures,
        view,
        framed,
        f_number=kept.f_number,
        stops_of_lens=(lens.widest, lens.smallest),
        blurs_mm=blurs,
    )


def time_of(kept: Set, picture: Picture, moved: Transfer) -> PictureTime:
    """Return how long the picture takes; a blink is caught by the flash where that dominates."""
    sitting = kept.sitting
    flash = max(face_flash_t01_s(sitting, moved, kept.shares, p) for p in picture.people)
    dominated = _ambient(kept, picture, moved) >= sitting.wishes.ambient_below_stops
    return picture_time(
        sitting,
        picture,
        kept.can,
        rhythm_s=kept.rhythm_s,
        flash_s=flash if dominated else sitting.camera.shutter_s,
    )


def _ambient(kept: Set, picture: Picture, moved: Transfer) -> float:
    return min(ambient_below_stops(kept.sitting, moved, kept.shares, p) for p in picture.people)


def _stature_sd_m(kept: Set, picture: Picture) -> float:
    """Return the widest spread of a stature in the picture that is only assumed [m]."""
    assumed = [p for p in picture.people if kept.sitting.person(p).stature_m is None]
    return float(np.max([kept.bodies[p].stature_sd_m for p in assumed], initial=0.0))


def _recycle_check(kept: Set, picture: Picture, time: PictureTime) -> Check:
    wanted = picture.seconds_between_frames_s or kept.sitting.wishes.seconds_between_frames_s
    spare = wanted - kept.rhythm_s
    said = (
        f"a frame every {span_text(wanted)}; the strobes can follow every "
        f"{span_text(max(kept.rhythm_s, 0.1))}"
    )
    return Check("Timed", "recycle", spare, "s", 0.0, span_text(abs(spare)), said, EASY_S)
