from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from lit_worlds import (
    ENGINES,
    back_of,
    form_of,
    front_of,
    seen_of,
    some_world,
    stored,
    world_of,
)

from kinlight.geometry.vectors import unit
from kinlight.light.bounce import first_bounce, many_bounces
from kinlight.light.emitter import rectangle
from kinlight.light.gloss import coat_brdf, lobe_albedo, mean_lobe_albedo
from kinlight.light.layers import stack
from kinlight.light.packed import lamps_of, shapes_of
from kinlight.light.patches import patches_of
from kinlight.light.transport import (
    _on_patches,
    gathered,
    illuminance,
    leaving_at,
    light_at,
    surroundings,
)
from kinlight.light.world import BLACK, Coat, Room, World, receivers, sheet

BEST = ENGINES.get("compiled", ENGINES["plain"])
SEEDS = [0, 1, 2, 3, 4]
WHITE, SILVER = Coat(0.8), Coat(0.8, gloss=0.75, roughness=0.3)
ON_WALL_M = 1e-3


def on_walls(room, count):
    """Return receivers on a grid over each wall, and the area each stands for [m2]."""
    low, high = np.array(room.low_m), np.array(room.high_m)
    points, normals, areas = [], [], []
    for face in range(6):
        axis, sign = face // 2, 1.0 if face % 2 == 0 else -1.0
        one, two = (a for a in range(3) if a != axis)
        i, j = (a.ravel() for a in (np.mgrid[0:count, 0:count] + 0.5) / count)
        at = np.zeros((count**2, 3))
        at[:, one], at[:, two] = low[one] + i * (high - low)[one], low[two] + j * (high - low)[two]
        at[:, axis] = (low if sign > 0 else high)[axis] + sign * ON_WALL_M
        points.append(at)
        normals.append(np.broadcast_to(sign * np.eye(3)[axis], at.shape))
        areas.append(np.full(count**2, (high - low)[one] * (high - low)[two] / count**2))
    return receivers(np.concatenate(points), np.concatenate(normals)), np.concatenate(areas)


def black_room(half_m=2.0):
    """Return a cube that sends nothing back."""
    return Room((-half_m,) * 3, (half_m,) * 3, (0.0,) * 6)


# --- closed rooms ---


@pytest.mark.parametrize("reflectance", [0.2, 0.5, 0.8, 0.95])
@pytest.mark.parametrize("patch_m", [3.0, 1.0])
def test_a_closed_room_that_glows_all_over_is_brighter_by_one_over_one_less_rho(
    reflectance, patch_m
):
    """Every wall sends on 1 of lamp light: 1 + rho + rho^2 + ... = 1 / (1 - rho) everywhere."""
    room = Room((0, 0, 0), (4, 3, 2.5), (reflectance,) * 6, patch_m)
    around = surroundings(World(room=room))
    glow = np.ones((len(around.patches), 1))
    leaving = many_bounces(around.patches, around.exchange, glow, BEST)
    assert leaving == pytest.approx(1 / (1 - reflectance), rel=1e-4)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_receiver_in_a_closed_room_sees_all_around_it(seed):
    """Everything glowing by 1 gives 1 on a flat receptor and 2 on a dome.

    Sheets reckoned in closed form are cut out of the rays: what they differ by is sampling error.
    """
    world, _, at = some_world(seed)
    exact = replace(world, sheets=tuple(replace(s, near=False) for s in world.sheets))
    whole = np.where(at.dome, 2.0, 1.0)
    around = surroundings(exact)
    assert seen_of(gathered(around, at), around).sum(axis=1) == pytest.approx(whole, rel=1e-12)
    around = surroundings(world)
    found = seen_of(gathered(around, at), around).sum(axis=1)
    assert np.abs(found / whole - 1).max() < 0.1
    assert (found / whole).mean() == pytest.approx(1, abs=0.01)


# --- energy ---


