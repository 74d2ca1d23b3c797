"""Quantity-discount examples of the textbooks, and the yearly cost that they minimise."""

from __future__ import annotations

from dataclasses import dataclass

from moorledger.models.goods.price import PriceBreak, PriceList, Scheme


@dataclass(frozen=True)
class DiscountExample:
    """A yearly demand bought in equal orders at a price that falls with the order."""

    demand: int
    """Units a year."""
    order_cost: float
    """Paid for each order."""
    holding_rate: float
    """Yearly cost of holding stock, as a share of its value."""
    unit_price: float
    """Below the first break."""
    breaks: tuple[tuple[int, float], ...]
    """Unit number from which a price holds, and the price."""

    def prices(self, scheme: Scheme) -> PriceList:
        """Return the price list under one scheme."""
        rows = tuple(PriceBreak("item", first, price, scheme) for first, price in self.breaks)
        return PriceList.of(self.unit_price, rows, 1.0)

    def cost(self, scheme: Scheme, quantity: int) -> float:
        """Return the yearly cost of ordering `quantity` at a time."""
        prices = self.prices(scheme)
        return annual_cost(prices, quantity, self.demand, self.order_cost, self.holding_rate)


def annual_cost(
    prices: PriceList, quantity: int, demand: float, order_cost: float, holding_rate: float
) -> float:
    """Return purchase + orders + holding over a year, half of an order in stock on average.

    Source: the economic order quantity with discounts, any text of operations management.
    """
    unit = prices.money(quantity) / quantity
    return demand * unit + order_cost * demand / quantity + holding_rate * unit * quantity / 2


COURSE_EXAMPLE = DiscountExample(1000, 200.0, 0.25, 100.0, ((101, 90.0), (301, 85.0)))
"""All units; least at 301, 88 862.58. A course's worked example (seen in a copy, recomputed)."""

HOSPITAL = DiscountExample(936, 45.0, 0.25, 60.0, ((300, 58.80), (500, 57.0)))
"""All units; least at 500, 56 999. Krajewski & Ritzman's hospital example: demand, order cost
and rate seen in a copy; prices and answers from memory, recomputed."""

BAGS = DiscountExample(600, 8.0, 0.20, 0.30, ((500, 0.29), (1000, 0.28)))
"""All units; least at 500, 198.10. Nahmias's bag example, from memory, recomputed."""

BAGS_INCREMENTAL = DiscountExample(600, 8.0, 0.20, 0.30, ((501, 0.29), (1001, 0.28)))
"""Incremental; least at 400, 204.00. The same bags: the first 500 stay at the first price, so
unit 501 is the first at the second. From memory, recomputed."""
