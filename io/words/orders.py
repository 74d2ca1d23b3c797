"""Orders in words: the lines of every purchase order."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from ...models.answer.packing_list import packs_of_offers, units_a_pack
from ...models.answer.plan import PART_OF_KIND, OrderLine, Part, Plan
from ...models.farm import Farm
from ...models.goods.anchor import TransportForm
from ...models.goods.duty import goods_duty
from ...models.goods.item import Item, ItemKind, ItemOffer
from ...models.goods.price import Scheme
from ...models.goods.supplier import Supplier
from ...models.site.project import Project
from .grammar import listed

KINDS = {
    Part.ANCHORS: "anchor",
    Part.CHAIN: "chain",
    Part.ROPE: "rope",
    Part.FITTINGS: "fitting",
    Part.JOINS: "join",
}
"""The Kind column's words for the parts of the cost that lines are summed in."""


@dataclass(frozen=True)
class Line:
    """One printed line: `quantity` units at one price, in the supplier's currency."""

    item: str
    part: Part
    """Of the cost: what the line is summed in."""
    description: str
    hs_heading: str
    quantity: int
    unit: str
    price: float
    duty_share: float
    packs: int | None
    packed_kg: float | None
    packed_m3: float | None
    lead_time_days: int | None
    goods: Item | None = None
    """The item itself; None for connectors, which are no item."""
    in_a_pack: int | None = None
    """How many go in a full pack, as it is handed over."""

    @property
    def extended(self) -> float:
        """Quantity × unit price."""
        return self.quantity * self.price


def duty_of(project: Project, line: Line) -> float:
    """Return the duty of one line, in the supplier's currency."""
    return line.extended * goods_duty(project, line.duty_share)


def priced_orders(plan: Plan) -> Iterator[tuple[Supplier, list[Line]]]:
    """Yield every supplier that something is bought from, and the lines of its order."""
    connectors = plan.connectors_bought
    for supplier in plan.farm.suppliers:
        lines = [
            line
            for order in plan.orders
            if order.supplier == supplier.name and order.quantity > 0
            for line in order_lines(plan, order)
        ]
        lines += [
            _join_line(plan, plan.farm.item_by_name[chain], count, supplier)
            for chain, count in connectors.items()
            if plan.connectors_from(chain) == supplier.name
        ]
        if lines:
            yield supplier, lines


def orders_to_send(plan: Plan) -> Iterator[tuple[Supplier, list[Line]]]:
    """Yield every supplier that is sent an order, and its lines: no goods that are kept of orders
    before."""
    return (order for order in priced_orders(plan) if not order[0].ordered_before)


def order_numbers(plan: Plan) -> dict[str, str]:
    """Return supplier → the number that its order begins with: the order's date, and a count.

    No number is given twice: those of orders that were sent before are passed over. The buyer's own
    numbers may be written over them on the orders.
    """
    day = plan.farm.project.order_date
    begins = f"{day:%Y%m%d}-" if day is not None else ""
    taken = {sent.number for sent in plan.sent}
    free = (number for n in itertools.count(1) if (number := f"{begins}{n:02}") not in taken)
    return {supplier.name: next(free) for supplier, _ in priced_orders(plan)}


def sent_before(plan: Plan, supplier: str) -> str:
    """Return which orders a supplier was sent before, by number and date; "": none."""
    return listed([str(sent) for sent in plan.sent if sent.supplier == supplier])


