"""The planner: finds plans among few choices, beside the search that bounds them.

A plan is looked for in a thread of its own, so that a machine with two cores betters the plan on
one while it lifts the bound on the other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, replace

import numpy as np

from ..models.farm import Farm
from .choices import Choices, least_of_each_leg
from .cutting_rows import CutLesson, CutRow
from .make_ups import Bools, Floats, Ints
from .order_programme import OrderProgramme
from .pattern_pool import CutPattern, pool_of
from .relaxation import Ends, Relaxation
from .settlement import Settlement, settle, whole_counts
from .solver import SolveOptions, SolveReport, Start, solve
from .stowage import Stowage

FEW_CHOICES = 300
"""Choices of least reduced cost among which a plan is looked for."""

PLAN_SECONDS = 12.0
"""Longest look for a plan at one place."""

ROOM = 2.0
"""How far the days, trips, containers and spares of a plan may lie from the relaxation's."""

FREED = 0.25
"""Share of the legs that choose again at once when a plan is bettered."""

FREED_EACH = 12
"""Choices that such a leg has."""

BETTER_SECONDS = 3.0
"""Longest single try to better a plan."""

FAILURES = 4
"""Tries in a row without gain after which a new look is better."""

EACH = 3
"""Choices of least reduced cost that every leg brings at least."""


@dataclass(frozen=True)
class Part:
    """A part of the whole programme: some choices, rows and bounds."""

    active: Ints
    bounds: Ends | None = None
    """Of the farm-wide columns, in the order they are added."""
    cut_rows: tuple[CutRow, ...] = ()
    lessons: tuple[CutLesson, ...] = ()
    at_most: Mapping[str, int] | None = None
    patterns: Mapping[str, Sequence[CutPattern]] | None = None
    cost_at_most: float = math.inf


