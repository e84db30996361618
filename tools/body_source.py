"""Read the open body data that `make_body_shapes.py` starts from: mesh, targets, rig and weights.

The files are plain text: a mesh of quads in named groups, displacements of its vertices toward
each kind of body ("targets"), bones whose joints are means of vertices, and weights that bind
vertices to bones. Here they become arrays in metres, z up; the figure faces -y, its left is +x.
"""

from __future__ import annotations

import gzip
import itertools
import json
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

SEXES = ("male", "female")
STEPS = ("baby", "child", "young", "old")  # the kinds of target along a life
WEIGHTS = ("minweight", "averageweight", "maxweight")
PEOPLES = ("african", "asian", "caucasian")  # mixed in equal shares
NEWBORN_HEIGHT, USUAL_HEIGHT = 0.10, 0.36
"""Shares of the tall target in the short-to-tall mix; chosen against published statures."""
EAR_M = 5e-4  # what moves less with an ear is head

CORNERS = list(itertools.product((0, 1), (-1, 0, 1 / 3, 2 / 3, 1), (0, 0.5, 1)))
"""Sex (male, female), age parameter and weight of each corner shape."""

_KEPT = re.compile(
    r"^(root|spine0\d|neck0\d|head|eye|clavicle|shoulder01|upperarm0\d|lowerarm0\d|wrist"
    r"|metacarpal\d|finger\d-\d|pelvis|upperleg0\d|lowerleg0\d|foot)(\.[LR])?$"
)


@dataclass(frozen=True)
class Source:
    """The body as read: quads by group, corner shapes, joints and weights of the kept bones.

    `mirror` names each vertex's partner on the other side. Shapes and weights are made exactly
    symmetric. `joints` has the head of each kept bone in each corner; `all_joints` the heads and
    tails of every bone, by name, in a given shape.
    """

    groups: dict[str, np.ndarray]
    mirror: np.ndarray
    shapes: np.ndarray  # (corners, n, 3)
    joints: np.ndarray  # (corners, bones, 3)
    bones: list[str]
    parents: np.ndarray
    weights: np.ndarray  # (n, bones)
    rig: dict[str, tuple[list[int], list[int]]]
    ears: np.ndarray  # (n,) whether a vertex belongs to an ear

    def ends(self, shape, bone):
        """Return the two ends of a bone of the whole rig in a shape (n, 3)."""
        first, last = self.rig[bone]
        return shape[first].mean(axis=0), shape[last].mean(axis=0)

    def middle(self, age=2 / 3, weight=0.5):
        """Return the shape midway between the sexes."""
        return np.mean([self.shapes[CORNERS.index((sex, age, weight))] for sex in (0, 1)], axis=0)


def read(folder: Path) -> Source:
    """Read everything from the unpacked data folder."""
    points, groups = _mesh(folder / "3dobjs" / "base.obj")
    mirror = _mirror(folder / "mesh_metadata" / "hm08.mirror", len(points))
    rig, parent = _rig(folder / "rigs" / "standard" / "rig.default.json", groups)
    shapes = np.stack([_corner(folder, points, *corner) for corner in CORNERS])
    shapes = (shapes + shapes[:, mirror] * [-1, 1, 1]) / 2
    names = list(rig)
    bones = [name for name in names if _KEPT.match(name)]
    heir = {name: bones.index(_kept(name, parent)) for name in names}
    weights = _weights(folder / "rigs" / "standard" / "weights.default.json", heir, len(points))
    joints = np.stack([[shape[rig[bone][0]].mean(axis=0) for bone in bones] for shape in shapes])
    swap = [bones.index(other_side(bone)) for bone in bones]
    return Source(
        groups=groups,
        mirror=mirror,
        shapes=shapes,
        joints=(joints + joints[:, swap] * [-1, 1, 1]) / 2,
        bones=bones,
        parents=np.array([heir[parent[bone]] if parent[bone] else -1 for bone in bones]),
        weights=(weights + weights[mirror][:, swap]) / 2,
        rig=rig,
        ears=_ears(folder / "targets" / "ears", len(points)),
    )


def other_side(name: str) -> str:
    """Return the name of the bone on the other side: itself for one in the middle."""
    return {".L": name[:-2] + ".R", ".R": name[:-2] + ".L"}.get(name[-2:], name)


