"""Paint the lay figures' contact sheets, and measure the figures, for docs/explanation/figures.md.

python tools/render_figures.py            the pictures and the table
python tools/render_figures.py --table    the table alone
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from figure_canvas import Array, Canvas

from kinlight.figures.growth import Body, Sex, body
from kinlight.figures.lay import LayFigure, finished, holding, lay_figure
from kinlight.figures.regions import region
from kinlight.figures.shapes import EYES
from kinlight.figures.tables import measure
from kinlight.figures.together import hand_in_hand, hand_on_shoulder

DOCS = Path(__file__).resolve().parents[1] / "docs"
LARGEST_BYTES = 200_000
COLOURS = np.array([[0.84, 0.65, 0.54], [0.44, 0.50, 0.58], [0.95, 0.95, 0.94], [0.32, 0.23, 0.18]])
IRIS = np.array([0.16, 0.12, 0.10])
_IRIS_COSINE = np.cos(np.radians(24.0))
_DENSITY_KG_M3 = 1010.0
MEASURED: list[tuple[float, Sex]] = [
    (0.0, "male"), (1.0, "female"), (2.0, "male"), (4.0, "female"), (8.0, "male"),
    (12.0, "female"), (16.0, "male"), (34.0, "female"), (34.0, "male"), (76.0, "female"),
]  # fmt: skip


def someone(
    age: float, sex: Sex | None, posture: str, x: float, y: float = 0.0, **asked
) -> LayFigure:
    """Return a figure of the full mesh."""
    return lay_figure(
        "someone", body(age, sex), posture, (x, y), age_years=age, sex=sex, light=False, **asked
    )


def ages() -> tuple[list[LayFigure], list]:
    """Return people from newborn to ninety, standing if they can."""
    row: list[tuple[float, Sex | None]] = [
        (1.0, None), (2.0, "male"), (4.0, "female"), (8.0, "male"), (12.0, "female"),
        (16.0, "male"), (34.0, "female"), (34.0, "male"), (76.0, "female"), (90.0, "male"),
    ]  # fmt: skip
    places = [-1.75, -1.35, -0.95, -0.5, 0.0, 0.55, 1.1, 1.7, 2.3, 2.9]
    turns = {"facing_deg": 12.0}
    people = [someone(*who, "standing", x, **turns) for who, x in zip(row, places, strict=True)]
    lying = someone(0.0, None, "lying", -2.75, -0.1, facing_deg=80.0)
    return [lying, someone(0.5, None, "baby sitting", -2.2, -0.1), *people], []


def seats() -> tuple[list[LayFigure], list]:
    """Return people on seats and laps."""
    low = 0.45
    people = [
        someone(34.0, "male", "stool", -2.2, seat_height_m=low, facing_deg=15.0),
        someone(4.0, "female", "stool", -1.5, seat_height_m=0.3),
        someone(76.0, "female", "chair", -0.85, seat_height_m=low, facing_deg=25.0),
        someone(90.0, "male", "wheelchair", -0.1, seat_height_m=0.5, facing_deg=-35.0),
    ]
    boxes = [
        (-2.2, low),
        (-1.5, 0.3),
        (-0.85, low),
        (-0.1, 0.5),
        (0.75, low),
        (1.6, low),
        (2.4, low),
    ]
    for x, age, sex, child, posture in (
        (0.75, 34.0, "male", 3.0, "lap"), (1.6, 34.0, "female", 0.1, "lying"),
        (2.4, 76.0, "female", 7.0, "lap"),
    ):  # fmt: skip
        big = someone(age, sex, "stool", x, seat_height_m=low, facing_deg=-8.0 * x)
        held = someone(child, None, posture, 0.0, holder=big)
        people += [holding(big, held), held]
    return people, [((x, 0.05, h / 2), (0.17, 0.17, h / 2)) for x, h in boxes]


def floor() -> tuple[list[LayFigure], list]:
    """Return people low on the floor, on their knees, and lying."""
    return [
        someone(34.0, "male", "floor", -2.2),
        someone(8.0, "female", "floor", -1.3, side="right"),
        someone(34.0, "female", "legs aside", -0.4, side="right", facing_deg=-10.0),
        someone(1.0, None, "baby sitting", 0.35, -0.2),
        someone(34.0, "male", "kneeling", 1.0, facing_deg=40.0),
        someone(4.0, "male", "on heels", 1.6, facing_deg=-30.0),
        someone(34.0, "female", "on heels", 2.3, facing_deg=-50.0),
        someone(0.1, None, "lying", 1.55, -0.7, facing_deg=80.0),
    ], []


def together() -> tuple[list[LayFigure], list]:
    """Return people who carry, touch, lean and look."""
    people = []
    for x, age, sex, child, side, facing in (
        (-2.3, 34.0, "female", 1.0, "left", -10.0), (-1.5, 34.0, "male", 2.0, "right", 10.0),
    ):  # fmt: skip
        big = someone(age, sex, "standing", x, facing_deg=facing)
        held = someone(child, None, "hip", 0.0, holder=big, side=side)
        people += [holding(big, held), held]
    one, two = someone(34.0, "male", "standing", -0.75), someone(6.0, None, "standing", -0.2)
    for draft in hand_in_hand(one.draft, "L", two.draft, "R"):
        people.append(finished("someone", "standing", draft))
    seat = someone(76.0, "female", "stool", 0.75, seat_height_m=0.45)
    behind = someone(16.0, "male", "standing", 0.45, 0.35)
    laid = hand_on_shoulder(behind.draft, "L", seat.draft, "R")
    people += [seat, finished("someone", "standing", laid)]
    small = someone(
        4.0, "male", "box", 1.95, seat_height_m=0.25, looks_at_m=np.array([1.4, 0, 1.5])
    )
    big = someone(34.0, "female", "standing", 1.4, looks_at_m=np.array([1.95, -0.1, 1.15]))
    wide = someone(34.0, "male", "standing", 2.7, feet_apart_m=0.7, lean_deg=15.0, facing_deg=-30.0)
    boxes = [((0.75, 0.05, 0.225), (0.17, 0.17, 0.225)), ((1.95, 0.0, 0.125), (0.2, 0.2, 0.125))]
    return [*people, small, big, wide], boxes


def paint(name: str, people: list[LayFigure], boxes: list, *, eye: Array, at: Array) -> None:
    """Paint one sheet."""
    canvas = Canvas((1200, 520), eye, at, 40.0)
    for one in people:
        canvas.shadow(one.vertices_m.copy(), one.faces)
    for box in boxes:
        canvas.box(*box)
    for one in people:
        colours = COLOURS[one.parts]
        eyes = np.flatnonzero(one.parts == EYES)
        looking = (one.normals[one.faces[eyes]].mean(axis=1) @ one.gazes().T).max(axis=1)
        colours[eyes[looking > _IRIS_COSINE]] = IRIS
        canvas.mesh(one.vertices_m, one.faces, colours, one.normals)
    size = canvas.save(DOCS / "images" / f"figures-{name}.png")
    if size > LARGEST_BYTES:
        raise SystemExit(f"figures-{name}.png has {size} bytes; lower LEVELS")
    print(f"figures-{name}.png, {size // 1000} kB")


def table() -> str:
    """Return the table of measures: of the figure, and what it should measure."""
    head = ["", *(f"{'boy' if s == 'male' else 'girl'} {a:g}" if a < 18 else
                  f"{'man' if s == 'male' else 'woman'} {a:g}" for a, s in MEASURED)]  # fmt: skip
    columns = [_measures(age, sex) for age, sex in MEASURED]
    lines = [head, ["---", *["---:"] * len(MEASURED)]]
    for name in columns[0]:
        cells = [f"{found:.1f} / {wanted:.1f}" for found, wanted in (c[name] for c in columns)]
        lines.append([name, *cells])
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def _measures(age: float, sex: Sex) -> dict[str, tuple[float, float]]:
    """Return (figure, table) of each measure, in cm and kg."""
    sizes = body(age, sex)
    stands = lay_figure("x", sizes, "standing", age_years=age, sex=sex, light=False, hair_m=0.0)
    sits = lay_figure(
        "x", sizes, "stool", age_years=age, sex=sex, light=False, hair_m=0.0, seat_height_m=0.4
    )
    mark, rest = stands.landmark_m, stands.draft.rest
    a, b, c = np.moveaxis(rest.vertices_m[rest.shapes.faces], 1, 0)
    volume_m3 = float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)
    of_sex = measure("head circumference", sex).at(age)
    return {
        "stature *": _cm(mark("crown")[2], sizes.stature_m),
        "sitting height *": _cm(sits.landmark_m("crown")[2] - 0.4, sizes.sitting_height_m),
        "head height *": _cm(mark("crown")[2] - mark("menton")[2], sizes.head_height_m),
        "crown to eye": _cm(mark("crown")[2] - stands.eyes_m()[0, 2], sizes.crown_to_eye_m),
        "head round": _cm(_head_round_m(stands), of_sex),
        "pupils apart *": _cm(np.ptp(stands.eyes_m()[:, 0]), sizes.pupil_distance_m),
        "shoulders": _cm(_shoulders_m(stands), sizes.shoulder_breadth_m),
        "hips, sitting": _cm(_hips_m(sits), sizes.hip_breadth_m),
        "seat to sole": _cm(_seat_to_sole_m(sizes, age, sex), sizes.popliteal_m),
        "kg": (_DENSITY_KG_M3 * volume_m3, sizes.mass_kg),
    }


def _cm(found_m: float, wanted_m: float) -> tuple[float, float]:
    return 100 * float(found_m), 100 * float(wanted_m)


def _head_round_m(figure: LayFigure) -> float:
    """Return the head's circumference over the glabella: of the hull of all that is level."""
    head = figure.bald_m[region(figure.draft.rest.shapes, "head")]
    level = np.abs(head[:, 2] - figure.landmark_m("glabella")[2]) < 0.015
    return _round(head[level][:, :2])


