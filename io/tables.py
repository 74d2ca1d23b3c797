"""Tables: the sheets of a workbook, or the CSV files of a folder, as grids of cells.

Nothing in a file is trusted: an .xlsx is looked at as a zip before anything opens it.
"""

from __future__ import annotations

import io
import math
import re
import warnings
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils import get_column_letter

from ..models.fault import FarmError, Fault, Severity
from .cells import Cell
from .package import DAMAGED, RefusedPackageError, look_at, part_of
from .sheet_marks import Marks, Merged, marks_of, runs_of

MOST_BYTES = 50_000_000
"""Largest file that is opened."""
MOST_TAGS_READ = 2_500_000
"""XML tags that are gone through to read a workbook, some 3 µs each; a cell has four, which count
twice, and once more where its sheet does not say how large it is."""
MOST_ROWS = 1_048_576
"""Rows of a sheet, by the file format (ECMA-376)."""
MOST_SCANNED = 5_000_000
"""Cells of a sheet that are looked at, blank ones too."""
MOST_TEXT_BYTES = 10_000_000
"""Of all CSV files of a folder."""
MOST_TEXT_CELLS = 500_000
"""Of one CSV file."""

_ERRORS = {"#N/A", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!", "#NUM!", "#NULL!"}
_QUOTED = re.compile(r'(?:^|(?<=[,;\t\r\n]))"(?:[^"]|"")*"')
"""A quoted cell of a CSV file."""
_PERCENT = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]')


@dataclass(frozen=True)
class Row:
    """The cells of one row that hold anything, by column number from 1."""

    number: int
    cells: dict[int, Cell]


@dataclass(frozen=True)
class Table:
    """One sheet, or one CSV file: its rows that hold anything, in order."""

    title: str
    rows: tuple[Row, ...]
    warnings: tuple[Fault, ...] = ()
    merged: tuple[Merged, ...] = ()


Wanted = Callable[[str], bool]
"""Tells whether the table of a title is to be read."""


def open_tables(path: Path, wanted: Wanted = lambda title: True) -> tuple[Table, ...]:
    """Return every table of an .xlsx file or of a folder of CSV files; no rows of unwanted ones.

    Raises FarmError with one line where it cannot be opened, or is not safe to.
    """
    if path.is_dir():
        return _csv_tables(path, wanted)
    if not path.exists():
        raise _unusable(path, "there is no such file or folder")
    return _workbook_tables(path, wanted)


def _unusable(path: Path, why: str) -> FarmError:
    return FarmError([Fault("", 0, "", path.name, why)])


# --- workbooks


def _workbook_tables(path: Path, wanted: Wanted) -> tuple[Table, ...]:
    content = _content(path)
    # Without defusedxml a few lines of XML can unpack to fill the memory.
    assert openpyxl.DEFUSEDXML, "defusedxml must be installed"
    try:
        tags = look_at(content)
        _not_too_many(tags)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # parts that are of no concern to a reader of values
            book = openpyxl.load_workbook(
                io.BytesIO(content), read_only=True, data_only=True, keep_links=False
            )
            tables = []
            sheets: list[Any] = list(book.worksheets)
            for sheet in sheets:
                if not wanted(sheet.title):
                    tables.append(Table(sheet.title, ()))
                    continue
                marks = marks_of(part_of(content, sheet._worksheet_path))
                tags += 2 * marks.tags
                _not_too_many(tags)
                tables.append(_table(sheet, marks))
            book.close()
            return tuple(tables)
    except RefusedPackageError as refused:
        raise _unusable(path, str(refused)) from refused
    except Exception as error:  # openpyxl lets through whatever a damaged part makes of itself
        raise _unusable(path, DAMAGED) from error


def _not_too_many(tags: int) -> None:
    """Raise RefusedPackageError where so many tags would take too long to read."""
    if tags > MOST_TAGS_READ:
        raise RefusedPackageError(
            "the input sheets hold too many cells; leave out what is no input"
        )


def _content(path: Path) -> bytes:
    try:
        if not path.is_file():  # a device or a pipe may never end
            raise _unusable(path, "not a file; give an .xlsx workbook or a folder of CSV files")
        if path.stat().st_size > MOST_BYTES:
            raise _unusable(path, f"larger than {MOST_BYTES // 1_000_000} MB; not opened")
        return path.read_bytes()
    except OSError as error:
        raise _unusable(path, f"cannot be opened: {error.strerror or error}") from error


def _table(sheet: Any, marks: Marks) -> Table:
    """Return a sheet's cells that hold anything; a formula that left no value has no result."""
    title = sheet.title
    if marks.stray_formulas:
        message = "formulas in cells without an address: open the workbook in a spreadsheet program"
        raise RefusedPackageError(f"sheet '{title}' has {message} and save it")
    sheet.reset_dimensions()  # a file may state fewer cells than it has
    rows: dict[int, dict[int, Cell]] = {}
    blank: set[tuple[int, int]] = set()
    scanned = 0
    for number, row in enumerate(sheet.iter_rows(), start=1):
        scanned += len(row)
        if number > MOST_ROWS or scanned > MOST_SCANNED:
            raise RefusedPackageError(f"sheet '{title}' has too many cells; not read")
        for cell in row:
            if cell.value is not None:
                rows.setdefault(cell.row, {})[cell.column] = _cell(cell, marks)
            elif cell.data_type == "str":
                blank.add((cell.row, cell.column))  # a formula's result, of no letters
    for at in marks.formulas - blank:
        if at[1] not in rows.get(at[0], {}):
            address = f"{get_column_letter(at[1])}{at[0]}"
            rows.setdefault(at[0], {})[at[1]] = Cell(address, no_result=True)
    said = tuple(_hidden(sheet, marks, rows))
    in_order = tuple(Row(number, rows[number]) for number in sorted(rows))
    return Table(title, in_order, said, marks.merged)


