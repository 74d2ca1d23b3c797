"""Branching on the few farm-wide whole numbers first: vessels, suppliers, brackets, days.

Below them the lines are nearly continuous, so a handful of branches lifts the relaxation close to
the cost of the best plan. What is then left (few choices, narrow bounds) goes to the solver whole.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from ...models.arrays import Bools, Floats, Ints
from .relaxation import WHOLE, Relaxation

FIRST = (
    "vessel used",
    "supplier used",
    "bracket",
    "days",
    "spares",
    "service used",
    "containers",
    "trips",
)
"""Families branched on first."""

SEPARATIONS = 12
"""Most times that a node is solved again for cutting rows."""

WORTH_TIGHTENING = 0.02
"""Share of what a node lacks that another round of cutting rows must have lifted it by."""

CANDIDATES = 16
"""Columns without a record whose branches are tried before one is chosen."""

TRUSTED = 3
"""Branches either way after which a column's record is taken at its word."""

LEAF_CHOICES = 150
"""A node with no more choices than this left goes to the solver whole."""


@dataclass(frozen=True)
class Branch:
    """How a node was made: a column of the farm-wide ones, which way, and how far it moved."""

    column: int
    up: bool
    moved: float


@dataclass(order=True)
class Node:
    """Bounds of the farm-wide columns, and the least that any plan within them costs."""

    bound: float
    number: int
    low: Floats = field(compare=False)
    high: Floats = field(compare=False)
    made_by: Branch | None = field(compare=False, default=None)


@dataclass(frozen=True)
class Leaf:
    """A node for the solver: its choices and the bounds of its farm-wide columns."""

    choices: Ints
    low: Floats
    high: Floats
    bound: float


class BranchRecord:
    """What branches on each farm-wide column have lifted the bound by, a unit moved."""

    def __init__(self, columns: int) -> None:
        self.sums = np.zeros((2, columns))
        self.times = np.zeros((2, columns))

    def note(self, branch: Branch, lift: float) -> None:
        """Note what one branch lifted the bound by."""
        way = int(branch.up)
        self.sums[way, branch.column] += max(lift, 0.0) / branch.moved
        self.times[way, branch.column] += 1

    def trusted(self) -> Bools:
        """Return (columns,) whether both ways have been gone often enough."""
        return np.asarray(self.times.min(axis=0) >= TRUSTED)

    def lifts_of(self, columns: Ints, down: Floats, up: Floats) -> Floats:
        """Return what branches on these columns that move so far may lift: both ways' product."""
        each = self.sums[:, columns] / np.maximum(self.times[:, columns], 1.0)
        return np.asarray(np.maximum(each[0] * down, 1e-3) * np.maximum(each[1] * up, 1e-3))


