"""The search: from a farm's choices to the least settlement found, and the bound on any.

A relaxation over all choices comes first: cutting rows tighten it, and its prices tell which few
choices are worth trying. A programme over those gives a plan at once. That plan's cost narrows
every farm-wide number (orders, days, trips, containers) and rules choices out; the programme
over what is left proves the plan, or betters it.
"""

from __future__ import annotations

import math
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..models.farm import Farm
from .branching import Branching, Leaf
from .choices import Choices
from .cutting_bound import valid_inequality
from .cutting_rows import CutLesson, CutRow, pieces_of
from .make_ups import Bools, Floats, Ints
from .order_programme import OrderProgramme
from .pattern_pool import CutPattern, pool_of
from .relaxation import Relaxation, first_active
from .settlement import Settlement, settle, whole_counts
from .solver import SolveOptions, SolveReport, Start, Status, preferred_solver, solve

FEW_CHOICES = 300
"""Choices of least reduced cost among which a plan is looked for."""

PLAN_SECONDS = 12.0
"""Longest look for a plan at one place."""

ROOM = 2.0
"""How far the days, trips, containers and spares of a plan may lie from the relaxation's."""

TIGHTENINGS = 12
"""Most rounds of cutting rows on the relaxation."""

NARROWINGS = 3
"""Most rounds of narrowing the farm-wide numbers."""

ROUNDS = 40
"""Most times that a cutting list may teach the programme and have it solved again."""

SMALL = 1500
"""Up to so many choices the whole programme is solved at once."""

FARM_WIDE = ("vessel used", "supplier used", "days")
"""Families of columns whose bounds are worth narrowing, besides the orders."""


Bounds = tuple[Floats, Floats] | None
"""Low and high bounds of the farm-wide columns, in the order they are added."""


@dataclass(frozen=True)
class Found:
    """The least settlement found and the bound; no settlement: none within the time."""

    settlement: Settlement | None
    bound: float
    solver: str
    stopped: str
    infeasible: bool = False


