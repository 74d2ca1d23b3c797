"""The main job: price a farm's moorings."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from ..models.answer.plan import Plan, Proof
from ..models.answer.stopped import Stopped
from ..models.farm import Farm
from ..models.farm_faults import farm_faults
from ..models.fault import FarmError, Fault, Severity
from ..models.risk.cost_spread import spread_of
from ..models.site.leg import Leg
from .after.earlier_plan import changed_back, held, lines_changed, settled_like, with_earlier
from .choices.choices import Choices, all_in_one, choices_by_batch, legs_without
from .choices.left_out import left_out
from .choices.nearest_miss import UnmoorableError, nearest_miss
from .failures import NoPlanError, PlanFaultError, SolverFailedError
from .listener import Listener
from .programme.shortage import explain_shortage
from .recheck.recheck import recheck
from .search.ledger import plan_of
from .search.search import Search
from .solvers.report import SolveOptions
from .solvers.solve import preferred_solver
from .stowage.anchor_fits import anchor_fits

DEFAULT_GAP = 1e-3
"""A plan within 0.1 % of the bound counts as least, proven, unless another gap is asked for."""

COST_SLACK, CENT = 1e-6, 0.01
"""How far, as a share and in money, a plan's parts may lie from the cost of the programme."""

BACK_S, BACK_SHARE = 10.0, 0.15
"""Longest that leg groups are tried as an earlier plan builds them, where that costs nothing; and
the share of the time limit that is kept for it."""

START_SHARE = 0.5
"""Share of the time limit within which an earlier plan must be settled to be a start: mostly it is
at once, but cutting lists and load plans of a large farm can take seconds the first time."""

WIDEST = 0.5
"""Most that a gap is widened to where nearly all is spent: then little is left to be saved."""

MOST_EXPLAINED = 25
"""Legs without a make-up whose nearest miss is worked out."""


def price(
    farm: Farm,
    *,
    gap: float = DEFAULT_GAP,
    time_limit_s: float = 600.0,
    solver: str = "",
    workers: int = 0,
    progress: Callable[[float, float], bool] | None = None,
    like: Plan | None = None,
    keep: bool = False,
    change_cost: float = 0.0,
    spent: float = 0.0,
) -> Plan:
    """Return the least order found for a farm, with its proof and its checks.

    gap : (cost − bound) ÷ cost at which the plan counts as least, proven. solver : "highs",
    "cbc", or "" for the preferred one. workers : that share the search; 0: two, where the machine
    has the cores; with one the same farm gives the same plan every time. progress : called with
    (cost of the best plan, bound) in the project's currency while the solver works; returns True
    to stop with the best plan so far. like : an earlier plan, from which the search starts as
    far as its lines still stand. keep : whether every leg group that can be as it was is held so.
    change_cost : a leg group is built otherwise than `like` has it only where that saves more than
    this a line, project currency: of the plan found, each group in turn is tried as it was.
    spent : on earlier orders: the gap asked is then a share of the whole, of what is still to be
    paid and this.

    Raises FarmError where the farm contradicts itself or cannot be moored (which legs, and by
    how much they miss), NoPlanError, SolverFailedError, PlanFaultError, and what `progress` raises.
    """
    began = time.perf_counter()
    faults = [fault for fault in farm_faults(farm) if fault.severity is Severity.ERROR]
    if faults:
        raise FarmError(faults)
    farm = farm.to_lay
    listener = Listener(progress)
    choices = moorable_choices(farm, time_limit_s, listener)
    start, using = None, solver or preferred_solver()
    if like is not None:
        back_s = min(BACK_S, BACK_SHARE * time_limit_s)
        choices = with_earlier(farm, choices, like)
        choices = held(farm, choices, like) if keep else choices
        start = settled_like(farm, choices, like, using, START_SHARE * time_limit_s)
        if start is not None and start.cost > 0:
            gap = min(gap * (1 + spent / start.cost), WIDEST)
    else:
        back_s = 0.0
    left = max(time_limit_s - back_s - (time.perf_counter() - began), 1.0)
    options = SolveOptions(solver, gap, left, on_progress=listener, workers=workers)
    found = Search(farm, choices, options, start).run()
    listener.raise_error()
    if found.settlement is None:
        if found.infeasible:
            left = time_limit_s - (time.perf_counter() - began)
            short = explain_shortage(farm, choices, replace(options, time_limit_s=left))
            listener.raise_error()
            raise FarmError(short)
        if (
            found.stopped is not Stopped.TIME_LIMIT
            and time.perf_counter() - began < time_limit_s - 1
        ):
            why = f"was stopped, or {found.solver} gave up, before there was any plan"
            raise NoPlanError(f"the search {why}; try the other --solver")
        raise NoPlanError(
            f"no plan was found within {time_limit_s:g} s; allow more time (--time-limit)"
        )
    settlement = found.settlement
    if like is not None:
        settlement = changed_back(farm, choices, settlement, like, using, back_s, change_cost)
        if start is not None:
            more = lines_changed(farm, start, like) - lines_changed(farm, settlement, like)
            if start.cost + change_cost * more < settlement.cost:
                settlement = start
    proof = Proof(
        settlement.cost,
        min(found.bound, settlement.cost),
        gap,
        found.solver,
        time.perf_counter() - began,
        found.stopped,
    )
    plan = plan_of(farm, settlement, proof)
    unused = left_out(farm, choices)
    plan = replace(plan, kept=keep, change_cost=change_cost)
    return checked(replace(plan, fits=anchor_fits(farm), left_out=unused))


