"""What a quantity costs: a unit price and its breaks."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ..fault import Source


class Scheme(StrEnum):
    """Which units a price break is given on."""

    ALL_UNITS = "all units"
    """The whole order is at the bracket's price."""
    INCREMENTAL = "incremental"
    """Each bracket's units are at their own price."""


@dataclass(frozen=True)
class PriceBreak:
    """A row of the Price breaks sheet; for chain and rope the price is still per metre."""

    item: str
    from_quantity: int
    unit_price: float
    scheme: Scheme = Scheme.ALL_UNITS
    supplier: str | None = None
    """Whose price it is; None: that of the item's only supplier."""
    source: Source | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Bracket:
    """The units numbered `first` to `last` (None: no end), and their price."""

    first: int
    last: int | None
    price: float


@dataclass(frozen=True)
class PriceList:
    """The brackets of one item, in order; the first starts at unit 1."""

    brackets: tuple[Bracket, ...]
    scheme: Scheme

    @classmethod
    def of(
        cls, unit_price: float, breaks: tuple[PriceBreak, ...], units_per_price: float
    ) -> PriceList:
        """Return the list of an item; `units_per_price` is metres per length sold, or 1."""
        ordered = sorted(breaks, key=lambda b: b.from_quantity)
        starts = [1, *(max(b.from_quantity, 1) for b in ordered)]
        prices = [unit_price, *(b.unit_price for b in ordered)]
        ends = [start - 1 for start in starts[1:]]
        brackets = tuple(
            Bracket(first, last, price * units_per_price)
            for first, last, price in zip(starts, [*ends, None], prices, strict=True)
            if last is None or last >= first
        )
        scheme = ordered[0].scheme if ordered else Scheme.ALL_UNITS
        return cls(brackets, scheme)

    def money(self, quantity: int) -> float:
        """Return what `quantity` units cost, in the supplier's currency."""
        if quantity <= 0:
            return 0.0
        if self.scheme is Scheme.ALL_UNITS:
            return quantity * next(b.price for b in reversed(self.brackets) if b.first <= quantity)
        return sum(
            (min(quantity, b.last if b.last is not None else quantity) - b.first + 1) * b.price
            for b in self.brackets
            if b.first <= quantity
        )
