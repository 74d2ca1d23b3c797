"""Freight bookings: what to book, what goes in it, and what it costs."""

from __future__ import annotations

from dataclasses import replace

from ..models.freight import Basis, FreightService
from ..models.plan import Booking, Part
from .page import Column, Formula, Page, Value
from .plan_book import PlanBook
from .style import Kind, Look

HEADING_ROW = 4

COLUMNS = (
    Column("Origin", widest=18),
    Column("Service", widest=22),
    Column("Charged by", widest=12),
    Column("Containers", Kind.COUNT),
    Column("Packs", Kind.COUNT),
    Column("Volume (m³)", Kind.VOLUME_M3),
    Column("Mass (t)", Kind.MASS_T),
    Column("Revenue tonnes", Kind.MASS_T),
    Column("Rate", Kind.PRICE),
    Column("Least charge", Kind.MONEY),
    Column("Fixed charge", Kind.MONEY),
    Column("Currency", widest=9),
    Column("Charge", Kind.MONEY),
    Column("Exchange rate", Kind.EXCHANGE),
    Column("Charge ({currency})", Kind.MONEY),
    Column("Volume used", Kind.SHARE),
    Column("Payload used", Kind.SHARE),
)
CONTAINERS, REVENUE, RATE, LEAST, FIXED, CHARGE, EXCHANGE, MONEY = 4, 8, 9, 10, 11, 13, 14, 15

PACKING = (
    Column("Origin", widest=18),
    Column("Service", widest=22),
    Column("Item", widest=24),
    Column("Packs", Kind.COUNT),
)


def write_freight_bookings(book: PlanBook) -> None:
    """Write a row for every booking, its packs below, and tell the book the sum."""
    plan = book.plan
    project = plan.farm.project
    page = book.page("Freight bookings")
    page.head(
        "Freight bookings",
        f"{project.name}. Rates may be changed: the charges and the Summary follow.",
        across=len(COLUMNS),
    )
    rows = [
        _row(page, HEADING_ROW + 1 + index, booking, book)
        for index, booking in enumerate(plan.bookings)
    ]
    columns = [
        replace(column, heading=column.heading.format(currency=project.currency))
        for column in COLUMNS
    ]
    table = page.table(HEADING_ROW, columns, rows)
    row = table.next_row
    for column in range(1, len(COLUMNS) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    if plan.bookings:
        charges = f"SUM({page.at(table.first, MONEY)}:{page.at(table.last, MONEY)})"
        total = Formula(charges, sum(booking.money for booking in plan.bookings))
        page.put(row, MONEY, total, Kind.MONEY, Look.TOTAL)
        book.part_terms[Part.FREIGHT].append(page.ref(row, MONEY))
    else:
        page.put(row, MONEY, 0.0, Kind.MONEY, Look.TOTAL)
    packs = [
        (booking.origin, booking.service, item, count)
        for booking in plan.bookings
        for item, count in booking.packs
        if count
    ]
    page.put(row + 2, 1, "What each booking carries", look=Look.SECTION, across=len(PACKING))
    below = page.table(row + 3, PACKING, packs)
    page.paragraphs(
        below.next_row + 1,
        [
            f"Volume used is of the container's volume × the stowage share "
            f"({project.container_stowage_share:.0%}); revenue tonnes are the larger of tonnes "
            "and volume ÷ the service's cubic metres per tonne. Containers are counted by "
            "volume, payload and doors, not by a stowage plan: packs that do not stack two wide or "
            "two high may need more. Have the forwarder plan stowage and lashing before booking."
        ],
        len(COLUMNS),
        Look.NOTE,
    )
    page.finish(project.name, heading_row=below.heading_row, freeze=False)


def _row(page: Page, row: int, booking: Booking, book: PlanBook) -> tuple[Value, ...]:
    """Return one booking's cells; its charges are live."""
    farm = book.plan.farm
    service = farm.service_by_name[booking.service]
    by_container = service.basis is Basis.CONTAINER
    billed = page.at(row, CONTAINERS if by_container else REVENUE)
    charge = f"MAX({billed}*{page.at(row, RATE)},{page.at(row, LEAST)})+{page.at(row, FIXED)}"
    return (
        booking.origin,
        booking.service,
        "container" if by_container else "revenue tonne",
        booking.containers if by_container else None,
        sum(count for _, count in booking.packs),
        booking.volume_m3,
        booking.tonnes,
        None if by_container else booking.revenue_tonnes,
        service.rate,
        service.minimum_charge,
        service.fixed_charge,
        service.currency,
        Formula(charge, booking.money / service.exchange_rate),
        service.exchange_rate,
        Formula(f"{page.at(row, CHARGE)}*{page.at(row, EXCHANGE)}", booking.money),
        *_fill(booking, service, farm.project.container_stowage_share),
    )


def _fill(
    booking: Booking, service: FreightService, stowage_share: float
) -> tuple[float | None, float | None]:
    """Return the shares of usable volume and payload that a container booking takes up."""
    if service.basis is not Basis.CONTAINER or booking.containers == 0:
        return None, None
    volume = None
    if service.volume_m3:
        volume = booking.volume_m3 / (booking.containers * service.volume_m3 * stowage_share)
    payload = None
    if service.payload_t:
        payload = booking.tonnes / (booking.containers * service.payload_t)
    return volume, payload
