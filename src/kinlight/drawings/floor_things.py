"""Things on a floor plan, each as its own outline seen from above."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from kinlight.drawings.floor_scale import Floor
from kinlight.drawings.svg import (
    ACCENT,
    BOLD,
    HAIR,
    PAPER,
    SHEET,
    SKIN,
    SOFT,
    THIN,
    Point,
    ellipse,
    line,
    polygon,
    polyline,
    text,
)
from kinlight.geometry.people import Figure
from kinlight.geometry.vectors import Array, unit
from kinlight.light.emitter import Emitter, rectangle
from kinlight.sitting.document import Sitting
from kinlight.sitting.gear import Reflector
from kinlight.sitting.pictures import Picture
from kinlight.sitting.strobes import Light
from kinlight.stage.lamps import Lamp, aim_direction

_BULGE = 0.18
"""Rise of an umbrella's dome over its diameter; common practice, no source: drawn, not reckoned."""
_BODY = 0.5
"""Depth of a body over its shoulders, seen from above; from memory: drawn, not reckoned."""
_CAMERA_M = (0.14, 0.09)
_LEG_M = 0.45


def walls(floor: Floor) -> str:
    """Return the walls, with a break where the floor is cut."""
    far_left, far_right = floor.at(floor.left_x_m, floor.far_y_m), _corner(floor, right=True)
    near_left = floor.at(floor.left_x_m, floor.near_y_m)
    near_right = floor.at(floor.right_x_m, floor.near_y_m)
    if not floor.cut:
        return polygon([near_left, far_left, far_right, near_right], width_mm=BOLD, fill=PAPER)
    wall = polyline([near_left, far_left, far_right, near_right], width_mm=BOLD)
    return wall + polyline(_broken(near_left, near_right), width_mm=THIN)


def _corner(floor: Floor, *, right: bool) -> Point:
    return floor.at(floor.right_x_m if right else floor.left_x_m, floor.far_y_m)


def _broken(a: Point, b: Point) -> list[Point]:
    """Return a level line with a zigzag in its middle, which says that something is left out."""
    x, y = (a[0] + b[0]) / 2, a[1]
    return [a, (x - 3, y), (x - 1, y - 2.2), (x + 1, y + 2.2), (x + 3, y), b]


def backdrop(floor: Floor, sitting: Sitting) -> str:
    """Return the backdrop and the sweep it runs out into."""
    drop = sitting.backdrop
    half, y = drop.width_m / 2, drop.distance_m
    end = max(y - drop.sweep_m, floor.near_y_m)
    corners = [floor.at(-half, y), floor.at(half, y), floor.at(half, end), floor.at(-half, end)]
    sheet = polygon(corners, fill=SHEET, width_mm=HAIR, stroke=SOFT)
    return sheet + line(corners[0], corners[1], width_mm=0.7)


def mark(floor: Floor) -> str:
    """Return the cross of tape on the floor."""
    (x, y), arm = floor.at(0.0, 0.0), 1.7
    return line((x - arm, y), (x + arm, y), width_mm=BOLD, stroke=ACCENT) + line(
        (x, y - arm), (x, y + arm), width_mm=BOLD, stroke=ACCENT
    )


def camera(floor: Floor, sitting: Sitting) -> str:
    """Return tripod and camera, the lens at its taped place."""
    place = sitting.camera.place
    x, y, _ = place.xyz_m() if place else (0.0, 0.0, 0.0)
    stand = np.array([x, y])
    ahead = unit(-stand) if np.linalg.norm(stand) > 0 else np.array([0.0, 1.0])
    aside = np.array([ahead[1], -ahead[0]])
    (wide, deep), lens = _CAMERA_M, 0.1
    behind = stand - lens * ahead
    legs = ""
    for angle in (0.0, 120.0, 240.0):
        turn = np.radians(angle)
        leg = _LEG_M * (np.cos(turn) * ahead + np.sin(turn) * aside)
        legs += line(_at(floor, behind), _at(floor, behind + leg), width_mm=HAIR)
    body = [
        behind + a * wide / 2 * aside + b * ahead
        for a, b in ((-1, 0), (-1, -deep), (1, -deep), (1, 0))
    ]
    barrel = [
        behind + a * 0.04 * aside + b * ahead for a, b in ((-1, 0), (1, 0), (1, lens), (-1, lens))
    ]
    outlines = [polygon([_at(floor, p) for p in points], fill=SHEET) for points in (body, barrel)]
    return legs + "".join(outlines)


