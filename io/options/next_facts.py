"""What to find out next: each stand-in by the money that finding out may be worth, as a sheet."""

from __future__ import annotations

import math

from ...models.answer.finding import HIGHER, LOWER, Findings
from ..paper.book import Book
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind
from ..words.next_text import about, cell_words, method_words

HEADING_ROW = 4


def next_workbook(found: Findings, project: str, currency: str) -> bytes:
    """Return the ranking as a workbook."""
    book = Book(f"{project}: what to find out next")
    columns = (
        SheetColumn("What to find out", widest=44),
        SheetColumn("Assumed now", widest=16),
        SheetColumn(f"Moves the cost by up to ({currency})", NumberKind.MONEY),
        SheetColumn(f"Cost at {LOWER:g} × ({currency})", NumberKind.MONEY),
        SheetColumn(f"Cost at {HIGHER:g} × ({currency})", NumberKind.MONEY),
        SheetColumn("How found", widest=24),
    )
    page = book.page("Find out next")
    lead = "Facts that defaults stand in for, by the money that the true figure may move."
    page.head("What to find out next", lead, of=project, across=len(columns))
    rows: list[tuple[Value, ...]] = [
        (
            about(one.assumed),
            cell_words(one.assumed),
            one.worth if math.isfinite(one.worth) else "may have no plan",
            "none found" if one.lower is None else one.lower,
            "none found" if one.higher is None else one.higher,
            one.how.value,
        )
        for one in found.ranked
    ]
    rows += [(about(one), cell_words(one), "not tried", "", "", "") for one in found.not_tried]
    table = page.table(HEADING_ROW, columns, rows)
    page.paragraphs(table.next_row + 1, method_words(found, currency), len(columns), Look.NOTE)
    page.finish(project, heading_row=HEADING_ROW)
    return book.content()
