"""Tables: the sheets of a workbook, or the CSV files of a folder, as grids of cells.

Nothing in a file is trusted: an .xlsx is looked at as a zip before anything opens it.
"""

from __future__ import annotations

from pathlib import Path

from .csv_folder import csv_readings, csv_tables
from .table import InputTable, Wanted, unusable
from .xlsx_file import workbook_tables


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


# --- workbooks


# --- folders of CSV files
