"""The plan of least P80, say: among the plans known, and those found at rates that turned out
otherwise. Least among those; not proven least of all, which no linear programme can."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np

from ...models.answer.plan import Plan
from ...models.answer.spread import SureChoice
from ...models.answer.stopped import Stopped
from ...models.arrays import ROUNDING
from ...models.farm import Farm
from ...models.option import FREE
from ...models.rate import TODAY, Rate, RateKind, Rates
from ...models.risk.draws import CostDraws, log_normal
from ...models.site.uncertainty import Uncertain, Uncertainty
from ..failures import NoPlanError
from ..price import DEFAULT_GAP
from ..stowage.anchor_fits import anchor_fits
from .farm_pricer import FarmPricer, PricedOption, Progress

FIRST_SHARE = 0.6
"""Of the time, for the plan at the rates as given."""

LEAST_S = 3.0
"""With less time left no further rates are tried."""


KINDS = {
    Uncertain.FREIGHT: RateKind.FREIGHT,
    Uncertain.SERVICE: RateKind.SERVICE,
    Uncertain.CURRENCY: RateKind.CURRENCY,
    Uncertain.SUPPLIER: RateKind.SUPPLIER,
    Uncertain.ITEM: RateKind.ITEM,
}


def price_sure(
    farm: Farm,
    sure: float,
    *,
    gap: float = DEFAULT_GAP,
    time_limit_s: float = 600.0,
    solver: str = "",
    workers: int = 0,
    progress: Progress | None = None,
) -> Plan:
    """Return the plan whose cost is enough with the chance `sure` for the least money.

    Every vessel's days are charged so as to be enough with that chance, exactly and within the
    programme. The farm is priced at the rates as given, at all its uncertain rates raised to that
    certainty, and at each alone; of the plans found the one is taken whose cost at `sure`, over
    the same draws, is least. `Plan.sure_choice` says among how many. The gap is that of the plan
    against the bound at the rates as given.

    Raises as `price` does.
    """
    began = time.perf_counter()
    farm = replace(farm, project=replace(farm.project, charged_days_sure=sure))
    pricer = FarmPricer(farm, gap=gap, solver=solver, workers=workers)
    stopped: Stopped | None = None

    def told(cost: float, bound: float) -> bool:
        nonlocal stopped
        if progress is not None and progress(cost, bound):
            stopped = Stopped.INTERRUPTED
        return stopped is not None

    shifts = shifted_rates(farm, sure)
    share = FIRST_SHARE if shifts else 1.0
    base = pricer.price(time_limit_s=time_limit_s * share, progress=told)
    if base.settlement is None:
        raise NoPlanError(base.why)
    found = [base]
    for number, rates in enumerate(shifts):
        left = time_limit_s - (time.perf_counter() - began)
        if stopped or left < LEAST_S:
            break
        seconds = max(left / (len(shifts) - number), LEAST_S)
        other = pricer.price(FREE, rates, time_limit_s=seconds, progress=told)
        if other.settlement is not None:
            found.append(pricer.at(other, TODAY))
    base = pricer.bettered(base)
    plans = _unlike([base, *found[1:]], base.bound)
    costs = [cost_at(plan, sure) for plan in plans]
    best = int(np.argmin(costs))
    return replace(
        plans[best],
        fits=anchor_fits(farm),
        sure_choice=SureChoice(sure, len(plans), costs[best], costs[0]),
    )


def shifted_rates(farm: Farm, sure: float) -> tuple[Rates, ...]:
    """Return the rates to price at besides those as given: every uncertain one as it is not
    exceeded with the chance `sure`, all together and each alone."""
    shifts = [(_rate(row), _multiplier(row, sure)) for row in farm.uncertainties]
    if len(shifts) < 2:
        return tuple(Rates((shift,)) for shift in shifts)
    return (Rates(tuple(shifts)), *(Rates((shift,)) for shift in shifts))


def cost_at(plan: Plan, sure: float) -> float:
    """Return what a plan costs at most, with the chance `sure`, over its draws."""
    return float(np.quantile(CostDraws(plan).costs, sure, method="inverted_cdf"))


def _rate(row: Uncertainty) -> Rate:
    if row.what is Uncertain.DAY_RATE:
        return Rate(RateKind.VESSEL if row.which else RateKind.DAY_RATES, row.which)
    return Rate(KINDS[row.what], row.which)


def _multiplier(row: Uncertainty, sure: float) -> float:
    drawn = log_normal(str(row), row.p10_share, row.p90_share)
    return float(np.quantile(drawn, sure, method="inverted_cdf"))


def _unlike(found: list[PricedOption], bound: float) -> list[Plan]:
    """Return the plans, each once, checked; the first stays first. All are held against the bound
    at the rates as given."""
    plans: list[Plan] = []
    for one in found:
        plan = replace(one, bound=min(bound, one.cost)).plan()
        assert plan is not None, "a priced plan stays one"
        alike = any(
            plan.assignments == other.assignments
            and plan.orders == other.orders
            and abs(plan.installed_cost - other.installed_cost) <= ROUNDING * other.installed_cost
            for other in plans
        )
        if not alike:
            plans.append(plan)
    return plans
