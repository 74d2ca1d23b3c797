"""The search: from a farm's choices to the least settlement found, and the bound on any.

A relaxation over all choices comes first, tightened by rows that its solutions break. Rounded off,
and looked at among a few likely choices, it gives a plan. What cannot better that plan is set
aside; a tree over the farm-wide numbers then lifts the bound until it meets the plan.
"""

from __future__ import annotations

import math
import os
import threading
import time
from dataclasses import dataclass, replace

import numpy as np

from ...models.answer.stopped import Stopped
from ...models.farm import Farm
from ..choices.choices import Choices, first_active
from ..programme.families import ColumnFamily
from ..programme.order_programme import OrderProgramme
from ..programme.pattern_rows import CutPattern
from ..solvers.report import SolveOptions, Status
from ..solvers.solve import preferred_solver, solve
from .bettering import Bettering
from .branching import BranchRecord, LeafSize, Node, NodeSolver
from .incumbent import Incumbent, SearchMemory
from .leaves import LeafSolver, learn_from, settle_found
from .looks import look, round_off
from .relaxation import Relaxation
from .separation import add_roundings, rows_broken
from .settlement import Settlement
from .tree import Tree

SEPARATIONS = 24
"""Most rounds of cutting rows on the relaxation."""

WORTH_SEPARATING = 2e-5
"""Share of the bound that a round of cutting rows must lift it by for another to be worth it."""

WORTH_ROUNDING = 1e-4
"""Share of the bound that a round of roundings must lift it by for another to be worth it."""

LOOSE_GAP = 0.01
"""A gap that a relaxation without cutting rows, rounded off, may well meet."""

MANY = 100_000
"""Of more choices those that matter are found first, and cutting rows for them alone."""

MANY_GROUPS, ENOUGH, PATTERNS_AT_ONCE = 120, 3e-4, 16
"""Of more leg groups the first relaxation has cutting patterns, so many more of an item each time,
and is solved as near as this share of its cost: it is rounded off at once, and hardly lifted
afterwards."""

LOOKS, LOOK_S = 2, 8.0
"""Most looks before the tree, and the longest of one."""

WORTH_A_LOOK = 3.0
"""A look is left out where the plan is within so many of the gap asked."""

REBUILDS, WORTH_REBUILDING = 4, 0.8
"""Most times that choices are set aside before the tree, and the share left that is worth it."""

FEW_ITEMS = 1000
"""Up to so many pairs of a leg group and what it may use, they are branched on too."""

BOATS, MOSTLY = (ColumnFamily.DAYS, ColumnFamily.TRIPS, ColumnFamily.VESSEL_USED), 0.5
"""What vessels cost, and the share of all from which rows of trips are made before the tree."""

LEAF_FEW, LEAF_MANY, LEAF_MIXED = 800, 2500, 150
"""Choices of the first leaves: where items are branched on; where not; where groups mix."""

LEAF_S = 3.0
"""Longest that a leaf is solved for before it is branched on."""

ROUNDS = 40
"""Most times that a settlement may teach the whole programme and have it solved again."""

SMALL = 400
"""Up to so many choices the whole programme is solved at once."""

FIRST_EACH, FIRST_ALL = 10, 20_000
"""Choices of every leg that the relaxation starts with, and of all legs together at most."""

MOST_WORKERS = 2
"""Workers of a tree, where the machine has the cores and nothing else is asked."""

WATCH_S, GRACE_S = 0.05, 1.0
"""Seconds between two looks of the thread that watches the search, and those that it waits for
one that was told to end: a load plan or a solver that stays longer is left behind."""


@dataclass(frozen=True)
class SearchResult:
    """The least settlement found and the bound; no settlement: none within the time."""

    settlement: Settlement | None
    bound: float
    solver: str
    stopped: Stopped | None
    infeasible: bool = False


