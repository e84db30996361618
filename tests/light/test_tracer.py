from __future__ import annotations

import itertools
import json
from dataclasses import replace
from pathlib import Path

import drjit as dr
import mitsuba as mi
import numpy as np
import pytest
from panels import FACING, TOWARD, box, one
from tracer import (
    BEFORE_CARD_M,
    GRID_GAP_M,
    START_OFF_M,
    Effort,
    body_mesh,
    outline,
    surface,
    trace,
)

from kinlight.geometry.solids import ellipsoid, limb, trunk
from kinlight.light.emitter import Emitter, Grid, rectangle
from kinlight.light.gloss import lobe_albedo
from kinlight.light.polygon import flat_factor
from kinlight.light.world import Being, Coat, Room, World, receivers, sheet

DATA = Path(__file__).parent / "data"
CASES = json.loads((DATA / "tracer_cases.json").read_text())["cases"]
FINE = Effort(batch=256, batches=60, total=5e-4, single=5e-4)
Z = 4.0  # one honest value in 16,000 lies further off


def z_of(emitter, world, point, normal, expected, expected_se=0.0, *, seed):
    """Return by how many standard errors the traced illuminance is off."""
    found = trace(world, [emitter], receivers([point], normal), effort=FINE, seed=seed)
    error = float(np.hypot(found.total_error[0], expected_se))
    assert error < 8e-4 * expected, "too coarse to say anything"
    return float((found.total[0] - expected) / error)


def read(told):
    """Return emitter and world of a stored geometry."""
    panel = told["panel"]
    emitter = rectangle(panel["centre"], panel["normal"], width_m=panel["w"], height_m=panel["h"])
    sheets, beings, room = (), (), None
    if r := told.get("reflector"):
        coat = Coat(r["rho"])
        sheets = (
            sheet("r", r["centre"], r["normal"], width_m=r["w"], height_m=r["h"], front=coat),
        )
    if s := told.get("sphere"):
        ahead = START_OFF_M * np.array(told["n"])  # what hides the panel is met from there
        ball = ellipsoid("head", s["centre"] + ahead, np.eye(3), [s["radius"]] * 3)
        beings = (Being("x", ball, 0.0, 0.0, 0.0, FACING, np.array([0.0, 0, 1])),)
    if r := told.get("room"):
        room = Room(tuple(r["lo"]), tuple(r["hi"]), (r["rho"],) * 6)
    return emitter, World(beings, sheets, room)


@pytest.mark.parametrize(
    ("distance", "expected"),
    [(1.0, 0.2034634983), (1.5, 0.1023717892), (3.0, 0.0278146602)],  # closed form
)
def test_a_panel_straight_ahead_is_traced_as_the_closed_form_says(distance, expected):
    """A square of 0.9 m on axis, ten digits from the textbook formula for a rectangle."""
    emitter = Emitter(box(distance))
    assert abs(z_of(emitter, World(), (0, 0, 0), TOWARD, expected, seed=round(distance * 10))) < Z


@pytest.mark.parametrize("case", CASES, ids=[c["id"] for c in CASES])
def test_bounce_room_and_head_are_traced_as_known(case):
    """Reflector and head's shadow by quadrature, a room by another way of tracing."""
    told = case["geometry"]
    emitter, world = read(told)
    seed = 100 + 17 * CASES.index(case)
    known = case["expected"], case.get("expected_se", 0.0)
    assert abs(z_of(emitter, world, told["P"], told["n"], *known, seed=seed)) < Z


# --- grids ---

STRIP = rectangle((0, 1.5, 0), FACING, width_m=0.3, height_m=0.9)
EGG_CRATE = Grid("egg-crate", cell_m=0.05, depth_m=0.05)


