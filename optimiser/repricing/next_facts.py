"""What to find out next: the farm priced with each stand-in a half lower and a half higher."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np

from ...models.answer.assumed import Assumed, assumed, assumed_settings
from ...models.answer.finding import Finding, Findings, How
from ...models.farm import Farm
from ...models.fault import FarmError
from ..choices.choices import choices_with
from ..price import NoPlanError, moorable_choices
from ..search.search import Search
from ..search.settlement import Settlement, settle
from ..solvers.report import SolveOptions
from ..solvers.solve import preferred_solver

QUICK_S = 4.0
"""A farm priced within so long is priced again for every value; else its plan is held fast."""

MOST_FIRST = 0.4
"""Largest share of the time that the first price takes."""

Progress = Callable[[str, float, float], bool]
"""Called with what is priced, its best cost and bound; returns True to stop."""


def next_facts(
    farm: Farm,
    *,
    gap: float,
    time_limit_s: float,
    solver: str = "",
    workers: int = 0,
    progress: Progress = lambda what, cost, bound: False,
) -> Findings:
    """Return every stand-in by the money that finding out may be worth, the most first.

    Raises FarmError where the farm cannot be moored, NoPlanError where no plan is found.
    """
    began = time.perf_counter()
    options = SolveOptions(
        solver or preferred_solver(),
        gap,
        time_limit_s * MOST_FIRST,
        on_progress=lambda cost, bound: progress("as assumed", cost, bound),
        workers=workers,
    )
    base = _solved(farm, options)
    if base is None:
        raise NoPlanError("no plan was found to compare with; allow more time (--time-limit)")
    spent = time.perf_counter() - began
    how = How.SOLVED if spent <= QUICK_S else How.KNOWN
    ranked, not_tried = [], []
    for one in _used_first(farm, base):
        left = time_limit_s - (time.perf_counter() - began)
        if left < 1 or progress(f"{one.name} {one.field}", base.cost, 0.0):
            not_tried.append(one)
            continue
        asked = replace(options, time_limit_s=min(left / 2, 4 * QUICK_S), on_progress=None)
        costs = []
        for value in one.tried:
            other = one.put(farm, value)
            settled = _held_fast(other, base, options.solver)
            if how is How.SOLVED:
                settled = _least(settled, _solved(other, asked))
            costs.append(None if settled is None else settled.cost)
        ranked.append(Finding(one, base.cost, costs[0], costs[1], how))
    ranked.sort(key=lambda found: -found.worth)
    return Findings(base.cost, gap, tuple(ranked), tuple(not_tried))


def _used_first(farm: Farm, base: Settlement) -> Iterable[Assumed]:
    """Return the stand-ins, those of goods that the plan uses first, then of the others."""
    made = base.choices.make_ups
    used = {farm.anchors[index].name for index in made.anchor.tolist()}
    used |= {farm.chains[index].name for index in made.chain.tolist()}
    used |= {farm.ropes[index].name for index in made.rope.tolist() if index >= 0}
    used |= {fitting.name for fitting in farm.fittings}
    return [
        *sorted(assumed(farm), key=lambda one: one.name not in used),
        *assumed_settings(farm),
    ]


def _solved(farm: Farm, options: SolveOptions) -> Settlement | None:
    """Return the least settlement found; None where there is none."""
    try:
        return Search(farm, moorable_choices(farm), options).run().settlement
    except FarmError:
        if options.on_progress is not None:
            raise
        return None


def _held_fast(farm: Farm, base: Settlement, solver: str) -> Settlement | None:
    """Return what the lines of a plan cost in the farm as it is now; None where they cannot be."""
    there = choices_with(farm, base.choices.make_ups, base.choices.vessel)
    if there is None:
        return None
    return settle(farm, there, np.arange(len(there)), base.counts, solver)


def _least(*settled: Settlement | None) -> Settlement | None:
    return min((one for one in settled if one is not None), key=lambda one: one.cost, default=None)
