"""A comparison: options side by side, and what makes the difference between any two."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from ..answer.plan import Part, Plan
from ..answer.stopped import Stopped
from ..arrays import floor_to_whole
from ..goods.freight import Basis
from ..option import Option
from ..rate import RateKind
from .break_even import CostLine

FARTHEST = 10.0
"""Multipliers beyond which, or below whose inverse, a turning point says nothing to anybody."""


@dataclass(frozen=True)
class Step:
    """One part of the cost: freight by service, the rest as the plan has it."""

    part: Part
    service: str = ""

    def __str__(self) -> str:
        return f"{self.part}: {self.service}" if self.service else str(self.part)


@dataclass(frozen=True)
class Outcome:
    """What one option comes to, or why it cannot be done."""

    option: Option
    plan: Plan | None
    bound: float
    """No plan of the option costs less; infinite where there can be none."""
    why: str = ""

    @property
    def impossible(self) -> bool:
        """Whether it is known that no plan of the option can be."""
        return self.plan is None and self.bound == math.inf

    @cached_property
    def cents(self) -> Mapping[Step, int]:
        """Each step of the cost in hundredths of the currency; together they are the whole."""
        return {} if self.plan is None else in_hundredths(steps_of(self.plan))

    @property
    def total_cents(self) -> int:
        """The installed cost in hundredths of the currency."""
        return sum(self.cents.values())


@dataclass(frozen=True)
class Amounts:
    """What a plan moves, lays and sails."""

    mass_t: float
    """Of the packs shipped."""
    volume_m3: float
    """Of the packs shipped."""
    containers: int
    revenue_tonnes: float
    """Billed, by measure."""
    trips: int
    days: int
    """Charged, of all vessels."""
    chain_m: float
    anchors: int
    models: int
    """Anchor models laid."""


@dataclass(frozen=True, order=True)
class TurningPoint:
    """A multiplier of some rates past which the plan of an option costs less than the base's."""

    multiplier: float
    option: str


@dataclass(frozen=True)
class TurningPoints:
    """Those of one kind of rate that are nearest to today's, the plans held fast; one at least."""

    rate: RateKind
    above: TurningPoint | None
    """Past it upwards."""
    below: TurningPoint | None
    """Past it downwards."""


@dataclass(frozen=True)
class Comparison:
    """The outcomes, the one that the others are held against first."""

    currency: str
    asked_gap: float
    outcomes: tuple[Outcome, ...]
    single_models: int = 0
    """Anchor models that were looked at alone; those that can serve the farm are outcomes."""
    seconds: float = 0.0
    stopped: Stopped | None = None

    @property
    def base(self) -> Outcome:
        """The free choice."""
        return self.outcomes[0]

    @property
    def done(self) -> tuple[Outcome, ...]:
        """The outcomes that have a plan."""
        return tuple(outcome for outcome in self.outcomes if outcome.plan is not None)

    def dearer_by(self, outcome: Outcome) -> tuple[float, float, float]:
        """Return by how much the least plan of an outcome is dearer than the base's least: by
        the plans found, at least, and at most."""
        base = self.base
        assert base.plan is not None, "the free choice has a plan"
        cost = math.inf if outcome.plan is None else outcome.plan.installed_cost
        # No option can be cheaper than the free choice.
        least = max(outcome.bound - base.plan.installed_cost, 0.0)
        return cost - base.plan.installed_cost, least, cost - base.bound


def steps_of(plan: Plan) -> dict[Step, float]:
    """Return the parts of a plan's cost, freight by service."""
    steps: dict[Step, float] = {}
    for part in Part:
        if part is Part.FREIGHT and plan.farm.freight_priced:
            steps.update({Step(part, b.service): b.money for b in plan.bookings})
        else:
            steps[Step(part)] = plan.parts.get(part, 0.0)
    return steps


def in_hundredths(amounts: Mapping[Step, float]) -> dict[Step, int]:
    """Return amounts in whole hundredths that add up to their sum, rounded once.

    Each is rounded down and the hundredths left over go to those that lost most: no amount is
    off by a whole one.
    """
    whole = {step: floor_to_whole(amount * 100) for step, amount in amounts.items()}
    left = round(math.fsum(amounts.values()) * 100) - sum(whole.values())
    lost = sorted(amounts, key=lambda step: whole[step] - amounts[step] * 100)
    for step in lost[: max(left, 0)]:
        whole[step] += 1
    return whole


def waterfall(one: Outcome, other: Outcome) -> tuple[tuple[Step, int], ...]:
    """Return the steps that lead from one outcome's cost to the other's, in hundredths.

    In the order of the parts; those that are alike in both are left out. Their sum is the
    difference of the totals.
    """
    order = list(Part)
    steps = sorted(
        {*one.cents, *other.cents}, key=lambda step: (order.index(step.part), step.service)
    )
    changes = ((step, other.cents.get(step, 0) - one.cents.get(step, 0)) for step in steps)
    return tuple((step, change) for step, change in changes if change)


def turning_points(comparison: Comparison) -> tuple[TurningPoints, ...]:
    """Return at which freight and day rates, at the latest, another of the plans compared costs
    less than the free choice's: each plan held fast, so that the true point is there or nearer."""
    base = comparison.base.plan
    assert base is not None, "the free choice has a plan"
    found = []
    for rate, line_of in ((RateKind.FREIGHT, _freight_line), (RateKind.DAY_RATES, _day_rate_line)):
        today = line_of(base)
        meets = [
            (multiplier, one.option.name)
            for one in comparison.done
            if one.plan is not None
            and (multiplier := today.meets(line_of(one.plan))) is not None
            and 1 / FARTHEST <= multiplier <= FARTHEST
        ]
        above = min((TurningPoint(*meet) for meet in meets if meet[0] > 1), default=None)
        below = max((TurningPoint(*meet) for meet in meets if meet[0] < 1), default=None)
        if above is not None or below is not None:
            found.append(TurningPoints(rate, above, below))
    return tuple(found)


def _freight_line(plan: Plan) -> CostLine:
    freight = plan.parts.get(Part.FREIGHT, 0.0) * (1 + plan.farm.project.insurance_share)
    freight += sum(booking.duty for booking in plan.bookings)
    return CostLine(plan.installed_cost - freight, freight)


def _day_rate_line(plan: Plan) -> CostLine:
    days = plan.parts.get(Part.VESSEL_DAYS, 0.0)
    return CostLine(plan.installed_cost - days, days)


def amounts_of(plan: Plan) -> Amounts:
    """Return what a plan moves, lays and sails."""
    by_measure = {s.name for s in plan.farm.services if s.basis is Basis.MEASURE}
    return Amounts(
        mass_t=sum(booking.tonnes for booking in plan.bookings),
        volume_m3=sum(booking.volume_m3 for booking in plan.bookings),
        containers=sum(booking.containers for booking in plan.bookings),
        revenue_tonnes=sum(b.revenue_tonnes for b in plan.bookings if b.service in by_measure),
        trips=sum(campaign.trips for campaign in plan.campaigns),
        days=sum(campaign.days for campaign in plan.campaigns),
        chain_m=sum(row.count * row.make_up.chain_m for row in plan.assignments),
        anchors=plan.anchors_laid.total(),
        models=len({row.make_up.anchor for row in plan.assignments}),
    )
