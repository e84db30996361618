"""What a plan rests on without having been told, the most important first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from kinlight.quantities.lengths import length_text
from kinlight.quantities.stops import stops_text
from kinlight.quantities.times import shutter_text
from kinlight.sitting.base import Stated
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Lens, Seat
from kinlight.sitting.people import Person
from kinlight.sitting.pictures import Size
from kinlight.sitting.shipped import shipped
from kinlight.sitting.strobes import Light, LightStand, Modifier, PowerDial

MOTOR_UNTIL_YEARS = 3
"""From this age every child runs, whatever is stated."""
PATIENCE_UNTIL_YEARS = 13
"""From this age patience does not limit a sitting: the bound in the group's table of abilities."""


@dataclass(frozen=True)
class Assumption:
    """One line of what is assumed.

    `matters` ranks it: of two, the one with the greater number changes a plan more. The ranks are
    our judgement, no measure.
    """

    text: str
    matters: int


def assumptions(sitting: Sitting) -> tuple[Assumption, ...]:
    """Return what the plan rests on that was neither stated nor in the usual set.

    Values that were proposed are not among them; they are known to be ours.
    """
    found = [a for part in _PARTS for a in part(sitting)]
    return tuple(sorted(found, key=lambda a: -a.matters))


def is_assumed(sitting: Sitting, section: str, model: type[Stated]) -> bool:
    """Return whether a list is the shipped one, whatever was since proposed in its entries."""
    if section not in sitting.model_fields_set:
        return True
    prefix = f"{section}."
    proposed = [path for path, origin in sitting.origins.items() if origin == "proposed"]
    fields = {path.rpartition(".")[2] for path in proposed if path.startswith(prefix)}
    return bool(fields) and _without(getattr(sitting, section), fields) == _without(
        shipped(section, model), fields
    )


def _without(entries: Iterable[Stated], fields: set[str]) -> list[dict[str, Any]]:
    return [
        {key: value for key, value in entry.model_dump().items() if key not in fields}
        for entry in entries
    ]


def _light(s: Sitting) -> Iterator[Assumption]:
    if is_assumed(s, "lights", Light):
        strobes = "; ".join(_strobe_text(light, s) for light in s.lights)
        yield Assumption(f"strobes: {strobes}; a typical strobe's light per watt-second", 100)
        return
    by_energy = tuple(x for x in s.lights if x.guide_number_m is None and x.fitted is None)
    yield from _of(
        by_energy, "energy_j", "output of {names}: {value} watt-seconds at full power", 99
    )
    yield from _of(
        by_energy, "efficacy", "output of {names}: a typical strobe's light per watt-second", 98
    )
    unshaped = [x for x in s.lights if not x.modifier.model_fields_set & {"kind", "width_m"}]
    standard = Modifier()
    front = f"a {_len(standard.front_m()[0], s)} {standard.kind}"
    yield from _line([x.id for x in unshaped], f"modifier of {{names}}: {front}", 88)
    shaped = [x for x in s.lights if x not in unshaped]
    unsized = [x for x in shaped if x.modifier.width_m is None]
    for bare, rank in ((False, 87), (True, 85)):
        alike = [x for x in unsized if (x.modifier.kind == "bare") == bare]
        wide = _len(alike[0].modifier.front_m()[0], s) if alike else ""
        yield from _line([x.id for x in alike], f"modifier of {{names}}: {wide} wide", rank)
    kindless = [x.id for x in shaped if not x.modifier.states("kind")]
    yield from _line(kindless, f"modifier of {{names}}: a {standard.kind}", 86)
    loss = [x.id for x in by_energy if x.modifier.transmission is None]
    yield from _line(loss, "light lost in the modifier of {names}: typical of its kind", 72)
    yield from _flash(s.lights)


