"""The shapes of lay figures: what their files hold, and what is made of them."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from functools import cache
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinlight.errors import RangeError
from kinlight.figures.shapes import CLOTHES, EYES, HAIR, SKIN, Shapes, shapes

DATA = files("kinlight.figures") / "data"
NAMES = ("body_shapes.npz", "body_shapes_light.npz")
MIDDLE = {"sex": 0.5, "maturity": 2 / 3, "weight": 0.5}
MESHES = pytest.mark.parametrize("mesh", [shapes(False), shapes(True)], ids=["full", "light"])
CORNERS = [(int(sex), m, weight) for sex, m, weight in shapes(True).corners.tolist()]


def _across(mesh: Shapes, vertices):
    """Return the normals of the faces, twice their areas long."""
    a, b, c = (vertices[mesh.faces[:, k]] for k in range(3))
    return np.cross(b - a, c - a)


def _facing(mesh: Shapes, vertices):
    """Return the unit normals of the vertices; of those without faces, zero."""
    facing = np.zeros(vertices.shape)
    np.add.at(facing, mesh.faces, _across(mesh, vertices)[:, None])
    return facing / np.maximum(np.linalg.norm(facing, axis=1, keepdims=True), 1e-15)


def _patch(mesh: Shapes, vertices, name):
    """Return the normal of the patch a landmark lies on."""
    one, other, over, under = vertices[mesh.neighbours[name]]
    across = np.cross(one - other, over - under)
    return across / np.linalg.norm(across)


def _turned(mesh: Shapes, vertices, facing):
    """Return the middles of faces turned against their corners' normals, and their share."""
    across = _across(mesh, vertices)
    area = np.linalg.norm(across, axis=1)
    turned = (across * facing[mesh.faces].sum(axis=1)).sum(axis=1) <= 0
    return vertices[mesh.faces[turned]].mean(axis=1), area[turned].sum() / area.sum()


@cache
def _kept():
    """Return for each vertex of the light mesh the same vertex of the full one."""
    full, light = (shapes(light).rest(**MIDDLE)[0] for light in (False, True))
    square = (full**2).sum(axis=1)
    batches = np.array_split(light, 10)
    return np.concatenate([(square - 2 * b @ full.T).argmin(axis=1) for b in batches])


def test_the_files_are_those_the_note_tells_of() -> None:
    """Sums and sizes beside the data are the data's, and both fit into 2.2 MB together."""
    note = (DATA / "body_shapes.md").read_text(encoding="utf-8")
    told = dict(re.findall(r"^\| `([\w.]+)` \| (\d+ \| `[0-9a-f]{64})` \|$", note, re.MULTILINE))
    held = {name: (DATA / name).read_bytes() for name in NAMES}
    sums = {n: f"{len(b)} | `{hashlib.sha256(b).hexdigest()}" for n, b in held.items()}
    assert told == sums
    assert sum(map(len, held.values())) < 2_200_000


@MESHES
def test_faces_join_vertices_that_are_there(mesh: Shapes) -> None:
    """Every part has some, no face names a vertex twice, and none comes twice."""
    assert mesh.faces.min() >= 0
    assert mesh.faces.max() < len(mesh.mean_m)
    assert set(mesh.parts.tolist()) == {SKIN, CLOTHES, EYES, HAIR}
    assert (np.diff(np.sort(mesh.faces, axis=1), axis=1) > 0).all()
    assert len(np.unique(np.sort(mesh.faces, axis=1), axis=0)) == len(mesh.faces)


def test_the_light_mesh_is_light() -> None:
    """At most 4,000 faces, hair and eyes among them; the full one has several times as many."""
    assert len(shapes(True).faces) <= 4000 < len(shapes(False).faces) / 4


@MESHES
def test_bones_share_every_vertex_among_them(mesh: Shapes) -> None:
    """Shares are positive and sum to one; a bone hangs on one before it."""
    assert (mesh.skinning >= 0).all()
    np.testing.assert_allclose(mesh.skinning.sum(axis=1), 1, atol=1e-6)
    assert mesh.parents[0] == -1
    assert (mesh.parents[1:] >= 0).all()
    assert (mesh.parents[1:] < np.arange(1, len(mesh.bones))).all()


@MESHES
@pytest.mark.parametrize(("sex", "maturity", "weight"), CORNERS)
def test_joints_lie_inside_the_body(mesh: Shapes, sex, maturity, weight) -> None:
    """Within the box around it, in every corner; the figure stands on the floor."""
    vertices, joints = mesh.rest(sex=sex, maturity=maturity, weight=weight)
    assert (joints > vertices.min(axis=0)).all()
    assert (joints < vertices.max(axis=0)).all()
    assert abs(vertices[:, 2].min()) < 0.003