@pytest.mark.parametrize("seed", SEEDS)
def test_what_falls_on_patches_is_absorbed_by_them(seed):
    """All bounces counted, matt people, sheets and walls take up just what the lamps sent them."""
    world, lamps, _ = some_world(seed)
    matt = tuple(
        replace(s, front=replace(s.front, gloss=0.0), transmittance=0.1) for s in world.sheets
    )
    around = surroundings(replace(world, sheets=matt))
    patches, first = around.patches, sum(_on_patches(around, lamps_of(lamps), BEST))
    falls = first + form_of(around) @ leaving_at(around, lamps)
    kept = patches.area_m2 * (1 - patches.reflectance - patches.passed)
    assert kept @ falls == pytest.approx(patches.area_m2 @ first, rel=1e-4)


@pytest.mark.parametrize(("patch_m", "within"), [(1.0, 0.02), (0.5, 0.005), (0.25, 0.0025)])
def test_what_a_lamp_gives_falls_on_the_walls(patch_m, within):
    """Four points a patch stand for it: the error falls as patches are made smaller."""
    lamp = rectangle((0.4, -0.6, 1.2), (0.3, 1, 0.2), width_m=0.9, height_m=0.9)
    around = surroundings(World(room=Room((-2, -2.5, 0), (2, 2.5, 2.7), (0.5,) * 6, patch_m)))
    leaving = leaving_at(around, [lamp])[:, 0]
    on_walls_first = around.patches.area_m2 @ (leaving - back_of(around) @ leaving) / 0.5
    assert on_walls_first == pytest.approx(lamp.area_m2, rel=within)


@pytest.mark.parametrize(("patch_m", "within"), [(1.0, 0.01), (0.5, 0.004)])
def test_the_mean_light_in_a_pale_room_is_that_of_an_integrating_sphere(patch_m, within):
    """Reflectance 0.8: what bounces on the walls is lamp x rho / ((1 - rho) area), five times."""
    lamp = rectangle((0.3, -0.4, 1.2), (0.3, 0.5, 0.2), width_m=0.3, height_m=0.3)
    room = Room((-2, -2.5, 0), (2, 2.5, 2.6), (0.8,) * 6, patch_m)
    at, areas = on_walls(room, 12)
    bounced = illuminance(World(room=room), [lamp], at).bounced[:, 0]
    assert areas @ bounced == pytest.approx(lamp.area_m2 * 0.8 / (1 - 0.8), rel=within)


@pytest.mark.parametrize("name", ["e_room_to_panel", "e_room_to_camera"])
def test_the_error_falls_as_patches_are_made_smaller(name):
    """Against a path tracer in the grey room: 2, 1 and half a metre, and from then on 0.004 stop.

    64 sets of directions from one place, so that what is left is what the patches do.
    """
    case = stored("tracer_cases")[name]
    told = case["geometry"]
    lamp = front_of(told)
    world = world_of(told, lamp)
    at = receivers([told["P"]] * 64, told["n"])
    errors = []
    for patch_m in (2.0, 1.0, 0.5):
        around = surroundings(replace(world, room=replace(world.room, patch_m=patch_m)))
        light = light_at(around, [lamp], at, gathered(around, at)).total.mean()
        errors.append(abs(math.log2(light / case["expected"])))
    assert errors[0] > 2 * errors[1] > 4 * errors[2]
    assert errors[2] < 0.004


# --- sheets ---


def taken(world, lamp, name, *, before):
    """Return the light a sheet sends to black walls before or behind it, and what falls on it.

    The sheet faces +y in the middle of the room.
    """
    at, areas = on_walls(world.room, 24)
    side = (at.points_m[:, 1] > 0) == before
    light = illuminance(world, [lamp], at)
    by = light.bounced_by[light.groups.index(name), :, 0]
    s = next(s for s in world.sheets if s.name == name)
    x, y = (a.ravel() for a in 2 * (np.mgrid[0:50, 0:50] + 0.5) / 50 - 1)
    keep = s.covers(x, y)
    on = (
        s.centre_m
        + np.outer(x[keep] * s.half_m[0], s.right)
        + np.outer(y[keep] * s.half_m[1], s.up)
    )
    falls = illuminance(World(), [lamp], receivers(on + 1e-4 * s.normal, s.normal)).total.sum()
    return float(areas[side] @ by[side]), float(falls * 4 * s.half_m[0] * s.half_m[1] / 2500)


