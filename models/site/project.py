"""The project: the settings that hold for the whole farm."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date

from ..arrays import ROUNDING, floor_to_whole
from ..fault import Source
from .delivery_term import DeliveryTerm


@dataclass(frozen=True)
class Project:
    """Settings of the Project sheet; shares are fractions (0.15 for 15 %).

    The default safety factors are those of UFC 4-159-03 (2005) Table 3-7: 1.5 for stockless and
    balanced-fluke anchors, 3.0 for chain and for synthetic line. They are a starting point for
    the engineer of the farm, not a design value.
    """

    name: str = "Moorings"
    currency: str = "EUR"
    anchor_safety_factor: float = 1.5
    chain_safety_factor: float = 3.0
    rope_safety_factor: float = 3.0
    pull_test_scatter: float | None = None
    """Coefficient of variation of holding between like tests; None: not stated."""
    most_anchors_per_leg: int = 1
    second_anchor_share: float = 0.8
    """Share of its lone holding kept by each of several anchors (common practice, no source)."""
    rope_lengths_tried: tuple[float, ...] = (1.5, 2.0, 2.5, 3.0)
    """Rope lengths tried, × the leg's depth."""
    longest_chain_m: float = 110.0
    cutting_step_m: float = 0.5
    chain_between_joins_m: float | None = None
    """A piece of chain has at most one join for so many of its metres; None: no limit."""
    shortest_offcut_m: float = 5.0
    """Offcuts at least so long are listed as worth keeping."""
    service_life_years: float = 0.0
    chain_wear_mm_per_year: float = 0.0
    rope_splice_share: float = 0.9
    """Share of its breaking load that a rope keeps at its splices."""
    lift_factor: float = 1.3
    setting_pull_share: float = 0.0
    """Pull that sets an anchor, as a share of the leg's design tension."""
    spare_anchor_share: float = 0.0
    container_stowage_share: float = 0.85
    """Share of a container's inside volume that packs fill."""
    insurance_share: float = 0.0
    contingency_share: float = 0.0
    most_anchor_models: int | None = None
    most_suppliers: int | None = None
    order_date: date | None = None
    required_on_site: date | None = None
    buyer: str = ""
    """Who orders: the name, and the address if it is given, that purchase orders carry."""
    delivery_place: str = ""
    delivery_term: DeliveryTerm | None = None
    approved_by: str = ""
    """Who signs the Summary and the orders."""
    given: frozenset[str] = frozenset()
    """The field names that the workbook set; the others are defaults."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def days_to_deliver(self) -> int | None:
        """Days between order and need, or None where either date is blank."""
        if self.order_date is None or self.required_on_site is None:
            return None
        return (self.required_on_site - self.order_date).days

    def most_joins(self, piece_m: float) -> float:
        """Return the joins that a piece of chain may have; infinite where there is no limit."""
        if self.chain_between_joins_m is None:
            return math.inf
        return floor_to_whole(piece_m / self.chain_between_joins_m, ROUNDING)

    @property
    def chain_lengths_m(self) -> tuple[float, ...]:
        """Every ground chain length that may be cut, shortest first, m."""
        steps = floor_to_whole(self.longest_chain_m / self.cutting_step_m, ROUNDING)
        return tuple(n * self.cutting_step_m for n in range(1, steps + 1))
