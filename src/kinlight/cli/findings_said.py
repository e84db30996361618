"""What to look at in the pictures' light, and what the camera sees behind the people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kinlight.cli.tables import Block, Row
from kinlight.plan.behind import Edge
from kinlight.plan.faces_seen import FaceSeen
from kinlight.plan.model import PicturePlan, findings_lines
from kinlight.quantities.lengths import length_text
from kinlight.quantities.stops import stops_text


def findings_count(pictures: Sequence[PicturePlan]) -> str:
    """Return how much there is to look at, in one line; nothing if there is nothing."""
    count = len(findings_lines(pictures))
    if not count:
        return ""
    things = f"{count} thing{'s' if count > 1 else ''} to look at in the pictures' light"
    return f"{things}: see --tables or kinlight light."


def seen_table(pictures: Sequence[PicturePlan]) -> Block:
    """Return what shows on every face: the pattern, and the lights in eyes and spectacles."""
    heads = ("Picture", "Who", "Pattern", "From the nose line", "In the eyes")
    rows = tuple(row for p in pictures for row in _seen_rows(p))
    note = "Lights in eyes that look into the lens, as seen from the camera."
    return Block("What shows on the faces", heads, rows, (note,))


def _seen_rows(picture: PicturePlan) -> Iterator[Row]:
    name = picture.name
    for face in picture.faces:
        pattern, where = face.seen.pattern, ""
        if pattern is not None:
            side = "left" if pattern.azimuth_deg > 0 else "right"
            over = "up" if pattern.elevation_deg >= 0 else "down"
            aside, high = abs(pattern.azimuth_deg), abs(pattern.elevation_deg)
            where = f"{pattern.light}, {aside:.0f} degrees to their {side}, {high:.0f} {over}"
        drawn = "none" if pattern is None else pattern.name
        glare = "".join(f"; in spectacles: {g.light}" for g in face.seen.glare)
        yield name, face.person, drawn, where, eyes_words(face.seen) + glare
        name = ""


def eyes_words(seen: FaceSeen) -> str:
    """Return the lights in both eyes in words, once where both show the same."""
    by_eye = {
        eye: ", ".join(f"{c.light} at {c.position}" for c in seen.catchlights if c.eye == eye)
        for eye in ("left", "right")
    }
    if by_eye["left"] == by_eye["right"]:
        return by_eye["left"] or "nothing"
    return "; ".join(f"{eye}: {words or 'nothing'}" for eye, words in by_eye.items())


def behind_table(pictures: Sequence[PicturePlan], units: str) -> Block:
    """Return how the backdrop comes out in every picture, and what stands out least against it."""
    heads = ("Picture", "Backdrop", "Even within", "Tone", "Least apart from it", "Shadow")
    note = "The part the camera sees; tone 255 is full white."
    return Block("Behind the people", heads, tuple(_row(p, units) for p in pictures), (note,))


def _row(picture: PicturePlan, units: str) -> Row:
    behind, seen = picture.behind, picture.behind.backdrop
    if seen is None:
        return picture.name, "not seen", "", "", "", ""
    edge = min(behind.edges, key=lambda e: abs(e.from_backdrop_stops), default=None)
    shadow = "none"
    if behind.shadow is not None:
        high = length_text(behind.shadow.height_m, units=units)
        where = f"{behind.shadow.side} of {behind.shadow.person}, {high} high"
        shadow = f"{behind.shadow.depth_stops:.1f} stop, {where}"
    return (
        picture.name,
        stops_text(seen.from_aperture_stops),
        f"{seen.evenness_stops:.1f} stop",
        str(seen.code),
        "nothing is seen against it" if edge is None else _edge_text(edge),
        shadow,
    )


def _edge_text(edge: Edge) -> str:
    return f"{edge.person}'s {edge.part}, {stops_text(edge.from_backdrop_stops)}"
