"""The search: from a farm's choices to the least settlement found, and the bound on any.

A relaxation over all choices comes first: cutting rows tighten it, and its prices tell which few
choices are worth trying. A programme over those gives a plan at once. That plan's cost narrows
the farm-wide numbers (orders, days); a tree over those numbers then lifts the bound, while
better plans are looked for beside it.
"""

from __future__ import annotations

import math
import sys
import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from ...models.answer.stopped import Stopped
from ...models.arrays import Floats, Ints
from ...models.farm import Farm
from ..choices.choices import Choices, first_active
from ..cutting.bound import valid_inequality
from ..programme.choice_rows import pieces_of
from ..programme.cutting_rows import CutLesson, CutRow
from ..programme.order_programme import OrderProgramme
from ..programme.pattern_rows import CutPattern
from ..solvers.report import SolveOptions, SolveReport, Status
from ..solvers.solve import preferred_solver
from ..stowage.load_lessons import Stowage
from .branching import Branching, Leaf
from .narrowing import Narrowing
from .planner import Planner
from .programme_part import ProgrammePart
from .relaxation import Relaxation
from .settlement import Settlement

TIGHTENINGS = 12
"""Most rounds of cutting rows on the relaxation."""

NARROW_AGAIN = 0.003
"""By what share a plan must be cheaper than at the last narrowing for another to be worth it."""

NARROW_SECONDS, NARROW_SHARE = 5.0, 1 / 30
"""Longest narrowing of one kind, and the most of the time left that it may take."""

TURN_SECONDS = 2e-4
"""How soon a thread gets its turn: the search asks the solver for a thousand short answers a
second, and would wait its turn after each while the planner works."""

ROUNDS = 40
"""Most times that a cutting list may teach the programme and have it solved again."""

SMALL = 400
"""Up to so many choices the whole programme is solved at once."""

FIRST_EACH = 10
"""Choices of every leg that the relaxation starts with."""

FARM_WIDE = ("vessel used", "supplier used")
"""Families of columns whose bounds are worth narrowing, besides the orders."""

MOST_KEPT = 150
"""Most cutting rows that are kept for a later search."""

BROKEN = 1e-3
"""By how many lengths a solution must break a cutting row for the row to be added."""


@dataclass(frozen=True)
class SearchResult:
    """The least settlement found and the bound; no settlement: none within the time."""

    settlement: Settlement | None
    bound: float
    solver: str
    stopped: Stopped | None
    infeasible: bool = False


@dataclass(frozen=True)
class SearchMemory:
    """What a search learnt that holds at any prices and under any option of the same farm."""

    cut_rows: tuple[CutRow, ...] = ()
    lessons: tuple[CutLesson, ...] = ()
    patterns: Mapping[str, list[CutPattern]] = field(default_factory=dict)
    active: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    """Choices that prices asked for, by their place among those given."""
    stowage: Stowage | None = None


