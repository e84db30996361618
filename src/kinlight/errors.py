"""What kinlight says when something cannot be used: one plain sentence per fault.

Every error carries its parts as data (where, what, what is allowed, what was given, what to
try), so that a page can put the sentence beside the field and the command line can list them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong, in the parts of its sentence.

    Attributes
    ----------
    problem : what is wrong; if `given` is stated, it follows that ("is above the ceiling").
    where : the place in the photographer's words ("light 'hair'"); may be empty.
    allowed : what would be right ("0.1 m to 4 m"); may be empty.
    given : what was given, as given ("3.4 m"); may be empty.
    remedy : what to try ("lower it to 2.5 m or less"); may be empty.
    """

    problem: str
    where: str = ""
    allowed: str = ""
    given: str = ""
    remedy: str = ""

    def sentence(self) -> str:
        """Return the fault as one sentence."""
        text = f"{self.given} {self.problem}" if self.given else self.problem
        if self.where:
            text = f"{self.where}: {text}"
        if self.allowed:
            text += f"; allowed: {self.allowed}"
        if self.remedy:
            text += f"; {self.remedy}"
        return text

    def at(self, where: str) -> Fault:
        """Return the same fault said to be at `where`."""
        return replace(self, where=where)


class KinlightError(Exception):
    """Something kinlight can explain; `faults` holds one entry for each thing that is wrong."""

    def __init__(self, faults: Fault | Sequence[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(f.sentence() for f in self.faults))

    def __reduce__(self) -> tuple[type[KinlightError], tuple[tuple[Fault, ...]]]:
        """Travel between processes with the faults, not with the text alone."""
        return type(self), (self.faults,)


class QuantityError(KinlightError, ValueError):
    """A text or number that cannot be read as the quantity it should be."""


class SittingError(KinlightError):
    """A sitting document that cannot be used."""


class RangeError(KinlightError, ValueError):
    """A value outside the range in which a formula is valid or a device works."""


class StoreError(KinlightError):
    """A file that cannot be read or written."""
