"""The light card: readings to take in their order, faces, and where their light comes from."""

from __future__ import annotations

from typing import Any

from kinlight.drawings.light_shares import light_shares
from kinlight.drawings.words import band_words, chosen_picture
from kinlight.plan.faces import FaceReading
from kinlight.plan.faces_seen import camera_side
from kinlight.plan.metering import MeterPlan, held_note, held_words
from kinlight.plan.model import PicturePlan, Plan, findings_lines
from kinlight.quantities.stops import stops_text


def light_card(plan: Plan) -> dict[str, Any]:
    """Return the words of the card: readings, and the faces of the picture with most people."""
    picture = chosen_picture(plan)
    return {
        "picture": picture.name,
        "readings": [_reading(m, plan.sitting.preferences.units) for m in plan.meter],
        "held": held_note(plan.sitting),
        "faces": [_face(plan, face) for face in picture.faces],
        "even": _even(picture),
        "all": plan.all_faces.sentence(),
        "fit": list(plan.fit.lines()) if plan.fit else [],
        "sheets": list(plan.sheets),
        "findings": findings_lines(plan.to_make),
    }


def shares_drawing(plan: Plan, *, width_mm: float) -> str:
    """Return the bars of where each face's light comes from, in the picture with most people."""
    picture = chosen_picture(plan)
    rows = [
        (
            plan.sitting.person(face.person).name,
            face.sources,
        )
        for face in picture.faces
    ]
    return light_shares(rows, title=f"Light at the chin in {picture.name}", width_mm=width_mm)


def _reading(found: MeterPlan, units: str) -> dict[str, str]:
    return {
        "number": str(found.number),
        "where": found.where,
        "hold": held_words(found, units=units),
        "lights": found.lights,
        "expect": found.expected,
        "band": band_words(found.band_stops),
        "read": found.stated,
        "off": "" if found.off_stops is None else stops_text(found.off_stops),
    }


def _even(picture: PicturePlan) -> str:
    """Return how even the faces of a picture are; one face is not compared with itself."""
    if len(picture.faces) < 2:
        return ""
    return f"Even within {picture.evenness_stops:.1f} stop."


def _face(plan: Plan, face: FaceReading) -> list[str]:
    return [
        plan.sitting.person(face.person).name,
        face.reading,
        f"{camera_side(face.key_side)}, {stops_text(face.key_side_stops)}",
        stops_text(face.shadow_side_stops),
        face.ratio_text,
        "" if face.seen.pattern is None else face.seen.pattern.name,
    ]
