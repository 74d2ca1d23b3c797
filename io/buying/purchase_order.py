"""Purchase orders: one sheet a supplier, fit to be sent: nothing on it that is not for its eyes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from ...models.answer.change import SentOrder
from ...models.answer.packing_list import dates_of, split_offers
from ...models.answer.plan import Part, Plan
from ...models.goods.item import ItemKind, OfferKey
from ...models.goods.supplier import Supplier
from ..paper.book import Carried, OrderedLine, PlanBook
from ..paper.page import Formula, HandWritten, Page, SheetColumn, Value, written_over
from ..paper.style import Look
from ..words.certificates import certificates
from ..words.grammar import clean, listed
from ..words.kinds import NumberKind
from ..words.orders import KINDS, Line, order_numbers, orders_to_send, priced_orders, sent_before
from ..words.unpriced import sizes_words

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
    SheetColumn("In a pack", NumberKind.COUNT),
    SheetColumn("Packs", NumberKind.COUNT),
    SheetColumn("Gross mass (kg)", NumberKind.MASS_KG),
    SheetColumn("Volume (m³)", NumberKind.VOLUME_M3),
    SheetColumn("Marks", widest=20),
    SheetColumn("Ready by", NumberKind.DATE),
)
QUANTITY, PRICE, EXTENDED, IN_A_PACK, PACKS, MASS, VOLUME = 6, 8, 9, 10, 11, 12, 13
"""Columns of the sheet, from 1."""

HEADING_ROW = 11
LABEL, FILLED = (1, 8), (3, 10)
"""Columns of the order's particulars and of what is filled in for them, left and right."""
NUMBER_CELL = (4, FILLED[1])
"""Where the order's number stands."""
DATE_CELL = (5, FILLED[1])
TERM_CELL = (7, FILLED[0])

Fact = tuple[str, Value, NumberKind]
"""A particular: its words, and what is filled in beside them."""

KEPT = (
    "Not to be sent: what is kept of goods ordered before, at what giving it back would have paid. "
)
ADDITIONAL = (
    "In addition to order {before}, which stands: what is listed here is wanted beyond what was "
    "ordered then."
)
PACKING = (
    "Packing. Every pack carries its mark: the order's number, the line, and the number of the "
    "pack. Write on each its gross mass, where it is slung and, where it matters, this side up. A "
    "pack that is filled in part counts as a full one in mass and volume."
)
TERMS = (
    "Terms. The delivery term is that of Incoterms 2020, at the named place. HS headings are the "
    "catalogue's: whoever declares the goods answers for them."
)
ANSWER = (
    "Please confirm within a week: quantities, prices, the day on which the goods are ready, and "
    "the sides and gross mass of every pack."
)


def write_purchase_orders(book: PlanBook) -> None:
    """Write one order for every supplier that something is bought from."""
    for supplier, lines in priced_orders(book.plan):
        write_purchase_order(book, supplier, lines)


def write_purchase_order(book: PlanBook, supplier: Supplier, lines: list[Line]) -> None:
    """Write one supplier's order and tell the book where its figures are."""
    page = book.page(f"Order {supplier.name}")
    width = len(COLUMNS)
    project = book.plan.farm.project
    page.head(
        title_of(supplier.name),
        f"{KEPT if supplier.ordered_before else ''}For {project.name}. All prices and totals in "
        f"{supplier.currency}.",
        across=width,
    )
    page.dated = ""  # its own date stands on it, and may be written over by hand
    page.lead = f"What to buy from {supplier.name}, in {supplier.currency}: to be sent."
    number = numbers_by_hand(book)[supplier.name]
    book.number_cells[supplier.name] = page.ref(*NUMBER_CELL)
    if before := sent_before(book.plan, supplier.name):
        page.put(3, 1, ADDITIONAL.format(before=before), look=Look.STRONG, across=width)
    _particulars(book, page, supplier, lines, number)
    top = HEADING_ROW + 1
    spans = _spans(lines, top)
    table = page.table(
        HEADING_ROW,
        COLUMNS,
        [
            _row(book, page, top + i, i + 1, line, supplier.name, number, spans)
            for i, line in enumerate(lines)
        ],
    )
    for row, line in enumerate(lines, start=top):
        book.ordered.append(
            OrderedLine(supplier.name, line, page.ref(row, QUANTITY), page.ref(row, EXTENDED))
        )
        if line.goods is not None and line.packs is not None:
            book.carried[line.item, supplier.name] = Carried(
                page.ref(row, PACKS), page.ref(row, MASS), page.ref(row, VOLUME)
            )
    row = table.next_row
    for column in range(1, width + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 4, "Goods", look=Look.TOTAL)
    goods = sum(line.extended for line in lines)
    for column, kind, value in (
        (EXTENDED, NumberKind.MONEY, goods),
        (PACKS, NumberKind.COUNT, sum(line.packs or 0 for line in lines)),
        (MASS, NumberKind.MASS_KG, sum(line.packed_kg or 0.0 for line in lines)),
        (VOLUME, NumberKind.VOLUME_M3, sum(line.packed_m3 or 0.0 for line in lines)),
    ):
        cells = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
        page.put(row, column, Formula(cells, value), kind, Look.TOTAL)
    charge = supplier.order_charge if supplier.name in book.plan.order_charges else 0.0
    page.put(row + 1, 4, "Order charge")
    page.put(row + 1, EXTENDED, charge, NumberKind.MONEY)
    page.put(row + 2, 4, f"To pay, {supplier.currency}", look=Look.TOTAL)
    pay = Formula(f"{page.at(row, EXTENDED)}+{page.at(row + 1, EXTENDED)}", goods + charge)
    page.put(row + 2, EXTENDED, pay, NumberKind.MONEY, Look.TOTAL)
    book.charges[supplier.name] = page.ref(row + 1, EXTENDED)
    book.supplier_pages[supplier.name] = page
    _write_signatures(page, row + 1, project.approved_by)
    kinds = {line.goods.kind for line in lines if line.goods is not None}
    anchors = [
        book.plan.farm.anchor_by_name[line.item]
        for line in lines
        if line.goods is not None and line.goods.kind is ItemKind.ANCHOR
    ]
    asked = certificates(kinds, anchors)
    page.put(row + 5, 1, "Certificates asked for", look=Look.SECTION, across=width)
    below = page.paragraphs(row + 6, asked, width, Look.BODY)
    assumed = sizes_words(book.plan.farm, [line.item for line in lines])
    notes = [*filter(None, [assumed]), PACKING, TERMS, ANSWER]
    page.paragraphs(below + 1, notes, width, Look.NOTE)
    page.finish(project.name, heading_row=HEADING_ROW, filtered=False)


