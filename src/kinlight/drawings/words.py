"""The words that stand on drawings and sheets: what a light is, and where somebody is."""

from __future__ import annotations

from collections.abc import Sequence

from kinlight.plan.checks import Check
from kinlight.plan.lit import LightPlan
from kinlight.plan.model import PicturePlan, Plan
from kinlight.quantities.lengths import METRES_PER_INCH, length_text
from kinlight.quantities.stops import f_number_text
from kinlight.quantities.times import shutter_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.pictures import Picture, Spot
from kinlight.sitting.strobes import Light
from kinlight.stage.view import turned_shift_m

_SPARED = ("m", "s", "min")
_LEAST_SHOWN_STOPS = 0.005
_LEVEL = 0.005  # metres: nearer to the mark than half a centimetre is on it


def chosen_picture(plan: Plan, name: str | None = None) -> PicturePlan:
    """Return the picture of a name; without one, the one with most people, to be made if any is."""
    if name is not None:
        return next(p for p in plan.pictures if p.name == name)
    return max(plan.pictures, key=lambda p: (p.made, len(p.people)))


def stated_picture(sitting: Sitting, name: str) -> Picture:
    """Return a picture of the document by the name the plan uses."""
    return next(p for p in sitting.pictures if p.key == name)


def names(sitting: Sitting, people: Sequence[str]) -> str:
    """Return names in a row: "Ida, Nora and Tom"."""
    said = [sitting.person(p).name for p in people]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"


def leeway_words(check: Check) -> str:
    """Return what is checked and how much is left: "crop, 16 cm to spare"."""
    if check.unit not in _SPARED:
        return f"{check.name} {check.leeway_text}".rstrip()
    much = check.leeway_text.removeprefix("-").removeprefix("−")
    return f"{check.name}, {much} {'to spare' if check.leeway >= 0 else 'too little'}"


def metering_text(plan: Plan) -> str:
    """Return how to hold the meter for the reading of each light alone; nothing without lights."""
    roles = {x.role for x in plan.lights}
    high = f"{length_text(plan.mark_height_m, units=plan.sitting.preferences.units)} high"
    said = [f"flat receptor at the mark, {high}, facing the light"] if roles - {"backdrop"} else []
    if "backdrop" in roles:
        said.append("backdrop light: on the backdrop, as high, facing the camera")
    return f"Each light alone: {'; '.join(said)}." if said else ""


def known_words(light: LightPlan) -> str:
    """Return how well the output of a light is known: "estimate, -1.0 to +0.6 stop"."""
    below, above = light.band_stops
    if light.metered or below == above == 0:
        return light.known
    return f"{light.known}, {band_words(light.band_stops)}"


def band_words(band_stops: tuple[float, float]) -> str:
    """Return how far something may be off: "-1.0 to +0.6 stop"; nothing if it may not."""
    below, above = band_stops
    return f"-{below:.1f} to +{above:.1f} stop" if max(band_stops) > 0 else ""


def dial_text(plan: Plan) -> str:
    """Return what the steps of the dials cost against the powers asked for; nothing if nothing."""
    within = [x for x in plan.lights if x.short_stops is not None and not x.limit]
    said = [
        f"{x.light} {abs(x.short_stops):.2f} stop {'under' if x.short_stops > 0 else 'over'}"
        for x in within
        if x.short_stops is not None and abs(x.short_stops) >= _LEAST_SHOWN_STOPS
    ]
    return (
        f"Set to the steps of the dials, against what is wished: {', '.join(said)}." if said else ""
    )


def turned_text(plan: Plan) -> str:
    """Return how far the lens moves when the camera is turned upright; nothing if it never is."""
    if not any(p.upright for p in plan.to_make):
        return ""
    camera, units = plan.sitting.camera, plan.sitting.preferences.units
    aside, up = turned_shift_m(camera)
    if aside == up == 0:
        return "in its collar the lens stays where it is"
    moves = [
        f"{length_text(abs(by), units=units)} {way}"
        for by, way in (
            (aside, "to the right" if aside > 0 else "to the left"),
            (up, "up" if up > 0 else "down"),
        )
        if by
    ]
    return f"on its {camera.turned_on} the lens moves {' and '.join(moves)}"


def unreckoned_text(plan: Plan) -> str:
    """Return in one sentence what the plan leaves out of account; nothing if that is nothing."""
    return f"Not reckoned yet: {'; '.join(plan.unreckoned)}." if plan.unreckoned else ""


def front_text(light: Light, units: str) -> str:
    """Return what is in front of a lamp, as it is called on set: "90 square", "110 umbrella"."""
    shape = light.modifier
    width_m, height_m = shape.front_m()
    width, height = _span(width_m, units), _span(height_m, units)
    if shape.kind == "bare":
        return f"bare head, {length_text(width_m, units=units)}"
    if shape.kind == "softbox":
        return f"{width} square" if width == height else f"{width} × {height} softbox"
    return f"{width} {shape.kind}"


def _span(width_m: float, units: str) -> str:
    if units == "feet":
        return f"{round(width_m / METRES_PER_INCH)} in"
    return f"{round(width_m * 100)}"


def light_name(light: Light) -> str:
    """Return a light's name with its part, unless the name says it."""
    return light.id if light.role in light.id.lower() else f"{light.id} ({light.role})"


def camera_text(sitting: Sitting) -> str:
    """Return aperture, shutter and ISO."""
    camera = sitting.camera
    stop = f"{f_number_text(camera.f_number)}, " if camera.f_number else ""
    return f"{stop}{shutter_text(camera.shutter_s)}, ISO {camera.iso:g}"


def lens_text(sitting: Sitting, picture: PicturePlan) -> str:
    """Return the lens of a picture and its focal length, unless the name says it."""
    focal = f"{picture.focal_length_mm:.0f} mm"
    same = picture.lens in (f"{picture.focal_length_mm:.0f}", focal)
    return focal if same else f"{picture.lens}, {focal}"


def posture_text(sitting: Sitting, spot: Spot) -> str:
    """Return how somebody is: "on a stool, 45 cm"."""
    height = length_text(spot.seat_m, units=sitting.preferences.units)
    holder = sitting.person(spot.held_by).name if spot.held_by else ""
    on = f" on a box, {height}" if spot.seat_m > _LEVEL else ""
    return {
        "standing": f"standing{on}",
        "box": f"standing on a box, {height}",
        "stool": f"on a stool, {height}",
        "chair": f"on a chair, {height}",
        "wheelchair": f"in the wheelchair, {height}",
        "floor": f"on the floor{on}",
        "kneeling": f"kneeling{on}",
        "on heels": f"on the heels{on}",
        "hip": f"on {holder}'s hip",
        "lap": f"on {holder}'s lap",
    }[spot.posture]


def spot_text(sitting: Sitting, spot: Spot) -> str:
    """Return where somebody is from the mark: "35 cm right, 30 cm back"; empty if held."""
    if spot.held_by:
        return ""
    units = sitting.preferences.units
    ways = [
        (spot.x_m, "right" if spot.x_m > 0 else "left"),
        (spot.y_m, "back" if spot.y_m > 0 else "forward"),
    ]
    said = [f"{length_text(abs(d), units=units)} {way}" for d, way in ways if abs(d) > _LEVEL]
    return ", ".join(said) or "on the mark"


def where_text(sitting: Sitting, spot: Spot) -> str:
    """Return who is where and how, in one line."""
    place = spot_text(sitting, spot)
    said = f"{sitting.person(spot.person).name} {posture_text(sitting, spot)}"
    return f"{said}, {place}" if place else said
