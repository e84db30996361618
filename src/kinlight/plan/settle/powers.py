"""Proposing powers: the working aperture on the faces, fill, hair and backdrop as wished."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kinlight.geometry.vectors import Array
from kinlight.light.exposure import exposure_for_lxs
from kinlight.light.powers import LightPower, Target, powers_for
from kinlight.plan.lit import exposing_shares, working_f_number
from kinlight.quantities.power import fraction_of_full
from kinlight.sitting.document import Sitting
from kinlight.sitting.origins import is_proposed
from kinlight.stage.scene import Transfer

_ROUNDS = 24
_LEAST_OFF_STOPS = 1e-3
_FIRM = 10.0  # how much a wish matters beside all faces together


def proposed_powers(
    sitting: Sitting, empty: Transfer, pictures: Sequence[Transfer]
) -> tuple[LightPower, ...]:
    """Return the power of each light that states none.

    Parameters
    ----------
    empty : of the empty set with its meter points.
    pictures : of the pictures; their faces, all of them together, come as near to the working
        aperture as may be.
    """
    free = [k for k, light in enumerate(sitting.lights) if light.power is None]
    if not free:
        return ()
    readings = _readings_lxs(sitting, empty, pictures)
    lost = [k for k in free if not np.any(readings[:, k] > 0)]  # shines nowhere it is metered
    free = [k for k in free if k not in lost]
    off = tuple(_at_lowest(sitting, k) for k in lost)
    if not free:
        return off
    return (*_fairest(sitting, readings, free), *off)


def _fairest(sitting: Sitting, readings: Array, free: Sequence[int]) -> tuple[LightPower, ...]:
    """Return powers by least squares, all faces alike, unless that leaves some too far off.

    Then the square of each face's error counts as often as it is far off, round after round, which
    goes to the least that the farthest must be off [lawson1961]; what leaves fewest too far off is
    taken, and of such the one whose farthest is off least.
    """
    stated, faces = _stated_shares(sitting), len(readings) - len(sitting.lights) - 1
    wanted, best = _lxs(sitting, sitting.meter.c_dome), None
    matters = np.full(faces, max(faces, 1) ** -0.5)
    for k in range(_ROUNDS):
        found = _powers(sitting, readings, free, readings @ stated, matters)
        shares = stated.copy()
        shares[free] = [fraction_of_full(light.set_stops) for light in found]
        lxs = np.maximum(readings[len(readings) - faces :] @ shares, 1e-6 * wanted)
        off = np.abs(np.log2(lxs / wanted))
        too_far = int((off > sitting.wishes.exposure_within_stops).sum())
        missed = too_far, float(off.max(initial=0.0))
        if best is None or missed < best[0]:
            best = missed, found
        if k == 0 and too_far == 0:
            break
        # It multiplies the error, of which the square counts; none is left out for good.
        matters = matters * np.sqrt(np.maximum(off, _LEAST_OFF_STOPS))
        matters /= np.linalg.norm(matters)
    return best[1] if best else ()


def _powers(
    sitting: Sitting, readings: Array, free: Sequence[int], given: Array, matters: Array
) -> tuple[LightPower, ...]:
    """Return the powers of the free lights, with how much each face matters."""
    touched = np.any(readings[:, free] != 0, axis=1)
    targets = [
        _after_stated(target, given)
        for target in _wanted(sitting, matters)
        if np.any(touched & (np.array(target.weights) != 0))
    ]
    return powers_for(
        readings[:, free],
        targets=targets,
        scales={sitting.lights[k].id: sitting.lights[k].dial.scale() for k in free},
        f_number=working_f_number(sitting),
        iso=sitting.camera.iso,
    ).lights


def asked_powers(
    sitting: Sitting, empty: Transfer, pictures: Sequence[Transfer]
) -> tuple[LightPower, ...]:
    """Return what the wishes ask of the lights whose power is proposed, and what it is set to."""
    lights = tuple(
        x.with_stated(power=None) if is_proposed(sitting, f"lights.{x.id}.power") else x
        for x in sitting.lights
    )
    return proposed_powers(sitting.with_stated(lights=lights), empty, pictures)


def _at_lowest(sitting: Sitting, k: int) -> LightPower:
    """Return the lowest power for a light that reaches nothing; the checks say what is missing."""
    light = sitting.lights[k]
    return LightPower(light.id, math.inf, light.dial.scale().lowest_stops, -math.inf)


def _readings_lxs(sitting: Sitting, empty: Transfer, pictures: Sequence[Transfer]) -> Array:
    """Return what each light at full power adds to each reading, shape (k + 1 + faces, k) [lx s].

    The first k readings are of each light alone, metered where it is metered alone; then the
    backdrop under all, and the dome at every face under all but the hair lights.
    """
    lights = sitting.lights
    alone = np.zeros((len(lights), len(lights)))
    for k, light in enumerate(lights):
        own = light.role == "backdrop"
        at = empty.rows("backdrop") if own else empty.rows("toward", light.id)
        alone[k, k] = empty.flash_lxs[at, k].mean()
    behind = empty.flash_lxs[empty.rows("backdrop")].mean(axis=0)
    counts = exposing_shares(sitting, np.ones(len(lights)))
    faces = [moved.flash_lxs[moved.rows("chin")] * counts for moved in pictures]
    return np.vstack([alone, behind, *faces])


def _stated_shares(sitting: Sitting) -> Array:
    """Return the shares of full power that are stated; 0 for the lights still free."""
    settings = [light.setting_stops() for light in sitting.lights]
    return np.array([0.0 if s is None else fraction_of_full(s) for s in settings])


def _wanted(sitting: Sitting, matters: Array) -> list[Target]:
    """Return what the readings should come to, given how much each face matters.

    What is wished of fill, hair and backdrop is kept; how bright it all is, is up to the faces.
    """
    wishes, lights = sitting.wishes, sitting.lights
    count = len(lights)
    readings = count + 1 + len(matters)
    front = [k for k, x in enumerate(lights) if x.role in ("key", "fill")]
    keys = [k for k in front if lights[k].role == "key"] or front[:1]
    targets = []
    if front:
        wanted = _lxs(sitting, sitting.meter.c_dome)
        for face, much in enumerate(matters.tolist(), count + 1):
            targets.append(replace(_sum({face: 1.0}, readings, wanted), matters=much))
        for k in front:
            if k != keys[0]:
                below = 0.0 if k in keys else wishes.fill_below_key_stops
                targets.append(_sum({k: 1.0, keys[0]: -(2**-below)}, readings, 0.0))
    flat = _lxs(sitting, sitting.meter.c_flat)
    for k in _of_role(sitting, "hair"):
        targets.append(_sum({k: 1.0}, readings, flat * 2**wishes.hair_from_key_stops))
    behind = _of_role(sitting, "backdrop")
    if behind:
        wanted = flat * 2**wishes.backdrop_from_key_stops
        targets.append(_sum({count: 1.0}, readings, wanted))
        targets += [_sum({k: 1.0, behind[0]: -1.0}, readings, 0.0) for k in behind[1:]]
    return targets


def _sum(weights: dict[int, float], readings: int, wanted_lxs: float) -> Target:
    row = tuple(weights.get(i, 0.0) for i in range(readings))
    return Target(row, wanted_lxs, matters=_FIRM)


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
        return replace(target, weights=tuple(-weights), wanted_lxs=-left)
    return replace(target, wanted_lxs=max(left, 0.0))
