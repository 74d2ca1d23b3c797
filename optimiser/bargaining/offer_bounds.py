"""What no plan costs less than while one offer's prices move, all others held fast.

Along an offer's multiplier the least cost never falls and is concave: so a bound at one multiplier
holds at all above it, and between two the straight line of their bounds does. Bounds come from

- every price of the farm there;
- what a plan that buys the offer costs more where it buys elsewhere instead (see `swap`): no
  plan can be cheaper by more than that than the farm's least cost;
- the farm's relaxation with the offer's prices changed, a matter of moments: its cutting rows and
  its roundings hold at any prices, so they are found once for all offers.
"""

from __future__ import annotations

import math
from collections import defaultdict
from functools import cached_property

import numpy as np

from ...models.goods.item import ItemOffer, OfferKey
from ..choices.choices import first_active
from ..programme.order_programme import OrderProgramme
from ..repricing.farm_pricer import FarmPricer
from ..search.relaxation import Relaxation
from ..search.separation import add_roundings
from .swap import Swap

WORTH_ROUNDING = 2e-5
"""Share of the bound that a round of roundings must lift it by for another to be worth it."""

FIRST_EACH = 10
"""Choices of every leg group that the relaxation starts with."""

TO_FREE = 0.5
"""How far below a multiplier another one is tried: the line from there to the farm's own bound may
lie above the relaxation at it."""

LEAST_MOVED = 0.1
"""A multiplier below which there is next to nothing below it."""

Point = tuple[float, float]
"""A multiplier and a bound there."""


class OfferBounds:
    """The bounds of one farm's offers, each along its own multiplier."""

    def __init__(self, pricing: FarmPricer, least: float) -> None:
        """least : what no plan costs less than at the prices asked."""
        self.pricing, self.least = pricing, least
        self._known: dict[OfferKey, list[Point]] = defaultdict(list)
        self._asked = np.zeros(0)
        """What every own column of the relaxation costs at the prices asked."""
        self._needed = OrderProgramme(pricing.farm, pricing.choices).most_needed
        """The most units that a plan may need of each item."""
        self._root = math.inf
        self._tried: set[tuple[OfferKey, float]] = set()
        self._swapped: dict[OfferKey, list[Swap]] = {}

    def know(self, offer: ItemOffer, multiplier: float, bound: float) -> None:
        """Keep that no plan costs less at an offer's multiplier."""
        if math.isfinite(bound):
            self._known[offer.key].append((multiplier, bound))

    def at(self, offer: ItemOffer, multiplier: float) -> float:
        """Return what no plan costs less than at an offer's multiplier, by all that is known."""
        points = [(0.0, 0.0), (1.0, self.least), *self._known[offer.key]]
        points = [point for point in points if math.isfinite(point[1])]
        below = [point for point in points if point[0] <= multiplier]
        above = [point for point in points if point[0] > multiplier]
        bound = max(known for _, known in below)
        for low, known_low in below:
            for high, known_high in above:
                share = (multiplier - low) / (high - low)
                bound = max(bound, known_low + share * (known_high - known_low))
        if multiplier < 1.0:
            dearer = min(swap.dearer(multiplier) for swap in self._swaps(offer))
            bound = max(bound, self.least - max(dearer, 0.0))
        return bound

    def saving(self, offer: ItemOffer, multiplier: float) -> float:
        """Return what an offer's multiplier takes off the relaxation's cost, where it was bounded
        so: a hint at what it may save; without one, what is not known is as much as can be."""
        for at, bound in self._known[offer.key]:
            if at == multiplier and self._relaxation is not None:
                return max(self._root - bound, 0.0)
        return math.inf

    def relax(self, offer: ItemOffer, multiplier: float) -> None:
        """Bound an offer at a multiplier, and where it helps below it, by the relaxation."""
        if (offer.key, multiplier) in self._tried:
            return
        self._tried.add((offer.key, multiplier))
        relaxed = self._relaxation
        order = relaxed.built.orders.get(offer.key) if relaxed is not None else None
        if relaxed is None or order is None:
            return
        columns = np.array(order.priced, dtype=np.int64)
        asked = self._asked[columns]
        below = (multiplier * TO_FREE,) if LEAST_MOVED < multiplier < 1.0 else ()
        for one in (multiplier, *below):
            relaxed.set_costs(columns, asked * one)
            if relaxed.solve():
                self.know(offer, one, relaxed.objective)
        relaxed.set_costs(columns, asked)

    @cached_property
    def _relaxation(self) -> Relaxation | None:
        """The farm's relaxation at the prices asked, roundings in; None where it has no answer."""
        pricing = self.pricing
        if pricing.solver != "highs":
            return None
        learnt = pricing.learnt
        first = first_active(pricing.farm, pricing.choices, FIRST_EACH)
        active = np.union1d(first, learnt.active)
        relaxed = Relaxation(pricing.farm, pricing.choices, active, learnt.cut_rows)
        if not relaxed.solve():
            return None
        if not add_roundings(relaxed, WORTH_ROUNDING, lambda: False):
            return None
        self._root = relaxed.objective
        self.least = max(self.least, self._root)
        self._asked = relaxed.cost.copy()
        return relaxed

    def _swaps(self, offer: ItemOffer) -> list[Swap]:
        if offer.key not in self._swapped:
            item = self.pricing.farm.item_by_name[offer.item]
            needed = self._needed.get(item.name, 0)
            self._swapped[offer.key] = [
                Swap(self.pricing.farm, offer, other, needed)
                for other in item.offers
                if other.can_be_ordered
            ]
        return self._swapped[offer.key]
