"""Options priced apart from one another: a task each, so that several processes may share them.

Nothing that one price learns reaches another, so the outcomes are the same however many work.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...models.answer.stopped import Stopped
from ...models.asked.comparison import Comparison, Outcome
from ...models.farm import Farm
from ...models.option import Option
from ...models.option_menu import single_models
from ..crew import Crew, Done
from ..price import checked
from .compare import LEAST_S, options_of, serves
from .farm_pricer import NEWS, FarmPricer


@dataclass(frozen=True)
class OptionTask:
    """One option of one farm, and the time for it."""

    farm: Farm
    option: Option
    gap: float
    solver: str
    workers: int
    seconds: float


@dataclass(frozen=True)
class OptionPriced:
    """What one option came to."""

    outcome: Outcome
    proven: bool


def compare_apart(
    pricer: FarmPricer, crew: Crew, *, time_limit_s: float = 600.0, done: Done | None = None
) -> Comparison:
    """Return the options that `compare` has, each priced by a task of its own.

    The time is shared evenly among those that leave every leg a choice.
    """
    began = time.perf_counter()
    asked = list(options_of(pricer))
    able = sum(serves(pricer, option) for option in asked)
    rounds = max(-(-able // crew.size), 1)
    seconds = max((time_limit_s - (time.perf_counter() - began)) / rounds, LEAST_S)
    farm, gap, solver, workers = pricer.farm, pricer.gap, pricer.solver, pricer.workers or 1
    tasks = [OptionTask(farm, option, gap, solver, workers, seconds) for option in asked]
    priced: Sequence[OptionPriced] = crew.results(price_option, tasks, done)
    outcomes = _with_the_cheapest(pricer, [one.outcome for one in priced])
    stopped = None if all(one.proven for one in priced) else Stopped.TIME_LIMIT
    return Comparison(
        farm.project.currency,
        gap,
        outcomes,
        len(single_models(farm)),
        time.perf_counter() - began,
        stopped,
    )


def _with_the_cheapest(pricer: FarmPricer, outcomes: list[Outcome]) -> tuple[Outcome, ...]:
    """Return the outcomes, the free choice with the cheapest plan of all: each is a plan of it."""
    base = outcomes[0]
    plans = [one.plan for one in outcomes if one.plan is not None]
    if base.plan is None or not plans:
        return tuple(outcomes)
    best = min(plans, key=lambda plan: plan.installed_cost)
    if best.installed_cost < base.plan.installed_cost * (1 - NEWS):
        cost = best.installed_cost
        proof = replace(base.plan.proof, cost=cost, bound=min(base.bound, cost))
        plan = checked(replace(best, farm=pricer.farm, proof=proof))
        outcomes[0] = replace(base, plan=plan, bound=proof.bound)
    return tuple(outcomes)


def price_option(task: OptionTask) -> OptionPriced:
    """Return the outcome of one option; a task for one process."""
    pricer = FarmPricer(task.farm, gap=task.gap, solver=task.solver, workers=task.workers)
    priced = pricer.price(task.option, time_limit_s=task.seconds)
    return OptionPriced(
        Outcome(priced.option, priced.plan(), priced.bound, priced.why), priced.proven
    )