def held_up(coat, *, back=BLACK, transmittance=0.0, shape="rectangle", tile_m=0.35):
    """Return a black room with a sheet in its middle that faces +y, and a lamp before it."""
    held = sheet("held", (0, 0, 0), (0, 1, 0), width_m=1, height_m=1, shape=shape, front=coat,
                 back=back, transmittance=transmittance, tile_m=tile_m)  # fmt: skip
    lamp = rectangle((0.5, 1.2, 0.3), (-0.5, -1.2, -0.3), width_m=0.4, height_m=0.4)
    return World(sheets=(held,), room=black_room()), lamp


@pytest.mark.parametrize("shape", ["rectangle", "octagon", "ellipse"])
def test_a_white_sheet_sends_back_what_it_says_of_what_falls_on_it(shape):
    """All around it, whatever its shape: 0.8 of it, within a hundredth for tiles at its rim."""
    world, lamp = held_up(WHITE, shape=shape)
    returned, falls = taken(world, lamp, "held", before=True)
    assert returned == pytest.approx(0.8 * falls, rel=0.01)
    behind, _ = taken(world, lamp, "held", before=False)
    assert behind == 0


def test_a_scrim_sends_on_what_it_says_to_both_sides():
    """0.4 back and 0.5 on, evenly."""
    world, lamp = held_up(Coat(0.4), back=Coat(0.4), transmittance=0.5)
    back, falls = taken(world, lamp, "held", before=True)
    on, _ = taken(world, lamp, "held", before=False)
    assert back == pytest.approx(0.4 * falls, rel=0.01)
    assert on == pytest.approx(0.5 * falls, rel=0.01)


def test_a_scrim_lets_by_what_others_send_to_it():
    """A lamp turned away from it lights a white panel: half of what that sends it goes on behind.

    Within a fiftieth with tiles of 10 cm: sheets find each other by 128 rays a tile, and with nine
    tiles each these two err by up to a fourteenth.
    """
    lamp = rectangle((0, 0.5, 0), (0, 1, 0), width_m=0.4, height_m=0.4)
    panel = sheet("panel", (0, 1.5, 0), (0, -1, 0), width_m=1, height_m=1, front=WHITE, tile_m=0.1)
    scrim = sheet(
        "scrim", (0, 0, 0), (0, 1, 0), width_m=1, height_m=1, transmittance=0.5, tile_m=0.1
    )
    room = black_room()
    x, z = (a.ravel() for a in (np.mgrid[0:20, 0:20] + 0.5) / 20 - 0.5)
    on = receivers(np.column_stack([x, np.full(400, 1e-3), z]), (0, 1, 0))
    falls = illuminance(World(sheets=(panel,), room=room), [lamp], on).bounced.mean()
    at, areas = on_walls(room, 24)
    light = illuminance(World(sheets=(panel, scrim), room=room), [lamp], at)
    behind = at.points_m[:, 1] < 0
    by = light.bounced_by[light.groups.index("scrim"), :, 0]
    assert areas[behind] @ by[behind] == pytest.approx(0.5 * falls, rel=0.02)
    assert by[~behind] == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("roughness", [0.05, 0.1, 0.3, 0.6, 1.0])
@pytest.mark.parametrize("shape", ["rectangle", "ellipse"])
def test_a_silver_sheet_sends_back_no_more_than_it_says(shape, roughness):
    """Matt part and lobe together: 0.8 of what falls on it, less what its facets keep.

    That is by the lobe's albedo for light from the middle of the lamp, at a cosine of 0.9; within a
    hundredth, for 256 ways and a lamp and a sheet that are no points.
    """
    world, lamp = held_up(Coat(0.8, gloss=0.75, roughness=roughness), shape=shape)
    returned, falls = taken(world, lamp, "held", before=True)
    lobe = float(lobe_albedo(1.2 / math.hypot(0.5, 1.2, 0.3), roughness=roughness))
    assert returned <= 0.8 * falls * 1.01
    assert returned == pytest.approx(0.8 * falls * (0.25 + 0.75 * lobe), rel=0.01)


