"""Freight bookings: what to book, what goes in it, how full it is, and what it costs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from ...models.answer.packing_list import packing_list, split_offers
from ...models.answer.plan import Booking, Part, Plan
from ...models.constants import M3_PER_MM3
from ...models.farm import Farm
from ...models.goods.duty import freight_rate
from ...models.goods.freight import Basis, FreightLimit, FreightService
from ...models.goods.item import Item, ItemOffer, OfferKey
from ...models.goods.load import MOST_IN_HALF, Binding, LoadPlan
from ...models.site.project import DutyOn
from ..paper.book import AS_PRICED, PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.grammar import listed
from ..words.kinds import NumberKind
from .assumptions import setting_cell

HEADING_ROW = 4

SAME = 1e-6
"""Volumes (m³) and masses (t) that differ by less are the same."""

COLUMNS = (
    SheetColumn("Origin", widest=18),
    SheetColumn("Service", widest=22),
    SheetColumn("Charged by", widest=12),
    SheetColumn("Containers", NumberKind.COUNT),
    SheetColumn("Packs", NumberKind.COUNT),
    SheetColumn("Volume (m³)", NumberKind.VOLUME_M3),
    SheetColumn("Mass (t)", NumberKind.MASS_T),
    SheetColumn("Revenue tonnes", NumberKind.MASS_T),
    SheetColumn("Rate", NumberKind.PRICE),
    SheetColumn("Least charge", NumberKind.MONEY),
    SheetColumn("Fixed charge", NumberKind.MONEY),
    SheetColumn("Currency", widest=9),
    SheetColumn("Charge", NumberKind.MONEY),
    SheetColumn("Exchange rate", NumberKind.EXCHANGE),
    SheetColumn("Charge ({currency})", NumberKind.MONEY),
    SheetColumn("Volume filled", NumberKind.SHARE),
    SheetColumn("Payload used", NumberKind.SHARE),
    SheetColumn("Load plans", widest=16),
    SheetColumn("Changed since", widest=22),
)
ON_DUTY = (
    SheetColumn("Duty rate", NumberKind.SHARE_FINE),
    SheetColumn("Duty ({currency})", NumberKind.MONEY),
)
"""Further columns where duty is on freight too."""
DUTY_RATE, DUTY = len(COLUMNS) + 1, len(COLUMNS) + 2
CONTAINERS, VOLUME, MASS, REVENUE, RATE, LEAST, FIXED, CHARGE, EXCHANGE, MONEY = (
    4, 6, 7, 8, 9, 10, 11, 13, 14, 15,
)  # fmt: skip
CHANGED = len(COLUMNS)
RATES = {"rate": RATE, "minimum_charge": LEAST, "fixed_charge": FIXED}
"""Field of a service: the column of it."""

BOOK_AGAIN, LOAD_AGAIN = "packs changed: book again", "packs changed: load again"
"""What a booking says of itself when the orders are edited: how many containers, and what goes by
which service, is a choice, and is not made again by a formula."""

PACKING = (
    SheetColumn("Origin", widest=18),
    SheetColumn("Service", widest=22),
    SheetColumn("Item", widest=24),
    SheetColumn("Supplier", widest=24),
    SheetColumn("Packs", NumberKind.COUNT),
)

FILL = (
    SheetColumn("Origin", widest=18),
    SheetColumn("Service", widest=22),
    SheetColumn("Container", widest=24),
    SheetColumn("Packs", NumberKind.COUNT),
    SheetColumn("Packs' volume (m³)", NumberKind.VOLUME_M3),
    SheetColumn("Mass (t)", NumberKind.MASS_T),
    SheetColumn("Volume filled", NumberKind.SHARE),
    SheetColumn("Payload used", NumberKind.SHARE),
    SheetColumn("What binds", widest=12),
    SheetColumn("Heavier half", NumberKind.SHARE),
    SheetColumn("Most on 1 m (t)", NumberKind.MASS_T),
    SheetColumn("Caution from (t)", NumberKind.MASS_T),
    SheetColumn("", widest=9),
)

BARRED = (
    SheetColumn("Origin", widest=18),
    SheetColumn("Service", widest=22),
    SheetColumn("Item", widest=24),
    SheetColumn("Why it cannot go by it", widest=24),
)


def write_freight_bookings(book: PlanBook) -> None:
    """Write a row for every booking, its packs, fill and what is barred below, and tell the book
    the sum."""
    plan = book.plan
    project = plan.farm.project
    dutiable = project.duty_on is DutyOn.LANDED
    wide = (*COLUMNS, *ON_DUTY) if dutiable else COLUMNS
    page = book.page("Freight bookings")
    page.head(
        "Freight bookings",
        "Rates may be changed: the charges and the Summary follow."
        if plan.farm.freight_priced
        else "Not priced: goods are taken as delivered, and nothing is booked.",
        of=project.name,
        across=len(wide),
    )
    if not plan.farm.freight_priced:
        page.finish(project.name, freeze=False)
        return
    rows = [
        _row(page, HEADING_ROW + 1 + index, booking, book)
        for index, booking in enumerate(plan.bookings)
    ]
    columns = [
        replace(column, heading=column.heading.format(currency=project.currency)) for column in wide
    ]
    table = page.table(HEADING_ROW, columns, rows)
    row = table.next_row
    for column in range(1, len(wide) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    sums = [(MONEY, Part.FREIGHT, sum(booking.money for booking in plan.bookings))]
    if dutiable:
        sums.append((DUTY, Part.DUTY, sum(booking.duty for booking in plan.bookings)))
    for column, part, value in sums:
        cells = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
        total = Formula(cells, value) if plan.bookings else 0.0
        page.put(row, column, total, NumberKind.MONEY, Look.TOTAL)
        if plan.bookings:
            book.part_terms[part].append(page.ref(row, column))
    row = page.paragraphs(row + 1, _notes(plan), len(wide), Look.NOTE) + 1
    fills = list(_fills(plan))
    if fills:
        page.put(row, 1, "How full each container is", look=Look.SECTION, across=len(FILL))
        row = page.table(row + 1, FILL, fills).next_row + 1
    origins = {booking.service: booking.origin for booking in plan.bookings}
    carried: Counter[tuple[str, str, str]] = Counter()
    for sent in packing_list(plan):
        carried[sent.service, sent.item, sent.supplier] += sent.packs
    packs = [(origins[key[0]], *key, count) for key, count in carried.items()]
    page.put(row, 1, "What each booking carries", look=Look.SECTION, across=len(FILL))
    row = page.table(row + 1, PACKING, packs).next_row + 1
    barred = list(_barred(plan))
    if barred:
        row = page.break_before(row)
        page.put(row, 1, "What is barred, and why", look=Look.SECTION, across=len(FILL))
        page.table(row + 1, BARRED, barred)
    for row, booking in enumerate(plan.bookings, start=HEADING_ROW + 1):
        book.booking_flags[booking.service] = page.ref(row, CHANGED)
    page.finish(project.name, freeze=False)


def _notes(plan: Plan) -> Iterator[str]:
    stowage = plan.farm.project.container_stowage_share
    yield (
        "Revenue tonnes are the larger of tonnes and volume ÷ cubic metres per tonne. "
        "Containers that state their inside are counted by load plans (sheet Load plan): each is "
        f"shown to hold its packs. The stowage share ({stowage:.0%}) is only where that count "
        "starts from; volume filled is of the inside as it is, and what was reached."
    )
    if plan.farm.project.duty_on is DutyOn.LANDED:
        yield (
            "Duty is on each charge and its insurance, at the highest rate among the goods of its "
            "origin: a charge for goods of unlike rates is not parted among them."
        )
    if any(booking.containers and not booking.loads for booking in plan.bookings):
        yield (
            "Not load-planned: no inside dimensions given. Those containers are counted by volume "
            f"× stowage share ({stowage:.0%}) and by payload only: packs that do not stack two "
            "wide or two high may need more. Have the forwarder plan their stowage before booking."
        )
    yield (
        "Have the forwarder confirm stowage, securing and the plate on each container before "
        "booking. A load on few metres of length wants bedding: the cautions are 4.5 t a metre in "
        "a 20 ft and 3.0 t in a 40 ft container (GDV Transport Information Service); no more than "
        f"{MOST_IN_HALF:.0%} of the mass lies in either half of the length (CTU guidelines). What "
        "binds: space, payload, balance or door where it sent packs on to the next container; else "
        "volume or mass, whichever is used more."
    )


def _fills(plan: Plan) -> Iterator[tuple[Value, ...]]:
    """Yield a row for every container; like ones that follow each other share a row."""
    for booking in plan.bookings:
        first = 1
        for number, load in enumerate(booking.loads, 1):
            after = booking.loads[number] if number < len(booking.loads) else None
            if after is not None and after == load:
                continue
            which = f"{number}" if first == number else f"{first} to {number}, each"
            yield (
                booking.origin,
                booking.service,
                f"{which} of {len(booking.loads)}",
                len(load.placements),
                load.volume_mm3 * M3_PER_MM3,
                load.mass_kg / 1000.0,
                load.fill_by_volume,
                load.fill_by_mass,
                _binds(load),
                max(load.front_share, 1.0 - load.front_share),
                load.line_load_t_per_m,
                load.box.line_load_caution_t_per_m,
                "caution" if load.line_load_t_per_m > load.box.line_load_caution_t_per_m else "",
            )
            first = number + 1


def _binds(load: LoadPlan) -> str:
    """Return what stopped one more pack; where nothing did, what is nearer to being used up."""
    if load.binding is not Binding.NOTHING:
        return str(load.binding)
    by_mass = load.fill_by_mass is not None and load.fill_by_mass > load.fill_by_volume
    return "mass" if by_mass else "volume"


def _barred(plan: Plan) -> Iterator[tuple[str, str, str, str]]:
    """Yield what no pack of an offer may go by, for services of its origin, with the reason."""
    farm = plan.farm
    for service in farm.services:
        for item in farm.items:
            reasons = {
                offer.supplier: _why_barred(item, offer, service, farm.project.days_to_deliver)
                for offer in item.offers
                if offer.origin == service.origin
            }
            for why in filter(None, dict.fromkeys(reasons.values())):
                whose = [supplier for supplier, said in reasons.items() if said == why]
                of = "" if len(item.offers) == len(whose) else f" from {listed(whose)}"
                yield (service.origin, service.name, item.name + of, why)


def _why_barred(item: Item, offer: ItemOffer, service: FreightService, days: int | None) -> str:
    bar = item.barred_from(service, offer, days)
    if bar is FreightLimit.DOOR and item.pack_sides_mm is not None:
        sides = " × ".join(f"{side:,.0f}" for side in item.pack_sides_mm)
        upright = " (this side up)" if item.this_side_up else ""
        longest = max(item.pack_sides_mm)
        if service.inside_length_mm is not None and longest > service.inside_length_mm:
            return (
                f"over-long: its pack is {sides} mm{upright}, the inside "
                f"{service.inside_length_mm:,.0f} mm long"
            )
        wide = service.door_width_mm or service.inside_width_mm
        high = service.door_height_mm or service.inside_height_mm
        door = " × ".join("no limit" if side is None else f"{side:,.0f}" for side in (wide, high))
        return f"does not pass the door: its pack is {sides} mm{upright}, the door {door} mm"
    if bar is FreightLimit.PAYLOAD:
        return f"too heavy: a pack is {item.pack_kg:,.0f} kg, the payload {service.payload_t:g} t"
    if bar is FreightLimit.VOLUME:
        return f"too large: a pack is {item.pack_m3:,.2f} m³, more than one container takes"
    if bar is FreightLimit.DATES:
        needed = (offer.lead_time_days or 0) + (service.transit_days or 0)
        return f"too late: lead time and transit are {needed} days, and there are {days}"
    return ""


def _row(page: Page, row: int, booking: Booking, book: PlanBook) -> tuple[Value, ...]:
    """Return one booking's cells; its charges are live."""
    farm = book.plan.farm
    service = farm.service_by_name[booking.service]
    by_container = service.basis is Basis.CONTAINER
    billed = page.at(row, CONTAINERS if by_container else REVENUE)
    charge = f"MAX({billed}*{page.at(row, RATE)},{page.at(row, LEAST)})+{page.at(row, FIXED)}"
    planned = f"{len(booking.loads)} found" if booking.loads else "not load-planned"
    at = {column: page.at(row, column) for column in (VOLUME, MASS)}
    measure = f"MAX({at[MASS]},{at[VOLUME]}/{service.m3_per_tonne!r})"
    moved = (
        f"OR(ABS({at[VOLUME]}-{booking.volume_m3!r})>{SAME!r},"
        f"ABS({at[MASS]}-{booking.tonnes!r})>{SAME!r})"
    )
    again = LOAD_AGAIN if by_container else BOOK_AGAIN
    packs, volume, tonnes = _carried(book, booking)
    return (
        booking.origin,
        booking.service,
        "container" if by_container else "revenue tonne",
        booking.containers if by_container else None,
        packs,
        volume,
        tonnes,
        None if by_container else Formula(measure, booking.revenue_tonnes),
        service.rate,
        service.minimum_charge,
        service.fixed_charge,
        service.currency,
        Formula(charge, booking.money / service.exchange_rate),
        service.exchange_rate,
        Formula(f"{page.at(row, CHARGE)}*{page.at(row, EXCHANGE)}", booking.money),
        *_fill(booking, service),
        planned if by_container else "",
        Formula(f'IF({moved},"{again}","{AS_PRICED}")', AS_PRICED),
        *_duty(page, row, booking, farm),
    )


