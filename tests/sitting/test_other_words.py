"""What people write where the document has other words is understood or explained."""

from __future__ import annotations

import itertools
import tomllib

import pytest
from sittings import IDA, KEY, sentences, with_ida, with_key

from kinlight.errors import QuantityError
from kinlight.sitting.base import parse_part
from kinlight.sitting.document import Sitting
from kinlight.sitting.files import parse
from kinlight.sitting.other_words import _document
from kinlight.sitting.pictures import Size
from kinlight.sitting.strobes import Modifier
from kinlight.sitting.toml_fault import one_line, toml_fault


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (
            with_ida(height=1.84),
            "person 'Ida': 'height' is not known here; did you mean 'stature'?",
        ),
        (with_ida(weight=80), "person 'Ida': 'weight' is not known here; did you mean 'mass'?"),
        (with_ida(dob="2020-01-01"), "person 'Ida': 'dob' is not known here; did you mean 'born'?"),
        (
            sentences(camera={"aperture": 8}),
            "camera: 'aperture' is not known here; did you mean 'f_number'?",
        ),
        (
            with_key(softbox={}),
            "light 'key': 'softbox' is not known here; did you mean 'modifier'?",
        ),
        (
            sentences(room={"Height": 3}),
            "room: 'Height' is not known here; did you mean 'ceiling'?",
        ),
    ],
)
def test_a_word_people_use_is_answered_with_ours(found: list[str], sentence: str) -> None:
    """The one that exists where it was written."""
    assert found == [sentence]


def test_every_word_offered_is_one_of_the_documents() -> None:
    """None leads to a second fault."""
    schema = Sitting.model_json_schema(by_alias=True)
    parts = [schema, *schema["$defs"].values()]
    known = {key for part in parts for key in part.get("properties", {})}
    offered = {word for words in _document()["keys"].values() for word in words}
    assert offered <= known


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (
            with_ida(stature=184),
            "person 'Ida', stature: 184 m is too large; allowed: 0.35 to 2.4 m; "
            'write 1.84 or "184 cm"',
        ),
        (
            sentences(room={"ceiling": "240"}),
            'room, ceiling: 240 m is too large; allowed: 1.9 to 12 m; write 2.4 or "240 cm"',
        ),
        (
            sentences(sizes=[{"width": 30, "height": 0.4}]),
            'size 1, width: 30 m is too large; allowed: 0.03 to 4 m; write 0.3 or "30 cm"',
        ),
        (
            sentences(room={"ceiling": 20}),
            "room, ceiling: 20 is too large; allowed: 1.9 to 12 m",
        ),
        (
            with_ida(stature="184 m"),
            "person 'Ida', stature: '184 m' is too large; allowed: 0.35 to 2.4 m",
        ),
    ],
)
def test_centimetres_without_a_unit_are_recognised(found: list[str], sentence: str) -> None:
    """Only if the number would then fit, and had no unit of its own."""
    assert found == [sentence]


@pytest.mark.parametrize(
    ("kind", "remedy"),
    [
        ("reflector", 'for the metal reflector of a bare head write "dish" with its width'),
        ("Strip", 'for a strip write "softbox" with its width and height'),
        (
            "lantern",
            'for a lantern write "octagon" with its width, and trust a meter reading, '
            "not the estimate",
        ),
    ],
)
def test_another_modifier_is_answered_with_the_nearest(kind: str, remedy: str) -> None:
    """Beside all the words there are."""
    assert with_key(modifier={"kind": kind}) == [
        f"light 'key', modifier, kind: '{kind}' is none of the words known here; allowed: softbox, "
        f"octagon, shoot-through umbrella, reflecting umbrella, beauty dish, dish, bare; {remedy}"
    ]


def test_another_break_is_answered_with_the_words_there_are() -> None:
    """Two of them."""
    assert sentences(breaks=[{"id": "a", "kind": "snack"}]) == [
        "break 'a', kind: 'snack' is none of the words known here; allowed: break, feed; "
        'for a snack write "break" for all, or "feed" for one child'
    ]


@pytest.mark.parametrize(
    ("stated", "size"),
    [
        ({}, (0.9, 0.9)),  # common practice, no source
        ({"kind": "octagon"}, (0.9, 0.9)),
        ({"kind": "bare"}, (0.18, 0.18)),  # common practice, no source
        ({"kind": "bare", "width": 0.3}, (0.3, 0.3)),
        ({"width": 0.3, "height": 1.2}, (0.3, 1.2)),
        ({"height": 1.2}, (0.9, 1.2)),
    ],
)
def test_a_front_has_a_size_by_its_kind(stated: dict[str, object], size: object) -> None:
    """Where none is stated; a bare head is small."""
    assert Modifier.model_validate(stated).front_m() == size


