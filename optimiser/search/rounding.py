"""Mixed-integer rounding: rows that a relaxation's fractional numbers break, for all choices.

Any weighted sum of rows holds for every plan. What stands in it before whole numbers may be
rounded off in a way that no plan breaks (Nemhauser and Wolsey, 1990); with the weights of a
fractional number in the simplex tableau the solution breaks what comes out (Gomory, 1960). A
choice's coefficient follows from its terms in the rows, so it is known for choices left out too.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ...models.arrays import Bools, Floats, Ints

LEAST_PART = 0.02
"""A sum whose side is nearer to a whole number than this gives no row worth having."""

LARGEST = 1e6
"""Largest coefficient, where a number's own is 1: beyond it rounding errors tell."""

CANCELLED = 1e-5
"""Share of what was added up that must be left of it."""

SLACK = 1e-7
"""What every row is eased by, its largest coefficient being 1: far more than rounding errors."""


@dataclass(frozen=True)
class RoundedRow:
    """Σ own · columns + Σ of_choice · units ≤ most, for every plan."""

    own: Floats
    """By own column of the relaxation."""
    of_choice: Floats
    """(X,) by unit of a choice."""
    most: float


class OwnTerms:
    """The rows of a relaxation, without their terms in choices; rows may be added."""

    def __init__(self, row: Ints, column: Ints, value: Floats, low: Floats, high: Floats) -> None:
        self.row, self.column, self.value = row, column, value
        self.low, self.high = low, high

    def add(self, columns: Ints, values: Floats, high: float) -> None:
        """Add a row after the others: Σ value · column ≤ high, the choices' terms left out."""
        self.row = np.append(self.row, np.full(len(columns), len(self.low)))
        self.column = np.append(self.column, columns)
        self.value = np.append(self.value, values)
        self.low, self.high = np.append(self.low, -math.inf), np.append(self.high, high)

    def weighed(self, weights: Floats, columns: int) -> Floats:
        """Return (columns,) the weighted sum of the rows."""
        there = weights[self.row] * self.value
        return np.asarray(np.bincount(self.column, there, minlength=columns), dtype=float)


@dataclass(frozen=True)
class OwnColumns:
    """The own columns of a relaxation: which are whole, and bounds that hold for every plan."""

    whole: Bools
    low: Floats
    high: Floats


def rounded(
    terms: OwnTerms,
    columns: OwnColumns,
    weights: Floats,
    values: Floats,
    of_choices: Callable[[Floats], Floats],
) -> RoundedRow | None:
    """Return what the weighted sum of a relaxation's rows rounds to; None: nothing worth having.

    weights : (rows,). values : of the own columns, at the relaxation's solution. of_choices :
    weights of rows → (X,) their weighted sum at a unit of every choice, a whole number of at
    least 0.
    """
    count = len(values)
    there = np.flatnonzero(weights)
    upper = np.where(weights > 0, np.isfinite(terms.high), ~np.isfinite(terms.low))
    side = np.where(upper, terms.high, terms.low)
    # A row with its slack s ≥ 0 is A x + s = high, or A x − s = low.
    slack = np.where(terms.low == terms.high, 0.0, np.where(upper, weights, -weights))
    sums = terms.weighed(weights, count)
    own = np.flatnonzero(sums)
    # Every own column counts from the bound that it stands nearer to.
    low = np.where(columns.whole, np.ceil(columns.low - 1e-9), columns.low)
    high = np.where(columns.whole, np.floor(columns.high + 1e-9), columns.high)
    down = high - values < values - low
    start, way = np.where(down, high, low), np.where(down, -1.0, 1.0)
    most = float(weights[there] @ side[there] - sums[own] @ start[own])
    part = most - math.floor(most)
    if not LEAST_PART < part < 1 - LEAST_PART:
        return None

    def off(value: Floats) -> Floats:
        """Round a whole number's coefficient off. This is continuous: errors stay small."""
        below = np.floor(value)
        return np.asarray(below + np.maximum(value - below - part, 0.0) / (1 - part))

    new = way * np.where(columns.whole, off(way * sums), np.minimum(way * sums, 0.0) / (1 - part))
    new[sums == 0.0] = 0.0
    # The slacks that count are written out again.
    back = np.where(upper, -1.0, 1.0) * np.minimum(slack, 0.0) / (1 - part)
    most = math.floor(most) + float(new[own] @ start[own] + back[there] @ side[there])
    new += terms.weighed(back, count)
    choice = off(of_choices(weights)) + of_choices(back)
    largest = max(float(np.abs(new).max()), float(np.abs(choice).max(initial=0.0)))
    # Of what nearly cancels out only rounding errors are left.
    met = max(
        float(np.abs(weights[terms.row] * terms.value).max()),
        float(np.abs(weights[there] * side[there]).max()),
        float(np.abs(sums[own] * start[own]).max(initial=0.0)),
    )
    if not CANCELLED * max(met, 1.0) < largest < LARGEST:
        return None
    most /= largest
    return RoundedRow(new / largest, choice / largest, most + SLACK * max(abs(most), 1.0))