class Search:
    """One search over one farm's choices."""

    def __init__(self, farm: Farm, choices: Choices, options: SolveOptions) -> None:
        self.farm = farm
        self.choices = choices
        self.options = replace(options, solver=options.solver or preferred_solver())
        self.began = time.perf_counter()
        self.best: Settlement | None = None
        self.bound = -math.inf
        self.solver = self.options.solver
        self.stopped = ""
        self.cut_rows: list[CutRow] = []
        self.lessons: list[CutLesson] = []
        self.at_most: Mapping[str, int] = {}
        self.random = np.random.default_rng(0)

    @property
    def seconds_left(self) -> float:
        """Of the time limit."""
        return self.options.time_limit_s - (time.perf_counter() - self.began)

    @property
    def gap(self) -> float:
        """(best − bound) ÷ best."""
        if self.best is None:
            return math.inf
        return max(self.best.cost - self.bound, 0.0) / max(self.best.cost, 1e-9)

    @property
    def proven(self) -> bool:
        """Whether the gap that was asked is met."""
        return self.best is not None and self.gap <= self.options.gap

    def run(self) -> Found:
        """Return the least settlement found and the bound on any."""
        large = self.options.solver == "highs" and len(self.choices) > SMALL
        infeasible = self._large() if large else self._prove()
        return Found(self.best, self.bound, self.solver, self.stopped, infeasible)

    # --- the way of large farms --------------------------------------------------------------

    def _large(self) -> bool:
        """Relax, plan, narrow, branch; return whether there is no plan at all."""
        relaxed = Relaxation(self.farm, self.choices, first_active(self.farm, self.choices, 10))
        if not relaxed.solve():
            return True
        self._tighten_relaxation(relaxed)
        for _ in range(NARROWINGS):
            self._plan_near(relaxed, FEW_CHOICES, self.options.gap, PLAN_SECONDS)
            if self.best is None or self.proven or self.seconds_left < 1:
                break
            before = self.bound
            relaxed.tighten_bounds(self.floor, FARM_WIDE, self.seconds_left / 4)
            self.at_most = relaxed.largest_orders(self.floor)
            relaxed = relaxed.rebuilt(tuple(self.cut_rows), self.at_most)
            if not relaxed.solve():
                break
            self._tighten_relaxation(relaxed)
            if self.bound - before < 0.2 * (self.best.cost - self.bound):
                break
        if not self.proven:
            tree = Branching(
                relaxed,
                lambda: self.floor,
                self._solve_leaf,
                lambda: self._separate(relaxed),
                lambda: self._plan_near(relaxed, FEW_CHOICES, self.options.gap, PLAN_SECONDS),
                self._going,
            )
            self.bound = max(self.bound, min(tree.run(), self._best_cost))
        return self.best is None and math.isinf(self.bound)

    @property
    def _best_cost(self) -> float:
        return self.best.cost if self.best else math.inf

    @property
    def floor(self) -> float:
        """A plan that costs no less than this is no news: the gap is met without it."""
        return self._best_cost * (1 - self.options.gap)

    def _going(self, bound: float) -> bool:
        """Take the bound of the tree; tell whether to go on."""
        self.bound = max(self.bound, min(bound, self._best_cost))
        if self.seconds_left < 0.5:
            self.stopped = "time limit"
        elif self._progress(math.inf):
            self.stopped = "interrupted"
        return not self.stopped

    def _solve_leaf(self, leaf: Leaf) -> float:
        """Solve a node of the tree whole; return the least that any plan in it costs."""
        bound = leaf.bound
        while not self.stopped:
            enough = self.floor
            built, report = self._solve(
                leaf.choices,
                (leaf.low, leaf.high),
                self.options.gap / 4,
                self.seconds_left,
                enough=enough,
            )
            if report.status is Status.INFEASIBLE:
                return math.inf
            bound = max(bound, report.bound)
            self._consider(built, report)
            if bound >= self.floor or report.values is None:
                break
            cuts = self._cuts_of(built, report.values)
            self.cut_rows.extend(cuts)
            if not cuts and report.status is Status.OPTIMAL:
                break
        return bound

    def _tighten_relaxation(self, relaxed: Relaxation) -> None:
        """Add the cutting rows that the relaxation's solutions break, until few are."""
        for _ in range(TIGHTENINGS):
            self.bound = max(self.bound, relaxed.objective)
            if not self._separate(relaxed) or not relaxed.solve():
                break
        self.bound = max(self.bound, relaxed.objective)

    def _separate(self, relaxed: Relaxation) -> bool:
        """Add the cutting rows that the relaxation's solution breaks; tell whether it did."""
        cuts = self._cuts_broken(relaxed.built, relaxed.lines_of_choices(), relaxed.values())
        self.cut_rows.extend(cuts)
        for cut in cuts:
            relaxed.add_cut(cut)
        return bool(cuts)

    def _cuts_of(self, built: OrderProgramme, values: Floats) -> list[CutRow]:
        """Return the cutting rows that a solution of a programme breaks."""
        lines = np.zeros(len(self.choices))
        lines[built.active] = values[built.lines]
        return self._cuts_broken(built, lines, values)

    def _cuts_broken(self, built: OrderProgramme, lines: Floats, values: Floats) -> list[CutRow]:
        """Return the cutting rows that a solution breaks."""
        cuts = []
        for item in self.farm.items:
            joined = item.name in built.joins
            if not built.most_needed.get(item.name) or not (item.cut_whole or joined):
                continue
            uses, piece = pieces_of(built, item)
            uses = uses & (piece <= max([item.length_sold_m, *item.on_hand]) + 1e-6)
            sizes, which = np.unique(piece[uses], return_inverse=True)
            counts = np.bincount(which, weights=lines[uses], minlength=len(sizes))
            cut = counts > 1e-6
            if not cut.any():
                continue
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
            if float(np.dot(worth, counts)) - free - ordered > 1e-3:
                pairs = dict(zip(sizes.tolist(), worth.tolist(), strict=True))
                cuts.append(CutRow(item.name, pairs, free))
        return cuts

    # --- plans -------------------------------------------------------------------------------

    def _plan_near(self, relaxed: Relaxation, few: int, gap: float, seconds: float) -> None:
        """Look for a plan near the relaxation's last solution: among the choices of least
        reduced cost, with no supplier, vessel, bracket or service that it leaves out, and the
        farm-wide numbers close to its own."""
        if not relaxed.solve():
            return
        reduced = relaxed.reduced_costs()
        everyone = np.ones(len(self.farm.legs), dtype=bool)
        active = np.union1d(
            np.argsort(reduced, kind="stable")[:few], self._least_of_legs(reduced, everyone, 3)
        )
        low, high = relaxed.near_bounds(ROOM)
        if self.best is not None:
            active = np.union1d(active, self.best.chosen)
        built, report = self._solve(
            active,
            (low, high),
            gap,
            min(self.seconds_left / 3, seconds),
            patterns=self._patterns(active),
        )
        self._consider(built, report)

    def _least_of_legs(self, reduced: Floats, legs: Bools, each: int) -> Ints:
        """Return the choices of least reduced cost of some legs, so many of each."""
        leg = self.choices.made.leg
        order = np.lexsort((reduced, leg))
        rank = np.arange(leg.size) - np.searchsorted(leg[order], leg[order])
        return np.sort(order[(rank < each) & legs[leg[order]]])

    def _patterns(self, active: Ints) -> dict[str, tuple[CutPattern, ...]]:
        """Return cutting patterns for the pieces of these choices that must be cut whole."""
        made = self.choices.made.take(active)
        pools = {}
        for index, rope in enumerate(self.farm.ropes):
            sizes = np.unique(made.rope_m[made.rope == index])
            pools[rope.name] = sizes
        for index, chain in enumerate(self.farm.chains):
            if not chain.joinable:
                pools[chain.name] = np.unique(made.chain_m[made.chain == index])
        return {
            name: pool_of(
                sizes.tolist(),
                self.farm.item_by_name[name].length_sold_m,
                self.farm.item_by_name[name].on_hand,
            )
            for name, sizes in pools.items()
            if sizes.size
        }

    def _solve(
        self,
        active: Ints,
        bounds: Bounds,
        gap: float,
        seconds: float,
        enough: float = math.inf,
        patterns: Mapping[str, Sequence[CutPattern]] | None = None,
    ) -> tuple[OrderProgramme, SolveReport]:
        """Solve the programme over some choices, farm-wide columns within bounds; `enough` is a
        bound at which there is no need to go on."""
        built = OrderProgramme(
            self.farm,
            self.choices,
            active,
            tuple(self.cut_rows),
            tuple(self.lessons),
            self.at_most,
            patterns,
        )
        matrix = built.matrix()
        if bounds is not None:  # those of the lessons' columns, which come last, stay
            wide = slice(len(active), len(active) + len(bounds[0]))
            matrix.low[wide], matrix.high[wide] = bounds

        def progress(cost: float, bound: float) -> bool:
            return bound >= enough or self._progress(cost)

        options = replace(self.options, gap=gap, time_limit_s=max(seconds, 1.0), progress=progress)
        report = solve(matrix, options, self._start(built))
        self.solver = report.solver
        return built, report

    def _start(self, built: OrderProgramme) -> Start | None:
        """Return the lines of the best plan, where the programme has all its choices."""
        if self.best is None:
            return None
        place = np.searchsorted(built.active, self.best.chosen)
        place = np.minimum(place, len(built.active) - 1)
        if (built.active[place] != self.best.chosen).any():
            return None
        lines = np.zeros(len(built.active))
        lines[place] = self.best.counts
        return built.lines, lines

    def _progress(self, cost: float) -> bool:
        """Pass on the best cost and bound of the whole search; True: stop."""
        if self.options.progress is None:
            return False
        best = min(cost, self.best.cost if self.best else math.inf)
        return self.options.progress(best, self.bound)

    def _consider(self, built: OrderProgramme, report: SolveReport) -> Settlement | None:
        """Settle a solution and keep it if it is the least; return the settlement."""
        if report.values is None or report.objective > self._best_cost * (1 - 1e-9):
            return None  # settling it could only cost more
        counts = whole_counts(report.values[built.lines])
        used = np.flatnonzero(counts)
        chosen = built.active[used]
        settled = settle(self.farm, self.choices, chosen, counts[used], self.options)
        if settled is not None and (self.best is None or settled.cost < self.best.cost - 1e-9):
            self.best = settled
        return settled

    # --- proof -------------------------------------------------------------------------------

    def _prove(self) -> bool:
        """Solve the whole programme until the gap is met; return whether the farm has no plan."""
        everything = np.arange(len(self.choices))
        for _ in range(ROUNDS):
            built, report = self._solve(everything, None, self.options.gap, self.seconds_left)
            if report.status is Status.INFEASIBLE:
                return self.best is None
            settled = self._consider(built, report)
            self.bound = max(self.bound, min(report.bound, self._best_cost))
            if self.proven:
                return False
            if report.status is not Status.OPTIMAL:
                self.stopped = "time limit" if self.seconds_left < 1.0 else "interrupted"
                return False
            assert report.values is not None
            cuts = self._cuts_of(built, report.values)
            self.cut_rows.extend(cuts)
            lessons = [] if cuts else self._lessons(built, report, settled)
            self.lessons.extend(lessons)
            if not cuts and not lessons:
                return False
        return False

    def _lessons(
        self, built: OrderProgramme, report: SolveReport, settled: Settlement | None
    ) -> list[CutLesson]:
        """Return what the cutting lists of a settled solution taught, that its rows had missed."""
        if settled is None or report.values is None:
            return []
        lessons = []
        for name, (cutting, pieces) in settled.cuttings.items():
            item = self.farm.item_by_name[name]
            ordered = round(sum(v * report.values[c] for c, v in built.order_terms(item, 1.0)))
            joins = round(report.values[built.joins[name]]) if name in built.joins else 0
            sizes: dict[float, int] = {}
            for piece in pieces:
                sizes[piece.length_m] = sizes.get(piece.length_m, 0) + 1
            counted = tuple(sorted(sizes.items()))
            if item.cut_whole and cutting.bound > ordered:
                lessons.append(CutLesson(name, counted, cutting.bound - 1, 0))
            elif name in built.joins:
                least = settled.least_joins(self.farm, name, ordered)
                if least > joins:
                    lessons.append(CutLesson(name, counted, ordered, least))
        return lessons
