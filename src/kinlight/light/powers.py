"""Which power to set each light to, so that readings and ratio come out as wanted.

Light adds up and is in proportion to power, so the shares of full power that meet a list of
wanted values are a small least-squares problem. The dial's range and steps come afterwards.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kinlight.errors import Fault, RangeError
from kinlight.geometry.vectors import Array
from kinlight.light.checks import require_not_negative, require_positive
from kinlight.light.least_squares import nonnegative_least_squares
from kinlight.light.tables import iso_speeds
from kinlight.quantities.power import PowerScale, fraction_of_full
from kinlight.quantities.stops import f_number_text

_NOTHING = 1e-6  # of full power: no strobe goes there
_INDEPENDENT = 1e-9  # singular value, against the largest, under which two lights look alike
_SLACK_THIRDS = 0.1  # of a third of a stop that a remedy may leave


@dataclass(frozen=True)
class Target:
    """A wanted value: exposures at the receivers, weighted and added.

    Attributes
    ----------
    weights : one per receiver [-].
    wanted_lxs : what they should add up to; 0 or more [lx.s].
    counted : the lights that are on for it; empty for all.
    matters : how much missing it matters beside missing another target [-].
    """

    weights: tuple[float, ...]
    wanted_lxs: float
    counted: tuple[str, ...] = ()
    matters: float = 1.0


@dataclass(frozen=True)
class LightPower:
    """What to set one light to.

    Attributes
    ----------
    light : its name.
    asked_stops : the power that would be exact, stops below full; negative for more than full,
        infinite for none at all.
    set_stops : the nearest setting the strobe has, stops below full.
    short_stops : by how much it is weaker than asked once set; negative where it is stronger.
        Inside the range this is the rounding to a step.
    fault : what is wrong if the power asked is beyond the range, else None.
    """

    light: str
    asked_stops: float
    set_stops: float
    short_stops: float
    fault: Fault | None = None

    @property
    def message(self) -> str:
        """The fault as a sentence; empty if the strobe can be set there."""
        return self.fault.sentence() if self.fault else ""


@dataclass(frozen=True)
class PowerSettings:
    """The powers of all lights, in the order given, and what they add up to.

    Attributes
    ----------
    lights : one entry per light.
    reached_lxs : what each target comes to at the powers set [lx.s].
    """

    lights: tuple[LightPower, ...]
    reached_lxs: tuple[float, ...]

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong with lights that cannot be set as asked."""
        return tuple(light.fault for light in self.lights if light.fault)


def exposure_target(
    at: int, *, receivers: int, wanted_lxs: float, counted: tuple[str, ...] = ()
) -> Target:
    """Return the target that receiver number `at` gets an exposure."""
    return Target(_weights(receivers, {at: 1.0}), wanted_lxs, counted)


def ratio_target(
    lit: int, shadow: int, *, receivers: int, ratio: float, counted: tuple[str, ...] = ()
) -> Target:
    """Return the target that receiver `lit` gets `ratio` times the light of receiver `shadow`."""
    require_positive(ratio, what="a lighting ratio")
    return Target(_weights(receivers, {lit: 1.0, shadow: -ratio}), 0.0, counted)


def _weights(receivers: int, given: Mapping[int, float]) -> tuple[float, ...]:
    return tuple(given.get(i, 0.0) for i in range(receivers))


def powers_for(
    contributions_lxs: ArrayLike,
    *,
    targets: Sequence[Target],
    scales: Mapping[str, PowerScale],
    f_number: float,
    iso: float,
) -> PowerSettings:
    """Return the powers that meet the targets, as near as the strobes can be set.

    Parameters
    ----------
    contributions_lxs : exposure of each receiver from each light at full power, shape
        (receivers, lights) [lx.s].
    targets : the wanted values, at least as many as lights.
    scales : each light's name and power range, in the order of the columns.
    f_number, iso : the camera's setting, from which remedies are counted [-].

    Raises
    ------
    RangeError
        If nothing above zero is wanted, a target is not touched by a light's power, or the
        targets leave the powers open.

    Notes
    -----
    Non-negative least squares on errors relative to the wanted value (for a target of 0: to the
    largest wanted), each times what it matters. Each power is then brought into its range and onto
    its step by itself, so that ratios to a light that cannot reach hold once its remedy is followed
    and the powers are found anew.
    """
    require_positive(f_number, what="the f-number")
    require_positive(iso, what="the ISO speed")
    h = np.asarray(contributions_lxs, dtype=np.float64)
    require_not_negative(h, what="the light of a lamp", unit="lx s")
    rows, wanted = _rows(h, targets, list(scales)), _wanted_lxs(targets)
    size = np.where(wanted > 0, wanted, wanted.max())
    by = np.array([target.matters for target in targets]) / size
    _require_settled(rows * by[:, None], list(scales))
    shares = nonnegative_least_squares(rows * by[:, None], wanted * by)
    lights = tuple(
        _light_power(name, share, scale, f_number, iso)
        for (name, scale), share in zip(scales.items(), shares, strict=True)
    )
    reached = rows @ np.array([fraction_of_full(light.set_stops) for light in lights])
    return PowerSettings(lights, tuple(float(value) for value in reached))


