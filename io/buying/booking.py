"""Bookings: for each forwarder what is to be carried, pack by pack, from whom and by when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...models.answer.packing_list import SentPacks, dates_of, packing_list
from ...models.answer.plan import Booking, Plan
from ...models.goods.freight import Basis
from ...models.goods.item import OfferKey
from ..paper.book import PlanBook, unchanged
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind
from ..words.orders import priced_orders
from ..words.unpriced import sizes_words
from .purchase_order import numbers_by_hand

SERVICES = (
    SheetColumn("Service", widest=26),
    SheetColumn("From", widest=24),
    SheetColumn("Charged by", widest=18),
    SheetColumn("Containers", NumberKind.COUNT),
    SheetColumn("Packs", NumberKind.COUNT),
    SheetColumn("Volume (m³)", NumberKind.VOLUME_M3),
    SheetColumn("Mass (t)", NumberKind.MASS_T),
    SheetColumn("Revenue tonnes", NumberKind.MASS_T),
    SheetColumn("Your rate", NumberKind.PRICE),
    SheetColumn("Currency", widest=9),
    SheetColumn("Charge as quoted", NumberKind.MONEY),
    SheetColumn("Transit (days)", NumberKind.COUNT),
)

PACKS = (
    SheetColumn("Supplier", widest=26),
    SheetColumn("Item", widest=24),
    SheetColumn("Marks", widest=18),
    SheetColumn("Pack numbers", widest=12),
    SheetColumn("Packs", NumberKind.COUNT),
    SheetColumn("In each", NumberKind.COUNT),
    SheetColumn("Length (mm)", NumberKind.COUNT),
    SheetColumn("Width (mm)", NumberKind.COUNT),
    SheetColumn("Height (mm)", NumberKind.COUNT),
    SheetColumn("Each (kg)", NumberKind.MASS_KG),
    SheetColumn("All (kg)", NumberKind.MASS_KG),
    SheetColumn("All (m³)", NumberKind.VOLUME_M3),
    SheetColumn("Stacking", widest=20),
    SheetColumn("Ready from", NumberKind.DATE),
    SheetColumn("Leaves by", NumberKind.DATE),
)
COUNT, IN_EACH, EACH_KG, ALL_KG, ALL_M3 = 5, 6, 10, 11, 12

HEADING_ROW = 8
LABEL, FILLED = (1, 7), (2, 10)

CHANGED = "THE ORDERS HAVE CHANGED SINCE: price again before this is sent."

NOTES = (
    "Sides are length × width × height. Blank sides: the supplier states them, and says so to you "
    "and to us. A box or crate of small goods holds one item only. Gross masses are the "
    "catalogue's: the supplier weighs.",
    "Securing, dunnage and lifting are the carrier's and the packer's, by the rules of the road, "
    "of the sea (the CTU Code among them) and of the place; nobody stands below a load. Tell us "
    "before anything is stowed that must not be stacked, turned or carried so.",
)


def forwarders(plan: Plan) -> dict[str, list[Booking]]:
    """Return the bookings of each forwarder; a service without one stands under its own name.

    None where freight is not priced: nobody is named who carries the goods.
    """
    by: dict[str, list[Booking]] = {}
    if not plan.farm.freight_priced:
        return by
    for booking in plan.bookings:
        service = plan.farm.service_by_name[booking.service]
        by.setdefault(service.forwarder or service.name, []).append(booking)
    return by


def write_booking_lists(book: PlanBook) -> None:
    """Write a sheet for every forwarder."""
    for forwarder, bookings in forwarders(book.plan).items():
        write_booking_list(book, forwarder, bookings)


def write_booking_list(book: PlanBook, forwarder: str, bookings: Sequence[Booking]) -> None:
    """Write what one forwarder is to book, and every pack of it."""
    plan = book.plan
    project = plan.farm.project
    page = book.page(f"Booking {forwarder}")
    width = len(PACKS)
    page.head(
        f"Booking and packing list: {forwarder}",
        "Please book the services below, for the packs listed.",
        of=project.name,
        across=width,
    )
    page.lead = f"What {forwarder} is to carry, pack by pack: to be sent."
    facts: tuple[tuple[str, Value, NumberKind], ...] = (
        ("Consignee", project.buyer, NumberKind.TEXT),
        ("Deliver to", project.delivery_place, NumberKind.TEXT),
        ("Wanted on site by", project.wanted_by, NumberKind.DATE),
        ("Booking number", "", NumberKind.TEXT),
    )
    for index, (label, value, kind) in enumerate(facts):
        row, side = 4 + index // 2, index % 2
        page.put(row, LABEL[side], label, look=Look.STRONG, across=FILLED[side] - LABEL[side])
        across = 4 if side == 0 else 6
        page.put(row, FILLED[side], value, kind, Look.FIELD, across=across)
    flags = [book.booking_flags[b.service] for b in bookings if b.service in book.booking_flags]
    flag = unchanged(flags, CHANGED)
    if flag is not None:
        page.put(6, 1, flag, look=Look.STRONG, across=width)
    sent = [packs for packs in packing_list(plan) if packs.service in {b.service for b in bookings}]
    services = [_service(plan, booking, sent) for booking in bookings]
    row = page.table(HEADING_ROW, SERVICES, services).next_row
    page.put(row + 1, 1, "Packing list", look=Look.SECTION, across=width)
    top = row + 3
    rows = list(_rows(book, page, top, sent))
    table = page.table(top - 1, PACKS, rows)
    row = table.next_row
    for column in range(1, width + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    sums = (
        (COUNT, NumberKind.COUNT, sum(packs.packs for packs in sent)),
        (ALL_KG, NumberKind.MASS_KG, sum(packs.packs * packs.mass_kg for packs in sent)),
        (ALL_M3, NumberKind.VOLUME_M3, sum(packs.packs * packs.volume_m3 for packs in sent)),
    )
    for column, kind, value in sums:
        cells = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
        page.put(row, column, Formula(cells, value), kind, Look.TOTAL)
    page.put(row + 2, 1, "Where to collect", look=Look.SECTION, across=width)
    row = _write_suppliers(plan, page, row + 3, sent)
    if assumed := sizes_words(plan.farm, [packs.item for packs in sent]):
        row = page.paragraphs(row + 1, [assumed], width, Look.STRONG) - 1
    page.paragraphs(row + 1, NOTES, width, Look.NOTE)
    page.finish(project.name, heading_row=table.heading_row, freeze=False)


def _service(plan: Plan, booking: Booking, sent: Sequence[SentPacks]) -> tuple[Value, ...]:
    """Return the cells of one service to book; its money is what the forwarder quoted."""
    service = plan.farm.service_by_name[booking.service]
    by_container = service.basis is Basis.CONTAINER
    return (
        booking.service,
        booking.origin,
        "container" if by_container else "revenue tonne",
        booking.containers if by_container else None,
        sum(packs.packs for packs in sent if packs.service == booking.service),
        booking.volume_m3,
        booking.tonnes,
        None if by_container else booking.revenue_tonnes,
        service.rate,
        service.currency,
        booking.money / service.exchange_rate,
        service.transit_days,
    )


def _lines(plan: Plan) -> dict[OfferKey, int]:
    """Return item and supplier → the line of the order that it stands on."""
    places: dict[OfferKey, int] = {}
    for supplier, lines in priced_orders(plan):
        for number, line in enumerate(lines, start=1):
            if line.packs is not None:
                places.setdefault((line.item, supplier.name), number)
    return places


def _rows(
    book: PlanBook, page: Page, top: int, sent: Sequence[SentPacks]
) -> Iterator[tuple[Value, ...]]:
    """Yield a row for like packs, by supplier and item."""
    plan = book.plan
    lines, numbers = _lines(plan), numbers_by_hand(book)
    order = {name: place for place, name in enumerate(numbers)}
    known = [packs for packs in sent if (packs.item, packs.supplier) in lines]
    known.sort(key=lambda packs: (order[packs.supplier], lines[packs.item, packs.supplier]))
    for row, packs in enumerate(known, start=top):
        supplier, key = packs.supplier, (packs.item, packs.supplier)
        dates = dates_of(plan, key)
        mass = Formula(
            f"{page.at(row, COUNT)}*{page.at(row, EACH_KG)}", packs.packs * packs.mass_kg
        )
        which = f"{packs.first}" if packs.packs == 1 else f"{packs.first} to {packs.last}"
        yield (
            supplier,
            packs.item,
            _mark(book, supplier, f"{numbers[supplier]}", lines[key]),
            which,
            packs.packs,
            packs.units,
            *(packs.sides_mm or (None, None, None)),
            packs.mass_kg,
            mass,
            packs.packs * packs.volume_m3,
            _stacking(packs),
            dates.ready_from,
            dates.ready_by,
        )


def _mark(book: PlanBook, supplier: str, number: str, line: int) -> Value:
    """Return the mark of a line's packs: live where the order stands in the same workbook."""
    mark = f"{number}/{line}"
    cell = book.number_cells.get(supplier)
    return mark if cell is None else Formula(f'{cell}&"/{line}"', mark)


def _stacking(packs: SentPacks) -> str:
    """Return how a pack may stand, in words."""
    said = []
    if packs.this_side_up:
        said.append("this side up")
    if not packs.stackable:
        said.append("nothing on top")
    elif packs.most_on_top_kg is not None:
        said.append(f"at most {packs.most_on_top_kg:,.0f} kg on top")
    else:
        said.append("may be stacked")
    return ", ".join(said)


def _write_suppliers(plan: Plan, page: Page, row: int, sent: Sequence[SentPacks]) -> int:
    """Write where each supplier's goods are collected; return the row below."""
    names = {packs.supplier for packs in sent}
    for supplier in plan.farm.suppliers:
        if supplier.name in names:
            said = supplier.origin.casefold() in supplier.address.casefold()
            origin = "" if said else supplier.origin
            where = ", ".join(filter(None, (supplier.address, origin, supplier.contact)))
            page.put(row, 1, supplier.name, look=Look.STRONG)
            page.put(row, 2, where, across=len(PACKS) - 1)
            row += 1
    return row
