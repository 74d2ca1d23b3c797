"""Branching on the few farm-wide whole numbers, and on what a leg group uses.

Below them the lines are nearly whole, so a handful of branches lifts the relaxation close to the
cost of the best plan.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from ...models.arrays import Bools, Floats, Ints
from ..programme.families import ColumnFamily
from .incumbent import Incumbent
from .leaves import Leaf, LeafSolver
from .relaxation import WHOLE, Relaxation

FIRST = (
    ColumnFamily.VESSEL_USED,
    ColumnFamily.SUPPLIER_USED,
    ColumnFamily.BRACKET,
    ColumnFamily.DAYS,
    ColumnFamily.WORKING_DAY,
    ColumnFamily.SPARES,
    ColumnFamily.SERVICE_USED,
    ColumnFamily.CONTAINERS,
    ColumnFamily.TRIPS,
    ColumnFamily.ITEM_USED,
)
"""Families branched on first."""

CANDIDATES = 8
"""Columns without a record whose branches are tried before one is chosen."""

TRUSTED = 1
"""Branches either way after which a column's record is taken at its word."""

LEAF_WORK = 10.0
"""Nodes that a leaf is worth, in work."""


@dataclass(frozen=True)
class Branch:
    """How a node was made: a column, which way, and how far it moved."""

    column: int
    up: bool
    moved: float


@dataclass(order=True)
class Node:
    """Bounds of the relaxation's own columns, and the least that any plan within them costs."""

    bound: float
    number: int
    low: Floats = field(compare=False)
    high: Floats = field(compare=False)
    made_by: Branch | None = field(compare=False, default=None)


class BranchRecord:
    """What branches on each column have lifted the bound by, a unit moved; for all workers."""

    def __init__(self, columns: int) -> None:
        self.sums = np.zeros((2, columns))
        self.times = np.zeros((2, columns))
        self._lock = threading.Lock()

    def note(self, branch: Branch, lift: float) -> None:
        """Note what one branch lifted the bound by."""
        way = int(branch.up)
        with self._lock:
            self.sums[way, branch.column] += max(lift, 0.0) / branch.moved
            self.times[way, branch.column] += 1

    def trusted(self) -> Bools:
        """Return (columns,) whether both ways have been gone often enough."""
        return np.asarray(self.times.min(axis=0) >= TRUSTED)

    def lifts_of(self, columns: Ints, down: Floats, up: Floats) -> Floats:
        """Return what branches on these columns that move so far may lift: both ways' product."""
        each = self.sums[:, columns] / np.maximum(self.times[:, columns], 1.0)
        return np.asarray(np.maximum(each[0] * down, 1e-3) * np.maximum(each[1] * up, 1e-3))


class LeafSize:
    """How many choices a leaf may have: fewer after one that ran out of time, more after a quick
    one; for all workers."""

    def __init__(self, choices: float, seconds: float) -> None:
        self.choices, self.seconds = choices, seconds
        self._lock = threading.Lock()

    def note(self, leaf: Leaf, finished: bool, seconds: float) -> None:
        """Note how one leaf went."""
        with self._lock:
            if not finished:
                self.choices = max(min(self.choices, len(leaf.choices)) * 0.7, 40.0)
            elif seconds < self.seconds / 4 and len(leaf.choices) > self.choices / 2:
                self.choices *= 1.25


