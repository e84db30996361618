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


def opposite_squares():
    """Return the share of a square's light that meets an equal one opposite, a side away.

    The double area integral over a unit cube's floor and ceiling, by the offsets u, v between two
    of their points: 4 x the integral over u and v from 0 to 1 of
    (1 - u) (1 - v) / (pi (1 + u^2 + v^2)^2). Derived by hand, summed by Gauss-Legendre.
    """
    u, weight = _from_0_to_1()
    near = (1 - u) * weight
    apart2 = 1 + u**2 + u[:, None] ** 2
    return float(4 / math.pi * near @ (1 / apart2**2) @ near)


def squares_at_an_edge():
    """Return the share of a square's light that meets an equal one upright at one of its edges.

    With v between two points along the edge, x and z from it: twice the integral over v from 0 to 1
    of (1 - v) x the integral of x z / (pi (x^2 + z^2 + v^2)^2) over x and z, which is
    ln((1 + v^2)^2 / (v^2 (2 + v^2))) / (4 pi). Derived by hand, summed by Gauss-Legendre in the
    cube root of v, for its logarithm.
    """
    root, weight = _from_0_to_1()
    v = root**3
    inner = np.log((1 + v**2) ** 2 / (v**2 * (2 + v**2))) / (4 * math.pi)
    return float(2 * (weight * 3 * root**2) @ ((1 - v) * inner))


def _from_0_to_1():
    """Return places and weights of a sum that stands for an integral."""
    at, weight = np.polynomial.legendre.leggauss(60)
    return (at + 1) / 2, weight / 2


def c12(a, b, c):
    """Perpendicular rectangle, a along the element's normal, b across, c away: Howell C-12."""
    x, y = a / b, c / b
    r = math.hypot(x, y)
    return (math.atan(1 / y) - y / r * math.atan(1 / r)) / (2 * math.pi)
