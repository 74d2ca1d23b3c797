"""A supplier, what it offers beside the catalogues, and what is on hand already."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from ..fault import Source
from ..site.delivery_term import DeliveryTerm

ORDERED_BEFORE = "there already, ordered before"
"""The origin of goods that earlier orders bought and that may be given back."""


@dataclass(frozen=True)
class Supplier:
    """Who sells: from where, in which currency, on what terms."""

    name: str
    origin: str
    currency: str
    exchange_rate: float
    """Project currency per unit of the supplier's."""
    order_charge: float = 0.0
    lead_time_days: int | None = None
    duty_share: float = 0.0
    price_factor: float = 1.0
    """On all its prices of goods, breaks too; not on order charges or joins."""
    address: str = ""
    contact: str = ""
    payment_terms: str = ""
    """Its own; blank: the project's."""
    returns_share: float = 0.0
    """Of the price paid, what it pays back for goods of an earlier order; 0: it takes none."""
    delivery_term: DeliveryTerm | None = None
    """Its own; None: the project's."""
    stood_in: frozenset[str] = field(default=frozenset(), compare=False, repr=False)
    """Fields that hold a stand-in for a fact that the workbook does not state."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def ordered_before(self) -> bool:
        """Whether it stands for goods that earlier orders bought: nothing is ordered from it."""
        return self.origin == ORDERED_BEFORE


@dataclass(frozen=True)
class Offer:
    """A row of the Offers sheet: what a supplier asks for an item, in its own currency.

    For chain and rope the price is per metre; quantities are in units as sold.
    """

    item: str
    supplier: str
    unit_price: float
    minimum_order: int = 0
    order_multiple: int = 1
    available: int | None = None
    lead_time_days: int | None = None
    duty_share: float | None = None
    valid_until: date | None = None
    """The last day that it may be ordered at these terms; None: not stated."""
    quotation: str = ""
    """The supplier's reference."""
    source: Source | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class LayoutWord:
    """A row of the Map sheet: what a word of a supplier's own quotation stands for."""

    supplier: str
    theirs: str
    """A heading of theirs, a label before a term, or what they call an item."""
    ours: str
    """A heading of a quotation, an item of the farm, or `ignore`."""
    unit: str = ""
    """Theirs, where it is not ours: the heading's numbers are converted."""
    file: str = ""
    """The pattern of their files' names; * stands for any letters. Blank: those that name them."""
    source: Source | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class OnHand:
    """Stock that need not be bought: anchors and fittings each, one piece of chain or rope, or the
    connectors that join a chain, each."""

    item: str
    quantity: float
    ordered_from: str = ""
    """The supplier of an earlier order that it comes from; blank: the buyer's own stock."""
    there_from: date | None = None
    """The day it is on site, where an earlier order says; None: it is there."""
    connectors: bool = False
    """Whether it is connectors of the chain that `item` names, and none of the chain itself."""
    source: Source | None = field(default=None, compare=False, repr=False)

    def there_by(self, day: date | None) -> bool:
        """Tell whether it is there when goods are needed; None: no day is stated."""
        return self.there_from is None or day is None or self.there_from <= day
