"""An item: anything that a purchase order can name, and the offers of it, as its buyer sees them.

Anchors and fittings are bought each; chain and rope by the length sold. Strength, evidence and
packs belong to the item, prices and terms to its offers: that of the catalogue's own supplier, and
those of the Offers sheet. The view resolves what they leave to the supplier (duty, lead time,
currency, price factor) and to the Price breaks sheet.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any, TypeVar

from ..arrays import ROUNDING, ceil_to_whole
from ..constants import M3_PER_MM3
from .anchor import Anchor
from .chain import Chain
from .fitting import Fitting
from .freight import Basis, FreightLimit, FreightService
from .price import PriceBreak, PriceList
from .rope import Rope
from .supplier import Offer, OnHand, Supplier


class ItemKind(StrEnum):
    """The catalogue that an item comes from."""

    ANCHOR = "anchor"
    CHAIN = "chain"
    ROPE = "rope"
    FITTING = "fitting"


Good = Anchor | Chain | Rope | Fitting
"""A row of a catalogue."""

GoodT = TypeVar("GoodT", bound=Good)

OfferKey = tuple[str, str]
"""Item, supplier: a supplier makes one offer of an item."""


@dataclass(frozen=True)
class ItemOffer:
    """What one order line may be for: an item from one supplier; quantities in units as sold."""

    item: str
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
    valid_until: date | None = None
    quotation: str = ""

    @property
    def key(self) -> OfferKey:
        """Its item and its supplier."""
        return self.item, self.supplier

    @property
    def smallest_order(self) -> int:
        """The least quantity that may be ordered: its minimum, as a whole multiple."""
        multiple = self.order_multiple
        return max(multiple, ceil_to_whole(self.minimum_order / multiple, ROUNDING) * multiple)

    @property
    def largest_order(self) -> int | None:
        """The largest quantity that may be ordered, a whole multiple; None: no limit."""
        if self.available is None:
            return None
        return self.available // self.order_multiple * self.order_multiple

    @property
    def can_be_ordered(self) -> bool:
        """Whether its least order is available."""
        return self.largest_order is None or self.largest_order >= self.smallest_order

    def goods(self, quantity: int) -> float:
        """Return what `quantity` units cost before duty, in the project's currency."""
        return self.prices.money(quantity) * self.exchange_rate

    def in_time(self, service: FreightService, days_to_deliver: int | None) -> bool:
        """Tell whether what is ordered reaches the site by a service; None days: it always does."""
        days = (self.lead_time_days or 0) + (service.transit_days or 0)
        return days_to_deliver is None or days <= days_to_deliver


