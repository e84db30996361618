"""The plan: everything computed about a settled sitting, as data."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from kinlight.group.frames_needed import FramesNeeded
from kinlight.plan.all_faces import AllFaces
from kinlight.plan.behind import BehindPlan
from kinlight.plan.checks import Check, Column, tightest
from kinlight.plan.faces import FaceReading
from kinlight.plan.fit_plan import FitPlan
from kinlight.plan.flares import LampToLens
from kinlight.plan.framed import Framing
from kinlight.plan.glares import LampInSpectacles
from kinlight.plan.lit import LightPlan
from kinlight.plan.metering import MeterPlan
from kinlight.plan.sharp import Sharpness
from kinlight.plan.spots import Spots
from kinlight.plan.steady import StandPlan
from kinlight.sitting.document import Sitting
from kinlight.stage.scene import Scene


@dataclass(frozen=True)
class PictureTime:
    """How long one picture takes.

    `frames` is what is planned, `needed` the range behind it; `between_frames_s` the slower of
    rhythm and recycle.
    """

    frames: int
    needed: FramesNeeded
    between_frames_s: float
    shooting_s: float
    change_over_s: float

    @property
    def total_s(self) -> float:
        """From the end of the picture before to the end of this one [s]."""
        return self.shooting_s + self.change_over_s


@dataclass(frozen=True)
class PicturePlan:
    """One picture of the plan.

    `gear` are the lamps and panels that hang in the print, `spectacles` the lamps that show in
    some; `findings` what to look at in its light, the weightiest first, by `weights` that only
    rank.
    """

    name: str
    people: tuple[str, ...]
    must: bool
    value: float
    reason: str
    household: str
    lens: str
    focal_length_mm: float
    upright: bool
    focus_m: float
    framing: Framing
    sharpness: Sharpness
    faces: tuple[FaceReading, ...]
    evenness_stops: float
    behind: BehindPlan
    flare: tuple[LampToLens, ...]
    gear: tuple[str, ...]
    spectacles: tuple[LampInSpectacles, ...]
    findings: tuple[str, ...]
    weights: tuple[float, ...]
    time: PictureTime
    made: bool
    checks: tuple[Check, ...]
    scene: Scene

    def cell(self, column: Column) -> Check:
        """Return the tightest check of a column."""
        return tightest(c for c in self.checks if c.column == column)

    @property
    def holds(self) -> bool:
        """Whether no check of it fails."""
        return all(c.verdict != "fails" for c in self.checks)


@dataclass(frozen=True)
class OrderLine:
    """One line of the running order.

    `chance` is that every child in it is still willing; `change` what to do at the camera first.
    """

    name: str
    is_picture: bool
    start: dt.datetime
    end: dt.datetime
    frames: int
    chance: float
    value: float
    change: str


@dataclass(frozen=True)
class HalfPatience:
    """What is lost if a child lasts only half as long as planned."""

    child: str
    pictures: tuple[str, ...]
    value: float


@dataclass(frozen=True)
class OrderPlan:
    """The running order and what it rests on."""

    lines: tuple[OrderLine, ...]
    left_out: tuple[tuple[str, str], ...]
    problems: tuple[str, ...]
    expected_value: float
    possible_value: float
    half_patience: tuple[HalfPatience, ...]


@dataclass(frozen=True)
class Tape:
    """A distance to tape: from, to, and how high the thing then is."""

    what: str
    distance_m: float
    aside: str
    height_m: float | None


@dataclass(frozen=True)
class FocusPlan:
    """Whose near eye the focus is locked on, and in which picture.

    `leeway_m` is the least that any eye has to an end of the sharp depth, over all pictures;
    `cost_m` how much more the ideal plane would leave, where nobody's eye need be.
    """

    person: str
    picture: str
    leeway_m: float
    cost_m: float


@dataclass(frozen=True)
class Plan:
    """A sitting, planned.

    `sitting` is the settled document the plan was computed from; `mark_height_m` how high the meter
    is held over the mark for the readings of the lights, the mean height of all eyes.
    """

    sitting: Sitting
    verdict: str
    first_five: tuple[str, ...]
    assumed: tuple[str, ...]
    proposed: tuple[str, ...]
    tapes: tuple[Tape, ...]
    spots: Spots
    pictures: tuple[PicturePlan, ...]
    lights: tuple[LightPlan, ...]
    mark_height_m: float
    meter: tuple[MeterPlan, ...]
    fit: FitPlan | None
    all_faces: AllFaces
    order: OrderPlan
    focus: FocusPlan
    backdrop_stops: float
    stands: tuple[StandPlan, ...]
    sheets: tuple[str, ...]
    cautions: tuple[str, ...]
    unreckoned: tuple[str, ...]

    @property
    def to_make(self) -> tuple[PicturePlan, ...]:
        """The pictures in the running order."""
        return tuple(p for p in self.pictures if p.made)

    @property
    def holds(self) -> bool:
        """Whether the set holds for every picture to be made, in an order that can be kept."""
        musts = all(p.made for p in self.pictures if p.must)
        return all(p.holds for p in self.to_make) and musts and not self.order.problems


def findings_lines(pictures: Sequence[PicturePlan]) -> list[str]:
    """Return every finding once, with the pictures it is of, the weightiest first.

    Of more than four pictures only their number is said.
    """
    return [f"{_pictures(names, named=4)}: {finding}" for finding, names in _ranked(pictures)]


def to_look_at(pictures: Sequence[PicturePlan]) -> str:
    """Return how much there is to look at and the weightiest of it; nothing if there is nothing."""
    found = _ranked(pictures)
    if not found:
        return ""
    finding, names = found[0]
    where = "" if len(pictures) == 1 else f", in {_pictures(names, named=2)}"
    first = finding.partition(": ")[0] + where
    if len(found) == 1:
        return f"1 thing to look at in the pictures' light: {first}."
    return f"{len(found)} things to look at in the pictures' light, the weightiest: {first}."


def _pictures(names: Sequence[str], *, named: int) -> str:
    return "; ".join(names) if len(names) <= named else f"{len(names)} pictures"


def _ranked(pictures: Sequence[PicturePlan]) -> list[tuple[str, list[str]]]:
    """Return every finding with the names of its pictures, by its greatest weight in any."""
    found: dict[str, list[str]] = {}
    weight: dict[str, float] = {}
    for picture in pictures:
        for finding, counts in zip(picture.findings, picture.weights, strict=True):
            found.setdefault(finding, []).append(picture.name)
            weight[finding] = max(weight.get(finding, 0.0), counts)
    return sorted(found.items(), key=lambda item: (-weight[item[0]], -len(item[1])))
