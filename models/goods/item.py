"""An item: anything that a purchase order can name, seen as its buyer sees it.

Anchors and fittings are bought each; chain and rope by the length sold. The view resolves what
the catalogue leaves to the supplier (duty, lead time, currency) and to the Price breaks sheet.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from .anchor import Anchor
from .chain import Chain
from .fitting import Fitting
from .freight import Basis, FreightLimit, FreightService
from .price import PriceBreak, PriceList
from .rope import Rope
from .supplier import OnHand, Supplier


class ItemKind(StrEnum):
    """The catalogue that an item comes from."""

    ANCHOR = "anchor"
    CHAIN = "chain"
    ROPE = "rope"
    FITTING = "fitting"


@dataclass(frozen=True)
class Item:
    """What one order line may be for; quantities in units as sold."""

    name: str
    kind: ItemKind
    supplier: str
    origin: str
    currency: str
    exchange_rate: float
    prices: PriceList
    duty_share: float
    minimum_order: int
    order_multiple: int
    available: int | None
    lead_time_days: int | None
    length_sold_m: float
    """Metres in one unit as sold; 0 for anchors and fittings."""
    cut_whole: bool
    """Whether every leg's piece must be one continuous length (rope; chain not joinable)."""
    join_cost: float
    """Project currency per join."""
    pack_quantity: int
    pack_m3: float
    pack_kg: float
    pack_sides_mm: tuple[float, float, float] | None
    on_hand: tuple[float, ...]
    """Anchors and fittings: one total. Chain and rope: the metres of each piece."""
    this_side_up: bool = False
    stackable: bool = True
    most_on_top_kg: float | None = None
    """How its packs may be stowed, where they have sides: see `Anchor`."""

    @property
    def on_hand_total(self) -> float:
        """Units (each) or metres on hand."""
        return sum(self.on_hand)

    @property
    def smallest_order(self) -> int:
        """The least quantity that may be ordered: its minimum, as a whole multiple."""
        multiple = self.order_multiple
        return max(multiple, math.ceil(self.minimum_order / multiple - 1e-9) * multiple)

    @property
    def largest_order(self) -> int | None:
        """The largest quantity that may be ordered, a whole multiple; None: no limit."""
        if self.available is None:
            return None
        return self.available // self.order_multiple * self.order_multiple

    @property
    def sold_as(self) -> str:
        """The unit as a purchase order writes it."""
        return f"length of {self.length_sold_m:g} m" if self.length_sold_m else "each"

    def goods(self, quantity: int) -> float:
        """Return what `quantity` units cost before duty, in the project's currency."""
        return self.prices.money(quantity) * self.exchange_rate

    def packs(self, quantity: int) -> int:
        """Return the whole packs that `quantity` units travel in."""
        return -(-quantity // self.pack_quantity)

    def travels_by(self, service: FreightService, days_to_deliver: int | None) -> bool:
        """Tell whether its packs may go by a service: origin, door and length, and dates.

        The volume and payload of one container bar a pack too large for any.
        """
        return service.origin == self.origin and not self.barred_from(service, days_to_deliver)

    def barred_from(
        self, service: FreightService, days_to_deliver: int | None
    ) -> FreightLimit | None:
        """Return what bars its packs from a service of its origin; None where nothing does."""
        if self.pack_sides_mm is not None and not service.takes_pack(
            *self.pack_sides_mm, upright=self.this_side_up
        ):
            return FreightLimit.DOOR
        if service.basis is Basis.CONTAINER:
            if service.payload_t is not None and self.pack_kg > service.payload_t * 1000:
                return FreightLimit.PAYLOAD
            if service.volume_m3 is not None and self.pack_m3 > service.volume_m3:
                return FreightLimit.VOLUME
            room = service.box.through_door_mm3 * 1e-9 if service.box else math.inf
            if self.pack_sides_mm is None and self.pack_m3 > room:
                return FreightLimit.VOLUME
        days = (self.lead_time_days or 0) + (service.transit_days or 0)
        late = days_to_deliver is not None and days > days_to_deliver
        return FreightLimit.DATES if late else None


def items_of(
    anchors: Sequence[Anchor],
    chains: Sequence[Chain],
    ropes: Sequence[Rope],
    fittings: Sequence[Fitting],
    suppliers: Sequence[Supplier],
    price_breaks: Sequence[PriceBreak],
    on_hand: Sequence[OnHand],
) -> tuple[Item, ...]:
    """Return every item of the catalogues, in the order of the sheets.

    Raises KeyError where an item names an unknown supplier; `farm_faults` says so first.
    """
    by_name = {supplier.name: supplier for supplier in suppliers}
    breaks: dict[str, list[PriceBreak]] = defaultdict(list)
    for price_break in price_breaks:
        breaks[price_break.item].append(price_break)
    stocks: dict[str, list[float]] = defaultdict(list)
    for stock in on_hand:
        stocks[stock.item].append(stock.quantity)

    def lead(own: int | None, supplier: Supplier) -> int | None:
        return own if own is not None else supplier.lead_time_days

    def duty(own: float | None, supplier: Supplier) -> float:
        return own if own is not None else supplier.duty_share

    items: list[Item] = []
    for anchor in anchors:
        seller = by_name[anchor.supplier]
        items.append(
            Item(
                name=anchor.name,
                kind=ItemKind.ANCHOR,
                supplier=seller.name,
                origin=seller.origin,
                currency=seller.currency,
                exchange_rate=seller.exchange_rate,
                prices=PriceList.of(anchor.unit_price, tuple(breaks[anchor.name]), 1.0),
                duty_share=duty(anchor.duty_share, seller),
                minimum_order=anchor.minimum_order,
                order_multiple=anchor.order_multiple,
                available=anchor.available,
                lead_time_days=lead(anchor.lead_time_days, seller),
                length_sold_m=0.0,
                cut_whole=False,
                join_cost=0.0,
                pack_quantity=anchor.pack_quantity,
                pack_m3=anchor.pack_volume_m3,
                pack_kg=anchor.pack_mass_kg,
                pack_sides_mm=(
                    anchor.pack_length_mm,
                    anchor.pack_width_mm,
                    anchor.pack_height_mm,
                ),
                on_hand=(sum(stocks[anchor.name]),),
                this_side_up=anchor.this_side_up,
                stackable=anchor.stackable,
                most_on_top_kg=anchor.most_on_top_kg,
            )
        )
    lines: tuple[Chain | Rope, ...] = (*chains, *ropes)
    for line in lines:
        seller = by_name[line.supplier]
        joinable = getattr(line, "joinable", False)
        items.append(
            Item(
                name=line.name,
                kind=ItemKind.ROPE if line in ropes else ItemKind.CHAIN,
                supplier=seller.name,
                origin=seller.origin,
                currency=seller.currency,
                exchange_rate=seller.exchange_rate,
                prices=PriceList.of(line.price_per_m, tuple(breaks[line.name]), line.length_sold_m),
                duty_share=duty(line.duty_share, seller),
                minimum_order=line.minimum_order,
                order_multiple=1,
                available=line.available,
                lead_time_days=lead(line.lead_time_days, seller),
                length_sold_m=line.length_sold_m,
                cut_whole=not joinable,
                join_cost=getattr(line, "join_cost", 0.0) * seller.exchange_rate,
                pack_quantity=1,
                pack_m3=line.packed_volume_m3,
                pack_kg=line.packed_mass_kg,
                pack_sides_mm=None,
                on_hand=tuple(sorted(stocks[line.name], reverse=True)),
            )
        )
    for fitting in fittings:
        seller = by_name[fitting.supplier]
        items.append(
            Item(
                name=fitting.name,
                kind=ItemKind.FITTING,
                supplier=seller.name,
                origin=seller.origin,
                currency=seller.currency,
                exchange_rate=seller.exchange_rate,
                prices=PriceList.of(fitting.unit_price, tuple(breaks[fitting.name]), 1.0),
                duty_share=duty(fitting.duty_share, seller),
                minimum_order=0,
                order_multiple=1,
                available=fitting.available,
                lead_time_days=seller.lead_time_days,
                length_sold_m=0.0,
                cut_whole=False,
                join_cost=0.0,
                pack_quantity=1,
                pack_m3=fitting.packed_volume_m3,
                pack_kg=fitting.mass_kg,
                pack_sides_mm=None,
                on_hand=(sum(stocks[fitting.name]),),
            )
        )
    return tuple(items)