def numbers_by_hand(book: PlanBook) -> dict[str, str]:
    """Return supplier → its order's number: ours, or what a hand has written over it."""
    return {
        name: str(book.by_hand(title_of(name), *NUMBER_CELL, number) or "")
        for name, number in order_numbers(book.plan).items()
    }


def sent_by(plan: Plan, hand: HandWritten) -> tuple[SentOrder, ...]:
    """Return the orders that a plan's suppliers are sent, as a hand has numbered and dated them."""
    found = []
    for supplier, lines in orders_to_send(plan):
        title = title_of(supplier.name)
        number = order_numbers(plan)[supplier.name]
        number = str(written_over(hand, title, *NUMBER_CELL, number) or "")
        day = written_over(hand, title, *DATE_CELL, plan.farm.project.order_date)
        if isinstance(day, datetime):
            day = day.date()
        items = dict.fromkeys(line.item for line in lines if line.goods is not None)
        dated = day if isinstance(day, date) else None
        found.append(SentOrder(supplier.name, number, dated, tuple(items)))
    return tuple(found)


def title_of(supplier: str) -> str:
    """Return the title of a supplier's order."""
    return clean(f"Purchase order: {supplier}")


def _particulars(
    book: PlanBook, page: Page, supplier: Supplier, lines: list[Line], number: str
) -> None:
    """Write who orders what of whom, on which terms, for where and when."""
    project = book.plan.farm.project
    term = supplier.delivery_term or project.delivery_term
    buyer_carries = term is None or term.buyer_carries
    # Goods taken as delivered: nobody has said yet where they are handed over, or who carries them.
    fetched = buyer_carries and book.plan.farm.freight_priced
    unknown = not fetched and "origin" in supplier.stood_in
    place = ("" if unknown else supplier.origin) if buyer_carries else project.delivery_place
    dates = [_ready(book, (line.item, supplier.name)) for line in lines if line.goods is not None]
    known = [day for day in dates if day is not None]
    left: list[Fact] = [
        ("Buyer", project.buyer, NumberKind.TEXT),
        ("Supplier", addressed(supplier), NumberKind.TEXT),
        ("Supplier's contact", supplier.contact, NumberKind.TEXT),
        ("Delivery term", f"{term} {term.in_words}" if term else "", NumberKind.TEXT),
        ("At the named place", place, NumberKind.TEXT),
        ("Carried by", _carrier(book, supplier) if fetched else "", NumberKind.TEXT),
    ]
    right: list[Fact] = [
        ("Order number", number, NumberKind.TEXT),
        ("Order date", project.order_date, NumberKind.DATE),
        ("Your quotation", _quoted(book, supplier, lines), NumberKind.TEXT),
        ("Payment terms", supplier.payment_terms or project.payment_terms, NumberKind.TEXT),
        ("All ready by", max(known) if known else None, NumberKind.DATE),
        ("Consignee", _consignee(book), NumberKind.TEXT),
    ]
    write_facts(page, left, LABEL[0], FILLED[0], 4)
    write_facts(page, right, LABEL[1], FILLED[1], 6)
    book.term_cells.append((page, *TERM_CELL))


def addressed(supplier: Supplier) -> str:
    """Return a supplier's name, and its address where that is known."""
    return ", ".join(filter(None, (supplier.name, supplier.address)))