class Planner:
    """Solves parts of a farm's programme and keeps the least settlement of all."""

    def __init__(
        self,
        farm: Farm,
        choices: Choices,
        options: SolveOptions,
        told: Callable[[float], bool],
    ) -> None:
        """told(cost) is called while a solver works; it returns True to stop."""
        self.farm = farm
        self.choices = choices
        self.options = options
        self.told = told
        self.stowage = Stowage(farm)
        self.best: Settlement | None = None
        self.solver = options.solver
        self._closing = False
        self._random = np.random.default_rng(0)
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="planner")
        self._look: Future[None] | None = None

    @property
    def cost(self) -> float:
        """Cost of the best plan; infinite without one."""
        best = self.best
        return best.cost if best else math.inf

    def solve(self, part: Part, gap: float, seconds: float) -> tuple[OrderProgramme, SolveReport]:
        """Solve a part of the programme."""
        built = OrderProgramme(
            self.farm,
            self.choices,
            part.active,
            part.cut_rows,
            part.lessons,
            part.at_most,
            part.patterns,
            self.stowage.lessons,
        )
        if math.isfinite(part.cost_at_most):
            built.programme.cost_at_most(part.cost_at_most)
        matrix = built.matrix()
        if part.bounds is not None:  # those of the lessons' and patterns' columns, the last, stay
            wide = slice(len(part.active), len(part.active) + len(part.bounds[0]))
            matrix.low[wide], matrix.high[wide] = part.bounds

        def progress(cost: float, bound: float) -> bool:
            return self._closing or self.told(cost)

        options = replace(self.options, gap=gap, time_limit_s=max(seconds, 1.0), progress=progress)
        report = solve(matrix, options, self._start(built))
        self.solver = report.solver
        return built, report

    def _start(self, built: OrderProgramme) -> Start | None:
        """Return the lines of the best plan, where the programme has all its choices."""
        best = self.best
        if best is None:
            return None
        place = np.searchsorted(built.active, best.chosen)
        place = np.minimum(place, len(built.active) - 1)
        if (built.active[place] != best.chosen).any():
            return None
        lines = np.zeros(len(built.active))
        lines[place] = best.counts
        return built.lines, lines

    def consider(self, built: OrderProgramme, report: SolveReport) -> Settlement | None:
        """Settle a solution and keep it if it is the least; return the settlement."""
        if report.values is None or report.objective > self.cost * (1 - 1e-9):
            return None  # settling it could only cost more
        counts = whole_counts(report.values[built.lines])
        used = np.flatnonzero(counts)
        chosen = built.active[used]
        settled = settle(self.farm, self.choices, chosen, counts[used], self.options, self.stowage)
        if settled is not None and settled.cost < self.cost - 1e-9:
            self.best = settled
        return settled

    # --- looks for a plan --------------------------------------------------------------------

    def look_near(self, relaxed: Relaxation, cut_rows: Sequence[CutRow], seconds: float) -> None:
        """Start a look for a plan near the relaxation's last solution, unless one is under way:
        among the choices of least reduced cost, with no supplier, vessel, bracket or service
        that the solution leaves out, and the farm-wide numbers close to its own."""
        if self._look is not None and not self._look.done():
            return
        self.finish_look()
        reduced = relaxed.reduced_costs()
        everyone = np.ones(len(self.farm.legs), dtype=bool)
        active = np.union1d(
            np.argsort(reduced, kind="stable")[:FEW_CHOICES],
            self._least_of_legs(reduced, everyone, EACH),
        )
        near = Part(active, relaxed.near_bounds(ROOM), tuple(cut_rows), (), relaxed.built.at_most)
        anywhere = replace(near, bounds=relaxed.farm_wide_bounds())
        self._look = self._thread.submit(self._plan_and_better, near, anywhere, reduced, seconds)

    def _plan_and_better(self, near: Part, anywhere: Part, reduced: Floats, seconds: float) -> None:
        """Solve one part for a plan, then let a few legs at a time choose again among their
        choices of least reduced cost, the others as in the best plan, while that gains."""
        self._plan_in(near, min(seconds, PLAN_SECONDS))
        failed = 0
        legs = len(self.farm.legs)
        while self.best is not None and failed < FAILURES and not self._closing:
            free = np.zeros(legs, dtype=bool)
            free[self._random.choice(legs, max(2, round(legs * FREED)), replace=False)] = True
            before = self.cost
            part = replace(anywhere, active=self._least_of_legs(reduced, free, FREED_EACH))
            self._plan_in(part, BETTER_SECONDS)
            failed = 0 if self.cost < before * (1 - 1e-5) else failed + 1

    def _plan_in(self, part: Part, seconds: float) -> None:
        """Look for a plan in a part of the programme, cut by a pool of patterns."""
        if self._closing:
            return
        active = part.active
        if self.best is not None:
            active = np.union1d(active, self.best.chosen)
        part = replace(part, active=active, patterns=self._patterns(active))
        built, report = self.solve(part, self.options.gap / 2, seconds)
        if not self._closing:
            self.consider(built, report)

    def _least_of_legs(self, reduced: Floats, legs: Bools, each: int) -> Ints:
        """Return the choices of least reduced cost of some legs, so many of each."""
        leg = self.choices.made.leg
        least = least_of_each_leg(leg, reduced, each)
        return np.sort(least[legs[leg[least]]])

    def first_plan(self) -> None:
        """Wait for the first plan, or the end of the look that is under way."""
        while self.best is None and self._look is not None and not self._look.done():
            wait([self._look], timeout=0.05)

    def finish_look(self) -> None:
        """Wait for the look that is under way; what went wrong in it is raised here."""
        if self._look is not None:
            self._look.result()
            self._look = None

    def close(self) -> None:
        """Stop the look that is under way, and the thread."""
        self._closing = True
        try:
            self.finish_look()
        finally:
            self._thread.shutdown()

    def _patterns(self, active: Ints) -> dict[str, tuple[CutPattern, ...]]:
        """Return cutting patterns for the pieces of these choices that must be cut whole."""
        made = self.choices.made.take(active)
        sizes = {
            rope.name: made.rope_m[made.rope == index] for index, rope in enumerate(self.farm.ropes)
        } | {
            chain.name: made.chain_m[made.chain == index]
            for index, chain in enumerate(self.farm.chains)
            if not chain.joinable
        }
        return {
            name: pool_of(
                np.unique(of_item).tolist(),
                self.farm.item_by_name[name].length_sold_m,
                self.farm.item_by_name[name].on_hand,
            )
            for name, of_item in sizes.items()
            if of_item.size
        }