def _flash(lights: tuple[Light, ...]) -> Iterator[Assumption]:
    timeless = [x.id for x in lights if x.t01_s is None and x.t05_s is None]
    yield from _line(timeless, "flash duration of {names}: a typical strobe's", 70)
    at_lowest = [x.id for x in lights if x.t01_lowest_s is None and x.id not in timeless]
    yield from _line(at_lowest, "flash duration of {names} at lower power: as at full", 44)
    lamps = [x.id for x in lights if x.modelling_on and not x.states("modelling_lm")]
    yield from _line(lamps, "modelling lamp of {names}: a typical strobe's", 49)
    yield from _of(lights, "recycle_s", "recycle time of {names}: {value} s at full power", 52)
    yield from _of(
        lights, "recycle_lowest_s", "recycle time of {names}: {value} s at the lowest power", 41
    )
    stepless = [x.id for x in lights if not x.dial.states("step_stops")]
    step = PowerDial().step_stops
    yield from _line(stepless, f"power of {{names}} is set in steps of {step:g} stop", 27)
    undialled = [x.id for x in lights if not x.dial.states("lowest")]
    lowest = PowerDial().lowest
    yield from _line(undialled, f"lowest power of {{names}}: {lowest}", 48)


def _stands(s: Sitting) -> Iterator[Assumption]:
    """Say what is taken of the stands that are reckoned with at all."""
    stands = [(x.id, x.stand) for x in s.lights if x.stand is not None]
    texts = {
        "radius_m": ("feet of the stands of {names}: {value} from the column", 47),
        "mass_kg": ("stands of {names}: {value} kg each", 45),
        "head_kg": ("heads with modifiers of {names}: {value} kg each", 43),
    }
    for field, (text, matters) in texts.items():
        unset = [name for name, stand in stands if not stand.states(field)]
        value = LightStand.model_fields[field].default
        shown = _len(value, s) if field == "radius_m" else f"{value:g}"
        yield from _line(unset, text, matters, value=shown)


def _people(s: Sitting) -> Iterator[Assumption]:
    unmeasured = [p.key for p in s.people if p.stature_m is None]
    yield from _line(unmeasured, "stature of {names}: from age by the growth tables", 95)
    young = [p for p in s.people if s.age_years(p.key) < PATIENCE_UNTIL_YEARS]
    yield from _of(young, "patience_min", "patience of {names}: by age", 66)
    small = [p for p in young if s.age_years(p.key) < MOTOR_UNTIL_YEARS]
    yield from _of(small, "motor", "how far {names} can sit, crawl or walk: by age", 64)
    yield from _of(small, "mass_kg", "weight of {names}: by age", 28)
    grown = [p for p in s.people if p not in young]
    if small:
        yield from _of(grown, "holds_child_min", "how long {names} can hold a child: by age", 40)


def _lenses(s: Sitting) -> Iterator[Assumption]:
    if is_assumed(s, "lenses", Lens):
        yield Assumption(f"lens: {'; '.join(_lens_text(x, s) for x in s.lenses)}", 92)
        return
    nearest = _len(Lens.model_fields["nearest_focus_m"].default, s)
    yield from _of(s.lenses, "nearest_focus_m", f"nearest focus of {{names}}: {nearest}", 42)
    yield from _of(s.lenses, "widest", "widest aperture of {names}: f/{value}", 38)
    yield from _of(s.lenses, "smallest", "smallest aperture of {names}: f/{value}", 30)
    yield from _of(s.lenses, "pupil_ratio", "pupil ratio of {names}: {value}", 20)


