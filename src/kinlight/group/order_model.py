"""What a running order is made of: who is there when, what can be done, and how patience ends."""

from __future__ import annotations

import functools
import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources import files
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinlight.errors import Fault, RangeError

Array = NDArray[np.float64]
Kind = Literal["picture", "wait", "break", "feed"]
SLACK_S = 1e-6  # sums of the same durations in another order differ by less


@dataclass(frozen=True)
class Sitter:
    """One person: when they are there, and how long they are willing.

    Attributes
    ----------
    id : how items name them.
    arrives_s, leaves_s : from the start of the sitting [s].
    away_s : naps and meals, each from and to [s].
    patience_s : counted from arrival, time away apart [s]; None if it does not limit the sitting.
    """

    id: str
    arrives_s: float = 0.0
    leaves_s: float = math.inf
    away_s: tuple[tuple[float, float], ...] = ()
    patience_s: float | None = None


@dataclass(frozen=True)
class Item:
    """One thing to be done: a picture, or a wait, a break or a feed.

    Attributes
    ----------
    id : what it is called.
    duration_s : how long it takes, its change-over included [s].
    people : who must be there for all of it.
    value : what a picture brings, in a unit that is the same for all [-].
    must : the picture must be made.
    carried : heavy children who are carried in it.
    restores_s : patience that a break or feed gives back, by child [s]; it cannot give back what
        was not used yet, so the break has to come late enough.
    camera : how the camera is set for it, such as the lens; a change of that costs effort.
    """

    id: str
    duration_s: float
    kind: Kind = "picture"
    people: tuple[str, ...] = ()
    value: float = 0.0
    must: bool = False
    carried: frozenset[str] = frozenset()
    restores_s: Mapping[str, float] = field(default_factory=dict)
    camera: str = ""

    @property
    def is_picture(self) -> bool:
        """Whether it is a picture."""
        return self.kind == "picture"


@dataclass(frozen=True)
class Programme:
    """Everything an order is chosen from.

    Attributes
    ----------
    items : pictures, and the waits, breaks and feeds that may be used; each at most once.
    sitters : everyone named in an item.
    ends_s : when the sitting must be over [s].
    walk_share : what one person walking in or out between two pictures costs, as a share of the
        mean value of the pictures [-]; None takes the usual one.

    Raises
    ------
    RangeError
        If an item or a person cannot be planned with, with one fault for each.
    """

    items: tuple[Item, ...]
    sitters: tuple[Sitter, ...]
    ends_s: float = math.inf
    walk_share: float | None = None

    def __post_init__(self) -> None:
        faults = [*_unsound_items(self), *_unsound_sitters(self)]
        if self.walk_share is not None and not 0 <= self.walk_share < math.inf:
            faults.append(Fault("is no share of a picture's value", given=f"{self.walk_share:g}"))
        if faults:
            raise RangeError(faults)

    @property
    def total_value(self) -> float:
        """What all pictures together would bring [-]."""
        return math.fsum(i.value for i in self.items if i.is_picture)

    @property
    def must_bonus(self) -> float:
        """What a must-have weighs beside its value, so that it comes first [-]."""
        return self.total_value or 1.0

    @property
    def walk_cost(self) -> float:
        """What one person walking in or out costs [-]."""
        share = conventions()["walk"]["share"] if self.walk_share is None else self.walk_share
        return float(share) * self.total_value / max(1, sum(i.is_picture for i in self.items))


@functools.cache
def conventions() -> dict[str, Any]:
    """Return the conventions of order.toml."""
    text = files("kinlight.group").joinpath("data/order.toml").read_text("utf-8")
    return tomllib.loads(text)


def survival(used_share: ArrayLike) -> Array:
    """Return the chance that a child is still willing after a share of their patience [-].

    Notes
    -----
    1 up to half the patience, then falling in a straight line to 0 at one and a half times: the
    patience that comes true is even between both. Common practice, no source.
    """
    sure, gone = (float(conventions()["patience"][k]) for k in ("surely_until", "surely_gone_at"))
    return np.clip((gone - np.asarray(used_share, dtype=np.float64)) / (gone - sure), 0.0, 1.0)


