"""Pricing: one farm priced again and again, under options and at other rates.

Its choices are enumerated once. Every plan found is kept, and is where the next search starts
wherever an option admits it: a plan at other rates is a plan still, only its cost is another. So
are the cutting rows, the patterns and the choices that prices asked for, which hold at any rates.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ..models.farm import Farm
from ..models.fault import FarmError, Severity
from ..models.option import FREE, Option, What, names_of
from ..models.plan import Plan, Proof
from ..models.rate import TODAY, Rates
from .choices import Choices, legs_without
from .ledger import cost_parts, plan_of
from .make_ups import Bools, Ints
from .order_programme import OrderProgramme
from .price import DEFAULT_GAP, checked, moorable_choices
from .restricted import admitted, offers_left, why_none
from .search import SMALL, Learnt, Search
from .settlement import Settlement, settle, whole_counts
from .shortage import explain_shortage
from .solver import SolveOptions, preferred_solver, solve
from .stowage import Stowage

SETTLED = 2
"""Most known plans that are settled anew before a search."""

CHANGED = 2
"""Most known plans that are tried with some legs otherwise."""

MOST_CHANGED = 0.35
"""Share of the leg groups that may be otherwise; beyond it a search finds better."""

CHANGED_S = 5.0
"""Longest that a known plan is changed for."""

TOO_SHORT_S = 2.0
"""With less time than this, and a plan known, no search is begun."""

NEWS = 1e-6
"""A plan must be cheaper by this share to take another's place."""

Progress = Callable[[float, float], bool]
"""Called with (best cost, bound); returns True to stop."""


@dataclass(frozen=True)
class Priced:
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
    stopped: str = ""
    why: str = ""
    """Why there is no plan."""

    @property
    def cost(self) -> float:
        """Of the plan found; infinite without one."""
        return math.inf if self.settlement is None else self.settlement.cost

    @property
    def proven(self) -> bool:
        """Whether the plan is within the gap asked of the least, or there can be none."""
        if self.settlement is None:
            return math.isinf(self.bound) and self.bound > 0
        return self.bound >= self.cost * (1 - self.gap) - 1e-6

    def plan(self) -> Plan | None:
        """Return the plan with its checks, or None; raises PlanFaultError."""
        if self.settlement is None:
            return None
        bound = min(self.bound, self.cost)
        proof = Proof(self.cost, bound, self.gap, self.solver, self.seconds, self.stopped)
        return checked(plan_of(self.farm, self.settlement, proof))


@dataclass(frozen=True)
class Known:
    """A plan found at some time: its lines, and how it was settled then."""

    settlement: Settlement
    services: frozenset[str]
    suppliers: frozenset[str]


@dataclass(frozen=True)
class Bounded:
    """What an option left at some rates, and the least that any plan of it costs: so does any
    plan of an option that leaves less."""

    rates: Rates
    admits: Bools
    served: frozenset[str]
    barred: frozenset[str]
    bound: float

    def covers(self, other: Bounded) -> bool:
        """Tell whether all that another option leaves is left by this one too."""
        return (
            self.rates == other.rates
            and other.served <= self.served
            and other.barred >= self.barred
            and not (other.admits & ~self.admits).any()
        )


