"""Next tests: what the farm would pay with one, two, three more pull tests, and their price."""

from __future__ import annotations

from ...models.asked.next_tests import NextTest, NextTests
from ..paper.book import Book
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..told.next_tests_text import read_words, verdict_of
from ..words.cautions import PULLS
from ..words.kinds import NumberKind
from ..words.stopped import ended_early

HEADING_ROW = 5

COLUMNS = (
    SheetColumn("Anchor", widest=22),
    SheetColumn("Seabed", widest=18),
    SheetColumn("Tests now", NumberKind.COUNT),
    SheetColumn("Relied on now (kN)", NumberKind.FORCE_KN),
    SheetColumn("More tests", NumberKind.COUNT),
    SheetColumn("Relied on then (kN)", NumberKind.FORCE_KN),
    SheetColumn("Saves", NumberKind.MONEY),
    SheetColumn("At least", NumberKind.MONEY),
    SheetColumn("At most", NumberKind.MONEY),
    SheetColumn("Price of the tests", NumberKind.MONEY),
    SheetColumn("Left", NumberKind.MONEY),
    SheetColumn("What to do", widest=44),
)
ACROSS = len(COLUMNS)


def write_next_tests(book: Book, found: NextTests) -> None:
    """Write the sheet at the end of a book."""
    page = book.page("Next tests")
    page.head(
        "Next tests",
        f"What one more pull test is worth, in {found.currency}; the farm now costs "
        f"{found.cost:,.2f}.{ended_early(found.stopped)}",
        across=ACROSS,
    )
    page.put(3, 1, " ".join(read_words(found)), look=Look.NOTE, across=ACROSS)
    rows = [cells for row in found.rows for cells in _rows(row)]
    table = page.table(HEADING_ROW, COLUMNS, rows)
    row = table.next_row + 1
    if not found.rows:
        none = "No more tests would raise what any anchor is relied on to hold."
        page.put(row, 1, none, across=ACROSS)
        row += 1
    page.paragraphs(row, [PULLS], ACROSS, Look.STRONG)
    page.finish(book.title, heading_row=HEADING_ROW)


def _rows(row: NextTest) -> list[tuple[Value, ...]]:
    """Return a row for each number of more tests, only the first of what was not priced; what to do
    stands in the first."""
    made: list[tuple[Value, ...]] = []
    for number, one in enumerate(row.options[:1] if row.why else row.options):
        first = number == 0
        money: tuple[Value, ...] = (None, None, None)
        if one.saves is not None:
            money = (one.saves.found, one.saves.least, one.saves.most)
        made.append(
            (
                row.anchor,
                row.seabed,
                row.tests,
                row.relied_on_kn,
                one.more,
                one.relied_on_kn,
                *money,
                one.price,
                None if one.saves is None else one.net,
                verdict_of(row) if first else None,
            )
        )
    return made
