"""Offers side by side: every item that several suppliers offer, and what each comes to landed."""

from __future__ import annotations

from ..paper.book import PlanBook
from ..paper.page import SheetColumn
from ..paper.style import Look
from ..told.rival_text import TITLE, columns_of, how, rows_of

HEADING_ROW = 4
WIDEST = {"Item": 22.0, "Supplier": 24.0, "Quotation": 16.0, "Mind": 30.0}
USUAL = 13.0


def write_rival_offers(book: PlanBook) -> None:
    """Write a row an offer; no sheet where no item has several."""
    plan = book.plan
    rows = rows_of(plan)
    if not rows:
        return
    page = book.page(TITLE)
    columns = [
        SheetColumn(heading, kind, widest=WIDEST.get(heading, USUAL))
        for heading, kind in columns_of(plan.farm.project.currency)
    ]
    page.head(
        TITLE,
        "Every offer of an item that several suppliers offer, beside what is paid for it.",
        of=plan.farm.project.name,
        across=len(columns),
    )
    below = page.table(HEADING_ROW, columns, rows).next_row
    page.paragraphs(below + 1, [how(plan)], len(columns), Look.NOTE)
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW)
