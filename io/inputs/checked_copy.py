"""A checked copy: the buyer's workbook again, with what is wrong written beside each cell."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.cell.cell import MergedCell
from openpyxl.comments import Comment
from openpyxl.styles import Font

from ...models.fault import Fault
from ..figures.decimals import EitherError, number_of
from ..layout.sheets import FAULTS
from ..reading.xlsx_file import open_tables
from ..words.fault_table import HEADINGS
from ..words.grammar import clean
from .buyers_workbook import opened, results_of, saved

AUTHOR = "moorledger"
LONGEST_COMMENT = 2000
_SIZES = {"A": 10, "B": 16, "C": 8, "D": 26, "E": 100}


def checked_copy(path: Path, faults: Sequence[Fault]) -> bytes:
    """Return a copy of a workbook, or of a folder of CSV files as one, with its faults.

    Each faulty cell carries a comment; a sheet in front lists every fault, those of missing sheets
    and columns too. Formulas keep their stored results. Raises FarmError where it cannot be read.
    """
    tables = open_tables(path)  # looked at before anything opens it
    if path.is_dir():
        book = _from_text(tables)
        results: Mapping[str, Mapping[str, float | str]] = {}
    else:
        book = opened(path)
        results = results_of(book, tables)
    if FAULTS in book.sheetnames:
        del book[FAULTS]  # a checked copy that is checked again
    _comment(book, faults)
    _list(book.create_sheet(FAULTS, 0), faults)
    book.active = 0
    return saved(book, results)


def _from_text(tables: Iterable[Any]) -> Workbook:
    """Return CSV tables as a workbook; what can only be a number becomes one."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for table in tables:
        sheet = book.create_sheet(clean(table.title)[:31])
        for row in table.rows:
            for number, cell in row.cells.items():
                target = sheet.cell(row.number, number)
                try:
                    value = number_of(cell.value)
                except EitherError:
                    value = None
                if value is None:
                    _put(target, cell.value)
                else:
                    target.value = value
    return book


def _comment(book: Workbook, faults: Iterable[Fault]) -> None:
    """Write each fault beside its cell, and those of a whole sheet beside its first."""
    said: dict[tuple[str, str], list[str]] = {}
    for fault in faults:
        if fault.sheet in book.sheetnames:
            heading = f"{fault.heading}: " if fault.heading else ""
            at = fault.cell or f"A{max(fault.row, 1)}"
            said.setdefault((fault.sheet, at), []).append(
                f"{fault.severity}: {heading}{fault.message}"
            )
    for (title, address), lines in said.items():
        cell = book[title][address]
        if isinstance(cell, MergedCell):
            continue  # its block has a fault of its own, at the first cell
        before = [cell.comment.text] if cell.comment is not None else []
        text = clean("\n".join([*lines, *before]))[:LONGEST_COMMENT]
        cell.comment = Comment(text, AUTHOR, width=360, height=120)


def _list(page: Any, faults: Sequence[Fault]) -> None:
    """Write the sheet that lists every fault."""
    for letter, width in _SIZES.items():
        page.column_dimensions[letter].width = width
    page.freeze_panes = "A2"
    for number, heading in enumerate(HEADINGS, start=1):
        page.cell(1, number, heading).font = Font(bold=True)
    for row, fault in enumerate(faults, start=2):
        words = (str(fault.severity), fault.sheet, fault.cell, fault.heading, fault.message)
        for number, word in enumerate(words, start=1):
            _put(page.cell(row, number), word)


def _put(cell: Any, text: str) -> None:
    """Write text that can never become a formula."""
    cell.value = clean(text)
    cell.data_type = "s"
