"""Tables: the sheets of a workbook, or the CSV files of a folder, as grids of cells.

Nothing in a file is trusted: an .xlsx is looked at as a zip before anything opens it.
"""

from __future__ import annotations

import io
import math
import re
import warnings
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils import get_column_letter

from ..models.fault import FarmError, Fault, Severity
from .cells import Cell

MOST_BYTES = 50_000_000
"""Largest file that is opened."""
MOST_ENTRIES = 2_000
MOST_UNPACKED = 500_000_000
MOST_RATIO = 200
"""Unpacked ÷ packed of an entry over 1 MB; a repetitive sheet of 400,000 rows is about 21."""
MOST_ROWS = 1_048_576
"""Rows of a sheet, by the file format (ECMA-376)."""
MOST_CELLS = 1_000_000
"""Cells of a sheet that hold anything."""
MOST_SCANNED = 5_000_000
"""Cells of a sheet that are looked at, blank ones too."""

_OLE2 = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
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


def open_tables(path: Path) -> tuple[Table, ...]:
    """Return every table of an .xlsx file or of a folder of CSV files.

    Raises FarmError with one line where it cannot be opened, or is not safe to.
    """
    if path.is_dir():
        return _csv_tables(path)
    if not path.exists():
        raise _unusable(path, "there is no such file or folder")
    return _workbook_tables(path)


def _unusable(path: Path, why: str) -> FarmError:
    return FarmError([Fault("", 0, "", path.name, why)])


# --- workbooks


def _workbook_tables(path: Path) -> tuple[Table, ...]:
    content = _content(path)
    has_formulas = _looked_at(path, content)
    # Without defusedxml a few lines of XML can unpack to fill the memory.
    assert openpyxl.DEFUSEDXML, "defusedxml must be installed"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # parts that are of no concern to a reader of values
            values = _sheets(content, path, data_only=True)
            formulas = _sheets(content, path, data_only=False) if has_formulas else {}
    except FarmError:
        raise
    except Exception as error:  # openpyxl lets through whatever a damaged part makes of itself
        raise _unusable(path, "the workbook is damaged and cannot be read") from error
    return tuple(
        Table(title, tuple(_rows(grid, formulas.get(title, {})))) for title, grid in values.items()
    )


_Grid = dict[tuple[int, int], tuple[Any, str, bool]]
"""(row, column) → value, data type, whether formatted as a percentage."""


def _content(path: Path) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _unusable(path, f"larger than {MOST_BYTES // 1_000_000} MB; not opened")
        return path.read_bytes()
    except OSError as error:
        raise _unusable(path, f"cannot be opened: {error.strerror or error}") from error


def _looked_at(path: Path, content: bytes) -> bool:
    """Look at a workbook as a zip, and return whether any of its sheets holds a formula.

    Raises FarmError for anything that is not a plain, safe .xlsx.
    """
    if content.startswith(_OLE2):
        if "EncryptedPackage".encode("utf-16-le") in content:
            raise _unusable(path, "the workbook is encrypted; save it without a password")
        raise _unusable(path, "not an .xlsx workbook; save it as .xlsx")
    if not content:
        raise _unusable(path, "the file is empty")
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            why = _refused(package.infolist())
            if why:
                raise _unusable(path, why)
            kinds = package.read("[Content_Types].xml")
            if b"macroEnabled" in kinds:
                raise _unusable(path, "the workbook has macros; save it as .xlsx without them")
            sheets = [n for n in package.namelist() if n.startswith("xl/worksheets/")]
            return any(_has_formula(package, name) for name in sheets if name.endswith(".xml"))
    except zipfile.BadZipFile as error:
        why = "not an .xlsx workbook; give one, or the folder that holds the CSV files"
        if content.startswith(b"PK"):
            why = "the workbook is truncated or damaged"
        raise _unusable(path, why) from error
    except (OSError, EOFError, RuntimeError, ValueError, KeyError, zlib.error) as error:
        raise _unusable(path, "the workbook is truncated or damaged") from error


