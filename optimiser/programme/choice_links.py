"""How the choices enter the rows of the programme.

A link is one family of rows that choices have terms in. It holds for all the choices of the farm,
so that columns can be made for any of them, or all of them priced. It is kept as small tables by
what a choice is (its item, its vessel, its block of leg groups): there may be millions of choices.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ...models.arrays import Bools, Floats, Ints

SmallInts = NDArray[np.int32]

AT_ONCE = 1 << 17
"""Choices priced at a time: arrays that a processor keeps at hand."""

Terms = tuple[Ints, Ints, Floats]
"""Rows, positions among the chosen choices, coefficients."""


class Link(Protocol):
    """What links choices to rows."""

    def terms(self, chosen: Ints) -> Terms:
        """Return the terms of the chosen choices."""
        ...

    def priced(self, duals: Floats, part: slice) -> Floats:
        """Return Σ dual × coefficient of some of the choices; duals : (rows + 1,), the last 0."""
        ...


@dataclass(frozen=True)
class RowLink:
    """One row of each choice, by one or two keys of it, and its coefficient there: the product of
    the factors that there are (none: 1)."""

    rows: SmallInts
    """By key: the row; −1: none."""
    keys: tuple[Ints, ...]
    """(X,) each, as many as `rows` has axes."""
    worth: Floats | None = None
    """By key, like `rows`."""
    amount: Floats | None = None
    """(X,)."""
    lines: Floats | None = None
    """(X,)."""

    def terms(self, chosen: Ints) -> Terms:
        """Return the terms of the chosen choices."""
        row = self.rows[tuple(key[chosen] for key in self.keys)]
        there = np.flatnonzero(row >= 0)
        value, at = np.ones(len(there)), chosen[there]
        if self.worth is not None:
            value *= self.worth[tuple(key[at] for key in self.keys)]
        for factor in (self.amount, self.lines):
            if factor is not None:
                value *= factor[at]
        return row[there].astype(np.int64), there, value

    def priced(self, duals: Floats, part: slice) -> Floats:
        """Return Σ dual × coefficient of some of the choices."""
        of_key = duals[self.rows]
        if self.worth is not None:
            of_key *= self.worth
        price: Floats = of_key[tuple(key[part] for key in self.keys)]
        for factor in (self.amount, self.lines):
            if factor is not None:
                price *= factor[part]
        return price

    def any_of(self, rows: Bools, part: slice) -> Bools:
        """Return which of some choices have a term in these rows; rows : (rows + 1,)."""
        return np.asarray(rows[self.rows][tuple(key[part] for key in self.keys)])


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

    def priced(self, duals: Floats, part: slice) -> Floats:
        """Return Σ dual × coefficient of some of the choices."""
        by_size = np.zeros(len(self.sizes) + 1)
        for row, worth in zip(self.rows, self.worth, strict=True):
            by_size += duals[row] * worth
        return np.asarray(by_size[self.place[part]] * self.lines[part])


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

    def priced(self, duals: Floats, part: slice) -> Floats:
        """Return Σ dual × coefficient of some of the choices."""
        total = np.zeros(1)
        for row, value in zip(self.rows, self.values, strict=True):
            if duals[row]:
                total = total + duals[row] * value[part]
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


def parts_of(count: int) -> Iterator[slice]:
    """Yield so many choices in parts that are looked at one after the other."""
    for first in range(0, count, AT_ONCE):
        yield slice(first, min(first + AT_ONCE, count))


def priced(links: Sequence[Link], duals: Floats, count: int) -> Floats:
    """Return (X,) Σ dual × coefficient of every choice.

    duals : (rows,) prices of the rows. count : X. The reduced cost of a choice is its own cost,
    which is nothing, less this.
    """
    padded = np.append(duals, 0.0)  # the last answers row −1
    total = np.zeros(count)
    for part in parts_of(count):
        for link in links:
            total[part] += link.priced(padded, part)
    return total
