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
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from numbers import Real
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils import get_column_letter

from ...models.answer.plan import Plan
from ...models.farm import Farm
from ...models.fault import FarmError, Fault
from ..inputs.plan_record import HEADING_ROW, TITLE, is_of_this_program, plan_of_record
from ..inputs.records import RecordError, Row
from ..layout.sheets import INPUT_PREFIX
from ..order.order_workbook import order_book
from ..paper.book import PlanBook
from ..paper.page import HandWritten
from ..reading.package import RefusedPackageError, look_at
from ..reading.table import content_of, unusable
from ..words.case import Case
from ..words.grammar import listed

NO_RECORD = (
    f"no sheet '{TITLE}' that can be read: give an order as moorledger price wrote it, with a "
    "version that this one knows"
)
WITHOUT_RECORD = (
    "Else write what it bought on the sheet On hand, of chain and rope a row a length, and price "
    "the farm without it"
)
OTHERWISE = (
    "another version of moorledger wrote it, and writes these sheets otherwise, so that what was "
    "changed or filled in by hand there cannot be told and is not taken over; the plan as it was "
    "priced counts: "
)
OF_PAPERS = "papers are written of the plan as priced"
OF_ORDER = (
    "an order before is read as it was priced, and what is otherwise now belongs in the farm's own "
    "workbook"
)
MOST_TOLD = 30
"""Cells that are told one by one."""

SAME_NUMBER = 1e-12
"""How near, of itself, a number is to what this program wrote: files keep 15 to 17 digits."""
AGREES = 1e-6
"""How near two versions of the program come in what both work out by steps (a root, an integral);
no hand changes a price or a quantity by so little."""

_NUMBER = re.compile(r"(?<![A-Z0-9$.])\d+(?:\.\d+)?(?:E[+-]?\d+)?")
"""A number in a formula, in capitals; not the row of a cell."""

Cells = dict[tuple[int, int], Any]


@dataclass(frozen=True)
class OrderFile:
    """An order's file, which is read once for all that is asked of it."""

    path: Path

    @cached_property
    def sheets(self) -> dict[str, Cells]:
        """The cells of every sheet; raises FarmError where the file cannot be opened."""
        content = content_of(self.path)
        try:
            look_at(content)
            return _cells_of_content(content)
        except RefusedPackageError as refused:
            raise unusable(self.path, str(refused)) from refused
        except Exception as error:  # openpyxl lets through whatever a damaged part makes of itself
            why = "the workbook is damaged and cannot be read"
            raise unusable(self.path, why) from error

    @cached_property
    def record(self) -> list[Row]:
        """The rows of its plan's record; none where it has no such sheet."""
        cells = self.sheets.get(TITLE, {})
        last: dict[int, int] = {}
        for row, column in cells:
            last[row] = max(last.get(row, 0), column)
        return [
            tuple(cells.get((row, column)) for column in range(1, last.get(row, 0) + 1))
            for row in range(HEADING_ROW + 1, max(last, default=0) + 1)
        ]


def plan_of_order(order: OrderFile, farm: Farm, instead: str = "") -> tuple[Plan, Case]:
    """Return the plan that an order holds, without checks, and its case; farm : of its inputs.

    Raises FarmError where the file holds none; instead : what else would do then.
    """
    try:
        return plan_of_record(order.record, farm)
    except RecordError as error:
        raise unusable(order.path, f"{NO_RECORD} ({error}). {instead}".strip()) from error


LISTS_SHEETS = "Contents"
"""No paper is made of it, and it names every sheet: an order may have been written with more."""


def hand_written(
    order: OrderFile, plan: Plan, case: Case, why: str = OF_PAPERS
) -> tuple[HandWritten, tuple[str, ...]]:
    """Return what was written into the fields of an order's sheets, by the sheets' titles, and the
    names of the sheets of which that cannot be told.

    plan : its plan, checked. why : an edit is refused. Raises FarmError with every other cell that
    says something else than the plan does.
    """
    compared = compare_with(order, plan, case)
    titles = {page.name: page.title for page in compared.book.pages}
    hand: dict[str, dict[tuple[int, int], Any]] = {}
    faults = list(compared.gone)
    for edit in compared.edits:
        if edit.in_field:
            hand.setdefault(titles[edit.sheet], {})[edit.at] = edit.now
        else:
            faults.append(edit.refused(why))
    raise_refused(faults)
    return hand, compared.otherwise


@dataclass(frozen=True)
class Edit:
    """A cell of an order's own sheets that says something else than its plan does."""

    sheet: str
    at: tuple[int, int]
    """Row, column."""
    was: Any
    now: Any
    in_field: bool
    """Whether it is a field that a hand may write in."""

    @property
    def cell(self) -> str:
        """Its address on its sheet."""
        return f"{get_column_letter(self.at[1])}{self.at[0]}"

    def refused(self, why: str) -> Fault:
        """Return its refusal."""
        message = (
            f"is {shown(self.now)}, the plan says {shown(self.was)}: {why}. "
            "Put it back, or change it on the Input sheets and price this workbook again"
        )
        return Fault(self.sheet, self.at[0], self.cell, "", message)


