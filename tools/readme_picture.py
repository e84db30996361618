"""Make the README's picture: page one of the demo's set sheet, as docs/images/set-sheet.png."""

from __future__ import annotations

import tempfile
from pathlib import Path

from kinlight.plan.check import check
from kinlight.plan.settle.settle import settle
from kinlight.sheets.set_sheet import set_sheet_page
from kinlight.sitting.files import load, write_whole
from kinlight.sitting.starter import demo_text

PICTURE = Path(__file__).resolve().parents[1] / "docs" / "images" / "set-sheet.png"
LARGEST_BYTES = 400_000
PPI = 110.0


def main() -> None:
    """Plan the demo, set its first page and write it."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "demo.toml"
        source.write_text(demo_text(), encoding="utf-8")
        plan = check(settle(load(source)))
    page = set_sheet_page(plan, ppi=PPI)
    if len(page) > LARGEST_BYTES:
        raise SystemExit(f"{len(page)} bytes are too many for a README; lower PPI")
    write_whole(PICTURE, page)
    print(f"Written: {PICTURE.name}, {len(page) // 1000} kB")


if __name__ == "__main__":
    main()
