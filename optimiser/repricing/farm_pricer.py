"""Pricing: one farm priced again and again, under options and at other rates.

Its choices are enumerated once. Every plan found is kept, and is where the next search starts
wherever an option admits it: a plan at other rates is a plan still, only its cost is another. So
are the cutting rows, the patterns and the choices that prices asked for, which hold at any rates.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...models.answer.left_out import LeftOut
from ...models.answer.plan import Plan, Proof
from ...models.answer.stopped import Stopped
from ...models.arrays import Bools, Ints
from ...models.farm import Farm
from ...models.farm_faults import farm_faults
from ...models.fault import FarmError, Severity
from ...models.option import FREE, Option, What
from ...models.option_menu import names_of
from ...models.rate import TODAY, Rates
from ..choices.admitted import admitted, offers_left, why_none
from ..choices.built_lines import BuiltLines, chosen_as_built
from ..choices.choices import Choices, first_active, legs_without
from ..choices.left_out import left_out
from ..listener import Listener
from ..price import DEFAULT_GAP, checked, moorable_choices
from ..programme.order_programme import OrderProgramme
from ..programme.shortage import explain_shortage
from ..search.incumbent import SearchMemory
from ..search.ledger import cost_parts, plan_of
from ..search.search import SMALL, Search
from ..search.settlement import Settlement, settle
from ..solvers.report import SolveOptions
from ..solvers.solve import preferred_solver, solve
from ..stowage.load_lessons import Stowage
from .known_plans import KnownPlans, Offers, OptionScope

SETTLED = 2
"""Most known plans that are settled anew before a search."""

CHANGED = 2
"""Most known plans that are tried with some legs otherwise."""

MOST_CHANGED = 0.35
"""Share of the leg groups that may be otherwise; beyond it a search finds better."""

FAR = 0.03
"""Share above the bound up to which a known plan is a good start as it is."""

CHANGED_EACH = 30
"""Choices of a leg that is otherwise, besides those that earlier prices asked for."""

ITEM_EACH = 4
"""Choices of a leg with an item whose offer is looked at quickly."""

CHANGED_S = 3.0
"""Longest that a known plan is changed for."""

TOO_SHORT_S = 2.0
"""With less time than this, and a plan known, no search is begun."""

MONEY = 1e-6
"""What rounding may do to a cost, project currency."""

NEWS = 1e-6
"""A plan must be cheaper by this share to take another's place."""

Progress = Callable[[float, float], bool]
"""Called with (best cost, bound); returns True to stop."""


@dataclass(frozen=True)
class PricedOption:
    """One option at some rates: the least settlement found, and a bound on any."""

    option: Option
    rates: Rates
    farm: Farm
    """As it was priced: at these rates, with what the option leaves on offer."""
    settlement: Settlement | None
    bound: float
    """No plan of the option costs less; infinite where there can be none."""
    gap: float
    """That was asked."""
    solver: str
    seconds: float
    stopped: Stopped | None = None
    why: str = ""
    """Why there is no plan."""

    @property
    def cost(self) -> float:
        """Of the plan found; infinite without one."""
        return math.inf if self.settlement is None else self.settlement.cost

    @property
    def gap_left(self) -> float:
        """By what share of its cost the plan may yet be bettered; infinite without one."""
        if self.settlement is None:
            return 0.0 if self.proven else math.inf
        return 1 - self.bound / self.cost

    @property
    def proven(self) -> bool:
        """Whether the plan is within the gap asked of the least, or there can be none."""
        if self.settlement is None:
            return math.isinf(self.bound) and self.bound > 0
        return near(self.bound, self.cost, self.gap)

    def plan(self, left_out: tuple[LeftOut, ...] = ()) -> Plan | None:
        """Return the plan with its checks, or None; raises PlanFaultError.

        left_out : what no plan of the farm can use.
        """
        if self.settlement is None:
            return None
        bound = min(self.bound, self.cost)
        proof = Proof(self.cost, bound, self.gap, self.solver, self.seconds, self.stopped)
        plan = replace(plan_of(self.farm, self.settlement, proof), left_out=left_out)
        return checked(plan)