def _carried(book: PlanBook, booking: Booking) -> tuple[Value, Value, Value]:
    """Return the packs, volume (m³) and mass (t) of a booking: sums over the orders' cells, but
    for what goes by several bookings, which share is whose being a choice."""
    split = split_offers(book.plan)
    handed: Counter[OfferKey] = Counter()
    for sent in packing_list(book.plan):
        if sent.service == booking.service:
            handed[sent.item, sent.supplier] += sent.packs
    packs, volumes, masses = [], [], []
    for name, seller, count in booking.packs:
        item, key = book.plan.farm.item_by_name[name], (name, seller)
        if key in split or key not in book.carried:
            packs.append(f"{handed[key]}")
            volumes.append(f"{count * item.pack_m3!r}")
            masses.append(f"{count * item.pack_kg!r}")
        else:
            cells = book.carried[key]
            packs.append(cells.packs)
            volumes.append(cells.m3)
            masses.append(cells.kg)
    if not packs:
        return 0, booking.volume_m3, booking.tonnes
    return (
        Formula("+".join(packs), handed.total()),
        Formula("+".join(volumes), booking.volume_m3),
        Formula(f"({'+'.join(masses)})/1000", booking.tonnes),
    )


def _duty(page: Page, row: int, booking: Booking, farm: Farm) -> tuple[Value, ...]:
    """Return the rate and the duty of a booking, live, where duty is on freight too."""
    if farm.project.duty_on is DutyOn.PRICE:
        return ()
    insured = f"{page.at(row, MONEY)}*(1+{setting_cell('insurance_share')})"
    rate = freight_rate(farm.project, farm.items, booking.origin)
    return rate, Formula(f"{insured}*{page.at(row, DUTY_RATE)}", booking.duty)


def _fill(booking: Booking, service: FreightService) -> tuple[float | None, float | None]:
    """Return the shares of inside volume and payload that a container booking takes up."""
    if service.basis is not Basis.CONTAINER or booking.containers == 0:
        return None, None
    volume = booking.volume_m3 / (booking.containers * service.inside_m3)
    payload = None
    if service.payload_t:
        payload = booking.tonnes / (booking.containers * service.payload_t)
    return volume or None, payload
