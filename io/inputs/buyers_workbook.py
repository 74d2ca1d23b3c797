"""The buyer's own workbook again, with some of its records otherwise: only those cells change.

Sheets, formats, columns and notes of the buyer's stay. What comes of it is read again, and is given
only where it says exactly what it is to say; else the farm is better written anew.
"""

from __future__ import annotations

import io
import tempfile
import warnings
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.cell.cell import MergedCell
from openpyxl.utils import get_column_letter

from ...models.farm import Farm
from ...models.fault import FarmError, Fault, Severity
from ..layout.column import CellKind, InputColumn, InputSheet
from ..layout.sheets import INPUT_PREFIX, SHEETS
from ..paper.openpyxl_parts import formats_of, set_formats
from ..paper.stored_values import with_stored_values
from ..reading.arrangement import Arrangement
from ..reading.headings import Match
from ..reading.records import arrange
from ..reading.table import InputTable, Row
from ..reading.workbook import read_farm_with_warnings
from ..reading.xlsx_file import open_tables
from ..whole_file import write_whole
from ..words.grammar import counted, listed, plain
from .input_sheet import put, write_input_sheet

DATE_FORMAT = "yyyy-mm-dd"
UNORDERED = ("offers", "price_breaks", "layout_words", "laid")
"""Fields of a farm whose order says nothing, but which offer of an item is its first."""


class NotKeptError(Exception):
    """The buyer's workbook cannot be kept with what is otherwise; the message says why."""

    @property
    def how(self) -> str:
        """How the farm is written then, in words."""
        return f"Written anew, without formats and sheets of your own: {self}."


def opened(path: Path) -> Workbook:
    """Return a workbook with its formulas; raises FarmError where no copy can be made of it."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts that openpyxl does not keep
            return load_workbook(io.BytesIO(path.read_bytes()))
    except Exception as error:  # openpyxl lets through whatever a damaged part makes of itself
        message = "no copy can be made: its formats, charts or other parts are damaged"
        raise FarmError([Fault("", 0, "", path.name, message)]) from error


def saved(book: Workbook, results: Mapping[str, Mapping[str, float | str]]) -> bytes:
    """Return a workbook's bytes, its formulas with their stored results by sheet and address."""
    stream = io.BytesIO()
    book.save(stream)
    stored = [results.get(sheet.title, {}) for sheet in book.worksheets]
    return with_stored_values(stream.getvalue(), stored)


def results_of(book: Workbook, tables: Iterable[InputTable]) -> dict[str, dict[str, float | str]]:
    """Return the stored results of a workbook's formulas, by sheet and address."""
    results: dict[str, dict[str, float | str]] = {}
    for table in tables:
        sheet: Any = book[table.title]
        for row in table.rows:
            for cell in row.cells.values():
                there = sheet[cell.address]
                if cell.formula and there.data_type == "f" and isinstance(there.value, str):
                    kept = cell.value
                    if isinstance(kept, bool):
                        kept = int(kept)
                    if isinstance(kept, int | float | str) and not cell.error:
                        results.setdefault(table.title, {})[cell.address] = kept
    return results


class BuyersWorkbook:
    """A workbook that a farm was read from, on its way to say what another farm says."""

    def __init__(self, path: Path, before: Farm, after: Farm) -> None:
        """Write what is otherwise; raises NotKeptError, and FarmError where it cannot be opened."""
        if not path.is_file() or path.suffix.casefold() != ".xlsx":
            raise NotKeptError("it is no .xlsx workbook")
        tables = open_tables(path)
        if any(table.title.casefold().startswith(INPUT_PREFIX.casefold()) for table in tables):
            raise NotKeptError("it is an order, whose other sheets would no longer agree")
        self.book = opened(path)
        self.after = after
        self.changed: Counter[str] = Counter()
        """Sheet → how many of its cells were written."""
        self._results = results_of(self.book, tables)
        by_title = {table.title.casefold(): table for table in tables}
        for sheet in SHEETS:
            if sheet.settings:
                if _bare(before.project) != _bare(after.project):
                    raise NotKeptError("a setting of Project is another")
                continue
            old, new = (getattr(farm, sheet.farm_field) for farm in (before, after))
            if old != new:
                self._sheet(sheet, by_title.get(sheet.title.casefold()), old, new)

    @property
    def told(self) -> str:
        """What was written, in words."""
        cells = [f"{counted(number, 'cell')} of {title}" for title, number in self.changed.items()]
        return f"{listed(cells)} changed" if cells else "no cell changed"

    @property
    def how(self) -> str:
        """How the farm is written, in words."""
        return f"Your workbook, with {self.told}."

    def content(self) -> bytes:
        """Return the workbook; raises NotKeptError where it does not say what it is to say."""
        content = saved(self.book, self._results)
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / "copy.xlsx"
            write_whole(copy, content)
            try:
                farm, _ = read_farm_with_warnings(copy)
            except FarmError as error:
                first = next(f for f in error.faults if f.severity is Severity.ERROR)
                raise NotKeptError(f"its layout does not take it up: {first}") from error
        if _said(farm) != _said(self.after):
            raise NotKeptError("its layout does not take up what is new")
        return content

    def _sheet(
        self,
        sheet: InputSheet,
        table: InputTable | None,
        old: tuple[Any, ...],
        new: tuple[Any, ...],
    ) -> None:
        """Write the records of one sheet that are otherwise, new or gone."""
        if table is None:
            page = self.book.create_sheet(sheet.title)
            write_input_sheet(page, sheet, self.after)
            self.changed[sheet.title] += len(new) * len(sheet.columns)
            return
        laid = arrange(sheet, table)
        if laid.headings is None:
            raise NotKeptError(f"no headings were found on {table.title}")
        rows = _Rows(self.book[table.title], sheet, laid, self._results.get(table.title, {}))
        gone = [record for record in old if record not in new]
        come = [record for record in new if record not in old]
        blank: list[int] = []
        for record in gone:
            if record.source is None:
                raise NotKeptError(f"a row of {table.title} is not known")
            same = [one for one in come if _name(sheet, one) == _name(sheet, record)]
            rows.write(record.source.row, record, same[0] if same else None)
            if same:
                come.remove(same[0])
            else:
                blank.append(record.source.row)
        for record in come:
            at = blank.pop(0) if blank else rows.next_row()
            rows.write(at, None, record)
        self.changed[table.title] += rows.written


