"""Offers compared: every offer, and the price at which it enters or leaves the least plan."""

from __future__ import annotations

from ...models.asked.offer_worth import OfferWorths
from ..paper.book import Book
from ..paper.page import Page, SheetColumn
from ..paper.style import Look
from ..told.offer_text import LOST, READ, WON, columns_of, lost_rows, standing, won_rows

SHEET = "Offers compared"
WIDEST = {"Item": 22.0, "Supplier": 20.0, "Quotation": 14.0, "What is not sure": 30.0}
USUAL = 13.0


def offers_workbook(worths: OfferWorths) -> bytes:
    """Return the comparison as a workbook of its own."""
    book = Book(f"{worths.plan.farm.project.name}: offers compared")
    write_offers_compared(book.page(SHEET), worths)
    return book.content()


def write_offers_compared(page: Page, worths: OfferWorths) -> None:
    """Write the sheet: those that lost, then those that won."""
    project = worths.plan.farm.project
    columns = [
        SheetColumn(heading, kind, widest=WIDEST.get(heading, USUAL))
        for heading, kind in columns_of(project.currency)
    ]
    page.head(
        SHEET,
        f"The least plan costs {project.currency} {worths.plan.installed_cost:,.2f}. "
        f"{standing(worths)}",
        of=project.name,
        across=len(columns),
    )
    row = page.paragraphs(3, [READ], len(columns), Look.NOTE) + 1
    for title, rows in ((LOST, lost_rows(worths)), (WON, won_rows(worths))):
        page.put(row, 1, title, look=Look.SECTION, across=len(columns))
        if rows:
            row = page.table(row + 1, columns, rows).next_row + 1
        else:
            page.put(row + 1, 1, "None.", across=len(columns))
            row += 3
    page.finish(project.name, freeze=False)
