"""Whole sets with an invented family of eight, for the light engine and a path tracer to agree on.

Nothing here computes light. The room is 6 x 8 x 3 m with the mark at its origin, the camera at
y < 0 and the backdrop at y = 1.9; every lamp has a black box 5 mm behind its front. All places,
sizes and reflectances are invented for these tests.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kinlight.geometry.solids import ellipsoid, holds_points, limb, together, trunk
from kinlight.geometry.vectors import UP, frozen, turned, unit
from kinlight.light.emitter import Emitter, Grid, octagon, rectangle
from kinlight.light.layers import Layer, added
from kinlight.light.world import BLACK, Being, Coat, Receivers, Room, World, receivers, sheet

POINTS_A_HEAD = 64
LIFT_M = 0.001
METER_M = 0.003  # a point has this much room before and beside it, or it is dropped
BOX_BEHIND_M = 0.005
STACK_APART_M = 0.004
GRID = Grid("egg-crate", cell_m=0.05, depth_m=0.05)


@dataclass(frozen=True, eq=False)
class Case:
    """One set: what the tracer traces, and what the engine is given where that differs.

    `head` says which being's head each receiver lies on, -1 for none; shape (n,).
    """

    name: str
    world: World
    emitters: tuple[Emitter, ...]
    receivers: Receivers
    head: np.ndarray
    engine_world: World


# --- people ---


def person(name, x, y, stature, *, seat=None, turn=0.0, clothes=0.05, skin=0.05, hair=0.05):
    """Return someone standing at (x, y), or sitting on something `seat` high; turn 0 faces -y."""
    tall = 0.155 + 0.04 * stature  # chin to crown
    out, aside = turned((0.0, -1.0, 0.0), turn), turned((1.0, 0.0, 0.0), turn)
    crotch = 0.46 * stature
    ground = np.array([x, y, 0.0 if seat is None else seat + 0.05 * stature - crotch])

    def at(right=0.0, forward=0.0, up=0.0):
        return ground + right * aside + forward * out + up * UP

    shoulder = stature - 1.38 * tall
    waist = crotch + 0.4 * (shoulder - crotch)
    wide, deep = 0.108 * stature, 0.062 * stature
    crown = at(0, 0.015, stature - tall / 2)
    axes = np.stack([aside, np.cross(UP, aside), UP])
    parts = [
        ellipsoid("head", crown, axes, (0.34 * tall, 0.42 * tall, 0.5 * tall)),
        limb("neck", at(up=shoulder - 0.02), at(up=stature - 0.72 * tall), radius_m=0.25 * tall),
        trunk("chest", at(up=waist - 0.04 * stature), at(up=shoulder + 0.05 * tall), aside=aside,
              half_breadth_m=wide, half_depth_m=deep),
        trunk("pelvis", at(up=crotch - 0.03 * stature), at(up=waist + 0.03 * stature), aside=aside,
              half_breadth_m=0.095 * stature, half_depth_m=0.066 * stature),
    ]  # fmt: skip
    for side in (-1, 1):
        parts += _arm(at, side, stature, shoulder, sits=seat is not None)
        parts += _leg(at, side, stature, crotch, sits=seat is not None)
    return Being(name, together(parts), clothes, skin, hair, frozen(out), frozen(UP))


def _arm(at, side, stature, shoulder, *, sits):
    """Return an arm, hanging or with the hand in the lap."""
    top = at(side * 0.118 * stature, 0, shoulder - 0.03 * stature)
    elbow = at(side * 0.15 * stature, 0.02 * stature, shoulder - 0.2 * stature)
    low = shoulder - (0.24 if sits else 0.36) * stature
    hand = at(side * (0.06 if sits else 0.14) * stature, (0.16 if sits else 0.06) * stature, low)
    return [
        limb("upper arm", top, elbow, radius_m=0.027 * stature),
        limb("lower arm", elbow, hand, radius_m=0.022 * stature),
    ]


def _leg(at, side, stature, crotch, *, sits):
    """Return a leg, straight or bent over the edge of a seat."""
    hip = at(side * 0.055 * stature, 0, crotch)
    if sits:
        knee = at(side * 0.065 * stature, 0.24 * stature, crotch + 0.01 * stature)
        foot = at(side * 0.06 * stature, 0.22 * stature, crotch - 0.2 * stature)
    else:
        knee = at(side * 0.055 * stature, 0.01 * stature, 0.26 * stature)
        foot = at(side * 0.06 * stature, 0, 0.035 * stature)
    return [
        limb("thigh", hip, knee, radius_m=0.045 * stature),
        limb("shin", knee, foot, radius_m=0.031 * stature),
    ]


def family(reflectance=0.05):
    """Return all eight, everything on them of one reflectance."""
    same = {"clothes": reflectance, "skin": reflectance, "hair": reflectance}
    return (
        person("grandfather", -0.86, 0.38, 1.74, turn=14, **same),
        person("mother", -0.29, 0.52, 1.66, turn=5, **same),
        person("father", 0.30, 0.50, 1.86, turn=-4, **same),
        person("aunt", 0.88, 0.36, 1.58, turn=-15, **same),
        person("grandmother", -0.58, -0.12, 1.55, seat=0.46, turn=10, **same),
        person("girl", 0.00, -0.06, 1.24, turn=0, **same),
        person("boy", 0.55, -0.10, 1.42, seat=0.40, turn=-12, **same),
        person("toddler", 0.26, -0.62, 0.86, turn=-6, **same),
    )


# --- receivers ---


def head_points(being, others, count=POINTS_A_HEAD):
    """Return points and normals over the half of a head that faces the camera, by golden angle.

    A point is dropped if it, or the room a meter needs before and beside it, lies in another body.
    """
    body = being.solids
    k = body.part.index("head")
    axes, radius = body.axes[k], body.radius_m[k]
    ahead = unit(axes @ np.array([0.0, -1.0, 0.0]) / radius)
    helper = np.eye(3)[np.argmin(np.abs(ahead))]
    across = unit(np.cross(helper, ahead))
    cos = 1 - (np.arange(count) + 0.5) / count
    angle = np.arange(count) * np.pi * (3 - np.sqrt(5))
    ring = np.cos(angle)[:, None] * across + np.sin(angle)[:, None] * np.cross(ahead, across)
    on_ball = cos[:, None] * ahead + np.sqrt(1 - cos**2)[:, None] * ring
    normals = unit((on_ball / radius) @ axes)
    points = body.centre_m[k] + (on_ball * radius) @ axes + LIFT_M * normals
    rest = together([b.solids for b in others] + [body])
    rest_but_head = [i for i in range(len(rest)) if i != len(rest) - len(body) + k]
    clear = np.ones(count, dtype=bool)
    beside = [sign * METER_M * way for way in np.eye(3) for sign in (-1, 1)]
    for away in (0.0, (METER_M - LIFT_M) * normals, *beside):
        clear &= ~holds_points(rest, points + away)[:, rest_but_head].any(axis=1)
    return points[clear], normals[clear]


def measured(beings, *, heads=None, count=POINTS_A_HEAD, backdrop=True):
    """Return receivers on some heads (all if not said), and nine on the backdrop, with `head`."""
    points, normals, head = [], [], []
    for k in range(len(beings)) if heads is None else heads:
        p, n = head_points(beings[k], beings[:k] + beings[k + 1 :], count)
        points, normals, head = [*points, p], [*normals, n], head + [k] * len(p)
    if backdrop:
        spots = [(x, BACKDROP_Y - LIFT_M, z) for z in (0.5, 1.3, 2.1) for x in (-1.0, 0.05, 1.0)]
        points, normals = [*points, spots], [*normals, [(0, -1, 0)] * 9]
        head += [-1] * 9
    return receivers(np.concatenate(points), np.concatenate(normals)), np.array(head)


# --- the set ---

BACKDROP_Y = 1.9
KEY_AT, KEY_AIM = np.array([-1.7, -1.5, 2.1]), np.array([0.0, 0.1, 1.35])


def room(walls, *, floor=None, ceiling=None):
    """Return the room with all faces alike but those said."""
    low, high = (-3.0, -5.2, 0.0), (3.0, 2.8, 3.0)
    floor, ceiling = (walls if r is None else r for r in (floor, ceiling))
    return Room(low, high, (walls, walls, walls, walls, floor, ceiling))


def key():
    """Return a 0.9 m square to the left of the camera."""
    return rectangle(KEY_AT, KEY_AIM - KEY_AT, width_m=0.9, height_m=0.9)


def fill():
    """Return an octagon of 1.2 m to the right of the camera."""
    at = np.array([1.5, -2.6, 1.9])
    return octagon(at, np.array([0.0, 0.1, 1.2]) - at, across_corners_m=1.2)


def strip(grid=None):
    """Return a level strip above and behind the group, toward its hair."""
    at = np.array([0.35, 1.45, 2.55])
    front = rectangle(at, np.array([0.1, 0.1, 1.45]) - at, width_m=0.9, height_m=0.3)
    return replace(front, grid=grid)


def backdrop_light():
    """Return a small square behind the group toward the backdrop."""
    at = np.array([-1.15, 1.05, 0.55])
    return rectangle(at, np.array([0.0, 1.9, 1.2]) - at, width_m=0.35, height_m=0.35)


def box(front):
    """Return the black box of a lamp: a sheet of its shape behind its front."""
    corners = front.polygon_m
    centre = corners.mean(axis=0) - BOX_BEHIND_M * front.normal
    shape = "octagon" if len(corners) == 8 else "rectangle"
    made = sheet("box", centre, front.normal, width_m=1, height_m=1, shape=shape)
    half = [
        float(np.abs((corners - front.centre_m) @ side).max()) for side in (made.right, made.up)
    ]
    return replace(made, half_m=(half[0], half[1]))


def backdrop(reflectance=0.4):
    """Return a matt backdrop, black behind."""
    return sheet("backdrop", (0.0, BACKDROP_Y, 1.3), (0, -1, 0), width_m=2.7, height_m=2.6,
                 front=Coat(reflectance), near=False)  # fmt: skip


def reflector(front, *, back=BLACK, further_m=0.0):
    """Return a 1.0 x 1.5 m reflector to the right of the group, some way further off it."""
    at, aim = np.array([1.55, -0.75, 1.15]), np.array([0.1, 0.1, 1.3])
    away = -further_m * unit(aim - at)
    return sheet("reflector", at + away, aim - at, width_m=1.0, height_m=1.5, front=front,
                 back=back)  # fmt: skip


def scrim(reflectance, transmittance, *, at, aim, width_m, height_m):
    """Return a translucent sheet, alike from both sides."""
    coat = Coat(reflectance)
    return sheet("scrim", at, aim, width_m=width_m, height_m=height_m, front=coat, back=coat,
                 transmittance=transmittance)  # fmt: skip


def case(name, beings, walls, lamps, *sheets, engine_sheets=None, **points):
    """Return a case with the backdrop and the lamps' boxes added to its sheets."""
    whole, head = measured(beings, **points)
    common = (backdrop(), *map(box, lamps))
    engine = sheets if engine_sheets is None else engine_sheets
    world = World(beings, (*sheets, *common), walls)
    engine_world = World(beings, (*engine, *common), walls)
    return Case(name, world, tuple(lamps), whole, head, engine_world)


