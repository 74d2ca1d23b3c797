"""A laying plan filled in on board, read back as the lines that lie."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from openpyxl.utils import get_column_letter

from ...models.after.laid_faults import ACCEPT, laid_faults
from ...models.farm import Farm
from ...models.fault import FarmError, Fault, Severity, Source, closest
from ...models.site.laid_line import LaidLine
from ..layout.laid import LAID
from ..reading.cells import Cell, RefusedError, value_of
from ..reading.table import InputTable, Row, unusable
from ..reading.xlsx_file import open_tables
from ..words.grammar import plain

HEADINGS = ("line", "anchor", "chain", "rope", "laid at e", "laid at n", "pull (kn)", "drag (m)")
"""By which the table of a laying plan's lines is known, whatever stands above it."""

BLANKS = {
    "laid at e": "easting_m",
    "laid at n": "northing_m",
    "pull (kn)": "pull_kn",
    "drag (m)": "drag_m",
    "date, time": "laid_on",
    "signed": "",
}
"""What is filled in on board, and the field of the Laid sheet that it goes to."""

_TAG = re.compile(r"^(?P<leg>.+)/(?P<line>\d+)(?: \(part (?P<part>\d+) of (?P<parts>\d+)\))?$")
_ANCHORS = re.compile(r"^(?P<count>\d+) [×x] (?P<name>.+)$")
_LENGTH = re.compile(r"^(?P<metres>[\d.,]+) m (?P<name>.+)$")


@dataclass
class _Reader:
    """The rows of one sheet's lines, and what is wrong with them."""

    table: InputTable
    columns: dict[str, int]
    farm: Farm
    faults: list[Fault] = field(default_factory=list)

    def text(self, row: Row, heading: str) -> str:
        """Return what a row says under a heading."""
        cell = row.cells.get(self.columns.get(heading, 0))
        return "" if cell is None or cell.is_blank else plain(str(cell.value))

    def fault(self, row: Row, heading: str, message: str) -> None:
        """Say what is wrong with one cell."""
        letter = get_column_letter(self.columns[heading])
        cell = f"{letter}{row.number}"
        self.faults.append(Fault(self.table.title, row.number, cell, heading.capitalize(), message))

    def filled(self, row: Row) -> bool:
        """Tell whether anything was filled in."""
        return any(self.text(row, heading) for heading in BLANKS if heading in self.columns)

    def line(self, row: Row) -> LaidLine | None:
        """Return the line that a filled row says lies, or None with its faults said."""
        before = len(self.faults)
        values = self._blanks(row)
        tag = _TAG.match(self.text(row, "line"))
        if tag is None:
            self.fault(row, "line", "not a line's tag; needs leg/number, as it was printed")
        anchors = _ANCHORS.match(self.text(row, "anchor"))
        if anchors is None:
            self.fault(row, "anchor", "needs how many × which, such as '1 × plate 250'")
        chain = self._length(row, "chain")
        rope = None
        if self.text(row, "rope").casefold() not in ("", "none"):
            rope = self._length(row, "rope")
        if len(self.faults) > before or tag is None or anchors is None or chain is None:
            return None
        at = {column: f"{get_column_letter(n)}{row.number}" for column, n in self.columns.items()}
        places = {
            "Leg": at["line"], "Line": at["line"], "Anchor": at["anchor"],
            "Chain": at["chain"], "Rope": at["rope"], "Pull": at["pull (kn)"],
            "Easting": at["laid at e"], "Northing": at["laid at n"], "Drag": at["drag (m)"],
        }  # fmt: skip
        values |= {} if rope is None else {"rope": rope[1], "rope_m": rope[0]}
        return LaidLine(
            leg=tag["leg"],
            line=int(tag["line"]),
            anchor=anchors["name"],
            anchors=int(anchors["count"]),
            chain=chain[1],
            chain_m=chain[0],
            source=Source(self.table.title, row.number, places),
            **values,
        )

    def part(self, row: Row) -> tuple[str, int]:
        """Return the tag of a row and of how many parts it is one: 1, mostly."""
        tag = _TAG.match(self.text(row, "line"))
        if tag is None:
            return self.text(row, "line"), 1
        return f"{tag['leg']}/{tag['line']}", int(tag["parts"] or 1)

    def _length(self, row: Row, heading: str) -> tuple[float, str] | None:
        found = _LENGTH.match(self.text(row, heading))
        try:
            return float(found["metres"].replace(",", ".")), found["name"]  # type: ignore[index]
        except (TypeError, ValueError):
            self.fault(row, heading, "needs metres and item, such as '27.5 m chain 26'")
            return None

    def _blanks(self, row: Row) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for heading, name in BLANKS.items():
            cell = row.cells.get(self.columns.get(heading, 0), Cell(""))
            if not name:
                signed = self.text(row, heading)
                values |= {"note": f"signed {signed}"} if signed else {}
                continue
            try:
                value, _ = value_of(cell, LAID.by_field[name])
            except RefusedError as refused:
                self.fault(row, heading, str(refused))
                continue
            if value is not None:
                values[name] = value
        return values


