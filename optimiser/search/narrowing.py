"""Narrowing: how small and how large the farm-wide numbers are in any plan that is cheaper.

Each answer is an optimum of the relaxation over all choices, with a row that bars what costs
more, so no better plan is ever cut off.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

from .relaxation import Relaxation


class Narrowing:
    """Questions to a relaxation about the plans that cost less than `best_cost`.

    Its columns' costs are put back afterwards; the row that bars dearer plans stays.
    """

    def __init__(self, relaxed: Relaxation, best_cost: float) -> None:
        self.relaxed = relaxed
        priced = np.flatnonzero(relaxed.cost)
        relaxed.add_row(-math.inf, best_cost, priced, relaxed.cost[priced])

    @contextmanager
    def _no_cost(self) -> Iterator[None]:
        """Ask about the programme with no cost of its own, every line laid."""
        highs, cost = self.relaxed.highs, self.relaxed.cost
        priced = np.flatnonzero(cost).astype(np.int32)
        unlaid = self.relaxed.unlaid.astype(np.int32)
        units = self.relaxed.built.units
        none = np.zeros(len(unlaid))
        highs.changeColsCost(len(priced), priced, np.zeros(len(priced)))
        highs.changeColsBounds(len(unlaid), unlaid, none, none)
        yield
        highs.changeColsCost(len(priced), priced, cost[priced])
        highs.changeColsBounds(len(unlaid), unlaid, none, units)

    def largest_orders(self, seconds: float) -> dict[str, int]:
        """Return the largest order by item, of as many items as the seconds allow."""
        until = time.perf_counter() + seconds
        largest = {}
        with self._no_cost():
            for name, order in self.relaxed.built.orders.items():
                if time.perf_counter() > until:
                    break
                for column, value in order.quantity:
                    self.relaxed.highs.changeColCost(column, -value)
                if self.relaxed.solve():
                    largest[name] = math.floor(-self.relaxed.objective + 1e-5)
                for column, _ in order.quantity:
                    self.relaxed.highs.changeColCost(column, 0.0)
        return largest

    def tighten(self, families: tuple[str, ...], seconds: float) -> None:
        """Tighten the bounds of the whole columns of some families, while there is time."""
        until = time.perf_counter() + seconds
        spans = self.relaxed.built.programme.column_families
        with self._no_cost():
            for family in families:
                for start, end in spans.get(family, []):
                    for column in range(start, end):
                        if time.perf_counter() < until:
                            self._tighten(column)

    def _tighten(self, column: int) -> None:
        relaxed = self.relaxed
        low, high = relaxed.low[column], relaxed.high[column]
        if low >= high - 1e-9:
            return
        for sense in (1.0, -1.0):
            relaxed.highs.changeColCost(column, sense)
            solved = relaxed.solve()
            relaxed.highs.changeColCost(column, 0.0)
            if not solved:
                continue
            end = relaxed.objective * sense
            if sense > 0:
                low = max(low, math.ceil(end - 1e-5))
            else:
                high = min(high, math.floor(end + 1e-5))
        if low > high:  # nothing costs less: leave the bounds, the best plan is least
            return
        relaxed.low[column], relaxed.high[column] = low, high
        relaxed.highs.changeColBounds(column, low, high)
