"""How every face of a picture is lit: exposure, ratio, where its light comes from, and its hair."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.exposure import exposure_for_lxs, f_number_for, rendered_linear
from kinlight.plan.faces_seen import FaceSeen, faces_seen
from kinlight.plan.lit import exposing_shares, face_shares, stops_from, working_f_number
from kinlight.quantities.stops import meter_text
from kinlight.sitting.document import Sitting
from kinlight.sitting.tones import reflectance
from kinlight.stage.scene import Scene, Transfer

SPILL, REST = "backdrop lights", "others"
"""Names of sources: all that backdrop lights bring, and what is too little to name."""
LEAST_SHARE = 0.01
"""Share of a face's light below which a source is not named: our choice."""
COVERED_STOPS = -1.5
"""How far under the best lit head's the light on somebody's hair may be and count as covered: our
choice."""
_HAIR = ("hair", "hair left", "hair right")


@dataclass(frozen=True)
class HairReading:
    """What the hair lights do to one head.

    Left and right are the person's own: their left side is the right one in the picture.

    Attributes
    ----------
    crown_stops, left_stops, right_stops : flat on the crown and to either side of it, by the hair
        lights alone, from the working aperture; left and right are the person's own.
    best_share : the brightest of these three as a share of the best lit head's in the picture.
    covered : whether that is enough to say that they reach it.
    tone : how bright the brightest of the three comes out with everything on, 1 for full white.
    clips : whether that is beyond full white.
    nose_stops, cheek_stops : the hair lights on the nose and on the shadow side's cheek, from the
        light that the face has there of key and fill.
    """

    crown_stops: float
    left_stops: float
    right_stops: float
    best_share: float
    covered: bool
    tone: float
    clips: bool
    nose_stops: float
    cheek_stops: float

    @property
    def lit_side(self) -> str:
        """The person's own side of the hair that gets more light, left or right."""
        return "left" if self.left_stops > self.right_stops else "right"

    @property
    def lit_side_stops(self) -> float:
        """The light there, from the working aperture [stop]."""
        return max(self.left_stops, self.right_stops)

    @property
    def brightest_stops(self) -> float:
        """The light on the brightest of the three points, from the working aperture [stop]."""
        return max(self.lit_side_stops, self.crown_stops)


@dataclass(frozen=True)
class FaceReading:
    """How one face is lit, in stops from the working aperture unless said otherwise.

    `key_side` is the person's own left or right: their right is on the left in the picture.

    Attributes
    ----------
    reading, from_aperture_stops : the dome at the chin, everything on but the hair lights, from
        which a hand shades it.
    key_side, shadow_from_key_stops, ratio : which cheek is brighter, how far the other one is
        under it, and its light over the other's; flat on each cheek, hair and backdrop lights off.
    key_side_stops, shadow_side_stops : those two cheeks.
    hair_from_aperture_stops : flat on the crown, by the hair lights alone; null without any.
    hair_lit_stops : flat on the brightest of the hair's points, everything on.
    sources : where the light at the chin comes from, with shares that sum to 1, largest first:
        each key and fill by name, what sends their light on by name, and all that backdrop lights
        bring together.
    hair : what the hair lights do to the head; null without any.
    seen : what shows on the face.
    """

    person: str
    reading: str
    from_aperture_stops: float
    shadow_from_key_stops: float
    hair_from_aperture_stops: float | None
    hair_lit_stops: float
    key_side: str
    key_side_stops: float
    shadow_side_stops: float
    ratio: float
    sources: tuple[tuple[str, float], ...]
    hair: HairReading | None
    seen: FaceSeen

    @property
    def ratio_text(self) -> str:
        """The ratio as photographers say it, "2.3:1"."""
        return ratio_text(self.ratio)


def ratio_text(ratio: float) -> str:
    """Return a lighting ratio in words: "2.3:1"."""
    if np.isnan(ratio):
        return "no light"
    return "one side dark" if np.isinf(ratio) else f"{ratio:.1f}:1"


def face_readings(
    sitting: Sitting, scene: Scene, moved: Transfer, shares: Array, lens_m: Array
) -> tuple[FaceReading, ...]:
    """Return how every face of a picture is lit, in the order of its people.

    Parameters
    ----------
    scene, moved : the picture staged, and its transfer.
    shares : the powers of the lights as shares of full [-].
    lens_m : the entrance pupil, shape (3,) [m].
    """
    readings = _Readings.of(sitting, moved, shares)
    seen = faces_seen(sitting, scene, moved, shares, lens_m)
    return tuple(readings.face(k, seen[k]) for k in range(len(readings.people)))


