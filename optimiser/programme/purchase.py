"""Purchase in the programme: order quantities, minimums, multiples, price breaks, suppliers."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ...models.farm import Farm
from ...models.goods.item import Item, ItemOffer
from ...models.goods.price import Scheme
from ..solvers.matrix import Programme
from .families import ColumnFamily, RowFamily


@dataclass(frozen=True)
class Order:
    """The columns that make up the order of one offer.

    `quantity` is the order in units as sold, as terms (column, coefficient); `ordered` are the
    binary columns of which one is 1 whenever anything is ordered (empty: the order needs none).
    """

    item: Item
    offer: ItemOffer
    most: int
    """No larger order can pay."""
    quantity: list[tuple[int, float]]
    ordered: list[int] = field(default_factory=list)
    priced: list[int] = field(default_factory=list)
    """Columns whose costs are what it asks: all else that it costs is no column's of its own."""

    def scaled(self, factor: float) -> list[tuple[int, float]]:
        """Return factor × quantity, as terms."""
        return [(column, factor * value) for column, value in self.quantity]


def supplier_columns(farm: Farm, programme: Programme) -> dict[str, int]:
    """Add a binary a supplier ordered from, where a charge or the policy needs one."""
    limited = farm.project.most_suppliers is not None
    columns = {
        supplier.name: programme.column(
            ColumnFamily.SUPPLIER_USED,
            high=1,
            integer=True,
            cost=supplier.order_charge * supplier.exchange_rate,
        )
        for supplier in farm.suppliers
        if limited or supplier.order_charge > 0
    }
    if farm.project.most_suppliers is not None:
        programme.row(
            RowFamily.MOST_SUPPLIERS,
            [(columns[s.name], 1.0) for s in farm.suppliers if not s.ordered_before],
            high=farm.project.most_suppliers,
        )
    return columns


def largest_worth_ordering(offer: ItemOffer, most_needed: int) -> int:
    """Return the largest order that can pay: what is needed at most, the least order, or the
    start of a cheaper bracket, in whole multiples and within what is available."""
    multiple = offer.order_multiple
    starts = [bracket.first for bracket in offer.prices.brackets[1:]]
    wanted = max([most_needed, offer.smallest_order, *starts])
    # With packs part-filled counted whole, a few more units never cost freight less.
    most = math.ceil(wanted / multiple) * multiple
    return most if offer.largest_order is None else min(most, offer.largest_order)


def add_order(
    programme: Programme,
    item: Item,
    offer: ItemOffer,
    most_needed: int,
    charge_factor: float,
    supplier: int | None,
    at_most: int | None = None,
) -> Order:
    """Add the order of one offer; `charge_factor` is 1 + duty + insurance, both on the price.

    An order is zero, or a whole number of multiples between the least order and `most`. All
    units: one bracket is chosen and the whole order is in it. Incremental: the brackets fill
    in turn. `supplier` is the binary of its supplier, if there is one.
    """
    most = largest_worth_ordering(offer, most_needed)
    if at_most is not None:
        most = min(most, at_most // offer.order_multiple * offer.order_multiple)
    rate = offer.exchange_rate * charge_factor
    if most < offer.smallest_order:
        return Order(item, offer, 0, [])
    brackets = [b for b in offer.prices.brackets if b.first <= most]
    multiple = offer.order_multiple
    if len(brackets) == 1 and offer.smallest_order == multiple:
        units = programme.column(
            ColumnFamily.UNITS,
            high=most // multiple,
            integer=True,
            cost=multiple * brackets[0].price * rate,
        )
        quantity = [(units, float(multiple))]
        if supplier is not None:
            programme.row(RowFamily.SUPPLIER_OF, [*quantity, (supplier, -float(most))], high=0)
        return Order(item, offer, most, quantity, [], [units])
    if offer.prices.scheme is Scheme.ALL_UNITS:
        quantity, ordered = _all_units(programme, offer, most, rate)
        priced = [column for column, _ in quantity]
    else:
        quantity, ordered, priced = _incremental(programme, offer, most, rate)
    cap = [(column, 1.0) for column in ordered]
    if supplier is not None:
        programme.row(RowFamily.SUPPLIER_OF, [*cap, (supplier, -1.0)], high=0)
    elif len(cap) > 1:
        programme.row(RowFamily.ONE_BRACKET, cap, high=1)
    return Order(item, offer, most, quantity, ordered, priced)


Columns = tuple[list[tuple[int, float]], list[int]]
"""The quantity ordered, as terms, and the binaries of which one says that anything is."""


def _all_units(programme: Programme, offer: ItemOffer, most: int, rate: float) -> Columns:
    """low_b z_b ≤ multiple × u_b ≤ high_b z_b; Σ z_b ≤ 1; the convex hull of the brackets."""
    multiple = offer.order_multiple
    quantity: list[tuple[int, float]] = []
    ordered: list[int] = []
    for bracket in offer.prices.brackets:
        least = max(bracket.first, offer.smallest_order)
        low = math.ceil(least / multiple)
        high = min(most, bracket.last if bracket.last is not None else most) // multiple
        if low > high:
            continue
        chosen = programme.column(ColumnFamily.BRACKET, high=1, integer=True)
        units = programme.column(
            ColumnFamily.UNITS, high=high, integer=True, cost=multiple * bracket.price * rate
        )
        programme.row(RowFamily.BRACKET_HOLDS, [(units, 1.0), (chosen, -float(high))], high=0)
        programme.row(RowFamily.BRACKET_STARTS, [(units, 1.0), (chosen, -float(low))], low=0)
        quantity.append((units, float(multiple)))
        ordered.append(chosen)
    return quantity, ordered


def _incremental(
    programme: Programme, offer: ItemOffer, most: int, rate: float
) -> tuple[list[tuple[int, float]], list[int], list[int]]:
    """width_b y_(b+1) ≤ δ_b ≤ width_b y_b; the order is Σ δ_b, a whole number of multiples. Return
    besides what `Columns` holds the columns of the δ_b, which bear the price."""
    multiple = offer.order_multiple
    units = programme.column(ColumnFamily.UNITS, high=most // multiple, integer=True)
    filled: list[tuple[int, float]] = []
    entered: list[int] = []
    widths: list[float] = []
    for bracket in offer.prices.brackets:
        if bracket.first > most:
            break
        last = most if bracket.last is None else min(bracket.last, most)
        width = float(last - bracket.first + 1)
        enter = programme.column(ColumnFamily.BRACKET, high=1, integer=True)
        fill = programme.column(ColumnFamily.BRACKET_UNITS, high=width, cost=bracket.price * rate)
        programme.row(RowFamily.BRACKET_HOLDS, [(fill, 1.0), (enter, -width)], high=0)
        if filled:
            before = filled[-1][0]
            programme.row(RowFamily.BRACKETS_IN_TURN, [(before, 1.0), (enter, -widths[-1])], low=0)
        filled.append((fill, 1.0))
        entered.append(enter)
        widths.append(width)
    quantity = [(units, float(multiple))]
    programme.row(
        RowFamily.BRACKETS_MAKE_THE_ORDER, [*filled, (units, -float(multiple))], low=0, high=0
    )
    if offer.smallest_order > multiple:
        least = float(offer.smallest_order)
        programme.row(RowFamily.LEAST_ORDER, [*quantity, (entered[0], -least)], low=0)
    return quantity, [entered[0]], [column for column, _ in filled]
