"""Records: the rows of one table, each as the values of one record with its source."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from openpyxl.utils import get_column_letter

from ...models.fault import Fault, Severity, Source
from ..figures.decimals import EITHER, NO_MARKS, DecimalMarks
from ..layout.column import CellKind, InputColumn, InputSheet, wanted
from ..needs.needs import PRICE, Needs
from ..words.grammar import as_found, plain
from .arrangement import Arrangement, arranged
from .cells import NO_RESULT, Cell, RefusedError, currency_shown, value_of
from .headings import Match, closest_heading, match
from .sheet_marks import runs_of
from .table import InputTable, Row

_SETTING_HEADINGS = (
    InputColumn("Setting", "setting", "", CellKind.NAME),
    InputColumn("Value", "value", "", CellKind.TEXT),
    InputColumn("Note", "", "", CellKind.TEXT),
)

COUNTS = ("count", "pack_quantity")
"""Fields of counts whose blank is read as 1, and doubted among filled ones."""

_NUMERIC = {CellKind.NUMBER, CellKind.COUNT, CellKind.PERCENT, CellKind.SHARE, CellKind.MONEY}


@dataclass
class InputRow:
    """One row: the values of its cells by field of the record, and the fields that failed."""

    source: Source
    values: dict[str, Any] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)
    currencies: dict[str, str] = field(default_factory=dict)
    """Field → the currency that its cell, or its heading, shows beside the amount."""
    stood_in: set[str] = field(default_factory=set)
    """Fields whose value is a stand-in for a fact that is not stated."""


@dataclass
class Records:
    """What was read of one input sheet."""

    sheet: InputSheet
    title: str
    """The sheet's name as its workbook spells it."""
    records: list[InputRow] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    unread: set[str] = field(default_factory=set)
    """Fields whose whole column is missing or cannot be used."""
    covered: set[str] = field(default_factory=set)
    """Addresses of cells of which a fault of other cells says all there is to say."""
    marks: DecimalMarks = NO_MARKS
    """How the whole file writes decimals."""
    needs: Needs = PRICE
    """What the command that it is read for needs."""
    present: frozenset[str] = frozenset()
    """The titles of all sheets that are there."""
    said_elsewhere: frozenset[str] = frozenset()
    """Titles of sheets that may say what some columns leave blank."""

    def fields_in_doubt(self) -> set[str]:
        """Return the fields of which at least one value could not be read."""
        return self.unread.union(*(record.failed for record in self.records))

    def build(self, record: InputRow) -> Any:
        """Return the record of a row; where a value failed, a stand-in that agrees with all.

        Numbers stand in as NaN, which compares with nothing; names as names that nobody uses. A
        record with a stand-in serves only for looking for faults elsewhere.
        """
        left = (c for c in self.sheet.columns if self.left_to_others(c))
        values = {column.field: None for column in left} | record.values
        for name in record.failed | (self.unread & self._needed()):
            values[name] = _stand_in(self.sheet.by_field[name], record.source)
        if record.stood_in:
            values["stood_in"] = frozenset(record.stood_in)
        return self.sheet.record(**values, source=record.source)

    @property
    def lacking(self) -> tuple[str, ...]:
        """The titles of the columns that must be filled and cannot be read."""
        return tuple(
            column.title
            for column in self.sheet.columns
            if column.field in self.unread and self.must_have(column)
        )

    def must_have(self, column: InputColumn) -> bool:
        """Tell whether a cell of a column must be filled."""
        wanted_here = self.needs.must_have(self.sheet, column, self.present)
        return wanted_here and not self.left_to_others(column)

    def left_to_others(self, column: InputColumn) -> bool:
        """Tell whether a blank cell of a column that has no default is said on another sheet."""
        return self.sheet.needs(column) and column.else_on in self.said_elsewhere

    def _needed(self) -> set[str]:
        columns = self.sheet.by_field.items()
        return {n for n, c in columns if self.sheet.needs(c) and not self.left_to_others(c)}


def arrange(sheet: InputSheet, table: InputTable) -> Arrangement:
    """Return where a table's headings stand and which of its rows are records."""
    return arranged(table, _SETTING_HEADINGS if sheet.settings else sheet.columns)


