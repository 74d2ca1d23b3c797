"""Records: the rows of one table, each as the values of one record with its source."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from openpyxl.utils import get_column_letter

from ...models.fault import Fault, Severity, Source
from ..layout.column import CellKind, InputColumn, InputSheet, wanted
from ..words.grammar import as_found, plain
from .cells import NO_RESULT, Cell, RefusedError, value_of
from .headings import Match, closest_heading, match
from .table import InputTable, Row

_SETTING_HEADINGS = (
    InputColumn("Setting", "setting", "", CellKind.NAME),
    InputColumn("Value", "value", "", CellKind.TEXT),
    InputColumn("Note", "", "", CellKind.TEXT),
)

_NUMERIC = {CellKind.NUMBER, CellKind.COUNT, CellKind.PERCENT, CellKind.SHARE, CellKind.MONEY}


@dataclass
class InputRow:
    """One row: the values of its cells by field of the record, and the fields that failed."""

    source: Source
    values: dict[str, Any] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)


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
    said_elsewhere: frozenset[str] = frozenset()
    """Titles of sheets that may say what some columns leave blank."""

    def needs(self, column: InputColumn) -> bool:
        """Tell whether a cell must be filled: no other sheet says it, and there is no default."""
        return self.sheet.needs(column) and column.else_on not in self.said_elsewhere

    def fields_in_doubt(self) -> set[str]:
        """Return the fields of which at least one value could not be read."""
        return self.unread.union(*(record.failed for record in self.records))

    def build(self, record: InputRow) -> Any:
        """Return the record of a row; where a value failed, a stand-in that agrees with all.

        Numbers stand in as NaN, which compares with nothing; names as names that nobody uses. A
        record with a stand-in serves only for looking for faults elsewhere.
        """
        left = (c for c in self.sheet.columns if self.sheet.needs(c) and not self.needs(c))
        values = {column.field: None for column in left} | record.values
        for name in record.failed | (self.unread & self._needed()):
            values[name] = _stand_in(self.sheet.by_field[name], record.source)
        return self.sheet.record(**values, source=record.source)

    def _needed(self) -> set[str]:
        return {name for name, column in self.sheet.by_field.items() if self.needs(column)}


def read_records(
    sheet: InputSheet, table: InputTable, said_elsewhere: frozenset[str] = frozenset()
) -> Records:
    """Return the records of a table; everything wrong with it is in their faults.

    said_elsewhere : sheets that may say what some of its columns leave blank.
    """
    read = Records(sheet, table.title, faults=list(table.warnings), said_elsewhere=said_elsewhere)
    if not table.rows:
        if sheet.required:
            read.faults.append(Fault(table.title, 0, "", "", "the sheet is empty"))
            read.unread |= set(sheet.by_field)
        return read
    columns = _SETTING_HEADINGS if sheet.settings else sheet.columns
    found = _headings(read, table, columns)
    covered = _covered(read, table, found)
    if sheet.settings:
        _settings(read, table, found)
        return read
    present = {column_match.column.field for column_match in found.values()}
    for column in sheet.columns:
        if read.needs(column) and column.field not in present:
            read.unread.add(column.field)
            message = f"the column '{column.title}' is missing"
            read.faults.append(Fault(table.title, 0, "", column.heading, message))
    for row in _filled_rows(table, found):
        read.records.append(_record(read, row, found, covered))
    if not read.records and sheet.required:
        message = "no rows; at least one is needed"
        read.faults.append(Fault(table.title, 0, "", "", message))
        read.unread |= set(sheet.by_field)
    return read


def _headings(read: Records, table: InputTable, columns: Sequence[InputColumn]) -> dict[int, Match]:
    """Return what each column number stands for; the faults of the headings go to `read`."""
    first = table.rows[0]
    found: dict[int, Match] = {}
    addresses: dict[str, str] = {}
    for number, cell in first.cells.items():
        if cell.no_result or cell.error:
            message = NO_RESULT if cell.no_result else f"the heading shows the error {cell.value}"
            read.faults.append(Fault(table.title, first.number, cell.address, "", message))
            continue
        written = plain(str(cell.value))
        hit = match(written, columns)
        if hit is None:
            message = f"no column is called {as_found(written)}; it is not read"
            message += closest_heading(written, columns)
            read.faults.append(_warning(table.title, first.number, cell.address, message))
            continue
        heading = hit.column.heading
        if heading in addresses:
            message = f"the column is there twice (first at {addresses[heading]}); keep one"
            read.faults.append(Fault(table.title, first.number, cell.address, heading, message))
            continue
        addresses[heading] = cell.address
        if hit.problem:
            read.faults.append(Fault(table.title, first.number, cell.address, heading, hit.problem))
            read.unread.add(hit.column.field)
        found[number] = hit
    used = {number for row in table.rows[1:] for number in row.cells}
    across = [m for m in table.merged if m.first_row <= first.number <= m.last_row][:100]
    for number in sorted(used - set(first.cells)):
        address = f"{get_column_letter(number)}{first.number}"
        message = "the column has no heading; it is not read"
        merged = next((m for m in across if m.covers(first.number, number)), None)
        if merged is not None:
            message += f" (it is merged into {merged}: unmerge, and give each column a heading)"
        read.faults.append(_warning(table.title, first.number, address, message))
    return found


Covered = set[tuple[int, int]]
"""(row, column) of cells that are merged into a filled one: nobody knows what they hold."""


def _covered(read: Records, table: InputTable, found: dict[int, Match]) -> Covered:
    """Return the covered cells of the columns read; each block of them is a fault."""
    covered: Covered = set()
    filled = {row.number: row.cells for row in table.rows}
    first, last = table.rows[0].number + 1, table.rows[-1].number
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


def _warning(title: str, row: int, address: str, message: str) -> Fault:
    return Fault(title, row, address, "", message, Severity.WARNING)


def _filled_rows(table: InputTable, found: dict[int, Match]) -> Iterator[Row]:
    """Yield the rows below the headings that hold anything in a known column; no examples."""
    for row in table.rows[1:]:
        leftmost = row.cells[min(row.cells)].value
        if isinstance(leftmost, str) and plain(leftmost).casefold().startswith("example:"):
            continue
        if any(not cell.is_blank for number, cell in row.cells.items() if number in found):
            yield row


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
        needed = read.needs(column)
        _take(read, record, cell, hit, needed)
    return record


def _take(read: Records, record: InputRow, cell: Cell, hit: Match, needed: bool) -> None:
    """Put a cell's value in the record, or its fault in `read`."""
    column = hit.column
    place = (read.title, record.source.row, cell.address, column.heading)
    try:
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


def _settings(read: Records, table: InputTable, found: dict[int, Match]) -> None:
    """Read the Project sheet: one record, its settings a row each."""
    numbers = {hit.column.field: number for number, hit in found.items()}
    for name, heading in (("setting", "Setting"), ("value", "Value")):
        if name not in numbers:
            message = f"the column '{heading}' is missing"
            read.faults.append(Fault(table.title, 0, "", heading, message))
    if not {"setting", "value"} <= set(numbers):
        read.unread |= set(read.sheet.by_field)
        return
    addresses: dict[str, str] = {}
    record = InputRow(Source(table.title, table.rows[0].number, addresses))
    read.records.append(record)
    value_letter = get_column_letter(numbers["value"])
    for row in _filled_rows(table, found):
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
