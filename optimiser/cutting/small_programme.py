"""The small programme of a cutting list: rows, then columns, solved in fractions or in whole."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ...models.arrays import Floats
from ..solvers.cbc import linear_by_cbc
from ..solvers.highs import highs_is_there
from ..solvers.matrix import Matrix
from ..solvers.report import SolveOptions
from ..solvers.solve import solve
from ..solvers.warm_lp import WarmLp


class CuttingProgramme:
    """Minimises; no column is below nothing. Rows are added first, then columns one by one.

    With HiGHS, fractions are solved anew from the last answer; with CBC, from nothing.
    """

    def __init__(self) -> None:
        self._row_low: list[float] = []
        self._row_high: list[float] = []
        self._cost: list[float] = []
        self._high: list[float] = []
        self._begin: list[int] = [0]
        self._rows: list[int] = []
        self._entries: list[float] = []
        self._warm: WarmLp | None = None

    def row(self, low: float = -math.inf, high: float = math.inf) -> None:
        """Add a row with these sides."""
        self._row_low.append(low)
        self._row_high.append(high)

    def column(
        self, cost: float, rows: Sequence[int], entries: Sequence[float], high: float = math.inf
    ) -> None:
        """Add a column with these entries in these rows."""
        self._cost.append(cost)
        self._high.append(high)
        self._rows += rows
        self._entries += entries
        self._begin.append(len(self._rows))

    def in_fractions(self) -> tuple[Floats, Floats]:
        """Solve with nothing whole; return (the dual of each row, the value of each column)."""
        if not highs_is_there():
            return linear_by_cbc(self._matrix(whole=False))
        if self._warm is None:
            self._warm = WarmLp(self._matrix(whole=False))
        elif len(self._cost) > (known := self._warm.column_count):
            begin = np.array(self._begin[known:])
            terms = slice(begin[0], begin[-1])
            self._warm.add_columns(
                np.array(self._cost[known:]),
                np.array(self._high[known:]),
                np.array(self._rows[terms], dtype=np.int64),
                np.repeat(np.arange(len(begin) - 1), np.diff(begin)),
                np.array(self._entries[terms], dtype=float),
            )
        self._warm.solve()
        return self._warm.row_duals(), self._warm.values()

    def in_whole(self, seconds: float, least: int) -> tuple[list[int] | None, float]:
        """Return (the whole value of each column, or None where none was found, a bound).

        Costs must be whole numbers: within less than one of the bound is then exact. `least` is a
        bound known before; the search ends at a solution as low. The bound may be infinite.
        """
        options = SolveOptions(
            gap=0.0, absolute_gap=0.99, time_limit_s=seconds, good_enough=least + 0.5
        )
        report = solve(self._matrix(whole=True), options)
        values = None if report.values is None else np.rint(report.values).astype(int).tolist()
        return values, report.bound

    def _matrix(self, *, whole: bool) -> Matrix:
        columns = len(self._cost)
        rows = np.array(self._rows, dtype=np.int64)
        of_column = np.repeat(np.arange(columns), np.diff(self._begin))
        order = np.argsort(rows, kind="stable")
        return Matrix(
            cost=np.array(self._cost, dtype=float),
            low=np.zeros(columns),
            high=np.array(self._high, dtype=float),
            integer=np.full(columns, whole),
            row_low=np.array(self._row_low, dtype=float),
            row_high=np.array(self._row_high, dtype=float),
            start=np.searchsorted(rows[order], np.arange(len(self._row_low) + 1)),
            index=of_column[order],
            value=np.array(self._entries, dtype=float)[order],
        )