def write_facts(page: Page, facts: Sequence[Fact], label: int, filled: int, across: int) -> None:
    """Write particulars below one another, from row 4 on, each value in a field beside its words;
    label, filled : their columns. across : columns of a field."""
    for row, (words, value, kind) in enumerate(facts, start=4):
        page.put(row, label, words, look=Look.STRONG, across=filled - label)
        page.put(row, filled, value, kind, Look.FIELD, across=across)


def _quoted(book: PlanBook, supplier: Supplier, lines: list[Line]) -> str:
    """Return the supplier's quotations that the lines are bought by, and until when each stands."""
    offers = [
        book.plan.farm.offer_by_key[line.item, supplier.name]
        for line in lines
        if line.goods is not None
    ]
    quoted = {
        (offer.quotation, offer.valid_until): None for offer in offers if offer.quotation.strip()
    }
    return "; ".join(f"{name}, valid until {until}" if until else name for name, until in quoted)


def _consignee(book: PlanBook) -> str:
    project = book.plan.farm.project
    return ", ".join(filter(None, (project.buyer.split(";")[0], project.delivery_place)))


def _carrier(book: PlanBook, supplier: Supplier) -> str:
    """Return who fetches this supplier's goods, as far as it is known."""
    farm = book.plan.farm
    bought = {order.item for order in book.plan.orders if order.supplier == supplier.name}
    fetch = [
        farm.service_by_name[booking.service]
        for booking in book.plan.bookings
        if any(item in bought and of == supplier.name for item, of, _ in booking.packs)
    ]
    named = list(dict.fromkeys(service.forwarder for service in fetch if service.forwarder))
    return f"the buyer's forwarder, {listed(named)}" if named else "the buyer's forwarder"


def _ready(book: PlanBook, key: OfferKey) -> date | None:
    """Return the day on which an offer's goods must be ready, else that on which they can be."""
    dates = dates_of(book.plan, key)
    return dates.ready_by or dates.ready_from


def _write_signatures(page: Page, row: int, approved_by: str) -> None:
    """Write the lines to sign on, beside the totals."""
    for at, (label, value) in enumerate(
        (("Ordered by", approved_by), ("Signature, date", ""), ("Accepted by supplier", "")),
        start=row,
    ):
        page.put(at, PACKS, label, look=Look.STRONG, across=3)
        page.put(at, VOLUME + 1, value, look=Look.FIELD, across=len(COLUMNS) - VOLUME)


def _spans(lines: list[Line], top: int) -> dict[str, tuple[int, int]]:
    """Return item → the first and last row of its lines: an incremental price has several."""
    spans: dict[str, tuple[int, int]] = {}
    for row, line in enumerate(lines, start=top):
        spans[line.item] = (spans.get(line.item, (row, row))[0], row)
    return spans


def _row(
    book: PlanBook,
    page: Page,
    row: int,
    number: int,
    line: Line,
    supplier: str,
    order: str,
    spans: dict[str, tuple[int, int]],
) -> tuple[Value, ...]:
    """Return the cells of one line; what follows from its quantity and price is live."""
    extended = Formula(f"{page.at(row, QUANTITY)}*{page.at(row, PRICE)}", line.extended)
    packed: tuple[Value, ...] = (None, None, None, None, "", None)
    if line.goods is not None and line.packs is not None:
        key = (line.item, supplier)
        first, last = spans[line.item]
        bought = f"SUM({page.at(first, QUANTITY)}:{page.at(last, QUANTITY)})"
        ready: Value = _ready(book, key)
        if ready is None and line.lead_time_days is not None:
            ready = f"{line.lead_time_days} days from order"
        marks = Formula(f'{page.at(*NUMBER_CELL)}&"/{number}"', f"{order}/{number}")
        packed = (*_packed(book, page, row, line, key, bought), marks, ready)
    return (
        number,
        line.item,
        KINDS[line.part] if line.part is not Part.JOINS else "connector",
        line.description,
        line.hs_heading,
        line.quantity,
        line.unit,
        line.price,
        extended,
        *packed,
    )


def _packed(
    book: PlanBook, page: Page, row: int, line: Line, key: OfferKey, bought: str
) -> tuple[Value, ...]:
    """Return the packs, their mass and volume; live, but for packs that go by several ways."""
    assert line.packs is not None
    assert line.packed_kg is not None
    assert line.packed_m3 is not None
    goods = book.plan.farm.item_by_name[line.item]
    packs: Value = line.packs
    if key not in split_offers(book.plan):
        packs = Formula(f"ROUNDUP({bought}/{page.at(row, IN_A_PACK)},0)", line.packs)
    counted = f"ROUNDUP({bought}/{goods.pack_quantity},0)"
    return (
        line.in_a_pack,
        packs,
        Formula(f"{counted}*{goods.pack_kg!r}", line.packed_kg),
        Formula(f"{counted}*{goods.pack_m3!r}", line.packed_m3),
    )
