"""What a table is made of: values and live formulas, columns, and where it came to lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from ..words.kinds import NumberKind


@dataclass(frozen=True)
class Formula:
    """A live formula (without its "=") and its value now, stored for readers that do not sum."""

    text: str
    value: float | str


Value = str | int | float | date | Formula | None

HandWritten = Mapping[str, Mapping[tuple[int, int], Any]]
"""A sheet's title → row and column → what a hand wrote there; None: it was wiped."""


@dataclass(frozen=True)
class SheetColumn:
    """One column of a table; `widest` caps its width, `turned` writes the heading upwards."""

    heading: str
    kind: NumberKind = NumberKind.TEXT
    widest: float = 34.0
    turned: bool = False


@dataclass(frozen=True)
class PlacedTable:
    """Where a table came to lie: its rows of data (none: last < first) and its first column."""

    heading_row: int
    first: int
    last: int
    left: int

    @property
    def next_row(self) -> int:
        """The first row below it."""
        return max(self.last, self.heading_row) + 1


def written_over(hand: HandWritten, title: str, row: int, column: int, value: Value) -> Value:
    """Return what a hand wrote into a field of a sheet, else the value that it began with."""
    written: Value = hand.get(title, {}).get((row, column), value)
    return written