def _camera(s: Sitting) -> Iterator[Assumption]:
    cam = s.camera
    sensor = f"{cam.sensor_width_mm:g} x {cam.sensor_height_mm:g} mm"
    pixels = f"{cam.pixels_wide} x {cam.pixels_high} pixels"
    unset = _unset(
        cam, sensor_width_mm=sensor, sensor_height_mm=sensor, pixels_wide=pixels, pixels_high=pixels
    )
    yield from _list("camera's sensor", unset, 84)
    settings = _unset(
        cam,
        iso=f"ISO {cam.iso:g}",
        shutter_s=shutter_text(cam.shutter_s),
        sync_s=f"flash sync up to {shutter_text(cam.sync_s)}",
    )
    yield from _list("camera", settings, 74)
    if all(p.orientation == "level" for p in s.pictures) and s.pictures:
        return
    pivot = {"plate": "plate_shift_mm", "head": "axis_over_pivot_mm"}.get(cam.turned_on)
    if not cam.states("turned_on") or (pivot and not cam.states(pivot)):
        yield Assumption(f"camera turned upright: {_turned_text(s)}", 34)


def _place(s: Sitting) -> Iterator[Assumption]:
    room, backdrop = s.room, s.backdrop
    sizes = _unset(
        room,
        width_m=f"{_len(room.width_m, s)} wide",
        length_m=f"{_len(room.length_m, s)} long",
        ceiling_m=f"ceiling at {_len(room.ceiling_m, s)}",
    )
    yield from _list("room", sizes, 78)
    ambient = _unset(room, ambient_lx=f"{room.ambient_lx:g} lx at the mark")
    yield from _list("light of the room itself", ambient, 50)
    paper = _unset(
        backdrop,
        width_m=f"{_len(backdrop.width_m, s)} wide",
        height_m=f"{_len(backdrop.height_m, s)} high",
        distance_m=f"{_len(backdrop.distance_m, s)} behind the mark",
    )
    yield from _list("backdrop", paper, 76)
    if is_assumed(s, "seats", Seat):
        seats = [f"{_count(x.count, x.kind)} {_len(x.height_m, s)} high" for x in s.seats]
        yield from _list("seats", seats, 36)


def _wishes(s: Sitting) -> Iterator[Assumption]:
    if is_assumed(s, "sizes", Size) and not (s.pictures and all(p.sizes for p in s.pictures)):
        yield Assumption(f"print sizes: {', '.join(x.name for x in s.sizes)}", 80)
    w = s.wishes
    rhythm = _unset(
        w,
        seconds_between_frames_s=f"a frame every {w.seconds_between_frames_s:g} s",
        change_over_s=f"{w.change_over_s:g} s to change pictures",
        change_over_per_person_s=f"{w.change_over_per_person_s:g} s more for each person",
        frames_least=f"at least {w.frames_least} frames of a picture",
    )
    yield from _list("rhythm", rhythm, 62)
    backdrop = stops_text(w.backdrop_from_key_stops)
    look = _unset(
        w,
        fill_below_key_stops=f"fill {stops_text(w.fill_below_key_stops).lstrip('+')} under the key",
        hair_from_key_stops=f"hair light {stops_text(w.hair_from_key_stops)} with the aperture",
        backdrop_from_key_stops=f"backdrop {backdrop} with the aperture",
    )
    roles = {light.role for light in s.lights}
    yield from _list("look", [x for x in look if x.split()[0] in roles], 58)
    within, below = w.exposure_within_stops, w.ambient_below_stops
    limits = _unset(
        w,
        exposure_within_stops=f"exposure at the mark {stops_text(within)[1:]} over or under",
        ambient_below_stops=f"ambient light {stops_text(below)[1:]} under the flash",
    )
    yield from _list("limits", limits, 56)
    meter = _unset(s.meter, c_flat=f"C {s.meter.c_flat:g} flat", c_dome=f"{s.meter.c_dome:g} dome")
    yield from _list("hand meter's constant", meter, 24)
    if not w.states("acuity_arcmin") and w.circle_of_confusion_mm is None:
        yield Assumption(f"sharp: detail of {w.acuity_arcmin:g} arcminutes in the print", 60)
    if not w.states("working_distance_m"):
        yield Assumption(f"lens no nearer to a face than {_len(w.working_distance_m, s)}", 54)
    yield from _breaks(s)
    if not w.states("head_room"):
        yield Assumption(f"room around the people: {w.head_room:g} of a head's height", 46)


