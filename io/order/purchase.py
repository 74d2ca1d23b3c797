"""Purchase orders: one sheet a supplier, whose totals follow when a price is changed."""

from __future__ import annotations

from ...models.answer.plan import Part
from ...models.goods.supplier import Supplier
from ...models.site.project import DutyOn, Project
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind
from ..words.orders import KINDS, Line, duty_of, priced_orders
from .assumptions import setting_cell

COLUMNS = (
    SheetColumn("Line", NumberKind.COUNT),
    SheetColumn("Item", widest=24),
    SheetColumn("Kind", widest=9),
    SheetColumn("Description", widest=40),
    SheetColumn("HS heading", widest=10),
    SheetColumn("Quantity", NumberKind.COUNT),
    SheetColumn("Unit", widest=16),
    SheetColumn("Unit price", NumberKind.PRICE),
    SheetColumn("Extended", NumberKind.MONEY),
    SheetColumn("Duty rate", NumberKind.SHARE_FINE),
    SheetColumn("Duty", NumberKind.MONEY),
    SheetColumn("Packs", NumberKind.COUNT),
    SheetColumn("Gross mass (kg)", NumberKind.MASS_KG),
    SheetColumn("Volume (m³)", NumberKind.VOLUME_M3),
    SheetColumn("Lead time (days)", NumberKind.COUNT),
)
KIND, QUANTITY, PRICE, EXTENDED, DUTY_RATE, DUTY, PACKS, MASS, VOLUME = (
    3, 6, 8, 9, 10, 11, 12, 13, 14,
)  # fmt: skip
"""Columns of the sheet, from 1."""

HEADING_ROW = 9
LABEL, FILLED = (1, 6), (3, 9)
"""Columns of the order's particulars and of what is filled in for them, left and right."""


def write_purchase_orders(book: PlanBook) -> None:
    """Write one order for every supplier that something is bought from."""
    for supplier, lines in priced_orders(book.plan):
        _write_order(book, supplier, lines)


def _write_order(book: PlanBook, supplier: Supplier, lines: list[Line]) -> None:
    """Write one supplier's order and tell the book where its sums are."""
    project = book.plan.farm.project
    page = book.page(f"Order {supplier.name}")
    width = len(COLUMNS)
    page.head(
        f"Purchase order: {supplier.name}",
        f"For {project.name}. All prices in {supplier.currency}. Quantities and unit prices may be "
        "changed: every total here and on the Summary follows.",
        across=width,
    )
    page.lead = f"What to buy from {supplier.name}, in {supplier.currency}."
    rate_at = _particulars(book, page, supplier)
    rate = page.ref(*rate_at)
    top = HEADING_ROW + 1
    table = page.table(
        HEADING_ROW,
        COLUMNS,
        [_row(project, page, top + i, i + 1, ln) for i, ln in enumerate(lines)],
    )
    rows = (table.first, table.last)
    kinds, extended = page.span(*rows, KIND), page.span(*rows, EXTENDED)
    for part in dict.fromkeys(line.part for line in lines):
        book.part_terms[part].append(f'SUMIF({kinds},"{KINDS[part]}",{extended})*{rate}')
    row = table.next_row
    for column in range(1, width + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 4, "Goods", look=Look.TOTAL)
    goods = sum(line.extended for line in lines)
    duty = sum(duty_of(project, line) for line in lines)
    for column, kind, value in (
        (EXTENDED, NumberKind.MONEY, goods),
        (DUTY, NumberKind.MONEY, duty),
        (PACKS, NumberKind.COUNT, sum(line.packs or 0 for line in lines)),
        (MASS, NumberKind.MASS_KG, sum(line.packed_kg or 0.0 for line in lines)),
        (VOLUME, NumberKind.VOLUME_M3, sum(line.packed_m3 or 0.0 for line in lines)),
    ):
        cells = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
        page.put(row, column, Formula(cells, value), kind, Look.TOTAL)
    below = _write_totals(book, page, supplier, row, (goods, duty), rate_at)
    page.paragraphs(below + 1, _notes(book, supplier), width, Look.NOTE)
    page.finish(project.name, heading_row=HEADING_ROW, filtered=False)


def _particulars(book: PlanBook, page: Page, supplier: Supplier) -> tuple[int, int]:
    """Write who orders what for where and when; return the cell of the exchange rate."""
    project = book.plan.farm.project
    term = project.delivery_term
    named = supplier.origin if term is None or term.buyer_carries else project.delivery_place
    left: list[tuple[str, Value, NumberKind]] = [
        ("Buyer", project.buyer, NumberKind.TEXT),
        ("Deliver to", project.delivery_place, NumberKind.TEXT),
        ("Delivery term", f"{term} {term.in_words}" if term else "", NumberKind.TEXT),
        ("At the named place", named, NumberKind.TEXT),
    ]
    rate = f"Rate, {project.currency} per {supplier.currency}"
    right: list[tuple[str, Value, NumberKind]] = [
        ("Order number", None, NumberKind.TEXT),
        ("Order date", project.order_date, NumberKind.DATE),
        ("Required on site", project.required_on_site, NumberKind.DATE),
        (rate, supplier.exchange_rate, NumberKind.EXCHANGE),
    ]
    for side, (lines, across) in enumerate(((left, 3), (right, 4))):
        label, filled = LABEL[side], FILLED[side]
        for row, (words, value, kind) in enumerate(lines, start=4):
            page.put(row, label, words, look=Look.STRONG, across=filled - label)
            page.put(row, filled, value, kind, Look.FIELD, across=across)
    book.term_cells.append((page, 6, FILLED[0]))
    return 7, FILLED[1]