def _metres(values):
    """Turn decimetres, y up, facing +z, into metres, z up, facing -y."""
    values = np.asarray(values, dtype=np.float64) / 10
    return np.stack([values[:, 0], -values[:, 2], values[:, 1]], axis=1)


def _mesh(path: Path):
    """Return vertices [m] and the quads of each named group."""
    points, groups, group = [], {}, []
    for line in path.read_text(encoding="utf-8").splitlines():
        kind, _, rest = line.partition(" ")
        if kind == "v":
            points.append([float(word) for word in rest.split()])
        elif kind == "g":
            group = groups.setdefault(rest.strip(), [])
        elif kind == "f":
            group.append([int(word.split("/")[0]) - 1 for word in rest.split()])
    return _metres(points), {name: np.array(quads) for name, quads in groups.items()}


def _mirror(path: Path, count: int):
    """Return the partner of each vertex on the other side."""
    partner = np.arange(count)
    for line in path.read_text(encoding="utf-8").splitlines():
        one, other, _ = line.split()
        partner[int(one)] = int(other)
    return partner


def _target(path: Path, count: int):
    """Return the displacement of every vertex toward a target [m]."""
    with gzip.open(path, "rt", encoding="utf-8") as file:
        rows = np.array(file.read().split(), dtype=np.float64).reshape(-1, 4)
    moved = np.zeros((count, 3))
    moved[rows[:, 0].astype(int)] = _metres(rows[:, 1:])
    return moved


def _corner(folder: Path, points, sex, age, weight):
    """Return the shape of one corner: average muscle and proportions, peoples mixed."""
    who = f"{SEXES[sex]}-{STEPS[max(round(3 * age), 0)]}"
    build = f"{who}-averagemuscle-{WEIGHTS[round(2 * weight)]}"
    height = NEWBORN_HEIGHT if age < 0 else USUAL_HEIGHT
    shares = {f"{people}-{who}": 1 / 3 for people in PEOPLES}
    shares[f"universal-{build}"] = 1.0
    shares[f"height/{build}-minheight"] = 1 - height
    shares[f"height/{build}-maxheight"] = height
    shares[f"proportions/{build}-idealproportions"] = 0.5
    shares[f"proportions/{build}-uncommonproportions"] = 0.5
    shape = points.copy()
    for name, share in shares.items():
        path = folder / "targets" / "macrodetails" / f"{name}.target.gz"
        if path.exists() or not name.startswith("proportions"):  # babies have none of these
            shape += share * _target(path, len(points))
    return shape


def _rig(path: Path, groups):
    """Return the vertices at both ends of each bone, parents before children, and the parents."""
    rows = json.loads(path.read_text(encoding="utf-8"))
    rows = rows.get("bones", rows)

    def ends(end):
        if end["strategy"] == "VERTEX":
            return [end["vertex_index"]]
        if end["strategy"] == "MEAN":
            return list(end["vertex_indices"])
        return sorted(np.unique(groups[end["cube_name"]]).tolist())

    parent = {name: row.get("parent") or "" for name, row in rows.items()}
    order = [name for name in rows if not parent[name]]
    for name in order:  # grows as it is read
        order += [child for child in rows if parent[child] == name]
    return {name: (ends(rows[name]["head"]), ends(rows[name]["tail"])) for name in order}, parent


def _kept(name: str, parent) -> str:
    """Return a bone, or its nearest ancestor that is kept."""
    while not _KEPT.match(name):
        name = parent[name]
    return name


def _weights(path: Path, heir, count: int):
    """Return the weights of the kept bones; what is left out goes to the nearest ancestor."""
    weights = np.zeros((count, max(heir.values()) + 1))
    for name, pairs in json.loads(path.read_text(encoding="utf-8"))["weights"].items():
        if name in heir and pairs:
            rows = np.array(pairs)
            np.add.at(weights, (rows[:, 0].astype(int), heir[name]), rows[:, 1])
    total = weights.sum(axis=1, keepdims=True)
    return weights / np.where(total > 0, total, 1)


def _ears(folder: Path, count: int):
    """Return whether each vertex moves when an ear is made to stand off the head."""
    moved = sum(np.abs(_target(path, count)) for path in sorted(folder.glob("?-ear-wing-*.gz")))
    return moved.max(axis=1) > EAR_M
