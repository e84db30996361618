"""What `kinlight light` says: readings, faces, and where each face's light comes from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kinlight.cli.tables import Block, Row, named_with_evenness
from kinlight.errors import Fault, SittingError
from kinlight.plan.faces import LEAST_SHARE, REST, FaceReading
from kinlight.plan.faces_seen import camera_side
from kinlight.plan.hair_said import SPILL_STOPS
from kinlight.plan.model import PicturePlan, Plan
from kinlight.quantities.stops import f_number_text, stops_text

_SHADES = "#=+-:."
"""Letters of the bars on a terminal, one for each source in turn; the words say which is which."""
_BAR = 30
_NO_SPILL_STOPS = -10.0


def light_answer(plan: Plan, pictures: Sequence[PicturePlan]) -> str:
    """Return the one sentence: how near every face is to the working aperture, and how even."""
    aperture = f_number_text(plan.sitting.camera.f_number or 0.0)
    offs = [abs(f.from_aperture_stops) for p in pictures for f in p.faces]
    widest = max(pictures, key=lambda p: p.evenness_stops)
    count = "Every face is" if len(offs) > 1 else "The face is"
    even = f"; the widest spread is {widest.evenness_stops:.1f} stop, in {widest.name}"
    return f"{count} within {max(offs):.1f} stop of {aperture}" + (even if len(offs) > 1 else "")


def chosen(plan: Plan, names: Sequence[str]) -> tuple[PicturePlan, ...]:
    """Return the pictures named, or all that are made.

    Raises
    ------
    SittingError
        If one is not a picture of the plan.
    """
    known = {p.name: p for p in plan.pictures}
    unknown = [name for name in names if name not in known]
    if unknown:
        raise SittingError(Fault(f"there is no picture '{unknown[0]}'", allowed="; ".join(known)))
    return tuple(known[name] for name in names) or plan.to_make


def lit_table(pictures: Sequence[PicturePlan]) -> Block:
    """Return every face's light: the chin and both sides."""
    rows = tuple(row for p in pictures for row in _lit_rows(p))
    heads = ("Picture", "Who", "Chin reads", "Off", "Key side", "Shadow side", "Ratio")
    note = (
        "In stops from the working aperture, cheeks with hair and backdrop lights off; left and "
        "right as the camera sees them."
    )
    return Block("Faces", heads, rows, (note,))


def _lit_rows(picture: PicturePlan) -> Iterator[Row]:
    name = named_with_evenness(picture)
    for face in picture.faces:
        yield (
            name,
            face.person,
            face.reading,
            stops_text(face.from_aperture_stops),
            f"{camera_side(face.key_side)}, {stops_text(face.key_side_stops)}",
            stops_text(face.shadow_side_stops),
            face.ratio_text,
        )
        name = ""


def hair_table(pictures: Sequence[PicturePlan]) -> Block:
    """Return what the hair lights do to every head, and how near they come to showing on faces."""
    rows = tuple(row for p in pictures for row in _hair_rows(p))
    heads = ("Picture", "Who", "Lit side", "Crown", "On the nose", "On the shadow side")
    note = (
        "Hair in stops from the working aperture, by the hair lights alone. Nose and shadow side: "
        f"against the face's own light there; it shows from about {SPILL_STOPS:g} stops on."
    )
    return Block("What the hair lights do", heads, rows, (note,))


def _hair_rows(picture: PicturePlan) -> Iterator[Row]:
    name = picture.name
    for face in picture.faces:
        hair = face.hair
        if hair is None:
            continue
        yield (
            name,
            face.person,
            f"{camera_side(hair.lit_side)}, {stops_text(hair.lit_side_stops)}",
            stops_text(hair.crown_stops),
            *(_spill_text(x) for x in (hair.nose_stops, hair.cheek_stops)),
        )
        name = ""


def _spill_text(value: float) -> str:
    """Return hair light on a face in stops; next to none is said so."""
    return stops_text(value) if value > _NO_SPILL_STOPS else "none to speak of"


def source_table(pictures: Sequence[PicturePlan]) -> Block:
    """Return where each face's light comes from, as a bar and in words."""
    rows = tuple(row for p in pictures for row in _source_rows(p))
    note = (
        "Each bar is the light at the chin, hair lights off; its pieces are the sources in the "
        "order of the words."
    )
    named = {source for p in pictures for face in p.faces for source, _ in face.sources}
    if REST in named:
        note += f" {REST.capitalize()} are what brings less than {LEAST_SHARE:.0%} each."
    return Block(
        "Where each face's light comes from", ("Picture", "Who", "", "Sources"), rows, (note,)
    )


def _source_rows(picture: PicturePlan) -> Iterator[Row]:
    name = picture.name
    for face in picture.faces:
        yield name, face.person, bar(face), source_words(face)
        name = ""


def source_words(face: FaceReading) -> str:
    """Return the sources of a face's light in words, largest first."""
    return ", ".join(f"{source} {share:.0%}" for source, share in face.sources if share >= 0.005)


def bar(face: FaceReading) -> str:
    """Return the sources of a face's light as a bar of letters."""
    ends, done = [], 0.0
    for _, share in face.sources:
        done += share
        ends.append(round(done * _BAR))
    starts = [0, *ends[:-1]]
    return "".join(
        _SHADES[k % len(_SHADES)] * (end - start)
        for k, (start, end) in enumerate(zip(starts, ends, strict=True))
    )
