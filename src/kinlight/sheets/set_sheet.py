"""The set sheet: a plan as a PDF to tape to the studio wall."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Any, Literal

from kinlight.drawings.floor_plan import floor_plan
from kinlight.drawings.front_view import description, front_view
from kinlight.drawings.stop_ladder import stop_ladder
from kinlight.drawings.words import chosen_picture
from kinlight.plan.model import PicturePlan, Plan
from kinlight.sheets.content import breakable, content, view_caption
from kinlight.sheets.light_card import light_card, shares_drawing

_MANY = 4
"""From so many people on, the largest group is drawn across the page with everyone's height."""
_CARD_MM = 182.0
_FLOOR_MM = (182.0, 142.0)
_WIDE_MM, _SMALL_MM = (182.0, 84.0), (42.0, 62.0)


def set_sheet_pdf(plan: Plan) -> bytes:
    """Return the set sheet as a tagged PDF (PDF/UA-1), the same bytes for the same plan."""
    return compiled(source_files(plan), "pdf")


def set_sheet_page(plan: Plan, *, ppi: float) -> bytes:
    """Return the first page of the set sheet as a picture in PNG format."""
    return compiled(source_files(plan), "png", ppi=ppi)


def source_files(plan: Plan) -> dict[str, bytes]:
    """Return the template, its words as JSON and its drawings, by file name.

    Words reach the template only as data: nothing a person typed is ever read as markup.
    """
    template = files("kinlight.sheets").joinpath("data/set_sheet.typ").read_bytes()
    big = chosen_picture(plan)
    ladder = stop_ladder(plan, big, plan.focus.person if _has(big, plan) else big.people[0])
    found: dict[str, bytes] = {}
    drawings: dict[str, Any] = {"floor": _kept(found, "floor.svg", _floor(plan), "floor plan")}
    drawings["ladder"] = _kept(found, "ladder.svg", ladder, _desc(ladder))
    shares = shares_drawing(plan, width_mm=_CARD_MM)
    drawings["shares"] = _kept(found, "shares.svg", shares, _desc(shares))
    drawings["views"] = []
    wide = big if len(big.people) >= _MANY and not big.upright and big.made else None
    turn = {line.name: i for i, line in enumerate(plan.order.lines)}
    ordered = sorted(plan.to_make, key=lambda p: (p is not wide, turn[p.name]))
    for i, picture in enumerate(ordered):
        across, up = _WIDE_MM if picture is wide else _SMALL_MM
        svg = front_view(plan, picture, width_mm=across, height_mm=up, heights=picture is wide)
        image = _kept(found, f"view-{i}.svg", svg, description(plan, picture))
        drawings["views"].append(
            {"image": image, "wide": picture is wide, **breakable(view_caption(plan, picture))}
        )
    said = content(plan) | {"card": light_card(plan)}
    words = json.dumps(breakable(said) | drawings, ensure_ascii=False).encode()
    return {"main": template, "words.json": words, **found}


def _has(picture: PicturePlan, plan: Plan) -> bool:
    return plan.focus.person in picture.people


def _floor(plan: Plan) -> str:
    return floor_plan(plan, width_mm=_FLOOR_MM[0], height_mm=_FLOOR_MM[1])


def _desc(svg: str) -> str:
    return svg.partition("<desc")[2].partition(">")[2].partition("</desc>")[0]


def _kept(found: dict[str, bytes], name: str, svg: str, alt: str) -> dict[str, str]:
    found[name] = svg.encode()
    return {"file": name, "alt": alt}


def compiled(
    sources: Mapping[str, bytes], form: Literal["pdf", "png"], *, ppi: float = 144.0
) -> bytes:
    """Return the sheet set by typst, in its own typefaces; of a picture, the first page.

    A name in letters these do not have is set once more with the typefaces of the computer, and
    if they lack them too, without the promise of PDF/UA that every letter can be read.
    """
    import typst

    tries: list[dict[str, Any]] = [
        {"ignore_system_fonts": True, "pdf_standards": ["ua-1"]},
        {"ignore_system_fonts": False, "pdf_standards": ["ua-1"]},
        {"ignore_system_fonts": False},
    ]
    if form == "png":
        tries = [{"ignore_system_fonts": True, "ppi": ppi}]
    for options in tries[:-1]:
        try:
            return _set(sources, form, options)
        except typst.TypstError as error:
            if "could not be displayed" not in str(error):
                raise
    return _set(sources, form, tries[-1])


def _set(sources: Mapping[str, bytes], form: str, options: Mapping[str, Any]) -> bytes:
    import typst

    pages: Any = typst.compile(dict(sources), format=form, timestamp=0, **options)  # type: ignore[call-overload]
    return bytes(pages[0] if isinstance(pages, list) else pages)
