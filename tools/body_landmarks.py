"""Choose the landmarks of the body by geometry, on the figure midway between the sexes.

Those of the left side are found, those of the right side are their mirror images. Beside each,
four vertices about a centimetre away to the left, right, above and below give the slope of the
patch it lies on, whatever the mesh is like there.
"""

from __future__ import annotations

import numpy as np
from body_surface import CLOTHES, EYES, SKIN, vertex_normals

APART_M = 0.011
"""How far the four neighbours lie from a landmark [m]."""
FINGERS = ("thumb", "index", "middle", "ring", "little")
LEFT = np.array([1.0, 0.0, 0.0])
FORWARD = np.array([0.0, -1.0, 0.0])
UP = np.array([0.0, 0.0, 1.0])


class Place:
    """What landmarks are sought on: the left half of the figure, its bones and its hair."""

    def __init__(self, source, faces, parts, hair):
        self.source, self.hair = source, hair
        self.shape = source.middle()
        self.of = {part: np.unique(faces[parts == part]) for part in (CLOTHES, EYES)}
        self.of[SKIN] = np.unique(faces[(parts != CLOTHES) & (parts != EYES)])
        bones = np.array(source.bones)[source.weights.argmax(axis=1)]
        self.head = self.of[SKIN][bones[self.of[SKIN]] == "head"]
        self.bone = bones
        self.eye = self.shape[np.unique(source.groups["helper-l-eye"])].mean(axis=0)

    def farthest(self, vertices, direction):
        """Return the vertex that lies farthest in a direction."""
        return int(vertices[(self.shape[vertices] @ np.asarray(direction, dtype=float)).argmax()])

    def nearest(self, vertices, point):
        """Return the vertex nearest to a point."""
        return int(vertices[np.linalg.norm(self.shape[vertices] - point, axis=1).argmin()])

    def along(self, vertices, start, direction):
        """Return the vertex nearest to where a ray from inside the body comes out."""
        direction = np.asarray(direction, dtype=float) / np.linalg.norm(direction)
        offset = self.shape[vertices] - start
        ahead = offset @ direction
        aside = np.linalg.norm(offset - ahead[:, None] * direction, axis=1)
        return int(vertices[np.where(ahead > 0, aside, np.inf).argmin()])

    def in_front(self, x, z):
        """Return the foremost vertex of the head near a place of the face seen from the front."""
        near = np.abs(self.shape[self.head][:, [0, 2]] - [x, z]).max(axis=1) < 0.008
        return self.farthest(self.head[near], FORWARD)

    def end(self, bone, end=0):
        """Return the first or the last end of a bone."""
        return self.source.ends(self.shape, bone)[end]


def landmarks(source, faces, parts, hair):
    """Return the vertex of each landmark by name, both sides; and of its four neighbours."""
    place = Place(source, faces, parts, hair)
    middle = _profile(place)
    left = {**_face(place, middle), **_ear(place), **_trunk(place), **_foot(place), **_hand(place)}
    beside = {name: _beside(place, v, faces, parts) for name, v in {**middle, **left}.items()}
    found, around = dict(middle), {name: beside[name] for name in middle}
    for name, vertex in left.items():
        for side, partner in (("left", np.arange(len(hair))), ("right", source.mirror)):
            found[f"{name} {side}"] = int(partner[vertex])
            one, other, over, under = partner[beside[name]]
            first, second = (one, other) if side == "left" else (other, one)
            around[f"{name} {side}"] = np.array([first, second, over, under])
    return found, around


def _profile(place):
    """Return the landmarks of the middle of the head, from the top down."""
    shape = place.shape
    seam = place.head[np.abs(shape[place.head, 0]) < 1e-6]
    front = seam[shape[seam, 1] < place.eye[1]]
    nose = place.farthest(front, FORWARD)
    height, drop = shape[front, 2], place.eye[2] - shape[nose, 2]
    sellion = place.farthest(front[np.abs(height - place.eye[2]) < 0.5 * drop], -FORWARD)
    brow = front[(height > shape[sellion, 2]) & (height < shape[sellion, 2] + drop)]
    jaw = front[height < shape[nose, 2] - 1.5 * drop]
    line = seam[(shape[seam, 1] < place.eye[1] + 0.03) & (place.hair[seam] > 0)]
    return {
        "crown": place.farthest(seam, UP),
        "hair front": place.farthest(line, -UP),
        "glabella": place.farthest(brow, FORWARD),
        "sellion": sellion,
        "bridge": place.nearest(front, shape[sellion] + (shape[nose] - shape[sellion]) / 3),
        "nose": nose,
        "chin": place.farthest(jaw, FORWARD),
        "menton": place.farthest(jaw, 0.6 * FORWARD - 0.8 * UP),
    }