def read_records(
    sheet: InputSheet,
    laid: Arrangement,
    marks: DecimalMarks,
    needs: Needs = PRICE,
    present: frozenset[str] = frozenset(),
    said_elsewhere: frozenset[str] = frozenset(),
) -> Records:
    """Return the records of an arranged table; everything wrong with it is in their faults.

    marks : how the whole file writes decimals. needs : of the command that it is read for.
    present : the titles of all sheets that are there. said_elsewhere : of those that may say what
    some of its columns leave blank.
    """
    table = laid.table
    read = Records(
        sheet,
        table.title,
        faults=[*table.warnings, *laid.faults],
        marks=marks,
        needs=needs,
        present=present,
        said_elsewhere=said_elsewhere,
    )
    if not table.rows:
        if sheet in needs.sheets:
            read.faults.append(Fault(table.title, 0, "", "", "the sheet is empty"))
            read.unread |= set(sheet.by_field)
        return read
    if laid.headings is None:
        read.unread |= set(sheet.by_field)
        return read
    read.unread |= laid.unread & set(sheet.by_field)
    found = laid.found
    covered = _covered(read, laid)
    if sheet.settings:
        _settings(read, laid)
        return read
    headed = {column_match.column.field for column_match in found.values()}
    for column in sheet.columns:
        if read.must_have(column) and column.field not in headed:
            read.unread.add(column.field)
            message = f"the column '{column.title}' is missing"
            read.faults.append(Fault(table.title, 0, "", column.heading, message))
    for row in laid.rows:
        read.records.append(_record(read, row, found, covered))
    read.faults += _blank_counts(read, found)
    read.faults = _told_once(read)
    if not read.records and sheet in needs.sheets:
        message = "no rows; at least one is needed"
        read.faults.append(Fault(table.title, 0, "", "", message))
        read.unread |= set(sheet.by_field)
    return read


Covered = set[tuple[int, int]]
"""(row, column) of cells that are merged into a filled one: nobody knows what they hold."""


def _covered(read: Records, laid: Arrangement) -> Covered:
    """Return the covered cells of the columns read; each block of them is a fault."""
    covered: Covered = set()
    table, found = laid.table, laid.found
    filled = {row.number: row.cells for row in laid.rows}
    if not filled:
        return covered
    first, last = min(filled), max(filled)
    to_look_at = (last - first + 1) * len(found)  # blocks do not overlap in a sound workbook
    for merged in table.merged:
        cell = filled.get(merged.first_row, {}).get(merged.first_column)
        rows = range(max(merged.first_row, first), min(merged.last_row, last) + 1)
        columns = [n for n in found if merged.first_column <= n <= merged.last_column]
        to_look_at -= len(rows) * len(columns)
        if cell is None or cell.is_blank or to_look_at < 0:
            continue
        behind = {
            (row, n)
            for n in columns
            for row in rows
            if found[n].column.field and row in filled and merged.covers(row, n)
        }
        if not behind:
            continue
        covered |= behind
        number = merged.first_column if merged.first_column in found else min(behind)[1]
        message = (
            f"found {as_found(cell.value)} in the merged cells {merged}, of which only "
            f"{merged.first} holds it and the others are blank: unmerge them, and fill in each"
        )
        place = (table.title, merged.first_row, merged.first, found[number].column.heading)
        read.faults.append(Fault(*place, message))
    return covered


def _record(read: Records, row: Row, found: dict[int, Match], covered: Covered) -> InputRow:
    addresses = {
        hit.column.heading: f"{get_column_letter(n)}{row.number}" for n, hit in found.items()
    }
    record = InputRow(Source(read.title, row.number, addresses))
    for number, hit in found.items():
        column = hit.column
        if not column.field or column.field in read.unread:
            continue
        if (row.number, number) in covered:
            record.failed.add(column.field)
            read.covered.add(addresses[column.heading])
            continue
        cell = row.cells.get(number, Cell(addresses[column.heading]))
        _take(read, record, cell, hit, read.must_have(column))
    _stand_ins(read, record)
    return record


def _stand_ins(read: Records, record: InputRow) -> None:
    """Put values in place of the facts that a row does not state and need not."""
    values = read.sheet.defaults | record.values
    left = [column for column in read.sheet.columns if read.left_to_others(column)]
    if any(column.field in values for column in left):
        left = []  # the row speaks for itself: another sheet says all of it, or nothing
    for column in read.sheet.columns:
        spare, name = column.stand_in, column.field
        if spare is None or name in values or name in record.failed or column in left:
            continue
        if read.needs.must_have(read.sheet, column, read.present):
            continue
        try:
            record.values[name] = spare.of(values)
        except (KeyError, ArithmeticError):  # what it is made from could not be read
            record.failed.add(name)
        else:
            record.stood_in.add(name)


def _told_once(read: Records) -> list[Fault]:
    """Return the faults with figures that may mean two numbers told once a column, with the rows
    of the others: one program wrote them all."""
    told: list[Fault] = []
    alike: dict[str, list[Fault]] = {}
    for fault in read.faults:
        if fault.cell and EITHER in fault.message:
            alike.setdefault(fault.heading, []).append(fault)
        else:
            told.append(fault)
    for first, *others in alike.values():
        rows = f" (and in rows {runs_of([f.row for f in others])})" if others else ""
        told.append(replace(first, message=first.message + rows))
        read.covered |= {fault.cell for fault in others}
    return told


