"""Relations of offers: what another offer of an item must do to the least cost of a farm."""

from __future__ import annotations

import random
from dataclasses import replace

from moorledger.models.farm import Farm
from moorledger.models.goods.item import Item
from moorledger.models.goods.supplier import Offer

from tests.farms.rival_offers import own_price

TWIN = "twin of "
DEARER = 1.2


def split_offer(farm: Farm, draw: random.Random) -> Farm | None:
    """Return the farm with one item's offer made by two suppliers alike; None: all are limited."""
    return _beside(farm, draw, [i for i in farm.items if i.offers[0].available is None], 1.0)


def with_dearer_offer(farm: Farm, draw: random.Random) -> Farm | None:
    """Return the farm with a dearer offer beside an unlimited plain one; None: there is none."""
    plain = [
        item
        for item in farm.items
        if item.offers[0].available is None
        and item.offers[0].smallest_order == item.offers[0].order_multiple == 1
        and len(item.offers[0].prices.brackets) == 1
    ]
    return _beside(farm, draw, plain, DEARER)


def _beside(farm: Farm, draw: random.Random, items: list[Item], times: float) -> Farm | None:
    alone = [item for item in items if len(item.offers) == 1]
    if not alone:
        return None
    item = draw.choice(alone)
    (own,) = item.offers
    seller = next(s for s in farm.suppliers if s.name == own.supplier)
    twin = replace(seller, name=f"{TWIN}{seller.name}")
    other = Offer(
        item.name,
        twin.name,
        own_price(item) / seller.price_factor * times,
        own.minimum_order,
        own.order_multiple,
        own.available,
        own.lead_time_days,
        own.duty_share,
    )
    breaks = [
        replace(b, supplier=name)
        for b in farm.price_breaks
        if b.item == item.name
        for name in (seller.name, twin.name)
    ]
    others = [b for b in farm.price_breaks if b.item != item.name]
    return replace(
        farm,
        suppliers=(*farm.suppliers, twin),
        offers=(*farm.offers, other),
        price_breaks=(*others, *breaks),
    )