def order_lines(plan: Plan, order: OrderLine) -> list[Line]:
    """Return the lines of one order: one, or one for each bracket of an incremental price."""
    farm = plan.farm
    item = farm.item_by_name[order.item]
    offer = farm.offer_by_key[order.item, order.supplier]
    brackets = [b for b in offer.prices.brackets if b.first <= order.quantity]
    if offer.prices.scheme is Scheme.ALL_UNITS:
        parts = [(order.quantity, brackets[-1].price, "")]
    else:
        parts = []
        for bracket in brackets:
            last = order.quantity if bracket.last is None else min(order.quantity, bracket.last)
            note = f"; units {bracket.first} to {last} of {order.quantity}"
            parts.append(
                (last - bracket.first + 1, bracket.price, note if len(brackets) > 1 else "")
            )
    counted = item.packs(order.quantity)
    handed = packs_of_offers(plan).get(offer.key, counted)
    lines = []
    for index, (quantity, price, note) in enumerate(parts):
        first = index == 0
        lines.append(
            Line(
                item=item.name,
                part=PART_OF_KIND[item.kind],
                description=_description(farm, item, offer, price) + note,
                hs_heading=_hs_heading(farm, item),
                quantity=quantity,
                unit=item.sold_as,
                price=price,
                duty_share=offer.duty_share,
                packs=handed if first else None,
                packed_kg=counted * item.pack_kg if first else None,
                packed_m3=counted * item.pack_m3 if first else None,
                lead_time_days=offer.lead_time_days if first else None,
                goods=item,
                in_a_pack=units_a_pack(plan, item) if first else None,
            )
        )
    return lines


def _description(farm: Farm, item: Item, offer: ItemOffer, price: float) -> str:
    """Return what a supplier needs to know of an item, besides its name: its own quotation too."""
    quoted = f"; quotation {offer.quotation}" if offer.quotation else ""
    per_m = ""
    if item.length_sold_m:
        money = f"{price / item.length_sold_m:,.4f}".rstrip("0").rstrip(".")
        per_m = f"; {money} {offer.currency} per m"
    return make_of(farm, item) + per_m + quoted


def make_of(farm: Farm, item: Item) -> str:
    """Return what an item is, in words."""
    if item.kind is ItemKind.ANCHOR:
        anchor = farm.anchor_by_name[item.name]
        folds = ", folds for transport" if anchor.transport_form is TransportForm.FOLDING else ""
        sides = " × ".join(
            f"{side:g}"
            for side in (anchor.pack_length_mm, anchor.pack_width_mm, anchor.pack_height_mm)
        )
        known = f"{sides} mm" if item.name not in farm.sizes_assumed else "sides not stated"
        return (
            f"{anchor.family} anchor, {anchor.mass_kg:g} kg{folds}; "
            f"packs of {anchor.pack_quantity}, {known}"
        )
    if item.kind is ItemKind.FITTING:
        fitting = next(f for f in farm.fittings if f.name == item.name)
        return f"breaking load {fitting.breaking_load_kn:g} kN, {fitting.mass_kg:g} kg each"
    line = farm.chain_by_name.get(item.name) or farm.rope_by_name[item.name]
    return (
        f"{item.kind}, {line.diameter_mm:g} mm, {line.mass_kg_per_m:g} kg/m, "
        f"breaking load {line.breaking_load_kn:g} kN"
    )


def _hs_heading(farm: Farm, item: Item) -> str:
    """Return an item's customs heading, as its catalogue has it."""
    if item.kind is ItemKind.ANCHOR:
        return farm.anchor_by_name[item.name].hs_heading
    if item.kind is ItemKind.FITTING:
        return next(f for f in farm.fittings if f.name == item.name).hs_heading
    return (farm.chain_by_name.get(item.name) or farm.rope_by_name[item.name]).hs_heading


def _join_line(plan: Plan, item: Item, count: int, supplier: Supplier) -> Line:
    """Return the line for the connectors that join a chain's pieces; one that costs nothing is
    needed all the same."""
    farm = plan.farm
    breaking_load = farm.chain_by_name[item.name].breaking_load_kn
    unpriced = "" if item.join_cost else "; no join cost is given: agree it with the supplier"
    described = (
        "connecting link for joining two pieces, as the cutting list shows; as strong as the "
        f"chain ({breaking_load:g} kN){unpriced}"
    )
    return Line(
        item=f"Connector for {item.name}",
        part=Part.JOINS,
        description=described,
        hs_heading=farm.chain_by_name[item.name].hs_heading,
        quantity=count,
        unit="each",
        price=item.join_cost / supplier.exchange_rate,
        duty_share=0.0,
        packs=None,
        packed_kg=None,
        packed_m3=None,
        lead_time_days=None,
    )
