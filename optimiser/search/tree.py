"""The tree: one heap of nodes, least bound first, and the workers that open them and, by turns,
better the plan."""

from __future__ import annotations

import heapq
import itertools
import math
import threading
from collections.abc import Callable, Sequence

from .bettering import Bettering
from .branching import Node, NodeSolver
from .incumbent import Incumbent

LOOK_S = 0.05
"""Seconds between two looks of a thread that waits."""


class Tree:
    """Nodes still to open, and those being opened; safe for any number of workers."""

    def __init__(self, root: Node, incumbent: Incumbent, bettering: Bettering) -> None:
        self.incumbent, self.bettering = incumbent, bettering
        self._open = [root]
        self._in_work: dict[int, Node] = {}
        self._done = math.inf
        """Least bound of the nodes that are finished."""
        self._failure: BaseException | None = None
        self._numbers = itertools.count(1)
        self._changed = threading.Condition()

    @property
    def bound(self) -> float:
        """The least that any plan in the tree costs."""
        with self._changed:
            nodes = [self._done, *(node.bound for node in self._in_work.values())]
            return min([*nodes, self._open[0].bound] if self._open else nodes)

    def run(self, solvers: Sequence[NodeSolver], tell: Callable[[float], None]) -> float:
        """Open nodes, a thread a solver, until none is left below the floor or the incumbent is
        stopped; tell(bound) meanwhile; return the bound. What went wrong in a worker is raised."""
        threads = [
            threading.Thread(target=self._work, args=(solver,), name="tree worker", daemon=True)
            for solver in solvers
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            while thread.is_alive():
                thread.join(LOOK_S)
                tell(self.bound)
        if self._failure is not None:
            raise self._failure
        return self.bound

    def _work(self, solver: NodeSolver) -> None:
        try:
            while (node := self._take()) is not None:
                finished, children = node.bound, [node]
                try:
                    finished, children = solver.open(node, lambda: next(self._numbers))
                finally:
                    self._give(node, finished, children)
                work, solver.work = solver.work, 0.0
                self.bettering.take_turn(work, self.bound)
            self.bettering.over = True
        except BaseException as failure:
            self._failure = failure
            with self._changed:
                self._changed.notify_all()

    def _take(self) -> Node | None:
        """Return the node of least bound, or the newest while no plan is known: a dive ends in
        one. None when there is nothing more to do."""
        with self._changed:
            while self._failure is None and not self.incumbent.stopped:
                if self._open and self._open[0].bound < self.incumbent.floor:
                    if self.incumbent.floor == math.inf:
                        newest = max(range(len(self._open)), key=lambda at: self._open[at].number)
                        node = self._open.pop(newest)
                        heapq.heapify(self._open)
                    else:
                        node = heapq.heappop(self._open)
                    self._in_work[node.number] = node
                    return node
                if not self._in_work:
                    return None
                self._changed.wait(LOOK_S)
            return None

    def _give(self, node: Node, finished: float, children: list[Node]) -> None:
        """Take back what became of a node."""
        with self._changed:
            del self._in_work[node.number]
            self._done = min(self._done, finished)
            for child in children:
                heapq.heappush(self._open, child)
            self._changed.notify_all()