def near(bound: float, cost: float, gap: float) -> bool:
    """Tell whether a bound is within the gap of a cost."""
    return bound >= cost * (1 - gap) - MONEY


class FarmPricer:
    """One farm, its choices, and every plan found for it so far."""

    def __init__(
        self, farm: Farm, *, gap: float = DEFAULT_GAP, solver: str = "", workers: int = 0
    ) -> None:
        """Raises FarmError where the farm contradicts itself or some leg cannot be moored."""
        faults = [fault for fault in farm_faults(farm) if fault.severity is Severity.ERROR]
        if faults:
            raise FarmError(faults)
        farm = farm.to_lay
        self.farm = farm
        self.gap = gap
        self.solver = solver or preferred_solver()
        self.workers = workers
        self.choices = moorable_choices(farm)
        self.left_out = left_out(farm, self.choices)
        self._known = KnownPlans(farm)
        self._learnt = SearchMemory(stowage=Stowage(farm))
        self._anew: dict[tuple[bytes, bytes, Offers], Settlement | None] = {}
        """Known plans settled anew, by their lines and the offers."""

    def price(
        self,
        option: Option = FREE,
        rates: Rates = TODAY,
        *,
        time_limit_s: float = 600.0,
        progress: Progress | None = None,
        unlike: tuple[Bools, ...] = (),
    ) -> PricedOption:
        """Return the least plan found of an option at some rates.

        unlike : (X,) masks over `choices`, each of which the plan must not be made up of whole.
        Never raises for an option that cannot be done: `why` says it.
        """
        began = time.perf_counter()
        farm = offers_left(rates.applied(self.farm), option)
        left = self._left(farm, option, rates)
        places = np.flatnonzero(left.admits)
        part = replace(self.choices, unlike=unlike).take(places)
        nothing = PricedOption(option, rates, farm, None, math.inf, self.gap, self.solver, 0.0)
        without = legs_without(farm, part.make_ups.leg)
        if without:
            return replace(nothing, why=why_none(farm, option, without))
        start = self._start(farm, left, unlike)
        bound = self._known.bound(left)
        if not unlike and (start is None or not near(bound, start.cost, max(self.gap, FAR))):
            known = (start, self._changed(farm, left, time_limit_s))
            start = min((one for one in known if one), key=lambda one: one.cost, default=None)
        spent = time.perf_counter() - began
        seconds = time_limit_s - spent
        done = start is not None and near(bound, start.cost, self.gap)
        if start is not None and (done or seconds < TOO_SHORT_S):
            bound = min(bound, start.cost)
            stopped = None if done else Stopped.TIME_LIMIT
            found = PricedOption(
                option, rates, farm, start, bound, self.gap, self.solver, spent, stopped
            )
            return self._kept(found, left, plain=not unlike)
        listener = Listener(progress)
        asked = SolveOptions(
            self.solver,
            self.gap,
            max(seconds, 1.0),
            on_progress=listener,
            workers=self.workers,
        )
        search = Search(farm, part, asked, _placed(start, places), self._learnt_of(places))
        result = search.run()
        listener.raise_error()
        learnt = search.learnt()
        self._learnt = replace(learnt, active=places[learnt.active])
        if result.settlement is None:
            spent = time.perf_counter() - began
            why = f"no plan was found within {time_limit_s:.0f} s"
            if result.infeasible:
                why = self._shortage(farm, part, asked)
                listener.raise_error()
            bound = math.inf if result.infeasible else max(bound, result.bound)
            if not unlike and not result.infeasible:
                self._known.keep_bound(left, bound)
            return replace(nothing, bound=bound, why=why, seconds=spent, stopped=result.stopped)
        best = result.settlement
        best = replace(best, chosen=places[best.chosen])
        found = PricedOption(
            option,
            rates,
            farm,
            best,
            min(max(bound, result.bound), best.cost),
            self.gap,
            result.solver,
            time.perf_counter() - began,
            result.stopped,
        )
        return self._kept(found, left, plain=not unlike)

    @property
    def learnt(self) -> SearchMemory:
        """What the searches so far learnt, good at any rates."""
        return self._learnt

    def know(self, lines: Sequence[BuiltLines]) -> None:
        """Settle a plan of these lines at today's rates, where the farm lets them be built, and
        know it from now on."""
        found = chosen_as_built(self.choices, lines)
        if found is None or not len(found[0]):
            return
        settled = self._settled(self.farm, *found)
        if settled is not None:
            self._known.keep(settled, self._left(self.farm, FREE, TODAY).offers)

    def know_bound(self, bound: float) -> None:
        """Know from now on that no plan costs less than this at today's rates."""
        self._known.keep_bound(self._left(self.farm, FREE, TODAY), bound)

    def bettered(self, priced: PricedOption) -> PricedOption:
        """Return a priced option with a cheaper plan that was found since for another option, and
        with what was proven since for an option that leaves no less."""
        left = self._left(priced.farm, priced.option, priced.rates)
        standing, _ = self._known.standing(priced.farm, left, ())
        bound = max(priced.bound, self._known.bound(left))
        if standing and standing[0].cost < priced.cost * (1 - NEWS):
            best = standing[0]
            return replace(priced, settlement=best, why="", bound=min(bound, best.cost))
        return replace(priced, bound=min(bound, priced.cost))

    def at(self, priced: PricedOption, rates: Rates) -> PricedOption:
        """Return a plan as it costs at other rates, its orders and bookings held fast; nothing
        is then proven of it."""
        assert priced.settlement is not None
        farm = offers_left(rates.applied(self.farm), priced.option)
        cost = sum(cost_parts(farm, priced.settlement).values())
        settlement = replace(priced.settlement, cost=cost)
        bound = max(self._known.bound(self._left(farm, priced.option, rates)), 0.0)
        return replace(
            priced, rates=rates, farm=farm, settlement=settlement, bound=min(bound, cost)
        )

    def cost_at(self, settlement: Settlement, rates: Rates) -> float:
        """Return what a settlement costs at other rates, its orders and bookings held fast."""
        return sum(cost_parts(rates.applied(self.farm), settlement).values())

    def resettled(self, settlement: Settlement, rates: Rates) -> Settlement | None:
        """Return the lines of a plan settled anew at other rates: ordered and shipped as is
        cheapest there; None where that is not found."""
        return self._settled(rates.applied(self.farm), settlement.chosen, settlement.counts)

    def with_item(self, settlement: Settlement, item: str, rates: Rates) -> Settlement | None:
        """Return a plan in which every leg is as in another or uses an item: a quick look at what
        an offer of it is worth, at no proof; None where none was found in a short time."""
        farm, made = rates.applied(self.farm), self.choices.make_ups
        uses = np.zeros(len(self.choices), dtype=bool)
        for names, index in (
            ([a.name for a in farm.anchors], made.anchor),
            ([c.name for c in farm.chains], made.chain),
            ([r.name for r in farm.ropes], made.rope),
        ):
            if item in names:
                uses |= index == names.index(item)
        places = np.flatnonzero(uses)
        if not len(places):
            return None
        cheap = places[first_active(farm, self.choices.take(places), ITEM_EACH)]
        active = np.union1d(cheap, settlement.chosen)
        built = OrderProgramme(farm, self.choices, active)
        report = solve(built.matrix(), SolveOptions(self.solver, self.gap, CHANGED_S))
        if report.values is None:
            return None
        counts = built.counts_of(report.values[built.lines])
        used = np.flatnonzero(counts)
        return self._settled(farm, active[used], counts[used])

    # --- plans known already -----------------------------------------------------------------

    def _kept(self, found: PricedOption, left: OptionScope, *, plain: bool) -> PricedOption:
        """Keep a plan and a bound for later, and return what was found."""
        if plain:
            self._known.keep_bound(left, found.bound)
        assert found.settlement is not None
        self._known.keep(found.settlement, left.offers)
        return found

    def _left(self, farm: Farm, option: Option, rates: Rates) -> OptionScope:
        """Return what an option leaves; farm : with the offers that it leaves."""
        served = frozenset(service.name for service in farm.services)
        barred = option.barred(What.SUPPLIERS, names_of(self.farm, What.SUPPLIERS))
        admits = admitted(farm, self.choices, option)
        return OptionScope(Offers(rates, served, barred), admits)

    def _start(self, farm: Farm, left: OptionScope, unlike: tuple[Bools, ...]) -> Settlement | None:
        """Return the cheapest known plan that an option admits, settled from what it offers."""
        settled, others = self._known.standing(farm, left, unlike)
        for other in others[:SETTLED]:
            lines = (other.chosen.tobytes(), other.counts.tobytes(), left.offers)
            if lines not in self._anew:
                self._anew[lines] = self._settled(farm, other.chosen, other.counts)
            anew = self._anew[lines]
            if anew is not None:
                settled.append(anew)
        return min(settled, key=lambda one: one.cost, default=None)

    def _learnt_of(self, places: Ints) -> SearchMemory:
        """Return what earlier searches learnt, for a search of the choices at some places."""
        active = self._learnt.active
        there = active[np.isin(active, places)]
        return replace(self._learnt, active=np.searchsorted(places, there))

    def _changed(self, farm: Farm, left: OptionScope, seconds: float) -> Settlement | None:
        """Return a known plan with only those legs otherwise that an option bars, where they are
        few: their choices are chosen anew, the others' stay."""
        admits = left.admits
        places = np.flatnonzero(admits)
        legs = self.choices.make_ups.leg
        # A few choices a leg are soon solved: those that look cheap, and that prices asked for.
        cheap = places[first_active(farm, self.choices.take(places), CHANGED_EACH)]
        asked_for = self._learnt.active
        likely = np.union1d(cheap, asked_for[admits[asked_for]])
        for settlement in self._known.first(CHANGED):
            chosen = settlement.chosen
            barred = np.unique(legs[chosen[~admits[chosen]]])
            if not 0 < len(barred) <= max(MOST_CHANGED * len(self.farm.legs), 1):
                continue
            anew = likely[np.isin(legs[likely], barred)]
            active = np.union1d(anew, np.setdiff1d(chosen[admits[chosen]], anew))
            built = OrderProgramme(farm, self.choices, active)
            asked = SolveOptions(self.solver, self.gap, min(CHANGED_S, max(seconds, 1.0)))
            report = solve(built.matrix(), asked)
            if report.values is None:
                continue
            counts = built.counts_of(report.values[built.lines])
            used = np.flatnonzero(counts)
            return self._settled(farm, active[used], counts[used])
        return None

    def _settled(self, farm: Farm, chosen: Ints, counts: Ints) -> Settlement | None:
        """Return the first settlement found of decided lines: a plan to start from."""
        stowage = self._learnt.stowage
        return settle(farm, self.choices, chosen, counts, self.solver, stowage, quick=True)

    def _shortage(self, farm: Farm, choices: Choices, asked: SolveOptions) -> str:
        """Return why the whole farm has no plan, in words; quickly, for a large farm."""
        if len(choices) > SMALL:
            return (
                "every leg can be moored by itself, but what is available, the containers, the "
                "vessels' most days and the policies do not serve them all together"
            )
        return "; ".join(str(fault) for fault in explain_shortage(farm, choices, asked))


def _placed(settlement: Settlement | None, places: Ints) -> Settlement | None:
    """Return a settlement with its choices by their place among some of all."""
    if settlement is None:
        return None
    return replace(settlement, chosen=np.searchsorted(places, settlement.chosen))
