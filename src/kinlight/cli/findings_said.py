"""What to look at in the pictures' light, and what the camera sees behind the people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kinlight.cli.tables import Block, Row
from kinlight.light.cut_off import OPEN_DEG
from kinlight.plan.behind import Edge
from kinlight.plan.eyes_seen import EyeLight
from kinlight.plan.faces_seen import FaceSeen, Pattern, SpectaclesGlare, camera_side
from kinlight.plan.findings import FLARE_STOPS, UNEVEN_STOPS
from kinlight.plan.flares import LampToLens
from kinlight.plan.model import PicturePlan
from kinlight.plan.words import from_aperture_text
from kinlight.quantities.lengths import length_text
from kinlight.quantities.stops import stops_text

_DIMMER_STOPS = 1.5  # a light in an eye that is so much dimmer than the brightest is said to be


def seen_table(pictures: Sequence[PicturePlan]) -> Block:
    """Return what shows on every face: the pattern, and the lights in eyes and spectacles."""
    heads = ("Picture", "Who", "Pattern", "From the nose line", "In the eyes")
    rows = tuple(row for p in pictures for row in _seen_rows(p))
    note = (
        "Lights in eyes that look into the lens, with their share of the iris across; left and "
        "right as the camera sees them."
    )
    return Block("What shows on the faces", heads, rows, (note,))


def _seen_rows(picture: PicturePlan) -> Iterator[Row]:
    name = picture.name
    for face in picture.faces:
        pattern = face.seen.pattern
        drawn = "none" if pattern is None else pattern.name
        where = "" if pattern is None else _from_nose(pattern)
        yield name, face.person, drawn, where, eyes_words(face.seen) + _glare(face.seen.glare)
        name = ""


def _from_nose(pattern: Pattern) -> str:
    """Return where the main light stands, and from where on it would not be low."""
    side = camera_side("left" if pattern.azimuth_deg > 0 else "right")
    over = "up" if pattern.elevation_deg >= 0 else "down"
    aside, high = abs(pattern.azimuth_deg), abs(pattern.elevation_deg)
    return f"{pattern.light}, {aside:.0f} degrees to {side}, {high:.0f} {over}"


def _glare(found: Sequence[SpectaclesGlare]) -> str:
    return f"; in the spectacles {', '.join(g.light for g in found)}" if found else ""


def eyes_words(seen: FaceSeen) -> str:
    """Return the lights in both eyes in words, once where both show the same.

    The same light in the same place is the same; of its two sizes the larger is said.
    """
    by_eye = {
        eye: {(c.light, c.position): c for c in seen.catchlights if c.eye == eye}
        for eye in ("right", "left")
    }
    right, left = by_eye["right"], by_eye["left"]
    both = [max(c, left[at], key=lambda x: x.iris_share) for at, c in right.items() if at in left]
    said = [", ".join(map(_eye_words, both))] if both else []
    for eye, other in (("right", left), ("left", right)):
        alone = [_eye_words(c) for at, c in by_eye[eye].items() if at not in other]
        if alone or (not by_eye[eye] and other):
            also = " also" if both else ""
            said.append(f"{camera_side(eye)} eye{also}: {', '.join(alone) or 'nothing'}")
    return "; ".join(said) or "nothing"


def _eye_words(light: EyeLight) -> str:
    """Return a light in an eye: "silver at 4 o'clock, 20%, 5 stops dimmer"."""
    dim = f", {light.dimmer_stops:.0f} stops dimmer" if light.dimmer_stops >= _DIMMER_STOPS else ""
    return f"{light.light} at {light.position} ({light.iris_share:.0%}{dim})"


def lens_table(pictures: Sequence[PicturePlan]) -> Block:
    """Return how every lamp stands to the lens, in the picture in which it comes nearest to it."""
    lamps = dict.fromkeys(x.light for p in pictures for x in p.flare)
    rows = []
    for lamp in lamps:
        found = [(p.name, x) for p in pictures for x in p.flare if x.light == lamp]
        name, worst = min(found, key=lambda pair: _nearness(pair[1]))
        rows.append((lamp, lens_words(worst), name if len(pictures) > 1 else ""))
    heads = ("Light", "Toward the lens", "Nearest in")
    shown = 3 if len(pictures) > 1 else 2
    note = (
        "Degrees: how far a light may still be turned toward the lens before it shines into it. "
        f"Stops: from about {FLARE_STOPS:g} on it may veil the picture; lens and hood decide."
    )
    return Block("Light into the lens", heads[:shown], tuple(r[:shown] for r in rows), (note,))


def _nearness(lamp: LampToLens) -> tuple[bool, bool, float, float]:
    """Return what sorts lamps that shine into the lens first, then by how near they are to it."""
    to = lamp.to_lens
    return not to.sees, not to.in_frame, -to.level_stops if to.sees else 0.0, to.leeway_deg


def lens_words(lamp: LampToLens) -> str:
    """Return how a lamp stands to the lens: "its grid keeps it off by 12 degrees"."""
    to = lamp.to_lens
    inside = "in the picture; " if to.in_frame else ""
    if to.sees:
        level = f"{stops_text(to.level_stops)} against the faces' key side"
        shines = "shines into it" if to.level_stops > FLARE_STOPS else "reaches it weakly"
        return f"{inside}{shines}, {level}"
    if to.leeway_deg <= 0:
        return f"{inside}something stands between"
    what = "faces away" if to.cut_off_deg >= OPEN_DEG else "its grid keeps it off"
    return f"{inside}{what} by {to.leeway_deg:.0f} degrees"


def behind_table(pictures: Sequence[PicturePlan], units: str) -> Block:
    """Return how the backdrop comes out in every picture, and what stands out least against it."""
    heads = ("Picture", "Backdrop", "Uneven by", "Tone", "Nearest to its tone", "Shadow")
    note = (
        "The part that shows in the prints: on average from the faces' aperture, then from its "
        "darkest to its brightest point; tone 255 is full white."
    )
    return Block("Behind the people", heads, tuple(_row(p, units) for p in pictures), (note,))


def _row(picture: PicturePlan, units: str) -> Row:
    behind, seen = picture.behind, picture.behind.backdrop
    if seen is None:
        return picture.name, "not seen", "", "", "", ""
    edge = min(behind.edges, key=lambda e: abs(e.from_backdrop_stops), default=None)
    uneven = seen.evenness_stops > UNEVEN_STOPS
    brightest = f", brightest {seen.brightest}" if uneven else ""
    shadow = "none"
    if behind.shadow is not None:
        high = length_text(behind.shadow.height_m, units=units)
        where = f"{behind.shadow.side} of {behind.shadow.person}, {high} high"
        shadow = f"{behind.shadow.depth_stops:.1f} stop, {where}"
    return (
        picture.name,
        from_aperture_text(seen.from_aperture_stops),
        f"{seen.evenness_stops:.1f} stop{brightest}",
        str(seen.code),
        "nothing is seen against it" if edge is None else _edge_text(edge),
        shadow,
    )


def _edge_text(edge: Edge) -> str:
    apart = edge.from_backdrop_stops
    if round(apart, 1) == 0:
        return f"{edge.person}'s {edge.part}, the same"
    way = "brighter" if apart > 0 else "darker"
    return f"{edge.person}'s {edge.part}, {stops_text(abs(apart)).lstrip('+')} {way}"
