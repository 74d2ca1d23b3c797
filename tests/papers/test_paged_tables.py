"""Tables of unlike headings on one sheet: every printed page says what its columns are."""

from __future__ import annotations

import io
import itertools

import pytest
from moorledger.io.paper.book import Book
from moorledger.io.paper.paged_tables import TitledTable, write_tables
from moorledger.io.paper.table import SheetColumn
from openpyxl import load_workbook

WIDTHS = (40.0, 110.0)


def pages_of(*rows: int) -> list[list[str]]:
    """Return the texts of the first column of every printed page, of tables of so many rows."""
    book = Book("test")
    page = book.page("Sheet")
    page.head("Sheet", "What it is about.", across=2)
    page.widths(WIDTHS)
    tables = [
        TitledTable(
            f"Table {number}",
            "A note.",
            (SheetColumn(f"Head {number}"), SheetColumn("Why")),
            [(f"row {number}.{n}", "words " * (25 if n % 3 else 1)) for n in range(count)],
        )
        for number, count in enumerate(rows)
    ]
    last = write_tables(page, 4, tables, WIDTHS)
    page.finish("test", close=True)
    sheet = load_workbook(io.BytesIO(book.content()))["Sheet"]
    ends = [0, *(one.id for one in sheet.row_breaks.brk), last]
    return [
        [
            str(sheet.cell(row, 1).value)
            for row in range(first + 1, end + 1)
            if sheet.cell(row, 1).value
        ]
        for first, end in itertools.pairwise(ends)
    ]


@pytest.mark.parametrize("rows", [(2, 3), (3, 25, 4), (100,), (2, 80, 1), (0, 2)])
def test_no_page_holds_rows_without_their_headings(rows: tuple[int, ...]) -> None:
    """On every page each run of rows stands below the headings of its table, and no row is lost."""
    pages = pages_of(*rows)
    for texts in pages:
        heads = None
        for text in texts:
            if text.startswith("Head "):
                heads = text.removeprefix("Head ")
            elif text.startswith("row "):
                assert text.removeprefix("row ").split(".")[0] == heads, texts
    found = [text for texts in pages for text in texts if text.startswith("row ")]
    assert found == [f"row {number}.{n}" for number, count in enumerate(rows) for n in range(count)]


def test_short_tables_share_a_page_and_long_ones_are_parted() -> None:
    """Two short tables make one page; one that the rest of a page cannot hold begins on the next;
    one of more than a page says on the next that it goes on."""
    assert len(pages_of(2, 3)) == 1
    first, second = pages_of(3, 18)
    assert "Table 1" in second
    assert "Table 1" not in first
    parted = pages_of(100)
    assert len(parted) > 2
    assert all(page[0] == "Table 0, continued" for page in parted[1:])