def with_laid(
    farm: Farm, path: Path, accepted: Mapping[str, str] | None = None
) -> tuple[Farm, int]:
    """Return a farm with the lines that a filled laying plan says lie, and how many are new.

    accepted : by tag, the engineer who accepts that a line does not stand by the basis. Raises
    FarmError with every fault by cell: what cannot be read, what does not stand.
    """
    accepted = accepted or {}
    readers = [reader for table in open_tables(path) for reader in _readers(table, farm)]
    if not readers:
        raise unusable(path, "no laying plan in it: no sheet has a table of lines with 'Laid at E'")
    new: list[LaidLine] = []
    for reader in readers:
        new += _lines_of(reader)
    faults = [fault for reader in readers for fault in reader.faults]
    if not new and not faults:
        raise unusable(path, "nothing is filled in: no line lies by it")
    known = {row.tag: row for row in farm.laid}
    added: list[LaidLine] = []
    for row in new:
        before = known.setdefault(row.tag, row)
        if before is row:
            added.append(replace(row, accepted_by=accepted.get(row.tag, "")))
        elif _record(before) != _record(row):
            message = f"{row.tag} is recorded already, and otherwise: correct it on the Laid sheet"
            faults.append(Fault.at(row.source, "Line", message))
    faults += _unknown(farm, added)
    of_none = [tag for tag in accepted if tag not in {row.tag for row in added}]
    faults += [
        Fault("", 0, "", "", f"{tag} is accepted, but is no line that the laying plan records anew")
        for tag in of_none
    ]
    after = replace(farm, laid=(*farm.laid, *added))
    if not faults:
        faults += [_by_option(fault) for fault in laid_faults(after) if _stops(fault)]
    if faults:
        raise FarmError(faults)
    return after, len(added)


def _stops(fault: Fault) -> bool:
    """Tell whether a fault stops the record: a farm all of whose lines lie can be recorded."""
    return fault.severity is Severity.ERROR and bool(fault.row)


def _by_option(fault: Fault) -> Fault:
    """Return a fault with how a laying plan's line is accepted: the plan has no cell for it."""
    how = "say which engineer accepts it: --accepted LINE=NAME"
    return replace(fault, message=fault.message.replace(ACCEPT, how))


def _record(row: LaidLine) -> tuple[object, ...]:
    return (row.anchor, row.anchors, row.chain, row.chain_m, row.rope, row.rope_m, row.pull_kn)


def _unknown(farm: Farm, rows: list[LaidLine]) -> Iterator[Fault]:
    """Yield the names that the farm does not have."""
    for row in rows:
        for heading, name, known in (
            ("Leg", row.leg, farm.leg_by_name),
            ("Anchor", row.anchor, farm.anchor_by_name),
            ("Chain", row.chain, farm.chain_by_name),
            ("Rope", row.rope, farm.rope_by_name),
        ):
            if name is not None and name not in known:
                message = f"'{name}' is not in the farm{closest(name, known)}"
                yield Fault.at(row.source, heading, message)


def _readers(table: InputTable, farm: Farm) -> Iterator[_Reader]:
    """Yield a reader of the lines of a laying plan, where a table holds one."""
    for at, row in enumerate(table.rows):
        said = {plain(str(cell.value)).casefold(): n for n, cell in row.cells.items()}
        if all(heading in said for heading in HEADINGS):
            below = InputTable(table.title, table.rows[at + 1 :], is_text=table.is_text)
            yield _Reader(below, said, farm)
            return


def _lines_of(reader: _Reader) -> list[LaidLine]:
    """Return the lines of a sheet that lie; of a line in parts, once all of them are filled in."""
    by_tag: dict[str, list[Row]] = defaultdict(list)
    for row in reader.table.rows:
        if reader.text(row, "line"):
            by_tag[reader.part(row)[0]].append(row)
        elif reader.filled(row):
            reader.fault(row, "line", "blank, and something is filled in: which line is it?")
    found = []
    for tag, rows in by_tag.items():
        filled = [row for row in rows if reader.filled(row)]
        if not filled:
            continue
        if len(filled) < len(rows):
            left = next(row for row in rows if row not in filled)
            reader.fault(left, "line", f"a part of {tag} is not filled in, and others are")
            continue
        line = reader.line(filled[-1])
        if line is not None:
            found.append(line)
    return found
