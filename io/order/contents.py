"""Contents: every sheet with a link and a line on what it is, and the orders to send."""

from __future__ import annotations

from ..paper.book import PlanBook
from ..paper.page import Page, SheetColumn, Value
from ..words.kinds import NumberKind

HEADING_ROW = 4

COLUMNS = (SheetColumn("Sheet", widest=34), SheetColumn("What is on it", widest=110))
ORDERS = (
    SheetColumn("Order to send", widest=34),
    SheetColumn("Supplier", widest=110),
    SheetColumn("Paid in", widest=9),
    SheetColumn("To pay, its currency", NumberKind.MONEY),
    SheetColumn("With duty ({currency})", NumberKind.MONEY),
)
ACROSS = len(ORDERS)


def write_contents(book: PlanBook, page: Page) -> None:
    """Write the page; every other sheet must have been written before, but for the Summary."""
    project = book.plan.farm.project
    page.head(
        "Contents",
        "Every sheet of this workbook; nothing in it is hidden or protected.",
        of=project.name,
        across=ACROSS,
    )
    row = HEADING_ROW
    if book.supplier_totals:
        row = _write_orders(book, page, row) + 1
    pages = [other for other in book.pages if other is not page]
    about = [_about(other.lead) for other in pages]
    table = page.table(row, COLUMNS, [("", words) for words in about])
    for line, other in enumerate(pages, start=table.first):
        page.link(line, 1, other)
    page.finish(project.name, one_page=True)


def _write_orders(book: PlanBook, page: Page, row: int) -> int:
    """Write the orders to send, with their totals; return the row below."""
    farm = book.plan.farm
    columns = (
        *ORDERS[:-1],
        SheetColumn(ORDERS[-1].heading.format(currency=farm.project.currency), NumberKind.MONEY),
    )
    rows: list[tuple[Value, ...]] = []
    for name, (own, here) in book.supplier_totals.items():
        seller = next(s for s in farm.suppliers if s.name == name)
        rows.append(("", name, seller.currency, own, here))
    orders = page.table(row, columns, rows)
    for line, name in enumerate(book.supplier_totals, start=orders.first):
        page.link(line, 1, book.supplier_pages[name])
    return orders.next_row


def _about(lead: str) -> str:
    """Return the first sentence of what a sheet says of itself."""
    return lead.split(". ")[0].rstrip(".") + "."