def moorable_choices(
    farm: Farm, time_limit_s: float = math.inf, listener: Listener | None = None
) -> Choices:
    """Return every choice of the farm.

    Raises UnmoorableError where a leg has none, NoPlanError where the time is over before they
    are all enumerated or the listener says stop, and what it raised itself.
    """
    until = time.perf_counter() + time_limit_s
    batches: list[Choices] = []
    for batch in choices_by_batch(farm):
        batches.append(batch)
        done = int(batch.make_ups.leg.max(initial=0)) + 1
        if done >= len(farm.legs):
            break
        told_to_stop = listener is not None and listener(math.inf, -math.inf)
        if listener is not None:
            listener.raise_error()
        if told_to_stop or time.perf_counter() > until:
            why = "was stopped" if told_to_stop else f"ran out of its {time_limit_s:g} s"
            raise NoPlanError(
                f"the search {why} while it listed what may be laid: it was done with {done:,} of "
                f"{len(farm.legs):,} leg groups; allow more time (--time-limit)"
            )
    choices = all_in_one(batches)
    _refuse(legs_without(farm, choices.make_ups.leg), farm)
    return choices


def refuse_unmoorable(farm: Farm) -> None:
    """Raise UnmoorableError where a leg has no choice, without keeping the choices."""
    farm = farm.to_lay
    served = [np.unique(choices.make_ups.leg) for choices in choices_by_batch(farm)]
    _refuse(legs_without(farm, np.concatenate(served)), farm)


def _refuse(without: list[Leg], farm: Farm) -> None:
    if without:
        explained = tuple(nearest_miss(farm, leg) for leg in without[:MOST_EXPLAINED])
        raise UnmoorableError(explained, without[MOST_EXPLAINED:])


def checked(plan: Plan) -> Plan:
    """Return the plan with the lines of its independent recheck and the spread of its cost.

    Raises PlanFaultError.
    """
    lines = recheck(plan)
    failed = [line for line in lines if not line.passed]
    if abs(plan.installed_cost - plan.proof.cost) > COST_SLACK * max(plan.proof.cost, 1.0) + CENT:
        raise PlanFaultError(
            f"the plan's parts add up to {plan.installed_cost:.2f}, "
            f"the programme's cost is {plan.proof.cost:.2f}"
        )
    if failed:
        told = "; ".join(
            f"{line.what} ({line.where}): {line.required:g} required, "
            f"{line.available:g} {line.unit}"
            for line in failed[:5]
        )
        raise PlanFaultError(f"{len(failed)} checks of the finished plan failed: {told}")
    return replace(plan.with_checks(lines), spread=spread_of(plan))


__all__ = [
    "DEFAULT_GAP",
    "Fault",
    "NoPlanError",
    "PlanFaultError",
    "SolverFailedError",
    "checked",
    "price",
]
