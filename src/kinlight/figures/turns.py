"""Turns as matrices of shape (3, 3), by the right-hand rule, in degrees."""

from __future__ import annotations

import math

import numpy as np

from kinlight.geometry.vectors import Array, crossed, unit

STILL = np.eye(3)
STILL.setflags(write=False)


def about_x(angle_deg: float) -> Array:
    """Return the turn about x: of someone who faces -y, forward."""
    c, s = _cos_sin(angle_deg)
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def about_y(angle_deg: float) -> Array:
    """Return the turn about y: of someone who faces -y, toward their own left."""
    c, s = _cos_sin(angle_deg)
    return np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def about_z(angle_deg: float) -> Array:
    """Return the turn about z: of someone who faces -y, to their own left."""
    c, s = _cos_sin(angle_deg)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def about(axis: Array, angle_deg: float) -> Array:
    """Return the turn about any axis (formula of Rodrigues)."""
    x, y, z = unit(axis).tolist()
    c, s = _cos_sin(angle_deg)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + s * cross + (1 - c) * (cross @ cross))


def between(one: Array, other: Array) -> Array:
    """Return the smallest turn that takes one direction to another."""
    a, b = unit(one), unit(other)
    axis, cosine = crossed(a, b), float(a @ b)
    sine = float(np.linalg.norm(axis))
    if sine < 1e-12:
        return np.eye(3) if cosine > 0 else about(crossed(a, _unlike(a)), 180.0)
    return about(axis, math.degrees(math.atan2(sine, cosine)))


def turn_vector_deg(turn: Array) -> Array:
    """Return the axis of a turn, as long as its angle: 0 to 180 degrees, shape (3,)."""
    twice = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
    sine, cosine = float(np.linalg.norm(twice)) / 2, (float(np.trace(turn)) - 1) / 2
    if sine < 1e-9:
        if cosine > 0:
            return twice * (90 / math.pi)
        square = (turn + np.eye(3)) / 2
        return np.asarray(180.0 * unit(square[:, int(np.argmax(np.diag(square)))]))
    return twice / (2 * sine) * math.degrees(math.atan2(sine, cosine))


def share_of(turn: Array, share: float) -> Array:
    """Return a share of a turn, about the same axis."""
    vector = turn_vector_deg(turn)
    angle_deg = float(np.linalg.norm(vector))
    return np.eye(3) if angle_deg < 1e-9 else about(vector, share * angle_deg)


def twist_deg(turn: Array, axis: Array) -> float:
    """Return how far a turn twists about an axis, the swing of the axis taken off: -180 to 180."""
    along = unit(axis)
    twist = between(turn @ along, along) @ turn
    return float(turn_vector_deg(twist) @ along)


def _cos_sin(angle_deg: float) -> tuple[float, float]:
    angle = math.radians(angle_deg)
    return math.cos(angle), math.sin(angle)


def _unlike(v: Array) -> Array:
    """Return the axis that a direction is least along."""
    return np.asarray(np.eye(3)[int(np.argmin(np.abs(v)))])