def _write_totals(
    book: PlanBook,
    page: Page,
    supplier: Supplier,
    row: int,
    sums: tuple[float, float],
    rate_at: tuple[int, int],
) -> int:
    """Write what is to be paid to whom, below the goods in `row`; return the row below."""
    goods, duty = sums
    charge = supplier.order_charge if supplier.name in book.plan.order_charges else 0.0
    currency, here = supplier.currency, book.plan.farm.project.currency
    rate = page.at(*rate_at)
    pay = f"{page.at(row, EXTENDED)}+{page.at(row + 1, EXTENDED)}"
    to_customs = f"{page.at(row + 2, EXTENDED)}+{page.at(row + 3, EXTENDED)}"
    in_all = f"{page.at(row + 4, EXTENDED)}*{rate}"
    total = goods + charge + duty
    lines: list[tuple[str, Value, Look]] = [
        ("Order charge", charge, Look.BODY),
        (f"To pay the supplier, {currency}", Formula(pay, goods + charge), Look.TOTAL),
        ("Duty, to customs (estimate)", Formula(page.at(row, DUTY), duty), Look.BODY),
        (f"Total with duty, {currency}", Formula(to_customs, total), Look.TOTAL),
    ]
    if currency != here:
        converted = Formula(in_all, total * supplier.exchange_rate)
        lines.append((f"Total with duty, {here}", converted, Look.STRONG))
    for at, (label, value, look) in enumerate(lines, start=row + 1):
        page.put(at, 4, label, look=look)
        page.put(at, EXTENDED, value, NumberKind.MONEY, look)
    _write_signatures(page, row + 1, book.plan.farm.project.approved_by)
    abroad = page.ref(*rate_at)
    book.part_terms[Part.ORDER_CHARGES].append(f"{page.ref(row + 1, EXTENDED)}*{abroad}")
    book.part_terms[Part.DUTY].append(f"{page.ref(row + 3, EXTENDED)}*{abroad}")
    book.supplier_totals[supplier.name] = (
        Formula(page.ref(row + 2, EXTENDED), goods + charge),
        Formula(f"{page.ref(row + 4, EXTENDED)}*{abroad}", total * supplier.exchange_rate),
    )
    book.supplier_pages[supplier.name] = page
    return row + 1 + len(lines)


def _write_signatures(page: Page, row: int, approved_by: str) -> None:
    """Write the lines to sign on, beside the totals."""
    for at, (label, value) in enumerate(
        (("Approved by", approved_by), ("Signature", ""), ("Date", "")), start=row + 1
    ):
        page.put(at, DUTY, label, look=Look.STRONG)
        page.put(at, PACKS, value, look=Look.FIELD, across=len(COLUMNS) + 1 - PACKS)


def _notes(book: PlanBook, supplier: Supplier) -> list[str]:
    """Return what both sides must know besides the lines."""
    term = book.plan.farm.project.delivery_term
    notes = [
        "Freight and insurance are not in these totals: see Freight bookings and the Summary. A "
        "part-filled pack counts as a whole one in mass and volume. Delivery terms are those of "
        "Incoterms 2020, at the named place. The importer answers for the customs codes: HS "
        "headings are the catalogue's.",
    ]
    if book.plan.farm.project.duty_on is DutyOn.LANDED:
        notes.append(
            "Duty here is on the price and its insurance; that on the freight is in Freight "
            "bookings."
        )
    if term is not None and not term.buyer_carries:
        notes.append(
            f"Mind: under {term} the supplier pays the carriage, which the freight priced here "
            f"from {supplier.origin} would pay again. Ask for prices at {supplier.origin} (EXW, "
            "FCA, FAS or FOB), or take this supplier's freight out."
        )
    return notes


def _row(project: Project, page: Page, row: int, number: int, line: Line) -> tuple[Value, ...]:
    """Return the cells of one line; extended and duty are live."""
    extended = Formula(f"{page.at(row, QUANTITY)}*{page.at(row, PRICE)}", line.extended)
    dutiable = f"{page.at(row, EXTENDED)}*{page.at(row, DUTY_RATE)}"
    if project.duty_on is DutyOn.LANDED:
        dutiable += f"*(1+{setting_cell('insurance_share')})"
    duty = Formula(dutiable, duty_of(project, line))
    return (
        number,
        line.item,
        KINDS[line.part],
        line.description,
        line.hs_heading,
        line.quantity,
        line.unit,
        line.price,
        extended,
        line.duty_share,
        duty,
        line.packs,
        line.packed_kg,
        line.packed_m3,
        line.lead_time_days,
    )
