"""How the choices enter the rows of the programme.

A link is one family of rows that choices have terms in. It is kept as arrays over all the
choices of the farm, so that columns can be made for any of them, or all of them priced, at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ...models.arrays import Floats, Ints

SmallInts = NDArray[np.int32]

Terms = tuple[Ints, Ints, Floats]
"""Rows, positions among the chosen choices, coefficients."""


class Link(Protocol):
    """What links choices to rows."""

    def terms(self, chosen: Ints) -> Terms:
        """Return the terms of the chosen choices."""
        ...

    def priced(self, duals: Floats) -> Floats:
        """Return (X,) Σ dual × coefficient; duals : (rows + 1,), the last 0."""
        ...


@dataclass(frozen=True)
class RowLink:
    """(X,) arrays: the one row in which each choice has a term (−1: none), and its coefficient
    (None: always 1)."""

    row: SmallInts
    value: Floats | None = None

    def terms(self, chosen: Ints) -> Terms:
        """Return the terms of the chosen choices."""
        row = self.row[chosen]
        there = np.flatnonzero(row >= 0)
        value = np.ones(len(there)) if self.value is None else self.value[chosen[there]]
        return row[there].astype(np.int64), there, value

    def priced(self, duals: Floats) -> Floats:
        """Return (X,) Σ dual × coefficient."""
        price = duals[self.row]
        if self.value is not None:
            price *= self.value
        return price


@dataclass(frozen=True)
class SizeLink:
    """(X,) the place of each choice's piece among the sizes of one item (−1: no piece), and any
    number of rows whose coefficient depends on the size alone."""

    sizes: Ints
    """Distinct lengths of piece, mm, shortest first."""
    place: SmallInts
    lines: Floats
    """(X,) pieces that a unit of each choice takes."""
    rows: list[int] = field(default_factory=list)
    worth: list[Floats] = field(default_factory=list)
    """By row: (sizes + 1,) coefficients, the last 0."""

    def add(self, row: int, worth: Floats) -> None:
        """Add a row; worth : (sizes,)."""
        self.rows.append(row)
        self.worth.append(np.append(worth, 0.0))

    def terms(self, chosen: Ints) -> Terms:
        """Return the terms of the chosen choices."""
        place = self.place[chosen]
        position = np.flatnonzero(place >= 0)
        rows, positions, values = [], [], []
        for row, worth in zip(self.rows, self.worth, strict=True):
            value = worth[place[position]] * self.lines[chosen[position]]
            there = np.flatnonzero(value)
            rows.append(np.full(len(there), row))
            positions.append(position[there])
            values.append(value[there])
        return _joined(rows, positions, values)

    def priced(self, duals: Floats) -> Floats:
        """Return (X,) Σ dual × coefficient."""
        by_size = np.zeros(len(self.sizes) + 1)
        for row, worth in zip(self.rows, self.worth, strict=True):
            by_size += duals[row] * worth
        return np.asarray(by_size[self.place] * self.lines)


@dataclass(frozen=True)
class DenseLink:
    """Rows in which most choices have a term."""

    rows: list[int] = field(default_factory=list)
    values: list[Floats] = field(default_factory=list)
    """By row: (X,) coefficients."""

    def terms(self, chosen: Ints) -> Terms:
        """Return the terms of the chosen choices."""
        there = [np.flatnonzero(value[chosen]) for value in self.values]
        return _joined(
            [np.full(len(place), row) for row, place in zip(self.rows, there, strict=True)],
            there,
            [value[chosen[place]] for value, place in zip(self.values, there, strict=True)],
        )

    def priced(self, duals: Floats) -> Floats:
        """Return (X,) Σ dual × coefficient."""
        total = np.zeros(1)
        for row, value in zip(self.rows, self.values, strict=True):
            if duals[row]:
                total = total + duals[row] * value
        return total


def _joined(rows: list[Ints], positions: list[Ints], values: list[Floats]) -> Terms:
    if not rows:
        none = np.zeros(0, dtype=np.int64)
        return none, none, np.zeros(0)
    return np.concatenate(rows), np.concatenate(positions), np.concatenate(values)


def terms_of(links: Sequence[Link], chosen: Ints) -> Terms:
    """Return (rows, position in `chosen`, values) of every term of the chosen choices."""
    rows, positions, values = zip(*(link.terms(chosen) for link in links), strict=True)
    return _joined(list(rows), list(positions), list(values))


def priced(links: Sequence[Link], duals: Floats) -> Floats:
    """Return (X,) Σ dual × coefficient of every choice.

    duals : (rows,) prices of the rows. The reduced cost of a choice is its own cost, which is
    nothing, less this.
    """
    padded = np.append(duals, 0.0)  # the last answers row −1
    total = links[0].priced(padded)
    for link in links[1:]:
        total += link.priced(padded)
    return total
