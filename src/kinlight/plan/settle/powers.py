"""Proposing powers: the working aperture at the mark, fill, hair and backdrop as wished."""

from __future__ import annotations

import math

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.exposure import exposure_for_lxs
from kinlight.light.powers import LightPower, Target, powers_for
from kinlight.plan.lit import working_f_number
from kinlight.quantities.power import fraction_of_full
from kinlight.sitting.document import Sitting
from kinlight.sitting.origins import is_proposed
from kinlight.stage.scene import Transfer


def proposed_powers(sitting: Sitting, moved: Transfer) -> tuple[LightPower, ...]:
    """Return the power of each light that states none."""
    free = [k for k, light in enumerate(sitting.lights) if light.power is None]
    if not free:
        return ()
    readings = _readings_lxs(sitting, moved)
    lost = [k for k in free if not np.any(readings[:, k] > 0)]  # shines nowhere it is metered
    free = [k for k in free if k not in lost]
    off = tuple(_at_lowest(sitting, k) for k in lost)
    if not free:
        return off
    given = readings @ _stated_shares(sitting)
    touched = np.any(readings[:, free] != 0, axis=1)
    targets = [
        _after_stated(target, given)
        for target in _wanted(sitting)
        if np.any(touched & (np.array(target.weights) != 0))
    ]
    found = powers_for(
        readings[:, free],
        targets=targets,
        scales={sitting.lights[k].id: sitting.lights[k].dial.scale() for k in free},
        f_number=working_f_number(sitting),
        iso=sitting.camera.iso,
    )
    return (*found.lights, *off)


def asked_powers(sitting: Sitting, moved: Transfer) -> tuple[LightPower, ...]:
    """Return what the wishes ask of the lights whose power is proposed, and what it is set to."""
    lights = tuple(
        x.with_stated(power=None) if is_proposed(sitting, f"lights.{x.id}.power") else x
        for x in sitting.lights
    )
    return proposed_powers(sitting.with_stated(lights=lights), moved)


def _at_lowest(sitting: Sitting, k: int) -> LightPower:
    """Return the lowest power for a light that reaches nothing; the checks say what is missing."""
    light = sitting.lights[k]
    return LightPower(light.id, math.inf, light.dial.scale().lowest_stops, -math.inf)


def _readings_lxs(sitting: Sitting, moved: Transfer) -> Array:
    """Return what each light at full power adds to each reading, shape (k + 2, k) [lx s].

    The first k readings are of each light alone, metered where it is metered alone; then the dome
    at the mark under key and fill, and the backdrop under all.
    """
    lights = sitting.lights
    alone = np.zeros((len(lights), len(lights)))
    for k, light in enumerate(lights):
        own = light.role == "backdrop"
        at = moved.rows("backdrop") if own else moved.rows("toward", light.id)
        alone[k, k] = moved.flash_lxs[at, k].mean()
    front = np.array([light.role in ("key", "fill") for light in lights])
    mark = moved.flash_lxs[moved.rows("mark")[0]] * front
    behind = moved.flash_lxs[moved.rows("backdrop")].mean(axis=0)
    return np.vstack([alone, mark, behind])


def _stated_shares(sitting: Sitting) -> Array:
    """Return the shares of full power that are stated; 0 for the lights still free."""
    settings = [light.setting_stops() for light in sitting.lights]
    return np.array([0.0 if s is None else fraction_of_full(s) for s in settings])


def _wanted(sitting: Sitting) -> list[Target]:
    """Return what the readings should come to: one wanted value for each light."""
    wishes, lights = sitting.wishes, sitting.lights
    count = len(lights)
    front = [k for k, x in enumerate(lights) if x.role in ("key", "fill")]
    keys = [k for k in front if lights[k].role == "key"] or front[:1]
    targets = []
    if front:
        targets.append(_sum({count: 1.0}, count, _lxs(sitting, sitting.meter.c_dome)))
        for k in front:
            if k != keys[0]:
                below = 0.0 if k in keys else wishes.fill_below_key_stops
                targets.append(_sum({k: 1.0, keys[0]: -(2**-below)}, count, 0.0))
    flat = _lxs(sitting, sitting.meter.c_flat)
    for k in _of_role(sitting, "hair"):
        targets.append(_sum({k: 1.0}, count, flat * 2**wishes.hair_from_key_stops))
    behind = _of_role(sitting, "backdrop")
    if behind:
        wanted = flat * 2**wishes.backdrop_from_key_stops
        targets.append(_sum({count + 1: 1.0}, count, wanted))
        targets += [_sum({k: 1.0, behind[0]: -1.0}, count, 0.0) for k in behind[1:]]
    return targets


def _sum(weights: dict[int, float], count: int, wanted_lxs: float) -> Target:
    return Target(tuple(weights.get(i, 0.0) for i in range(count + 2)), wanted_lxs)


def _lxs(sitting: Sitting, c: float) -> float:
    """Return the exposure at which a meter with constant `c` shows the working aperture [lx s]."""
    return float(exposure_for_lxs(working_f_number(sitting), iso=sitting.camera.iso, c=c))


def _of_role(sitting: Sitting, role: str) -> list[int]:
    return [k for k, light in enumerate(sitting.lights) if light.role == role]


def _after_stated(target: Target, given_lxs: Array) -> Target:
    """Take what the stated powers give off a wanted value, and keep that value positive."""
    weights = np.array(target.weights)
    left = target.wanted_lxs - float(weights @ given_lxs)
    if left < 0 and np.any(weights < 0):
        return Target(tuple(-weights), -left)
    return Target(target.weights, max(left, 0.0))
