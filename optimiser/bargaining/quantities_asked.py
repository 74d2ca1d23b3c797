"""Quantities to ask quotations for: those of the least plan, and where a break would matter."""

from __future__ import annotations

from ...models.answer.quantity_asked import QuantityAsked
from ...models.option import FREE
from ..programme.order_programme import OrderProgramme
from ..repricing.farm_pricer import FarmPricer, PricedOption, Progress


def quantities_asked(
    pricing: FarmPricer, *, time_limit_s: float = 600.0, progress: Progress | None = None
) -> tuple[PricedOption, tuple[QuantityAsked, ...]]:
    """Return the least plan's option, and the quantities of every item that a line could use.

    Without a plan its settlement is None, and what it orders is taken for nothing.
    """
    priced = pricing.price(FREE, time_limit_s=time_limit_s, progress=progress)
    ordered: dict[str, int] = {}
    if priced.settlement is not None:
        for (name, _), quantity in priced.settlement.quantities.items():
            ordered[name] = ordered.get(name, 0) + quantity
    most = OrderProgramme(pricing.farm, pricing.choices).most_needed
    asked = []
    for item in pricing.farm.items:
        least, needed = ordered.get(item.name, 0), most.get(item.name, 0)
        known = {b.first for offer in item.offers for b in offer.prices.brackets[1:]}
        worth = {quantity for quantity in {least, needed, *known} if 1 < quantity <= needed}
        if needed or least:
            asked.append(QuantityAsked(item.name, least, needed, tuple(sorted(worth))))
    return priced, tuple(asked)
