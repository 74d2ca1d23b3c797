"""Alternatives: what a plan leans on most, each taken away and the farm priced again, quickly.

They give the reasons for a plan in money, where nobody asked for a whole comparison.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator

from ...models.answer.plan import Plan
from ...models.asked.comparison import Comparison, Outcome
from ...models.fault import FarmError
from ...models.option import FREE, Option, OptionKind, Rule, What, one_rule
from ..failures import PlanFaultError, SolverFailedError
from .compare import serves
from .farm_pricer import FarmPricer

ROUGH_GAP = 0.02
"""Near enough for an alternative, unless the plan itself asked for less."""

LEAST_S = 0.5
"""Seconds below which an alternative is not begun."""

LEAST_SHARE = 0.1
"""Of the anchors laid, the goods bought or the vessels' charges: below it a plan hardly leans on
something."""

MOST = 3
"""Alternatives that are priced."""


def alternatives(
    plan: Plan,
    time_limit_s: float,
    *,
    solver: str = "",
    workers: int = 0,
    stop: Callable[[], bool] = lambda: False,
) -> Comparison | None:
    """Return the plan and, behind it, those of its alternatives that were priced in time.

    Taken away, one at a time: of what the plan can do without, the anchor model laid most, the
    supplier with the largest order, the vessel with the largest charge; then the second of each.
    Options of the Options sheet are priced before them. None where nothing came of it.
    """
    began = time.perf_counter()
    if time_limit_s < LEAST_S:
        return None
    gap = max(plan.proof.asked_gap, ROUGH_GAP)
    try:
        pricing = FarmPricer(plan.farm, gap=gap, solver=solver, workers=workers)
    except FarmError:
        return None
    asked = [one for one in (*plan.farm.options, *_leant_on(plan)) if serves(pricing, one)][:MOST]
    outcomes = [Outcome(FREE, plan, plan.proof.bound)]
    for place, option in enumerate(asked):
        left = time_limit_s - (time.perf_counter() - began)
        share = left / (len(asked) - place)
        if share < LEAST_S or stop():
            break
        try:
            priced = pricing.price(
                option, time_limit_s=share, progress=lambda _cost, _bound: stop()
            )
            found = priced.plan()
        except (SolverFailedError, PlanFaultError):
            continue
        if found is not None:
            outcomes.append(Outcome(option, found, priced.bound))
    if len(outcomes) == 1:
        return None
    seconds = time.perf_counter() - began
    return Comparison(plan.farm.project.currency, gap, tuple(outcomes), 0, seconds)


def _leant_on(plan: Plan) -> Iterator[Option]:
    """Yield the options without what the plan leans on, what it leans on most first; some of them
    may leave a leg without anything to hold it."""
    bought: Counter[str] = Counter()
    there = {supplier.name for supplier in plan.farm.suppliers if supplier.ordered_before}
    for line in plan.orders:
        if line.supplier not in there:
            bought[line.supplier] += round(line.money)
    sailed = Counter({campaign.vessel: round(campaign.money) for campaign in plan.campaigns})
    kinds = ((What.ANCHORS, plan.anchors_laid), (What.SUPPLIERS, bought), (What.VESSELS, sailed))
    for turn in range(MOST):
        for what, amounts in kinds:
            yield from (
                one_rule(f"without {name}", Rule.FORBID, what, name, kind=OptionKind.LEFT_OUT)
                for name, amount in amounts.most_common()[turn : turn + 1]
                if amount >= LEAST_SHARE * sum(amounts.values())
            )
