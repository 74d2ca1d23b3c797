"""A change against an earlier order: what it was, what it is, and what that costs; and an order
that was sent before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class ChangeOf(StrEnum):
    """What has changed."""

    INPUT = "input"
    """Something that the buyer said otherwise: it costs nothing by itself."""
    LINE = "line"
    """How lines are built and laid: what that costs is in the goods, carriage and vessels."""
    GOODS = "goods"
    CHARGE = "order charge"
    JOINS = "joins"
    CARRIAGE = "carriage"
    VESSEL = "vessel"


@dataclass(frozen=True)
class Change:
    """One change; money in the project's currency, more than before positive."""

    of: ChangeOf
    what: str
    old: str
    new: str
    purchase: float = 0.0
    """Goods, their duty and insurance, order charges, joins."""
    freight: float = 0.0
    """Carriage, its duty and insurance."""
    boat: float = 0.0
    reason: str = ""
    """What the buyer said otherwise that bears on it; "": nothing that can be named."""

    @property
    def money(self) -> float:
        """What it costs more."""
        return self.purchase + self.freight + self.boat


@dataclass(frozen=True)
class SentOrder:
    """An order that a supplier was sent: one of an earlier plan, as its sheet then named it."""

    supplier: str
    number: str
    day: date | None
    """Its date; None: it had none."""
    items: tuple[str, ...] = ()
    """What it was for; none of an order of which that was not taken down."""

    def __str__(self) -> str:
        """Return how it is named."""
        return f"{self.number} of {self.day}" if self.day else self.number