class Pricing:
    """One farm, its choices, and every plan found for it so far."""

    def __init__(self, farm: Farm, *, gap: float = DEFAULT_GAP, solver: str = "") -> None:
        """Raises FarmError where the farm contradicts itself or some leg cannot be moored."""
        faults = [fault for fault in farm.faults() if fault.severity is Severity.ERROR]
        if faults:
            raise FarmError(faults)
        self.farm = farm
        self.gap = gap
        self.solver = solver or preferred_solver()
        self.choices = moorable_choices(farm)
        self._known: list[Known] = []
        self._learnt = Learnt(stowage=Stowage(farm))
        self._bounds: list[Bounded] = []

    def price(
        self,
        option: Option = FREE,
        rates: Rates = TODAY,
        *,
        time_limit_s: float = 600.0,
        progress: Progress | None = None,
        unlike: tuple[Bools, ...] = (),
    ) -> Priced:
        """Return the least plan found of an option at some rates.

        unlike : (X,) masks over `choices`, each of which the plan must not be made up of whole.
        Never raises for an option that cannot be done: `why` says it.
        """
        began = time.perf_counter()
        farm = offers_left(rates.applied(self.farm), option)
        places = np.flatnonzero(admitted(farm, self.choices, option))
        part = replace(self.choices, unlike=unlike).take(places)
        nothing = Priced(option, rates, farm, None, math.inf, self.gap, self.solver, 0.0)
        without = legs_without(farm, part.made.leg)
        if without:
            return replace(nothing, why=why_none(farm, option, without))
        start = self._start(farm, option, places, unlike)
        bound = self._bound(self._left(farm, option, rates, places))
        if not unlike and (start is None or bound < start.cost * (1 - self.gap)):
            known = (start, self._changed(farm, places, time_limit_s))
            start = min((one for one in known if one), key=lambda one: one.cost, default=None)
        if start is not None and bound >= start.cost * (1 - self.gap):
            spent = time.perf_counter() - began
            found = Priced(
                option, rates, farm, start, min(bound, start.cost), self.gap, self.solver, spent
            )
            return self._kept(found, plain=not unlike)
        left = time_limit_s - (time.perf_counter() - began)
        if start is not None and left < TOO_SHORT_S:
            spent = time.perf_counter() - began
            found = Priced(
                option, rates, farm, start, bound, self.gap, self.solver, spent, "time limit"
            )
            return self._kept(found, plain=not unlike)
        asked = SolveOptions(self.solver, self.gap, max(left, 1.0), progress=progress)
        search = Search(farm, part, asked, _placed(start, places), self._learnt_of(places))
        result = search.run()
        learnt = search.learnt()
        self._learnt = replace(learnt, active=places[learnt.active])
        if result.settlement is None:
            spent = time.perf_counter() - began
            why = f"no plan was found within {time_limit_s:.0f} s"
            if result.infeasible:
                why = self._shortage(farm, part, asked)
            bound = math.inf if result.infeasible else max(bound, result.bound)
            return replace(nothing, bound=bound, why=why, seconds=spent, stopped=result.stopped)
        best = result.settlement
        best = replace(best, chosen=places[best.chosen])
        found = Priced(
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
        return self._kept(found, plain=not unlike)

    def bettered(self, priced: Priced) -> Priced:
        """Return a priced option with a cheaper plan that was found since for another option,
        where there is one; its bound stands."""
        places = np.flatnonzero(admitted(priced.farm, self.choices, priced.option))
        best = self._start(priced.farm, priced.option, places, ())
        if best is None or best.cost >= priced.cost * (1 - NEWS):
            return priced
        return replace(priced, settlement=best, why="", bound=min(priced.bound, best.cost))

    def at(self, priced: Priced, rates: Rates) -> Priced:
        """Return a plan as it costs at other rates, its orders and bookings held fast; nothing
        is then proven of it."""
        assert priced.settlement is not None
        farm = offers_left(rates.applied(self.farm), priced.option)
        cost = sum(cost_parts(farm, priced.settlement).values())
        settlement = replace(priced.settlement, cost=cost)
        places = np.flatnonzero(admitted(farm, self.choices, priced.option))
        bound = max(self._bound(self._left(farm, priced.option, rates, places)), 0.0)
        return replace(
            priced, rates=rates, farm=farm, settlement=settlement, bound=min(bound, cost)
        )

    def cost_at(self, settlement: Settlement, rates: Rates) -> float:
        """Return what a settlement costs at other rates, its orders and bookings held fast."""
        return sum(cost_parts(rates.applied(self.farm), settlement).values())

    # --- plans known already -----------------------------------------------------------------

    def _kept(self, found: Priced, *, plain: bool) -> Priced:
        """Keep a plan and a bound for later, and return what was found."""
        if plain:
            places = np.flatnonzero(admitted(found.farm, self.choices, found.option))
            left = self._left(found.farm, found.option, found.rates, places)
            self._bounds.append(replace(left, bound=found.bound))
        settlement = found.settlement
        assert settlement is not None
        if not any(_same(settlement, known.settlement) for known in self._known):
            ordered = (self.farm.item_by_name[name] for name in settlement.quantities)
            self._known.append(
                Known(
                    settlement,
                    frozenset(settlement.packs),
                    frozenset(item.supplier for item in ordered),
                )
            )
        return found

    def _left(self, farm: Farm, option: Option, rates: Rates, places: Ints) -> Bounded:
        """Return what an option leaves, with nothing known of its least cost."""
        admits = np.zeros(len(self.choices), dtype=bool)
        admits[places] = True
        served = frozenset(service.name for service in farm.services)
        barred = option.barred(What.SUPPLIERS, names_of(self.farm, What.SUPPLIERS))
        return Bounded(rates, admits, served, barred, -math.inf)

    def _bound(self, left: Bounded) -> float:
        """Return what is known already of the least cost of what an option leaves."""
        covering = (known.bound for known in self._bounds if known.covers(left))
        return max(covering, default=-math.inf)

    def _start(
        self, farm: Farm, option: Option, places: Ints, unlike: tuple[Bools, ...]
    ) -> Settlement | None:
        """Return the cheapest known plan that an option admits, settled at the farm's rates."""
        admits = np.zeros(len(self.choices), dtype=bool)
        admits[places] = True
        barred = option.barred(What.SUPPLIERS, names_of(self.farm, What.SUPPLIERS))
        served = {service.name for service in farm.services}
        standing: list[Settlement] = []
        anew: list[Settlement] = []
        for known in self._known:
            settlement = known.settlement
            lines = self.farm.leg_count
            alike = any(settlement.counts[m[settlement.chosen]].sum() >= lines for m in unlike)
            if alike or not admits[settlement.chosen].all():
                continue
            if known.services <= served and not known.suppliers & barred:
                cost = sum(cost_parts(farm, settlement).values())
                standing.append(replace(settlement, cost=cost))
            else:
                anew.append(settlement)
        standing.sort(key=lambda one: one.cost)
        for settlement in [*standing, *anew][:SETTLED]:
            settled = settle(
                farm,
                self.choices,
                settlement.chosen,
                settlement.counts,
                self.solver,
                self._learnt.stowage,
            )
            if settled is not None:
                standing.append(settled)
        return min(standing, key=lambda one: one.cost, default=None)

    def _learnt_of(self, places: Ints) -> Learnt:
        """Return what earlier searches learnt, for a search of the choices at some places."""
        active = self._learnt.active
        there = active[np.isin(active, places)]
        return replace(self._learnt, active=np.searchsorted(places, there))

    def _changed(self, farm: Farm, places: Ints, seconds: float) -> Settlement | None:
        """Return a known plan with only those legs otherwise that an option bars, where they are
        few: their choices are chosen anew, the others' stay."""
        admits = np.zeros(len(self.choices), dtype=bool)
        admits[places] = True
        legs = self.choices.made.leg
        for known in self._known[:CHANGED]:
            chosen = known.settlement.chosen
            barred = np.unique(legs[chosen[~admits[chosen]]])
            if not 0 < len(barred) <= max(MOST_CHANGED * len(self.farm.legs), 1):
                continue
            anew = places[np.isin(legs[places], barred)]
            active = np.union1d(anew, np.setdiff1d(chosen[admits[chosen]], anew))
            built = OrderProgramme(farm, self.choices, active)
            asked = SolveOptions(self.solver, self.gap, min(CHANGED_S, max(seconds, 1.0)))
            report = solve(built.matrix(), asked)
            if report.values is None:
                continue
            counts = whole_counts(report.values[built.lines])
            used = np.flatnonzero(counts)
            return settle(
                farm, self.choices, active[used], counts[used], self.solver, self._learnt.stowage
            )
        return None

    def _shortage(self, farm: Farm, choices: Choices, asked: SolveOptions) -> str:
        """Return why the whole farm has no plan, in words; quickly, for a large farm."""
        if len(choices) > SMALL:
            return (
                "every leg can be moored by itself, but what is available, the containers, the "
                "vessels' most days and the policies do not serve them all together"
            )
        return "; ".join(str(fault) for fault in explain_shortage(farm, choices, asked))


def _same(one: Settlement, other: Settlement) -> bool:
    return (
        np.array_equal(one.chosen, other.chosen)
        and np.array_equal(one.counts, other.counts)
        and one.quantities == other.quantities
        and one.packs == other.packs
    )


def _placed(settlement: Settlement | None, places: Ints) -> Settlement | None:
    """Return a settlement with its choices by their place among some of all."""
    if settlement is None:
        return None
    return replace(settlement, chosen=np.searchsorted(places, settlement.chosen))
