"""Goods of an earlier order that their supplier takes back: what is kept of them costs what giving
them back would have paid.

They are on offer from where they lie, for that money and carried for nothing, so that whoever
prices, checks or tries every plan needs to know no more of them. What an earlier order spent is
then less all that it could be given back: the totals are those of giving back what is not kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from ..answer.plan import PART_OF_KIND, Part, Plan
from ..farm import Farm
from ..goods.freight import Basis, FreightService
from ..goods.item import OfferKey
from ..goods.supplier import ORDERED_BEFORE, Offer, OnHand, Supplier

WHOLE = 1e-6
"""Share by which a length may be shorter than it is sold and still be a whole one."""

ENDING = " (ordered before)"
"""Of the name under which a supplier's goods of earlier orders are kept or given back."""

CARRIED_BY = "lies there already"
"""The service that carries them for nothing."""


def seller_of(name: str) -> str:
    """Return whose goods they are, ordered before or not."""
    return name.removesuffix(ENDING)


def without_kept(farm: Farm) -> Farm:
    """Return a farm as its buyer says it: without what a pricing put on offer of earlier orders."""
    gone = {supplier.name for supplier in farm.suppliers if supplier.ordered_before}
    if not gone:
        return farm
    return replace(
        farm,
        suppliers=tuple(s for s in farm.suppliers if s.name not in gone),
        offers=tuple(offer for offer in farm.offers if offer.supplier not in gone),
        services=tuple(s for s in farm.services if s.origin != ORDERED_BEFORE),
    )


def on_offer(farm: Farm, stock: Iterable[OnHand], old: Plan) -> Farm:
    """Return a farm with what can be given back of a stock on offer, and the rest on hand.

    stock : of earlier orders and the buyer's own. Only what is there when it is needed is given
    back, in whole units as sold.
    """
    paid, kept = _paid(farm, old), dict[OfferKey, int]()
    left: list[OnHand] = []
    for row in stock:
        key = (row.item, row.ordered_from)
        back = int(row.quantity) if key in paid and not row.connectors else 0
        item = farm.item_by_name.get(row.item)
        if item is not None and item.length_sold_m:
            back = int(row.quantity >= item.length_sold_m * (1 - WHOLE)) if back else 0
        if not back or item is None or not row.there_by(farm.project.required_on_site):
            left.append(row)
            continue
        kept[key] = kept.get(key, 0) + back
        rest = row.quantity - back * (item.length_sold_m or 1.0)
        if rest > WHOLE * row.quantity:
            left.append(replace(row, quantity=rest))
    farm = replace(farm, on_hand=tuple(left))
    if not kept:
        return farm
    return replace(
        with_named_breaks(farm),
        suppliers=(*farm.suppliers, *_sellers(farm, {seller for _, seller in kept})),
        offers=(*farm.offers, *_offers(farm, kept, paid)),
        services=(*farm.services, _carriage(farm)),
    )


def could_be_given_back(farm: Farm) -> dict[Part, float]:
    """Return what all goods that can be given back would pay, by part of the cost."""
    found = dict.fromkeys(Part, 0.0)
    for offer in _kept_offers(farm):
        item = farm.item_by_name[offer.item]
        money = farm.offer_by_key[offer.item, offer.supplier].goods(offer.available or 0)
        found[PART_OF_KIND[item.kind]] += money
        found[Part.INSURANCE] += money * farm.project.insurance_share
    return found


def given_back(plan: Plan) -> Iterator[tuple[OfferKey, int, int, float]]:
    """Yield item and supplier, how many could be given back, how many are, and what that pays."""
    kept = {(line.item, line.supplier): line.quantity for line in plan.orders}
    for offer in _kept_offers(plan.farm):
        key = (offer.item, offer.supplier)
        there = offer.available or 0
        back = there - kept.get(key, 0)
        each = plan.farm.offer_by_key[key].goods(1) * (1 + plan.farm.project.insurance_share)
        yield (offer.item, seller_of(offer.supplier)), there, back, back * each


def with_named_breaks(farm: Farm) -> Farm:
    """Return a farm whose price breaks all name their supplier, where an item has only one."""
    only = {
        item.name: item.offers[0].supplier
        for item in without_kept(farm).items
        if len(item.offers) == 1
    }
    breaks = tuple(
        replace(row, supplier=only.get(row.item)) if row.supplier is None else row
        for row in farm.price_breaks
    )
    return replace(farm, price_breaks=breaks)


def _kept_offers(farm: Farm) -> Iterator[Offer]:
    sellers = {supplier.name for supplier in farm.suppliers if supplier.ordered_before}
    return (offer for offer in farm.offers if offer.supplier in sellers)


def _paid(farm: Farm, old: Plan) -> Mapping[OfferKey, float]:
    """Return what a supplier pays back for a unit as sold, in its currency; the least, where it
    was bought at several prices."""
    sellers = {supplier.name: supplier for supplier in farm.suppliers}
    insured = 1 + farm.project.insurance_share
    agreed = {supplier.name: supplier.returns_share for supplier in old.farm.suppliers}
    was_kept = {supplier.name for supplier in old.farm.suppliers if supplier.ordered_before}
    was_insured = 1 + old.farm.project.insurance_share
    paid: dict[OfferKey, float] = {}
    for line in old.orders:
        seller = sellers.get(seller_of(line.supplier))
        if seller is None or not seller.returns_share or not line.quantity:
            continue
        each = line.money_supplier / line.quantity
        if line.supplier in was_kept:  # counted at what giving it back paid, insurance taken off
            each *= was_insured / agreed[seller.name]
        back = each * seller.returns_share / insured
        key = (line.item, seller.name)
        paid[key] = min(paid.get(key, back), back)
    return paid


def _sellers(farm: Farm, names: set[str]) -> Iterator[Supplier]:
    for seller in farm.suppliers:
        if seller.name in names:
            yield Supplier(
                seller.name + ENDING, ORDERED_BEFORE, seller.currency, seller.exchange_rate
            )


def _offers(
    farm: Farm, kept: Mapping[OfferKey, int], paid: Mapping[OfferKey, float]
) -> Iterator[Offer]:
    for (name, seller), number in kept.items():
        per_m = farm.item_by_name[name].length_sold_m or 1.0
        price = paid[name, seller] / per_m
        yield Offer(name, seller + ENDING, price, available=number, duty_share=0.0)


def _carriage(farm: Farm) -> FreightService:
    return FreightService(
        CARRIED_BY, ORDERED_BEFORE, Basis.MEASURE, 0.0, farm.project.currency, 1.0
    )