@dataclass(frozen=True)
class _Readings:
    """The light on some people: by receiver, then one row a person and one column a light."""

    sitting: Sitting
    moved: Transfer
    people: tuple[str, ...]
    rows: dict[str, list[int]]
    shares: Array
    exposing: Array
    on_face: Array
    on_hair: Array
    flat_lxs: float  # what the flat receptor reads as the working aperture

    @classmethod
    def of(cls, sitting: Sitting, moved: Transfer, shares: Array) -> _Readings:
        people = tuple(r.whose for r in moved.receivers if r.what == "chin")
        rows: dict[str, list[int]] = {}
        for i, r in enumerate(moved.receivers):
            rows.setdefault(r.what, []).append(i)
        is_hair = np.array([light.role == "hair" for light in sitting.lights], dtype=np.bool_)
        wanted = exposure_for_lxs(
            working_f_number(sitting), iso=sitting.camera.iso, c=sitting.meter.c_flat
        )
        return cls(
            sitting,
            moved,
            people,
            rows,
            shares,
            exposing_shares(sitting, shares),
            face_shares(sitting, shares),
            np.where(is_hair, shares, 0.0),
            float(wanted),
        )

    def lxs(self, what: str, k: int, shares: Array) -> float:
        """Return the light on a receiver of a person by lights at powers [lx s]."""
        return float(self.moved.flash_lxs[self.rows[what][k]] @ shares)

    def face(self, k: int, seen: FaceSeen) -> FaceReading:
        sitting = self.sitting
        chin = self.lxs("chin", k, self.exposing)
        shown = float(f_number_for(chin, iso=sitting.camera.iso, c=sitting.meter.c_dome))
        cheeks = {s: self.lxs(f"cheek {s}", k, self.on_face) for s in ("left", "right")}
        key_side = max(cheeks, key=lambda side: cheeks[side])
        key, shadow = cheeks[key_side], min(cheeks.values())
        hair = self.hair(k, "left" if key_side == "right" else "right")
        return FaceReading(
            person=self.people[k],
            reading=meter_text(shown) if shown > 0 else "nothing",
            from_aperture_stops=stops_from(shown**2, working_f_number(sitting) ** 2),
            shadow_from_key_stops=stops_from(shadow, key),
            hair_from_aperture_stops=None if hair is None else hair.crown_stops,
            hair_lit_stops=stops_from(self.brightest_hair_lxs(k), self.flat_lxs),
            key_side=key_side,
            key_side_stops=stops_from(key, self.flat_lxs),
            shadow_side_stops=stops_from(shadow, self.flat_lxs),
            ratio=_ratio(key, shadow),
            sources=self.sources(k),
            hair=hair,
            seen=seen,
        )

    def sources(self, k: int) -> tuple[tuple[str, float], ...]:
        """Return the sources of the light at a chin and their shares, largest first."""
        row, moved = self.rows["chin"][k], self.moved
        spilled = moved.flash_lxs[row] @ (self.exposing - self.on_face)
        straight = moved.direct_lxs[row] * self.on_face
        sent_on = moved.bounced_lxs[:, row] @ self.on_face
        by = [*zip(moved.lamps, straight.tolist(), strict=True)]
        by += [*zip(moved.groups, sent_on.tolist(), strict=True), (SPILL, float(spilled))]
        return _shares_of([(name, value) for name, value in by if value > 0])

    def hair(self, k: int, far: str) -> HairReading | None:
        if not self.on_hair.any():
            return None
        person = self.sitting.person(self.people[k])
        crown, left, right = (
            stops_from(self.lxs(w, k, self.on_hair), self.flat_lxs) for w in _HAIR
        )
        tone = float(
            rendered_linear(
                reflectance(person.hair, "hair"),
                self.brightest_hair_lxs(k),
                f_number=working_f_number(self.sitting),
                iso=self.sitting.camera.iso,
            )
        )
        most = [max(self.lxs(w, j, self.on_hair) for w in _HAIR) for j in range(len(self.people))]
        share = most[k] / max(most) if max(most) > 0 else 0.0
        nose, cheek = (
            stops_from(self.lxs(w, k, self.on_hair), self.lxs(w, k, self.on_face))
            for w in ("nose", f"cheek {far}")
        )
        return HairReading(
            crown_stops=crown,
            left_stops=left,
            right_stops=right,
            best_share=share,
            covered=share >= 2.0**COVERED_STOPS,
            tone=tone,
            clips=tone > 1.0,
            nose_stops=nose,
            cheek_stops=cheek,
        )

    def brightest_hair_lxs(self, k: int) -> float:
        """Return the most light that any of the hair's points gets, everything on [lx s]."""
        return max(self.lxs(w, k, self.shares) for w in _HAIR)


def _ratio(key: float, shadow: float) -> float:
    """Return the brighter cheek's light over the other's; inf or nan where that is dark."""
    if shadow > 0:
        return key / shadow
    return float("inf") if key > 0 else float("nan")


def _shares_of(found: Sequence[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """Return amounts as shares of their sum, largest first, the tiny ones together at the end."""
    total = sum(value for _, value in found)
    named = [(name, value / total) for name, value in found]
    kept = sorted(
        (s for s in named if s[1] >= LEAST_SHARE), key=lambda source: source[1], reverse=True
    )
    tiny = sum(share for _, share in named if share < LEAST_SHARE)
    return (*kept, (REST, tiny)) if tiny > 0 else tuple(kept)
