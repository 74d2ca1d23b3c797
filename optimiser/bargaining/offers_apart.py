"""Offers asked about apart from one another: a task each, so that several processes may share them.

Each starts from the plan of the farm as it is, and nothing that one learns reaches another, so the
answers are the same however many work. Where a task finds a cheaper plan, that is the one told.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from ...models.answer.stopped import Stopped
from ...models.asked.offer_worth import OfferWorth, OfferWorths
from ...models.farm import Farm
from ...models.goods.item import OfferKey
from ..choices.built_lines import BuiltLines, built_lines
from ..crew import Crew, Done
from ..repricing.farm_pricer import FarmPricer
from .offer_worth import LEAST_S, OfferWorthRun, Told, worths_of

KNOWN_S = 1.0
"""Seconds for the plan itself in a task: it is known, and so short a time begins no search."""


@dataclass(frozen=True)
class OfferTask:
    """One offer of one farm, the farm's plan and its bound, and the time for it."""

    farm: Farm
    offer: OfferKey
    start: tuple[BuiltLines, ...]
    bound: float
    gap: float
    solver: str
    workers: int
    seconds: float


@dataclass(frozen=True)
class OfferAsked:
    """What one task came to."""

    worth: OfferWorth
    lines: tuple[BuiltLines, ...]
    """Of the cheapest plan that it found."""
    solves: int
    stopped: Stopped | None


def offer_worths_apart(
    pricer: FarmPricer,
    crew: Crew,
    *,
    time_limit_s: float = 600.0,
    progress: Told | None = None,
    done: Done | None = None,
) -> OfferWorths:
    """Return what `offer_worths` does, each offer by a task of its own.

    The time left by the plan itself is shared evenly. Raises ValueError where there is no plan.
    """
    began = time.perf_counter()
    run = OfferWorthRun(pricer, progress, time_limit_s)
    assert run.base.settlement is not None, "a run without a plan does not begin"
    start = built_lines(run.base.settlement.choices, run.base.settlement.counts)
    keys = list(pricer.farm.offer_by_key)
    rounds = max(-(-len(keys) // crew.size), 1)
    seconds = max((time_limit_s - (time.perf_counter() - began)) / rounds, LEAST_S)
    asked: list[OfferAsked] = []
    if run.stopped is None:
        tasks = [
            OfferTask(
                pricer.farm, key, start, run.base.bound, pricer.gap, pricer.solver,
                pricer.workers or 1, seconds,
            )
            for key in keys
        ]  # fmt: skip
        asked = crew.results(offer_asked, tasks, done)
    for one in asked:
        pricer.know(one.lines)
    plan = pricer.bettered(run.base).plan()
    assert plan is not None, "a priced plan stays one"
    ends = (one.stopped for one in asked if one.stopped is not None)
    return replace(
        worths_of(plan, pricer.gap, [one.worth for one in asked]),
        solves=run.solves + sum(one.solves for one in asked),
        seconds=time.perf_counter() - began,
        stopped=run.stopped or next(ends, None),
    )


def offer_asked(task: OfferTask) -> OfferAsked:
    """Return what one offer is worth; a task for one process."""
    began = time.perf_counter()
    pricer = FarmPricer(task.farm, gap=task.gap, solver=task.solver, workers=task.workers)
    pricer.know(task.start)
    pricer.know_bound(task.bound)
    left = max(task.seconds - (time.perf_counter() - began), LEAST_S)
    run = OfferWorthRun(pricer, None, left, base_s=KNOWN_S)
    worth = run.one(task.offer)
    lines = built_lines(run.least.choices, run.least.counts)
    return OfferAsked(worth, lines, run.solves, run.stopped)