@pytest.mark.parametrize(("roughness", "within_stops"), [(0.3, 0.01), (0.15, 0.02), (0.1, 0.03)])
def test_a_narrow_lobe_from_a_near_sheet_is_met_by_enough_points(roughness, within_stops):
    """Against a million pairs of points at random through the lobe's own formula.

    Their own standard error is a quarter of the tolerance or less.
    """
    silver = Coat(0.8, gloss=1.0, roughness=roughness)
    s = sheet("s", (0.9, -0.5, 0.9), (-0.9, 0.4, 0.45), width_m=1, height_m=1.4, front=silver)
    lamp = rectangle((-1.5, -1.5, 2.0), (1.5, 1.5, -0.5), width_m=0.9, height_m=0.9)
    at = receivers([[0.05, 0.1, 1.35], [-0.1, -0.1, 1.5]], unit(np.array([0.9, -0.3, -0.3])))
    rng, pairs = np.random.default_rng(282), 1_000_000
    across, up = rng.uniform(-1, 1, (2, pairs, 1))
    on = s.centre_m + across * s.half_m[0] * s.right + up * s.half_m[1] * s.up
    corner, (right, _, down) = lamp.polygon_m[0], lamp.polygon_m[1:] - lamp.polygon_m[0]
    u, v = rng.random((2, pairs, 1))
    back = corner + u * right + v * down - on
    far2 = (back**2).sum(axis=1)
    back /= np.sqrt(far2)[:, None]
    falls = np.maximum(-(back @ lamp.normal), 0) * np.maximum(back @ s.normal, 0) / np.pi / far2
    falls *= lamp.area_m2 * 4 * s.half_m[0] * s.half_m[1]
    found = illuminance(World(sheets=(s,)), [lamp], at).bounced[:, 0]
    for k, (point, normal) in enumerate(zip(at.points_m, at.normals, strict=True)):
        out = point - on
        away2 = (out**2).sum(axis=1)
        out /= np.sqrt(away2)[:, None]
        arrives = np.maximum(-(out @ normal), 0) * (out @ s.normal) / away2
        light = coat_brdf(silver, s.normal, back, out) * falls * arrives
        assert light.std() / light.mean() / np.sqrt(pairs) < within_stops * math.log(2) / 4
        assert abs(math.log2(found[k] / light.mean())) <= within_stops


def test_a_scrim_laid_on_silver_sends_back_no_more_than_falls_on_it():
    """Stacked, as a reflector with its cloth: no light is made between the sheets."""
    for sheets in (("translucent", "silver"), ("translucent", "white"), ("white",), ("silver",)):
        layer = stack(sheets)
        world, lamp = held_up(layer.front, back=layer.back, transmittance=layer.transmittance)
        back, falls = taken(world, lamp, "held", before=True)
        on, _ = taken(world, lamp, "held", before=False)
        assert 0.4 * falls < back + on < falls


@pytest.mark.parametrize("coat", [WHITE, SILVER], ids=["white", "silver"])
def test_the_back_of_a_sheet_is_as_good_as_its_front(coat):
    """Turned over with the lamp before its back, it gives what it gave."""
    lamp = rectangle((0.6, -1.5, 0.8), (-0.6, 1.5, -0.8), width_m=0.5, height_m=0.5)
    at = receivers([(-0.6, -1.5, -0.8), (-0.4, -1.2, -0.5)], (0.6, 1.5, 0.8), [False, True])
    front = sheet("r", (0, 0, 0), (0, -1, 0), width_m=1, height_m=1, front=coat)
    back = sheet("r", (0, 0, 0), (0, 1, 0), width_m=1, height_m=1, back=coat)
    assert np.allclose(front.turned_over().normal, back.normal)
    one, other = (illuminance(World(sheets=(s,)), [lamp], at).total for s in (front, back))
    assert one == pytest.approx(other, rel=0.01)
    assert (one > 1.001 * illuminance(World(), [lamp], at).total).all()


