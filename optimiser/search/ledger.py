"""The ledger: a settlement written out as a plan, every money figure worked from whole numbers."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from ...models.after.laid_lines import whole_plan
from ...models.answer.needs import needs_of
from ...models.answer.plan import (
    PART_OF_KIND,
    Assignment,
    Booking,
    Campaign,
    Cut,
    OrderLine,
    Part,
    Plan,
    Proof,
)
from ...models.answer.plan import Piece as PlanPiece
from ...models.arrays import ceil_to_whole
from ...models.farm import Farm
from ...models.goods.crate import packs_to_stow
from ...models.goods.duty import freight_duty, goods_duty
from ...models.goods.freight import Basis, FreightService, revenue_tonnes
from ...models.goods.load import Pack
from ...models.risk.charged_days import charged_days_of
from ...models.standing.limits import standing_of, vessel_limits
from ..choices.deck_lines import deck_lines
from ..stowage.trip_loading import fewest_trips, loaded_trips
from .settlement import Settlement, of_items


def plan_of(farm: Farm, settlement: Settlement, proof: Proof) -> Plan:
    """Return the plan that a settlement makes, with its money; of a farm of the lines that are
    still to lay, the plan of the whole."""
    assignments = _assignments(farm, settlement)
    orders = _orders(farm, settlement)
    bookings = _bookings(farm, settlement)
    campaigns = _campaigns(farm, settlement, loaded=True)
    plan = Plan(
        farm,
        assignments,
        orders,
        order_charges(farm, orders),
        _cuts(settlement),
        bookings,
        campaigns,
        _parts(farm, settlement, orders, bookings, campaigns),
        proof,
    )
    return whole_plan(plan)


def cost_parts(farm: Farm, settlement: Settlement) -> dict[Part, float]:
    """Return what a settlement costs at a farm's prices and rates, in its parts.

    The farm may be another than the settlement was made for, so long as only prices, rates and
    currencies differ: orders, packs and trips stay as they are.
    """
    orders = _orders(farm, settlement)
    bookings = _bookings(farm, settlement)
    return _parts(farm, settlement, orders, bookings, _campaigns(farm, settlement))


def order_charges(farm: Farm, orders: Sequence[OrderLine]) -> dict[str, float]:
    """Return the order charge of each supplier ordered from, in the project's currency."""
    used = {line.supplier for line in orders}
    return {s.name: s.order_charge * s.exchange_rate for s in farm.suppliers if s.name in used}


def _parts(
    farm: Farm,
    settlement: Settlement,
    orders: Sequence[OrderLine],
    bookings: Sequence[Booking],
    campaigns: Sequence[Campaign],
) -> dict[Part, float]:
    goods = sum(line.money for line in orders)
    freight = sum(booking.money for booking in bookings)
    parts = dict.fromkeys(Part, 0.0)
    for line in orders:
        parts[PART_OF_KIND[farm.item_by_name[line.item].kind]] += line.money
        parts[Part.DUTY] += line.duty
    parts[Part.DUTY] += sum(booking.duty for booking in bookings)
    parts[Part.JOINS] = sum(
        farm.item_by_name[name].join_cost * farm.item_by_name[name].connectors_to_buy(cutting.joins)
        for name, (cutting, _) in settlement.cuttings.items()
    )
    parts[Part.ORDER_CHARGES] = sum(order_charges(farm, orders).values())
    parts[Part.FREIGHT] = freight
    parts[Part.INSURANCE] = farm.project.insurance_share * (goods + freight)
    parts[Part.MOBILISATION] = sum(c.mobilisation for c in campaigns)
    parts[Part.VESSEL_DAYS] = sum(c.day_money for c in campaigns)
    parts[Part.FUEL] = sum(c.fuel for c in campaigns)
    return parts


def _assignments(farm: Farm, settlement: Settlement) -> tuple[Assignment, ...]:
    assignments = []
    laid: Counter[str] = Counter()
    for index, count in enumerate(settlement.counts.tolist()):
        leg = farm.legs[int(settlement.choices.make_ups.leg[index])]
        vessel = farm.vessels[int(settlement.choices.vessel[index])]
        make_up = settlement.choices.make_ups.make_up(farm, index)
        standing = standing_of(farm, leg, make_up)
        assert standing is not None, f"{leg.name}: the chosen make-up cannot hang"
        assignments.append(
            Assignment(
                leg.name,
                make_up,
                vessel.name,
                count,
                standing.uplift_deg,
                standing.anchor_tension_kn,
                standing.radius_m,
                standing.grounded_m,
                standing.holding.evidence,
                (*standing.limits, *vessel_limits(farm, leg, make_up, vessel)),
                laid[leg.name] + 1,
            )
        )
        laid[leg.name] += count
    order = {leg.name: n for n, leg in enumerate(farm.legs)}
    return tuple(sorted(assignments, key=lambda a: (order[a.leg], a.make_up, a.vessel)))