class _Rows:
    """The rows of one sheet, by the columns that its headings name."""

    def __init__(
        self, page: Any, sheet: InputSheet, laid: Arrangement, results: dict[str, float | str]
    ) -> None:
        self.page, self.sheet, self.results = page, sheet, results
        self.columns: dict[str, tuple[int, Match]] = {
            hit.column.field: (number, hit) for number, hit in laid.found.items()
        }
        assert laid.headings is not None
        self.top = laid.headings.number
        self.last = max((row.number for row in laid.rows), default=0)
        self.end = max(self.last, self.top)
        self.filled = {row.number for row in laid.table.rows}
        self.examples = {row.number for row in laid.table.rows if _is_example(row)}
        self.right = max((n for row in laid.table.rows for n in row.cells), default=0)
        self.written = 0

    def next_row(self) -> int:
        """Return the row below the last, which must be blank."""
        self.end += 1
        while self.end in self.examples:
            self.end += 1
        if self.end in self.filled:
            raise NotKeptError(f"no blank row is left below the rows of {self.page.title}")
        self._widen()
        return self.end

    def _widen(self) -> None:
        """Let a table of the spreadsheet's own reach to the new row."""
        for table in self.page.tables.values():
            first, _, last = table.ref.partition(":")
            if last.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ") == str(self.end - 1):
                table.ref = f"{first}:{last.rstrip('0123456789')}{self.end}"
                if table.autoFilter is not None:
                    table.autoFilter.ref = table.ref

    def write(self, row: int, before: Any, after: Any) -> None:
        """Write the cells of a record that are otherwise; after : None where it is gone, with all
        that its row says, defaults too."""
        if after is None:
            for number, hit in self.columns.values():
                if self.page.cell(row, number).value is not None:
                    self._put(row, number, hit, None)
            return
        for column in self.sheet.columns:
            was = None if before is None else getattr(before, column.field)
            now = getattr(after, column.field)
            if now == self.sheet.default(column):
                now = None
            if before is not None and was == self.sheet.default(column):
                was = None
            if was == now or (was in (None, "") and now in (None, "")):
                continue
            if column.field not in self.columns:
                self._add(column)
            self._put(row, *self.columns[column.field], now)

    def _add(self, column: InputColumn) -> None:
        """Add a column that the buyer's sheet does not have, right of all that it has."""
        beside = self.page.cell(self.top, max(number for number, _ in self.columns.values()))
        self.right += 1
        head = self.page.cell(self.top, self.right)
        head.value = column.title
        set_formats(head, formats_of(beside))
        self.columns[column.field] = (self.right, Match(column))
        self.written += 1

    def _put(self, row: int, number: int, hit: Match, value: Any) -> None:
        cell = self.page.cell(row, number)
        if isinstance(cell, MergedCell):
            raise NotKeptError(f"{self.page.title}!{get_column_letter(number)}{row} is merged")
        if row > self.last and self.last:
            set_formats(cell, formats_of(self.page.cell(self.last, number)))
        self.results.pop(cell.coordinate, None)
        cell.value = None
        self.written += 1
        if value is None or value == "":
            return
        if isinstance(value, int | float) and hit.scale != 1.0:
            value /= hit.scale
        if hit.column.kind is CellKind.PERCENT and "%" not in cell.number_format:
            value = round(value * 100.0, 10)
        put(cell, hit.column, value)
        if hit.column.kind is CellKind.DATE and not cell.is_date:
            cell.number_format = DATE_FORMAT


def _is_example(row: Row) -> bool:
    """Tell whether a row is one of the template's examples, which are not read."""
    first = row.cells[min(row.cells)].value
    return isinstance(first, str) and plain(first).casefold().startswith("example:")


def _name(sheet: InputSheet, record: Any) -> tuple[Any, ...]:
    """Return what a record is known by: its names, and what tells it from others of them."""
    named = ("theirs", "from_quantity", "line")
    return tuple(
        getattr(record, column.field)
        for column in sheet.columns
        if column.field in named
        or (column.kind is CellKind.NAME and (column.field != "supplier" or _by_seller(sheet)))
    )


def _by_seller(sheet: InputSheet) -> bool:
    """Tell whether the supplier is part of what a row is known by: not on the items' own sheets."""
    return all(column.field != "name" for column in sheet.columns)


def _bare(project: Any) -> Any:
    return replace(project, given=frozenset(), source=None)


def _said(farm: Farm) -> dict[str, Any]:
    """Return what a farm says, whatever file and order it is said in."""
    said: dict[str, Any] = {
        one.name: getattr(farm, one.name)
        for one in fields(farm)
        if one.name not in ("origin_file", "doubts", "whole", "project")
    }
    for name in UNORDERED:
        said[name] = Counter(said[name])
    said["project"] = _bare(farm.project)
    # The first offer of a chain says in whose currency its joins are; of other goods, nothing.
    said["first offers"] = {i.name: _keys(i.offers[:1]) for i in farm.items if i.join_cost}
    return said


def _keys(offers: Iterable[Any]) -> list[Any]:
    return [offer.key for offer in offers]
