"""A vessel that can lay moorings."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ..arrays import ROUNDING, ceil_to_whole, floor_to_whole
from ..fault import Source


@dataclass(frozen=True)
class Vessel:
    """A row of the Vessels sheet; money in the project's currency."""

    name: str
    day_rate: float
    working_hours_per_day: float
    crane_limit_t: float
    deck_load_t: float
    deck_area_m2: float
    round_trip_h: float
    shifting_min_per_leg: float
    mobilisation: float = 0.0
    workable_share: float = 1.0
    bollard_pull_kn: float | None = None
    fuel_per_trip: float = 0.0
    most_days: int | None = None
    home_every_day: bool = False
    """Whether it makes at least one trip a working day: trips × working hours ≥ all its hours."""
    stood_in: frozenset[str] = field(default=frozenset(), compare=False, repr=False)
    """Fields that hold a stand-in for a fact that the workbook does not state."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def hours_per_charged_day(self) -> float:
        """Hours of work that one charged day brings, weather taken off."""
        return self.working_hours_per_day * self.workable_share

    @property
    def hours_per_trip(self) -> float:
        """Hours that one trip leaves for its lines; without end where it may stay out."""
        if not self.home_every_day:
            return math.inf
        return max(self.working_hours_per_day - self.round_trip_h, 0.0)

    def own_trips(self, mass_t: float, anchors: int, anchor_t: float, anchor_m2: float) -> int:
        """Return the trips of a line that is more than its deck takes; 0 for one that fits.

        mass_t : of the whole line. Its anchors stay whole, and each fits the deck; what else it
        weighs goes in as many parts.
        """
        full = 1.0 + ROUNDING
        if mass_t <= self.deck_load_t * full and anchors * anchor_m2 <= self.deck_area_m2 * full:
            return 0
        at_once = float(anchors)
        if anchor_t > 0:
            at_once = min(at_once, floor_to_whole(self.deck_load_t / anchor_t))
        if anchor_m2 > 0:
            at_once = min(at_once, floor_to_whole(self.deck_area_m2 / anchor_m2))
        by_anchors = ceil_to_whole(anchors / max(at_once, 1.0))
        return max(ceil_to_whole(mass_t / self.deck_load_t), by_anchors, 2)
