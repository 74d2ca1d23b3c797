"""Faults of offers: who sells an item, whose a price break is, and what is no longer valid."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from .farm import Farm
from .fault import Fault, closest
from .goods.chain import Chain
from .goods.item import Good, offer_rows
from .goods.price import PriceBreak
from .goods.rope import Rope
from .goods.supplier import Offer


def offer_faults(farm: Farm) -> Iterator[Fault]:
    """Yield what is wrong with who sells what, and at which prices."""
    goods: tuple[Good, ...] = farm.goods
    rows = offer_rows(goods, farm.offers)
    on_sheet = {offer.item for offer in farm.offers}
    for good in goods:
        yield from _own_terms(good, offered=good.name in on_sheet)
    yield from _offers(farm, rows)
    yield from _breaks(farm, rows)


def _own_terms(good: Good, *, offered: bool) -> Iterator[Fault]:
    """An item has a supplier and a price of its own, or rows on Offers."""
    heading = "Price per m" if isinstance(good, (Chain, Rope)) else "Unit price"
    price = good.price_per_m if isinstance(good, (Chain, Rope)) else good.unit_price
    if good.supplier is None and price is None:
        if not offered:
            message = f"blank, and '{good.name}' has no row on Offers: nobody sells it"
            yield Fault.at(good.source, "Supplier", message)
    elif good.supplier is None:
        message = "blank, but the price is filled: name who asks it, or move it to Offers"
        yield Fault.at(good.source, "Supplier", message)
    elif price is None:
        message = (
            f"blank, but '{good.supplier}' is its supplier: fill the price, or leave both blank "
            "and give its offers on Offers"
        )
        yield Fault.at(good.source, heading, message)


def _offers(farm: Farm, rows: Mapping[str, Sequence[Offer]]) -> Iterator[Fault]:
    """A supplier makes one offer of an item, and it is still valid when the order goes out."""
    of_sheet = {id(offer) for offer in farm.offers}  # a catalogue's double is said of its name
    for name, offers in rows.items():
        first: dict[str, Offer] = {}
        for offer in offers:
            head = first.setdefault(offer.supplier, offer)
            if head is not offer and id(offer) in of_sheet:
                place = head.source
                where = f" (first on {place.sheet} row {place.row})" if place else ""
                message = f"'{offer.supplier}' offers '{name}' twice{where}; keep one"
                yield Fault.at(offer.source, "Supplier", message)
    ordered = farm.project.order_date
    for offer in farm.offers:
        if ordered is not None and offer.valid_until is not None and offer.valid_until < ordered:
            message = (
                f"{offer.valid_until} is before the order date, {ordered}: ask '{offer.supplier}' "
                f"for the price of '{offer.item}' again, or leave the row out"
            )
            yield Fault.at(offer.source, "Valid until", message)


def _breaks(farm: Farm, rows: Mapping[str, Sequence[Offer]]) -> Iterator[Fault]:
    """The breaks of one offer share a scheme and start at different quantities."""
    sellers = {name: [offer.supplier for offer in offers] for name, offers in rows.items()}
    names = [anchor.name for anchor in farm.anchors] + [chain.name for chain in farm.chains]
    names += [rope.name for rope in farm.ropes] + [fitting.name for fitting in farm.fittings]
    doubled = {name for name, count in Counter(names).items() if count > 1}
    first: dict[tuple[str, str], PriceBreak] = {}
    starts: dict[tuple[str, str], set[int]] = defaultdict(set)
    for price_break in farm.price_breaks:
        item, supplier = price_break.item, price_break.supplier
        known = sellers.get(item, [])
        if item in doubled:
            continue  # whose two rows it is of is said of their names
        if supplier is None and len(known) > 1:
            sold_by = " or ".join(f"'{name}'" for name in known)
            message = f"blank, but '{item}' has several offers: needs {sold_by}"
            yield Fault.at(price_break.source, "Supplier", message)
        elif supplier is not None and known and supplier not in known:
            message = f"'{supplier}' makes no offer of '{item}'{closest(supplier, known)}"
            yield Fault.at(price_break.source, "Supplier", message)
        whose = supplier or (known[0] if known else "")
        head = first.setdefault((item, whose), price_break)
        if head.scheme is not price_break.scheme:
            message = f"'{item}' has breaks of both schemes; use one for all its rows"
            yield Fault.at(price_break.source, "Scheme", message)
        if price_break.from_quantity in starts[item, whose]:
            message = f"'{item}' has two breaks from {price_break.from_quantity}; keep one"
            yield Fault.at(price_break.source, "From quantity", message)
        starts[item, whose].add(price_break.from_quantity)