@MESHES
def test_left_is_the_mirror_image_of_right(mesh: Shapes) -> None:
    """Vertices, joints, faces, bones' shares, hair and landmarks."""
    vertices, joints = mesh.rest(**MIDDLE)
    flip = np.array([-1, 1, 1])
    assert (mesh.mirror[mesh.mirror] == np.arange(len(vertices))).all()
    np.testing.assert_allclose(vertices[mesh.mirror], vertices * flip, atol=0.0005)
    other = {".L": ".R", ".R": ".L"}
    swap = [mesh.bones.index(b[:-2] + other.get(b[-2:], b[-2:])) for b in mesh.bones]
    np.testing.assert_allclose(joints[swap], joints * flip, atol=0.0005)
    np.testing.assert_allclose(mesh.skinning[mesh.mirror][:, swap], mesh.skinning, atol=1e-4)
    assert (mesh.hair[mesh.mirror] == mesh.hair).all()
    there, image = (
        np.unique(np.column_stack([np.sort(faces, axis=1), mesh.parts]), axis=0)
        for faces in (mesh.faces, mesh.mirror[mesh.faces])
    )
    assert (there == image).all()


@MESHES
def test_landmarks_come_in_pairs_or_lie_in_the_middle(mesh: Shapes) -> None:
    """The left one at the figure's left, x above zero."""
    vertices, _ = mesh.rest(**MIDDLE)
    for name, vertex in mesh.landmarks.items():
        stem, _, side = name.rpartition(" ")
        if side == "left":
            assert vertices[vertex, 0] > 0, name
            assert mesh.landmarks[f"{stem} right"] == mesh.mirror[vertex]
        elif side != "right":
            assert mesh.mirror[vertex] == vertex, name


@MESHES
@pytest.mark.parametrize(("sex", "maturity", "weight"), CORNERS)
def test_no_face_is_crushed(mesh: Shapes, sex, maturity, weight) -> None:
    """Every face has an area, in every corner."""
    vertices, _ = mesh.rest(sex=sex, maturity=maturity, weight=weight)
    assert np.linalg.norm(_across(mesh, vertices), axis=1).min() > 1e-9


@pytest.mark.parametrize(("sex", "maturity", "weight"), CORNERS)
def test_no_face_points_into_the_body(sex, maturity, weight) -> None:
    """Every face looks the way the full mesh does around its corners, but in its creases.

    The source's own surface turns back upon itself in a few creases: lips and fingers of babies,
    armpits, between the legs. They are a thousandth of the surface at most, and the light mesh,
    which has fewer, turns back nowhere else.
    """
    full, light = shapes(False), shapes(True)
    who = {"sex": sex, "maturity": maturity, "weight": weight}
    (fine, _), (coarse, _) = full.rest(**who), light.rest(**who)
    facing = _facing(full, fine)
    turned, share = _turned(full, fine, facing)
    turned_light, share_light = _turned(light, coarse, facing[_kept()])
    assert share < 0.001
    assert share_light < 0.0005
    if len(turned_light):
        away_m = np.linalg.norm(turned_light[:, None] - turned[None], axis=2).min(axis=1)
        assert away_m.max() < 0.01


@MESHES
def test_the_body_has_a_persons_volume(mesh: Shapes) -> None:
    """Between man and woman some 65 kg at about the density of water: both from memory.

    Each part's faces look away, on the whole, from a joint inside it.
    """
    vertices, joints = mesh.rest(**MIDDLE)
    inside = {SKIN: "head", CLOTHES: "spine03", HAIR: "head", EYES: "eye.L"}
    volume_m3 = {}
    for part, bone in inside.items():
        chosen = mesh.faces[mesh.parts == part]
        if part == EYES:
            chosen = chosen[vertices[chosen, 0].mean(axis=1) > 0]
        a, b, c = (vertices[chosen[:, k]] - joints[mesh.bones.index(bone)] for k in range(3))
        volume_m3[part] = (np.cross(a, b) * c).sum() / 6
    assert min(volume_m3.values()) > 0
    a, b, c = (vertices[mesh.faces[mesh.parts != EYES][:, k]] for k in range(3))
    assert (np.cross(a, b) * c).sum() / 6 == pytest.approx(0.065, rel=0.1)


