"""Rival offers of one item side by side, as far as a finished plan alone tells."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..answer.plan import Plan
from ..goods.duty import goods_duty
from ..goods.item import Item, ItemOffer
from ..goods.supplier import ORDERED_BEFORE


@dataclass(frozen=True)
class RivalOffer:
    """One of several offers of an item; `landed` is in the project's currency, `price` in its own.

    A landed unit price is with duty and insurance, each, or per metre of what is sold in lengths.
    It has no carriage in it: what that comes to depends on all that is shipped together.
    """

    item: str
    supplier: str
    quotation: str
    currency: str
    price: float
    """Asked for a first unit: each, or per metre; the supplier's price factor in."""
    bought: int
    """Units as sold that the plan orders of it."""
    quantity: int
    """Units as sold for which `landed` is: all that the plan orders of the item, or what may be
    ordered of this offer that is nearest to it."""
    landed: float
    than_paid: float | None
    """`landed` less what the plan pays for the item on average, or, where it buys none, less the
    cheapest of them."""
    money: float | None
    """What that comes to on all that the plan orders of the item; None: it orders none."""
    mind: str
    """Why the quantity is another, or why it could not be bought; "": nothing."""


def rival_offers(plan: Plan) -> tuple[RivalOffer, ...]:
    """Return the offers of every item that several suppliers offer, item by item.

    Goods of earlier orders that are kept are no offer.
    """
    return tuple(row for item in plan.farm.items for row in _of_item(plan, item))


def _of_item(plan: Plan, item: Item) -> Iterator[RivalOffer]:
    offers = [offer for offer in item.offers if offer.origin != ORDERED_BEFORE]
    if len(offers) < 2:
        return
    bought = {line.supplier: line.quantity for line in plan.orders if line.item == item.name}
    ordered = sum(bought.get(offer.supplier, 0) for offer in offers)
    wanted = max(ordered, 1)
    at = {offer.key: _nearest(offer, wanted) for offer in offers}
    landed = {offer.key: _landed(plan, item, offer, at[offer.key]) for offer in offers}
    paid = min(landed.values())
    if ordered:
        shares = ((o, bought.get(o.supplier, 0)) for o in offers)
        paid = sum(_landed(plan, item, o, n) * n for o, n in shares if n) / ordered
    metres = item.length_sold_m or 1.0
    for offer in offers:
        more = landed[offer.key] - paid
        yield RivalOffer(
            item.name,
            offer.supplier,
            offer.quotation,
            offer.currency,
            offer.prices.brackets[0].price / metres,
            bought.get(offer.supplier, 0),
            at[offer.key],
            landed[offer.key],
            more,
            more * metres * ordered if ordered else None,
            _mind(plan, offer, wanted, at[offer.key]),
        )


def _nearest(offer: ItemOffer, wanted: int) -> int:
    """Return what may be ordered that covers what is wanted, or the most that may be."""
    multiple = offer.order_multiple
    covering = max(offer.smallest_order, math.ceil(wanted / multiple) * multiple)
    most = offer.largest_order
    return covering if most is None else max(min(covering, most), 1)


def _landed(plan: Plan, item: Item, offer: ItemOffer, quantity: int) -> float:
    """Return what a unit comes to with duty and insurance, each or per metre."""
    project = plan.farm.project
    per_money = 1.0 + goods_duty(project, offer.duty_share) + project.insurance_share
    return offer.goods(quantity) * per_money / quantity / (item.length_sold_m or 1.0)


def _mind(plan: Plan, offer: ItemOffer, wanted: int, nearest: int) -> str:
    """Return what stands against buying all of an item by an offer."""
    if not offer.can_be_ordered:
        return "less is to be had than may be ordered"
    days = plan.farm.project.days_to_deliver
    ways = [s for s in plan.farm.services if s.origin == offer.origin]
    if ways and not any(offer.in_time(service, days) for service in ways):
        return "not there in time"
    if nearest < wanted:
        return f"only {nearest} to be had"
    return f"{nearest} is the least that covers it" if nearest > wanted else ""
