"""How sure a plan's cost is: its spread over many draws, and options on the same draws."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..answer.plan import Campaign, Plan
from ..answer.spread import Percentiles, SourceSpread, Spread, SpreadOfOptions, VesselDays
from ..arrays import ROUNDING, Floats
from ..farm import Farm
from .charged_days import chance_within, days_at, working_days_of
from .draws import DRAWS, CostDraws

DEAREST = 0.2
"""Share of the draws of which the mean is stated as that of the dearest."""

CURVE = np.linspace(0.01, 0.99, 50)
"""Chances at which the curve of the sum has a point."""


def spread_of(plan: Plan) -> Spread:
    """Return between which amounts the plan's cost will lie, and what makes it so."""
    drawn = CostDraws(plan)
    costs = drawn.costs
    sources = [SourceSpread(luck.name, range_of(drawn.alone(luck))) for luck in drawn.lucks]
    sources.sort(key=lambda source: (-source.cost.width, source.name))
    cost = plan.installed_cost
    points = np.quantile(costs, CURVE, method="inverted_cdf")
    return Spread(
        cost,
        DRAWS,
        range_of(costs),
        float(costs.mean()),
        mean_beyond(costs, 1 - DEAREST),
        float((costs <= cost * (1 + ROUNDING)).mean()),
        tuple(sources),
        tuple(_days(plan.farm, c) for c in plan.campaigns if plan.farm.laying_priced),
        tuple(zip(points.tolist(), CURVE.tolist(), strict=True)) if sources else (),
    )


def spread_of_options(plans: Mapping[str, Plan]) -> SpreadOfOptions:
    """Return the spread of plans by name on the same draws, and how often each is cheapest."""
    costs = {name: CostDraws(plan).costs for name, plan in plans.items()}
    table = np.array(list(costs.values()))
    least = np.argmin(table, axis=0) if len(table) else np.zeros(0, dtype=np.int64)
    return SpreadOfOptions(
        {name: range_of(each) for name, each in costs.items()},
        {name: float((least == place).mean()) for place, name in enumerate(costs)},
    )


def range_of(costs: Floats) -> Percentiles:
    """Return P10 to P90 of equally likely costs: the least that is no less than such a share."""
    return Percentiles(*np.quantile(costs, [0.1, 0.5, 0.8, 0.9], method="inverted_cdf").tolist())


def mean_beyond(costs: Floats, share: float) -> float:
    """Return the mean of the dearest 1 − `share` of equally likely costs (CVaR).

    min over η of η + E[(cost − η)⁺] ÷ (1 − share); it is reached at η = the quantile of `share`.
    Source: Rockafellar and Uryasev (2000), from memory.
    """
    at = float(np.quantile(costs, share, method="inverted_cdf"))
    return at + float(np.maximum(costs - at, 0.0).mean()) / (1 - share)


def _days(farm: Farm, campaign: Campaign) -> VesselDays:
    vessel = farm.vessel_by_name[campaign.vessel]
    working, share = working_days_of(vessel, campaign.hours), vessel.workable_share
    p10, p50, p80, p90 = (days_at(working, share, sure) for sure in (0.1, 0.5, 0.8, 0.9))
    return VesselDays(
        vessel.name,
        working,
        share,
        campaign.days,
        chance_within(working, share, campaign.days),
        p10,
        p50,
        p80,
        p90,
    )
