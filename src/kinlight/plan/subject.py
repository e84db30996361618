"""What of the people a picture must show, as points for framing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import UP, Array
from kinlight.sitting.pictures import Crop

BELOW_SHOULDERS = 0.5
"""Head heights shown below the shoulders in a head-and-shoulders picture: common practice."""


def subject_points_m(figures: Sequence[Figure], *, crop: Crop, head_room: float) -> Array:
    """Return the points that must lie in the picture, shape (n, 3) [m].

    Parameters
    ----------
    crop : how much of the people is shown.
    head_room : air over and beside every head, in head heights [-].
    """
    return np.concatenate([_points_of(f, crop, head_room) for f in figures])


def _points_of(figure: Figure, crop: Crop, head_room: float) -> Array:
    head = figure.head_points_m()
    height = float(np.linalg.norm(head[0] - head[1]))
    air = head_room * height
    centre = head.mean(axis=0)
    aside = head[2:] - centre
    wider = centre + aside * (1 + air / np.linalg.norm(aside, axis=1, keepdims=True))
    body = _body_m(figure, crop, height)
    outward = np.sign(body[:, :1] - centre[0]) * np.array([1.0, 0.0, 0.0])
    return np.concatenate([head, wider, head[:1] + air * UP, body + outward * air / 2])


def _body_m(figure: Figure, crop: Crop, head_height_m: float) -> Array:
    """Return the body's points that the crop still shows, shape (n, 3) [m]."""
    shoulders = figure.shoulders_m
    if crop == "head and shoulders":
        return np.concatenate([shoulders, shoulders - BELOW_SHOULDERS * head_height_m * UP])
    shown = [shoulders, figure.elbows_m, figure.hips_m]
    if crop == "three-quarter":
        shown.append((figure.hips_m + figure.knees_m) / 2)
        shown.append(figure.knees_m)
    if crop == "full length":
        shown += [figure.knees_m, figure.feet_m]
    return np.concatenate(shown)