def _breaks(s: Sitting) -> Iterator[Assumption]:
    for pause in s.breaks:
        said = _unset(
            pause,
            lasts_min=f"{pause.lasts_min:g} min long",
            restores_min=f"gives {pause.restores_min:g} min of patience back",
        )
        yield from _list(f"break '{pause.id}'", said, 33)
    held = any(x.posture == "hip" for picture in s.pictures for x in picture.places)
    if held and not s.wishes.states("heavy_child_kg"):
        heavy = f"{s.wishes.heavy_child_kg:g} kg"
        yield Assumption(f"a child from {heavy} is not carried in two pictures running", 25)


_PARTS: tuple[Callable[[Sitting], Iterator[Assumption]], ...] = (
    _light, _stands, _people, _lenses, _camera, _place, _wishes,
)  # fmt: skip


def _of(
    entries: Iterable[Person | Light | Lens], field: str, text: str, matters: int
) -> Iterator[Assumption]:
    """Say of all entries that leave a field to its default, in one line, what it then is."""
    unset = [e for e in entries if not e.states(field)]
    value = getattr(unset[0], field) if unset else None
    shown = f"{value:g}" if isinstance(value, float) else str(value)
    yield from _line([_name(e) for e in unset], text, matters, value=shown)


def _name(entry: Person | Light | Lens) -> str:
    return entry.key if isinstance(entry, Person) else entry.id


def _line(names: list[str], text: str, matters: int, *, value: str = "") -> Iterator[Assumption]:
    if names:
        yield Assumption(text.format(names=", ".join(names), value=value), matters)


def _list(what: str, parts: list[str], matters: int) -> Iterator[Assumption]:
    if parts:
        yield Assumption(f"{what}: {', '.join(parts)}", matters)


def _unset(part: Stated, **texts: str) -> list[str]:
    """Return the texts of the fields that were not stated, each once."""
    return list(dict.fromkeys(text for name, text in texts.items() if not part.states(name)))


def _count(number: int, what: str) -> str:
    plural = "es" if what.endswith("x") else "s"
    return f"{number} {what}{plural if number > 1 else ''}"


def _len(metres: float, s: Sitting) -> str:
    return length_text(metres, units=s.preferences.units)


def _strobe_text(light: Light, s: Sitting) -> str:
    (width, _), place = light.modifier.front_m(), light.place
    head = f"{light.id}, a {_len(width, s)} {light.modifier.kind}"
    angle = f"{place.angle_deg or 0:g} degrees {place.side or ''}".strip()
    where = f"{_len(place.distance_m or 0, s)} from the mark, {angle} of the lens line"
    return f"{head}, {where}, {_len(place.xyz_m()[2], s)} high, {light.energy_j:g} watt-seconds"


def _lens_text(lens: Lens, s: Sitting) -> str:
    low, high = lens.range_mm()
    focal = f"{low:g} to {high:g} mm" if lens.is_zoom else f"{low:g} mm"
    apertures = f"f/{lens.widest:g} to f/{lens.smallest:g}"
    return f"{focal}, {apertures}, nearest focus {_len(lens.nearest_focus_m, s)}"


def _turned_text(s: Sitting) -> str:
    cam = s.camera
    if cam.turned_on == "collar":
        return "on the lens's collar"
    if cam.turned_on == "plate":
        word = "lower" if cam.plate_shift_mm < 0 else "higher"
        return f"on an L-shaped plate, the lens {_short(abs(cam.plate_shift_mm), s)} {word}"
    return f"on the tripod head, its pivot {_short(cam.axis_over_pivot_mm, s)} under the lens"


def _short(length_mm: float, s: Sitting) -> str:
    feet = s.preferences.units == "feet"
    return f"{length_mm / 25.4:.1f} in" if feet else f"{length_mm:g} mm"
