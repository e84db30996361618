"""A general path tracer (mitsuba, variant scalar_rgb) as referee of the light engine.

Illuminance at a point is pi times the radiance of a white matt card of 0.1 mm there, looked at by
a narrow camera 1 mm before it all of whose pixels see the same; the spread of the pixels gives the
standard error. Up to three emitters are traced at once, each in a colour of its own: everything
they meet is grey, so the three channels are the three emitters apart.

Differences from what the engine is told, all small:

- Bodies are meshes that leave the true surface by less than 0.2 mm, out at corners and in between
  them, so that they hold as much. Points are 1 mm off it.
- Shadow rays ignore what stands in the last 0.09 % of their way to a lamp, and all rays start up to
  0.5 mm off a surface: what stands in the way is met from there. Fins of a grid therefore begin
  3 mm before the front instead of at it, with their full depth: as if the front stood 3 mm further
  behind its grid, which costs less than 0.003 stop. A black skirt keeps light from the gap.
- Fins also stop other lamps' light and the room's; the engine's grid stops its own lamp's alone.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

import mitsuba as mi
import numpy as np
from referee_store import DARK, Stored

from kinlight.geometry.vectors import unit
from kinlight.light.world import head_is_face

mi.set_variant("scalar_rgb")  # the only one that needs no compiler at run time

CARD_M = 1e-4
BEFORE_CARD_M = 1e-3
START_OFF_M = 1500 * 2.0**-24
"""How far off a surface the tracer's rays start, for each metre of 1 + the largest coordinate."""
GRID_GAP_M = 0.003
SKIRT_OFF_M, SKIRT_BEHIND_M = 0.008, 0.005
SAGITTA_M = 6e-5  # between a chord of a mesh and its arc, along and across
SKIN_PARTS = ("neck",)
PIXELS = 16
SIDES = {"octagon": 8, "ellipse": 180}
ENDLESS = -1


@dataclass(frozen=True)
class Effort:
    """How hard to try.

    `batch` samples a pixel are taken until the relative error of the sum is at most `total` and
    that of each emitter `single`, except where it is dark, or until `batches` are done.
    """

    batch: int = 64
    batches: int = 80
    total: float = 0.0060
    single: float = 0.0180
    roulette_depth: int = 6


# --- what stands there ---


def grey(value):
    """Return a colour of equal channels."""
    return {"type": "rgb", "value": [float(value)] * 3}


def matt(reflectance):
    """Return a matt surface that sends light back on its front alone."""
    return {"type": "diffuse", "reflectance": grey(reflectance)}


def coating(coat):
    """Return one side of an opaque sheet."""
    if not coat.gloss:
        return matt(coat.reflectance)
    mirrored = {
        "type": "roughconductor", "material": "none", "distribution": "ggx",
        "alpha": coat.roughness, "specular_reflectance": grey(coat.reflectance),
    }  # fmt: skip
    return {"type": "blendbsdf", "weight": coat.gloss, "a": matt(coat.reflectance), "b": mirrored}


def surface(sheet):
    """Return both sides of a sheet; a translucent one is as even in reflection as in transmission.

    The tracer's thin sheet passes light on evenly, but its reflection is not even; so it serves
    for what is passed on alone, and a matt two-sided sheet for what is sent back.
    """
    sides = (sheet.front, sheet.back)
    opaque = {"type": "twosided", "a": coating(sides[0]), "b": coating(sides[1])}
    if not sheet.transmittance:
        return opaque
    if any(c.gloss for c in sides):
        raise ValueError("a translucent sheet is traced only if it is matt")
    whole = sheet.transmittance + max(c.reflectance for c in sides)
    share = sheet.transmittance / whole
    front, back = (matt(c.reflectance / (1 - share)) for c in sides)
    thin = {
        "type": "principledthin", "base_color": grey(whole), "diff_trans": 2.0, "spec_trans": 0.0,
        "roughness": 0.5,
    }  # fmt: skip
    both = {"type": "twosided", "a": front, "b": back}
    return {"type": "blendbsdf", "weight": share, "a": both, "b": thin}


def placed(centre, right, up, half):
    """Return the place of a unit rectangle (which reaches from -1 to 1) with given half sides."""
    turn = np.eye(4)
    turn[:3, 0], turn[:3, 1] = np.asarray(right) * half[0], np.asarray(up) * half[1]
    turn[:3, 2], turn[:3, 3] = np.cross(right, up), centre
    return mi.ScalarTransform4f(turn)


