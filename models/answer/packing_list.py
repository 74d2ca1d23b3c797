"""The packing list: the packs that each booking carries, as they are handed to the carrier.

Freight is counted by the packs of the model: an anchor's pack, one length of chain or rope, one
fitting. What is handed over is boxed: fittings in boxes, and where a load plan stands, chain, rope
and fittings in the crates that it places.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from ..farm import Farm
from ..goods.crate import units_in_crate
from ..goods.item import Item, ItemKind
from .plan import Booking, Plan


@dataclass(frozen=True)
class SentPacks:
    """Packs of one item that are alike, in one booking."""

    service: str
    item: str
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
    numbered: Counter[str] = Counter()
    left = {line.item: 0 for line in plan.orders}
    for line in plan.orders:
        left[line.item] += line.quantity
    for booking in plan.bookings:
        for packs in _of_booking(plan.farm, booking, left):
            first = numbered[packs.item] + 1
            numbered[packs.item] += packs.packs
            sent.append(SentPacks(**{**vars(packs), "first": first}))
    return tuple(sent)


def packs_of_items(plan: Plan) -> dict[str, int]:
    """Return how many packs of each item are handed over in all."""
    count: Counter[str] = Counter()
    for packs in packing_list(plan):
        count[packs.item] += packs.packs
    return dict(count)


def units_a_pack(plan: Plan, item: Item) -> int:
    """Return how many of an item go in one full pack, as its booking hands it over."""
    if item.kind is ItemKind.ANCHOR:
        return item.pack_quantity
    by_load = any(
        booking.loads and any(name == item.name for name, _ in booking.packs)
        for booking in plan.bookings
    )
    if by_load:
        return units_in_crate(item)
    if item.kind is ItemKind.FITTING:
        return next(f for f in plan.farm.fittings if f.name == item.name).pieces_a_box
    return 1


def _of_booking(farm: Farm, booking: Booking, left: dict[str, int]) -> Iterator[SentPacks]:
    """Yield one booking's packs, numbered from 1; `left` : units of each item not yet packed."""
    if booking.loads:
        placed = Counter(p.pack for load in booking.loads for p in load.placements)
        for kind in booking.stowed:
            item = farm.item_by_name[kind.item]
            sides = (float(kind.length_mm), float(kind.width_mm), float(kind.height_mm))
            for count, units in _filled(item, placed[kind.name], kind.units, left):
                yield SentPacks(
                    booking.service,
                    item.name,
                    count,
                    units,
                    1,
                    kind.mass_kg,
                    kind.units * item.pack_m3,
                    sides,
                    kind.this_side_up,
                    kind.stackable,
                    kind.most_on_top_kg,
                )
        return
    for name, packs in booking.packs:
        item = farm.item_by_name[name]
        each = 1
        if item.kind is ItemKind.FITTING:
            each = next(f for f in farm.fittings if f.name == name).pieces_a_box
        full, rest = divmod(packs, each)
        for boxes, inside in ((full, each), (1 if rest else 0, rest)):
            for count, units in _filled(item, boxes, inside, left):
                yield SentPacks(
                    booking.service,
                    name,
                    count,
                    units,
                    1,
                    inside * item.pack_kg,
                    inside * item.pack_m3,
                    item.pack_sides_mm,
                    item.this_side_up,
                    item.stackable,
                    item.most_on_top_kg,
                )


def _filled(item: Item, packs: int, inside: int, left: dict[str, int]) -> Iterator[tuple[int, int]]:
    """Yield (packs, units in each) of an item: the last of all may be filled in part."""
    units = inside * item.pack_quantity
    full = min(packs, left.get(item.name, 0) // units) if units else 0
    if full:
        left[item.name] -= full * units
        yield full, units
    for _ in range(packs - full):
        rest = min(units, left.get(item.name, 0))
        left[item.name] = left.get(item.name, 0) - rest
        yield 1, rest


@dataclass(frozen=True)
class Dates:
    """When goods are to leave and to arrive; None where the dates or times are not given."""

    ready_from: date | None
    """The order's date and the lead time."""
    ready_by: date | None
    """The latest day on which they may leave and still be on site in time."""
    wanted_by: date | None
    """On site: the day of need, less the margin."""


def dates_of(plan: Plan, name: str) -> Dates:
    """Return the dates of an item: over all the services that carry it, the earliest to leave."""
    project, item = plan.farm.project, plan.farm.item_by_name[name]
    wanted = project.wanted_by
    ready = None
    if project.order_date is not None and item.lead_time_days is not None:
        ready = project.order_date + timedelta(days=item.lead_time_days)
    transits = [
        plan.farm.service_by_name[booking.service].transit_days or 0
        for booking in plan.bookings
        if any(carried == name for carried, _ in booking.packs)
    ]
    latest = None
    if wanted is not None and transits:
        latest = wanted - timedelta(days=max(transits))
    return Dates(ready, latest, wanted)


def split_items(plan: Plan) -> frozenset[str]:
    """Return the items whose packs go by more than one booking."""
    by: defaultdict[str, set[str]] = defaultdict(set)
    for booking in plan.bookings:
        for name, packs in booking.packs:
            if packs:
                by[name].add(booking.service)
    return frozenset(name for name, services in by.items() if len(services) > 1)
