"""One line of the independent recheck: what was demanded and what is there."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..standing.make_up import LimitName


@dataclass(frozen=True)
class CheckLine:
    """A limit tested again from the finished plan, apart from the optimiser.

    `required` must not exceed `available`; both are in `unit`, written as a reader wants it
    ("kN", "m", "deg"). `where` names the leg, supplier, delivery or vessel the limit is about.
    """

    what: str
    where: str
    required: float
    available: float
    unit: str
    passed: bool

    @property
    def of_strength(self) -> bool:
        """Whether it is of strength or holding (engineering on the buyer's inputs) and not of
        arithmetic (sums, cuts, loads and trips: bookkeeping)."""
        return isinstance(self.what, LimitName)

    @property
    def utilisation(self) -> float:
        """Required over available (dimensionless); infinite where nothing is available."""
        if self.available > 0.0:
            return self.required / self.available
        return 0.0 if self.required <= 0.0 else math.inf
