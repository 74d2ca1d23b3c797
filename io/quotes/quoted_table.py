"""The table of a quotation's file: its texts, the row that heads its lines, its faults so far."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ...models.farm import Farm
from ...models.fault import Fault, Severity
from ..layout.quotation import UNIT_PRICE
from ..reading.table import InputTable, Row
from ..words.grammar import plain
from .layout_words import Meanings, folded


@dataclass
class Reading:
    """One file under way."""

    farm: Farm
    file: str
    faults: list[Fault] = field(default_factory=list)

    def say(
        self, table: str, row: int, cell: str, heading: str, message: str, *, error: bool = True
    ) -> None:
        """Keep a fault of a cell."""
        severity = Severity.ERROR if error else Severity.WARNING
        self.faults.append(Fault(f"{self.file}: {table}", row, cell, heading, message, severity))

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
