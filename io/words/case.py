"""The case for a plan: what else was priced, why this order, and what would change the answer.

A plan alone says what is bought and what it costs; options and turning points come from pricing the
farm again, and are handed in by whoever did that. Without them the reasons are the plan's own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ...models.answer.plan import Part, PartGroup, Plan
from ...models.asked.comparison import Comparison, Outcome, turning_points
from ...models.option import OptionKind
from ...models.rate import RateKind

BARS: tuple[tuple[str, tuple[Part, ...]], ...] = (
    ("Anchors", PartGroup.ANCHORS.value),
    ("Chain, rope, fittings", PartGroup.LINES.value),
    ("Freight, duty, charges", PartGroup.FREIGHT.value + PartGroup.CHARGES.value),
    ("Installation", PartGroup.VESSELS.value),
)
"""What a plan's bar is stacked of, on a page that has room for four."""

MOST_OPTIONS = 5
"""Options beside the plan that one page has room for: six bars with its own."""
MOST_LINES = 3
"""Reasons, and turning points, that one page has room for."""
RATES = {RateKind.FREIGHT: "freight rates", RateKind.DAY_RATES: "vessel day rates"}

SIGNED = ("Prepared by", "Engineer, for the design values", "Approved by")
"""Who signs the case, the last with the name that Project gives."""


@dataclass(frozen=True)
class OptionCost:
    """Another plan of the same farm, priced under a restriction."""

    name: str
    parts: Mapping[Part, float]
    """In the project's currency; empty: it cannot be done."""
    note: str = ""
    """What must be said of it: "not proven", or why it cannot be done."""

    @property
    def cost(self) -> float:
        """The sum of the parts."""
        return sum(self.parts.values())

    def grouped(self) -> tuple[float, ...]:
        """Return the cost of each of `BARS`."""
        return tuple(sum(self.parts.get(part, 0.0) for part in parts) for _, parts in BARS)


@dataclass(frozen=True)
class Case:
    """What is said for a plan besides the plan itself; each as sentences with their numbers."""

    options: tuple[OptionCost, ...] = ()
    reasons: tuple[str, ...] = ()
    turning_points: tuple[str, ...] = ()

    def why(self, plan: Plan) -> tuple[str, ...]:
        """Return the reasons given, and where they are few those that the plan itself shows."""
        return (*self.reasons, *reasons_of(plan))[:MOST_LINES]

    def what_would_change(self, plan: Plan) -> tuple[str, ...]:
        """Return the turning points given, else what to run to find them."""
        if self.turning_points:
            return self.turning_points[:MOST_LINES]
        book = f'"{plan.farm.origin_file}"' if plan.farm.origin_file else "WORKBOOK"
        return (
            "Not worked out for this file. For other options side by side run: moorledger compare "
            f"{book}; for the rates and prices at which the choice flips: moorledger breakeven "
            f"{book}.",
        )


def case_of(comparison: Comparison) -> Case:
    """Return the case that options compared make for the free choice.

    Options that somebody asked for by name come first, the cheapest of them first; one whose plan
    is the free choice's, or that of an option before it, is no other answer and is left out.
    """
    others = [one for one in comparison.done if one is not comparison.base]
    others.sort(key=lambda one: (one.option.kind is not OptionKind.OWN, one.total_cents))
    costs, reasons = [], []
    seen = [_built(comparison.base)]
    for one in others:
        found, least, _ = comparison.dearer_by(one)
        assert one.plan is not None
        if _built(one) in seen:
            continue
        seen.append(_built(one))
        cheaper = "" if least > 0 else "not proven dearer"
        costs.append(OptionCost(one.option.name, one.plan.parts, cheaper))
        share = found / (one.plan.installed_cost - found)
        if least > 0:
            reasons.append(
                f"'{one.option.name}' would cost {comparison.currency} {found:,.0f} ({share:.1%}) "
                f"more, and at least {comparison.currency} {least:,.0f} more whatever its plan."
            )
        elif found > 0:
            reasons.append(
                f"'{one.option.name}': the best plan found for it costs {comparison.currency} "
                f"{found:,.0f} ({share:.1%}) more; that none is cheaper is not proven."
            )
        elif found < 0:
            reasons.insert(
                0,
                f"Mind: a plan of '{one.option.name}' was found that costs {comparison.currency} "
                f"{-found:,.0f} LESS than this order: price again, with more time.",
            )
    points = turning_words(comparison)
    return Case(tuple(costs[:MOST_OPTIONS]), tuple(reasons[:MOST_LINES]), points)


def _built(one: Outcome) -> tuple[object, ...]:
    """Return what makes an outcome's plan the plan that it is: what is laid, bought and booked."""
    assert one.plan is not None
    return (
        one.total_cents,
        one.plan.orders,
        tuple((row.leg, row.make_up, row.vessel, row.count) for row in one.plan.assignments),
        tuple((b.service, b.containers) for b in one.plan.bookings),
    )


def turning_words(comparison: Comparison) -> tuple[str, ...]:
    """Return the turning points of a comparison, a sentence a rate."""
    said = []
    for turning in turning_points(comparison):
        sides = [
            f"{side} {point.multiplier:.2f} times today's ('{point.option}')"
            for side, point in (("above", turning.above), ("below", turning.below))
            if point is not None
        ]
        said.append(
            f"With all {RATES[turning.rate]} {' or '.join(sides)}, at the latest, another plan "
            "costs less than this order."
        )
    return tuple(said)


def reasons_of(plan: Plan) -> tuple[str, ...]:
    """Return how much of what a plan pays for it uses: holding, material, carriage and boats."""
    return tuple(filter(None, (_holding(plan), _material(plan), _work(plan))))


def _holding(plan: Plan) -> str:
    rows = [row for row in plan.assignments if math.isfinite(row.available_kn)]
    required = sum(row.count * row.required_kn for row in rows)
    available = sum(row.count * row.available_kn for row in rows)
    if available <= 0:
        return ""
    return (
        f"Holding: the legs require {required:,.0f} kN in all, "
        f"safety factors in, and the anchors chosen are relied on for {available:,.0f} kN "
        f"({required / available:.0%} used)."
    )


def _material(plan: Plan) -> str:
    stock = sum(cut.stock_m for cut in plan.cuts)
    if stock <= 0:
        return ""
    left = sum(cut.offcut_m for cut in plan.cuts)
    return (
        f"Material: of {stock:,.0f} m of chain and rope that are cut, "
        f"{left:,.0f} m ({left / stock:.1%}) are left over."
    )


def _work(plan: Plan) -> str:
    if plan.installed_cost <= 0:
        return ""
    said = []
    if plan.bookings and plan.farm.freight_priced:
        freight = plan.parts.get(Part.FREIGHT, 0.0)
        said.append(f"freight is {freight / plan.installed_cost:.1%} of the cost")
    for campaign in plan.campaigns if plan.farm.laying_priced else ():
        vessel = plan.farm.vessel_by_name[campaign.vessel]
        hours = campaign.days * vessel.working_hours_per_day * vessel.workable_share
        if hours > 0:
            worked = campaign.hours / hours
            said.append(f"{campaign.vessel}'s charged days are worked to {worked:.0%}")
    if not said:
        return ""
    return f"Carriage and boats: {'; '.join(said)}."


PLAN_ALONE = Case()
"""No options priced beside the plan."""