def _cell(cell: Any, marks: Marks) -> Cell:
    value = cell.value
    percent = isinstance(value, int | float) and "%" in _PERCENT.sub("", cell.number_format or "")
    if isinstance(value, int) and abs(value) > 10**300:
        value = math.inf  # too large for any use, and for a float
    return Cell(
        f"{get_column_letter(cell.column)}{cell.row}",
        value,
        percent,
        error=cell.data_type == "e",
        formula=(cell.row, cell.column) in marks.formulas,
    )


def _hidden(sheet: Any, marks: Marks, rows: dict[int, dict[int, Cell]]) -> Iterator[Fault]:
    """Yield a warning for what is read although its spreadsheet does not show it."""

    def warning(cell: str, message: str) -> Fault:
        return Fault(sheet.title, 0, cell, "", message, Severity.WARNING)

    if not rows:
        return
    if sheet.sheet_state != "visible":
        yield warning("", "the sheet is hidden; it is read like any other")
    hidden = sorted(set(rows) & marks.hidden_rows)
    if hidden:
        how = "a filter hides" if marks.filtered else "hidden:"
        many = f"row {hidden[0]}" if len(hidden) == 1 else f"rows {runs_of(hidden)}"
        message = f"{how} {many}; read like the others: delete what is not to count"
        yield warning(f"A{hidden[0]}", message)
    used = {column for cells in rows.values() for column in cells}
    for first, last in marks.hidden_columns:
        columns = [get_column_letter(n) for n in sorted(used) if first <= n <= last]
        if columns:
            many = ("column " if len(columns) == 1 else "columns ") + ", ".join(columns)
            message = f"hidden: {many}; read like the others: delete what is not to count"
            yield warning(f"{columns[0]}{min(rows)}", message)


# --- folders of CSV files


def _csv_tables(folder: Path, wanted: Wanted) -> tuple[Table, ...]:
    try:
        paths = sorted(path for path in folder.iterdir() if path.suffix.casefold() == ".csv")
        sizes = [path.stat().st_size for path in paths if wanted(path.stem)]
    except OSError as error:
        raise _unusable(folder, f"cannot be opened: {error.strerror or error}") from error
    if not paths:
        raise _unusable(folder, "the folder holds no .csv files")
    if sum(sizes) > MOST_TEXT_BYTES:
        most = MOST_TEXT_BYTES // 1_000_000
        raise _unusable(folder, f"holds more than {most} MB of input; leave out what is no input")
    return tuple(_csv_table(path) if wanted(path.stem) else Table(path.stem, ()) for path in paths)


def _csv_table(path: Path) -> Table:
    content = _content(path)
    said: list[Fault] = []
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
        said.append(
            Fault(path.stem, 0, "", "", "not UTF-8; read as Windows-1252", Severity.WARNING)
        )
    if "\0" in text:
        raise _unusable(path, "not a text file; save it as CSV, UTF-8")
    separator = max(",;\t", key=text.split("\n", 1)[0].count)
    lines = _lines(path, text, separator)
    # Where ; separates the cells, the comma is likely to be the decimal one.
    rows = _csv_rows(lines, point_is_decimal=separator != ";")
    return Table(path.stem, tuple(rows), tuple(said))


def _lines(path: Path, text: str, separator: str) -> Iterable[tuple[str, ...]]:
    """Return the cells of each line as text, short lines filled up with empty cells."""
    # Slow to import, and a workbook is read without it.
    import pandas as pd

    if not text.strip():
        return []
    # pandas drops what goes beyond the first line, unless it is told the widest.
    plain = re.split(r"[\r\n]", _QUOTED.sub("", text))
    width = 1 + max(line.count(separator) for line in plain)
    if width * len(plain) > MOST_TEXT_CELLS:
        raise _unusable(path, "has too many cells; not read")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", pd.errors.ParserWarning)  # of cells dropped
            frame = pd.read_csv(
                io.StringIO(text, newline=""),
                sep=separator,
                header=None,
                names=range(width),
                index_col=False,
                dtype=str,
                keep_default_na=False,
                na_filter=False,
                skip_blank_lines=False,
                engine="python",  # strict about quotes
            )
    except (pd.errors.ParserError, pd.errors.ParserWarning) as error:
        raise _unusable(path, f"not a CSV file: {error}") from error
    return frame.fillna("").itertuples(index=False, name=None)


def _csv_rows(lines: Iterable[tuple[str, ...]], *, point_is_decimal: bool) -> Iterator[Row]:
    for number, line in enumerate(lines, start=1):
        cells = {
            column: Cell(
                f"{get_column_letter(column)}{number}",
                text,
                error=text.strip() in _ERRORS,
                point_is_decimal=point_is_decimal,
            )
            for column, text in enumerate(line, start=1)
            if text.strip()
        }
        if cells:
            yield Row(number, cells)
