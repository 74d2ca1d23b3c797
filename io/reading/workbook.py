"""The workbook in: an .xlsx file, or a folder of CSV files, read into a farm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ...models.doubts import doubts
from ...models.farm import Farm
from ...models.farm_faults import farm_faults
from ...models.fault import FarmError, Fault, Severity, Source, closest
from ...models.site.project import Project
from ..figures.currency import may_be
from ..figures.decimals import DecimalMarks, marks_in
from ..layout.column import InputColumn, InputSheet
from ..layout.farm import LEGS, PROJECT
from ..layout.offers import OFFERS, SUPPLIERS
from ..layout.sheets import INPUT_PREFIX, NAMED_BY, NOT_INPUT, SHEETS
from ..needs.needs import PRICE, Needs
from ..words.grammar import as_found, plain
from .arrangement import Arrangement, first_filled
from .records import InputRow, Records, arrange, read_as, read_records
from .sheet_marks import runs_of
from .stand_ins import (
    add_stand_ins,
    leave_offers_of_unread_goods,
    left_out,
    no_evidence,
    stood_in,
    whose_origin,
)
from .table import InputTable
from .xlsx_file import open_tables

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


def read_farm(path: str | Path, needs: Needs = PRICE) -> Farm:
    """Return the farm of a workbook, or of a folder of CSV files (one a sheet).

    needs : of the command that it is read for. Raises FarmError with everything that is wrong.
    """
    return read_farm_with_warnings(path, needs)[0]


def read_farm_with_warnings(
    path: str | Path, needs: Needs = PRICE
) -> tuple[Farm, tuple[Fault, ...]]:
    """Return the farm, and what is doubtful about its workbook but does not stop a command.

    needs : of the command that it is read for.

    Raises FarmError with everything that is wrong with it, the warnings too.
    """
    path = Path(path)
    return farm_of(open_tables(path, _is_input), path.name, needs)


@dataclass(frozen=True)
class ColumnRead:
    """One column as it was understood."""

    sheet: str
    cell: str
    """Where its heading stands."""
    found: str
    taken_as: str
    unit: str
    first: str
    """The first filled cell, as it stands."""
    read_as: str
    """The value read of it, in the column's own unit; or why there is none."""


def columns_read(path: str | Path) -> tuple[ColumnRead, ...]:
    """Return every column of a workbook as it was understood; raises FarmError if unopened."""
    tables = _by_sheet(open_tables(Path(path), _is_input))[0]
    laid = {s.title: arrange(s, tables[s.title]) for s in SHEETS if s.title in tables}
    marks = _marks(laid)
    return tuple(
        column
        for sheet in SHEETS
        if sheet.title in laid
        for column in _columns(sheet, laid[sheet.title], marks)
    )


def _columns(sheet: InputSheet, laid: Arrangement, marks: DecimalMarks) -> Iterator[ColumnRead]:
    """Yield a sheet's columns; of the Project sheet, its settings."""
    if laid.headings is None:
        return
    for number, cell in sorted(laid.headings.cells.items()):
        hit = laid.found.get(number)
        first = first_filled(laid, number)
        if hit is None:
            taken, unit, read = "not read", "", ""
        else:
            taken = hit.column.title
            unit = hit.unit or hit.column.unit
            read = read_as(first, hit, marks) if first is not None else ""
        stands = "" if first is None else as_found(first.value)
        yield ColumnRead(
            laid.table.title, cell.address, plain(str(cell.value)), taken, unit, stands, read
        )


def _marks(laid: dict[str, Arrangement]) -> DecimalMarks:
    """Return how the whole file writes decimals."""
    return marks_in(
        (figure for table in laid.values() for figure in table.figures()),
        decides=all(table.table.is_text for table in laid.values()),
    )


