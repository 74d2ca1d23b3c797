"""The files of a folder of answers: those read as quotations, and what is said of the others."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from ...models.fault import FarmError, Fault, Severity
from ..reading.csv_folder import text_table
from ..reading.table import InputTable
from ..reading.xlsx_file import workbook_tables

BOOKS = frozenset((".xlsx",))
TEXTS = frozenset((".csv", ".tsv", ".txt"))
"""Endings of separated text: by comma, semicolon, tab or bar, with decimal points or commas."""

SHEETS = frozenset((".xls", ".xlsm", ".xlsb", ".ods", ".numbers"))
"""Endings of other spreadsheets, which can be saved as one that is read."""

READ = "quotations are read from .xlsx, .csv, .tsv and .txt files"
MOST_NAMED = 12
LOCKS = ("~$", ".~lock.")
"""What the names of files begin with by which spreadsheet programs mark an open workbook."""


def quotation_files(
    folder: Path, besides: Collection[Path] = ()
) -> tuple[list[Path], tuple[Fault, ...]]:
    """Return the files of a folder (or the one file) that are read as quotations, in order, and
    what is said of the others: nothing in the folder is passed over in silence.

    besides : the farm's own workbook and the one to be written, which are no quotations.
    Raises FarmError where there is nothing to read.
    """
    if folder.is_file():
        if folder.suffix.casefold() not in BOOKS | TEXTS:
            raise FarmError([Fault("", 0, "", folder.name, f"not read: {READ}{_saved([folder])}")])
        return [folder], ()
    own = {path.resolve() for path in besides}
    files: list[Path] = []
    others: list[Path] = []
    said: list[str] = []
    for path in sorted(folder.iterdir()):
        if path.name.startswith(LOCKS):
            named = path.name.removeprefix(".~lock.").removeprefix("~$").rstrip("#")
            said.append(
                f"'{path.name}' says that '{named}' is open in a spreadsheet program: what is not "
                "saved there is not read"
            )
        elif path.is_file() and path.resolve() in own:
            said.append(f"'{path.name}' is not read as a quotation: it is the farm's workbook")
        elif (
            path.is_file()
            and path.suffix.casefold() in BOOKS | TEXTS
            and not path.name.startswith(".")
        ):
            files.append(path)
        else:
            others.append(path)
    if others:
        names = ", ".join(f"{p.name}{'/' if p.is_dir() else ''}" for p in others[:MOST_NAMED])
        more = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
        said.append(f"not read: {names}{more}; {READ}{_saved(others)}")
    faults = [Fault("", 0, "", folder.name, message, Severity.WARNING) for message in said]
    if not files:
        message = f"holds nothing to take: {READ}"
        raise FarmError([*faults, Fault("", 0, "", folder.name, message)])
    return files, tuple(faults)


def _saved(paths: Collection[Path]) -> str:
    """Return what to do with spreadsheets of another kind."""
    other = any(path.suffix.casefold() in SHEETS for path in paths)
    return "; save other spreadsheets as .xlsx or .csv" if other else ""


def tables_of(path: Path) -> tuple[InputTable, ...]:
    """Return a file's tables: its sheets, or one without a name. Raises FarmError."""
    if path.suffix.casefold() in TEXTS:
        return (text_table(path, ""),)
    return workbook_tables(path, lambda title: True)