class NodeSolver:
    """Opens nodes: one worker's relaxation and leaves."""

    def __init__(
        self,
        relaxed: Relaxation,
        incumbent: Incumbent,
        leaves: LeafSolver,
        record: BranchRecord,
        leaf_size: LeafSize,
    ) -> None:
        self.relaxed = relaxed
        self.incumbent = incumbent
        self.leaves = leaves
        self.record = record
        self.leaf_size = leaf_size
        self.work = 0.0
        """Done since it was last set to 0: nodes, a leaf being worth many."""
        self.whole = relaxed.integer
        self.first = relaxed.columns_of(FIRST) & self.whole
        self.siblings = {
            column: one.columns for one in relaxed.built.items for column in one.columns.tolist()
        }

    def open(self, node: Node, new_number: Callable[[], int]) -> tuple[float, list[Node]]:
        """Return the bound of a node that is finished (else ∞), and its children."""
        self.work += 1.0
        for cut in self.incumbent.cut_rows:
            if cut not in self.relaxed.row_of_cut:
                self.relaxed.add_cut(cut)
        self.relaxed.set_bounds(node.low, node.high)
        if not self.relaxed.solve():
            return (math.inf if self.relaxed.infeasible else node.bound), []
        bound = max(self.relaxed.objective, node.bound)
        if node.made_by is not None:
            self.record.note(node.made_by, bound - node.bound)
        floor = self.incumbent.floor
        if bound >= floor:
            return bound, []
        numbers = self.relaxed.lp.values()[self.relaxed.own]
        broken = self.whole & (np.abs(numbers - np.rint(numbers)) > WHOLE)
        room = floor - self.relaxed.objective
        left = np.flatnonzero(self.relaxed.reduced <= room + 1e-6)
        if left.size <= self.leaf_size.choices or not broken.any():
            leaf = Leaf(left, node.low, node.high, bound)
            seconds = self.leaf_size.seconds
            while True:
                self.work += LEAF_WORK
                end = self.leaves.solve(leaf, seconds)
                self.leaf_size.note(leaf, end.finished, end.seconds)
                bound = max(bound, end.bound)
                if end.finished or bound >= self.incumbent.floor:
                    return bound, []
                if broken.any() or self.incumbent.stopped:
                    break
                seconds *= 3  # nothing is left to branch on
            if not broken.any():
                return bound, []
        low, high = self._tightened(node, numbers, room)
        column = self._choose(np.flatnonzero(broken), numbers, bound)
        return math.inf, self._children(column, numbers[column], bound, low, high, new_number)

    def _children(
        self,
        column: int,
        at: float,
        bound: float,
        low: Floats,
        high: Floats,
        new_number: Callable[[], int],
    ) -> list[Node]:
        children = []
        for up in (False, True):
            end = math.ceil(at) if up else math.floor(at)
            child_low, child_high = low.copy(), high.copy()
            (child_low if up else child_high)[column] = end
            if up and column in self.siblings:
                child_high[self.siblings[column]] = 0.0
                child_high[column] = 1.0
            made_by = Branch(column, up, abs(at - end))
            children.append(Node(bound, new_number(), child_low, child_high, made_by))
        return children

    def _tightened(self, node: Node, numbers: Floats, room: float) -> tuple[Floats, Floats]:
        """Return the bounds of the whole columns that leave a plan below the floor, by what
        moving each from where it stands costs at least."""
        price = self.relaxed.lp.reduced_costs()[self.relaxed.own]
        low, high = node.low.copy(), node.high.copy()
        rising = self.whole & (price > 1e-6) & (numbers <= low + WHOLE)
        high[rising] = np.minimum(
            high[rising], low[rising] + np.floor(room / price[rising] + WHOLE)
        )
        falling = self.whole & (price < -1e-6) & (numbers >= high - WHOLE)
        low[falling] = np.maximum(
            low[falling], high[falling] - np.floor(room / -price[falling] + WHOLE)
        )
        return low, high

    def _choose(self, broken: Ints, numbers: Floats, bound: float) -> int:
        """Return the column whose branches lift the bound most, by its record; of columns with
        none, the most promising are tried.

        Trials see the active choices only, so they rank; they bound nothing.
        """
        down = numbers[broken] - np.floor(numbers[broken])
        up = 1.0 - down
        trusted = self.record.trusted()[broken]
        scores = np.where(trusted, self.record.lifts_of(broken, down, up), -1.0)
        part = np.minimum(down, up)
        by_part = np.where(self.first[broken] & ~trusted, part, 0.0)
        by_money = np.where(~trusted, part * np.abs(self.relaxed.cost[broken]), 0.0)
        tried: dict[int, None] = {}
        for worth, most in ((by_part, CANDIDATES // 2), (by_money, CANDIDATES)):
            for place in np.argsort(-worth, kind="stable").tolist():
                if worth[place] <= 0.0 or len(tried) >= most:
                    break
                tried[place] = None
        if not tried and not trusted.any():
            tried = dict.fromkeys(np.argsort(-part, kind="stable")[:CANDIDATES].tolist())
        basis = self.relaxed.lp.basis()
        floor = self.incumbent.floor
        for place in tried:
            column, at = int(broken[place]), float(numbers[broken[place]])
            lifts = []
            for is_up, end in ((False, math.floor(at)), (True, math.ceil(at))):
                lifted = self.relaxed.tried(column, end if is_up else None, None if is_up else end)
                lift = min(max(lifted - bound, 0.0), floor - bound)
                self.record.note(Branch(column, is_up, abs(at - end)), lift)
                lifts.append(max(lift, 1e-3))
                self.relaxed.lp.set_basis(basis)
            scores[place] = lifts[0] * lifts[1]
        return int(broken[int(np.argmax(scores))])
