"""The table of stacked sheets in the documentation is what the program reckons."""

from __future__ import annotations

from doc_pages import DOCS, script

TABLE = script("sheet_table")


def test_the_table_of_stacks_is_what_is_reckoned() -> None:
    """If this fails: python tools/sheet_table.py."""
    page = (DOCS / "how-to" / "reflectors-and-flags.md").read_text("utf-8")
    assert TABLE.page(page) == page
    assert len(TABLE.rows()) >= len(TABLE.STACKS)
