"""Purchase orders: one sheet a supplier, whose totals follow when a price is changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from ..models.answer.plan import OrderLine, Part, Plan
from ..models.farm import Farm
from ..models.goods.anchor import TransportForm
from ..models.goods.item import Item
from ..models.goods.item import Kind as ItemKind
from ..models.goods.price import Scheme
from ..models.goods.supplier import Supplier
from .page import Column, Formula, Page, Value
from .plan_book import PlanBook
from .style import Look
from .words.kinds import Kind

COLUMNS = (
    Column("Line", Kind.COUNT),
    Column("Item", widest=24),
    Column("Kind", widest=9),
    Column("Description", widest=40),
    Column("HS heading", widest=10),
    Column("Quantity", Kind.COUNT),
    Column("Unit", widest=16),
    Column("Unit price", Kind.PRICE),
    Column("Extended", Kind.MONEY),
    Column("Duty rate", Kind.SHARE_FINE),
    Column("Duty", Kind.MONEY),
    Column("Packs", Kind.COUNT),
    Column("Gross mass (kg)", Kind.MASS_KG),
    Column("Volume (m³)", Kind.VOLUME_M3),
    Column("Lead time (days)", Kind.COUNT),
)
KIND, QUANTITY, PRICE, EXTENDED, DUTY_RATE, DUTY, PACKS, MASS, VOLUME = (
    3, 6, 8, 9, 10, 11, 12, 13, 14,
)  # fmt: skip
"""Columns of the sheet, from 1."""

HEADING_ROW = 9
LABEL, FILLED = (1, 6), (3, 9)
"""Columns of the order's particulars and of what is filled in for them, left and right."""

PART_OF_KIND = {
    "anchor": Part.ANCHORS,
    "chain": Part.CHAIN,
    "rope": Part.ROPE,
    "fitting": Part.FITTINGS,
    "join": Part.JOINS,
}
"""The Kind column's words, and the part of the cost that each is summed in."""


@dataclass(frozen=True)
class Line:
    """One printed line: `quantity` units at one price, in the supplier's currency."""

    item: str
    kind: str
    description: str
    hs_heading: str
    quantity: int
    unit: str
    price: float
    duty_share: float
    packs: int | None
    packed_kg: float | None
    packed_m3: float | None
    lead_time_days: int | None

    @property
    def extended(self) -> float:
        """Quantity × unit price."""
        return self.quantity * self.price


def write_purchase_orders(book: PlanBook) -> None:
    """Write one order for every supplier that something is bought from."""
    for supplier, lines in priced_orders(book.plan):
        _write_order(book, supplier, lines)


def priced_orders(plan: Plan) -> Iterator[tuple[Supplier, list[Line]]]:
    """Yield every supplier that something is bought from, and the lines of its order."""
    joins = _joins(plan)
    for supplier in plan.farm.suppliers:
        lines = [
            line
            for order in plan.orders
            if order.supplier == supplier.name and order.quantity > 0
            for line in order_lines(plan.farm, order)
        ]
        lines += [
            _join_line(plan.farm, plan.farm.item_by_name[chain], count)
            for chain, count in joins.items()
            if plan.farm.item_by_name[chain].supplier == supplier.name
        ]
        if lines:
            yield supplier, lines


def order_lines(farm: Farm, order: OrderLine) -> list[Line]:
    """Return the lines of one order: one, or one for each bracket of an incremental price."""
    item = farm.item_by_name[order.item]
    brackets = [b for b in item.prices.brackets if b.first <= order.quantity]
    if item.prices.scheme is Scheme.ALL_UNITS:
        parts = [(order.quantity, brackets[-1].price, "")]
    else:
        parts = []
        for bracket in brackets:
            last = order.quantity if bracket.last is None else min(order.quantity, bracket.last)
            note = f"; units {bracket.first} to {last} of {order.quantity}"
            parts.append(
                (last - bracket.first + 1, bracket.price, note if len(brackets) > 1 else "")
            )
    packs = item.packs(order.quantity)
    lines = []
    for index, (quantity, price, note) in enumerate(parts):
        first = index == 0
        lines.append(
            Line(
                item=item.name,
                kind=item.kind.value,
                description=_description(farm, item, price) + note,
                hs_heading=_hs_heading(farm, item),
                quantity=quantity,
                unit=item.sold_as,
                price=price,
                duty_share=item.duty_share,
                packs=packs if first else None,
                packed_kg=packs * item.pack_kg if first else None,
                packed_m3=packs * item.pack_m3 if first else None,
                lead_time_days=item.lead_time_days if first else None,
            )
        )
    return lines