@pytest.mark.parametrize("white", [WHITE, SILVER], ids=["white", "silver"])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_pale_sheet_never_darkens_what_a_black_one_leaves(white, seed):
    """In a room among people; within what other directions from other patches do to the rest."""
    world, lamps, at = some_world(seed)
    held = sheet("held", (-1.2, 0.4, 1.2), (1, -0.2, 0), width_m=1.2, height_m=1.5)
    pale = replace(held, front=white, back=white)
    one, other = (
        illuminance(replace(world, sheets=(*world.sheets, s)), lamps, at) for s in (held, pale)
    )
    assert np.array_equal(one.direct, other.direct)
    assert (other.bounced >= one.bounced * 2**-0.1 - 1e-5).all()
    assert other.bounced.mean() > 1.02 * one.bounced.mean()


def test_rays_and_closed_forms_see_the_same_sheet():
    """Sheets near and far are reckoned in different ways: alike, over 64 sets of directions."""
    lamp = rectangle((0.9, -1.5, 0.8), (-0.9, 1.5, -0.8), width_m=0.5, height_m=0.5)
    for shape in ("rectangle", "octagon", "ellipse"):
        held = sheet("r", (0, 0, 0), (0, -1, 0), width_m=1, height_m=1.3, shape=shape, front=WHITE)
        for dome in (False, True):
            at = receivers([(-0.6, -0.8, -0.3)] * 64, (0.4, 1, 0.2), dome)
            near, far = (
                illuminance(World(sheets=(replace(held, near=n),)), [lamp], at).bounced.mean()
                for n in (True, False)
            )
            assert near == pytest.approx(far, rel=0.01)


def test_the_first_bounce_is_off_the_side_that_is_lit_or_through_the_other():
    """By hand: a scrim of 0.4 and 0.5, lit by 2 in front and 1 behind, sends on 1.3 and 1.4."""
    held = sheet("s", (0, 0, 0), (0, 1, 0), width_m=0.3, height_m=0.3, front=Coat(0.4),
                 back=Coat(0.4), transmittance=0.5)  # fmt: skip
    patches = patches_of(World(sheets=(held,)), shapes_of(World(sheets=(held,))), BEST)
    light, none = np.array([[2.0], [1.0]]), np.zeros((2, 1))
    assert first_bounce(patches, light, none).ravel() == pytest.approx([1.3, 1.4])


def test_light_mirrored_onto_a_glossy_sheet_is_sent_on_whole():
    """Silver opposite silver: what the lobe of one brings the other leaves it evenly.

    As all light that was sent on before does; what comes straight from the lamp is mirrored on.
    """
    lamp = rectangle((0, -1.2, 1.6), (0.0, 1.0, 0.0), width_m=0.6, height_m=0.6)
    one = sheet(
        "one", (0, 0.6, 1.6), (0.0, -1, 0), width_m=1, height_m=1, front=Coat(0.8, 1.0, 0.3)
    )
    sends = {}
    for gloss in (0.0, 0.75, 1.0):
        coat = Coat(0.8, gloss, 0.3)
        other = sheet("other", (0, -1.3, 1.6), (0, 1, 0), width_m=2, height_m=2, front=coat)
        around = surroundings(World(sheets=(one, other)))
        patches = around.patches
        of = (patches.group == patches.names.index("other")) & (patches.reflectance > 0)
        _, mirrored = _on_patches(around, lamps_of([lamp]), BEST)
        assert mirrored[of].sum() > 0
        sends[gloss] = first_bounce(patches, 0 * mirrored, mirrored)[of].sum() / mirrored[of].sum()
    for gloss, share in sends.items():  # less what the facets hide of light from everywhere
        assert share == pytest.approx(0.8 * (1 - gloss + gloss * mean_lobe_albedo(roughness=0.3)))
    assert len(lamps_of([]).centre) == 0
