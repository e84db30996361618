"""Write the table of stacked sheets in docs/how-to/reflectors-and-flags.md.

Run `python tools/sheet_table.py` after changing a figure of a sheet. What stands outside the marks
is written by hand and kept.
"""

from __future__ import annotations

from pathlib import Path

from kinlight.light.layers import cloth, stack, stack_compared
from kinlight.plan.sheets_said import ASIDE_DEG, INCIDENCE_DEG
from kinlight.quantities.stops import stops_text

PAGE = Path(__file__).resolve().parents[1] / "docs" / "how-to" / "reflectors-and-flags.md"
MARK = "<!-- From here to the end of the table written by tools/sheet_table.py -->\n"
END = "<!-- end of the table -->\n"
STACKS = (
    ("translucent", "silver"),
    ("translucent", "translucent", "silver"),
    ("translucent", "white"),
    ("translucent", "black"),
    ("translucent", "translucent"),
)
_HEAD = (
    "| sheets, from the front | sends back | against | in the mirror's direction "
    "| square before it |\n"
    "|---|---|---|---|---|\n"
)


def page(old: str) -> str:
    """Return the page with its table written anew."""
    before, mark, rest = old.partition(MARK)
    _, end, after = rest.partition(END)
    if not mark or not end:
        raise SystemExit(f"{PAGE} has no lines {MARK!r} and {END!r}")
    return before + mark + "\n" + _HEAD + "".join(rows()) + "\n" + end + after


def rows() -> list[str]:
    """Return the rows, one for each different sheet of each stack."""
    found = []
    for materials in STACKS:
        layers = [cloth(m) for m in materials]
        name, back = " over ".join(materials), f"{stack(materials).front.reflectance:.2f}"
        compared = stack_compared(layers, incidence_deg=INCIDENCE_DEG, aside_deg=ASIDE_DEG)
        for material, one in dict(zip(materials, compared, strict=True)).items():
            mirror, aside = stops_text(one.mirror_stops), stops_text(one.aside_stops)
            found.append(f"| {name} | {back} | {material} | {mirror} | {aside} |\n")
            name = back = ""
    return found


if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text("utf-8")), encoding="utf-8")
