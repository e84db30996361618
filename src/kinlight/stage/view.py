"""The camera of a sitting, as one picture is made with it."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, SittingError
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array, frozen, unit
from kinlight.optics.framing import CameraView, aimed, upright_shift_m
from kinlight.optics.lens import entrance_pupil_offset_m, from_film_plane_m
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Camera, Lens
from kinlight.sitting.pictures import Picture
from kinlight.sitting.place import Place

T = TypeVar("T")


def settled(value: T | None, where: str) -> T:
    """Return a value `settle` should have filled in; a sentence if it is blank."""
    if value is None:
        raise SittingError(Fault("is blank", where=where, remedy="run kinlight settle first"))
    return value


def aim_point_m(sitting: Sitting) -> Array:
    """Return the point the lens axis passes through, over the mark [m]."""
    return frozen([0.0, 0.0, settled(sitting.camera.aim_height_m, "camera, aim_height")])


def near_eye_m(figure: Figure, from_m: ArrayLike) -> Array:
    """Return the eye of a figure that is nearer to a point [m]."""
    eyes = figure.face.eyes_m()
    distances = np.linalg.norm(eyes - np.asarray(from_m, dtype=np.float64), axis=1)
    eye: Array = eyes[int(np.argmin(distances))]
    return eye


def focal_length_mm(sitting: Sitting, picture: Picture) -> float:
    """Return the focal length a picture is made at; of a zoom left blank, its shortest [mm]."""
    lens = sitting.lens_for(picture)
    return picture.focal_length_mm or lens.range_mm()[0]


def view_of(sitting: Sitting, picture: Picture, *, focus_on_m: ArrayLike) -> CameraView:
    """Return the settled camera's view of a picture, focused on a point of the room."""
    return camera_view(
        sitting.camera,
        settled(sitting.camera.place, "camera, place"),
        sitting.lens_for(picture),
        focal_mm=focal_length_mm(sitting, picture),
        upright=picture.orientation == "upright",
        aim_m=aim_point_m(sitting),
        focus_on_m=focus_on_m,
    )


def camera_view(
    camera: Camera,
    place: Place,
    lens: Lens,
    *,
    focal_mm: float,
    upright: bool,
    aim_m: ArrayLike,
    focus_on_m: ArrayLike,
) -> CameraView:
    """Return the view of a camera whose lens or film plane stands at `place`.

    The front principal plane is taken to lie at the place itself, or, where distances are taped to
    the film plane, in front of it by the image distance of a thin lens. Turning the camera upright
    then moves the lens as its collar, plate or head does; it keeps looking the same way.
    """
    stand, aim = np.array(place.xyz_m()), np.asarray(aim_m, dtype=np.float64)
    axis = unit(aim - stand)
    principal = stand
    if camera.measured_from == "film plane":
        film_m = float((np.asarray(focus_on_m, dtype=np.float64) - stand) @ axis)
        focus_m = from_film_plane_m(film_distance_m=film_m, focal_length_mm=focal_mm)
        principal = stand + (film_m - focus_m) * axis
    offset = entrance_pupil_offset_m(focal_length_mm=focal_mm, pupil_ratio=lens.pupil_ratio)
    view = aimed(
        entrance_pupil_m=principal + offset * axis,
        aim_m=aim,
        focus_on_m=focus_on_m,
        focal_length_mm=focal_mm,
        sensor_width_mm=camera.sensor_width_mm,
        sensor_height_mm=camera.sensor_height_mm,
        pupil_ratio=lens.pupil_ratio,
        upright=upright,
    )
    if not upright:
        return view
    aside, up = turned_shift_m(camera)
    return view.moved(aside * view.right + up * view.up)


def turned_shift_m(camera: Camera) -> tuple[float, float]:
    """Return how far the lens moves right and up when the camera is turned upright [m]."""
    if camera.turned_on == "collar":
        return 0.0, 0.0
    if camera.turned_on == "plate":
        return upright_shift_m(plate_up_m=camera.plate_shift_mm / 1000)
    return upright_shift_m(axis_above_pivot_m=camera.axis_over_pivot_mm / 1000)
