"""Columns that several input sheets have, and the ranges that their numbers must keep."""

from __future__ import annotations

from . import stand_ins as assumed
from .column import Bounds, CellKind, InputColumn, above, between, share

C = InputColumn
K = CellKind

MASS = above(0, 1e6)
FORCE = above(0, 1e5)
METRES = above(0, 5000)
SIDE = above(0, 50_000)
VOLUME = above(0, 1000)
AREA = above(0, 1000)
MINUTES = Bounds(0, 100_000)
DAYS = Bounds(0, 3650)
PRICE = above(0, 1e9)
CHARGE = Bounds(0, 1e9)
COUNT = Bounds(1, 1e6)
QUANTITY = Bounds(0, 1e6)
FACTOR = Bounds(1, 20)
FACTOR_OF_PRICES = above(0, 20)
SHARE = share()
SOME = share(of_nothing=False)
DUTY = Bounds(0, 5)
UPLIFT = between(0, 90)
DIAMETER = above(0, 1000)
RATE = above(0, 1e6)
HOURS = Bounds(0, 24, above=True, closed=True)

NO_LIMIT = "no limit"
TO_FILL_IN = "left on the orders to fill in"
_SUPPLIERS = "the supplier's"


def supplier_column(example: str) -> InputColumn:
    """Return the column of who sells an item."""
    return C("Supplier", "supplier", "Who sells it; a name on Suppliers", K.NAME,
             names="supplier", else_on="Offers", example=example,
             stand_in=assumed.ONE_SUPPLIER)  # fmt: skip


def available_column(unit: str) -> InputColumn:
    """Return the column of how many can be had."""
    return C("Available", "available", "The most that can be had", K.COUNT, unit,
             range=QUANTITY, blank=NO_LIMIT)  # fmt: skip


def lead_time_column() -> InputColumn:
    """Return the column of an item's own lead time."""
    return C("Lead time", "lead_time_days", "From the order until it leaves the supplier", K.COUNT,
             "days", range=DAYS, blank=_SUPPLIERS)  # fmt: skip


def duty_column() -> InputColumn:
    """Return the column of an item's own duty."""
    return C("Duty", "duty_share", "Duty on its price", K.PERCENT, "%", range=DUTY,
             blank=_SUPPLIERS)  # fmt: skip


def hs_heading_column(example: str | None) -> InputColumn:
    """Return the column of the customs heading, of the World Customs Organization's system."""
    return C("HS heading", "hs_heading", "Of the Harmonized System, for customs: 7316 anchors of "
             "iron or steel, 7315 chain, 5607 rope; the tariff of a country adds digits", K.TEXT,
             blank="not on the order", example=example)  # fmt: skip


def minimum_order_column() -> InputColumn:
    """Return the column of the least order."""
    return C("Minimum order", "minimum_order", "The least that may be ordered, in units as sold",
             K.COUNT, range=QUANTITY)  # fmt: skip


def order_multiple_column() -> InputColumn:
    """Return the column of what an order is a whole number of."""
    return C("Order multiple", "order_multiple", "An order is a whole number of these", K.COUNT,
             range=COUNT)  # fmt: skip


def exchange_rate_column() -> InputColumn:
    """Return the column of a currency's rate."""
    return C("Project currency per unit", "exchange_rate",
             "What one unit of that currency costs in the project's; 1 for the project's own",
             range=RATE, example=1)  # fmt: skip


def currency_column() -> InputColumn:
    """Return the column of the currency of prices."""
    return C("Currency", "currency", "The currency of its prices", K.NAME, names="currency",
             example="EUR")  # fmt: skip


def seabed_column() -> InputColumn:
    """Return the column that names a seabed."""
    return C("Seabed", "seabed", "A name on Seabeds", K.NAME, names="seabed", example="sand")
