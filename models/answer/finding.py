"""A finding: what a fact that nobody has stated yet may be worth finding out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from .assumed import Assumed


class How(StrEnum):
    """How a price with another value was found."""

    SOLVED = "priced again"
    KNOWN = "by the plan known"
    """Its lines held fast; another plan may cost less."""


@dataclass(frozen=True)
class Finding:
    """One stand-in, and what the farm costs with it a half lower and a half higher."""

    assumed: Assumed
    cost: float
    """As assumed, project currency."""
    lower: float | None
    higher: float | None
    """None: no plan was found."""
    how: How

    @property
    def worth(self) -> float:
        """The most that the cost may move; infinite where there may be no plan at all."""
        costs = (self.lower, self.higher)
        return max(math.inf if cost is None else abs(cost - self.cost) for cost in costs)


@dataclass(frozen=True)
class Findings:
    """All that was found, the most money first."""

    cost: float
    """As assumed."""
    gap: float
    """Of each price; what moves the cost by less is not told apart."""
    ranked: tuple[Finding, ...]
    not_tried: tuple[Assumed, ...] = ()
    """For want of time."""