def seen(side_m, gap_m, at_m, distance_m=1.5):
    """Return the parts of a side from which no fin hides (gap to gap + depth before the front)."""
    edges = np.arange(-side_m / 2, side_m / 2 + 1e-9, EGG_CRATE.cell_m)
    near, far = gap_m, gap_m + EGG_CRATE.depth_m
    ends = [edges + (edges - at_m) * d / (distance_m - d) for d in (near, far)]
    hidden = sorted(zip(np.minimum(*ends), np.maximum(*ends), strict=True))
    start, parts = -side_m / 2, []
    for low, high in hidden:
        if low > start:
            parts.append((start, min(low, side_m / 2)))
        start = max(start, high)
    return [*parts, (start, side_m / 2)] if start < side_m / 2 else parts


def through_grid(gap_m, point):
    """Return the illuminance as the sum over the visible rectangle of every cell."""
    x, z = seen(0.3, gap_m, point[0]), seen(0.9, gap_m, point[2])
    corners = [
        [[a, 1.5, c], [b, 1.5, c], [b, 1.5, d], [a, 1.5, d]]
        for (a, b), (c, d) in itertools.product(x, z)
    ]
    return sum(one(flat_factor, TOWARD, np.array(c), point) for c in corners)


def test_the_sum_over_cells_is_the_reference_one():
    """Fins flush with the front, on axis: ten digits from outside this package."""
    assert through_grid(0.0, (0, 0, 0)) == pytest.approx(0.02994076291, rel=1e-9)


@pytest.mark.parametrize("point", [(0, 0, 0), (0.35, 0.0, 0.1)], ids=["on axis", "off axis"])
def test_fins_a_little_before_the_front_are_traced_exactly(point):
    """The gap costs nothing but what the same sum says: less than 0.003 stop of flush fins."""
    expected = through_grid(GRID_GAP_M, point)
    emitter = replace(STRIP, grid=EGG_CRATE)
    assert abs(z_of(emitter, World(), point, TOWARD, expected, seed=900 + round(point[0] * 10))) < Z
    assert abs(np.log2(expected / through_grid(0.0, point))) < 0.003


@pytest.mark.parametrize("point", [(2.2, 0.0, 0.0), (0.0, 0.5, 2.0), (3.0, 1.0, 3.0)])
def test_beyond_its_cut_off_a_grid_lets_nothing_through(point):
    """Neither through the cells nor between the front and its fins."""
    toward = np.array([0.0, 1.5, 0.0]) - point
    at = receivers([point], toward)
    gridded = trace(
        World(), [replace(STRIP, grid=EGG_CRATE)], at, effort=Effort(batch=1024, batches=1)
    )
    bare = one(flat_factor, toward / np.linalg.norm(toward), STRIP.polygon_m, point)
    assert gridded.total[0] < 1e-3 * bare


# --- what it is built from ---