def used_s(sitter: Sitter, at_s: ArrayLike) -> Array:
    """Return how long someone has been there at a time, naps and meals apart [s]."""
    at = np.asarray(at_s, dtype=np.float64)
    used = np.maximum(at - sitter.arrives_s, 0.0)
    for start_s, end_s in _merged(sitter):
        used = used - np.clip(at - start_s, 0.0, end_s - start_s)
    return used


def _merged(sitter: Sitter) -> list[tuple[float, float]]:
    """Return the times away after arrival, overlapping ones made one."""
    merged: list[tuple[float, float]] = []
    for from_s, to_s in sorted(sitter.away_s):
        start_s = max(from_s, merged[-1][1] if merged else sitter.arrives_s, sitter.arrives_s)
        if to_s > start_s:
            merged.append((start_s, to_s))
    return merged


def picture_duration_s(
    frames: int, *, rhythm_s: float, recycle_s: float, change_over_s: float
) -> float:
    """Return how long a picture takes: each frame the slower of rhythm and recycle [s]."""
    return frames * max(rhythm_s, recycle_s) + change_over_s


def wait_items(sitters: Sequence[Sitter]) -> tuple[Item, ...]:
    """Return waits in blocks, enough to meet the latest arrival or return.

    Any whole number of the shortest block up to that time is a sum of some of them.
    """
    latest_s = max((t for s in sitters for t in _returns_s(s)), default=0.0)
    blocks_min = [int(b) for b in conventions()["wait"]["blocks_min"]]
    chosen_min: list[int] = []
    while sum(chosen_min) * 60 < latest_s:
        chosen_min.append(blocks_min[min(len(chosen_min), len(blocks_min) - 1)])
    return tuple(
        Item(id=_wait_name(m, chosen_min[:n].count(m)), duration_s=m * 60.0, kind="wait")
        for n, m in enumerate(chosen_min)
    )


def _returns_s(sitter: Sitter) -> list[float]:
    """Return when someone arrives, and comes back from times away, while they are to be there."""
    return [t for t in (sitter.arrives_s, *(to for _, to in sitter.away_s)) if t < sitter.leaves_s]


def _wait_name(minutes: int, before: int) -> str:
    return f"wait {minutes} min" + (f" ({before + 1})" if before else "")


def _unsound_items(programme: Programme) -> Iterator[Fault]:
    known, seen = {s.id for s in programme.sitters}, set[str]()
    for item in programme.items:
        fault = functools.partial(Fault, where=f"'{item.id}'")
        if item.id in seen:
            yield fault("stands in the list twice", remedy="give each a name of its own")
        seen.add(item.id)
        if not 0 < item.duration_s < math.inf:
            yield fault("takes no time that can be planned", given=f"{item.duration_s:g} s")
        if not 0 <= item.value < math.inf:
            yield fault("is no value", given=f"{item.value:g}", allowed="0 or more")
        if strangers := sorted(set(item.people) - known):
            yield fault(f"nobody here is called {', '.join(strangers)}")
        if outside := sorted((item.carried | set(item.restores_s)) - set(item.people)):
            yield fault(f"{', '.join(outside)} is carried or fed in it but not in it")
        if not all(0 <= r < math.inf for r in item.restores_s.values()):
            yield fault("gives back patience that is no time", allowed="0 s or more")
        if item.is_picture and item.restores_s:
            yield fault("is a picture and gives no patience back", remedy="make it a break")


def _unsound_sitters(programme: Programme) -> Iterator[Fault]:
    if len({s.id for s in programme.sitters}) < len(programme.sitters):
        yield Fault("two people have one name", remedy="give each a name of their own")
    for sitter in programme.sitters:
        if not (math.inf if sitter.patience_s is None else sitter.patience_s) > 0:
            yield Fault("has no patience", where=sitter.id, allowed="more than 0 s")
        if not (math.isfinite(sitter.arrives_s) and sitter.arrives_s < sitter.leaves_s):
            yield Fault("leaves before arriving", where=sitter.id)
        if not all(math.isfinite(a) and a < b < math.inf for a, b in sitter.away_s):
            yield Fault("is away for a time that does not end after its start", where=sitter.id)
