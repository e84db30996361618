"""An invented room with three lights, and what a hand meter shows in it."""

from __future__ import annotations

import numpy as np

from kinlight.light.fit import fit_readings
from kinlight.light.readings import Reading

# What each light gives directly, and by the walls, at the estimated outputs [lx.s]. Rows: readings;
# columns: key, fill, hair.
LIGHTS = ("key", "fill", "hair")
DIRECT = np.array(
    [
        [150, 40, 0],
        [150, 40, 0],
        [150, 40, 60],
        [20, 45, 5],
        [90, 25, 10],
        [5, 5, 80],
        [150, 40, 6.0],
    ]
)
BOUNCED = np.array(
    [
        [30, 20, 12],
        [30, 20, 12],
        [30, 20, 15],
        [35, 22, 14],
        [40, 18, 10],
        [25, 20, 9],
        [30, 20, 12.0],
    ]
)
FIRED = np.array([[1, 0, 0], [0, 1, 0], [1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 1], [1, 1, 0]])
LABELS = ("key alone", "fill alone", "all lights", "shadow side", "edge", "hair alone", "front")
FACTORS = np.array([0.5, 0.75, 1.0, 1.25])
SIGNS = np.array([1, -1, 1, 1, -1, -1, 1])  # of a scatter
GROWTH = 1.4  # the walls' light grows with this power of the factor, in these tests


def bounced_lxs(bounced=BOUNCED, factors=FACTORS):
    """Return the walls' light at each room factor: a plain power law."""
    return factors[:, None, None] ** GROWTH * bounced


def shown_lxs(stops, *, room=1.0, fired=FIRED, direct=DIRECT, bounced=BOUNCED):
    """Return what the meter shows if the outputs are so many stops from their estimates."""
    return (fired * 2.0 ** np.asarray(stops) * (direct + room**GROWTH * bounced)).sum(axis=1)


def fit_of(observed, *, fired=FIRED, prior=1.0, sd=0.1, direct=DIRECT, bounced=BOUNCED, **more):
    """Fit readings of the invented room."""
    ambient, ways = more.get("ambient", np.zeros(len(observed))), more.get("ways", {})
    readings = [
        Reading(
            LABELS[i],
            tuple(bool(on) for on in fired[i]),
            float(value),
            sd_stops=sd,
            ambient_lxs=float(ambient[i]),
            alternatives=ways.get(i, {}),
        )
        for i, value in enumerate(observed)
    ]
    lights = LIGHTS[: direct.shape[1]]
    factors = more.get("factors", FACTORS)
    return fit_readings(
        readings,
        lights=lights,
        direct_lxs=direct[: len(readings)],
        bounced_lxs=bounced_lxs(bounced[: len(readings)], factors),
        room_factors=factors,
        prior_stops=np.full(len(lights), prior) if np.isscalar(prior) else prior,
    )


def corrections(fit):
    """Return the corrections of all lights."""
    return np.array([light.correction_stops for light in fit.lights])


def noisy(rng, *, prior, sd, count=7):
    """Return true unknowns drawn from the priors, and readings of them with noise."""
    stops, room = rng.normal(0, prior, 3), 2 ** rng.normal(0, 0.15)
    shown = shown_lxs(stops, room=room)[:count] * 2 ** rng.normal(0, sd, count)
    return stops, room, shown
