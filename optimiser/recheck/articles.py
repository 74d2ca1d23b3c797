"""What can be bought, read straight from the catalogues, for the check of a finished plan."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from ...models.answer.plan import Part
from ...models.farm import Farm
from ...models.goods.anchor import Anchor
from ...models.goods.chain import Chain
from ...models.goods.fitting import Fitting
from ...models.goods.price import Scheme
from ...models.goods.rope import Rope
from ...models.goods.supplier import Offer
from ...models.site.project import DutyOn, Project

LOOSE = (False, True, None)
"""Goods in crates of our own making: either way up, stacked, whatever lies on top."""


@dataclass(frozen=True)
class Terms:
    """What one supplier asks for an article, by the unit as sold."""

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


@dataclass(frozen=True)
class Article:
    """One article as its buyer meets it; chain and rope go by the length sold."""

    name: str
    part: Part
    """The part of the cost that its price belongs to."""
    terms: Mapping[str, Terms]
    """By supplier."""
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
    connectors: int = 0
    """On hand, of a chain."""

    def packs(self, quantity: int) -> int:
        """Return the packs of an order; a part-filled one counts."""
        return math.ceil(quantity / self.pack_of)


def duty_owed(project: Project, rate: float, money: float) -> float:
    """Return the duty on a sum for goods or freight: at this rate, on what the project says."""
    insured = project.insurance_share * money
    return rate * (money + insured if project.duty_on is DutyOn.LANDED else money)


def articles_of(farm: Farm) -> dict[str, Article]:
    """Return every article of the catalogues by name."""
    stock: dict[str, list[float]] = defaultdict(list)
    links: dict[str, float] = defaultdict(float)
    needed = farm.project.required_on_site
    for row in farm.on_hand:
        late = row.there_from is not None and needed is not None and row.there_from > needed
        if late:
            continue
        if row.connectors:
            links[row.item] += row.quantity
        else:
            stock[row.item].append(row.quantity)
    found: dict[str, Article] = {}
    for a in farm.anchors:
        sides = (a.pack_length_mm, a.pack_width_mm, a.pack_height_mm)
        full_kg = a.stated_pack_mass_kg
        found[a.name] = Article(
            name=a.name,
            part=Part.ANCHORS,
            terms=_terms(farm, a, 1.0, a.unit_price, (a.minimum_order, a.order_multiple)),
            length_m=None,
            whole=False,
            join_cost=0.0,
            pack_of=a.pack_quantity,
            pack_m3=math.prod(side / 1000.0 for side in sides),
            pack_t=(a.mass_kg * a.pack_quantity if full_kg is None else full_kg) / 1000.0,
            sides_mm=sides,
            stowing=(a.this_side_up, a.stackable, a.most_on_top_kg),
            stock=tuple(stock[a.name]),
        )
    for c in farm.chains:
        kg = c.stated_packed_mass_kg
        terms = _terms(farm, c, c.length_sold_m, c.price_per_m, (c.minimum_order, 1))
        # Connectors are priced in the currency of the first supplier named.
        rate = next(iter(terms.values())).exchange_rate if terms else 1.0
        found[c.name] = Article(
            name=c.name,
            part=Part.CHAIN,
            terms=terms,
            length_m=c.length_sold_m,
            whole=not c.joinable,
            join_cost=c.join_cost * rate,
            pack_of=1,
            pack_m3=c.packed_volume_m3,
            pack_t=(c.mass_kg_per_m * c.length_sold_m if kg is None else kg) / 1000.0,
            sides_mm=None,
            stowing=LOOSE,
            stock=tuple(stock[c.name]),
            connectors=int(links[c.name]),
        )
    for r in farm.ropes:
        found[r.name] = Article(
            name=r.name,
            part=Part.ROPE,
            terms=_terms(farm, r, r.length_sold_m, r.price_per_m, (r.minimum_order, 1)),
            length_m=r.length_sold_m,
            whole=True,
            join_cost=0.0,
            pack_of=1,
            pack_m3=r.packed_volume_m3,
            pack_t=r.mass_kg_per_m * r.length_sold_m / 1000.0,
            sides_mm=None,
            stowing=LOOSE,
            stock=tuple(stock[r.name]),
        )
    for f in farm.fittings:
        found[f.name] = Article(
            name=f.name,
            part=Part.FITTINGS,
            terms=_terms(farm, f, 1.0, f.unit_price, (0, 1)),
            length_m=None,
            whole=False,
            join_cost=0.0,
            pack_of=1,
            pack_m3=f.packed_volume_m3,
            pack_t=f.mass_kg / 1000.0,
            sides_mm=None,
            stowing=LOOSE,
            stock=tuple(stock[f.name]),
        )
    return found


def _terms(
    farm: Farm,
    good: Anchor | Chain | Rope | Fitting,
    per: float,
    own_price: float | None,
    own_lots: tuple[int, int],
) -> dict[str, Terms]:
    """Return what each supplier asks for an article: its catalogue's own first, then Offers.

    per : what a unit as sold has of what is priced. own_lots : minimum and multiple.
    """
    rows: list[Offer] = []
    if good.supplier is not None and own_price is not None:
        lead = None if isinstance(good, Fitting) else good.lead_time_days
        limits = (*own_lots, good.available, lead, good.duty_share)
        rows.append(Offer(good.name, good.supplier, own_price, *limits))
    rows += (offer for offer in farm.offers if offer.item == good.name)
    sellers = {supplier.name: supplier for supplier in farm.suppliers}
    found: dict[str, Terms] = {}
    for row in rows:
        seller = sellers[row.supplier]
        whose = {row.supplier, None} if len(rows) == 1 else {row.supplier}
        breaks = sorted(
            (b for b in farm.price_breaks if b.item == good.name and b.supplier in whose),
            key=lambda b: b.from_quantity,
        )
        price = per * seller.price_factor
        days = seller.lead_time_days if row.lead_time_days is None else row.lead_time_days
        found[row.supplier] = Terms(
            supplier=row.supplier,
            origin=seller.origin,
            exchange_rate=seller.exchange_rate,
            unit_price=row.unit_price * price,
            breaks=tuple((b.from_quantity, b.unit_price * price) for b in breaks),
            incremental=any(b.scheme is Scheme.INCREMENTAL for b in breaks),
            duty_share=seller.duty_share if row.duty_share is None else row.duty_share,
            lead_days=days or 0,
            minimum=row.minimum_order,
            multiple=row.order_multiple,
            available=math.inf if row.available is None else row.available,
        )
    return found
