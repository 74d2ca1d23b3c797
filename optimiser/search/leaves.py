"""Leaves: nodes of the tree with few choices left, given to a solver with everything whole.

A row bars what costs no less than the floor, so that the solver mostly proves that there is
nothing; what it finds is settled, and what settlement teaches goes back as rows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ...models.arrays import Floats, Ints
from ..programme.order_programme import OrderProgramme
from ..solvers.matrix import cost_at_most
from ..solvers.report import SolveOptions, SolveReport, Status
from ..solvers.solve import solve
from .incumbent import Incumbent
from .separation import lessons_of, rows_broken
from .settlement import Settlement

PATIENCE_S = 4.0
"""Seconds past its time limit after which a leaf's solver is left behind, with its leaf."""

MOST_ROUNDS = 20
"""Most times that a leaf is solved again for what settlement taught."""


@dataclass(frozen=True)
class Leaf:
    """A node for the solver: its choices, the bounds of the farm-wide columns, and the least
    that any plan in it costs."""

    choices: Ints
    low: Floats
    high: Floats
    bound: float


@dataclass(frozen=True)
class LeafEnd:
    """What became of a leaf: the least that a plan in it costs, and whether it is done with."""

    bound: float
    finished: bool
    seconds: float


class LeafSolver:
    """Solves leaves of one farm; every worker has its own."""

    def __init__(self, incumbent: Incumbent, options: SolveOptions) -> None:
        self.incumbent = incumbent
        self.options = options
        self.solver = options.solver
        self._built = self._build()

    def _build(self) -> OrderProgramme:
        known = self.incumbent
        return OrderProgramme(
            known.farm,
            known.choices,
            np.zeros(0, dtype=np.int64),
            known.cut_rows,
            known.lessons,
            loads=known.stowage.lessons,
        )

    def _latest(self) -> OrderProgramme:
        """Return the programme with all that was learnt by now."""
        known, built = self.incumbent, self._built
        learnt = (known.cut_rows, known.lessons, known.stowage.lessons)
        if learnt != (built.cut_rows, built.lessons, built.loads):
            self._built = self._build()
        return self._built

    def solve(self, leaf: Leaf, seconds: float) -> LeafEnd:
        """Solve a leaf until it is done with, or so many seconds are over."""
        bound, spent = leaf.bound, 0.0
        for _ in range(MOST_ROUNDS):
            if self.incumbent.stopped:
                break
            built = self._latest()
            report = self._solved(built, leaf, max(seconds - spent, 0.1))
            spent += report.seconds
            if report.status is Status.INFEASIBLE:
                return LeafEnd(math.inf, True, spent)
            bound = max(bound, report.bound)
            taught = report.values is not None and self._learn(built, leaf.choices, report)
            if bound >= self.incumbent.floor:
                return LeafEnd(bound, True, spent)
            if report.status is Status.OPTIMAL and not taught:
                return LeafEnd(bound, True, spent)
            if report.status is not Status.OPTIMAL and spent >= seconds:
                break
            if report.status is not Status.OPTIMAL and not taught:
                break
        return LeafEnd(bound, False, spent)

    def _solved(self, built: OrderProgramme, leaf: Leaf, seconds: float) -> SolveReport:
        matrix = built.matrix(leaf.choices)
        wide = slice(0, built.wide_end)
        matrix.low[wide], matrix.high[wide] = leaf.low[wide], leaf.high[wide]
        floor = self.incumbent.floor
        if math.isfinite(floor):
            matrix = cost_at_most(matrix, floor)

        def stop(_cost: float, bound: float) -> bool:
            return self.incumbent.stopped or bound >= self.incumbent.floor

        asked = SolveOptions(
            self.options.solver,
            self.options.gap / 4,
            seconds,
            on_progress=stop,
            bare=True,
            patience_s=PATIENCE_S,
        )
        report = solve(matrix, asked)
        self.solver = report.solver
        return report

    def _learn(self, built: OrderProgramme, chosen: Ints, report: SolveReport) -> bool:
        """Settle what a leaf found, and learn from it; tell whether there was anything."""
        settled = settle_found(self.incumbent, built, chosen, report, chosen)
        return learn_from(self.incumbent, built, chosen, report, settled)


def settle_found(
    incumbent: Incumbent, built: OrderProgramme, chosen: Ints, report: SolveReport, places: Ints
) -> Settlement | None:
    """Settle what a solver found among some choices, where it may be news.

    places : of these choices among all of the incumbent's.
    """
    if report.values is None or report.objective > incumbent.cost * (1 - 1e-9):
        return None  # settling it could only cost more
    counts = counted(built, chosen, report)
    used = np.flatnonzero(counts)
    return incumbent.settle(places[used], counts[used])


def counted(built: OrderProgramme, chosen: Ints, report: SolveReport) -> Ints:
    """Return the lines of each of the choices that a programme was solved over."""
    assert report.values is not None
    first = built.programme.column_count
    return built.counts_of(report.values[first : first + len(chosen)], chosen)


def learn_from(
    incumbent: Incumbent,
    built: OrderProgramme,
    chosen: Ints,
    report: SolveReport,
    settled: Settlement | None,
) -> bool:
    """Take the rows that a solution breaks, else what its cutting lists and its load plans teach;
    tell whether there was anything."""
    assert report.values is not None
    lines = np.zeros(len(built.choices))
    lines[chosen] = counted(built, chosen, report)
    cuts = rows_broken(built, lines, report.values)
    lessons = []
    if settled is not None and not cuts:
        lessons = lessons_of(incumbent.farm, built, report.values, settled)
    incumbent.learn(cuts, lessons)
    dearer = settled is not None and settled.cost > report.objective * (1 + 1e-9)
    loads = dearer and incumbent.stowage.teaches_more_than(built.loads)
    return bool(cuts or lessons or loads)
