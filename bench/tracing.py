"""The path tracer of the tests as a rival: how long it takes to be as exact as wanted."""

from __future__ import annotations

import importlib.util
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bench.timing import Taken

TESTS = Path(__file__).parents[1] / "tests" / "light"
PIXELS = 2  # a side of each point's little picture; its four pixels tell the error
PILOT = 64  # samples a pixel


@dataclass(frozen=True, eq=False)
class Traced:
    """What was traced: how long loading and sampling took, the light found and how exact it is."""

    loading: Taken
    sampling: Taken
    samples: int
    illuminance: np.ndarray
    rms_stops: float


def here() -> bool:
    """Return whether the tracer is installed."""
    return importlib.util.find_spec("mitsuba") is not None


def scenes() -> Any:
    """Return the module of the tests that makes whole sets."""
    if str(TESTS) not in sys.path:
        sys.path.insert(0, str(TESTS))
    import referee_scenes

    return referee_scenes


def traced(case: Any, *, rms_stops: float) -> Traced:
    """Return what the tracer finds of all lamps together, as exact as wanted.

    A pilot tells how many samples that takes. Meshes are made and written beforehand and count for
    nothing; loading them does.
    """
    scenes()
    import tracer

    white = [[1.0, 1.0, 1.0]] * len(case.emitters)
    with tempfile.TemporaryDirectory() as folder:
        begin = Taken.now()
        scene = tracer.build(
            case.world, case.emitters, white, case.receivers, tracer.Effort(), Path(folder)
        )
        both = begin.since()
        begin = Taken.now()
        for k, being in enumerate(case.world.beings):
            for j, (_, points, faces) in enumerate(tracer.being_meshes(being)):
                tracer.write_mesh(Path(folder) / f"again{k}_{j}.ply", points, faces)
        loading = both.less(begin.since())
    _, _, pilot = _sampled(tracer, scene, case.receivers, PILOT, seed=1)
    side = int(np.ceil(np.sqrt(PILOT) * pilot / rms_stops))
    samples = side**2  # the tracer spreads squares of whole numbers best
    taken, value, rms = _sampled(tracer, scene, case.receivers, samples, seed=2)
    return Traced(loading, taken, samples, value, rms)


def _sampled(
    tracer: Any, scene: Any, receivers: Any, samples: int, *, seed: int
) -> tuple[Taken, np.ndarray, float]:
    """Return how long so many samples a pixel take, the light, and its own standard error [stop].

    All points are looked at in one picture, which the tracer shares among the cores.
    """
    mi, count = tracer.mi, len(receivers)
    cameras = {f"point{k:04d}": _camera(tracer, receivers, k) for k in range(count)}
    film = {
        "type": "hdrfilm", "width": PIXELS * count, "height": PIXELS, "rfilter": {"type": "box"},
        "pixel_format": "rgb", "component_format": "float32",
    }  # fmt: skip
    sampler = {"type": "multijitter", "sample_count": samples}
    begin = Taken.now()
    sensor = mi.load_dict({"type": "batch", "film": film, "sampler": sampler, **cameras})
    image = np.array(mi.render(scene, sensor=sensor, spp=samples, seed=seed), dtype=np.float64)
    taken = begin.since()
    pixels = np.pi * image[..., 0].reshape(PIXELS, count, PIXELS)
    value = pixels.mean(axis=(0, 2))
    error = pixels.std(axis=(0, 2), ddof=1) / PIXELS
    return taken, value, float(np.sqrt(np.mean((error / value / np.log(2)) ** 2)))


def _camera(tracer: Any, receivers: Any, k: int) -> dict[str, Any]:
    """Return a camera that sees nothing but the card of a point."""
    point, normal = receivers.points_m[k], receivers.normals[k]
    _, up = tracer.sides_of(normal)
    look = tracer.mi.ScalarTransform4f().look_at(
        origin=(point + tracer.BEFORE_CARD_M * normal).tolist(),
        target=point.tolist(),
        up=up.tolist(),
    )
    return {
        "type": "perspective",
        "fov": 1.0,
        "near_clip": tracer.BEFORE_CARD_M / 100,
        "far_clip": 1.0,
        "to_world": look,
    }


def main() -> None:
    """Say what this is for."""
    print(f"  the tracer is {'' if here() else 'not '}installed; `light` runs against it")
