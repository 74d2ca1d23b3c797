"""Rival offers made up at random, beside those of a random farm; every number is invented."""

from __future__ import annotations

import random
from dataclasses import replace

from moorledger.models.farm import Farm
from moorledger.models.goods.item import Item, ItemKind
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.supplier import Offer, Supplier

from tests.farms.random_farms import random_farm

RIVAL = "Rival"
"""What the names of suppliers begin with that only the rival offers come from."""


def own_price(item: Item) -> float:
    """Return the price of an item's first offer as its sheet states it: each, or a metre."""
    return item.offers[0].prices.brackets[0].price / (item.length_sold_m or 1.0)


def farm_with_rivals(seed: int, extent: str = "small") -> Farm:
    """Return a random farm in which some items have two or three offers.

    A rival's price is 15 % lower to 15 % higher; it may have a minimum, a multiple, a limit,
    breaks, another duty and lead time, another currency and another origin than the first.
    """
    draw = random.Random(f"rivals {seed}")
    farm = random_farm(seed, extent)
    origins = list(dict.fromkeys(service.origin for service in farm.services))
    sellers = {(s.currency, s.exchange_rate) for s in farm.suppliers}
    rivals = tuple(
        Supplier(
            f"{RIVAL} {number}",
            draw.choice(origins),
            *draw.choice(sorted(sellers)),
            order_charge=draw.choice((0.0, 40.0)),
            duty_share=draw.choice((0.0, 0.05)),
            price_factor=draw.choice((1.0, 0.98, 1.03)),
        )
        for number in (1, 2)
    )
    offers: list[Offer] = []
    breaks: list[PriceBreak] = []
    for item in draw.sample(farm.items, min(3, len(farm.items))):
        for rival in draw.sample(rivals, draw.choice((1, 1, 2))):
            home = own_price(item) * item.offers[0].exchange_rate
            price = round(home / rival.exchange_rate * draw.uniform(0.85, 1.15), 2)
            offers.append(
                Offer(
                    item.name,
                    rival.name,
                    price,
                    minimum_order=draw.choice((0, 0, 2)),
                    order_multiple=draw.choice((1, 1, 2)) if item.kind is ItemKind.ANCHOR else 1,
                    available=draw.choice((None, 1, 3)),
                    lead_time_days=draw.choice((None, 10)),
                    duty_share=draw.choice((None, 0.1)),
                    quotation=f"Q {item.name}",
                )
            )
            if draw.random() < 0.4:
                scheme = draw.choice(list(Scheme))
                breaks.append(PriceBreak(item.name, 3, round(price * 0.9, 2), scheme, rival.name))
    named = {offer.item for offer in offers}
    owned = tuple(
        replace(b, supplier=farm.item_by_name[b.item].offers[0].supplier) if b.item in named else b
        for b in farm.price_breaks
    )
    return replace(
        farm,
        suppliers=(*farm.suppliers, *rivals),
        offers=tuple(offers),
        price_breaks=(*owned, *breaks),
    )
