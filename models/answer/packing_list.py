"""The packing list: the packs that each booking carries, as they are handed to the carrier.

Freight is counted by the packs of the model: an anchor's pack, one length of chain or rope, one
fitting. What is handed over is boxed: fittings in boxes, and where a load plan stands, chain, rope
and fittings in the crates that it places.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from ..farm import Farm
from ..goods.crate import units_in_crate
from ..goods.item import Item, ItemKind, OfferKey
from .plan import Booking, Plan


@dataclass(frozen=True)
class SentPacks:
    """Packs of one item that are alike, in one booking."""

    service: str
    item: str
    supplier: str
    packs: int
    units: int
    """Of the item as it is sold (each, or lengths), in one pack."""
    first: int
    """The number of the first of them among the item's packs, from 1."""
    mass_kg: float
    """Of one pack, as freight counts it: a part-filled pack of anchors as a full one."""
    volume_m3: float
    sides_mm: tuple[float, float, float] | None
    """Length, width, height; None: not stated, for whoever packs them to say."""
    this_side_up: bool
    stackable: bool
    most_on_top_kg: float | None

    @property
    def last(self) -> int:
        """The number of the last of them."""
        return self.first + self.packs - 1


def packing_list(plan: Plan) -> tuple[SentPacks, ...]:
    """Return every pack of every booking, in the order of the bookings and their items."""
    sent: list[SentPacks] = []
    numbered: Counter[OfferKey] = Counter()
    left: Counter[OfferKey] = Counter()
    for line in plan.orders:
        left[line.item, line.supplier] += line.quantity
    for booking in plan.bookings:
        for packs in _of_booking(plan.farm, booking, left):
            key = packs.item, packs.supplier
            first = numbered[key] + 1
            numbered[key] += packs.packs
            sent.append(replace(packs, first=first))
    return tuple(sent)


def packs_of_offers(plan: Plan) -> dict[OfferKey, int]:
    """Return how many packs of each item each supplier hands over in all."""
    count: Counter[OfferKey] = Counter()
    for packs in packing_list(plan):
        count[packs.item, packs.supplier] += packs.packs
    return dict(count)


def units_a_pack(plan: Plan, item: Item) -> int:
    """Return how many of an item go in one full pack, as its booking hands it over."""
    if item.kind is ItemKind.ANCHOR:
        return item.pack_quantity
    by_load = any(
        booking.loads and any(name == item.name for name, _, _ in booking.packs)
        for booking in plan.bookings
    )
    if by_load:
        return units_in_crate(item)
    if item.kind is ItemKind.FITTING:
        return next(f for f in plan.farm.fittings if f.name == item.name).pieces_a_box
    return 1


def _of_booking(farm: Farm, booking: Booking, left: Counter[OfferKey]) -> Iterator[SentPacks]:
    """Yield one booking's packs, numbered from 1; `left` : units of each offer not yet packed."""
    if booking.loads:
        placed = Counter(p.pack for load in booking.loads for p in load.placements)
        for kind in booking.stowed:
            item = farm.item_by_name[kind.item]
            sides = (float(kind.length_mm), float(kind.width_mm), float(kind.height_mm))
            sellers = booking.suppliers_of[item.name]
            for supplier, count, units in _filled(
                item, sellers, placed[kind.name], kind.units, left
            ):
                yield SentPacks(
                    booking.service,
                    item.name,
                    supplier,
                    count,
                    units,
                    1,
                    kind.mass_kg,
                    kind.units * item.pack_m3,
                    None if item.name in farm.sizes_assumed else sides,
                    kind.this_side_up,
                    kind.stackable,
                    kind.most_on_top_kg,
                )
        return
    for name, seller, packs in booking.packs:
        item = farm.item_by_name[name]
        each = 1
        if item.kind is ItemKind.FITTING:
            each = next(f for f in farm.fittings if f.name == name).pieces_a_box
        full, rest = divmod(packs, each)
        for boxes, inside in ((full, each), (1 if rest else 0, rest)):
            for supplier, count, units in _filled(item, {seller: packs}, boxes, inside, left):
                yield SentPacks(
                    booking.service,
                    name,
                    supplier,
                    count,
                    units,
                    1,
                    inside * item.pack_kg,
                    inside * item.pack_m3,
                    None if name in farm.sizes_assumed else item.pack_sides_mm,
                    item.this_side_up,
                    item.stackable,
                    item.most_on_top_kg,
                )


def _filled(
    item: Item, sellers: Mapping[str, int], packs: int, inside: int, left: Counter[OfferKey]
) -> Iterator[tuple[str, int, int]]:
    """Yield (supplier, packs, units in each) of an item: a supplier's last may be filled in part.

    sellers : packs of the model, by supplier, that the booking carries. A load plan packs an item
    whoever it is from: a crate that goods of two suppliers share is the first one's.
    """
    units = inside * item.pack_quantity
    here = {
        seller: min(left[item.name, seller], count * item.pack_quantity)
        for seller, count in sellers.items()
    }
    seller = ""
    for seller in sellers:
        own = here.pop(seller)
        full = min(packs, own // units) if units else 0
        if full:
            yield seller, full, units
            packs -= full
            left[item.name, seller] -= full * units
        part = own - full * units
        if packs and part:
            left[item.name, seller] -= part
            for other in here:
                more = min(units - part, here[other])
                here[other] -= more
                left[item.name, other] -= more
                part += more
            yield seller, 1, part
            packs -= 1
    for _ in range(packs):
        yield seller, 1, 0


@dataclass(frozen=True)
class Dates:
    """When goods are to leave and to arrive; None where the dates or times are not given."""

    ready_from: date | None
    """The order's date and the lead time."""
    ready_by: date | None
    """The latest day on which they may leave and still be on site in time."""
    wanted_by: date | None
    """On site: the day of need, less the margin."""


def dates_of(plan: Plan, key: OfferKey) -> Dates:
    """Return the dates of an offer: over all the services that carry it, the earliest to leave."""
    project, offer = plan.farm.project, plan.farm.offer_by_key[key]
    wanted = project.wanted_by
    ready = None
    if project.order_date is not None and offer.lead_time_days is not None:
        ready = project.order_date + timedelta(days=offer.lead_time_days)
    transits = [
        plan.farm.service_by_name[booking.service].transit_days or 0
        for booking in plan.bookings
        if any((carried, seller) == key for carried, seller, _ in booking.packs)
    ]
    latest = None
    if wanted is not None and transits:
        latest = wanted - timedelta(days=max(transits))
    return Dates(ready, latest, wanted)


def split_offers(plan: Plan) -> frozenset[OfferKey]:
    """Return the offers whose packs go by more than one booking, or into crates with others'."""
    by: defaultdict[OfferKey, set[str]] = defaultdict(set)
    shared: set[OfferKey] = set()
    for booking in plan.bookings:
        for name, seller, packs in booking.packs:
            if packs:
                by[name, seller].add(booking.service)
            if booking.loads and len(booking.suppliers_of[name]) > 1:
                shared.add((name, seller))
    return frozenset(key for key, services in by.items() if len(services) > 1) | shared
