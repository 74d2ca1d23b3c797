"""An order read back: its plan as it was priced, and what a hand has written on its sheets.

What is written in fields (an order's number, a quotation, a date) is taken up. Every other cell
that no longer says what the plan says is refused by cell: a changed price or quantity would be a
new plan, which is for pricing to find.
"""

from __future__ import annotations

import io
import math
import re
import warnings
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils import get_column_letter

from ...models.answer.plan import Plan
from ...models.farm import Farm
from ...models.fault import FarmError, Fault
from ..inputs.plan_record import HEADING_ROW, TITLE, plan_of_record
from ..inputs.records import RecordError
from ..order.order_workbook import order_book
from ..paper.page import HandWritten
from ..reading.package import RefusedPackageError, look_at
from ..reading.table import content_of, unusable
from ..words.case import Case

NO_RECORD = (
    f"no sheet '{TITLE}' that can be read: give an order as moorledger price wrote it, or price "
    "the farm again"
)
MOST_TOLD = 30
"""Cells that are told one by one."""

_NUMBER = re.compile(r"(?<![A-Z0-9$.])\d+(?:\.\d+)?(?:E[+-]?\d+)?")
"""A number in a formula, in capitals; not the row of a cell."""

Cells = dict[tuple[int, int], Any]


def plan_of_order(path: Path, farm: Farm) -> tuple[Plan, Case]:
    """Return the plan that an order holds, without checks, and its case; farm : of its inputs.

    Raises FarmError where the file holds none.
    """
    cells = _sheets(path, only=TITLE).get(TITLE, {})
    last: dict[int, int] = {}
    for row, column in cells:
        last[row] = max(last.get(row, 0), column)
    rows = [
        tuple(cells.get((row, column)) for column in range(1, last.get(row, 0) + 1))
        for row in range(HEADING_ROW + 1, max(last, default=0) + 1)
    ]
    try:
        return plan_of_record(rows, farm)
    except RecordError as error:
        raise unusable(path, f"{NO_RECORD} ({error})") from error


LISTS_SHEETS = "Contents"
"""No paper is made of it, and it names every sheet: an order may have been written with more."""


def hand_written(path: Path, plan: Plan, case: Case) -> HandWritten:
    """Return what was written into the fields of an order's sheets, by the sheets' titles.

    plan : its plan, checked. Raises FarmError with every other cell that says something else than
    the plan does.
    """
    given = _sheets(path)
    book = order_book(plan, case=case)
    due = _cells_of(book.content())
    fields = {page.name: page.fields for page in book.pages}
    titles = {page.name: page.title for page in book.pages}
    hand: dict[str, dict[tuple[int, int], Any]] = {}
    faults: list[Fault] = []
    for name, cells in due.items():
        if name == LISTS_SHEETS:
            continue
        if name not in given:
            faults.append(Fault(name, 0, "", "", "the sheet is gone; price the farm again"))
            continue
        for at, was, now in _differences(cells, given[name]):
            if at in fields.get(name, ()):
                hand.setdefault(titles[name], {})[at] = now
            else:
                faults.append(_fault(name, at, was, now))
    if faults:
        more = len(faults) - MOST_TOLD
        told = faults[:MOST_TOLD]
        if more > 0:
            told.append(Fault("", 0, "", "", f"{more} more cells say something else"))
        raise FarmError(told)
    return hand


def _fault(sheet: str, at: tuple[int, int], was: Any, now: Any) -> Fault:
    """Return the refusal of one cell."""
    cell = f"{get_column_letter(at[1])}{at[0]}"
    message = (
        f"is {_shown(now)}, the plan says {_shown(was)}: papers are written of the plan as priced. "
        "Put it back, or change it on the Input sheets and price this workbook again"
    )
    return Fault(sheet, at[0], cell, "", message)


def _shown(value: Any) -> str:
    if value is None:
        return "blank"
    if isinstance(value, datetime):
        return value.date().isoformat()
    text = f"{value:.15g}" if isinstance(value, float) else str(value)
    return f"'{text[:60]}'"


def _sheets(path: Path, only: str = "") -> dict[str, Cells]:
    """Return the cells of every sheet of a file, or of one; raises FarmError where it cannot be
    opened."""
    content = content_of(path)
    try:
        look_at(content)
        return _cells_of(content, only)
    except RefusedPackageError as refused:
        raise unusable(path, str(refused)) from refused
    except Exception as error:  # openpyxl lets through whatever a damaged part makes of itself
        raise unusable(path, "the workbook is damaged and cannot be read") from error


def _cells_of(content: bytes, only: str = "") -> dict[str, Cells]:
    assert openpyxl.DEFUSEDXML, "defusedxml must be installed"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # parts that are of no concern to a reader of cells
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
        sheets: dict[str, Cells] = {}
        for sheet in (one for one in book.worksheets if only in ("", one.title)):
            cells: Cells = {}
            for number, row in enumerate(sheet.iter_rows(values_only=True), start=1):
                for column, value in enumerate(row, start=1):
                    if value is not None and value != "":
                        cells[number, column] = value
            sheets[sheet.title] = cells
        book.close()
    return sheets


def _differences(due: Cells, given: Cells) -> Iterator[tuple[tuple[int, int], Any, Any]]:
    """Yield (place, what the plan says, what the file says) wherever they are not the same."""
    for at in sorted(due.keys() | given.keys()):
        was, now = due.get(at), given.get(at)
        if not _same(was, now):
            yield at, was, now


def _same(was: Any, now: Any) -> bool:
    if isinstance(was, bool) or isinstance(now, bool):
        return was is now
    if isinstance(was, int | float) and isinstance(now, int | float):
        return math.isclose(was, now, rel_tol=1e-12, abs_tol=1e-12)
    if isinstance(was, date) and isinstance(now, date):
        return _day(was) == _day(now)
    if isinstance(was, str) and isinstance(now, str):
        if was.startswith("=") and now.startswith("="):
            return _plain(was) == _plain(now)
        return was.replace("\r\n", "\n") == now.replace("\r\n", "\n")
    return was is None and now is None


def _day(value: date) -> date:
    return value.date() if isinstance(value, datetime) else value


def _plain(formula: str) -> str:
    """Return a formula as programs agree on it: sheets' quotes and spaces away, and numbers as
    every program keeps them."""
    plain = re.sub(r"['\s]", "", formula).upper()
    return _NUMBER.sub(lambda found: f"{float(found[0]):.12g}", plain)
