"""What a check says: how much is left before it fails, and in one sentence."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Column = Literal["Framed", "Sharp", "Lit", "Timed"]
Verdict = Literal["holds", "tight", "fails"]
# Leeways at which nobody would worry, by what is measured: our choice. They decide only which of
# several checks is called the tightest, never a verdict.
EASY_SPACE_M = 0.15
EASY_DISTANCE_M = 0.5
EASY_STOPS = 1.0
EASY_S = 1.0
EASY_MIN = 2.0
EASY_CHANCE = 0.5
COLUMNS: tuple[Column, ...] = ("Framed", "Sharp", "Lit", "Timed")


@dataclass(frozen=True)
class Check:
    """One condition of one picture.

    Attributes
    ----------
    column : the column of the hold table it belongs to.
    name : what is checked.
    leeway : how much is left before it fails, in `unit`; negative when it fails.
    uncertainty : how well that is known, in `unit`.
    leeway_text : the leeway in words ("9 cm").
    sentence : what was found.
    scale : the leeway at which nobody would worry, in `unit`: makes leeways comparable.
    """

    column: Column
    name: str
    leeway: float
    unit: str
    uncertainty: float
    leeway_text: str
    sentence: str
    scale: float

    @property
    def verdict(self) -> Verdict:
        """Whether it holds by more than it is uncertain."""
        if self.leeway < 0:
            return "fails"
        return "holds" if self.leeway >= self.uncertainty else "tight"

    @property
    def rank(self) -> float:
        """Order by need: the smaller, the nearer to failing [-]."""
        return (self.leeway - self.uncertainty) / self.scale


def tightest(checks: Iterable[Check]) -> Check:
    """Return the check nearest to failing: failing ones first, then tight ones."""
    order = {"fails": 0, "tight": 1, "holds": 2}
    return min(checks, key=lambda c: (order[c.verdict], c.rank))