def flat(centre, right, up, half, bsdf):
    """Return a rectangle whose front is right x up."""
    return {"type": "rectangle", "to_world": placed(centre, right, up, half), "bsdf": bsdf}


def room_walls(room):
    """Return the faces of the room, all looking inward."""
    low, high = np.array(room.low_m), np.array(room.high_m)
    middle, half = (low + high) / 2, (high - low) / 2
    for k, reflectance in enumerate(room.reflectance):
        axis, top = divmod(k, 2)
        centre = np.where(np.arange(3) == axis, (high if top else low), middle)
        a, b = [i for i in range(3) if i != axis]
        right, up = np.eye(3)[a], np.eye(3)[b]
        if np.cross(right, up)[axis] * (-1 if top else 1) < 0:
            a, b, right, up = b, a, up, right
        yield flat(centre, right, up, (half[a], half[b]), matt(reflectance))


def body_mesh(solids, k):
    """Return vertices (n, 3) and triangles (m, 3) of one solid, looking outward.

    Chords cut off area from a circle and its arcs; all is grown so that none is lost.
    """
    radius, straight = solids.radius_m[k], solids.straight[k]
    step = 2 * np.arccos(1 - SAGITTA_M / radius.max())
    around = int(np.ceil(2 * np.pi / step))
    cap = np.linspace(0, np.pi / 2, int(np.ceil(np.pi / 2 / step)) + 1)
    polar = (
        np.concatenate([cap, np.pi - cap[::-1]]) if straight else np.r_[cap, np.pi - cap[-2::-1]]
    )
    shift = straight * np.where(np.arange(len(polar)) < len(cap), 1.0, -1.0)
    angle = 2 * np.pi * np.arange(around) / around
    along = 1 / np.sqrt(np.sinc(cap[1] / np.pi))
    ring = np.stack([np.cos(angle), np.sin(angle)], axis=-1) * along / np.sqrt(np.sinc(2 / around))
    local = np.concatenate(
        [
            np.broadcast_to((np.sin(polar)[:, None, None] * ring), (len(polar), around, 2)),
            np.broadcast_to(
                (along * np.cos(polar) + shift)[:, None, None], (len(polar), around, 1)
            ),
        ],
        axis=-1,
    ).reshape(-1, 3)
    here = np.arange(len(polar) - 1)[:, None] * around + np.arange(around)
    after = np.arange(len(polar) - 1)[:, None] * around + (np.arange(around) + 1) % around
    halves = [
        np.stack([here, here + around, after], -1),
        np.stack([after, here + around, after + around], -1),
    ]
    faces = np.concatenate([h.reshape(-1, 3) for h in halves])
    points = solids.centre_m[k] + (local * radius) @ solids.axes[k]
    sides = points[faces]
    area = np.linalg.norm(np.cross(sides[:, 1] - sides[:, 0], sides[:, 2] - sides[:, 0]), axis=1)
    return points, faces[area > 1e-12]  # at the poles half the triangles are none


def being_meshes(being):
    """Yield (reflectance, vertices, triangles) of each part of someone; two for the head."""
    for k, part in enumerate(being.solids.part):
        points, faces = body_mesh(being.solids, k)
        if part != "head":
            yield being.skin if part in SKIN_PARTS else being.clothes, points, faces
            continue
        face = head_is_face(being, points[faces].mean(axis=1))
        yield being.skin, points, faces[face]
        yield being.hair, points, faces[~face]


