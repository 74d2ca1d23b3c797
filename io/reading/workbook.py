"""The workbook in: an .xlsx file, or a folder of CSV files, read into a farm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from ...models.doubts import doubts
from ...models.farm import Farm
from ...models.farm_faults import farm_faults
from ...models.fault import FarmError, Fault, Severity, closest
from ...models.site.project import Project
from ..layout.column import InputColumn, InputSheet
from ..layout.farm import PROJECT
from ..layout.offers import OFFERS
from ..layout.sheets import INPUT_PREFIX, NAMED_BY, NOT_INPUT, SHEETS
from ..words.grammar import plain
from .records import InputRow, Records, read_records
from .table import InputTable
from .tables import open_tables

__all__ = ["farm_of", "read_farm", "read_farm_with_warnings"]

_MUTES: dict[tuple[str, str], tuple[str, ...]] = {
    ("Project", "currency"): ("Project currency per unit",),
    ("Pull tests", "anchor"): ("Test",),
    ("Pull tests", "seabed"): ("Test",),
    ("Price breaks", "scheme"): ("Scheme",),
    ("Freight", "basis"): ("Volume", "Payload"),
    ("Options", "what"): ("Which",),
}
"""Sheet and field that could not be read → headings at which nothing is then reported: a fault
there could be no more than the consequence of the first."""


def read_farm(path: str | Path) -> Farm:
    """Return the farm of a workbook, or of a folder of CSV files (one a sheet).

    Raises FarmError with everything that is wrong with it.
    """
    return read_farm_with_warnings(path)[0]


def read_farm_with_warnings(path: str | Path) -> tuple[Farm, tuple[Fault, ...]]:
    """Return the farm, and what is doubtful about its workbook but does not stop a price.

    Raises FarmError with everything that is wrong with it, the warnings too.
    """
    path = Path(path)
    return farm_of(open_tables(path, _is_input), path.name)


def farm_of(given: Iterable[InputTable], file_name: str = "") -> tuple[Farm, tuple[Fault, ...]]:
    """Return the farm of some tables, and what is doubtful about them; raises FarmError."""
    tables, faults = _by_sheet(given)
    reads: dict[str, Records] = {}
    offers = tables.get(OFFERS.title)
    offered = offers is not None and bool(read_records(OFFERS, offers).records)
    said_elsewhere = frozenset({OFFERS.title} if offered else ())
    for sheet in SHEETS:
        if sheet.title in tables:
            reads[sheet.title] = read_records(sheet, tables[sheet.title], said_elsewhere)
        elif sheet.required:
            faults.append(Fault(sheet.title, 0, "", "", "the sheet is missing"))
            reads[sheet.title] = Records(sheet, sheet.title, unread=set(sheet.by_field))
    for read in reads.values():
        faults += read.faults
    _resolve_names(reads)
    farm = _farm(reads, file_name)
    faults += _new_faults([*farm_faults(farm), *_no_rope(reads)], reads, faults)
    if not any(fault.severity is Severity.ERROR for fault in faults):
        faults += doubts(farm)  # of figures that could all be read
    order = {read.title: number for number, read in enumerate(reads.values())}
    faults = sorted(
        dict.fromkeys(faults),
        key=lambda f: (order.get(f.sheet, -1), f.row, len(f.cell), f.cell, f.message),
    )
    if any(fault.severity is Severity.ERROR for fault in faults):
        raise FarmError(faults)
    return farm, tuple(faults)


def _plain_title(title: str) -> str:
    return plain(title.replace("_", " ").replace("-", " ")).casefold()


def _is_input(title: str) -> bool:
    """Tell whether a table has the title of an input sheet, in an order workbook too."""
    name = _plain_title(title).removeprefix(INPUT_PREFIX.casefold())
    return name in {sheet.title.casefold() for sheet in SHEETS}


def _by_sheet(tables: Iterable[InputTable]) -> tuple[dict[str, InputTable], list[Fault]]:
    """Return the tables by the title of their input sheet, and the faults of their names."""
    titles = {sheet.title.casefold(): sheet.title for sheet in SHEETS}
    found: dict[str, InputTable] = {}
    faults: list[Fault] = []
    for name, table in _inputs(tuple(tables)):
        if name in NOT_INPUT:
            continue
        title = titles.get(name)
        if title is None:
            message = (
                f"no input sheet has this name; it is not read{closest(name, titles.values())}"
            )
            faults.append(Fault(table.title, 0, "", "", message, Severity.WARNING))
        elif title in found:
            message = f"the sheet is there twice (also as '{found[title].title}'); keep one"
            faults.append(Fault(table.title, 0, "", "", message))
        else:
            found[title] = table
    return found, faults


def _inputs(tables: tuple[InputTable, ...]) -> tuple[tuple[str, InputTable], ...]:
    """Return the tables to read by plain name: of an order workbook, those it was priced on."""
    prefix = INPUT_PREFIX.casefold()
    named = tuple((_plain_title(table.title), table) for table in tables)
    inputs = tuple((n.removeprefix(prefix), t) for n, t in named if n.startswith(prefix))
    return inputs or named


def _defines(sheet: InputSheet, column: InputColumn) -> bool:
    """Tell whether a column defines names, rather than referring to them."""
    return (sheet.title, column.heading) in NAMED_BY.get(column.names, ())


def _resolve_names(reads: dict[str, Records]) -> None:
    """Spell each name as it is spelt where it is defined, whatever its capitals."""
    spellings: dict[str, dict[str, str]] = {}
    for kind, places in NAMED_BY.items():
        known = spellings.setdefault(kind, {})
        for title, heading in places:
            if title not in reads:
                continue
            column = next(c for c in reads[title].sheet.columns if c.heading == heading)
            for record in reads[title].records:
                name = record.values.get(column.field)
                if name is not None:
                    known.setdefault(name.casefold(), name)
    for read in reads.values():
        for column in read.sheet.columns:
            # A record's own name stays as it is: two spellings of one name are a fault.
            if not column.names or (column.field == "name" and not read.sheet.settings):
                continue
            known = spellings[column.names]
            for record in read.records:
                value = record.values.get(column.field)
                if isinstance(value, tuple):
                    record.values[column.field] = tuple(known.get(n.casefold(), n) for n in value)
                elif value is not None:
                    record.values[column.field] = known.get(value.casefold(), value)


def _farm(reads: dict[str, Records], file_name: str) -> Farm:
    """Return the farm of what was read; stand-ins take the place of what failed."""
    values: dict[str, Any] = {
        read.sheet.farm_field: tuple(read.build(record) for record in read.records)
        for read in reads.values()
        if not read.sheet.settings
    }
    settings = reads[PROJECT.title].records
    return Farm(
        project=_project(settings[0]) if settings else Project(), **values, origin_file=file_name
    )


def _project(record: InputRow) -> Project:
    return Project(**record.values, given=frozenset(record.values), source=record.source)


def _new_faults(
    found: Iterable[Fault], reads: dict[str, Records], before: list[Fault]
) -> Iterator[Fault]:
    """Yield the faults between records that are not mere consequences of faults before."""
    by_title = {read.title: read for read in reads.values()}
    said = {
        (fault.sheet, fault.cell)
        for fault in before
        if fault.cell and fault.severity is Severity.ERROR
    }
    said |= {(read.title, address) for read in reads.values() for address in read.covered}
    doubted = {
        (read.sheet.title, name) for read in reads.values() for name in read.fields_in_doubt()
    }
    muted = {heading for place in doubted for heading in _MUTES.get(place, ())}
    for fault in found:
        if (fault.sheet, fault.cell) in said or fault.heading in muted:
            continue
        read = by_title.get(fault.sheet)
        if read is not None:
            column = next((c for c in read.sheet.columns if c.heading == fault.heading), None)
            if column is not None and (
                column.field in read.unread
                or (
                    column.names
                    and not _defines(read.sheet, column)
                    and _in_doubt(column.names, doubted)
                )
            ):
                continue
        yield fault


def _in_doubt(kind: str, doubted: set[tuple[str, str]]) -> bool:
    """Tell whether a name of this kind may stand in a cell that could not be read."""
    fields = {
        (sheet.title, column.heading): column.field for sheet in SHEETS for column in sheet.columns
    }
    return any((title, fields[title, heading]) in doubted for title, heading in NAMED_BY[kind])


def _no_rope(reads: dict[str, Records]) -> Iterator[Fault]:
    """Yield a warning where there is a sheet of ropes without a row."""
    rope = reads.get("Rope")
    if rope is not None and not rope.records:
        message = "no rows: legs are all chain, as where there is no such sheet"
        yield Fault(rope.title, 0, "", "", message, Severity.WARNING)
