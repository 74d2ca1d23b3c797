"""A supplier, and what is on hand already."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..fault import Source


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
    stood_in: frozenset[str] = field(default=frozenset(), compare=False, repr=False)
    """Fields that hold a stand-in for a fact that the workbook does not state."""
    source: Source | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class OnHand:
    """Stock that need not be bought: anchors and fittings each, or one piece of chain or rope."""

    item: str
    quantity: float
    source: Source | None = field(default=None, compare=False, repr=False)