class Search:
    """One search over one farm's choices: from a plan that is known already, and with what an
    earlier search learnt, if there is any."""

    def __init__(
        self,
        farm: Farm,
        choices: Choices,
        options: SolveOptions,
        start: Settlement | None = None,
        learnt: SearchMemory | None = None,
    ) -> None:
        self.farm = farm
        self.choices = choices
        self.options = replace(options, solver=options.solver or preferred_solver())
        self.began = time.perf_counter()
        known = learnt or SearchMemory()
        self.planner = Planner(farm, choices, self.options, self._told, known.stowage)
        self.planner.best = start
        self.places = np.arange(len(choices))
        """Of the choices still there, among those that were given."""
        self.bound = -math.inf
        self.stopped: Stopped | None = None
        self.cut_rows: list[CutRow] = list(known.cut_rows)
        self.lessons: list[CutLesson] = list(known.lessons)
        self.planner.patterns = dict(known.patterns)
        self.active = known.active
        self.at_most: Mapping[str, int] = {}

    @property
    def seconds_left(self) -> float:
        """Of the time limit."""
        return self.options.time_limit_s - (time.perf_counter() - self.began)

    @property
    def floor(self) -> float:
        """A plan that costs no less than this is no news: the gap is met without it."""
        return self.planner.cost * (1 - self.options.gap)

    @property
    def proven(self) -> bool:
        """Whether the gap that was asked is met."""
        return self.bound >= self.floor * (1 - 1e-12) and self.planner.best is not None

    def run(self) -> SearchResult:
        """Return the least settlement found and the bound on any."""
        large = self.options.solver == "highs" and len(self.choices) > SMALL
        was = sys.getswitchinterval()
        sys.setswitchinterval(TURN_SECONDS)
        try:
            infeasible = self._large() if large else self._whole()
        finally:
            self.planner.close()
            sys.setswitchinterval(was)
        best = self.planner.best
        if best is not None:
            best = replace(best, chosen=self.places[best.chosen])
        return SearchResult(best, self.bound, self.planner.solver, self.stopped, infeasible)

    def learnt(self) -> SearchMemory:
        """Return what the search learnt, once it has run; of cutting rows the last."""
        return SearchMemory(
            tuple(self.cut_rows[-MOST_KEPT:]),
            tuple(self.lessons),
            self.planner.patterns,
            self.places[self.active],
            self.planner.stowage,
        )

    def _told(self, cost: float) -> bool:
        """Pass on the best cost and bound of the whole search; True: stop."""
        if self.options.progress is None:
            return False
        return self.options.progress(min(cost, self.planner.cost), self.bound)

    # --- the way of large farms --------------------------------------------------------------

    def _large(self) -> bool:
        """Relax, plan, narrow, branch; return whether there is no plan at all."""
        start = np.union1d(first_active(self.farm, self.choices, FIRST_EACH), self.active)
        relaxed = Relaxation(self.farm, self.choices, start, tuple(self.cut_rows))
        if not relaxed.solve() or not relaxed.all_laid:
            return self._whole()  # no plan, most likely: the whole programme says so for certain
        self._tighten(relaxed)
        self.bound = min(relaxed.objective, self.planner.cost)
        self._look_near(relaxed)
        self.planner.first_plan()
        narrowed_at = math.inf
        while self.planner.cost < narrowed_at * (1 - NARROW_AGAIN):
            if self.proven or self.seconds_left < 1:
                break
            narrowed_at = self.planner.cost
            self._look_near(relaxed)
            relaxed = self._narrowed(relaxed)
            if not relaxed.solve():
                break
            self._tighten(relaxed)
            self._raise_bound(relaxed.objective)
        if not self.proven:
            tree = Branching(
                relaxed,
                lambda: self.floor,
                self._solve_leaf,
                lambda: self._separate(relaxed),
                lambda: self._look_near(relaxed),
                self._going,
            )
            self._raise_bound(tree.run())
        self.active = np.array(sorted(relaxed.active))
        return self.planner.best is None and not self.stopped and self._whole()

    def _raise_bound(self, bound: float) -> None:
        """Take a bound on all plans that cost less than the floor: the others cost that."""
        self.bound = max(self.bound, min(bound, self.floor))

    def _look_near(self, relaxed: Relaxation) -> None:
        self.planner.look_near(relaxed, self.cut_rows, self.seconds_left)

    def _narrowed(self, relaxed: Relaxation) -> Relaxation:
        """Return the relaxation with its farm-wide numbers narrowed by the best plan's cost."""
        narrowing = Narrowing(relaxed, self.floor)
        narrowing.tighten(FARM_WIDE, min(NARROW_SECONDS, self.seconds_left * NARROW_SHARE))
        found = narrowing.largest_orders(min(NARROW_SECONDS, self.seconds_left * NARROW_SHARE))
        self.at_most = {**self.at_most, **found}
        relaxed.set_bounds(*relaxed.farm_wide_bounds())
        allowed = relaxed.allowed
        self.planner.pause()  # so that the best plan stays the same meanwhile
        if self.planner.best is not None:
            allowed[self.planner.best.chosen] = True
        kept = np.flatnonzero(allowed)
        self.places = self.places[kept]
        self.choices = self.choices.take(kept)
        self.planner.of_choices(self.choices, kept)
        return relaxed.rebuilt(tuple(self.cut_rows), self.at_most, self.choices, kept)

    def _going(self, bound: float) -> bool:
        """Take the bound of the tree; tell whether to go on."""
        self._raise_bound(bound)
        if self.seconds_left < 0.5:
            self.stopped = Stopped.TIME_LIMIT
        elif self._told(math.inf):
            self.stopped = Stopped.INTERRUPTED
        return not self.stopped

    def _solve_leaf(self, leaf: Leaf) -> float:
        """Solve a node of the tree whole; return the least that any plan in it costs."""
        bound = leaf.bound
        while self.seconds_left > 0.5:
            part = ProgrammePart(
                leaf.choices,
                (leaf.low, leaf.high),
                tuple(self.cut_rows),
                tuple(self.lessons),
                self.at_most,
                cost_at_most=self.floor,
            )
            built, report = self.planner.solve(part, self.options.gap / 4, self.seconds_left)
            if report.status is Status.INFEASIBLE:
                return math.inf
            bound = max(bound, report.bound)
            settled = self.planner.consider(built, report)
            if bound >= self.floor or report.values is None:
                break
            if not self._learn(built, report, settled) or report.status is not Status.OPTIMAL:
                break
        return bound

    def _tighten(self, relaxed: Relaxation) -> None:
        """Add the cutting rows that the relaxation's solutions break, until few are."""
        for _ in range(TIGHTENINGS):
            if self.seconds_left < 1 or not self._separate(relaxed) or not relaxed.solve():
                break

    def _separate(self, relaxed: Relaxation) -> bool:
        """Add the cutting rows that the relaxation's solution breaks; tell whether it did."""
        cuts = self._cuts_broken(relaxed.built, relaxed.lines_of_choices(), relaxed.values())
        self.cut_rows.extend(cuts)
        for cut in cuts:
            relaxed.add_cut(cut)
        return bool(cuts)

    # --- the way of small farms --------------------------------------------------------------

    def _whole(self) -> bool:
        """Solve the whole programme until the gap is met; return whether the farm has no plan."""
        everything = np.arange(len(self.choices))
        for _ in range(ROUNDS):
            part = ProgrammePart(everything, None, tuple(self.cut_rows), tuple(self.lessons))
            built, report = self.planner.solve(part, self.options.gap, self.seconds_left)
            if report.status is Status.INFEASIBLE:
                return self.planner.best is None
            settled = self.planner.consider(built, report)
            self.bound = max(self.bound, min(report.bound, self.planner.cost))
            if self.proven:
                return False
            if report.status is not Status.OPTIMAL:
                late = self.seconds_left < 1.0
                self.stopped = Stopped.TIME_LIMIT if late else Stopped.INTERRUPTED
                return False
            if not self._learn(built, report, settled):
                return False
        return False

    # --- what the cutting lists teach --------------------------------------------------------

    def _learn(
        self, built: OrderProgramme, report: SolveReport, settled: Settlement | None
    ) -> bool:
        """Take the cutting rows that a solution breaks, else what its cutting lists and its load
        plans teach; tell whether there was anything."""
        assert report.values is not None
        lines = np.zeros(len(self.choices))
        lines[built.active] = report.values[built.lines] * built.lines_each[built.active]
        cuts = self._cuts_broken(built, lines, report.values)
        self.cut_rows.extend(cuts)
        lessons = [] if cuts else self._lessons(built, report.values, settled)
        self.lessons.extend(lessons)
        dearer = settled is not None and settled.cost > report.objective * (1 + 1e-9)
        loads = dearer and self.planner.stowage.teaches_more_than(built.loads)
        return bool(cuts or lessons or loads)

    def _cuts_broken(self, built: OrderProgramme, lines: Floats, values: Floats) -> list[CutRow]:
        """Return the cutting rows that a solution breaks.

        lines : (X,) of every choice. values : of the programme's columns.
        """
        cuts = []
        for item in self.farm.items:
            joined = item.name in built.joins
            if not built.most_needed.get(item.name) or not (item.cut_whole or joined):
                continue
            uses, piece = pieces_of(built, item)
            # A join may be undone by one new length only where the piece fits into one.
            longest = item.length_sold_m if joined else max([item.length_sold_m, *item.on_hand])
            uses = uses & (piece <= longest + 1e-6)
            sizes, which = np.unique(piece[uses], return_inverse=True)
            counts = np.bincount(which, weights=lines[uses], minlength=len(sizes))
            cut = counts > 1e-6
            if not cut.any():
                continue
            # The row is strongest where the counts point; eighths point well enough.
            scaled = [math.ceil(count * 8 - 1e-6) for count in counts[cut].tolist()]
            worth_cut, free = valid_inequality(
                sizes[cut].tolist(), scaled, item.length_sold_m, item.on_hand
            )
            # A longer piece takes up at least what a shorter one does, so it is worth as much.
            by_size = np.zeros(len(sizes))
            by_size[cut] = worth_cut
            worth = np.maximum.accumulate(by_size)
            ordered = sum(v * values[c] for c, v in built.order_terms(item, 1.0))
            if joined:
                ordered += values[built.joins[item.name]]
            if float(np.dot(worth, counts)) - free - ordered > BROKEN:
                pairs = dict(zip(sizes.tolist(), worth.tolist(), strict=True))
                cuts.append(CutRow(item.name, pairs, free))
        return cuts

    def _lessons(
        self, built: OrderProgramme, values: Floats, settled: Settlement | None
    ) -> list[CutLesson]:
        """Return what the cutting lists of a settled solution taught, that its rows had missed."""
        if settled is None:
            return []
        lessons = []
        for name, (cutting, pieces) in settled.cuttings.items():
            item = self.farm.item_by_name[name]
            ordered = round(sum(v * values[c] for c, v in built.order_terms(item, 1.0)))
            joins = round(values[built.joins[name]]) if name in built.joins else 0
            counted = tuple(sorted(Counter(piece.length_m for piece in pieces).items()))
            if item.cut_whole and cutting.bound > ordered:
                lessons.append(CutLesson(name, counted, cutting.bound - 1, 0))
            elif name in built.joins:
                least = settled.least_joins(self.farm, name, ordered)
                if least > joins:
                    lessons.append(CutLesson(name, counted, ordered, least))
        return lessons
