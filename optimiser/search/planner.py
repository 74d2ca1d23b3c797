"""The planner: finds plans among few choices, beside the search that bounds them.

A plan is looked for in a thread of its own, so that a machine with two cores betters the plan on
one while it lifts the bound on the other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import replace

import numpy as np

from ...models.arrays import Bools, Floats, Ints
from ...models.farm import Farm
from ..choices.choices import Choices, least_of_each_leg
from ..programme.cutting_rows import CutRow
from ..programme.order_programme import OrderProgramme
from ..programme.pattern_rows import CutPattern
from ..solvers.report import SolveOptions, SolveReport, Start
from ..solvers.solve import solve
from ..stowage.load_lessons import Stowage
from .programme_part import ProgrammePart
from .relaxation import Ends, Relaxation
from .settlement import Settlement, settle

FEW_CHOICES = 300
"""Choices of least reduced cost among which a plan is looked for."""

PLAN_SECONDS = 4.0
"""Longest look for a plan at one place."""

FIRST_SECONDS, FIRST_GAP = 5.0, 0.03
"""The same of the first plan, which is only to start from."""

ROOM = 2.0
"""How far the days, trips, containers and spares of a plan may lie from the relaxation's."""

FREED, FREED_MOST = 0.4, 8
"""Share of the legs that choose again at once when a plan is bettered, and how many at most."""

FREED_EACH = 8
"""Choices that such a leg has."""

BETTER_SECONDS, LEGS_QUICK = 3.0, 30
"""Longest single try to better a plan of a farm of so many leg groups; more have more time."""

FAILURES = 2
"""Tries in a row without gain after which a new look is better."""

EACH = 3
"""Choices of least reduced cost that every leg brings at least."""


