"""A plan in words: the verdict, the first five numbers, what was proposed."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from kinlight.plan.checks import Check, tightest
from kinlight.plan.findings import UNEVEN_STOPS
from kinlight.plan.lit import LightPlan
from kinlight.plan.model import FocusPlan, OrderPlan, PicturePlan, Tape
from kinlight.quantities.lengths import length_text
from kinlight.quantities.stops import f_number_text, stops_text
from kinlight.quantities.times import shutter_text
from kinlight.sitting.document import Sitting

_OVER_M = 0.005  # prints as nothing


def verdict(pictures: Sequence[PicturePlan], problems: Sequence[str] = ()) -> str:
    """Return in one sentence whether the set holds, and where it is tightest.

    `problems` is what is wrong with the running order itself.
    """
    made = [p for p in pictures if p.made]
    missing = [p.name for p in pictures if p.must and not p.made]
    if not made:
        return "The set holds for none of the pictures: none fits into the time there is."
    holding = [p for p in made if p.holds]
    name, check = _tightest(made)
    count = (
        f"all {len(made)} pictures"
        if len(holding) == len(made)
        else (
            f"{len(holding)} of {len(made)} pictures"
            if holding
            else f"none of {len(made)} pictures"
        )
    )
    if len(made) == 1:
        count = "the one picture" if holding else "none: the one picture fails"
    fails = "" if check.verdict != "fails" else " fails"
    sentence = (
        f"The set holds for {count}; the tightest is {name}:{fails} {check.name}, {check.sentence}."
    )
    if problems:
        sentence += f" The running order cannot be kept: {problems[0]}."
    others = sum(not p.made and not p.must for p in pictures)
    if others:
        sentence += f" Left out: {others} more that would be nice to have."
    if missing:
        sentence += f" Left out though it must be made: {', '.join(missing)}."
    return sentence


def _tightest(made: Sequence[PicturePlan]) -> tuple[str, Check]:
    cells = [(p.name, c) for p in made for c in p.checks]
    worst = tightest(c for _, c in cells)
    return next((name, c) for name, c in cells if c is worst)


def first_five(
    sitting: Sitting,
    pictures: Sequence[PicturePlan],
    lights: Sequence[LightPlan],
    tapes: Sequence[Tape],
    order: OrderPlan,
    focus: FocusPlan,
    *,
    backdrop_stops: float,
) -> tuple[str, ...]:
    """Return the five lines a photographer wants before any table."""
    return (
        _lights_line(sitting, lights),
        _tapes_line(tapes, sitting.preferences.units),
        _focus_line(sitting, pictures, focus),
        _stops_line(pictures, backdrop_stops),
        _clock_line(sitting, pictures, order),
    )


def _lights_line(sitting: Sitting, lights: Sequence[LightPlan]) -> str:
    camera = sitting.camera
    stop = f"f/{camera.f_number:g}" if camera.f_number else ""
    settings = f"{stop}, {shutter_text(camera.shutter_s)}, ISO {camera.iso:g}"
    if not lights:
        return f"{settings}; no strobes are stated"
    said = [f"{x.light} {x.setting} reads {x.reading}" for x in lights]
    estimated = [x.light for x in lights if max(x.band_stops) > 0 and not x.metered]
    some = f"{', '.join(estimated)}: " if any(x.metered for x in lights) else ""
    until = f" ({some}estimates until metered)" if estimated else ""
    return f"{settings}; {'; '.join(said)}{until}"


def _tapes_line(tapes: Sequence[Tape], units: str) -> str:
    said = []
    for tape in tapes[:4]:
        text = f"{tape.what} {length_text(tape.distance_m, units=units)} {tape.aside}".rstrip()
        said.append(text)
    return "; ".join(said)


def _focus_line(sitting: Sitting, pictures: Sequence[PicturePlan], focus: FocusPlan) -> str:
    made = [p for p in pictures if p.made] or list(pictures)
    least = min(made, key=lambda p: p.sharpness.limits.total_m)
    units, limits = sitting.preferences.units, least.sharpness.limits
    if limits.empty:
        depth = "nothing is sharp enough for the print: diffraction alone is more than it allows"
    else:
        before = length_text(limits.before_m, units=units)
        behind = (
            "everything" if math.isinf(limits.far_m) else length_text(limits.behind_m, units=units)
        )
        depth = f"sharp from {before} before to {behind} behind it"
    stop = f_number_text(least.sharpness.f_number)
    where = f"{least.focal_length_mm:.0f} mm, {stop}, {least.name}"
    eye = f"{focus.person}'s near eye in {focus.picture}"
    line = f"focus on {eye} and lock; {depth} at the least ({where})"
    if focus.cost_m < _CENTIMETRE_M:
        return line
    return f"{line}; costs {length_text(focus.cost_m, units=units)} against the ideal plane"


def _stops_line(pictures: Sequence[PicturePlan], backdrop: float) -> str:
    faces = [f for p in pictures if p.made for f in p.faces] or [
        f for p in pictures for f in p.faces
    ]
    shadow = float(np.median([f.shadow_from_key_stops for f in faces]))
    hair = [f.hair.lit_side_stops for f in faces if f.hair is not None]
    hair_text = "no light of its own"
    if hair:
        hair_text = f"{stops_text(float(np.median(hair)))} on its lit side"
    behind = _backdrop_text([p for p in pictures if p.made] or pictures, backdrop)
    under = f"shadow side {stops_text(shadow)} from the key side"
    return f"{under}; hair {hair_text}; backdrop {behind}"


def _backdrop_text(pictures: Sequence[PicturePlan], unseen: float) -> str:
    """Return how the backdrop comes out in the prints; where none shows it, as it is metered."""
    seen = [b for p in pictures if (b := p.behind.backdrop) is not None]
    if not seen:
        return f"{from_aperture_text(unseen)}, in no print"
    low, high = (round(f(b.from_aperture_stops for b in seen), 1) for f in (min, max))
    uneven = max(b.evenness_stops for b in seen)
    most = f", uneven by up to {uneven:.1f} stop" if uneven > UNEVEN_STOPS else ""
    if low == high:
        return from_aperture_text(low) + most
    both = " to ".join(f"{x:+.1f}" if x else "0" for x in (low, high))
    return f"{both} stop{'' if max(-low, high) <= 1 else 's'}{most}"


def from_aperture_text(value: float) -> str:
    """Return how far a backdrop is from the aperture: "-0.3 stop", "as the faces' aperture"."""
    text = stops_text(value)
    return "as the faces' aperture" if text == "even" else text


def _clock_line(sitting: Sitting, pictures: Sequence[PicturePlan], order: OrderPlan) -> str:
    made = [p for p in pictures if p.made]
    if not made:
        return "no picture fits into the time there is"
    frames = sorted(p.time.frames for p in made)
    minutes = (order.lines[-1].end - order.lines[0].start).total_seconds() / 60
    few = f"{frames[0]} to {frames[-1]}" if frames[0] != frames[-1] else f"{frames[0]}"
    text = (
        f"{few} frames a picture, {sum(frames)} in all; "
        f"{_count(round(minutes), 'minute')} for {_count(len(made), 'picture')}"
    )
    children = _child_minutes(sitting, order, made)
    return text + (f"; {children}" if children else "")


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _child_minutes(sitting: Sitting, order: OrderPlan, made: Sequence[PicturePlan]) -> str:
    """Return for the youngest how long they are needed, from the start to their last picture."""
    youngest = min(sitting.people, key=lambda p: p.age_on_years(sitting.date))
    if youngest.age_on_years(sitting.date) >= 13:
        return ""
    theirs = {p.name for p in made if youngest.key in p.people}
    ends = [line.end for line in order.lines if line.name in theirs]
    if not ends:
        return f"{youngest.name} is in none"
    needed = (max(ends) - order.lines[0].start).total_seconds() / 60
    return f"{youngest.name} is needed for the first {needed:.0f} of them"


def tapes(sitting: Sitting) -> tuple[Tape, ...]:
    """Return the distances that place the set, all from the mark: the four that matter first."""
    found: list[tuple[int, Tape]] = []
    camera = sitting.camera.place.xyz_m() if sitting.camera.place else (0.0, 0.0, 0.0)
    datum = "lens" if sitting.camera.measured_from == "lens" else "film plane"
    found.append((0, _tape(datum, camera)))
    backdrop = sitting.backdrop.distance_m
    found.append((2, Tape("backdrop", backdrop, "behind the mark", None)))
    rank = {"key": 1, "fill": 3, "hair": 4, "backdrop": 6}
    for light in sitting.lights:
        found.append((rank[light.role], _tape(light.id, light.place.xyz_m())))
    for panel in sitting.reflectors:
        found.append((5, _tape(panel.id, panel.place.xyz_m())))
    return tuple(tape for _, tape in sorted(found, key=lambda pair: pair[0]))


def _tape(what: str, xyz: tuple[float, float, float]) -> Tape:
    x, y, z = xyz
    angle = math.degrees(math.atan2(abs(x), -y))
    if math.hypot(x, y) < _OVER_M:
        aside = "over the mark"
    elif angle < 0.5:
        aside = "before the mark"
    elif angle > 179.5:
        aside = "behind the mark"
    else:
        aside = f"{'left' if x < 0 else 'right'}, {angle:.0f} degrees from the lens line"
    return Tape(what, math.hypot(x, y), aside, z)


_CENTIMETRE_M = 0.01
_PROPOSED = {
    "date": "the date",
    "pictures": "the pictures",
    "places": "who is where",
    "camera": "the tripod's place",
    "aim": "where the camera points",
    "focus": "aperture and focus",
    "made": "lens and focal length of each picture",
    "aims": "how high the lights point",
    "powers": "the powers",
    "order": "the running order",
}


def proposed_lines(sitting: Sitting) -> tuple[str, ...]:
    """Return what `settle` filled in, grouped, in the photographer's words."""
    groups: dict[str, int] = {}
    for path, origin in sitting.origins.items():
        if origin == "proposed":
            group = _group(path)
            groups[group] = groups.get(group, 0) + 1
    return tuple(_PROPOSED[g] for g in _PROPOSED if g in groups)


def _group(path: str) -> str:
    section, _, rest = path.partition(".")
    if section == "pictures":
        last = path.rpartition(".")[2]
        made = last in ("lens", "focal_length", "orientation")
        return "places" if ".places" in rest else "made" if made else "pictures"
    if section == "lights":
        return "powers" if rest.endswith(".power") else "aims"
    if path in ("camera.f_number", "camera.focus_on", "camera.focus_in"):
        return "focus"
    if path == "camera.aim_height":
        return "aim"
    return path if path in ("date", "order") else "camera"
