"""Settling a sitting: filling in by search what it leaves blank."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from kinlight.errors import Fault, RangeError, SittingError
from kinlight.geometry.people import Figure
from kinlight.group.abilities import abilities_of_all
from kinlight.plan.check import picture_times, the_set
from kinlight.plan.running import programme_of
from kinlight.plan.settle.breaks import proposed_order
from kinlight.plan.settle.clear_faces import cleared
from kinlight.plan.settle.focus import best_focus, engraved
from kinlight.plan.settle.parts import (
    with_aim_height,
    with_lens_height,
    with_spots,
    without_parts,
)
from kinlight.plan.settle.pictures import with_pictures
from kinlight.plan.settle.places import proposed_places
from kinlight.plan.settle.powers import proposed_powers
from kinlight.plan.settle.spot import (
    Made,
    best_spot,
    how_made,
    picture_points,
    proposed_aim_height_m,
    views_from,
    widest_made,
)
from kinlight.sitting.base import document_key
from kinlight.sitting.document import Sitting
from kinlight.sitting.origins import (
    is_proposed,
    proposing,
    proposing_in,
    without_marks,
    without_proposed,
)
from kinlight.sitting.pictures import Picture
from kinlight.sitting.place import Place
from kinlight.stage.people import bodies_of, face_height_m, figures_of
from kinlight.stage.scene import stage, stage_meter, transfer
from kinlight.stage.view import focal_length_mm

Figures = Mapping[str, Sequence[Figure]]
Step = Callable[[float], None]
_ROUNDS = 4


def settle(sitting: Sitting, *, progress: Step | None = None) -> Sitting:
    """Return the sitting with everything blank filled in and marked as proposed.

    Nothing stated is changed; what was proposed before is proposed anew.

    Parameters
    ----------
    progress : called with the share that is done, 0 to 1.

    Raises
    ------
    SittingError
        If no proposal can be made: a picture that no lens frames, say.
    """
    step = progress or (lambda _: None)
    try:
        return _settled(without_proposed(without_parts(sitting)), step)
    except RangeError as error:
        raise SittingError(error.faults) from None


def _settled(sitting: Sitting, step: Step) -> Sitting:
    sitting = with_pictures(sitting)
    if not sitting.pictures:
        remedy = "state one, or strike less and leave propose_pictures out"
        raise SittingError(Fault("there is none to make", where="pictures", remedy=remedy))
    step(0.05)
    sitting = _with_places(sitting)
    figures = _figures(sitting)
    step(0.1)
    sitting = _with_camera(sitting, figures)
    figures = _figures(sitting)
    step(0.35)
    sitting = _with_focus(sitting, figures)
    step(0.5)
    sitting = _with_powers(sitting, figures)
    step(0.55)
    sitting = _with_order(sitting, lambda share: step(0.55 + 0.45 * share))
    step(1.0)
    return sitting


def _figures(sitting: Sitting) -> Figures:
    bodies = bodies_of(sitting)
    return {p.key: figures_of(p, bodies) for p in sitting.pictures}


def _with_places(sitting: Sitting) -> Sitting:
    can, bodies = abilities_of_all(sitting), bodies_of(sitting)
    for picture in sitting.pictures:
        if {spot.person for spot in picture.places} != picture.who():
            places = proposed_places(sitting, picture, can, bodies)
            posed = figures_of(picture.with_stated(places=places), bodies)
            stated = {spot.person for spot in picture.places}
            places = cleared(places, posed, stated=stated)
            sitting = with_spots(sitting, picture, places)
    return sitting


def _with_camera(sitting: Sitting, figures: Figures) -> Sitting:
    aim = sitting.camera.aim_height_m
    if aim is None:
        aim = proposed_aim_height_m(sitting, figures)
        sitting = proposing(sitting, "camera", aim_height_m=aim)
    for light in sitting.lights:
        if light.aim.height_m is None and light.aim.x_m is None:
            sitting = with_aim_height(sitting, light, face_height_m(figures.values()))
    points = {p.key: picture_points(sitting, p, figures[p.key]) for p in sitting.pictures}
    if sitting.camera.place is None:
        spot = best_spot(sitting, figures, points, aim_height_m=aim)
        place = Place(x_m=0.0, y_m=-spot.distance_m, z_m=aim)
        sitting = proposing(sitting, "camera", place=place)
    sitting = with_lens_height(sitting, aim)
    place = sitting.camera.place or Place(x_m=0.0, y_m=-3.0)
    views = views_from(sitting, place, aim)
    made = {p.key: how_made(sitting, p, points[p.key], views) for p in sitting.pictures}
    sitting = _without_unframed(sitting, made)
    for picture in sitting.pictures:
        # what is wanted and nothing frames is made as wide as can be; the check says what is short
        how = made[picture.key] or widest_made(sitting, picture, points[picture.key])
        sitting = _with_made(sitting, picture.key, how)
    return sitting


def _without_unframed(sitting: Sitting, made: Mapping[str, Made | None]) -> Sitting:
    """Return the sitting without those proposed pictures that no lens here frames."""
    kept = tuple(
        p
        for p in sitting.pictures
        if made[p.key] is not None or not is_proposed(sitting, f"pictures.{p.key}")
    )
    if not kept or len(kept) == len(sitting.pictures):
        return sitting
    names = {p.key for p in kept}
    gone = [f"pictures.{p.key}" for p in sitting.pictures if p.key not in names]
    return without_marks(sitting.with_stated(pictures=kept), gone)


def _with_made(sitting: Sitting, key: str, made: Made) -> Sitting:
    picture = next(p for p in sitting.pictures if p.key == key)
    values: dict[str, object] = {}
    if picture.lens is None and sitting.camera.lens is None:
        values["lens"] = made.lens
    if picture.focal_length_mm is None and sitting.lens(made.lens).is_zoom:
        values["focal_length_mm"] = made.focal_length_mm
    if picture.orientation == "either":
        values["orientation"] = "upright" if made.upright else "level"
    return proposing_in(sitting, "pictures", key, **values) if values else sitting


def _with_focus(sitting: Sitting, figures: Figures) -> Sitting:
    camera = sitting.camera
    found = best_focus(sitting, figures)
    for _ in range(_ROUNDS):  # pictures short of depth are made shorter and cropped, if that helps
        if not found.tight:
            break
        shorter = _made_shorter(sitting, figures, found.tight)
        again = best_focus(shorter, figures)
        if again.leeway_m <= found.leeway_m:
            break
        sitting, found = shorter, again
    values: dict[str, object] = {}
    if camera.f_number is None:
        values["f_number"] = engraved(found.f_number)
    if camera.focus_on is None:
        values["focus_on"] = found.person
    if camera.focus_in is None:
        values["focus_in"] = found.picture
    return proposing(sitting, "camera", **values) if values else sitting


def _made_shorter(sitting: Sitting, figures: Figures, keys: Sequence[str]) -> Sitting:
    """Return the sitting with these pictures at the next shorter focal length left open to us."""
    place, aim = sitting.camera.place, sitting.camera.aim_height_m
    for picture in sitting.pictures:
        if picture.key not in keys or place is None or aim is None:
            continue
        blank = _without_made(sitting, picture)
        points = picture_points(sitting, picture, figures[picture.key])
        now = focal_length_mm(sitting, picture)
        made = how_made(sitting, blank, points, views_from(sitting, place, aim), below_mm=now)
        if made is not None and blank != picture:
            sitting = _with_made(_replaced(sitting, blank), picture.key, made)
    return sitting


def _without_made(sitting: Sitting, picture: Picture) -> Picture:
    """Return the picture with its lens and focal length blank again if they were proposed."""
    proposed = [
        name
        for name in ("lens", "focal_length_mm")
        if is_proposed(sitting, f"pictures.{picture.key}.{document_key(name)}")
    ]
    return picture.with_stated(**dict.fromkeys(proposed)) if proposed else picture


def _replaced(sitting: Sitting, picture: Picture) -> Sitting:
    pictures = tuple(picture if p.key == picture.key else p for p in sitting.pictures)
    changed: Sitting = sitting.with_stated(pictures=pictures)
    return changed


def _with_powers(sitting: Sitting, figures: Figures) -> Sitting:
    if not any(light.power is None for light in sitting.lights):
        return sitting
    empty = transfer(stage_meter(sitting, height_m=face_height_m(figures.values())))
    pictures = [transfer(stage(sitting, p, figures[p.key])) for p in sitting.pictures]
    for found in proposed_powers(sitting, empty, pictures):
        light = next(x for x in sitting.lights if x.id == found.light)
        power = light.dial.scale().text(found.set_stops)
        sitting = proposing_in(sitting, "lights", light.id, power=power)
    return sitting


def _with_order(sitting: Sitting, step: Step) -> Sitting:
    if sitting.order:
        return sitting
    kept = the_set(sitting)
    programme = programme_of(sitting, kept.can, kept.bodies, picture_times(kept))
    names = tuple(item.id for item in proposed_order(programme, progress=step))
    if not names:
        raise SittingError(
            Fault(
                "no picture fits into the time there is",
                where="order",
                remedy="check arrivals, leavings and patience",
            )
        )
    return _focused_in_order(proposing(sitting, "", order=names))


def _focused_in_order(sitting: Sitting) -> Sitting:
    """Return the sitting with the focus locked in a picture that is made, if that was proposed."""
    camera = sitting.camera
    if camera.focus_in in sitting.order or not is_proposed(sitting, "camera.focus_in"):
        return sitting
    made = tuple(p for p in sitting.pictures if p.key in sitting.order)
    stated_on = None if is_proposed(sitting, "camera.focus_on") else camera.focus_on
    blank = camera.with_stated(focus_on=stated_on, focus_in=None)
    only = sitting.with_stated(pictures=made, camera=blank)
    found = best_focus(only, _figures(only))
    return proposing(sitting, "camera", focus_on=found.person, focus_in=found.picture)
