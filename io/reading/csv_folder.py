"""A folder of CSV files as tables, one file a sheet."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterable, Iterator
from dataclasses import replace
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


_QUOTED = re.compile(r'(?:^|(?<=[,;|\t\r\n]))"(?:[^"]|"")*"')
"""A quoted cell of a CSV file."""


_SEPARATOR_LINE = re.compile(r"\"?sep=(?P<separator>[,;\t|])\"?[ ,;\t|]*\r?\n?", re.IGNORECASE)
"""The first line by which some programs are told what separates the cells."""


def csv_tables(folder: Path, wanted: Wanted) -> tuple[InputTable, ...]:
    """Return the tables of a folder; raises FarmError where it cannot be read."""
    try:
        inside = sorted(folder.iterdir())
        paths = [path for path in inside if path.suffix.casefold() == ".csv"]
        titles = _titles(paths, wanted)
        sizes = [path.stat().st_size for path, title in titles.items() if wanted(title)]
        others = [path.name for path in inside if path not in paths and wanted(_stem(path))]
    except OSError as error:
        raise unusable(folder, f"cannot be opened: {error.strerror or error}") from error
    if not paths:
        raise unusable(folder, "the folder holds no .csv files")
    if sum(sizes) > MOST_TEXT_BYTES:
        most = MOST_TEXT_BYTES // 1_000_000
        raise unusable(folder, f"holds more than {most} MB of input; leave out what is no input")
    tables = [
        _csv_table(path, title) if wanted(title) else InputTable(title, ())
        for path, title in titles.items()
    ]
    if others:
        message = (
            f"not read: {', '.join(others[:6])}{' ...' if len(others) > 6 else ''}, named like "
            "input sheets but no .csv files; save as .csv what is to count"
        )
        doubt = Fault("", 0, "", folder.name, message, Severity.WARNING)
        tables[0] = replace(tables[0], warnings=(doubt, *tables[0].warnings))
    return tuple(tables)


def _titles(paths: list[Path], wanted: Wanted) -> dict[Path, str]:
    """Return the sheet's title of each file: its name, without what all names begin with where
    none is a sheet's as it stands: programs that export every sheet put the workbook's name first.
    """
    stems = {path: path.stem for path in paths}
    if not stems or any(map(wanted, stems.values())):
        return stems
    one = min(stems.values())
    starts = [one[: mark.end()] for mark in re.finditer("[-_ ]", one)]
    shared = [start for start in starts if all(s.startswith(start) for s in stems.values())]
    return {path: stem.removeprefix(max(shared, default="")) for path, stem in stems.items()}


def _stem(path: Path) -> str:
    """Return a file's name without any of its suffixes: "Legs" for "Legs.csv.bak"."""
    return path.name.split(".", 1)[0]


def _csv_table(path: Path, title: str) -> InputTable:
    content = content_of(path)
    said: list[Fault] = []
    try:
        utf_16 = content.startswith((b"\xff\xfe", b"\xfe\xff"))
        text = content.decode("utf-16" if utf_16 else "utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
        said.append(Fault(title, 0, "", "", "not UTF-8; read as Windows-1252", Severity.WARNING))
    if "\0" in text:
        raise unusable(path, "not a text file; save it as CSV, UTF-8")
    stated = _SEPARATOR_LINE.match(text)
    first = 1
    if stated is not None:
        text, first = text[stated.end() :], 2
    separator = stated["separator"] if stated is not None else separator_of(text)
    rows = _csv_rows(_lines(path, text, separator), first)
    return InputTable(title, tuple(rows), tuple(said), is_text=True)


def separator_of(text: str) -> str:
    """Return what separates the cells of a text: what most lines hold equally many of."""
    lines = [line for line in re.split(r"[\r\n]+", _QUOTED.sub("", text)) if line.strip()][:200]

    def likely(separator: str) -> tuple[float, int]:
        counts = [line.count(separator) for line in lines]
        usual = max(counts, key=lambda count: (count > 0, counts.count(count), count), default=0)
        return (counts.count(usual) / max(len(lines), 1) if usual else 0.0), usual

    # A comma between decimals is never in every line as often, headings included.
    return max(",;\t|", key=likely)


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


def _csv_rows(lines: Iterable[tuple[str, ...]], first: int) -> Iterator[Row]:
    for number, line in enumerate(lines, start=first):
        cells = {
            column: Cell(
                f"{get_column_letter(column)}{number}", text, error=text.strip() in _ERRORS
            )
            for column, text in enumerate(line, start=1)
            if text.strip()
        }
        if cells:
            yield Row(number, cells)
