"""A small painter of meshes in numpy: perspective, a depth for every pixel, two soft lights."""

from __future__ import annotations

import math
import struct
import zlib
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
OVER = 2
"""How many times finer than the picture is painted, each way."""
LEVELS = 40
"""Steps of each colour in the file: fewer make it smaller."""
KEY = np.array([0.55, -0.65, 0.55]) / np.linalg.norm([0.55, -0.65, 0.55])
SUN = np.array([0.35, 0.25, -1.0])
FLOOR, LINE, SHADE, WALL = 0.72, 0.64, 0.56, 0.86
GRID_M, LINE_M, ROOM_M = 0.5, 0.004, 3.0


class Canvas:
    """A picture of a floor with lines every half metre, on which meshes are painted."""

    def __init__(self, size: tuple[int, int], eye: ArrayLike, at: ArrayLike, fov_deg: float):
        self.w, self.h = size[0] * OVER, size[1] * OVER
        self.rgb = np.full((self.h, self.w, 3), WALL)
        self.depth = np.full((self.h, self.w), np.inf)
        self.eye = np.asarray(eye, dtype=float)
        ahead = np.asarray(at, dtype=float) - self.eye
        ahead /= np.linalg.norm(ahead)
        right = np.cross(ahead, [0.0, 0.0, 1.0])
        right /= np.linalg.norm(right)
        self.axes = np.stack([right, np.cross(right, ahead), ahead])
        self.zoom = self.w / 2 / math.tan(math.radians(fov_deg / 2))
        self._floor()

    def _floor(self) -> None:
        ys, xs = np.mgrid[0 : self.h, 0 : self.w] + 0.5
        across, up = (xs - self.w / 2) / self.zoom, (self.h / 2 - ys) / self.zoom
        rays = np.stack([across, up, np.ones_like(xs)], axis=-1) @ self.axes
        far = -self.eye[2] / np.minimum(rays[..., 2], -1e-6)
        places = self.eye + far[..., None] * rays
        seen = (rays[..., 2] < -1e-6) & (places[..., 1] < ROOM_M)
        off_line = np.abs((places[..., :2] + GRID_M / 2) % GRID_M - GRID_M / 2)
        tone = np.where((off_line < LINE_M).any(axis=-1), LINE, FLOOR)
        self.rgb[seen] = tone[seen][:, None]
        self.depth[seen] = far[seen]

    def shadow(self, vertices: Array, faces: NDArray[np.int64]) -> None:
        """Paint the shadow that a mesh throws on the floor."""
        fallen = vertices - (vertices[:, 2] / SUN[2])[:, None] * SUN
        fallen[:, 2] = 0.001
        for _, window, _, new in self._triangles(fallen, faces, both_sides=True):
            self.rgb[window][new] = SHADE

    def mesh(
        self, vertices: Array, faces: NDArray[np.int64], colours: Array, normals: Array
    ) -> None:
        """Paint a mesh; colours are of its faces, normals of its vertices."""
        for k, window, weights, new in self._triangles(vertices, faces, both_sides=False):
            n = weights[new] @ normals[faces[k]]
            n /= np.linalg.norm(n, axis=1, keepdims=True)
            fill = 0.16 * np.maximum(-n[:, 1] - 0.3 * n[:, 0], 0.0)
            lit = 0.35 + 0.14 * n[:, 2] + fill + 0.63 * np.maximum(n @ KEY, 0.0)
            self.rgb[window][new] = np.clip(lit[:, None] * colours[k], 0.0, 1.0)

    def box(self, centre: ArrayLike, half: ArrayLike) -> None:
        """Paint a wooden box."""
        signs = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], float)
        vertices = np.asarray(centre) + signs * np.asarray(half)
        sides = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
        for a, b, c, d in sides:
            normal = np.cross(vertices[b] - vertices[a], vertices[c] - vertices[a])
            faces = np.array([[a, b, c], [a, c, d]])
            self.mesh(vertices, faces, np.tile([0.6, 0.5, 0.4], (2, 1)), np.tile(normal, (8, 1)))

    def _triangles(self, vertices: Array, faces: NDArray[np.int64], *, both_sides: bool):
        """Yield each triangle that is seen: number, window, weights of corners, pixels won."""
        seen = (vertices - self.eye) @ self.axes.T
        x = self.w / 2 + self.zoom * seen[:, 0] / seen[:, 2]
        y = self.h / 2 - self.zoom * seen[:, 1] / seen[:, 2]
        (ax, bx, cx), (ay, by, cy) = x[faces].T, y[faces].T
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        wanted = np.abs(area) > 1e-9 if both_sides else area < -1e-9
        for k in np.flatnonzero(wanted).tolist():
            xs, ys, near = x[faces[k]], y[faces[k]], 1 / seen[faces[k], 2]
            x0, x1 = max(int(xs.min()), 0), min(int(xs.max()) + 1, self.w)
            y0, y1 = max(int(ys.min()), 0), min(int(ys.max()) + 1, self.h)
            if x0 >= x1 or y0 >= y1:
                continue
            px, py = np.arange(x0, x1) + 0.5, (np.arange(y0, y1) + 0.5)[:, None]
            one = ((xs[1] - px) * (ys[2] - py) - (ys[1] - py) * (xs[2] - px)) / area[k]
            two = ((xs[2] - px) * (ys[0] - py) - (ys[2] - py) * (xs[0] - px)) / area[k]
            weights = np.stack([one, two, 1 - one - two], axis=-1)
            far = 1 / np.maximum(weights @ near, 1e-9)
            window = (slice(y0, y1), slice(x0, x1))
            new = (weights >= 0).all(axis=-1) & (far < self.depth[window])
            if new.any():
                self.depth[window][new] = far[new]
                yield k, window, weights, new

    def save(self, path: Path) -> int:
        """Write the picture as PNG and return its size in bytes."""
        h, w = self.h // OVER, self.w // OVER
        mean = self.rgb.reshape(h, OVER, w, OVER, 3).mean(axis=(1, 3))
        steps = np.round(np.clip(mean, 0, 1) ** (1 / 1.6) * LEVELS) / LEVELS
        data = np.round(steps * 255).astype(np.uint8)
        rows = b"".join(
            _filtered(row, above) for row, above in zip(data, [None, *data], strict=False)
        )
        header = struct.pack(">IIBBBBB", w, h, 8, 2, 0, 0, 0)
        parts = [(b"IHDR", header), (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b"")]
        content = b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(*part) for part in parts)
        path.write_bytes(content)
        return len(content)


def _filtered(row: NDArray[np.uint8], above: NDArray[np.uint8] | None) -> bytes:
    """Return a row of pixels as its difference from the row above (filter type 2 of PNG)."""
    return b"\x02" + (row if above is None else row - above).tobytes()


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