def _round(points: Array) -> float:
    """Return the length around a flat hull, as the mean breadth over all directions times pi."""
    angles = np.linspace(0, np.pi, 360, endpoint=False)
    across = points @ np.stack([np.cos(angles), np.sin(angles)])
    return float(np.pi * np.ptp(across, axis=0).mean())


def _shoulders_m(figure: LayFigure) -> float:
    """Return the breadth over the upper arms at rest beside the body."""
    height = figure.skeleton.joint_m("upperarm02.L")[2]
    level = np.abs(figure.bald_m[:, 2] - height) < 0.04 * figure.body.stature_m
    return float(np.ptp(figure.bald_m[level][:, 0]))


def _hips_m(figure: LayFigure) -> float:
    return float(np.ptp(figure.draft.region("buttocks")[:, 0]))


def _seat_to_sole_m(sizes: Body, age: float, sex: Sex) -> float:
    """Return the height of the underside of the thigh at the knee over the sole."""
    figure = lay_figure("x", sizes, "stool", age_years=age, sex=sex, light=False, seat_height_m=1.4)
    of = figure.draft.rest.skeleton
    thigh = figure.draft.region("thigh.L")
    knee = figure.skeleton.joint_m("lowerleg01.L")
    near = np.linalg.norm((thigh - knee)[:, :2], axis=1) < 0.35 * of.length_m(
        "upperleg01.L", "lowerleg01.L"
    )
    drop = float(knee[2] - thigh[near, 2].min())
    return of.length_m("lowerleg01.L", "foot.L") + float(of.joint_m("foot.L")[2]) - drop


def main() -> None:
    """Paint all sheets and print the table."""
    if "--table" not in sys.argv:
        high = {"eye": np.array([0.1, -9.4, 1.6]), "at": np.array([0.1, 0.0, 0.85])}
        low = {"eye": np.array([0.0, -7.6, 1.9]), "at": np.array([0.05, 0.0, 0.55])}
        views = {"ages": high, "seats": low, "floor": low, "together": high}
        for sheet in (ages, seats, floor, together):
            paint(sheet.__name__, *sheet(), **views[sheet.__name__])
    print(table())


if __name__ == "__main__":
    main()
