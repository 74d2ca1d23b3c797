"""What can be bought, read straight from the catalogues, for the check of a finished plan."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...models.answer.plan import Part
from ...models.farm import Farm
from ...models.goods.price import Scheme
from ...models.site.project import DutyOn, Project


@dataclass(frozen=True)
class Article:
    """One article as its buyer meets it; chain and rope go by the length sold."""

    name: str
    part: Part
    """The part of the cost that its price belongs to."""
    supplier: str
    origin: str
    exchange_rate: float
    unit_price: float
    breaks: tuple[tuple[int, float], ...]
    """First unit at a new price, and the price of one unit; in order."""
    incremental: bool
    duty_share: float
    lead_days: int
    minimum: int
    multiple: int
    available: float
    length_m: float | None
    """Metres of one length; None: bought each."""
    whole: bool
    """Each leg's piece is one continuous length."""
    join_cost: float
    """Project's currency."""
    pack_of: int
    pack_m3: float
    pack_t: float
    sides_mm: tuple[float, float, float] | None
    stowing: tuple[bool, bool, float | None]
    """This side up, may be stacked, most kg on top."""
    stock: tuple[float, ...]
    """On hand: each, or the metres of every piece."""

    def price(self, quantity: int) -> float:
        """Return what an order of `quantity` costs, in the supplier's currency."""
        if not self.incremental:
            reached = [price for start, price in self.breaks if quantity >= start]
            return quantity * (reached[-1] if reached else self.unit_price)
        total, price, start = 0.0, self.unit_price, 1
        for next_start, next_price in self.breaks:
            total += price * max(min(quantity, next_start - 1) - start + 1, 0)
            price, start = next_price, next_start
        return total + price * max(quantity - start + 1, 0)

    def packs(self, quantity: int) -> int:
        """Return the packs of an order; a part-filled one counts."""
        return math.ceil(quantity / self.pack_of)


def duty_owed(project: Project, rate: float, money: float) -> float:
    """Return the duty on a sum for goods or freight: at this rate, on what the project says."""
    insured = project.insurance_share * money
    return rate * (money + insured if project.duty_on is DutyOn.LANDED else money)


def articles_of(farm: Farm) -> dict[str, Article]:
    """Return every article of the catalogues by name."""
    sellers = {supplier.name: supplier for supplier in farm.suppliers}
    found: dict[str, Article] = {}

    def add(
        name: str,
        part: Part,
        supplier: str,
        price: float,
        pack: tuple[int, float, float],
        *,
        duty: float | None,
        lead: int | None = None,
        minimum: int = 0,
        multiple: int = 1,
        available: int | None = None,
        length_m: float | None = None,
        whole: bool = False,
        join_cost: float = 0.0,
        sides_mm: tuple[float, float, float] | None = None,
        stowing: tuple[bool, bool, float | None] = (False, True, None),
    ) -> None:
        seller = sellers[supplier]
        rows = sorted(
            (b for b in farm.price_breaks if b.item == name), key=lambda b: b.from_quantity
        )
        per = 1.0 if length_m is None else length_m
        days = lead if lead is not None else seller.lead_time_days
        found[name] = Article(
            name=name,
            part=part,
            supplier=supplier,
            origin=seller.origin,
            exchange_rate=seller.exchange_rate,
            unit_price=price * per,
            breaks=tuple((row.from_quantity, row.unit_price * per) for row in rows),
            incremental=any(row.scheme is Scheme.INCREMENTAL for row in rows),
            duty_share=seller.duty_share if duty is None else duty,
            lead_days=days or 0,
            minimum=minimum,
            multiple=multiple,
            available=math.inf if available is None else available,
            length_m=length_m,
            whole=whole,
            join_cost=join_cost * seller.exchange_rate,
            pack_of=pack[0],
            pack_m3=pack[1],
            pack_t=pack[2] / 1000.0,
            sides_mm=sides_mm,
            stowing=stowing,
            stock=tuple(row.quantity for row in farm.on_hand if row.item == name),
        )

    for a in farm.anchors:
        sides = (a.pack_length_mm, a.pack_width_mm, a.pack_height_mm)
        full_kg = a.stated_pack_mass_kg
        pack = (
            a.pack_quantity,
            math.prod(side / 1000.0 for side in sides),
            a.mass_kg * a.pack_quantity if full_kg is None else full_kg,
        )
        add(
            a.name,
            Part.ANCHORS,
            a.supplier,
            a.unit_price,
            pack,
            duty=a.duty_share,
            lead=a.lead_time_days,
            minimum=a.minimum_order,
            multiple=a.order_multiple,
            available=a.available,
            sides_mm=sides,
            stowing=(a.this_side_up, a.stackable, a.most_on_top_kg),
        )
    for c in farm.chains:
        kg = c.stated_packed_mass_kg
        add(
            c.name,
            Part.CHAIN,
            c.supplier,
            c.price_per_m,
            (1, c.packed_volume_m3, c.mass_kg_per_m * c.length_sold_m if kg is None else kg),
            duty=c.duty_share,
            lead=c.lead_time_days,
            minimum=c.minimum_order,
            available=c.available,
            length_m=c.length_sold_m,
            whole=not c.joinable,
            join_cost=c.join_cost,
        )
    for r in farm.ropes:
        add(
            r.name,
            Part.ROPE,
            r.supplier,
            r.price_per_m,
            (1, r.packed_volume_m3, r.mass_kg_per_m * r.length_sold_m),
            duty=r.duty_share,
            lead=r.lead_time_days,
            minimum=r.minimum_order,
            available=r.available,
            length_m=r.length_sold_m,
            whole=True,
        )
    for f in farm.fittings:
        pack = (1, f.packed_volume_m3, f.mass_kg)
        add(
            f.name,
            Part.FITTINGS,
            f.supplier,
            f.unit_price,
            pack,
            duty=f.duty_share,
            available=f.available,
        )
    return found