def write_mesh(path, points, faces):
    """Write a binary PLY file."""
    head = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {len(faces)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    rows = np.empty(len(faces), dtype=[("n", "u1"), ("v", "<i4", (3,))])
    rows["n"], rows["v"] = 3, faces
    path.write_bytes(head.encode() + points.astype("<f4").tobytes() + rows.tobytes())
    return {"type": "ply", "filename": str(path), "face_normals": True}


def outline(shape):
    """Return the corners of a sheet's shape in units of its half sides, shape (n, 2)."""
    sides = SIDES[shape]
    grown = 1 / np.cos(np.pi / sides) if shape == "octagon" else 1.0
    angle = 2 * np.pi * (np.arange(sides) + 0.5) / sides
    return grown * np.stack([np.cos(angle), np.sin(angle)], axis=-1)


def fan(path, corners):
    """Write a flat convex outline as triangles."""
    k = np.arange(1, len(corners) - 1)
    return write_mesh(path, corners, np.stack([np.zeros_like(k), k, k + 1], axis=-1))


def sheet_shape(sheet, path):
    """Return a sheet."""
    if sheet.shape == "rectangle":
        return flat(sheet.centre_m, sheet.right, sheet.up, sheet.half_m, surface(sheet))
    across = outline(sheet.shape) * sheet.half_m
    corners = sheet.centre_m + across[:, :1] * sheet.right + across[:, 1:] * sheet.up
    return {**fan(path, corners), "bsdf": surface(sheet)}


def front(emitter, colour, path):
    """Return the front of a lamp, black and lit evenly with unit exitance in a colour."""
    if emitter.beam != 1 or emitter.edge_stops:
        raise ValueError("only evenly bright fronts are traced")
    corners = emitter.polygon_m
    if len(corners) == 4:
        right, up = corners[1] - corners[0], corners[3] - corners[0]
        half = np.linalg.norm(right) / 2, np.linalg.norm(up) / 2
        shape = flat(corners.mean(axis=0), unit(right), unit(up), half, matt(0))
    else:
        shape = {**fan(path, corners), "bsdf": matt(0)}
    if any(colour):
        radiance = {"type": "rgb", "value": [c / np.pi for c in colour]}
        shape["emitter"] = {"type": "area", "radiance": radiance}
    return shape


def fins(emitter):
    """Yield the black fins of a rectangular front's egg-crate, a little before it, and its skirt.

    Without the skirt, light would leave to the sides between the front and the outermost fins. It
    stands off the front, for shadow rays do not see what is too near their lamp.
    """
    grid, corners = emitter.grid, emitter.polygon_m
    if grid.kind != "egg-crate" or len(corners) != 4:
        raise ValueError("only egg-crates on rectangular fronts are traced")
    right, up = corners[1] - corners[0], corners[3] - corners[0]
    middle = emitter.centre_m + (GRID_GAP_M + grid.depth_m / 2) * emitter.normal
    for across, along in ((right, up), (up, right)):
        cells = round(float(np.linalg.norm(across)) / grid.cell_m)
        half = np.linalg.norm(along) / 2, grid.depth_m / 2
        for k in range(cells + 1):
            centre = middle + (k / cells - 0.5) * across
            yield flat(centre, unit(along), emitter.normal, half, matt(0))
        depth = SKIRT_BEHIND_M + GRID_GAP_M + grid.depth_m
        height = (depth / 2 - SKIRT_BEHIND_M) * emitter.normal
        half = np.linalg.norm(along) / 2 + SKIRT_OFF_M, depth / 2
        for side in (-1, 1):
            beside = side * (across / 2 + SKIRT_OFF_M * unit(across))
            yield flat(
                emitter.centre_m + height + beside, unit(along), emitter.normal, half, matt(0)
            )


def build(world, emitters, colours, receivers, effort, folder):
    """Return the loaded scene with a card at every receiver."""
    if np.any(receivers.dome):
        raise ValueError("only flat receivers are traced")
    shapes = list(room_walls(world.room)) if world.room else []
    shapes += [sheet_shape(s, folder / f"sheet{k}.ply") for k, s in enumerate(world.sheets)]
    for k, (emitter, colour) in enumerate(zip(emitters, colours, strict=True)):
        shapes.append(front(emitter, colour, folder / f"lamp{k}.ply"))
        shapes += fins(emitter) if emitter.grid else []
    for j, being in enumerate(world.beings):
        for k, (reflectance, points, faces) in enumerate(being_meshes(being)):
            mesh = write_mesh(folder / f"body{j}_{k}.ply", points, faces)
            shapes.append({**mesh, "bsdf": matt(reflectance)})
    for point, normal in zip(receivers.points_m, receivers.normals, strict=True):
        right, up = sides_of(normal)
        shapes.append(flat(point, right, up, (CARD_M / 2, CARD_M / 2), matt(1)))
    integrator = {
        "type": "path", "max_depth": ENDLESS, "rr_depth": effort.roulette_depth, "block_size": 4,
    }  # fmt: skip
    whole = {"type": "scene", "integrator": integrator}
    return mi.load_dict(whole | {f"shape{k}": shape for k, shape in enumerate(shapes)})


def sides_of(normal):
    """Return two unit vectors with right x up = normal."""
    right = unit(np.cross(np.eye(3)[np.argmin(np.abs(normal))], normal))
    return right, np.cross(normal, right)


# --- measuring ---


def camera(point, normal, samples):
    """Return a narrow camera that sees nothing but the card."""
    _, up = sides_of(normal)
    look = mi.ScalarTransform4f().look_at(
        origin=(point + BEFORE_CARD_M * normal).tolist(), target=point.tolist(), up=up.tolist()
    )
    film = {
        "type": "hdrfilm", "width": PIXELS, "height": PIXELS, "rfilter": {"type": "box"},
        "pixel_format": "rgb", "component_format": "float32",
    }  # fmt: skip
    return mi.load_dict({
        "type": "perspective", "fov": 1.0, "near_clip": BEFORE_CARD_M / 100, "far_clip": 1.0,
        "to_world": look, "film": film, "sampler": {"type": "multijitter", "sample_count": samples},
    })  # fmt: skip


class Pixels:
    """Pixels of cards so far: each an independent estimate of the illuminance of three emitters."""

    def __init__(self, scene, receivers, effort, seed):
        """Begin with none."""
        self.scene, self.receivers, self.effort, self.seed = scene, receivers, effort, seed
        self.values = [np.zeros((0, 3)) for _ in range(len(receivers))]

    def add(self, k):
        """Trace another batch at one receiver."""
        done = len(self.values[k]) // PIXELS**2
        sensor = camera(self.receivers.points_m[k], self.receivers.normals[k], self.effort.batch)
        seed = self.seed + 1_000_003 * k + 10_007 * done
        image = np.array(
            mi.render(self.scene, sensor=sensor, spp=self.effort.batch, seed=seed % 2**31)
        )
        pixels = np.pi * image.reshape(-1, 3).astype(np.float64)
        self.values[k] = np.concatenate([self.values[k], pixels])

    def results(self):
        """Return means, their errors (n, 3), the error of the sum and the samples (n,)."""
        mean = np.array([v.mean(axis=0) for v in self.values])
        error = np.array([v.std(axis=0, ddof=1) / np.sqrt(len(v)) for v in self.values])
        total = np.array([v.sum(axis=1).std(ddof=1) / np.sqrt(len(v)) for v in self.values])
        return mean, error, total, np.array([len(v) * self.effort.batch for v in self.values])


def trace(world, emitters, receivers, *, effort=Effort(), seed=1):
    """Return the illuminance at receivers for unit exitance of each emitter, as `Stored`."""
    parts = []
    for start in range(0, len(emitters), 3):
        colours = [
            [float(k - start == channel) for channel in range(3)] for k in range(len(emitters))
        ]
        with tempfile.TemporaryDirectory() as folder:
            scene = build(world, emitters, colours, receivers, effort, Path(folder))
        pixels = Pixels(scene, receivers, effort, seed + 7_919 * start)
        lamps = min(3, len(emitters) - start)
        _refine(pixels, lamps, effort, len(range(0, len(emitters), 3)))
        mean, error, total, samples = pixels.results()
        parts.append((mean[:, :lamps], error[:, :lamps], total, samples))
    mean, error, total, samples = (list(p) for p in zip(*parts, strict=True))
    whole = np.sqrt(np.sum(np.square(total), axis=0))
    return Stored(np.hstack(mean), np.hstack(error), whole, np.sum(samples, axis=0))


def _refine(pixels, lamps, effort, runs):
    """Trace batch upon batch where the error is still too large and it is not dark."""
    wanting = np.arange(len(pixels.receivers))
    for _ in range(effort.batches):
        for k in wanting:
            pixels.add(k)
        mean, error, total, _ = pixels.results()
        whole = mean.sum(axis=1)
        limit = np.where(whole >= DARK * whole.max(), effort.total * whole, np.inf)
        coarse = total > limit
        single = np.where(mean >= DARK * mean.max(axis=0), effort.single * mean, np.inf)
        coarse |= (error > single)[:, :lamps].any(axis=1)
        wanting = np.flatnonzero(coarse)
        if not len(wanting):
            return