def _refused(entries: list[zipfile.ZipInfo]) -> str:
    """Return why a zip's contents make it no workbook to open, or ""."""
    names = {entry.filename for entry in entries}
    if len(entries) > MOST_ENTRIES:
        return f"holds more than {MOST_ENTRIES} parts, as no plain workbook does; not opened"
    if sum(entry.file_size for entry in entries) > MOST_UNPACKED:
        return f"unpacks to more than {MOST_UNPACKED // 1_000_000} MB; not opened"
    if any(
        entry.file_size > 1_000_000 and entry.file_size > MOST_RATIO * entry.compress_size
        for entry in entries
    ):
        return f"unpacks to more than {MOST_RATIO} times its size, like a zip bomb; not opened"
    if any(entry.flag_bits & 1 for entry in entries):
        return "the workbook is encrypted; save it without a password"
    if any(name.startswith(("/", "\\")) or ".." in name.split("/") for name in names):
        return "holds parts that point outside it; not opened"
    if any(name.rsplit("/", 1)[-1].casefold() == "vbaproject.bin" for name in names):
        return "the workbook has macros; save it as .xlsx without them"
    if any(name.startswith("xl/externalLinks/") for name in names):
        return "the workbook links to other files; break its links (paste values) and save it"
    if "[Content_Types].xml" not in names or not any(
        name.startswith("xl/workbook") and name.endswith(".xml") for name in names
    ):
        return "not an .xlsx workbook; save it as .xlsx"
    return ""


def _has_formula(package: zipfile.ZipFile, name: str) -> bool:
    formula = re.compile(rb"<(\w+:)?f[\s>/]")
    with package.open(name) as part:
        kept = b""
        while chunk := part.read(1 << 20):
            if formula.search(kept + chunk):
                return True
            kept = chunk[-64:]
    return False


def _sheets(content: bytes, path: Path, *, data_only: bool) -> dict[str, _Grid]:
    """Return what each sheet's cells hold: stored results, or the formulas themselves."""
    book = openpyxl.load_workbook(
        io.BytesIO(content), read_only=True, data_only=data_only, keep_links=False
    )
    try:
        return {sheet.title: _grid(sheet, path) for sheet in book.worksheets}
    finally:
        book.close()


def _grid(sheet: Any, path: Path) -> _Grid:
    sheet.reset_dimensions()  # a file may state fewer cells than it has
    grid: _Grid = {}
    scanned = 0
    for number, row in enumerate(sheet.iter_rows(), start=1):
        scanned += len(row)
        if number > MOST_ROWS or scanned > MOST_SCANNED or len(grid) > MOST_CELLS:
            raise _unusable(path, f"sheet '{sheet.title}' has too many cells; not read")
        for cell in row:
            if cell.value is None and cell.data_type != "str":
                continue
            percent = isinstance(cell.value, int | float) and "%" in _PERCENT.sub(
                "", cell.number_format or ""
            )
            grid[cell.row, cell.column] = _finite(cell.value), cell.data_type, percent
    return grid


def _finite(value: Any) -> Any:
    """Return a value as it is, but a whole number too large for any use as infinite."""
    return math.inf if isinstance(value, int) and abs(value) > 10**300 else value


def _rows(grid: _Grid, formulas: _Grid) -> Iterator[Row]:
    """Yield the rows of a sheet; a formula that left no value in `grid` has no result."""
    rows: dict[int, dict[int, Cell]] = {}
    for (row, column), (value, kind, percent) in grid.items():
        if value is not None:
            address = f"{get_column_letter(column)}{row}"
            cell = Cell(address, value, percent, error=kind == "e")
            rows.setdefault(row, {})[column] = cell
    for (row, column), (_, kind, _) in formulas.items():
        if kind == "f" and (row, column) not in grid:
            address = f"{get_column_letter(column)}{row}"
            rows.setdefault(row, {})[column] = Cell(address, no_result=True)
    return (Row(number, rows[number]) for number in sorted(rows))


# --- folders of CSV files


def _csv_tables(folder: Path) -> tuple[Table, ...]:
    paths = sorted(path for path in folder.iterdir() if path.suffix.casefold() == ".csv")
    if not paths:
        raise _unusable(folder, "the folder holds no .csv files")
    return tuple(_csv_table(path) for path in paths)


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
    if width * len(plain) > MOST_SCANNED:
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
