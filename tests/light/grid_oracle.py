"""What a grid before a strip lets by, cell by cell: shares nothing with the engine but `polygon`.

The strip lies in the plane y = `away_m` about the y axis and shines toward y = 0, where it is
`width_m` (x) by `height_m` (z); its cells fill it exactly. Walls are black and have no width.
"""

from __future__ import annotations

import itertools

import numpy as np

from kinlight.light.polygon import dome_factor, flat_factor


def seen_sides(low, high, at, away_m, depth_m):
    """Return the part of a cell's side that is seen through its mouth, empty if low >= high.

    A line from the receiver at `at` through a point of the mouth, nearer by the depth, goes on to
    the bottom; the mouth's edges so throw a wider window on it.
    """
    grown = away_m / (away_m - depth_m)
    return max(low, at + (low - at) * grown), min(high, at + (high - at) * grown)


def square_cells(point, normal, *, away_m, width_m, height_m, cell_m, depth_m, dome=False):
    """Return the illuminance per unit exitance: the seen rectangle of each cell in closed form."""
    factor = dome_factor if dome else flat_factor
    x_m, y_m, z_m = point
    columns = _seen(x_m, away_m - y_m, width_m, cell_m, depth_m)
    rows = _seen(z_m, away_m - y_m, height_m, cell_m, depth_m)
    total = 0.0
    for (left, right), (low, high) in itertools.product(columns, rows):
        corners = [(left, low), (right, low), (right, high), (left, high)]
        polygon = np.array([(x, away_m, z) for x, z in corners])
        total += float(factor([point], normal, polygon)[0])
    return total


def _seen(at, away_m, side_m, cell_m, depth_m):
    """Return the seen parts of the cells along one side."""
    edges = np.linspace(-side_m / 2, side_m / 2, round(side_m / cell_m) + 1)
    parts = [seen_sides(a, b, at, away_m, depth_m) for a, b in itertools.pairwise(edges)]
    return [(low, high) for low, high in parts if low < high]


def round_cells(point, normal, *, away_m, width_m, height_m, cell_m, depth_m, rays, seed):
    """Return the share of the bare strip's light, by random rays from round cells, and its error.

    Rays start all over the bottom of a cell, and pass if they leave by its mouth. The middle of the
    cell is anywhere on the strip alike: the mean over all ways a honeycomb can be laid before it.
    """
    rng = np.random.default_rng(seed)
    x, z = ((rng.random(rays) - 0.5) * side for side in (width_m, height_m))
    middle = np.stack([x, np.full(rays, away_m), z], axis=1)
    radius, angle = cell_m / 2 * np.sqrt(rng.random(rays)), 2 * np.pi * rng.random(rays)
    start = middle + np.stack([radius * np.cos(angle), 0 * angle, radius * np.sin(angle)], axis=1)
    toward = np.asarray(point) - start
    length = np.linalg.norm(toward, axis=1)
    leaves, arrives = -toward[:, 1] / length, -(toward @ normal) / length
    light = np.maximum(leaves, 0) * np.maximum(arrives, 0) / length**2
    mouth = start + (depth_m / -toward[:, 1])[:, None] * toward
    off = np.hypot(mouth[:, 0] - middle[:, 0], mouth[:, 2] - middle[:, 2])
    passed = light * (off < cell_m / 2)
    share = passed.mean() / light.mean()
    error = np.std(passed - share * light) / np.sqrt(rays) / light.mean()
    return float(share), float(error)