def _orders(farm: Farm, settlement: Settlement) -> tuple[OrderLine, ...]:
    made = settlement.choices.make_ups
    counts = enumerate(settlement.counts.tolist())
    needs = needs_of(farm, ((made.make_up(farm, index), count) for index, count in counts))
    lines = []
    for key, offer in farm.offer_by_key.items():
        quantity = settlement.quantities.get(key, 0)
        if not quantity:
            continue
        item = farm.item_by_name[offer.item]
        needed = needs.get(item.name, 0.0)
        if item.name in settlement.cuttings:
            cutting, _ = settlement.cuttings[item.name]
            stocks = [stock for stock in cutting.stocks if stock.on_hand is not None]
            from_stock = sum(metres for stock in stocks for _, metres in stock.cuts)
        else:
            from_stock = min(item.on_hand_total, needed)
        money = offer.goods(quantity)
        lines.append(
            OrderLine(
                item.name,
                offer.supplier,
                quantity,
                needed,
                from_stock,
                offer.prices.money(quantity),
                money,
                money * goods_duty(farm.project, offer.duty_share),
            )
        )
    return tuple(lines)


def _bookings(farm: Farm, settlement: Settlement) -> tuple[Booking, ...]:
    bookings = []
    for service in farm.services:
        packs = settlement.packs.get(service.name)
        if not packs:
            continue
        items = [(farm.item_by_name[name], count) for (name, _), count in packs.items()]
        volume = sum(item.pack_m3 * count for item, count in items)
        tonnes = sum(item.pack_kg * count for item, count in items) / 1000.0
        containers = 0
        loads = settlement.loads.get(service.name, ())
        if loads:
            containers = len(loads)
        elif service.basis is Basis.CONTAINER:
            stowed = (service.volume_m3 or math.inf) * farm.project.container_stowage_share
            by_mass = tonnes / (service.payload_t or math.inf)
            containers = max(ceil_to_whole(volume / stowed), ceil_to_whole(by_mass), 1)
        money = service.charge(containers, tonnes, volume) * service.exchange_rate
        bookings.append(
            Booking(
                service.name,
                service.origin,
                containers,
                tuple((item, supplier, count) for (item, supplier), count in packs.items()),
                volume,
                tonnes,
                revenue_tonnes(tonnes, volume, service.m3_per_tonne),
                money,
                _kinds(farm, service, of_items(packs)) if loads else (),
                loads,
                money * freight_duty(farm.project, farm.items, service.origin),
            )
        )
    return tuple(bookings)


def _kinds(farm: Farm, service: FreightService, packs: Mapping[str, int]) -> tuple[Pack, ...]:
    """Return the kinds of pack that a booking stows."""
    assert service.box is not None, f"{service.name} states no inside"
    return tuple(dict.fromkeys(packs_to_stow(packs, farm.item_by_name, service.box)))


def _campaigns(farm: Farm, settlement: Settlement, *, loaded: bool = False) -> tuple[Campaign, ...]:
    """Return what each vessel does; loaded : with its trips one by one."""
    choices, counts = settlement.choices, settlement.counts
    campaigns = []
    for index, vessel in enumerate(farm.vessels):
        by_it = choices.vessel == index
        lines = int(counts[by_it].sum())
        if not lines:
            continue
        mass = float(choices.mass_t[by_it] @ counts[by_it])
        area = float(choices.area_m2[by_it] @ counts[by_it])
        laying = float(choices.hours[by_it] @ counts[by_it])
        on_deck = deck_lines(farm, choices, counts, index)
        trips = max(
            fewest_trips(on_deck, vessel),
            ceil_to_whole(mass / vessel.deck_load_t),
            ceil_to_whole(area / vessel.deck_area_m2),
            ceil_to_whole(laying / vessel.hours_per_trip),
        )
        hours = trips * vessel.round_trip_h + laying
        days = charged_days_of(vessel, hours, farm.project.charged_days_sure)
        campaigns.append(
            Campaign(
                vessel.name,
                lines,
                int((choices.make_ups.anchors[by_it] * counts[by_it]).sum()),
                mass,
                area,
                trips,
                hours,
                days,
                vessel.mobilisation,
                days * vessel.day_rate,
                trips * vessel.fuel_per_trip,
                loaded_trips(on_deck, vessel, trips) if loaded else (),
            )
        )
    return tuple(campaigns)


def _cuts(settlement: Settlement) -> tuple[Cut, ...]:
    cuts = []
    for name, (cutting, pieces) in settlement.cuttings.items():
        parts: Counter[int] = Counter(piece for stock in cutting.stocks for piece, _ in stock.cuts)
        met: defaultdict[int, int] = defaultdict(int)
        lengths = 0
        for stock in cutting.stocks:
            if stock.on_hand is None:
                lengths += 1
            number = lengths if stock.on_hand is None else stock.on_hand + 1
            made = []
            for piece, metres in stock.cuts:
                met[piece] += 1
                of = pieces[piece]
                made.append(PlanPiece(of.leg, of.line, metres, met[piece], parts[piece]))
            there = stock.on_hand is not None
            cuts.append(Cut(name, number, stock.length_m, tuple(made), there))
    return tuple(cuts)
