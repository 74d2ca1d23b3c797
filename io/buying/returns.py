"""Returns of goods: one sheet for every supplier that takes goods of earlier orders back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...models.after.kept_goods import given_back
from ...models.answer.plan import Plan
from ...models.goods.item import Item
from ...models.goods.supplier import Supplier
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.grammar import clean, listed
from ..words.kinds import NumberKind
from ..words.orders import make_of
from .purchase_order import Fact, addressed, write_facts

COLUMNS = (
    SheetColumn("Line", NumberKind.COUNT),
    SheetColumn("Item", widest=24),
    SheetColumn("Description", widest=44),
    SheetColumn("Of order", widest=26),
    SheetColumn("Quantity", NumberKind.COUNT),
    SheetColumn("Unit", widest=16),
    SheetColumn("Gross mass (kg)", NumberKind.MASS_KG),
    SheetColumn("Price paid", NumberKind.PRICE),
    SheetColumn("Credited", NumberKind.SHARE),
    SheetColumn("Credit", NumberKind.MONEY),
)
QUANTITY, MASS, PRICE, SHARE, CREDIT = 5, 7, 8, 9, 10
"""Columns of the sheet, from 1."""
HEADING_ROW = 10
LABEL, FILLED, ACROSS = (1, 5), (3, 8), (2, 3)
"""Columns of the particulars and of what is filled in for them, left and right."""

SENT = "as bought"
"""The order of goods that no order names."""

NOTES = (
    "Price paid: of one unit as sold; where units were bought at several prices, the lowest. Order "
    "charges, carriage, and duty and insurance paid are no part of the credit.",
    "Who carries the goods back, and who pays for it, is to be agreed before they leave. Count, "
    "condition and markings are taken down together where they are handed over; what is found "
    "damaged is named there.",
    "Lifting: by slings or in packs that carry their mass, under a lifting plan, by those trained "
    "for it; local codes come first.",
)
SIGNED = ("Returned by", "Handed over at", "Taken back by")


@dataclass(frozen=True)
class Returned:
    """Goods that are given back: `quantity` units as sold, money in the supplier's currency."""

    item: Item
    quantity: int
    credit: float
    """For all of them."""


def returns_of(plan: Plan) -> Iterator[tuple[Supplier, list[Returned]]]:
    """Yield every supplier that goods of earlier orders are given back to, and what."""
    found: dict[str, list[Returned]] = {}
    rates = {supplier.name: supplier.exchange_rate for supplier in plan.farm.suppliers}
    for (item, seller), _, back, money in given_back(plan):
        if back:
            credit = money / rates[seller]
            line = Returned(plan.farm.item_by_name[item], back, credit)
            found.setdefault(seller, []).append(line)
    for supplier in plan.farm.suppliers:
        if supplier.name in found:
            yield supplier, found[supplier.name]


def write_returns(book: PlanBook) -> None:
    """Write a return for every supplier that takes goods back."""
    for supplier, lines in returns_of(book.plan):
        write_return(book, supplier, lines)


def title_of(supplier: str) -> str:
    """Return the title of what is given back to a supplier."""
    return clean(f"Return of goods: {supplier}")


def write_return(book: PlanBook, supplier: Supplier, lines: Sequence[Returned]) -> None:
    """Write what one supplier takes back, and what it credits for it."""
    page = book.page(f"Return {supplier.name}")
    width = len(COLUMNS)
    project = book.plan.farm.project
    page.head(
        title_of(supplier.name),
        f"For {project.name}. All prices and credits in {supplier.currency}.",
        across=width,
    )
    page.dated = ""  # its own date stands on it, and may be written over by hand
    page.lead = f"What goes back to {supplier.name}, in {supplier.currency}: to be sent."
    _particulars(book, page, supplier)
    rows = [
        _row(book.plan, page, HEADING_ROW + number, number, line, supplier)
        for number, line in enumerate(lines, start=1)
    ]
    table = page.table(HEADING_ROW, COLUMNS, rows)
    row = table.next_row
    for column in range(1, width + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 2, f"Credit, {supplier.currency}", look=Look.TOTAL)
    masses = [_mass_kg(line) for line in lines]
    for column, kind, value in (
        (MASS, NumberKind.MASS_KG, sum(masses)),
        (CREDIT, NumberKind.MONEY, sum(line.credit for line in lines)),
    ):
        cells = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
        page.put(row, column, Formula(cells, value), kind, Look.TOTAL)
    for at, words in enumerate(SIGNED, start=row + 2):
        page.put(at, 1, words, look=Look.STRONG, across=2)
        page.put(at, 3, "", look=Look.FIELD, across=2)
        page.put(at, 5, "Signature, date", look=Look.STRONG, across=2)
        page.put(at, 7, "", look=Look.FIELD, across=width - 6)
    page.paragraphs(row + len(SIGNED) + 3, NOTES, width, Look.NOTE)
    page.finish(project.name, heading_row=HEADING_ROW, filtered=False)


def _particulars(book: PlanBook, page: Page, supplier: Supplier) -> None:
    """Write who gives back to whom, from where, and of which orders."""
    project = book.plan.farm.project
    orders = [str(sent) for sent in book.plan.sent if sent.supplier == supplier.name]
    left: list[Fact] = [
        ("Buyer", project.buyer, NumberKind.TEXT),
        ("Supplier", addressed(supplier), NumberKind.TEXT),
        ("Supplier's contact", supplier.contact, NumberKind.TEXT),
        ("The goods lie at", project.delivery_place, NumberKind.TEXT),
    ]
    right: list[Fact] = [
        ("Date", project.order_date, NumberKind.DATE),
        ("Of your orders", listed(orders), NumberKind.TEXT),
        ("Credit as agreed, of the price paid", supplier.returns_share, NumberKind.SHARE),
        ("Your credit note", "", NumberKind.TEXT),
    ]
    for side, facts in enumerate((left, right)):
        write_facts(page, facts, LABEL[side], FILLED[side], ACROSS[side])


def _orders(plan: Plan, supplier: str, item: str) -> str:
    """Return the orders to a supplier that an item may come from, by number."""
    mine = [sent for sent in plan.sent if sent.supplier == supplier]
    of_it = [sent for sent in mine if item in sent.items]
    return " or ".join(sent.number for sent in of_it or mine if sent.number) or SENT


def _row(
    plan: Plan, page: Page, row: int, number: int, line: Returned, supplier: Supplier
) -> tuple[Value, ...]:
    paid = line.credit / line.quantity / supplier.returns_share
    at = {column: page.at(row, column) for column in (QUANTITY, PRICE, SHARE)}
    credit = f"{at[QUANTITY]}*{at[PRICE]}*{at[SHARE]}"
    return (
        number,
        line.item.name,
        make_of(plan.farm, line.item),
        _orders(plan, supplier.name, line.item.name),
        line.quantity,
        line.item.sold_as,
        _mass_kg(line),
        paid,
        supplier.returns_share,
        Formula(credit, line.credit),
    )


def _mass_kg(line: Returned) -> float:
    """Return what goods weigh in their packs; a pack filled in part counts as a full one."""
    return line.item.packs(line.quantity) * line.item.pack_kg
