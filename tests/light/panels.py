"""Panels on the y axis, and a textbook formula, for the tests of the polygon factors."""

from __future__ import annotations

import math

import numpy as np

from kinlight.light.emitter import rectangle

TOWARD = np.array([0.0, 1.0, 0.0])
FACING = np.array([0.0, -1.0, 0.0])


def box(distance, *, size=0.9, direction=FACING):
    """Return a square front on the y axis."""
    return rectangle((0, distance, 0), direction, width_m=size, height_m=size).polygon_m


def one(factor, normal, polygon, point=(0, 0, 0)):
    """Return the factor of a single receiver."""
    return float(factor([point], normal, polygon)[0])


def c12(a, b, c):
    """Perpendicular rectangle, a along the element's normal, b across, c away: Howell C-12."""
    x, y = a / b, c / b
    r = math.hypot(x, y)
    return (math.atan(1 / y) - y / r * math.atan(1 / r)) / (2 * math.pi)