class Search:
    """One search over one farm's choices: from a plan that is known already, and with what an
    earlier search learnt, if there is any."""

    def __init__(
        self,
        farm: Farm,
        choices: Choices,
        options: SolveOptions,
        start: Settlement | None = None,
        known: SearchMemory | None = None,
    ) -> None:
        self.farm = farm
        self.options = replace(options, solver=options.solver or preferred_solver())
        self.workers = options.workers or min(os.cpu_count() or 1, MOST_WORKERS)
        self.began = time.perf_counter()
        memory = known or SearchMemory()
        self.incumbent = Incumbent(farm, choices, self.options.solver, self.options.gap, memory)
        if start is not None:
            self.incumbent.offer(start)
        self.active = memory.active
        self.bound = -math.inf
        self.stopped: Stopped | None = None
        self.solver = self.options.solver
        self._infeasible = False
        self._failure: BaseException | None = None

    @property
    def seconds_left(self) -> float:
        """Of the time limit."""
        return self.options.time_limit_s - (time.perf_counter() - self.began)

    @property
    def proven(self) -> bool:
        """Whether the gap that was asked is met."""
        known = self.incumbent
        return known.best is not None and self.bound >= known.floor * (1 - 1e-12)

    def run(self) -> SearchResult:
        """Return the least settlement found and the bound on any; what goes wrong is raised.

        The search has a thread of its own, so that this one hears Ctrl-C and keeps the time.
        """
        thread = threading.Thread(target=self._search, name="search", daemon=True)
        thread.start()
        while thread.is_alive():
            thread.join(WATCH_S)
            self._watch()
            if self.incumbent.stopped:
                thread.join(GRACE_S)
                break
        if self._failure is not None:
            raise self._failure
        best = self.incumbent.found()
        if self.proven:
            self.stopped = None
        return SearchResult(best, self.bound, self.solver, self.stopped, self._infeasible)

    def _search(self) -> None:
        known = self.incumbent
        large = self.options.solver == "highs" and len(known.choices) > SMALL
        try:
            self._infeasible = self._large() if large else self._whole()
        except BaseException as failure:
            self._failure = failure

    def _watch(self) -> None:
        """Tell of the best plan and the bound; stop the search when the time is over, or when it
        is told to."""
        tell = self.options.on_progress
        if self.seconds_left < 0.5:
            self.stopped = Stopped.TIME_LIMIT
        elif tell is not None and tell(self.incumbent.cost, self.bound):
            self.stopped = Stopped.INTERRUPTED
        self.incumbent.stopped = self.stopped is not None

    def learnt(self) -> SearchMemory:
        """Return what the search learnt, once it has run."""
        return self.incumbent.memory(self.active)

    def _keep_going(self) -> bool:
        """Tell whether neither time nor patience is over."""
        return not self.incumbent.stopped

    def _raise_bound(self, bound: float) -> None:
        """Take a bound on all plans that cost less than the floor: the others cost that."""
        self.bound = max(self.bound, min(bound, self.incumbent.floor))

    # --- the way of large farms --------------------------------------------------------------

    def _large(self) -> bool:
        """Relax, look for a plan, set aside, branch; return whether there is no plan at all."""
        known = self.incumbent
        each = max(min(FIRST_EACH, FIRST_ALL // len(self.farm.legs)), 1)
        first = np.union1d(first_active(self.farm, known.choices, each), self.active)
        many_groups = len(self.farm.legs) > MANY_GROUPS
        patterns: dict[str, list[CutPattern]] | None = {} if many_groups else None
        relaxed = Relaxation(self.farm, known.choices, first, known.cut_rows, patterns)
        if many_groups:
            relaxed.enough, relaxed.patterns_at_once = ENOUGH, PATTERNS_AT_ONCE
        if not relaxed.solve() or not relaxed.all_laid:
            return self._whole()  # no plan, most likely: the whole programme says so for certain
        self._raise_bound(relaxed.objective)
        left = self.seconds_left
        if self.options.gap >= LOOSE_GAP or len(known.choices) > MANY:
            round_off(relaxed, known)
        if many_groups and not self.proven and self.seconds_left > 2 * (left - self.seconds_left):
            self._round_off_as_filled(relaxed)
        if not self.proven and (known.best is None or len(known.choices) <= MANY):
            self._separate(relaxed)
            if self._keep_going():
                round_off(relaxed, known)
        if not self.proven and self._keep_going():
            relaxed = self._fixed(relaxed)
        if not self.proven and self._keep_going():
            relaxed = self._bettered(relaxed)
        if not self.proven and self._keep_going():
            self._branch(relaxed)
        # By their place among those that were given: a search that is left behind is asked too.
        self.active = known.places[np.array(sorted(relaxed.active))]
        return not self.stopped and known.best is None and self._whole()

    def _round_off_as_filled(self, relaxed: Relaxation) -> None:
        """Round off again with containers as full as their load plans were: what they cost then
        tells in what is laid. The bound and its prices stay those of before."""
        objective, reduced = relaxed.objective, relaxed.reduced
        relaxed.fill_less(self.incumbent.stowage.fills)
        if relaxed.solve():
            round_off(relaxed, self.incumbent)
        relaxed.objective, relaxed.reduced = objective, reduced

    def _separate(self, relaxed: Relaxation) -> None:
        """Add the rows that the relaxation's solutions break, until few are; take its bound."""
        for _ in range(SEPARATIONS):
            own = relaxed.lp.values()[relaxed.own]
            laid, boats = relaxed.lines_of_choices(), self._mostly_boats(relaxed)
            rows = rows_broken(relaxed.built, laid, own, of_trips=boats)
            self.incumbent.learn(rows)
            before = relaxed.objective
            if not self._add_cuts(relaxed) or not self._keep_going():
                break
            if relaxed.objective < before * (1 + WORTH_SEPARATING):
                break
        self.incumbent.keep_rows(relaxed.binding())
        self._raise_bound(relaxed.objective)

    def _mostly_boats(self, relaxed: Relaxation) -> bool:
        """Tell whether most of what a relaxation's solution costs is the vessels' work: else rows
        of trips lift its bound little, and hold back the search that has to carry them."""
        boats = relaxed.columns_of(BOATS)
        cost = float((relaxed.cost * relaxed.lp.values()[relaxed.own])[boats].sum())
        return cost >= MOSTLY * relaxed.objective

    def _add_cuts(self, relaxed: Relaxation) -> bool:
        """Add the rows learnt since to the relaxation and solve it; tell whether there were any
        and it has a solution."""
        new = [row for row in self.incumbent.cut_rows if row not in relaxed.row_of_cut]
        for row in new:
            relaxed.add_cut(row)
        return bool(new) and relaxed.solve()

    def _round(self, relaxed: Relaxation) -> Relaxation:
        """Return the relaxation with roundings that its solutions broke, those that hold its
        bound."""
        add_roundings(relaxed, WORTH_ROUNDING, lambda: self.proven or not self._keep_going())
        self._raise_bound(relaxed.objective)
        slim = relaxed.slimmer()
        return slim if slim.solve() else relaxed

    def _bettered(self, relaxed: Relaxation) -> Relaxation:
        """Look for plans among a few choices, while that gains; return what is left then."""
        known = self.incumbent
        for _ in range(LOOKS):
            worth = known.cost * (1 - WORTH_A_LOOK * self.options.gap) > self.bound
            if not worth or not self._keep_going():
                break
            before = known.cost
            asked = replace(
                self.options,
                gap=self.options.gap / 2,
                time_limit_s=min(LOOK_S, max(self.seconds_left, 1.0)),
                on_progress=lambda _cost, _bound: not self._keep_going(),
            )
            taught = look(relaxed, known, asked)
            if known.cost < before:
                relaxed = self._fixed(relaxed)
            elif self._add_cuts(relaxed):
                self._raise_bound(relaxed.objective)
            if not taught:
                break
        return relaxed

    def _fixed(self, relaxed: Relaxation) -> Relaxation:
        """Return the relaxation over the choices that a plan below the floor may have: those
        whose count × reduced cost does not lie above what the relaxation lacks of it."""
        known = self.incumbent
        for _ in range(REBUILDS):
            stays = relaxed.reduced <= known.floor - relaxed.objective + 1e-6
            if known.best is not None:
                stays[known.best.chosen] = True
            kept = np.flatnonzero(stays)
            if relaxed.rounded and len(kept) > WORTH_REBUILDING * len(stays):
                break
            known.keep_choices(kept)
            relaxed = relaxed.rebuilt(known.choices, kept, known.cut_rows, self._branch_on_items())
            if not relaxed.solve():
                break
            self._separate(relaxed)
            relaxed = self._round(relaxed)
            if self.proven or not self._keep_going():
                break
        return relaxed

    def _branch_on_items(self) -> bool:
        """Tell whether what the leg groups may use is few enough to be branched on."""
        choices = self.incumbent.choices
        made = choices.make_ups
        pairs = sum(
            np.unique(np.stack([made.leg, which]), axis=1).shape[1]
            for which in (made.anchor, made.chain, made.rope, choices.vessel)
        )
        return bool(pairs <= FEW_ITEMS)

    def _branch(self, relaxed: Relaxation) -> None:
        """Lift the bound by a tree, and better the plan in its leaves."""
        known = self.incumbent
        bettering = Bettering(known, relaxed.reduced, self.options)
        tree = Tree(Node(self.bound, 0, relaxed.low, relaxed.high), known, bettering)
        record = BranchRecord(len(relaxed.integer))
        few = LEAF_FEW if relaxed.built.items else LEAF_MANY
        mixed = bool((relaxed.built.units > 1).any())
        leaf_size = LeafSize(LEAF_MIXED if mixed else few, LEAF_S)
        solvers = [
            NodeSolver(
                relaxed if not number else relaxed.copy(),
                known,
                LeafSolver(known, self.options),
                record,
                leaf_size,
            )
            for number in range(self.workers)
        ]
        self._raise_bound(tree.run(solvers, self._raise_bound))
        self.solver = solvers[0].leaves.solver

    # --- the way of small farms --------------------------------------------------------------

    def _whole(self) -> bool:
        """Solve the whole programme until the gap is met; return whether the farm has no plan."""
        known = self.incumbent
        everything = np.arange(len(known.choices))
        for _ in range(ROUNDS):
            built = OrderProgramme(
                self.farm,
                known.choices,
                everything,
                known.cut_rows,
                known.lessons,
                loads=known.stowage.lessons,
            )
            asked = replace(
                self.options,
                time_limit_s=max(self.seconds_left, 1.0),
                on_progress=lambda _cost, _bound: not self._keep_going(),
            )
            report = solve(built.matrix(), asked)
            self.solver = report.solver
            if report.status is Status.INFEASIBLE:
                return known.best is None
            settled = settle_found(known, built, everything, report, everything)
            self.bound = max(self.bound, min(report.bound, known.cost))
            if self.proven:
                return False
            if report.status is not Status.OPTIMAL:
                late = self.seconds_left < 1.0
                self.stopped = Stopped.TIME_LIMIT if late else Stopped.INTERRUPTED
                return False
            if not learn_from(known, built, everything, report, settled):
                return False
        return False