def farm_of(
    given: Iterable[InputTable], file_name: str = "", needs: Needs = PRICE
) -> tuple[Farm, tuple[Fault, ...]]:
    """Return the farm of some tables, and what is doubtful about them; raises FarmError.

    needs : of the command that they are read for.
    """
    there, faults = _by_sheet(given)
    tables = {s.title: there[s.title] for s in SHEETS if s.title in there and needs.reads(s)}
    reads: dict[str, Records] = {}
    laid = {s.title: arrange(s, tables[s.title]) for s in SHEETS if s.title in tables}
    marks = _marks(laid)
    present = frozenset(title for title, table in laid.items() if table.rows)
    said_elsewhere = _offered(laid, marks, needs)
    for sheet in SHEETS:
        if sheet.title in tables:
            read = read_records(sheet, laid[sheet.title], marks, needs, present, said_elsewhere)
            if sheet in needs.if_complete and read.lacking:
                faults += left_out(read, laid[sheet.title].faults, needs)
            else:
                reads[sheet.title] = read
        elif sheet in needs.sheets:
            faults.append(Fault(sheet.title, 0, "", "", "the sheet is missing"))
            reads[sheet.title] = Records(sheet, sheet.title, unread=set(sheet.by_field))
    if LEGS.title not in reads:
        for sheet in needs.with_legs:
            reads.pop(sheet.title, None)
    leave_offers_of_unread_goods(reads, there)
    faults += no_evidence(needs, reads)
    faults += whose_origin(reads)
    add_stand_ins(reads, needs)
    for read in reads.values():
        faults += read.faults
    _resolve_names(reads)
    faults += _foreign(reads)
    farm = _farm(reads, file_name)
    faults += _new_faults([*farm_faults(farm), *_no_rope(reads)], reads, faults)
    if not any(fault.severity is Severity.ERROR for fault in faults):
        assumed = stood_in(reads)
        # Of figures that could all be read, and that somebody stated.
        faults += [one for one in doubts(farm) if (one.sheet, one.row, one.heading) not in assumed]
    order = {read.title: number for number, read in enumerate(reads.values())}
    faults = sorted(
        dict.fromkeys(faults),
        key=lambda f: (order.get(f.sheet, -1), f.row, len(f.cell), f.cell, f.message),
    )
    if any(fault.severity is Severity.ERROR for fault in faults):
        raise FarmError(faults)
    doubted = tuple(fault for fault in faults if fault.severity is Severity.WARNING)
    return replace(farm, doubts=doubted), tuple(faults)


def _offered(laid: dict[str, Arrangement], marks: DecimalMarks, needs: Needs) -> frozenset[str]:
    """Return Offers as the sheet that says what goods leave blank, where it can."""
    if OFFERS.title not in laid:
        return frozenset()
    offers = read_records(OFFERS, laid[OFFERS.title], marks, needs)
    unusable = OFFERS in needs.if_complete and offers.lacking
    return frozenset({OFFERS.title} if offers.records and not unusable else ())


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


def _foreign(reads: dict[str, Records]) -> Iterator[Fault]:
    """Yield a fault where an amount is shown in another currency than its seller's."""
    own = {"": Project().currency}
    for read in reads.values():
        if read.sheet.settings and read.records:
            own[""] = read.records[0].values.get("currency", Project().currency)
        for record in read.records:
            if read.sheet is SUPPLIERS and "currency" in record.values:
                own[str(record.values.get("name"))] = record.values["currency"]
    sellers = {
        record.values.get("name"): record.values.get("supplier")
        for read in reads.values()
        for record in read.records
        if "supplier" in record.values and record.values.get("name")
    }
    alike: dict[tuple[str, str, str, str], list[Source]] = {}
    for read in reads.values():
        for record in read.records:
            for name, shown in record.currencies.items():
                values = record.values
                seller = values.get("supplier", sellers.get(values.get("item"), ""))
                code = values.get("currency") or own.get(seller or "", "")
                if not code or may_be(shown, code):
                    continue
                heading = read.sheet.by_field[name].heading
                whose = f"'{seller}' sells in" if seller else "it is in"
                key = (read.title, heading, shown, f"{whose} {code}")
                alike.setdefault(key, []).append(record.source)
    for (_, heading, shown, whose), sources in alike.items():
        rows = f" (and rows {runs_of([s.row for s in sources[1:]])})" if len(sources) > 1 else ""
        message = f"shown in {shown}, but {whose}: convert it, or mend the currency{rows}"
        yield Fault.at(sources[0], heading, message)


def _farm(reads: dict[str, Records], file_name: str) -> Farm:
    """Return the farm of what was read; stand-ins take the place of what failed."""
    values: dict[str, Any] = {s.farm_field: () for s in SHEETS if not s.settings}
    for read in reads.values():
        if not read.sheet.settings:
            values[read.sheet.farm_field] = tuple(read.build(row) for row in read.records)
    settings = reads[PROJECT.title].records if PROJECT.title in reads else ()
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