@MESHES
def test_the_surface_is_closed_but_for_the_eye_sockets(mesh: Shapes) -> None:
    """Every edge has a face on either side; soles, collar and cuffs are closed as well."""
    vertices, joints = mesh.rest(**MIDDLE)
    faces = mesh.faces[mesh.parts != EYES].tolist()
    sides = Counter((face[k - 1], face[k]) for face in faces for k in range(3))
    assert max(sides.values()) == 1
    after = {b: a for a, b in sides if (b, a) not in sides}
    eyes = joints[[mesh.bones.index("eye.L"), mesh.bones.index("eye.R")]]
    loops = []
    while after:
        loops.append([next(iter(after))])
        while loops[-1][-1] in after:
            loops[-1].append(after.pop(loops[-1][-1]))
    assert len(loops) == 2
    away_m = [np.linalg.norm(vertices[loop][:, None] - eyes, axis=2).max(axis=0) for loop in loops]
    np.testing.assert_array_less(np.min(away_m, axis=0), 0.025)


@MESHES
def test_landmarks_are_on_the_surface(mesh: Shapes) -> None:
    """Each is the corner of a face, and its patch looks outward."""
    vertices, _ = mesh.rest(**MIDDLE)
    used, facing = set(mesh.faces.ravel().tolist()), _facing(mesh, vertices)
    for name, vertex in mesh.landmarks.items():
        assert vertex in used, name
        assert _patch(mesh, vertices, name) @ facing[vertex] > 0, name


@MESHES
@pytest.mark.parametrize("maturity", [-1, 0, 1 / 3, 2 / 3, 1])
def test_landmarks_are_where_their_names_say(mesh: Shapes, maturity: float) -> None:
    """At every age: down the profile, from heel to toe, from palm to fingertips."""
    vertices, joints = mesh.rest(sex=0.5, maturity=maturity, weight=0.5)
    at = {name: vertices[vertex] for name, vertex in mesh.landmarks.items()}
    profile = ["crown", "hair front", "glabella", "sellion", "bridge", "nose", "chin", "menton"]
    heights = [at[name][2] for name in profile]
    assert (np.diff(heights) < 0).all()
    assert at["nose"][1] < min(at[name][1] for name in ("sellion", "pupil left", "chin"))
    assert at["toe left"][1] < at["ball left"][1] < at["heel left"][1]
    assert max(at[f"{part} left"][2] for part in ("heel", "ball")) < 0.02
    assert at["seat left"][1] > joints[mesh.bones.index("upperleg01.L")][1]
    assert at["acromion left"][2] > joints[mesh.bones.index("upperarm01.L")][2]
    assert at["knee left"][1] < joints[mesh.bones.index("lowerleg01.L")][1]
    wrist = joints[mesh.bones.index("wrist.L")]
    tips = [at[f"{f} tip left"] for f in ("thumb", "index", "middle", "ring", "little")]
    reach = [np.linalg.norm(tip - wrist) for tip in tips]
    assert min(reach) > np.linalg.norm(at["palm left"] - wrist)
    assert max(reach) == reach[2]


@pytest.mark.parametrize(("maturity", "share"), [(-1, 1 / 4), (2 / 3, 1 / 7.5)])
def test_heads_are_the_share_of_stature_they_are_in_life(maturity: float, share: float) -> None:
    """A quarter of a newborn, one in seven and a half of an adult; from memory, to a tenth or so.

    The shares are rules of draughtsmen, and rounded; the head is from its crown to under the chin.
    """
    mesh = shapes(False)
    vertices, _ = mesh.rest(sex=0.5, maturity=maturity, weight=0.5)
    crown, menton = (vertices[mesh.landmarks[name], 2] for name in ("crown", "menton"))
    assert (crown - menton) / vertices[:, 2].max() == pytest.approx(share, rel=0.12)


@MESHES
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_bone_of_an_eye_begins_in_its_middle(mesh: Shapes, side: str) -> None:
    """Its front is an eyeball's radius away: 12 mm, from memory; the figure's are larger."""
    vertices, joints = mesh.rest(**MIDDLE)
    middle = joints[mesh.bones.index(f"eye.{side[0].upper()}")]
    radius_m = np.linalg.norm(vertices[mesh.eye(side)] - middle, axis=1)
    assert radius_m.min() > 0.012
    assert radius_m.max() < 0.017
    assert mesh.landmarks[f"pupil {side}"] in mesh.eye(side)


