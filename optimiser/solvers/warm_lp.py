"""A linear programme kept live in HiGHS: changed a little, and solved again from where it stood."""

from __future__ import annotations

import math
from enum import Enum, auto
from typing import Any

import numpy as np

from ...models.arrays import Floats, Ints
from .highs import highs_of
from .matrix import Matrix

MOST_STEPS = 200_000
"""Steps of the simplex method after which a solve is given up: a rare one never ends."""


class Ending(Enum):
    """How a solve ended."""

    SOLVED = auto()
    INFEASIBLE = auto()
    UNFINISHED = auto()
    """Nothing may be said of it."""


class WarmLp:
    """Minimises; nothing is whole. Only this class touches a live HiGHS."""

    def __init__(self, matrix: Matrix) -> None:
        self._highs = highs_of(matrix)
        self.row_count, self.column_count = matrix.shape

    def solve(self, steps: int = MOST_STEPS) -> Ending:
        """Solve within so many steps of the simplex method."""
        import highspy

        self._highs.setOptionValue("simplex_iteration_limit", steps)
        self._highs.run()
        said = self._highs.getModelStatus()
        if said == highspy.HighsModelStatus.kOptimal:
            return Ending.SOLVED
        infeasible = highspy.HighsModelStatus.kInfeasible
        return Ending.INFEASIBLE if said == infeasible else Ending.UNFINISHED

    def solve_afresh(self) -> Ending:
        """Solve from nothing, what is known of the last solution forgotten."""
        self._highs.clearSolver()
        return self.solve()

    @property
    def objective(self) -> float:
        """Cost at the last solution; of an unfinished dual simplex a lower bound."""
        return float(self._highs.getInfo().objective_function_value)

    def values(self) -> Floats:
        """Return the values of the columns at the last solution."""
        return np.array(self._highs.getSolution().col_value)

    def row_duals(self) -> Floats:
        """Return the prices of the rows at the last solution."""
        return np.array(self._highs.getSolution().row_dual)

    def reduced_costs(self) -> Floats:
        """Return the reduced costs of the columns at the last solution."""
        return np.array(self._highs.getSolution().col_dual)

    def tableau_weights(self, columns: Ints) -> dict[int, Floats]:
        """Return, for those of the columns that are basic, what (rows,) their row of the tableau
        weighs the programme's rows by."""
        _, basic = self._highs.getBasicVariables()
        wanted = np.flatnonzero(np.isin(basic, columns)).tolist()
        return {
            int(basic[place]): np.array(self._highs.getBasisInverseRow(place)[1])
            for place in wanted
        }

    def basis(self) -> Any:
        """Return where it stands, to go back to."""
        return self._highs.getBasis()

    def set_basis(self, basis: Any) -> None:
        """Go back to where it stood."""
        self._highs.setBasis(basis)

    def bounds(self, column: int) -> tuple[float, float]:
        """Return the bounds of a column."""
        _, _, low, high, _ = self._highs.getCol(column)
        return float(low), float(high)

    def set_bounds(self, columns: Ints, low: Floats, high: Floats) -> None:
        """Set the bounds of columns."""
        self._highs.changeColsBounds(len(columns), columns.astype(np.int32), low, high)

    def set_costs(self, columns: Ints, cost: Floats) -> None:
        """Set what columns cost."""
        self._highs.changeColsCost(len(columns), columns.astype(np.int32), cost)

    def add_columns(
        self, cost: Floats, high: Floats, rows: Ints, positions: Ints, values: Floats
    ) -> Ints:
        """Add columns of at least nothing, with terms (row, position among them, value); return
        their indices."""
        count = len(cost)
        order = np.lexsort((rows, positions))
        starts = np.searchsorted(positions[order], np.arange(count))
        self._highs.addCols(
            count,
            cost,
            np.zeros(count),
            high,
            len(values),
            starts.astype(np.int32),
            rows[order].astype(np.int32),
            values[order],
        )
        self.column_count += count
        return np.arange(self.column_count - count, self.column_count)

    def add_row(
        self, columns: Ints, values: Floats, low: float = -math.inf, high: float = math.inf
    ) -> int:
        """Add a row; return its index."""
        self._highs.addRow(low, high, len(columns), columns.astype(np.int32), values)
        self.row_count += 1
        return self.row_count - 1