@pytest.mark.parametrize(
    "solid",
    [
        ellipsoid("head", (0.1, 2, 1), np.eye(3), (0.07, 0.09, 0.11)),
        limb("thigh", (0, 0, 0), (0.3, 0.2, 0.4), radius_m=0.08),
        trunk("chest", (0, 0, 1), (0, 0.1, 1.5), aside=(1, 0, 0), half_breadth_m=0.2,
              half_depth_m=0.12),
    ],
)  # fmt: skip
def test_meshes_leave_the_true_surface_by_less_than_a_fifth_of_a_millimetre(solid):
    """At corners, at middles of edges and of triangles; it is closed and holds as much."""
    points, faces = body_mesh(solid, 0)
    corners = points[faces]
    edges = (corners + np.roll(corners, 1, axis=1)) / 2
    for p in (points, corners.mean(axis=1), edges.reshape(-1, 3)):
        local = ((p - solid.centre_m[0]) @ solid.axes[0].T) / solid.radius_m[0]
        beyond = np.maximum(np.abs(local[:, 2]) - solid.straight[0], 0.0)
        length = np.sqrt(local[:, 0] ** 2 + local[:, 1] ** 2 + beyond**2)
        assert (np.abs(1 - length) * solid.radius_m[0].max()).max() < 2e-4
    volume = np.einsum("ni,ni->n", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6
    a, b, c = solid.radius_m[0]
    true = np.pi * a * b * c * (4 / 3 + 2 * solid.straight[0])
    assert volume == pytest.approx(true, rel=1e-3)


def test_an_octagon_of_a_sheet_has_its_sides_where_it_says():
    """Half its width is to the middle of its upright sides."""
    corners = outline("octagon")
    assert np.abs(corners).max() == pytest.approx(1.0)
    assert np.linalg.norm(corners, axis=1) == pytest.approx(1 / np.cos(np.pi / 8))


def answers(bsdf, angle_deg, side):
    """Return pi f toward many directions of both sides, for light from one."""
    si, context, back, through = _lit(angle_deg, side), mi.BSDFContext(), [], []
    for c, turn in itertools.product((np.arange(12) + 0.5) / 12, np.arange(6)):
        s = np.sqrt(1 - c * c)
        for sign, found in ((side, back), (-side, through)):
            out = mi.Vector3f(s * np.cos(turn), s * np.sin(turn), sign * c)
            found.append(np.pi * bsdf.eval(context, si, out)[0] / c)
    return np.array(back), np.array(through)


def sent_on(bsdf, angle_deg, side):
    """Return the share of light from one direction that is sent on at all, and its error."""
    si, context, rng = _lit(angle_deg, side), mi.BSDFContext(), np.random.default_rng(5)
    draws = rng.random((8000, 3))
    kept = [bsdf.sample(context, si, u, mi.Point2f(v, w))[1][0] for u, v, w in draws]
    return float(np.mean(kept)), float(np.std(kept) / np.sqrt(len(kept)))


def _lit(angle_deg, side):
    angle = np.radians(angle_deg)
    si = dr.zeros(mi.SurfaceInteraction3f)
    si.n, si.sh_frame, si.t = [0, 0, 1], mi.Frame3f([0, 0, 1]), 1.0
    si.wi = mi.Vector3f(np.sin(angle), 0, side * np.cos(angle))
    return si


@pytest.mark.parametrize("angle_deg", [0, 45, 80])
@pytest.mark.parametrize("side", [1, -1], ids=["front", "back"])
def test_a_scrim_is_even_both_ways(angle_deg, side):
    """Of light from any angle it sends back R and passes on T, in all directions alike."""
    coats = Coat(0.40), Coat(0.30)
    made = sheet("s", (0, 0, 0), (0, 0, 1), width_m=1, height_m=1, front=coats[0], back=coats[1],
                 transmittance=0.5)  # fmt: skip
    bsdf = mi.load_dict(surface(made))
    back, through = answers(bsdf, angle_deg, side)
    reflectance = 0.40 if side > 0 else 0.30
    assert back == pytest.approx(reflectance, rel=1e-4)
    assert through == pytest.approx(0.5, rel=1e-4)
    share, error = sent_on(bsdf, angle_deg, side)
    assert share == pytest.approx(reflectance + 0.5, abs=4 * error + 1e-5)


@pytest.mark.parametrize("angle_deg", [0, 30, 60, 80])
def test_silver_is_the_coat_that_is_meant(angle_deg):
    """The tracer's lobe and ours lose the same to light that meets a second facet; black behind."""
    coat = Coat(0.8, gloss=0.75, roughness=0.25)
    made = sheet("s", (0, 0, 0), (0, 0, 1), width_m=1, height_m=1, front=coat)
    bsdf = mi.load_dict(surface(made))
    lobe = float(lobe_albedo(np.cos(np.radians(angle_deg)), roughness=0.25))
    share, error = sent_on(bsdf, angle_deg, 1)
    assert share == pytest.approx(0.8 * (0.25 + 0.75 * lobe), abs=4 * error + 5e-4)
    assert sent_on(bsdf, angle_deg, -1)[0] == 0


def test_the_camera_is_nearer_than_a_meter_needs():
    """So that it stands in no body where a point was kept."""
    from referee_scenes import LIFT_M, METER_M

    assert LIFT_M + BEFORE_CARD_M < METER_M