@dataclass(frozen=True)
class Compared:
    """An order's sheets against its plan."""

    book: PlanBook
    """As the plan says."""
    edits: tuple[Edit, ...]
    gone: tuple[Fault, ...]
    """Sheets that are not there any more."""
    otherwise: tuple[str, ...] = ()
    """Sheets that the other version that wrote the order writes in other words: they are not
    compared."""


def compare_with(order: OrderFile, plan: Plan, case: Case) -> Compared:
    """Return where an order's own sheets say something else than its plan, checked, does.

    plan : answers the farm that the Input sheets hold, so that they are not compared: a version
    with one column more would write them otherwise. Where another version wrote the order, a sheet
    with other words on it is not compared, its numbers need only agree, and a sheet that was not
    written is not missed.
    """
    given, own = order.sheets, is_of_this_program(order.record)
    book = order_book(plan, case=case, plain=True)
    fields = {page.name: page.fields for page in book.pages}
    edits: list[Edit] = []
    gone: list[Fault] = []
    otherwise: list[str] = []
    for name, cells in ((sheet.title, _cells_of(sheet)) for sheet in book.sheets):
        if name == LISTS_SHEETS:
            continue
        if name not in given:
            if own:
                gone.append(Fault(name, 0, "", "", "the sheet is gone; price the farm again"))
            continue
        if name.startswith(INPUT_PREFIX) or (name == TITLE and not own):
            continue
        found = [
            Edit(name, at, was, now, at in fields.get(name, ()))
            for at, was, now in _differences(cells, given[name], SAME_NUMBER if own else AGREES)
        ]
        if not own and any(_in_words(edit) for edit in found):
            otherwise.append(name)
        else:
            edits += found
    return Compared(book, tuple(edits), tuple(gone), tuple(otherwise))


def _in_words(edit: Edit) -> bool:
    """Tell whether a cell that is no field says something else in words, not in numbers."""
    texts = (value for value in (edit.was, edit.now) if isinstance(value, str))
    return not edit.in_field and any(not text.startswith("=") for text in texts)


def written_otherwise(order: OrderFile, sheets: Sequence[str]) -> str:
    """Return what is to be said of the sheets that another version writes otherwise."""
    return f"{order.path.name}: {OTHERWISE}{listed(list(sheets))}"


def raise_refused(faults: list[Fault]) -> None:
    """Raise FarmError with the first of some faults and how many more there are; none: nothing."""
    more = len(faults) - MOST_TOLD
    if more > 0:
        faults = [
            *faults[:MOST_TOLD],
            Fault("", 0, "", "", f"{more} more cells say something else"),
        ]
    if faults:
        raise FarmError(faults)


def shown(value: Any) -> str:
    """Return what a cell holds, in words."""
    if value is None:
        return "blank"
    if isinstance(value, datetime):
        return value.date().isoformat()
    text = f"{value:.15g}" if isinstance(value, float) else str(value)
    return f"'{text[:60]}'"


def _cells_of_content(content: bytes) -> dict[str, Cells]:
    assert openpyxl.DEFUSEDXML, "defusedxml must be installed"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # parts that are of no concern to a reader of cells
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
        sheets = {sheet.title: _cells_of(sheet) for sheet in book.worksheets}
        book.close()
    return sheets


def _cells_of(sheet: Any) -> Cells:
    """Return the cells of a sheet that hold anything."""
    return {
        (number, column): value
        for number, row in enumerate(sheet.iter_rows(values_only=True), start=1)
        for column, value in enumerate(row, start=1)
        if value is not None and value != ""
    }


def _differences(
    due: Cells, given: Cells, within: float
) -> Iterator[tuple[tuple[int, int], Any, Any]]:
    """Yield (place, what the plan says, what the file says) wherever they are not the same.

    within : of a number, of itself.
    """
    for at in sorted(due.keys() | given.keys()):
        was, now = due.get(at), given.get(at)
        if not _same(was, now, within):
            yield at, was, now


def _same(was: Any, now: Any, within: float) -> bool:
    if isinstance(was, bool) or isinstance(now, bool):
        return was is now
    if isinstance(was, Real) and isinstance(now, Real):
        return math.isclose(was, now, rel_tol=within, abs_tol=SAME_NUMBER)
    if isinstance(was, date) and isinstance(now, date):
        return _day(was) == _day(now)
    if isinstance(was, str) and isinstance(now, str):
        if was.startswith("=") and now.startswith("="):
            return _same_formula(was, now, within)
        return was.replace("\r\n", "\n") == now.replace("\r\n", "\n")
    return was is None and now is None


def _day(value: date) -> date:
    return value.date() if isinstance(value, datetime) else value


def _same_formula(was: str, now: str, within: float) -> bool:
    """Tell whether two formulas are the same as programs agree on them: quotes of sheets, spaces
    and capitals do not count, and numbers are numbers."""
    plain = [re.sub(r"['\s]", "", formula).upper() for formula in (was, now)]
    (was, now), numbers = (_NUMBER.sub("0", text) for text in plain), map(_NUMBER.findall, plain)
    return was == now and all(
        _same(float(before), float(after), within) for before, after in zip(*numbers, strict=True)
    )