class Planner:
    """Solves parts of a farm's programme and keeps the least settlement of all."""

    def __init__(
        self,
        farm: Farm,
        choices: Choices,
        options: SolveOptions,
        told: Callable[[float], bool],
        stowage: Stowage | None = None,
    ) -> None:
        """told(cost) is called while a solver works; it returns True to stop. stowage : the load
        plans known already."""
        self.farm = farm
        self.choices = choices
        self.options = options
        self.told = told
        self.stowage = stowage or Stowage(farm)
        self.best: Settlement | None = None
        self.solver = options.solver
        self.patterns: dict[str, list[CutPattern]] = {}
        self._closing = False
        self._hurried = False
        """Whether the best plan was settled while the look was to end."""
        self._random = np.random.default_rng(0)
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="planner")
        self._look: Future[None] | None = None

    @property
    def cost(self) -> float:
        """Cost of the best plan; infinite without one."""
        best = self.best
        return best.cost if best else math.inf

    def solve(
        self, part: ProgrammePart, gap: float, seconds: float
    ) -> tuple[OrderProgramme, SolveReport]:
        """Solve a part of the programme."""
        built = OrderProgramme(
            self.farm,
            self.choices,
            part.active,
            part.cut_rows,
            part.lessons,
            part.at_most,
            part.patterns,
            loads=self.stowage.lessons,
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
        start = self._start(built) if self.cost <= part.cost_at_most else None
        report = solve(matrix, options, start)
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
        lines[place] = best.counts / built.lines_each[best.chosen]
        return built.lines, lines

    def consider(self, built: OrderProgramme, report: SolveReport) -> Settlement | None:
        """Settle a solution and keep it if it is the least; return the settlement."""
        if report.values is None or report.objective > self.cost * (1 - 1e-9):
            return None  # settling it could only cost more
        counts = built.counts_of(report.values[built.lines])
        used = np.flatnonzero(counts)
        return self._settle(built.active[used], counts[used])

    def _settle(self, chosen: Ints, counts: Ints) -> Settlement | None:
        settled = settle(
            self.farm,
            self.choices,
            chosen,
            counts,
            self.options.solver,
            self.stowage,
            lambda: self._closing,
        )
        if settled is not None and settled.cost < self.cost - 1e-9:
            self.best = settled
            self._hurried = self._closing
        return settled

    def pause(self) -> None:
        """Stop the look that is under way; another may be started."""
        self._closing = True
        self.finish_look()
        self._closing = False

    def of_choices(self, choices: Choices, kept: Ints) -> None:
        """Go on with some of the choices, at the places `kept`, all of the best plan's among
        them. No look may be under way."""
        self.choices = choices
        if self.best is not None:
            chosen = np.searchsorted(kept, self.best.chosen)
            self.best = replace(self.best, chosen=chosen)

    # --- looks for a plan --------------------------------------------------------------------

    def look_near(self, relaxed: Relaxation, cut_rows: Sequence[CutRow], seconds: float) -> None:
        """Start a look for a plan near the relaxation's last solution, unless one is under way:
        among the choices of least reduced cost, with no supplier, vessel, bracket or service
        that the solution leaves out, and the farm-wide numbers close to its own."""
        if self._look is not None and not self._look.done():
            return
        self.finish_look()
        self._look = self._thread.submit(
            self._plan_and_better,
            np.array(sorted(relaxed.active)),
            relaxed.near_bounds(ROOM),
            relaxed.farm_wide_bounds(),
            tuple(cut_rows),
            relaxed.built.at_most,
            seconds,
        )

    def _plan_and_better(
        self,
        start: Ints,
        near: Ends,
        anywhere: Ends,
        cut_rows: tuple[CutRow, ...],
        at_most: Mapping[str, int],
        seconds: float,
    ) -> None:
        """Look for a plan near a place, then near that plan while that gains; then let a few legs
        at a time choose again, the others as in the best plan."""
        cut = Relaxation(self.farm, self.choices, start, cut_rows, at_most, patterns=self.patterns)
        part = ProgrammePart(start, near, cut_rows, (), at_most)
        everyone = np.ones(len(self.farm.legs), dtype=bool)
        bounds = near
        while not self._closing:
            cut.set_bounds(*bounds)
            if not cut.solve():
                return
            self.patterns = cut.cuttable_patterns()
            reduced = cut.reduced
            few = np.argsort(reduced, kind="stable")[:FEW_CHOICES]
            active = np.union1d(few, self._least_of_legs(reduced, everyone, EACH))
            first, before = self.best is None, self.cost
            numbers = self._plan_in(
                replace(part, active=active, bounds=bounds),
                min(seconds, FIRST_SECONDS if first else PLAN_SECONDS),
                max(FIRST_GAP if first else 0.0, self.options.gap / 2),
            )
            self._better(replace(part, bounds=anywhere), reduced)
            if numbers is None or self.cost >= before * (1 - 1e-5):
                break
            bounds = cut.near_bounds(ROOM, numbers)

    def _better(self, part: ProgrammePart, reduced: Floats) -> None:
        """Let a few legs at a time choose again among their choices of least reduced cost, the
        others as in the best plan, while that gains."""
        failed = 0
        legs = len(self.farm.legs)
        seconds = BETTER_SECONDS * max(1.0, legs / LEGS_QUICK)
        while self.best is not None and failed < FAILURES and not self._closing:
            free = np.zeros(legs, dtype=bool)
            number = min(max(2, round(legs * FREED)), FREED_MOST)
            free[self._random.choice(legs, number, replace=False)] = True
            before = self.cost
            active = self._least_of_legs(reduced, free, FREED_EACH)
            better = self.cost * (1 - self.options.gap / 4)
            part = replace(part, active=active, cost_at_most=better)
            self._plan_in(part, seconds, self.options.gap / 2)
            failed = 0 if self.cost < before * (1 - 1e-5) else failed + 1

    def _plan_in(self, part: ProgrammePart, seconds: float, gap: float) -> Floats | None:
        """Look for a plan in a part of the programme, cut by the patterns found so far; return
        the farm-wide numbers of what it found."""
        if self._closing:
            return None
        active = part.active
        if self.best is not None:
            active = np.union1d(active, self.best.chosen)
        part = replace(part, active=active, patterns=self.patterns)
        built, report = self.solve(part, gap, seconds)
        if self._closing or report.values is None:
            return None
        self.consider(built, report)
        return report.values[len(active) : built.wide_end]

    def _least_of_legs(self, reduced: Floats, legs: Bools, each: int) -> Ints:
        """Return the choices of least reduced cost of some legs, so many of each."""
        leg = self.choices.make_ups.leg
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
        """Stop the look that is under way, and the thread; settle out the best plan, where its
        settlement was hurried, so that no order has a container too many because time was short."""
        self._closing = True
        try:
            self.finish_look()
            self._closing = False
            if self._hurried and self.best is not None:
                self._settle(self.best.chosen, self.best.counts)
        finally:
            self._thread.shutdown()
