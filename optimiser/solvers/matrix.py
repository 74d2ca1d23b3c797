"""A mixed-integer programme in arrays: families of columns and rows, built in bulk.

Columns and rows are added a family at a time as numpy arrays, never one by one: a large farm
has hundreds of thousands. The programme always minimises.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ...models.arrays import Bools, Floats, Ints

CANCELLED = 1e-12
"""Terms of one column in one row that add up to no more than this are left out."""


@dataclass(frozen=True)
class Matrix:
    """The finished programme: minimise cost·x, row_low ≤ A x ≤ row_high, low ≤ x ≤ high.

    A is held by rows: row i has columns index[start[i]:start[i+1]] with those values.
    """

    cost: Floats
    low: Floats
    high: Floats
    integer: Bools
    row_low: Floats
    row_high: Floats
    start: Ints
    index: Ints
    value: Floats

    @property
    def shape(self) -> tuple[int, int]:
        """Rows, columns."""
        return len(self.row_low), len(self.cost)


class Programme:
    """Collects columns, rows and terms; `matrix` hands them over."""

    def __init__(self) -> None:
        self._columns: list[tuple[Floats, Floats, Floats, Bools]] = []
        self._rows: list[tuple[Floats, Floats]] = []
        self._terms: list[tuple[Ints, Ints, Floats]] = []
        self.column_families: dict[str, list[tuple[int, int]]] = {}
        self.row_families: dict[str, list[tuple[int, int]]] = {}
        self.column_count = 0
        self.row_count = 0

    def columns(
        self,
        family: str,
        count: int,
        *,
        low: ArrayLike = 0.0,
        high: ArrayLike = np.inf,
        integer: bool = False,
        cost: ArrayLike = 0.0,
    ) -> Ints:
        """Add a family of columns; return their indices."""
        start = self.column_count
        self._columns.append((
            np.broadcast_to(np.asarray(cost, dtype=float), count).copy(),
            np.broadcast_to(np.asarray(low, dtype=float), count).copy(),
            np.broadcast_to(np.asarray(high, dtype=float), count).copy(),
            np.full(count, integer),
        ))  # fmt: skip
        self.column_families.setdefault(family, []).append((start, start + count))
        self.column_count += count
        return np.arange(start, start + count)

    def column(
        self,
        family: str,
        *,
        low: float = 0.0,
        high: float = np.inf,
        integer: bool = False,
        cost: float = 0.0,
    ) -> int:
        """Add one column; return its index."""
        return int(self.columns(family, 1, low=low, high=high, integer=integer, cost=cost)[0])

    def rows(
        self, family: str, count: int, *, low: ArrayLike = -np.inf, high: ArrayLike = np.inf
    ) -> Ints:
        """Add a family of rows with these sides; return their indices."""
        start = self.row_count
        self._rows.append((
            np.broadcast_to(np.asarray(low, dtype=float), count).copy(),
            np.broadcast_to(np.asarray(high, dtype=float), count).copy(),
        ))  # fmt: skip
        self.row_families.setdefault(family, []).append((start, start + count))
        self.row_count += count
        return np.arange(start, start + count)

    def row(
        self,
        family: str,
        terms: list[tuple[int, float]],
        *,
        low: float = -np.inf,
        high: float = np.inf,
    ) -> int:
        """Add one row with its terms (column, coefficient); return its index."""
        index = int(self.rows(family, 1, low=low, high=high)[0])
        if terms:
            columns, values = zip(*terms, strict=True)
            self.terms(index, np.array(columns), np.array(values, dtype=float))
        return index

    def terms(self, rows: ArrayLike, columns: ArrayLike, values: ArrayLike) -> None:
        """Add coefficients; a (row, column) pair met again adds up."""
        r, c, v = np.broadcast_arrays(rows, columns, values)
        self._terms.append((
            r.reshape(-1).astype(np.int64),
            c.reshape(-1).astype(np.int64),
            v.reshape(-1).astype(float),
        ))  # fmt: skip

    def matrix(self) -> Matrix:
        """Return the programme as it stands, its terms gathered by rows."""
        cost, low, high, integer = (
            np.concatenate(part) for part in zip(*self._columns, strict=True)
        )
        row_low, row_high = (np.concatenate(part) for part in zip(*self._rows, strict=True))
        r, c, v = (np.concatenate(part) for part in zip(*self._terms, strict=True))
        key = r * self.column_count + c
        order = np.argsort(key, kind="stable")
        key, v = key[order], v[order]
        first = np.ones(key.size, dtype=bool)
        first[1:] = key[1:] != key[:-1]
        values = np.add.reduceat(v, np.flatnonzero(first))
        rows, index = np.divmod(key[first], self.column_count)
        there = np.abs(values) > CANCELLED
        rows, index, values = rows[there], index[there], values[there]
        start = np.searchsorted(rows, np.arange(self.row_count + 1))
        return Matrix(cost, low, high, integer, row_low, row_high, start, index, values)


def with_columns(
    matrix: Matrix, high: Floats, rows: Ints, positions: Ints, values: Floats
) -> Matrix:
    """Return the programme with whole columns after its own, of no cost and at least nothing.

    high : (columns,). rows, positions, values : the terms, positions among the new columns.
    """
    count, own = len(high), len(matrix.cost)
    own_rows = np.repeat(np.arange(len(matrix.row_low)), np.diff(matrix.start))
    every_row = np.concatenate([own_rows, rows])
    order = np.argsort(every_row, kind="stable")
    return replace(
        matrix,
        cost=np.append(matrix.cost, np.zeros(count)),
        low=np.append(matrix.low, np.zeros(count)),
        high=np.append(matrix.high, high),
        integer=np.append(matrix.integer, np.ones(count, dtype=bool)),
        start=np.searchsorted(every_row[order], np.arange(len(matrix.row_low) + 1)),
        index=np.concatenate([matrix.index, own + positions])[order],
        value=np.concatenate([matrix.value, values])[order],
    )


def with_row(matrix: Matrix, columns: Ints, values: Floats, low: float, high: float) -> Matrix:
    """Return the programme with one row after its own."""
    return replace(
        matrix,
        row_low=np.append(matrix.row_low, low),
        row_high=np.append(matrix.row_high, high),
        start=np.append(matrix.start, len(matrix.index) + len(columns)),
        index=np.append(matrix.index, columns),
        value=np.append(matrix.value, values),
    )


def cost_at_most(matrix: Matrix, cost: float) -> Matrix:
    """Return the programme with a row that bars solutions dearer than `cost`."""
    priced = np.flatnonzero(matrix.cost)
    return with_row(matrix, priced, matrix.cost[priced], -np.inf, cost)


def without_whole(matrix: Matrix) -> Matrix:
    """Return the programme with no column whole."""
    return replace(matrix, integer=np.zeros(len(matrix.cost), dtype=bool))
