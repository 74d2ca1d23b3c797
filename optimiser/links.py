"""How the choices enter the rows of the programme.

A link is one family of rows that choices have terms in. It is kept as arrays over all the
choices of the farm, so that columns can be made for any of them, or all of them priced, at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .make_ups import Bools, Floats, Ints


@dataclass(frozen=True)
class Link:
    """(X,) arrays: the row in which each choice has a term (−1: none), and its coefficient."""

    row: Ints
    value: Floats


def terms_of(links: Sequence[Link], chosen: Ints) -> tuple[Ints, Ints, Floats]:
    """Return (rows, position in `chosen`, values) of every term of the chosen choices."""
    rows, positions, values = [], [], []
    for link in links:
        row = link.row[chosen]
        there = np.flatnonzero(row >= 0)
        rows.append(row[there])
        positions.append(there)
        values.append(link.value[chosen][there])
    return np.concatenate(rows), np.concatenate(positions), np.concatenate(values)


def priced(links: Sequence[Link], duals: Floats, among: Ints | Bools | None = None) -> Floats:
    """Return Σ dual × coefficient for every choice (or those `among` them).

    duals : (rows,) prices of the rows. The reduced cost of a choice is its own cost, which is
    nothing, less this.
    """
    padded = np.append(duals, 0.0)  # the last answers row −1
    total: Floats | None = None
    for link in links:
        row = link.row if among is None else link.row[among]
        value = link.value if among is None else link.value[among]
        part = padded[row] * value
        total = part if total is None else total + part
    assert total is not None
    return total
