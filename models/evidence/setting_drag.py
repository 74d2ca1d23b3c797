"""Setting: how far an anchor drags before it holds what a leg requires of it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..answer.plan import Assignment
from ..farm import Farm
from ..goods.anchor import Anchor, HoldsBy
from ..site.leg import Leg
from ..site.pull_test import PullTest
from ..standing.holding import HoldingTable, anchors_share, kept_under_uplift
from ..standing.load_cases import leg_cases, own_factor


@dataclass(frozen=True)
class AnchorSetting:
    """One anchor model on one leg, by its own pull tests on that seabed."""

    leg: Leg
    anchor: Anchor
    required_kn: float
    """Of one anchor pulled along the seabed, safety factor in."""
    tests: tuple[PullTest, ...]
    drags_m: tuple[float | None, ...]
    """Of each test: the drag within which it first held that load; None: it never did."""

    @property
    def drag_m(self) -> float | None:
        """The largest drag needed of all tests; None where one of them never held the load.

        A test that was stopped at a lower load says nothing of it.
        """
        known = [drag for drag in self.drags_m if drag is not None]
        return max(known) if known and self.short == 0 else None

    @property
    def share(self) -> float | None:
        """The drag needed ÷ the leg's allowed drag; above 1 it needs more than is allowed."""
        return None if self.drag_m is None else self.drag_m / self.leg.allowed_drag_m

    @property
    def reached(self) -> int:
        """How many of its tests held the load at any drag."""
        return sum(drag is not None for drag in self.drags_m)

    @property
    def short(self) -> int:
        """How many of its tests never held the load, though they were not stopped before it."""
        pairs = zip(self.tests, self.drags_m, strict=True)
        return sum(d is None and not test.stopped_within(math.inf) for test, d in pairs)

    @property
    def depths_mm(self) -> tuple[float, ...]:
        """The deepest penetration of each test that recorded one, mm."""
        depths = (test.deepest_mm for test in self.tests)
        return tuple(depth for depth in depths if depth is not None)


def setting(farm: Farm, leg: Leg, anchor: Anchor, required_kn: float) -> AnchorSetting | None:
    """Return the setting of an anchor on a leg; None where it was not tested on that seabed."""
    tests = farm.tests_of(anchor.name, leg.seabed)
    if not tests:
        return None
    drags = tuple(test.drag_to_reach_m(required_kn) for test in tests)
    return AnchorSetting(leg, anchor, required_kn, tests, drags)


def settings_of_farm(farm: Farm) -> tuple[AnchorSetting, ...]:
    """Return the setting of every tested anchor that is relied on for enough, leg by leg.

    Before there is a plan, a leg requires the most of anchor factor × tension over its load
    cases, of one anchor without uplift. That is more than it will ask of one anchor where the
    chain lies on the seabed or several anchors share, and less where the line lifts.
    """
    holdings = HoldingTable(farm)
    found = []
    for leg in farm.legs:
        for anchor in farm.anchors:
            if leg.allowed_families and anchor.family not in leg.allowed_families:
                continue
            if leg.fixed_anchor not in (None, anchor.name) or anchor.holds_by is HoldsBy.WEIGHT:
                continue
            cases = leg_cases(farm, leg, own_factor(farm, anchor))
            required = max(case.anchor_factor * case.tension_kn for case in cases)
            if holdings.of(anchor, leg).holding_kn >= required:
                found.append(setting(farm, leg, anchor, required))
    return tuple(one for one in found if one is not None)


def settings_of_plan(farm: Farm, assignments: Iterable[Assignment]) -> tuple[AnchorSetting, ...]:
    """Return the setting of the anchor chosen for each leg, where it was tested there.

    The load is what the leg requires of each of its anchors, divided by the share kept by the
    others and under uplift, so that it can be looked up in tests along the seabed.
    """
    found = []
    for row in assignments:
        anchor = farm.anchor_by_name[row.make_up.anchor]
        if anchor.holds_by is HoldsBy.WEIGHT:
            continue
        kept = float(kept_under_uplift(farm, anchor)(np.array(row.uplift_deg)))
        share = row.make_up.anchors * anchors_share(farm, row.make_up.anchors) * kept
        if share > 0:
            found.append(setting(farm, farm.leg_by_name[row.leg], anchor, row.required_kn / share))
    return tuple(one for one in found if one is not None)