# --- the cases ---

SILVER = Coat(0.8, gloss=0.75, roughness=0.25)
WHITE = Coat(0.85)
SCRIM_R, SCRIM_T = 0.40, 0.50


def _rooms():
    black, grey = family(0.05), family(0.45)
    front, back = (key(), fill(), strip()), (key(), fill(), backdrop_light())
    yield case("room_dark_people_black", black, room(0.05), front)
    yield case("room_grey_people_black", black, room(0.5), front)
    yield case("room_pale_people_black", black, room(0.8), front)
    yield case("room_grey_people_grey", grey, room(0.5), back)
    yield case("room_pale_people_grey", grey, room(0.8), front)
    pale_above = room(0.7, floor=0.08, ceiling=0.85)
    yield case("floor_dark", grey, pale_above, (key(), fill(), backdrop_light(), strip()))
    yield case("floor_light", grey, room(0.3, floor=0.75, ceiling=0.3), (key(), strip()))


def _reflectors():
    grey, lamps = family(0.45), (key(), strip())
    yield case("reflector_white", grey, room(0.5), lamps, reflector(WHITE))
    yield case("reflector_silver", grey, room(0.2), lamps, reflector(SILVER))
    before = reflector(Coat(SCRIM_R), back=Coat(SCRIM_R))
    before = replace(before, name="scrim", transmittance=SCRIM_T)
    stack = before, reflector(SILVER, further_m=STACK_APART_M)
    both = Coat(SCRIM_R)
    one = reflector(added(Layer(both, both, SCRIM_T), Layer(SILVER)).front)
    yield case("scrim_on_silver", grey, room(0.2), lamps, *stack, engine_sheets=(one,))
    middle = KEY_AT + 0.35 * (KEY_AIM - KEY_AT)
    alone = scrim(SCRIM_R, SCRIM_T, at=middle, aim=KEY_AIM - KEY_AT, width_m=1.5, height_m=1.5)
    yield case("scrim_alone", grey, room(0.5), lamps, alone)


def _others():
    grey = family(0.45)
    yield case("strip_gridded", grey, room(0.5), (key(), strip(GRID)))
    panels = [
        sheet(f"v-flat {x}", (x, -0.35, 1.05), (-x, 0.3, 0), width_m=1.2, height_m=2.1)
        for x in (-1.65, 1.65)
    ]
    yield case("v_flats", grey, room(0.5), (fill(), strip()), *panels)
    for shirt, clothes in (("white", 0.85), ("black", 0.04)):
        three = (
            person("father", -0.16, 0.10, 1.82, turn=-8, clothes=clothes, skin=0.35, hair=0.06),
            person("boy", 0.20, -0.08, 1.30, turn=6, clothes=0.20, skin=0.35, hair=0.06),
            person("mother", 0.48, 0.14, 1.64, turn=10, clothes=0.20, skin=0.35, hair=0.06),
        )
        yield case(f"shirt_{shirt}", three, room(0.3), (key(), fill()))


def scenes():
    """Return all cases by name."""
    return {c.name: c for make in (_rooms, _reflectors, _others) for c in make()}
