"""A rate: a price, charge or currency of the farm that may be multiplied, all else as it is.

Every rate is such that a plan, its orders, bookings and days held fast, costs a fixed sum plus
a sum in proportion to the multiplier. So a service's rate is its whole charge: rate, least and
fixed charge together, with the insurance and the duty on it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from .fault import closest

if TYPE_CHECKING:
    from .farm import Farm
    from .goods.item import OfferKey


class RateKind(StrEnum):
    """What a multiplier is put on."""

    FREIGHT = "freight rates"
    SERVICE = "freight rate of"
    DAY_RATES = "day rates"
    VESSEL = "day rate of"
    ITEM = "price of"
    OFFER = "offer of"
    FAMILY = "prices of family"
    SUPPLIER = "prices of supplier"
    CURRENCY = "currency"


class UnknownRateError(ValueError):
    """Raised where no rate has the name that was asked for, or where a cost is not linear."""


@dataclass(frozen=True)
class Rate:
    """One rate, or all of a kind; `name` says whose it is."""

    kind: RateKind
    name: str = ""
    supplier: str = ""
    """Whose offer of the item `name` it is, where it is of an offer."""

    def __str__(self) -> str:
        whose = f" by {self.supplier}" if self.supplier else ""
        return f"{self.kind} {self.name}".strip() + whose

    def scaled(self, farm: Farm, factor: float) -> Farm:
        """Return the farm with this rate multiplied."""
        if self.kind in (RateKind.DAY_RATES, RateKind.VESSEL):
            return replace(
                farm,
                vessels=tuple(
                    replace(v, day_rate=v.day_rate * factor) if self._is_for(v.name) else v
                    for v in farm.vessels
                ),
            )
        if self.kind in (RateKind.FREIGHT, RateKind.SERVICE):
            return replace(
                farm,
                services=tuple(
                    replace(
                        s,
                        rate=s.rate * factor,
                        minimum_charge=s.minimum_charge * factor,
                        fixed_charge=s.fixed_charge * factor,
                    )
                    if self._is_for(s.name)
                    else s
                    for s in farm.services
                ),
            )
        if self.kind is RateKind.CURRENCY:
            return replace(
                farm,
                suppliers=tuple(
                    replace(s, exchange_rate=s.exchange_rate * factor)
                    if s.currency == self.name
                    else s
                    for s in farm.suppliers
                ),
                services=tuple(
                    replace(s, exchange_rate=s.exchange_rate * factor)
                    if s.currency == self.name
                    else s
                    for s in farm.services
                ),
            )
        if self.kind is RateKind.SUPPLIER:
            return replace(
                farm,
                suppliers=tuple(
                    replace(s, price_factor=s.price_factor * factor) if s.name == self.name else s
                    for s in farm.suppliers
                ),
            )
        return _goods_scaled(farm, self._offers(farm), factor)

    def _is_for(self, name: str) -> bool:
        return not self.name or self.name == name

    def _offers(self, farm: Farm) -> frozenset[OfferKey]:
        """Return the offers whose prices this is."""
        if self.kind is RateKind.OFFER:
            return frozenset({(self.name, self.supplier)})
        names = {self.name}
        if self.kind is RateKind.FAMILY:
            names = {a.name for a in farm.anchors if a.family == self.name}
        return frozenset(key for key in farm.offer_by_key if key[0] in names)


@dataclass(frozen=True)
class Rates:
    """Rates of a farm with their multipliers; none: as today."""

    factors: tuple[tuple[Rate, float], ...] = ()

    def applied(self, farm: Farm) -> Farm:
        """Return the farm at these rates."""
        for rate, factor in self.factors:
            farm = rate.scaled(farm, factor)
        return farm


TODAY = Rates()


def rates_of(farm: Farm) -> dict[str, Rate]:
    """Return every rate of a farm by what it is called."""
    rates = [Rate(RateKind.FREIGHT), Rate(RateKind.DAY_RATES)]
    rates += [Rate(RateKind.SERVICE, service.name) for service in farm.services]
    rates += [Rate(RateKind.VESSEL, vessel.name) for vessel in farm.vessels]
    rates += [Rate(RateKind.ITEM, item.name) for item in farm.items]
    rates += [
        Rate(RateKind.OFFER, offer.item, offer.supplier)
        for item in farm.items
        for offer in item.offers
        if len(item.offers) > 1
    ]
    rates += [Rate(RateKind.FAMILY, family) for family in farm.families]
    rates += [Rate(RateKind.SUPPLIER, supplier.name) for supplier in farm.suppliers]
    sellers = [*(s.currency for s in farm.suppliers), *(s.currency for s in farm.services)]
    foreign = [c for c in dict.fromkeys(sellers) if c != farm.project.currency]
    rates += [Rate(RateKind.CURRENCY, currency) for currency in foreign]
    return {str(rate): rate for rate in rates}


def rate_named(farm: Farm, text: str) -> Rate:
    """Return the rate that a text names, as `rates_of` calls it or by its owner's name alone.

    Raises UnknownRateError, with what would do.
    """
    wanted = " ".join(text.split()).casefold()
    if wanted.startswith("workable day"):
        raise UnknownRateError(
            "the cost is not linear in workable days: vessels are charged whole days, so there "
            "are no break points to find; change Workable days on Vessels and price again, or "
            "vary 'day rates'"
        )
    unpriced = (
        (RateKind.FREIGHT, farm.freight_priced, "Freight"),
        (RateKind.DAY_RATES, farm.laying_priced, "Vessels"),
    )
    for kind, priced, sheet in unpriced:
        if wanted == kind and not priced:
            raise UnknownRateError(f"{kind} are not priced: the workbook has no sheet {sheet}")
    rates = rates_of(farm)
    if wanted == f"{RateKind.CURRENCY} {farm.project.currency}".casefold():
        raise UnknownRateError(
            f"{farm.project.currency} is the project's own currency: its rate is always 1"
        )
    by_text = {name.casefold(): rate for name, rate in rates.items()}
    owners: dict[str, list[Rate]] = {}
    for rate in rates.values():
        if rate.name and not rate.supplier:
            owners.setdefault(rate.name.casefold(), []).append(rate)
    if wanted in by_text:
        return by_text[wanted]
    named = owners.get(wanted, [])
    if len(named) == 1:
        return named[0]
    if named:
        could = " or ".join(f"'{rate}'" for rate in named)
        raise UnknownRateError(f"'{text}' could be {could}: say which")
    kinds = ", ".join(_example(kind) for kind in RateKind)
    known = [*rates, *(rate.name for rate in rates.values() if rate.name)]
    near = closest(text, known)
    rest = " What can" if near else "; what can"
    raise UnknownRateError(f"'{text}' cannot be varied{near}{rest}: {kinds}")


def _example(kind: RateKind) -> str:
    """Return how a rate of a kind is named."""
    if kind is RateKind.OFFER:
        return f"'{kind} ITEM by SUPPLIER'"
    whole = kind in (RateKind.FREIGHT, RateKind.DAY_RATES)
    return f"'{kind}'" if whole else f"'{kind} NAME'"


def _goods_scaled(farm: Farm, keys: frozenset[OfferKey], factor: float) -> Farm:
    """Return the farm with the prices of some offers, and their breaks, multiplied."""
    alone = {item.name: len(item.offers) == 1 for item in farm.items}
    names = {item for item, _ in keys}

    def scaled(item: str, supplier: str | None, price: float | None) -> Any:
        """Return a price; a break without a supplier is its item's only offer's."""
        mine = (item, supplier) in keys
        mine |= supplier is None and item in names and alone.get(item, False)
        return price * factor if mine and price is not None else price

    return replace(
        farm,
        anchors=tuple(
            replace(a, unit_price=scaled(a.name, a.supplier, a.unit_price)) for a in farm.anchors
        ),
        chains=tuple(
            replace(c, price_per_m=scaled(c.name, c.supplier, c.price_per_m)) for c in farm.chains
        ),
        ropes=tuple(
            replace(r, price_per_m=scaled(r.name, r.supplier, r.price_per_m)) for r in farm.ropes
        ),
        fittings=tuple(
            replace(f, unit_price=scaled(f.name, f.supplier, f.unit_price)) for f in farm.fittings
        ),
        offers=tuple(
            replace(o, unit_price=scaled(o.item, o.supplier, o.unit_price)) for o in farm.offers
        ),
        price_breaks=tuple(
            replace(b, unit_price=scaled(b.item, b.supplier, b.unit_price))
            for b in farm.price_breaks
        ),
    )
