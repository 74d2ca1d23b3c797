"""An uncertainty: how far a rate, a price or a currency may turn out from the figure given."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ..fault import Source


class Uncertain(StrEnum):
    """The kind of figure that a row of the Uncertainty sheet is about."""

    FREIGHT = "freight rates"
    SERVICE = "service"
    CURRENCY = "currency"
    SUPPLIER = "supplier"
    ITEM = "item"
    DAY_RATE = "day rate"


NAMELESS = (Uncertain.FREIGHT, Uncertain.DAY_RATE)
"""Kinds that may leave out whose it is: then it is of all, which rise and fall together."""


@dataclass(frozen=True)
class Uncertainty:
    """A row of the Uncertainty sheet; shares of the figure given (0.9: a tenth less)."""

    what: Uncertain
    p10_share: float
    """One time in ten it is less than this."""
    p90_share: float
    """One time in ten it is more."""
    which: str = ""
    """Whose; blank: all of them."""
    source: Source | None = field(default=None, compare=False, repr=False)

    def __str__(self) -> str:
        whose = self.which or ("all vessels" if self.what is Uncertain.DAY_RATE else "")
        return f"{self.what} {whose}".strip()
