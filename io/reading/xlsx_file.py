"""A file as tables. Nothing in an .xlsx is trusted: it is looked at as a zip first."""

from __future__ import annotations

import io
import math
import re
import warnings
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.styles.numbers import is_date_format
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel

from ...models.fault import Fault, Severity
from ..figures.number_format import PLAIN, shown
from .cells import Cell
from .csv_folder import csv_readings, csv_tables
from .package import DAMAGED, RefusedPackageError, look_at, part_of
from .sheet_marks import Marks, marks_of, runs_of
from .table import InputTable, Row, Wanted, content_of, unusable

MOST_TAGS_READ = 2_500_000
"""XML tags that are gone through to read a workbook, some 3 µs each; a cell has four, which count
twice, and once more where its sheet does not say how large it is."""


MOST_ROWS = 1_048_576
"""Rows of a sheet, by the file format (ECMA-376)."""


MOST_SCANNED = 5_000_000
"""Cells of a sheet that are looked at, blank ones too."""


def open_tables(path: Path, wanted: Wanted = lambda title: True) -> tuple[InputTable, ...]:
    """Return every table of an .xlsx file or of a folder of CSV files; no rows of unwanted ones.

    A single CSV file holds readings of pull tests, with the mass of the anchor in every row.

    Raises FarmError with one line where it cannot be opened, or is not safe to.
    """
    if path.is_dir():
        return csv_tables(path, wanted)
    if not path.exists():
        raise unusable(path, "there is no such file or folder")
    if path.suffix.casefold() == ".csv":
        return csv_readings(path)
    return workbook_tables(path, wanted)


def workbook_tables(path: Path, wanted: Wanted) -> tuple[InputTable, ...]:
    """Return the tables of an .xlsx file; raises FarmError where it cannot be opened."""
    content = content_of(path)
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
                    tables.append(InputTable(sheet.title, ()))
                    continue
                # openpyxl does not promise this path: a test of its parts tells when it moves.
                marks = marks_of(part_of(content, sheet._worksheet_path))
                tags += 2 * marks.tags
                _not_too_many(tags)
                tables.append(_table(sheet, marks))
            book.close()
            return tuple(tables)
    except RefusedPackageError as refused:
        raise unusable(path, str(refused)) from refused
    except Exception as error:  # openpyxl lets through whatever a damaged part makes of itself
        raise unusable(path, DAMAGED) from error


def _not_too_many(tags: int) -> None:
    """Raise RefusedPackageError where so many tags would take too long to read."""
    if tags > MOST_TAGS_READ:
        raise RefusedPackageError(
            "the input sheets hold too many cells; leave out what is no input"
        )


def _table(sheet: Any, marks: Marks) -> InputTable:
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
    return InputTable(title, in_order, said, marks.merged)


def _cell(cell: Any, marks: Marks) -> Cell:
    value, code = cell.value, cell.number_format or ""
    if isinstance(value, datetime | date | time | timedelta) and not _is_date(code):
        value = to_excel(value)  # type: ignore[no-untyped-call]
    if isinstance(value, int) and abs(value) > 10**300:
        value = math.inf  # too large for any use, and for a float
    seen = PLAIN
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        seen = shown(value, code)
    return Cell(
        f"{get_column_letter(cell.column)}{cell.row}",
        value,
        seen.percent,
        error=cell.data_type == "e",
        formula=(cell.row, cell.column) in marks.formulas,
        shown=seen,
        struck=bool(cell.font and cell.font.strike),
    )


def _is_date(code: str) -> bool:
    """Tell whether a format shows a date: a letter behind a backslash is no part of one."""
    return is_date_format(re.sub(r"\\.", "", code))


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
    struck = [n for n, cells in sorted(rows.items()) if all(c.struck for c in cells.values())]
    if struck:
        many = f"row {struck[0]}" if len(struck) == 1 else f"rows {runs_of(struck)}"
        message = f"struck out: {many}; read like the others: delete what is not to count"
        yield warning(f"A{struck[0]}", message)
    for number, cells in sorted(rows.items()):
        for cell in cells.values() if number not in struck else ():
            if cell.struck:
                yield warning(cell.address, "struck out; read like the others: delete it, or mend")
    used = {column for cells in rows.values() for column in cells}
    for first, last in marks.hidden_columns:
        columns = [get_column_letter(n) for n in sorted(used) if first <= n <= last]
        if columns:
            many = ("column " if len(columns) == 1 else "columns ") + ", ".join(columns)
            message = f"hidden: {many}; read like the others: delete what is not to count"
            yield warning(f"{columns[0]}{min(rows)}", message)