def _at(floor: Floor, point: Array) -> Point:
    return floor.at(float(point[0]), float(point[1]))


def light(floor: Floor, stated: Light, lamp: Lamp) -> str:
    """Return a light's front seen from above, turned to its aim."""
    kind = stated.modifier.kind
    if kind == "bare":
        centre = lamp.emitter.centre_m
        radius = floor.mm(stated.modifier.front_m()[0] / 2)
        return ellipse(_at(floor, centre), (radius, radius), fill=SHEET, width_mm=BOLD)
    if kind.endswith("umbrella"):
        return _umbrella(
            floor, lamp, stated.modifier.front_m()[0], through=kind.startswith("shoot")
        )
    return front(floor, lamp.emitter)


def front(floor: Floor, emitter: Emitter) -> str:
    """Return a flat front seen from above; its lower edge lies under its upper one."""
    outline = [_at(floor, p) for p in emitter.polygon_m]
    return polygon(_hull(outline), fill=SHEET, width_mm=BOLD)


def _hull(points: list[Point]) -> list[Point]:
    """Return the convex outline around points."""

    def half(ordered: list[Point]) -> list[Point]:
        kept: list[Point] = []
        for p in ordered:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], p) <= 1e-9:
                kept.pop()
            kept.append(p)
        return kept[:-1]

    ordered = sorted(set(points))
    return half(ordered) + half(ordered[::-1]) if len(ordered) > 2 else ordered


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _umbrella(floor: Floor, lamp: Lamp, diameter_m: float, *, through: bool) -> str:
    """Return an umbrella as an arc of its true width; a shoot-through one bulges forward."""
    ahead = lamp.emitter.normal[:2]
    level = float(np.linalg.norm(ahead))
    ahead = ahead / level if level > 1e-6 else np.array([0.0, 1.0])
    aside = np.array([ahead[1], -ahead[0]])
    centre = lamp.emitter.centre_m[:2]
    rise = _BULGE * (1 if through else -1)
    arc = [
        centre + diameter_m * (t / 2 * aside + rise * (1 - t * t) * ahead)
        for t in np.linspace(-1, 1, 17)
    ]
    chord = line(_at(floor, arc[0]), _at(floor, arc[-1]), width_mm=HAIR)
    return chord + polyline([_at(floor, p) for p in arc], width_mm=BOLD)


def reflector(
    floor: Floor, sheet: Reflector, camera_m: Array, figures: Mapping[str, Figure]
) -> str:
    """Return a panel seen from above."""
    centre = np.array(sheet.place.xyz_m())
    direction = aim_direction(sheet.aim, centre, camera_m, figures)
    panel = rectangle(centre, direction, width_m=sheet.width_m, height_m=sheet.height_m)
    return front(floor, panel)


def seats(floor: Floor, sitting: Sitting, picture: Picture) -> str:
    """Return the stools, chairs and boxes of a picture, at their stated size where one fits."""
    drawn = ""
    for spot in picture.places:
        found = [s for s in sitting.seats if abs(s.height_m - spot.seat_m) < 0.005]
        if not found or spot.held_by or spot.posture == "wheelchair":
            continue
        half_w, half_d = found[0].width_m / 2, found[0].depth_m / 2
        corners = [
            floor.at(spot.x_m + a * half_w, spot.y_m + b * half_d)
            for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
        drawn += polygon(corners, width_mm=HAIR)
    return drawn


def person(floor: Floor, figure: Figure, label: str, *, size_mm: float) -> str:
    """Return somebody as the ellipse of their shoulders, a nose, and a number or letter."""
    left, right = figure.shoulders_m[:, :2]
    middle = (left + right) / 2
    breadth = float(np.linalg.norm(right - left))
    across = left - right
    turn = -float(np.degrees(np.arctan2(across[1], across[0])))
    ahead = unit(figure.face.facing[:2])
    rim = middle + ahead * breadth * _BODY / 2
    nose = line(_at(floor, rim), _at(floor, rim + 0.07 * ahead), width_mm=BOLD)
    radii = (floor.mm(breadth / 2), floor.mm(breadth * _BODY / 2))
    x, y = _at(floor, middle)
    return (
        ellipse((x, y), radii, turn_deg=turn, fill=SKIN)
        + nose
        + text(label, (x, y + 0.33 * size_mm), size_mm=size_mm, anchor="middle", bold=True)
    )