def _face(place, middle):
    """Return forehead and cheek of the left side, the pupil, and hair above the ear."""
    x, _, eye_height = place.eye
    nose_height = place.shape[middle["nose"], 2]
    return {
        "forehead": place.in_front(x, place.shape[middle["glabella"], 2] + 0.025),
        "cheek": place.in_front(1.28 * x, nose_height + 0.35 * (eye_height - nose_height)),
        "pupil": place.farthest(place.of[EYES], FORWARD),
    }


def _ear(place):
    """Return where spectacles rest on the left ear, the flap before its opening, hair above it."""
    ear = place.head[place.source.ears[place.head]]
    lowest, highest = np.sort(place.shape[ear, 2])[[0, -1]]
    at = np.median(place.shape[ear], axis=0)
    forward = ear[np.abs(place.shape[ear, 2] - (lowest + highest) / 2) < 0.01]
    haired = place.head[place.hair[place.head] > 0]
    over = haired[
        (np.abs(place.shape[haired, 1] - at[1]) < 0.015) & (place.shape[haired, 2] > highest)
    ]
    return {
        "ear top": place.farthest(ear, 0.9 * UP - 0.45 * LEFT),
        "tragus": place.farthest(forward, FORWARD),
        "hair": place.farthest(over, -UP),
    }


def _trunk(place):
    """Return the tip of the left shoulder, the seat under the hip, and the front of the knee."""
    clothes = place.of[CLOTHES]
    shoulder, hip, knee = (place.end(f"{b}.L") for b in ("upperarm01", "upperleg01", "lowerleg01"))
    return {
        "acromion": place.along(clothes, shoulder, UP),
        "seat": place.along(clothes, hip * [0.7, 1, 1], -0.5 * FORWARD - 0.85 * UP),
        "knee": place.along(clothes, knee, FORWARD),
    }


def _foot(place):
    """Return heel, ball and tip of the left foot, the first two under the sole."""
    clothes = place.of[CLOTHES]
    foot = clothes[(place.bone[clothes] == "foot.L")]
    toes = np.mean([place.end(f"toe{toe}-1.L") for toe in (1, 2, 3)], axis=0)
    return {
        "heel": place.farthest(foot, -0.6 * FORWARD - 0.8 * UP),
        "ball": place.along(foot, toes, -UP),
        "toe": place.farthest(foot, FORWARD),
    }


def _hand(place):
    """Return the middle of the left palm and the tip of each finger."""
    skin = place.of[SKIN]
    wrist, index, little, knuckle = (
        place.end(f"{bone}.L") for bone in ("wrist", "finger2-1", "finger5-1", "finger3-1")
    )
    inward = np.cross(knuckle - wrist, index - little)
    found = {"palm": place.along(skin, wrist + 0.6 * (knuckle - wrist), inward)}
    for number, name in enumerate(FINGERS, start=1):
        first, last = (place.end(f"finger{number}-3.L", end) for end in (0, 1))
        own = skin[place.bone[skin] == f"finger{number}-3.L"]
        found[f"{name} tip"] = place.farthest(own, last - first)
    return found


def _beside(place, vertex, faces, parts):
    """Return the four vertices beside a landmark: to its left, right, above and below."""
    mirror, shape = place.source.mirror, place.shape
    if mirror[vertex] == vertex:
        faces = np.concatenate([faces, mirror[faces][:, ::-1]])
        parts = np.concatenate([parts, parts])
    is_skin = (parts != CLOTHES) & (parts != EYES)
    part = parts[(faces == vertex).any(axis=1)][0]
    faces = faces[parts == part] if part in (CLOTHES, EYES) else faces[is_skin]
    facing = vertex_normals(faces, shape)
    normal = facing[vertex]
    near = np.unique(faces)
    near = near[(facing[near] @ normal > 0.2) & (near != vertex)]
    upward = UP if abs(normal[2]) < 0.8 else -FORWARD * np.sign(normal[2])
    aside = np.cross(upward, normal) / np.linalg.norm(np.cross(upward, normal))
    above = np.cross(normal, aside)
    apart_m = max(APART_M, float(np.sort(np.linalg.norm(shape[near] - shape[vertex], axis=1))[5]))
    wanted = [shape[vertex] + apart_m * d for d in (aside, -aside, above, -above)]
    return np.array([place.nearest(near, point) for point in wanted])