def _rows(h: Array, targets: Sequence[Target], lights: Sequence[str]) -> Array:
    """Return what each light at full power adds to each target, shape (targets, lights) [lx.s]."""
    on = np.array([[not t.counted or name in t.counted for name in lights] for t in targets])
    rows: Array = np.array([t.weights for t in targets]) @ h * on
    return rows


def _wanted_lxs(targets: Sequence[Target]) -> Array:
    """Return the wanted values, of which one at least must be above zero."""
    wanted = np.array([t.wanted_lxs for t in targets], dtype=np.float64)
    require_not_negative(wanted, what="a wanted exposure", unit="lx s")
    if not wanted.max(initial=0.0) > 0:
        remedy = "state the aperture or a reading to work at"
        raise RangeError(Fault("no exposure is asked for, only ratios", remedy=remedy))
    return wanted


def _require_settled(rows: Array, lights: Sequence[str]) -> None:
    """Raise RangeError unless the targets tell every light's power."""
    length = np.linalg.norm(rows, axis=0)
    unseen = [name for name, value in zip(lights, length, strict=True) if not value > 0]
    if unseen:
        problem = "none of the wanted values depends on its power"
        remedy = "say what it should read, or switch it off"
        raise RangeError([Fault(problem, where=f"light '{n}'", remedy=remedy) for n in unseen])
    singular = np.linalg.svd(rows / length, compute_uv=False)
    known = int((singular > _INDEPENDENT * singular[0]).sum())
    if known < len(lights):
        raise RangeError(
            Fault(
                f"the wanted values settle {known} of {len(lights)} powers",
                remedy="ask for one more reading or ratio, or state a power",
            )
        )


def _light_power(
    name: str, share: float, scale: PowerScale, f_number: float, iso: float
) -> LightPower:
    """Return the setting nearest to a share of full power."""
    asked = math.inf if share < _NOTHING else -math.log2(share)
    setting = scale.clamped(asked)
    if scale.within(asked):
        return LightPower(name, asked, setting, setting - asked)
    if math.isinf(asked):
        problem = "the wanted values are met best without it"
        fault = Fault(problem, remedy="switch it off, or ask for less contrast")
    elif asked < 0:
        fault = _too_weak(-asked, f_number, iso)
    else:
        fault = _too_strong(asked - setting, scale.text(setting), f_number, iso)
    return LightPower(name, asked, setting, setting - asked, fault.at(f"light '{name}'"))


def _too_weak(short_stops: float, f_number: float, iso: float) -> Fault:
    """Return the fault of a light that would need more than full power."""
    thirds = _thirds(short_stops)
    camera = _either(
        ("raise ISO to {}", _iso_text(iso, thirds)), ("open to {}", _stop_text(f_number, -thirds))
    )
    share = math.floor(100 * 2 ** (-short_stops / 2)) / 100
    move = f"move it to {share:.2f} of its distance or less"
    return Fault(f"needs {_stops(short_stops)} more than full power", remedy=camera + move)


def _too_strong(over_stops: float, lowest: str, f_number: float, iso: float) -> Fault:
    """Return the fault of a light that cannot be turned down far enough."""
    thirds = _thirds(over_stops)
    camera = _either(
        ("lower ISO to {}", _iso_text(iso, -thirds)),
        ("stop down to {}", _stop_text(f_number, thirds)),
    )
    times = math.ceil(100 * 2 ** (over_stops / 2)) / 100
    move = f"move it to {times:.2f} times its distance or more, or put diffusion over it"
    problem = f"is {_stops(over_stops)} too strong at its lowest power ({lowest})"
    return Fault(problem, remedy=camera + move)


def _either(*choices: tuple[str, str]) -> str:
    """Return the camera settings that help, as the start of a remedy; empty if none does."""
    helps = [phrase.format(text) for phrase, text in choices if text]
    return f"{' or '.join(helps)} and set all lights anew, or " if helps else ""


def _thirds(stops: float) -> int:
    """Return the whole thirds of a stop that make up for a difference."""
    return max(1, math.ceil(3 * stops - _SLACK_THIRDS))


def _iso_text(iso: float, thirds: int) -> str:
    """Return the marked ISO speed so many thirds of a stop up; empty if cameras have none."""
    exact = iso * 2 ** (thirds / 3)
    nearest = min(iso_speeds(), key=lambda speed: abs(math.log2(speed / exact)))
    return f"{nearest:g}" if abs(math.log2(nearest / exact)) < 0.1 else ""


def _stop_text(f_number: float, thirds: int) -> str:
    """Return the f-number so many thirds of a stop smaller; empty if lenses have none."""
    exact = f_number * 2 ** (thirds / 6)
    return f_number_text(exact) if 1 <= exact <= 64 else ""


def _stops(value: float) -> str:
    return f"{value:.1f} stop" + ("s" if value >= 1.05 else "")
