"""Processor time of lay figures: of one at rest, one posed, and a family of eight."""

from __future__ import annotations

from bench.timing import seconds, tell
from kinlight.figures.growth import Sex, body
from kinlight.figures.lay import LayFigure, lay_figure
from kinlight.figures.rest import rest_of
from kinlight.figures.skinning import motions_of, skinned

_FAMILY: list[tuple[float, Sex | None, str]] = [
    (34.0, "male", "standing"),
    (34.0, "female", "stool"),
    (76.0, "female", "chair"),
    (80.0, "male", "stool"),
    (8.0, "male", "floor"),
    (4.0, "female", "kneeling"),
    (1.0, None, "baby sitting"),
    (14.0, "female", "on heels"),
]


def main() -> None:
    """Print one line for each."""
    sizes = body(34.0, "male")
    tell(
        "a light figure at rest, made anew",
        seconds(lambda: rest_of(sizes, age_years=34.0, sex="male", light=True)),
    )
    figure = _figure(*_FAMILY[1])
    rest, posed = figure.draft.rest, figure.skeleton
    tell(
        "the light surface of a pose",
        seconds(lambda: skinned(rest, motions_of(rest, posed), slice(None))),
        0.001,
    )
    for posture in ("standing", "stool", "floor", "on heels"):
        taken_s = seconds(lambda posture=posture: _figure(34.0, "male", posture))  # type: ignore[misc]
        tell(f"a light figure, {posture}", taken_s, 0.010)
    tell("a full figure, stool", seconds(lambda: _figure(34.0, "male", "stool", light=False)))
    tell("eight light figures", seconds(lambda: [_figure(*who) for who in _FAMILY]), 0.100)


def _figure(age: float, sex: Sex | None, posture: str, *, light: bool = True) -> LayFigure:
    """Return someone in a posture."""
    seat_m = 0.45 if posture in ("stool", "chair") else 0.0
    return lay_figure(
        "x", body(age, sex), posture, age_years=age, sex=sex, light=light, seat_height_m=seat_m
    )


if __name__ == "__main__":
    main()