@dataclass(frozen=True)
class Item:
    """What can be bought, as it is used and as it travels; quantities in units as sold."""

    name: str
    kind: ItemKind
    offers: tuple[ItemOffer, ...]
    """The catalogue's own first, then those of the Offers sheet, in its order."""
    length_sold_m: float
    """Metres in one unit as sold; 0 for anchors and fittings."""
    cut_whole: bool
    """Whether every leg's piece must be one continuous length (rope; chain not joinable)."""
    join_cost: float
    """Project currency per join; it is stated in the currency of the first offer."""
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
    connectors: int = 0
    """On hand, of a chain: so many joins cost nothing."""

    @property
    def on_hand_total(self) -> float:
        """Units (each) or metres on hand."""
        return sum(self.on_hand)

    @property
    def can_be_ordered(self) -> bool:
        """Whether of any offer the least order is available."""
        return any(offer.can_be_ordered for offer in self.offers)

    @property
    def origins(self) -> frozenset[str]:
        """Where its offers ship from."""
        return frozenset(offer.origin for offer in self.offers)

    @property
    def sold_as(self) -> str:
        """The unit as a purchase order writes it."""
        return f"length of {self.length_sold_m:g} m" if self.length_sold_m else "each"

    @property
    def list_price(self) -> float:
        """The least that one unit costs of any offer, project currency; infinite without one."""
        return min((offer.goods(1) for offer in self.offers), default=math.inf)

    def connectors_to_buy(self, joins: int) -> int:
        """Return how many connectors so many joins of a chain need beside those on hand."""
        return max(joins - self.connectors, 0)

    def packs(self, quantity: int) -> int:
        """Return the whole packs that `quantity` units of one offer travel in."""
        return -(-quantity // self.pack_quantity)

    def travels_by(
        self, service: FreightService, offer: ItemOffer, days_to_deliver: int | None
    ) -> bool:
        """Tell whether the packs of an offer may go by a service: origin, door, length, dates.

        The volume and payload of one container bar a pack too large for any.
        """
        barred = self.barred_from(service, offer, days_to_deliver)
        return service.origin == offer.origin and not barred

    def barred_from(
        self, service: FreightService, offer: ItemOffer, days_to_deliver: int | None
    ) -> FreightLimit | None:
        """Return what bars an offer's packs from a service of its origin; None: nothing does."""
        barred = self.pack_barred_from(service)
        if barred is None and not offer.in_time(service, days_to_deliver):
            return FreightLimit.DATES
        return barred

    def pack_barred_from(self, service: FreightService) -> FreightLimit | None:
        """Return what bars one of its packs from a service, dates apart."""
        if self.pack_sides_mm is not None and not service.takes_pack(
            *self.pack_sides_mm, upright=self.this_side_up
        ):
            return FreightLimit.DOOR
        if service.basis is Basis.CONTAINER:
            if service.payload_t is not None and self.pack_kg > service.payload_t * 1000:
                return FreightLimit.PAYLOAD
            if service.volume_m3 is not None and self.pack_m3 > service.volume_m3:
                return FreightLimit.VOLUME
            room = service.box.through_door_mm3 * M3_PER_MM3 if service.box else math.inf
            if self.pack_sides_mm is None and self.pack_m3 > room:
                return FreightLimit.VOLUME
        return None


def offer_rows(goods: Sequence[Good], offers: Sequence[Offer]) -> dict[str, list[Offer]]:
    """Return every offer by item: the catalogue's own as a row too, before those of the sheet."""
    rows: dict[str, list[Offer]] = {good.name: [] for good in goods}
    for good in goods:
        price = good.price_per_m if isinstance(good, (Chain, Rope)) else good.unit_price
        if good.supplier is None or price is None:
            continue
        rows[good.name].append(
            Offer(
                good.name,
                good.supplier,
                price,
                minimum_order=0 if isinstance(good, Fitting) else good.minimum_order,
                order_multiple=good.order_multiple if isinstance(good, Anchor) else 1,
                available=good.available,
                lead_time_days=None if isinstance(good, Fitting) else good.lead_time_days,
                duty_share=good.duty_share,
                source=good.source,
            )
        )
    for offer in offers:
        if offer.item in rows:
            rows[offer.item].append(offer)
    return rows


def without_own_offer(good: GoodT) -> GoodT:
    """Return a good whose own supplier and price are blank, as where all its offers are on
    Offers."""
    blank: dict[str, Any] = {"supplier": None, "available": None}
    blank["price_per_m" if isinstance(good, (Chain, Rope)) else "unit_price"] = None
    if not isinstance(good, Fitting):
        blank |= {"minimum_order": 0, "lead_time_days": None}
    if isinstance(good, Anchor):
        blank["order_multiple"] = 1
    return replace(good, **blank)


def breaks_of(
    offers: Sequence[Offer], price_breaks: Sequence[PriceBreak]
) -> list[list[PriceBreak]]:
    """Return the price breaks of each of one item's offers; price_breaks : all of the item."""
    alone = len(offers) == 1
    return [
        [b for b in price_breaks if b.supplier == offer.supplier or (alone and b.supplier is None)]
        for offer in offers
    ]


def items_of(
    anchors: Sequence[Anchor],
    chains: Sequence[Chain],
    ropes: Sequence[Rope],
    fittings: Sequence[Fitting],
    suppliers: Sequence[Supplier],
    offers: Sequence[Offer],
    price_breaks: Sequence[PriceBreak],
    on_hand: Sequence[OnHand],
) -> tuple[Item, ...]:
    """Return every item of the catalogues, in the order of the sheets.

    Raises KeyError where an offer names an unknown supplier; `farm_faults` says so first.
    """
    by_name = {supplier.name: supplier for supplier in suppliers}
    breaks: dict[str, list[PriceBreak]] = defaultdict(list)
    for price_break in price_breaks:
        breaks[price_break.item].append(price_break)
    stocks: dict[str, list[float]] = defaultdict(list)
    connectors: dict[str, int] = defaultdict(int)
    for stock in on_hand:
        if stock.connectors:
            connectors[stock.item] += int(stock.quantity)
        else:
            stocks[stock.item].append(stock.quantity)
    rows = offer_rows((*anchors, *chains, *ropes, *fittings), offers)

    def offered(name: str, units_per_price: float) -> tuple[ItemOffer, ...]:
        of_item = rows[name]
        return tuple(
            _item_offer(row, by_name[row.supplier], tuple(own), units_per_price)
            for row, own in zip(of_item, breaks_of(of_item, breaks[name]), strict=True)
        )

    def of_line(line: Chain | Rope) -> Item:
        lines = offered(line.name, line.length_sold_m)
        join_cost = line.join_cost if isinstance(line, Chain) else 0.0
        return Item(
            name=line.name,
            kind=ItemKind.CHAIN if isinstance(line, Chain) else ItemKind.ROPE,
            offers=lines,
            length_sold_m=line.length_sold_m,
            cut_whole=not (isinstance(line, Chain) and line.joinable),
            join_cost=join_cost * (lines[0].exchange_rate if lines else 1.0),
            pack_quantity=1,
            pack_m3=line.packed_volume_m3,
            pack_kg=line.packed_mass_kg,
            pack_sides_mm=None,
            on_hand=tuple(sorted(stocks[line.name], reverse=True)),
            connectors=connectors[line.name],
        )

    of_anchors = (
        Item(
            name=anchor.name,
            kind=ItemKind.ANCHOR,
            offers=offered(anchor.name, 1.0),
            length_sold_m=0.0,
            cut_whole=False,
            join_cost=0.0,
            pack_quantity=anchor.pack_quantity,
            pack_m3=anchor.pack_volume_m3,
            pack_kg=anchor.pack_mass_kg,
            pack_sides_mm=(anchor.pack_length_mm, anchor.pack_width_mm, anchor.pack_height_mm),
            on_hand=(sum(stocks[anchor.name]),),
            this_side_up=anchor.this_side_up,
            stackable=anchor.stackable,
            most_on_top_kg=anchor.most_on_top_kg,
        )
        for anchor in anchors
    )
    of_fittings = (
        Item(
            name=fitting.name,
            kind=ItemKind.FITTING,
            offers=offered(fitting.name, 1.0),
            length_sold_m=0.0,
            cut_whole=False,
            join_cost=0.0,
            pack_quantity=1,
            pack_m3=fitting.packed_volume_m3,
            pack_kg=fitting.mass_kg,
            pack_sides_mm=None,
            on_hand=(sum(stocks[fitting.name]),),
        )
        for fitting in fittings
    )
    of_chains, of_ropes = map(of_line, chains), map(of_line, ropes)
    return (*of_anchors, *of_chains, *of_ropes, *of_fittings)


def _item_offer(
    row: Offer, seller: Supplier, breaks: tuple[PriceBreak, ...], units_per_price: float
) -> ItemOffer:
    """Return an offer with what it leaves to its supplier, at that supplier's price factor."""
    return ItemOffer(
        row.item,
        seller.name,
        seller.origin,
        seller.currency,
        seller.exchange_rate,
        PriceList.of(row.unit_price, breaks, units_per_price * seller.price_factor),
        seller.duty_share if row.duty_share is None else row.duty_share,
        row.minimum_order,
        row.order_multiple,
        row.available,
        seller.lead_time_days if row.lead_time_days is None else row.lead_time_days,
        row.valid_until,
        row.quotation,
    )
