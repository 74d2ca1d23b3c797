"""The table of a quotation's file: its texts, the row that heads its lines, its faults so far."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from ...models.farm import Farm
from ...models.fault import Fault, Severity
from ..figures.decimals import marks_in
from ..layout.column import CellKind
from ..layout.quotation import UNIT_PRICE
from ..reading.cells import Cell
from ..reading.table import InputTable, Row
from ..words.grammar import plain
from .layout_words import Meanings, folded


@dataclass
class Reading:
    """One file under way."""

    farm: Farm
    file: str
    faults: list[Fault] = field(default_factory=list)
    currency: str = ""
    """The seller's, as Suppliers has it; "": not known who quotes."""
    exchange_rate: float = 1.0
    """Project currency for one of the seller's."""

    def say(
        self, table: str, row: int, cell: str, heading: str, message: str, *, error: bool = True
    ) -> None:
        """Keep a fault of a cell."""
        severity = Severity.ERROR if error else Severity.WARNING
        self.faults.append(Fault(self.place(table), row, cell, heading, message, severity))

    def place(self, table: str) -> str:
        """Return a table's place: its file and sheet; the file alone where it is text."""
        return f"{self.file}: {table}" if table else self.file

    @property
    def failed(self) -> bool:
        """Whether anything stops the quotation from being taken."""
        return any(fault.severity is Severity.ERROR for fault in self.faults)


def texts(row: Row) -> Iterator[tuple[int, str]]:
    """Yield the column numbers and texts of a row."""
    for number, cell in sorted(row.cells.items()):
        if isinstance(cell.value, str) and plain(cell.value):
            yield number, cell.value


def header(tables: Sequence[InputTable], meanings: Meanings) -> tuple[InputTable, int] | None:
    """Return the table and the place of the row that heads the items and their prices."""
    for table in tables:
        for at, row in enumerate(table.rows):
            heads = [meanings[folded(t)] for _, t in texts(row) if folded(t) in meanings]
            if any(m.ours == "Item" for m in heads) and any(m.column is UNIT_PRICE for m in heads):
                return table, at
    return None


FIGURES = {CellKind.NUMBER, CellKind.COUNT, CellKind.MONEY}


def with_marks(table: InputTable, top: int, meanings: Meanings) -> InputTable:
    """Return a table of text whose cells know how all its figures write decimals: one program
    wrote them. A workbook's stays as it is: it holds numbers as such."""
    if not table.is_text:
        return table
    heads = {n: meanings[folded(t)] for n, t in texts(table.rows[top]) if folded(t) in meanings}
    figures = {n for n, m in heads.items() if m.column is not None and m.column.kind in FIGURES}
    marks = marks_in(
        (cell.address, str(cell.value))
        for row in table.rows[top + 1 :]
        for number, cell in row.cells.items()
        if number in figures
    )

    def marked(cell: Cell) -> Cell:
        return replace(cell, marks=marks)

    rows = (Row(r.number, {n: marked(cell) for n, cell in r.cells.items()}) for r in table.rows)
    return replace(table, rows=tuple(rows))
