"""A swap: what a plan buys of one offer is bought of another of the same item instead.

Where the other offer comes from the same place, no later and in orders no larger, the plan stays
one: its lines, cutting lists and days do not change, and its packs can only become fewer. So it
costs what its price and charge ask more, and no plan that buys the first offer can be cheaper by
more than that than the best that does not. At a price at which it is nothing, the offer stays out,
whatever the farm: nothing has to be solved for that.
"""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np

from ...models.arrays import Floats
from ...models.farm import Farm
from ...models.goods.duty import goods_duty
from ...models.goods.item import ItemOffer
from ..programme.purchase import largest_worth_ordering

MOST_UNITS = 3000
"""Of larger orders the swaps are not gone through one by one."""


def rated(farm: Farm, offer: ItemOffer, quantity: int) -> float:
    """Return what an offer's units cost with duty and insurance on their price."""
    project = farm.project
    per_money = 1.0 + goods_duty(project, offer.duty_share) + project.insurance_share
    return offer.goods(quantity) * per_money


class Swap:
    """One offer's units bought of another offer of the item: its own at the price asked, too."""

    def __init__(self, farm: Farm, offer: ItemOffer, other: ItemOffer, needed: int) -> None:
        """needed : the most units of the item that a plan may need."""
        self.farm, self.offer, self.other = farm, offer, other
        self.most = largest_worth_ordering(offer, needed)
        self.most_other = largest_worth_ordering(other, needed)

    @property
    def stands(self) -> bool:
        """Whether any plan stays one when it is made."""
        offer, other = self.offer, self.other
        if offer.key == other.key:
            return True
        limit = other.largest_order
        return (
            offer.origin == other.origin
            and (other.lead_time_days or 0) <= (offer.lead_time_days or 0)
            and other.smallest_order <= offer.smallest_order
            and offer.order_multiple % other.order_multiple == 0
            and (limit is None or limit >= self.most + self.most_other)
            and self.farm.project.most_suppliers is None
            and self.most + self.most_other <= MOST_UNITS
        )

    def dearer(self, multiplier: float) -> float:
        """Return by how much a plan that buys the offer at its prices × multiplier may become
        dearer at most, project currency; infinite where the swap does not stand."""
        offer, farm = self.offer, self.farm
        if not self.stands:
            return math.inf
        if offer.key == self.other.key:
            # Between two breaks a larger order costs more; at a break it may cost less.
            ends = {min(b.last or self.most, self.most) for b in offer.prices.brackets}
            return max((1.0 - multiplier) * rated(farm, offer, end) for end in ends)
        quantities = range(offer.smallest_order, self.most + 1, offer.order_multiple)
        each = (self._more[n] - multiplier * rated(farm, offer, n) for n in quantities)
        return float(max(each, default=-math.inf))

    @cached_property
    def _more(self) -> Floats:
        """Return, by units, what they cost more of the other offer at most, besides any number of
        its own; alone, with its supplier's charge."""
        whole = self.most + self.most_other
        cost = np.array([rated(self.farm, self.other, n) for n in range(whole + 1)])
        seller = next(s for s in self.farm.suppliers if s.name == self.other.supplier)
        charge = seller.order_charge * seller.exchange_rate
        more = np.zeros(self.most + 1)
        for units in range(1, self.most + 1):
            beside = cost[units + 1 :] - cost[1 : whole + 1 - units]
            more[units] = max(cost[units] + charge, beside.max(initial=-math.inf))
        return more
