"""Whether every face of a picture is exposed as wished, and all of them alike."""

from __future__ import annotations

from collections.abc import Sequence

from kinlight.plan.checks import Check
from kinlight.plan.faces import FaceReading
from kinlight.plan.lit import LightPlan
from kinlight.quantities.stops import stops_text
from kinlight.sitting.document import Sitting

_DARK_STOPS = -15.0
"""A face this far under has no light at all: that is said of the mark already."""


def face_checks(
    sitting: Sitting, faces: Sequence[FaceReading], lights: Sequence[LightPlan]
) -> tuple[Check, ...]:
    """Return the checks of the faces' exposure and, of a group, of its evenness; none in the dark.

    Notes
    -----
    A face may be as far off as the mark. Between the lightest and the darkest may lie twice that,
    a third of a stop to each side by default: common practice, no source. Neither is made less
    certain by an output that is only an estimate: that is counted with the lights' powers, and
    said in words.
    """
    if max((f.from_aperture_stops for f in faces), default=_DARK_STOPS) <= _DARK_STOPS:
        return ()
    exposure = _exposure_check(sitting, faces, lights)
    return (exposure, _evenness_check(sitting, faces)) if len(faces) > 1 else (exposure,)


def _exposure_check(
    sitting: Sitting, faces: Sequence[FaceReading], lights: Sequence[LightPlan]
) -> Check:
    worst = max(faces, key=lambda f: abs(f.from_aperture_stops))
    off, within = worst.from_aperture_stops, sitting.wishes.exposure_within_stops
    farthest = f", the farthest off of {len(faces)}" if len(faces) > 1 else ""
    reads = f"{stops_text(off)} from the working aperture" if round(off, 1) else "as it should"
    said = f"{sitting.person(worst.person).name}'s face reads {reads}{farthest}"
    if not all(plan.metered for plan in lights if plan.role in ("key", "fill")):
        said += "; not known until metered"
    return Check(
        "Lit",
        "faces",
        within - abs(off),
        "stop",
        0.0,
        f"{abs(off):.1f} stop off at most",
        said,
        within,
    )


def _evenness_check(sitting: Sitting, faces: Sequence[FaceReading]) -> Check:
    dark = min(faces, key=lambda f: f.from_aperture_stops)
    light = max(faces, key=lambda f: f.from_aperture_stops)
    apart = light.from_aperture_stops - dark.from_aperture_stops
    most = 2 * sitting.wishes.exposure_within_stops
    one, other = sitting.person(light.person).name, sitting.person(dark.person).name
    said = f"{one}'s face gets {apart:.1f} stop more light than {other}'s"
    if round(apart, 1) == 0:
        said = "all faces get the same light"
    return Check(
        "Lit", "evenness", most - apart, "stop", 0.0, f"within {apart:.1f} stop", said, most
    )
