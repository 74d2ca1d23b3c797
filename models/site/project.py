"""The project: the settings that hold for the whole farm."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from ..arrays import ROUNDING, ceil_to_whole, floor_to_whole
from ..fault import Source
from .delivery_term import DeliveryTerm


class FactorActsOn(StrEnum):
    """What the anchor safety factor multiplies where the project has no load cases of its own."""

    TENSION = "tension"
    """The tension at the attachment, before the statics (EN 1990:2002 6.3.2(4)(a))."""
    ANCHOR_LOAD = "anchor load"
    """The tension at the anchor, after them: the working-load practice of UFC 4-159-03."""


class DutyOn(StrEnum):
    """What duty is a percentage of."""

    PRICE = "price"
    LANDED = "price, freight and insurance"


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
    safety_factor_acts_on: FactorActsOn = FactorActsOn.TENSION
    """The anchor safety factor's; chain and rope factors act on the design tension itself."""
    pull_test_scatter: float | None = None
    """Coefficient of variation of holding between like tests; None: not stated."""
    least_pull_test_scatter: float = 0.10
    """The scatter of tests is not taken below it (EN 1990:2002 D.7.1, from memory)."""
    most_anchors_per_leg: int = 1
    second_anchor_share: float = 0.8
    """Share of its lone holding kept by each of several anchors (common practice, no source)."""
    make_ups_per_leg_group: int | None = 1
    """Choices (a make-up laid by one vessel) that a leg group may have; None: any number."""
    rope_lengths_tried: tuple[float, ...] = (1.5, 2.0, 2.5, 3.0)
    """Rope lengths tried, × the leg's depth."""
    rope_in_each_eye_m: float = 0.5
    """Rope that one eye takes; a piece has two (common practice, no source)."""
    shortest_chain_m: float = 2.0
    """(common practice, no source)"""
    longest_chain_m: float = 110.0
    chain_on_seabed_m: float = 0.0
    """Chain that still lies on the seabed in every load case, where an anchor stands no uplift."""
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
    setting_pull_held_min: float = 3.0
    """How long the setting pull is held once its reading has settled (NAVFAC MO-124, Appendix E,
    1.3.1: a proof load is held for 3 minutes)."""
    setting_pull_counts: bool = False
    """Whether an anchor alone on its line is relied on for more once it has stood its setting pull:
    only where the licensed engineer says so."""
    spare_anchor_share: float = 0.0
    container_stowage_share: float = 0.85
    """Share of a container's inside volume that packs fill."""
    duty_on: DutyOn = DutyOn.PRICE
    insurance_share: float = 0.0
    contingency_share: float = 0.0
    most_anchor_models: int | None = None
    most_chains: int | None = None
    most_ropes: int | None = None
    most_suppliers: int | None = None
    order_date: date | None = None
    required_on_site: date | None = None
    delivery_margin_days: int = 0
    """Days before that in which the goods are to be there already."""
    buyer: str = ""
    """Who orders: the name, and the address if it is given, that purchase orders carry."""
    delivery_place: str = ""
    delivery_term: DeliveryTerm | None = None
    payment_terms: str = ""
    approved_by: str = ""
    """Who signs the Summary and the orders."""
    change_cost: float = 0.0
    """What building a line otherwise than in an earlier order must save, project currency."""
    pull_test_price: float | None = None
    """What one more pull test costs; None: by vessel hours."""
    charged_days_sure: float | None = None
    """The chance with which each vessel's charged days are to be enough; None: their mean."""
    replacement_horizon_years: float = 0.0
    """Years over which replacements of worn chain are counted; 0: they are not."""
    discount_rate: float = 0.0
    """A year's interest on what replacements cost."""
    given: frozenset[str] = frozenset()
    """The field names that the workbook set; the others are defaults."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def days_to_deliver(self) -> int | None:
        """Days between order and need, the margin off, or None where either date is blank."""
        if self.order_date is None or self.wanted_by is None:
            return None
        return (self.wanted_by - self.order_date).days

    @property
    def wanted_by(self) -> date | None:
        """The day that the goods are to be on site: that of need, less the margin."""
        if self.required_on_site is None:
            return None
        return self.required_on_site - timedelta(days=self.delivery_margin_days)

    @property
    def eyes_m(self) -> float:
        """Rope that the two eyes of one piece take, m."""
        return 2.0 * self.rope_in_each_eye_m

    def rope_piece_m(self, rope_m: float) -> float:
        """Return the rope cut for one line, m: the length between its eyes, and what they take."""
        return rope_m + self.eyes_m

    @property
    def wear_mm(self) -> float:
        """Diameter that chain has lost at the end of the service life."""
        return self.chain_wear_mm_per_year * self.service_life_years

    def most_choices(self, lines: int) -> int:
        """Return how many choices a leg group of so many lines may have."""
        limit = self.make_ups_per_leg_group
        return lines if limit is None else min(limit, lines)

    def most_joins(self, piece_m: float) -> float:
        """Return the joins that a piece of chain may have; infinite where there is no limit."""
        if self.chain_between_joins_m is None:
            return math.inf
        return floor_to_whole(piece_m / self.chain_between_joins_m, ROUNDING)

    @property
    def chain_lengths_m(self) -> tuple[float, ...]:
        """Every ground chain length that may be cut, shortest first, m."""
        first = max(ceil_to_whole(self.shortest_chain_m / self.cutting_step_m), 1)
        last = floor_to_whole(self.longest_chain_m / self.cutting_step_m, ROUNDING)
        return tuple(n * self.cutting_step_m for n in range(first, last + 1))
