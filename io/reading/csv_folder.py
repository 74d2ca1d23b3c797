"""A folder of CSV files as tables, one file a sheet."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterable, Iterator
from pathlib import Path

from openpyxl.utils import get_column_letter

from ...models.fault import Fault, Severity
from .cells import Cell
from .table import InputTable, Row, Wanted, content_of, unusable

MOST_TEXT_BYTES = 10_000_000
"""Of all CSV files of a folder."""


MOST_TEXT_CELLS = 500_000
"""Of one CSV file."""


_ERRORS = {"#N/A", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!", "#NUM!", "#NULL!"}


_QUOTED = re.compile(r'(?:^|(?<=[,;\t\r\n]))"(?:[^"]|"")*"')
"""A quoted cell of a CSV file."""


def csv_tables(folder: Path, wanted: Wanted) -> tuple[InputTable, ...]:
    """Return the tables of a folder; raises FarmError where it cannot be read."""
    try:
        paths = sorted(path for path in folder.iterdir() if path.suffix.casefold() == ".csv")
        sizes = [path.stat().st_size for path in paths if wanted(path.stem)]
    except OSError as error:
        raise unusable(folder, f"cannot be opened: {error.strerror or error}") from error
    if not paths:
        raise unusable(folder, "the folder holds no .csv files")
    if sum(sizes) > MOST_TEXT_BYTES:
        most = MOST_TEXT_BYTES // 1_000_000
        raise unusable(folder, f"holds more than {most} MB of input; leave out what is no input")
    return tuple(
        _csv_table(path) if wanted(path.stem) else InputTable(path.stem, ()) for path in paths
    )


def _csv_table(path: Path) -> InputTable:
    content = content_of(path)
    said: list[Fault] = []
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
        said.append(
            Fault(path.stem, 0, "", "", "not UTF-8; read as Windows-1252", Severity.WARNING)
        )
    if "\0" in text:
        raise unusable(path, "not a text file; save it as CSV, UTF-8")
    separator = max(",;\t", key=text.split("\n", 1)[0].count)
    lines = _lines(path, text, separator)
    # Where ; separates the cells, the comma is likely to be the decimal one.
    rows = _csv_rows(lines, point_is_decimal=separator != ";")
    return InputTable(path.stem, tuple(rows), tuple(said))


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
        raise unusable(path, "has too many cells; not read")
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
        raise unusable(path, f"not a CSV file: {error}") from error
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
