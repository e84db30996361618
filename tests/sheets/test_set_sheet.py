"""The set sheet on paper: whole, readable by all, and the same for the same plan."""

from __future__ import annotations

import functools
import io
import itertools
import json
import re
import tomllib
from typing import Any

import pytest
from pypdf import PdfReader

from kinlight.drawings.words import chosen_picture
from kinlight.plan.check import check
from kinlight.plan.model import Plan, findings_lines
from kinlight.plan.settle.settle import settle
from kinlight.sheets.content import breakable, content
from kinlight.sheets.set_sheet import set_sheet_page, set_sheet_pdf, source_files
from kinlight.sitting.files import parse
from kinlight.sitting.starter import demo_text

_FOOTER_PT = 17 / 25.4 * 72
MARKUP = (
    '#panic("x")',
    "*bold* _it_ `c`",
    '"q" \\ $x^2$',
    "<b>&amp;",
    "@ref <l>",
    "//c /*d",
    "[x]=",
)


def _document(names: tuple[str, ...], pairs: int = 0, **more: Any) -> dict[str, Any]:
    people = [
        {"id": f"p{i}", "name": name, "age": (40, 38, 9, 6, 3, 70, 12)[i % 7]}
        for i, name in enumerate(names)
    ]
    pictures = [{"name": "everyone", "people": [p["id"] for p in people], "must": True}]
    count = len(people)
    pictures += [
        {"name": f"pair {k} {names[k % count]}"[:110], "people": [f"p{k % count}", f"p{j}"]}
        for k in range(pairs)
        for j in [(k + 1 + k // count) % count]
    ]
    return {"people": people, "pictures": pictures, "propose_pictures": False, **more}


@functools.cache
def _plan(kind: str) -> Plan:
    names = tuple(f"Person{i}" for i in range(14))
    documents = {
        "plain": lambda: _document(("Ida", "Tom", "Lea", "Max"), title="A plain sitting"),
        "markup": lambda: _document(MARKUP, title='#set page(fill: red) "q" *t*' + " long" * 30),
        "letters": lambda: _document(("🎂 Anna", "名前", "علي", "z" * 60)),
        "many": lambda: _document(
            names, 29, room={"width": 12.0, "length": 14.0},
            lenses=[{"id": "zoom", "shortest": 24, "longest": 70}],
            order=["everyone", *(f"pair {k} Person{k % 14}" for k in range(29))],
        ),
        "failing": lambda: _document(
            ("Ida", "Tom"), camera={"shutter": "1/1000", "sync": "1/200"},
        ),
    }  # fmt: skip
    return check(settle(parse(documents[kind]())))


@functools.cache
def _reader(kind: str) -> PdfReader:
    return PdfReader(io.BytesIO(set_sheet_pdf(_plan(kind))))


def _text(kind: str) -> str:
    pages = " ".join(page.extract_text() for page in _reader(kind).pages)
    return " ".join(pages.replace("\u200b", "").split())


def _run_together(text: str) -> str:
    """Return text without spaces and hyphens, which differ where a line ends."""
    return re.sub(r"[\s-]", "", text)


def _figures(kind: str) -> list[str]:
    """Return the words that stand for every figure to those who do not see it."""
    found: list[str] = []

    def walk(node: Any) -> None:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            for inner in node:
                walk(inner)
        elif isinstance(node, dict):
            if node.get("/S") == "/Figure":
                found.append(str(node.get("/Alt", "")))
            if "/K" in node:
                walk(node["/K"])

    walk(_reader(kind).trailer["/Root"]["/StructTreeRoot"])
    return found


@pytest.mark.parametrize("kind", ["plain", "markup", "letters", "many", "failing"])
def test_the_sheet_says_the_verdict_and_the_first_five(kind: str) -> None:
    """At least set, hold table, order and views, a page or more; what is left out, too."""
    plan, reader = _plan(kind), _reader(kind)
    assert len(reader.pages) >= 3
    text = _text(kind)
    for words in ("Does the set hold?", "Running order", "As framed", "Readings to expect"):
        assert words in text
    assert f"page 1 of {len(reader.pages)}" in text
    if kind in ("plain", "failing"):
        assert plan.verdict in text
        for words in plan.unreckoned:
            assert _run_together(text).count(_run_together(words)) == 2
        for words in (*plan.cautions, *plan.assumed):
            assert _run_together(words) in _run_together(text)


def test_names_that_look_like_markup_are_printed_as_they_are() -> None:
    """Nothing a person typed is read as an instruction to the typesetter."""
    text = _text("markup")
    for name in MARKUP:
        assert name in text
    assert '#set page(fill: red) "q" *t*' in text


def test_the_first_page_says_what_to_read_and_leaves_room_to_write_it() -> None:
    """Each light alone and all together, with how to hold the meter."""
    plan = _plan("plain")
    page = " ".join(_reader("plain").pages[0].extract_text().split())
    readings = page.partition("Readings to expect")[2]
    for light in plan.lights:
        assert light.reading in readings
    for point in plan.meter:
        assert point.expected in readings or point.kind == "point"
    assert "flat receptor at the mark" in readings


def test_the_light_card_has_every_reading_in_order_and_room_to_write() -> None:
    """And every face of the picture with most people, with where its light comes from."""
    plan = _plan("plain")
    text = " ".join(_text("plain").split()).partition("Light card")[2].partition("As framed")[0]
    places = [text.index(f"{i + 1} {m.where}") for i, m in enumerate(plan.meter)]
    assert places == sorted(places)
    assert "Where the light at each chin comes from" in text
    for face in chosen_picture(plan).faces:
        assert plan.sitting.person(face.person).name in text
        assert face.ratio_text in text


def test_what_to_look_at_in_the_light_is_on_paper() -> None:
    """Every finding of the demo, with the pictures it is of."""
    plan = check(settle(parse(tomllib.loads(demo_text()))))
    pages = PdfReader(io.BytesIO(set_sheet_pdf(plan))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    found = findings_lines(plan.to_make)
    assert found
    assert [line for line in found if line.replace("'", "’") not in text.replace("'", "’")] == []


def test_the_demo_takes_six_pages_and_none_but_the_last_is_half_empty() -> None:
    """Seventeen pictures; how far down a page its lowest words stand is read from the page."""
    reader = PdfReader(io.BytesIO(set_sheet_pdf(check(settle(parse(tomllib.loads(demo_text())))))))
    assert len(reader.pages) <= 6
    for page in reader.pages[:-1]:
        lowest = [1e9]

        def note(text: str, cm: Any, tm: Any, *_: Any, kept: list[float] = lowest) -> None:
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            if text.strip() and y > _FOOTER_PT:
                kept.append(y)

        page.extract_text(visitor_text=note)
        assert min(lowest) < float(page.mediabox.height) / 2


def test_the_order_says_where_the_focus_is_set_anew() -> None:
    """At each change of lens of the demo, and nowhere else."""
    plan = check(settle(parse(tomllib.loads(demo_text()))))
    rows = [row for row in content(plan)["order"] if "frames" in row]
    lenses = {p.name: p.lens for p in plan.to_make}
    changed = [lenses[a["name"]] != lenses[b["name"]] for a, b in itertools.pairwise(rows)]
    assert any(changed)
    assert ["refocus" in row["change"] for row in rows[1:]] == changed
    assert rows[0]["change"] == ""


def test_words_never_become_part_of_the_template() -> None:
    """The template is the same for every plan; words arrive as JSON."""
    plain, odd = source_files(_plan("plain")), source_files(_plan("markup"))
    assert plain["main"] == odd["main"]
    assert json.loads(odd["words.json"])["title"].startswith("#set page")


def test_the_same_plan_gives_the_same_bytes() -> None:
    """No clock and nothing of the computer goes into the file."""
    assert set_sheet_pdf(_plan("plain")) == set_sheet_pdf(_plan("plain"))


def test_every_drawing_has_words_for_those_who_do_not_see_it() -> None:
    """Floor plan, stop ladder, bars of light and a front view of each picture; it is tagged."""
    plan = _plan("plain")
    figures = _figures("plain")
    assert len(figures) == 3 + len(plan.to_make)
    assert all(len(alt) > 8 for alt in figures)
    root = _reader("plain").trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert str(root["/Lang"]).startswith("en")
    metadata = _reader("plain").metadata
    assert metadata is not None
    assert metadata.title == "A plain sitting"


def test_every_picture_to_be_made_stands_in_table_order_and_views() -> None:
    """Its name is printed in the hold table, the running order and under its front view."""
    plan, text = _plan("many"), _text("many")
    assert len(plan.to_make) == 30
    for picture in plan.to_make:
        assert text.count(picture.name) >= 3
    for name in ("Person0", "Person13"):
        assert name in text


def test_a_check_that_fails_is_named_and_explained() -> None:
    """A shutter shorter than the sync time fails, and the sheet says why."""
    plan, text = _plan("failing"), _text("failing")
    assert not plan.holds
    assert "What fails" in text
    assert text.count("part of the frame would miss the flash") == 2  # in the verdict, and here
    assert "Try: a longer shutter time." in text
    verdicts = [cell[0] for row in content(plan)["hold"] for cell in row["cells"]]
    assert "fails" in verdicts
    assert "Mend what fails" in text
    assert "meter it" in _text("plain")


def test_a_name_in_other_letters_is_set_without_failing() -> None:
    """Letters the sheet's typeface has not: those it has still stand there."""
    assert "Anna" in _text("letters")


def test_a_long_run_of_letters_may_be_broken() -> None:
    """Words up to 22 letters stay whole; what is broken is the same without the breaks."""
    words = {"a": ["short", "x" * 22, "y" * 60], "n": 3}
    found = breakable(words)
    assert found["a"][:2] == ["short", "x" * 22]
    assert found["a"][2] != "y" * 60
    assert found["a"][2].replace("\u200b", "") == "y" * 60
    assert found["n"] == 3


def test_the_first_page_can_be_had_as_a_picture() -> None:
    """A4 at 50 pixels an inch is 413 by 585 pixels, by hand."""
    png = set_sheet_page(_plan("plain"), ppi=50)
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = (int.from_bytes(png[i : i + 4], "big") for i in (16, 20))
    assert (width, height) == pytest.approx((413, 585), abs=1)
