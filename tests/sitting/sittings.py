"""Documents the sitting tests start from, and generated ones."""

from __future__ import annotations

import datetime as dt
from typing import Any

from hypothesis import strategies as st

from kinlight.errors import SittingError
from kinlight.sitting.files import parse

IDA = {"name": "Ida", "age": 4}
NORA = {"name": "Nora", "age": 36}
TOM = {"name": "Tom", "age": 6}
KEY = {"id": "key", "role": "key", "place": {"distance": 2, "height": 2}}


def sentences(**sections: Any) -> list[str]:
    """Return what is wrong with a document of Ida and these sections; empty if nothing is."""
    try:
        parse({"people": [IDA], **sections})
    except SittingError as error:
        return [fault.sentence() for fault in error.faults]
    return []


def with_key(**fields: Any) -> list[str]:
    """Return what is wrong with a document whose key light has these fields."""
    return sentences(lights=[KEY | fields])


def with_ida(**fields: Any) -> list[str]:
    """Return what is wrong with a document in which Ida has these fields."""
    return sentences(people=[IDA | fields])


def _number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False) | st.integers(
        int(low) + 1, max(int(low) + 1, int(high))
    )


def _some(**optional: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional=optional)


_TEXT = st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), min_size=1, max_size=12)
_MARKED = st.one_of(
    st.sampled_from(["order", "date", "camera.place", "camera.f_number", "lights.key.power"]),
    st.builds("pictures.{}".format, _TEXT),
)
_TONE = st.floats(0, 1)
_CLOCK = st.times(min_value=dt.time(10, 1)) | st.sampled_from(["10:30", "11.15", "9:05:30"])
_PEOPLE = st.lists(
    st.tuples(
        st.sampled_from(["Ida", "Tom", "Nora", "Søren", "María José", "O'Hara", "李", "a.b"]),
        st.fixed_dictionaries(
            {"age": _number(0, 115) | st.sampled_from(["8 months", "3 1/2", "6 weeks"])},
            optional={
                "stature": _number(0.35, 2.4) | st.just("4 ft 2 in"),
                "sex": st.sampled_from(["female", "male"]),
                "mass": _number(1.5, 250),
                "skin": _TONE | st.just("very dark"),
                "hair": _TONE | st.just("white"),
                "spectacles": st.booleans(),
                "holds_child": _number(0, 120) | st.just("5 min"),
                "motor": st.sampled_from(["lies", "new walker"]),
                "arrives": _CLOCK,
                "away": st.lists(
                    st.fixed_dictionaries({"start": _CLOCK, "minutes": _number(0.5, 240)}),
                    max_size=2,
                ),
                "household": _TEXT,
            },
        ),
    ),
    min_size=1,
    max_size=4,
    unique_by=lambda pair: pair[0],
).map(lambda pairs: [{"name": name, **rest} for name, rest in pairs])
_LIGHT = st.fixed_dictionaries(
    {
        "id": st.just("key"),
        "role": st.sampled_from(["key", "fill", "hair", "backdrop"]),
        "place": st.fixed_dictionaries(
            {
                "distance": _number(0, 2),
                "side": st.sampled_from(["left", "right"]),
                "height": _number(0.75, 2),  # so that no front reaches the floor or the ceiling
            },
            optional={"angle": _number(0, 90)},
        ),
    },
    optional={
        "aim": st.sampled_from(["mark", "20 degrees toward the camera", {"x": 1, "y": "2 ft"}]),
        "modifier": _some(width=_number(0.05, 1.5), transmission=st.floats(0.01, 1)),
        "power": st.sampled_from(["1/4", "1/8 +0.3", "full", 0.5]),
        "dial": _some(step=st.floats(0.02, 1)),
        "energy": _number(5, 6400),
        "t01": st.sampled_from(["1/500", 0.002, "2 ms"]),
        "modelling_on": st.booleans(),
    },
)
_BACKDROP = _some(width=_number(0.5, 5), distance=_number(0, 5), reflectance=_TONE)


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    """Return valid documents of many kinds."""
    people = draw(_PEOPLE)
    names = [p["name"] for p in people]
    sections = _some(
        title=_TEXT,
        date=st.dates(dt.date(2020, 1, 1), dt.date(2040, 1, 1)) | st.just("2026-05-30"),
        start=st.sampled_from(["10:00", dt.time(9, 30)]),
        pictures=st.lists(
            st.fixed_dictionaries(
                {"people": st.lists(st.sampled_from(names), min_size=1, unique=True)},
                optional={
                    "must": st.booleans(),
                    "value": _number(0, 1e6),
                    "sizes": st.just(["8x10 in", {"width": 0.3, "height": "40 cm"}]),
                    "focal_length": _number(24, 70),
                    "frames": st.integers(1, 500),
                },
            ),
            max_size=1,
        ),
        sizes=st.lists(st.sampled_from(["20x25 cm", "8x10 in", "0.3x0.4 m"]), min_size=1),
        room=st.just({"width": "20 ft", "length": 9}) | _some(wall_reflectance=_TONE),
        backdrop=_BACKDROP,
        camera=_some(
            iso=_number(25, 102400),
            shutter=_number(1e-3, 1) | st.just("1/160"),
            plate_shift=_number(-150, 150) | st.just("1 in"),
            f_number=st.sampled_from(["f/8", 7.1, 5.6]),
        ),
        lights=st.lists(_LIGHT, max_size=1),
        meter_points=st.just(
            [{"id": "mark", "place": {"x": 0, "y": 0, "z": 1}, "reading": "f/8 + 4/10"}]
        ),
        preferences=_some(units=st.sampled_from(["metric", "feet"]), tax=_number(0, 60)),
        wishes=_some(head_room=_TONE, heavy_child=_number(0.5, 60)),
        origins=st.dictionaries(_MARKED, st.sampled_from(["usual set", "proposed"]), max_size=2),
    )
    return {"people": people, **draw(sections)}