@pytest.mark.parametrize(
    ("text", "sides_m"),
    [
        ("A4", (0.210, 0.297)),  # ISO 216, from memory
        ("a3", (0.297, 0.420)),
        ("A6", (0.105, 0.148)),
        ("20x30 inches", (0.508, 0.762)),  # inch of 0.0254 m
        ("20X30 CM", (0.2, 0.3)),
        ("8x10″", (0.2032, 0.254)),
    ],
)
def test_a_size_is_read_by_name_and_in_inches(text: str, sides_m: tuple[float, float]) -> None:
    """Papers of ISO 216, and the words for units people use."""
    size = Size.model_validate(text)
    assert (size.width_m, size.height_m) == pytest.approx(sides_m, rel=1e-12)


def test_each_paper_is_half_of_the_one_before() -> None:
    """Cut across its long side and rounded down to whole millimetres, as ISO 216 makes them."""
    sizes = [Size.model_validate(f"A{n}") for n in range(7)]
    sides = [(round(s.width_m * 1000), round(s.height_m * 1000)) for s in sizes]
    assert all(after == (b // 2, a) for (a, b), after in itertools.pairwise(sides))


@pytest.mark.parametrize(("written", "part"), [("50%", 0.5), ("12,5 %", 0.125), (0.3, 0.3)])
def test_a_share_may_be_written_in_percent(written: object, part: float) -> None:
    """Of a wall, a tone or a modifier."""
    assert parse_part(written) == part
    sitting = parse(
        {
            "people": [IDA | {"skin": written}],
            "room": {"wall_reflectance": written},
            "lights": [KEY | {"modifier": {"transmission": written}}],
        }
    )
    assert sitting.room.wall_reflectance == part
    assert sitting.people[0].skin == part
    assert sitting.lights[0].modifier.transmission == part


@pytest.mark.parametrize("written", ["50", "half", "-5%", "%", True, None])
def test_what_is_no_share_is_refused(written: object) -> None:
    """A text needs its percent sign."""
    with pytest.raises(QuantityError, match="is not a number"):
        parse_part(written)


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("ceiling = 2,4", "has a decimal comma: ceiling = 2,4; write 2.4 with a point"),
        (
            "place = { distance = 2,5, angle = 4 } # x",
            "has a decimal comma: place = { distance = 2,5, angle = 4 } # x; "
            "write 2.5 with a point",
        ),
        ("title = “Ida”", 'has curly quotes: title = “Ida”; write straight ones: "'),
        ('title = "Ida', 'has a quote that is not closed: title = "Ida; put the missing quote'),
        ("title = 'Ida", "has a quote that is not closed: title = 'Ida; put the missing quote"),
        ("role = key", 'has a text without quotes: role = key; write "key"'),
        ("width = 8 ft", 'has a text without quotes: width = 8 ft; write "8 ft"'),
        ('a = [Ida, "Tom"]', 'has a text without quotes: a = [Ida, "Tom"]; write "Ida"'),
        ("h = 6'1\"", 'has feet and inches without quotes: h = 6\'1"; write "6 ft 1 in"'),
        ("must = True", "has a capital letter: must = True; write true"),
    ],
)
def test_a_line_that_is_no_toml_is_explained(line: str, sentence: str) -> None:
    """With its number and the line itself."""
    text = f'# one\r\nfirst = "it\'s, 1,5 and “so” = on"\r\n{line}\r\nlast = 1\r\n'
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(text)
    found = toml_fault(text, str(caught.value), "a.toml").sentence()
    assert found == f"a.toml, line 3: {sentence}"


@pytest.mark.parametrize("line", ["[room", "word", "d = 2026-02-30", 'a = "\\q"'])
def test_any_other_line_is_shown_with_the_readers_words(line: str) -> None:
    """No cause is guessed."""
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(line)
    found = toml_fault(line, str(caught.value), "a.toml").sentence()
    assert found.startswith(f"a.toml: cannot be read as TOML: {caught.value}")
    assert found.endswith(line) or "end of document" in found


def test_a_line_is_cut_and_made_printable() -> None:
    """Whatever it holds."""
    assert one_line("a\tb\x00c\u2028d") == "a b c d"
    assert one_line("x" * 300) == "x" * 197 + "..."
