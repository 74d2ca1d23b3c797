"""A table: one sheet, or one CSV file, as rows of cells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from ...models.fault import FarmError, Fault
from .cells import Cell
from .sheet_marks import Merged

MOST_BYTES = 50_000_000
"""Largest file that is opened."""


@dataclass(frozen=True)
class Row:
    """The cells of one row that hold anything, by column number from 1."""

    number: int
    cells: dict[int, Cell]


@dataclass(frozen=True)
class InputTable:
    """One sheet, or one CSV file: its rows that hold anything, in order."""

    title: str
    rows: tuple[Row, ...]
    warnings: tuple[Fault, ...] = ()
    merged: tuple[Merged, ...] = ()
    is_text: bool = False
    """Whether all its numbers are text, as in a CSV file."""


Wanted = Callable[[str], bool]
"""Tells whether the table of a title is to be read."""


def unusable(path: Path, why: str) -> FarmError:
    """Return the error of a file that cannot be used at all."""
    return FarmError([Fault("", 0, "", path.name, why)])


def content_of(path: Path) -> bytes:
    """Return a file's bytes; raises FarmError where it is none, or larger than is opened."""
    try:
        if not path.is_file():  # a device or a pipe may never end
            raise unusable(path, "not a file; give an .xlsx workbook or a folder of CSV files")
        if path.stat().st_size > MOST_BYTES:
            raise unusable(path, f"larger than {MOST_BYTES // 1_000_000} MB; not opened")
        return path.read_bytes()
    except OSError as error:
        raise unusable(path, f"cannot be opened: {error.strerror or error}") from error
