"""Marks of a sheet: what its XML says beyond the values of its cells.

Merged, hidden and filtered cells, and which cells hold formulas. Elements and attributes are those
of ECMA-376 Part 1, 18.3.1 (from memory); searched as bytes, which costs a tenth of parsing them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from openpyxl.utils import get_column_letter
from openpyxl.utils.cell import column_index_from_string

_ROW = re.compile(rb"<(?:\w+:)?row\b([^>]*)>")
_COLUMN = re.compile(rb"<(?:\w+:)?col\b([^>]*)>")
_MERGED = re.compile(rb"<(?:\w+:)?mergeCell\b([^>]*)>")
_FILTER = re.compile(rb"<(?:\w+:)?filterColumn\b")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s>/]")
_FORMULA_CELL = re.compile(rb"<(?:\w+:)?c\b([^>]*)>\s*<(?:\w+:)?f[\s>/]")
_HIDDEN = re.compile(rb"""\bhidden\s*=\s*["'](?:1|true)["']""")
_RANGE = re.compile("([A-Z]{1,3})([0-9]{1,7}):([A-Z]{1,3})([0-9]{1,7})")
_CELL = re.compile("([A-Z]{1,3})([0-9]{1,7})")
MOST_COLUMNS = 16_384


@dataclass(frozen=True)
class Merged:
    """A block of merged cells: only the first, top left, holds a value."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int

    @property
    def first(self) -> str:
        """The address of its first cell."""
        return f"{get_column_letter(self.first_column)}{self.first_row}"

    def __str__(self) -> str:
        return f"{self.first}:{get_column_letter(self.last_column)}{self.last_row}"

    def covers(self, row: int, column: int) -> bool:
        """Tell whether a cell lies in it and is not its first."""
        return (
            self.first_row <= row <= self.last_row
            and self.first_column <= column <= self.last_column
            and (row, column) != (self.first_row, self.first_column)
        )


@dataclass(frozen=True)
class Marks:
    """What a sheet's XML says beyond its values."""

    tags: int
    """XML tags, each of which costs time to read."""
    formulas: frozenset[tuple[int, int]]
    """(row, column) of the cells that hold formulas."""
    stray_formulas: int
    """Formulas in cells that do not say where they are."""
    merged: tuple[Merged, ...]
    hidden_rows: frozenset[int]
    hidden_columns: tuple[tuple[int, int], ...]
    """Runs of columns, first and last."""
    filtered: bool


def marks_of(part: bytes) -> Marks:
    """Return the marks of a sheet's XML."""
    formulas = set()
    for cell in _FORMULA_CELL.finditer(part):
        address = _CELL.fullmatch(_attribute(cell[1], "r"))
        if address is not None:
            formulas.add((int(address[2]), column_index_from_string(address[1])))
    merged = (_RANGE.fullmatch(_attribute(found[1], "ref")) for found in _MERGED.finditer(part))
    return Marks(
        part.count(b"<"),
        frozenset(formulas),
        len(_FORMULA.findall(part)) - len(formulas),
        tuple(_merged(found) for found in merged if found is not None),
        frozenset(_hidden_rows(part)),
        tuple(_hidden_columns(part)),
        _FILTER.search(part) is not None,
    )


def _attribute(attributes: bytes, name: str) -> str:
    found = re.search(rf"""(?:^|\s){name}\s*=\s*["']([^"']*)["']""".encode(), attributes)
    return found[1].decode(errors="replace") if found else ""


def _merged(found: re.Match[str]) -> Merged:
    columns = sorted(column_index_from_string(found[n]) for n in (1, 3))
    rows = sorted(int(found[n]) for n in (2, 4))
    return Merged(rows[0], columns[0], rows[1], columns[1])


def _hidden_rows(part: bytes) -> set[int]:
    """Return the numbers of the hidden rows; a row without a number follows the one before."""
    hidden, number = set(), 0
    for row in _ROW.finditer(part):
        stated = _attribute(row[1], "r")
        number = int(stated) if stated.isascii() and stated.isdigit() else number + 1
        if _HIDDEN.search(row[1]):
            hidden.add(number)
    return hidden


def _hidden_columns(part: bytes) -> list[tuple[int, int]]:
    runs = []
    for column in _COLUMN.finditer(part):
        ends = [_attribute(column[1], name) for name in ("min", "max")]
        if _HIDDEN.search(column[1]) and all(end.isascii() and end.isdigit() for end in ends):
            runs.append((int(ends[0]), min(int(ends[1]), MOST_COLUMNS)))
    return runs


def runs_of(numbers: list[int], prefix: str = "") -> str:
    """Return "3, 5 to 7" for 3, 5, 6, 7, in order; at most six runs, then how many more."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    said = [f"{prefix}{a}" if a == b else f"{prefix}{a} to {prefix}{b}" for a, b in runs[:6]]
    more = f" and {len(runs) - 6} more places" if len(runs) > 6 else ""
    return ", ".join(said) + more