def _description(farm: Farm, item: Item, price: float) -> str:
    """Return what a supplier needs to know of an item, besides its name."""
    if item.kind is ItemKind.ANCHOR:
        anchor = farm.anchor_by_name[item.name]
        folds = ", folds for transport" if anchor.transport_form is TransportForm.FOLDING else ""
        sides = " × ".join(
            f"{side:g}"
            for side in (anchor.pack_length_mm, anchor.pack_width_mm, anchor.pack_height_mm)
        )
        return (
            f"{anchor.family} anchor, {anchor.mass_kg:g} kg{folds}; "
            f"packs of {anchor.pack_quantity}, {sides} mm"
        )
    if item.kind is ItemKind.FITTING:
        fitting = next(f for f in farm.fittings if f.name == item.name)
        return f"breaking load {fitting.breaking_load_kn:g} kN, {fitting.mass_kg:g} kg each"
    line = farm.chain_by_name.get(item.name) or farm.rope_by_name[item.name]
    per_m = price / item.length_sold_m
    return (
        f"{item.kind}, {line.diameter_mm:g} mm, {line.mass_kg_per_m:g} kg/m, "
        f"breaking load {line.breaking_load_kn:g} kN; "
        f"{per_m:,.4f}".rstrip("0").rstrip(".")
        + f" {item.currency} per m"
    )


def _hs_heading(farm: Farm, item: Item) -> str:
    """Return an item's customs heading, as its catalogue has it."""
    if item.kind is ItemKind.ANCHOR:
        return farm.anchor_by_name[item.name].hs_heading
    if item.kind is ItemKind.FITTING:
        return next(f for f in farm.fittings if f.name == item.name).hs_heading
    return (farm.chain_by_name.get(item.name) or farm.rope_by_name[item.name]).hs_heading


def _joins(plan: Plan) -> dict[str, int]:
    """Return the joins to make in each chain; one that costs nothing still needs its link."""
    parts = {
        (cut.item, piece.leg, piece.line): piece.parts for cut in plan.cuts for piece in cut.pieces
    }
    joins: Counter[str] = Counter()
    for (chain, _, _), pieces in parts.items():
        joins[chain] += pieces - 1
    return {chain: count for chain, count in joins.items() if count}


def _join_line(farm: Farm, item: Item, count: int) -> Line:
    """Return the line for the connectors that join a chain's pieces."""
    breaking_load = farm.chain_by_name[item.name].breaking_load_kn
    unpriced = "" if item.join_cost else "; no join cost is given: agree it with the supplier"
    return Line(
        item=f"Connector for {item.name}",
        kind="join",
        description=(
            "connecting link for joining two pieces, as the cutting list shows; as strong as the "
            f"chain ({breaking_load:g} kN){unpriced}"
        ),
        hs_heading=farm.chain_by_name[item.name].hs_heading,
        quantity=count,
        unit="each",
        price=item.join_cost / item.exchange_rate,
        duty_share=0.0,
        packs=None,
        packed_kg=None,
        packed_m3=None,
        lead_time_days=None,
    )


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
        HEADING_ROW, COLUMNS, [_row(page, top + i, i + 1, ln) for i, ln in enumerate(lines)]
    )
    rows = (table.first, table.last)
    kinds, extended = page.span(*rows, KIND), page.span(*rows, EXTENDED)
    for kind in dict.fromkeys(line.kind for line in lines):
        part = PART_OF_KIND[kind]
        book.part_terms[part].append(f'SUMIF({kinds},"{kind}",{extended})*{rate}')
    row = table.next_row
    for column in range(1, width + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 4, "Goods", look=Look.TOTAL)
    goods = sum(line.extended for line in lines)
    duty = sum(line.extended * line.duty_share for line in lines)
    for column, kind, value in (
        (EXTENDED, Kind.MONEY, goods),
        (DUTY, Kind.MONEY, duty),
        (PACKS, Kind.COUNT, sum(line.packs or 0 for line in lines)),
        (MASS, Kind.MASS_KG, sum(line.packed_kg or 0.0 for line in lines)),
        (VOLUME, Kind.VOLUME_M3, sum(line.packed_m3 or 0.0 for line in lines)),
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
    left: list[tuple[str, Value, Kind]] = [
        ("Buyer", project.buyer, Kind.TEXT),
        ("Deliver to", project.delivery_place, Kind.TEXT),
        ("Delivery term", f"{term} {term.in_words}" if term else "", Kind.TEXT),
        ("At the named place", named, Kind.TEXT),
    ]
    rate = f"Rate, {project.currency} per {supplier.currency}"
    right: list[tuple[str, Value, Kind]] = [
        ("Order number", None, Kind.TEXT),
        ("Order date", project.order_date, Kind.DATE),
        ("Required on site", project.required_on_site, Kind.DATE),
        (rate, supplier.exchange_rate, Kind.EXCHANGE),
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
        page.put(at, EXTENDED, value, Kind.MONEY, look)
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
    if term is not None and not term.buyer_carries:
        notes.append(
            f"Mind: under {term} the supplier pays the carriage, which the freight priced here "
            f"from {supplier.origin} would pay again. Ask for prices at {supplier.origin} (EXW, "
            "FCA, FAS or FOB), or take this supplier's freight out."
        )
    return notes


def _row(page: Page, row: int, number: int, line: Line) -> tuple[Value, ...]:
    """Return the cells of one line; extended and duty are live."""
    extended = Formula(f"{page.at(row, QUANTITY)}*{page.at(row, PRICE)}", line.extended)
    duty = Formula(
        f"{page.at(row, EXTENDED)}*{page.at(row, DUTY_RATE)}", line.extended * line.duty_share
    )
    return (
        number,
        line.item,
        line.kind,
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
