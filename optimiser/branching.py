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

from .make_ups import Floats, Ints
from .relaxation import Relaxation

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

SEPARATIONS = 8
"""Most times that a node with nothing left to branch on is solved again for cutting rows."""

CANDIDATES = 8
"""Columns whose branches are tried before one is chosen."""

LEAF_CHOICES = 900
"""A node with no more choices than this left goes to the solver whole."""

WHOLE = 1e-6
"""How far from whole a number may be."""


@dataclass(order=True)
class Node:
    """Bounds of the farm-wide columns, and the least that any plan within them costs."""

    bound: float
    number: int
    low: Floats = field(compare=False)
    high: Floats = field(compare=False)


@dataclass(frozen=True)
class Leaf:
    """A node for the solver: its choices and the bounds of its farm-wide columns."""

    choices: Ints
    low: Floats
    high: Floats
    bound: float


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
        self.first, self.later = self._families()

    def _families(self) -> tuple[Ints, Ints]:
        """Return the whole farm-wide columns to branch on first, and the others."""
        spans = self.relaxed.built.programme.column_families
        first = [np.arange(a, b) for family in FIRST for a, b in spans.get(family, [])]
        chosen = np.concatenate(first) if first else np.zeros(0, dtype=np.int64)
        wide = self.relaxed.farm_wide
        whole = wide[self.relaxed.integer[wide]]
        return chosen[self.relaxed.integer[chosen]], np.setdiff1d(whole, chosen)

    def run(self) -> float:
        """Return the least bound of all nodes when the tree is done, or was told to stop."""
        wide = self.relaxed.farm_wide
        low, high = self.relaxed.low[wide], self.relaxed.high[wide]
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
        for _ in range(SEPARATIONS):
            if not self.relaxed.solve():
                return (math.inf if self.relaxed.infeasible else node.bound), []
            bound = self.relaxed.objective
            if bound >= floor:
                return bound, []
            broken = self._broken(self.relaxed.values())
            # While there is a number to branch on that lifts the bound more than cutting rows do.
            if broken.size or not self.separate():
                break
        self.look()
        reduced = self.relaxed.reduced_costs()
        left = np.flatnonzero(reduced <= floor - bound + 1e-6)
        values = self.relaxed.values()
        if left.size <= LEAF_CHOICES or not broken.size:
            return self.leaf(Leaf(left, node.low, node.high, bound)), []
        column = self._choose(broken, values, bound)
        offset = int(self.relaxed.farm_wide[0])
        children = []
        for up in (False, True):
            low, high = node.low.copy(), node.high.copy()
            if up:
                low[column - offset] = math.ceil(values[column] - WHOLE)
            else:
                high[column - offset] = math.floor(values[column] + WHOLE)
            children.append(Node(bound, next(self.number), low, high))
        return math.inf, children

    def _broken(self, values: Floats) -> Ints:
        """Return the columns most worth a branch: of the first families by how far they are
        from whole, of all of them by what the missing part costs; the packs and joins last."""
        wide = np.concatenate([self.first, self.later])
        part = np.abs(values[wide] - np.rint(values[wide]))
        part[part <= WHOLE] = 0.0
        first = part[: self.first.size]
        by_part = self.first[np.argsort(-first, kind="stable")[:CANDIDATES]]
        by_part = by_part[: int(np.count_nonzero(first))]
        money = part * self.relaxed.cost[wide]
        by_money = wide[np.argsort(-money, kind="stable")[: int(np.count_nonzero(money))]]
        chosen = np.concatenate([by_part[: CANDIDATES // 2], by_money[: CANDIDATES // 2]])
        if not chosen.size:
            chosen = wide[np.argsort(-part, kind="stable")[: int(np.count_nonzero(part))]]
        return np.array(list(dict.fromkeys(chosen.tolist()))[:CANDIDATES], dtype=np.int64)

    def _choose(self, broken: Ints, values: Floats, bound: float) -> int:
        """Return the column whose branches lift the bound most.

        Trials see the active choices only, so they rank; they bound nothing.
        """
        basis = self.relaxed.highs.getBasis()
        best: tuple[float, int] = (-1.0, int(broken[0]))
        floor = self.floor()
        for column in broken.tolist():
            gains = []
            for low, high in (
                (None, math.floor(values[column])),
                (math.ceil(values[column]), None),
            ):
                with self.relaxed.trial(column, low, high):
                    solved = self.relaxed.solve_active()
                    lifted = self.relaxed.objective if solved else floor
                gains.append(max(min(lifted, floor) - bound, 1e-3))
                self.relaxed.highs.setBasis(basis)
            score = gains[0] * gains[1]
            if score > best[0]:
                best = (score, column)
        return best[1]