def _blank_counts(read: Records, found: dict[int, Match]) -> Iterator[Fault]:
    """Yield a doubt of each blank count in a column where most are filled: it is read as 1."""
    for hit in found.values():
        column = hit.column
        if column.kind is not CellKind.COUNT or read.sheet.default(column) != 1:
            continue
        blank = [
            record
            for record in read.records
            if column.field not in record.values and column.field not in record.failed
        ]
        filled = len(read.records) - len(blank)
        if column.field in COUNTS and filled >= 3 * len(blank) > 0:
            for record in blank:
                message = "blank, and read as 1, where the others are filled: write 1 if it is"
                yield Fault.at(record.source, column.heading, message, Severity.WARNING)


def _take(read: Records, record: InputRow, cell: Cell, hit: Match, needed: bool) -> None:
    """Put a cell's value in the record, or its fault in `read`."""
    column = hit.column
    place = (read.title, record.source.row, cell.address, column.heading)
    try:
        cell = replace(cell, marks=read.marks) if isinstance(cell.value, str) else cell
        value, doubt = value_of(cell, column, hit.scale)
        if value is None and needed:
            raise RefusedError(f"blank; needs {wanted(column)}")
    except RefusedError as refused:
        read.faults.append(Fault(*place, str(refused)))
        record.failed.add(column.field)
        return
    if doubt:
        read.faults.append(Fault(*place, doubt, Severity.WARNING))
    if value is not None:
        record.values[column.field] = value
        currency = currency_shown(cell, column) or hit.currency
        if currency:
            record.currencies[column.field] = currency


def _settings(read: Records, laid: Arrangement) -> None:
    """Read the Project sheet: one record, its settings a row each."""
    table, found = laid.table, laid.found
    assert laid.headings is not None
    numbers = {hit.column.field: number for number, hit in found.items()}
    for name, heading in (("setting", "Setting"), ("value", "Value")):
        if name not in numbers:
            message = f"the column '{heading}' is missing"
            read.faults.append(Fault(table.title, 0, "", heading, message))
    if not {"setting", "value"} <= set(numbers):
        read.unread |= set(read.sheet.by_field)
        return
    addresses: dict[str, str] = {}
    record = InputRow(Source(table.title, laid.headings.number, addresses))
    read.records.append(record)
    value_letter = get_column_letter(numbers["value"])
    for row in laid.rows:
        name_cell = row.cells.get(numbers["setting"])
        address = f"{value_letter}{row.number}"
        cell = row.cells.get(numbers["value"], Cell(address))
        if name_cell is None or name_cell.is_blank:
            if not cell.is_blank:
                message = "a value without a setting: name the setting in this row"
                read.faults.append(Fault(table.title, row.number, address, "", message))
            continue
        written = plain(str(name_cell.value))
        hit = match(written, read.sheet.columns)
        problem = ""
        if name_cell.no_result or name_cell.error:
            problem = NO_RESULT if name_cell.no_result else f"the cell shows the error {written}"
        elif hit is None:
            near = closest_heading(written, read.sheet.columns)
            problem = f"{as_found(written)} is not a setting{near}"
        elif hit.column.heading in addresses:
            problem = f"'{hit.column.heading}' is set twice; keep one"
        elif hit.problem:
            problem = f"'{written}': {hit.problem}"
            record.failed.add(hit.column.field)
        if problem or hit is None:
            read.faults.append(
                Fault(table.title, row.number, name_cell.address, "Setting", problem)
            )
            continue
        addresses[hit.column.heading] = address
        row_record = InputRow(
            Source(table.title, row.number, addresses), record.values, record.failed
        )
        _take(read, row_record, cell, hit, needed=False)


def _stand_in(column: InputColumn, source: Source) -> Any:
    if column.kind in _NUMERIC:
        return math.nan
    if column.kind in (CellKind.NAMES, CellKind.NUMBERS):
        return ()
    if column.kind is CellKind.CHOICE and column.choices is not None:
        return next(iter(column.choices))
    if column.kind in (CellKind.YES_NO, CellKind.DATE):
        return None
    return f"\0{source.sheet} {source.row} {column.field}"


def read_as(cell: Cell, hit: Match, marks: DecimalMarks) -> str:
    """Return what a cell is read as under a heading, in words: its value, or "refused"."""
    if hit.problem:
        return "refused: " + hit.problem
    try:
        value, _ = value_of(replace(cell, marks=marks), hit.column, hit.scale)
    except RefusedError as refused:
        return f"refused: {refused}"
    if hit.column.kind in (CellKind.PERCENT, CellKind.SHARE):
        return f"{100 * value:.15g} %"
    if isinstance(value, tuple):
        return "; ".join(f"{each:g}" if isinstance(each, float) else str(each) for each in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    unit = hit.column.unit if isinstance(value, int | float) else ""
    return f"{as_found(value)} {unit}".strip().strip("'")