@MESHES
def test_hair_grows_on_the_scalp_alone(mesh: Shapes) -> None:
    """On vertices of hair's faces, full at the crown, none on face, neck or ear's flap."""
    bare = set(mesh.faces[mesh.parts != HAIR].ravel()) - set(mesh.faces[mesh.parts == HAIR].ravel())
    assert mesh.hair[sorted(bare)].max() < 0.1
    assert mesh.hair[mesh.landmarks["crown"]] == 1
    for name in ("glabella", "cheek left", "tragus right", "forehead left", "chin", "ear top left"):
        assert mesh.hair[mesh.landmarks[name]] == 0, name
    for name in ("hair front", "hair left", "hair right"):
        assert 0 < mesh.hair[mesh.landmarks[name]] < 1, name


@MESHES
@pytest.mark.parametrize(("sex", "maturity", "weight"), CORNERS)
def test_a_corner_is_given_back_as_it_is_stored(mesh: Shapes, sex, maturity, weight) -> None:
    """Vertices and joints."""
    corner = CORNERS.index((sex, maturity, weight))
    vertices, joints = mesh.rest(sex=sex, maturity=maturity, weight=weight)
    stored = mesh.mean_m + mesh.differences_m[corner]
    np.testing.assert_allclose(vertices, stored, atol=1e-6)
    np.testing.assert_allclose(joints, mesh.joints_m[corner], atol=1e-6)


def test_both_meshes_are_of_the_same_figures() -> None:
    """Bones, landmarks and shapes agree: what is left of the mesh has not moved."""
    full, light = shapes(False), shapes(True)
    assert (full.bones, list(full.landmarks)) == (light.bones, list(light.landmarks))
    for who in (MIDDLE, {"sex": 1, "maturity": -1, "weight": 0}):
        (fine, bones), (coarse, joints) = full.rest(**who), light.rest(**who)
        np.testing.assert_allclose(bones, joints, atol=1e-6)
        places = [coarse[v] for v in light.landmarks.values()]
        np.testing.assert_allclose(places, fine[list(full.landmarks.values())], atol=5e-5)
        np.testing.assert_allclose(coarse, fine[_kept()], atol=5e-5)


@given(
    sex=st.floats(0, 1),
    maturity=st.floats(-1, 1),
    weight=st.floats(0, 1),
    axis=st.sampled_from(["sex", "maturity", "weight"]),
)
@settings(max_examples=30, deadline=None)
def test_a_small_step_changes_little(sex, maturity, weight, axis) -> None:
    """No vertex runs faster than a stature (1.8 m) for a third of the range, across corners too."""
    mesh, step = shapes(True), 1e-4
    who = {"sex": sex, "maturity": maturity, "weight": weight}
    towards = {**who, axis: who[axis] + (step if who[axis] < 0.5 else -step)}
    moved = mesh.rest(**towards)[0] - mesh.rest(**who)[0]
    assert np.linalg.norm(moved, axis=1).max() < 3 * 1.8 * step


def test_halfway_is_the_mean() -> None:
    """Of a man and a woman; of a child and a young adult."""
    mesh = shapes(True)
    for axis, low, high in (("sex", 0, 1), ("maturity", 1 / 3, 2 / 3), ("weight", 0.5, 1)):
        ends = [mesh.rest(**{**MIDDLE, "sex": 0, axis: end})[0] for end in (low, high)]
        middle = mesh.rest(**{**MIDDLE, "sex": 0, axis: (low + high) / 2})[0]
        np.testing.assert_allclose(middle, (ends[0] + ends[1]) / 2, atol=1e-6)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"sex": 1.5}, "1.5 is no sex a figure can have; allowed: 0 to 1"),
        ({"maturity": -2}, "-2 is no maturity a figure can have; allowed: -1 to 1"),
        ({"weight": float("nan")}, "nan is no weight a figure can have; allowed: 0 to 1"),
    ],
)
def test_what_is_out_of_range_is_refused(changed: dict[str, float], sentence: str) -> None:
    """In a sentence that names what was given and what is allowed."""
    with pytest.raises(RangeError) as refused:
        shapes(True).rest(**{**MIDDLE, **changed})
    assert str(refused.value) == sentence


def test_nobody_changes_the_shapes_for_others() -> None:
    """They are read once, shared, and read-only; what rest() gives is the caller's own."""
    mesh = shapes(True)
    assert shapes(True) is mesh
    for array in (mesh.mean_m, mesh.differences_m, mesh.faces, mesh.skinning, mesh.mirror):
        assert not array.flags.writeable
    vertices, joints = mesh.rest(**MIDDLE)
    assert vertices.flags.writeable
    assert joints.flags.writeable