class Branching:
    """A tree over the farm-wide columns of a relaxation, least bound first."""

    def __init__(
        self,
        relaxed: Relaxation,
        floor: Callable[[], float],
        leaf: Callable[[Leaf], float],
        separate: Callable[[], bool],
        look: Callable[[], None],
        going: Callable[[float], bool],
    ) -> None:
        """floor() is the cost that a plan must beat; leaf(node) solves a node whole and returns
        its bound; separate() adds rows that the relaxation's solution breaks and tells whether
        it did; look() may start a look for a better plan near the relaxation's solution;
        going(bound) tells whether to go on."""
        self.relaxed = relaxed
        self.floor = floor
        self.leaf = leaf
        self.separate = separate
        self.look = look
        self.going = going
        self.number = itertools.count()
        wide = relaxed.farm_wide
        self.whole = relaxed.integer[wide]
        self.first = relaxed.columns_of(FIRST)[wide] & self.whole
        self.cost = relaxed.cost[wide]
        self.record = BranchRecord(len(wide))

    def run(self) -> float:
        """Return the least bound of all nodes when the tree is done, or was told to stop."""
        low, high = self.relaxed.farm_wide_bounds()
        open_nodes = [Node(-math.inf, next(self.number), low, high)]
        done = math.inf
        while open_nodes:
            node = heapq.heappop(open_nodes)
            if node.bound >= self.floor():
                done = min(done, node.bound)
                break
            if not self.going(min(done, node.bound)):
                heapq.heappush(open_nodes, node)
                break
            finished, children = self._open(node)
            done = min(done, finished)
            for child in children:
                heapq.heappush(open_nodes, child)
        self.relaxed.set_bounds(low, high)
        return min([done, *(node.bound for node in open_nodes)])

    def _open(self, node: Node) -> tuple[float, list[Node]]:
        """Return the bound of a node that is finished (else ∞), and its children."""
        self.relaxed.set_bounds(node.low, node.high)
        floor = self.floor()
        bound = node.bound
        for tightening in range(SEPARATIONS):
            if not self.relaxed.solve():
                return (math.inf if self.relaxed.infeasible else bound), []
            before, bound = bound, max(self.relaxed.objective, bound)
            if not tightening:
                self._note(node, bound)
            if bound >= floor:
                return bound, []
            numbers = self.relaxed.values()[self.relaxed.farm_wide]
            broken = self.whole & (np.abs(numbers - np.rint(numbers)) > WHOLE)
            slow = tightening and bound - before < WORTH_TIGHTENING * (floor - bound)
            last = tightening == SEPARATIONS - 1  # what is read below is of a solved relaxation
            if last or (broken.any() and slow) or not self.separate():
                break
        self.look()
        room = floor - self.relaxed.objective
        left = np.flatnonzero(self.relaxed.reduced <= room + 1e-6)
        if left.size <= LEAF_CHOICES or not broken.any():
            return self.leaf(Leaf(left, node.low, node.high, bound)), []
        low, high = self._narrowed(node, numbers, room)
        column = self._choose(np.flatnonzero(broken), numbers, bound)
        children = []
        for up in (False, True):
            end = math.ceil(numbers[column]) if up else math.floor(numbers[column])
            moved = abs(numbers[column] - end)
            child_low, child_high = low.copy(), high.copy()
            (child_low if up else child_high)[column] = end
            children.append(
                Node(bound, next(self.number), child_low, child_high, Branch(column, up, moved))
            )
        return math.inf, children

    def _note(self, node: Node, bound: float) -> None:
        if node.made_by is not None:
            self.record.note(node.made_by, bound - node.bound)

    def _narrowed(self, node: Node, numbers: Floats, room: float) -> tuple[Floats, Floats]:
        """Return the bounds of the whole columns that leave a plan below the floor, by what
        moving each from where it stands costs at least."""
        price = self.relaxed.prices_of_farm_wide()
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
        by_money = np.where(~trusted, part * np.abs(self.cost[broken]), 0.0)
        tried: dict[int, None] = {}
        for worth, most in ((by_part, CANDIDATES // 2), (by_money, CANDIDATES)):
            for place in np.argsort(-worth, kind="stable").tolist():
                if worth[place] <= 0.0 or len(tried) >= most:
                    break
                tried[place] = None
        if not tried and not trusted.any():
            tried = dict.fromkeys(np.argsort(-part, kind="stable")[:CANDIDATES].tolist())
        basis = self.relaxed.highs.getBasis()
        floor = self.floor()
        for place in tried:
            column, at = int(broken[place]), float(numbers[broken[place]])
            lifts = []
            for is_up, end in ((False, math.floor(at)), (True, math.ceil(at))):
                lifted = self.relaxed.tried(column, end if is_up else None, None if is_up else end)
                lift = min(max(lifted - bound, 0.0), floor - bound)
                self.record.note(Branch(column, is_up, abs(at - end)), lift)
                lifts.append(max(lift, 1e-3))
                self.relaxed.highs.setBasis(basis)
            scores[place] = lifts[0] * lifts[1]
        return int(broken[int(np.argmax(scores))])
