"""Quotations taken up: a farm with what was quoted on its Offers, and what that changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ...models.farm import Farm
from ...models.goods.item import GoodT, ItemOffer, offer_rows, without_own_offer
from ...models.goods.price import PriceBreak
from ...models.goods.supplier import Offer
from ..words.grammar import price_text
from .quotation import Quotation, QuotedLine

CARRIED = " (mind: it pays the carriage, which Freight prices once more)"


@dataclass(frozen=True)
class Taken:
    """One offer as it was before a quotation, and as it is quoted; prices as Offers has them."""

    file: str
    supplier: str
    currency: str
    reference: str
    line: QuotedLine
    old_price: float | None
    """None: it had made no offer of the item."""
    changes: tuple[str, ...]
    """What is otherwise besides the price, in words."""

    @property
    def change(self) -> float | None:
        """The new price ÷ the old − 1."""
        return None if not self.old_price else self.line.unit_price / self.old_price - 1.0


def farm_with(farm: Farm, quotations: Sequence[Quotation]) -> tuple[Farm, tuple[Taken, ...]]:
    """Return the farm with every quoted line as an offer, and what each changed.

    A line takes the place of what its supplier offered of the item before, on the item's own sheet
    too; offers that nobody quoted on stay. The maps proposed are added to those there.
    """
    taken: list[Taken] = []
    for quotation in quotations:
        farm, terms = _with_terms(farm, quotation)
        for line in quotation.lines:
            one = _taken(farm, quotation, line)
            taken.append(replace(one, changes=(*one.changes, *terms)))
            farm, terms = _with_line(farm, quotation, line), ()
    words = [word for quotation in quotations for word in quotation.proposed]
    return replace(farm, layout_words=(*farm.layout_words, *words)), tuple(taken)


def _with_terms(farm: Farm, quotation: Quotation) -> tuple[Farm, tuple[str, ...]]:
    """Return the farm with a quotation's delivery and payment terms as its supplier's own, and
    what they change, in words: those of Project stay where they are quoted alike."""
    if not quotation.lines:
        return farm, ()
    project, said = farm.project, []
    (supplier,) = (s for s in farm.suppliers if s.name == quotation.supplier)
    new = supplier
    if (term := quotation.delivery_term) is not None:
        before = supplier.delivery_term or project.delivery_term
        if term != before:
            again = "" if term.buyer_carries or not farm.services else CARRIED
            said.append(f"delivery term {_word(before)} → {term}{again}")
            new = replace(new, delivery_term=term)
    if terms := quotation.payment_terms:
        was = supplier.payment_terms or project.payment_terms
        if terms != was:
            said.append(f"payment terms {was or 'none'} → {terms}")
            new = replace(new, payment_terms=terms)
    sellers = tuple(new if one is supplier else one for one in farm.suppliers)
    return replace(farm, suppliers=sellers), tuple(said)


def _with_line(farm: Farm, quotation: Quotation, line: QuotedLine) -> Farm:
    key = (line.item, quotation.supplier)
    farm = _named_breaks(farm, line.item)
    before = _row_before(farm, key)
    days = line.lead_time_days
    if days is None and before is not None:
        days = before.lead_time_days  # blank stands for nothing: that of its supplier may be less
    offer = Offer(
        line.item,
        quotation.supplier,
        line.unit_price,
        line.minimum_order,
        line.order_multiple,
        line.available,
        days,
        before.duty_share if before is not None else None,  # no supplier quotes it
        quotation.valid_until,
        quotation.reference,
    )
    was_first = farm.item_by_name[line.item].offers[:1]
    first = bool(was_first) and was_first[0].key == key
    others = [o for o in farm.offers if (o.item, o.supplier) != key]
    breaks = [b for b in farm.price_breaks if (b.item, b.supplier) != key]
    breaks += (
        PriceBreak(line.item, start, price, line.scheme, quotation.supplier)
        for start, price in line.breaks
    )
    return replace(
        _without_own(farm, key),
        # What was the item's first offer stays the first: joins are in its currency.
        offers=(offer, *others) if first else (*others, offer),
        price_breaks=tuple(breaks),
    )


def _row_before(farm: Farm, key: tuple[str, str]) -> Offer | None:
    """Return the offer as its row stated it before, on Offers or on the item's own sheet."""
    rows = offer_rows(farm.goods, farm.offers)[key[0]]
    return next((row for row in rows if row.supplier == key[1]), None)


def _named_breaks(farm: Farm, item: str) -> Farm:
    """Return the farm with an item's breaks naming whose they are, where they left it out."""
    offers = farm.item_by_name[item].offers
    if len(offers) != 1:
        return farm
    (only,) = offers
    return replace(
        farm,
        price_breaks=tuple(
            replace(b, supplier=only.supplier) if b.item == item and b.supplier is None else b
            for b in farm.price_breaks
        ),
    )


def _without_own(farm: Farm, key: tuple[str, str]) -> Farm:
    """Return the farm with supplier and price of an item's own sheet blank, where the quotation
    is that supplier's: what it asks now stands on Offers."""

    def without(good: GoodT) -> GoodT:
        return without_own_offer(good) if (good.name, good.supplier) == key else good

    return farm.with_goods(without)


def _taken(farm: Farm, quotation: Quotation, line: QuotedLine) -> Taken:
    supplier = next(s for s in farm.suppliers if s.name == quotation.supplier)
    item = farm.item_by_name[line.item]
    before = farm.offer_by_key.get((line.item, quotation.supplier))
    price = None
    if before is not None:
        price = before.prices.brackets[0].price / (item.length_sold_m or 1.0)
        price /= supplier.price_factor
    return Taken(
        quotation.file,
        quotation.supplier,
        supplier.currency,
        quotation.reference,
        line,
        price,
        tuple(_changes(before, line, (item.length_sold_m or 1.0) * supplier.price_factor)),
    )


def _changes(before: ItemOffer | None, line: QuotedLine, per: float) -> Iterator[str]:
    """Yield what is otherwise, besides the price; per : what a unit has of what is priced."""
    if before is None:
        yield "a new offer"
        return
    if line.breaks and line.breaks[0][0] <= 1:
        yield "a break from 1 takes the place of the price"
    was = tuple((b.first, round(b.price / per, 6)) for b in before.prices.brackets[1:])
    now = tuple((start, round(price, 6)) for start, price in line.breaks)
    pairs: tuple[tuple[str, Any, Any], ...] = (
        ("minimum", before.minimum_order, line.minimum_order),
        ("multiple", before.order_multiple, line.order_multiple),
        ("available", before.available, line.available),
        ("lead time", before.lead_time_days, line.lead_time_days),
        ("breaks", _breaks(was), _breaks(now)),
    )
    for what, old, new in pairs:
        if old != new and not (what == "lead time" and new is None):
            yield f"{what} {_word(old)} → {_word(new)}"


def _breaks(breaks: tuple[tuple[int, float], ...]) -> str | None:
    return "; ".join(f"{price_text(price)} from {start:,}" for start, price in breaks) or None


def _word(value: object) -> str:
    return "none" if value is None else f"{value}"
