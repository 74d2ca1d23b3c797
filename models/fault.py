"""A fault: something in the workbook, or in the farm it describes, that stops a price."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from types import MappingProxyType


class Severity(StrEnum):
    """Whether a fault stops the work or is only said."""

    ERROR = "error"
    WARNING = "warning"
    """A doubt: it can be read and priced, but is hardly meant."""
    NOTE = "note"
    """What was understood, for the record: no doubt."""


@dataclass(frozen=True)
class Source:
    """Where a record was read: its sheet, its row and the cell of each of its headings.

    `cells` maps a heading (as the template spells it, without unit) to an address such as "F14".
    """

    sheet: str
    row: int
    cells: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong: where it is, what was found, what would do."""

    sheet: str
    row: int
    cell: str
    heading: str
    message: str
    severity: Severity = Severity.ERROR

    @classmethod
    def at(
        cls,
        source: Source | None,
        heading: str,
        message: str,
        severity: Severity = Severity.ERROR,
    ) -> Fault:
        """Return a fault at one heading of the record read from `source`."""
        if source is None:
            return cls("", 0, "", heading, message, severity)
        return cls(
            source.sheet, source.row, source.cells.get(heading, ""), heading, message, severity
        )

    def __str__(self) -> str:
        place = f"{self.sheet}!{self.cell}" if self.cell else self.sheet
        if self.sheet and not self.cell and self.row:
            place = f"{self.sheet} row {self.row}"
        words = " ".join(part for part in (place, self.heading) if part)
        return f"{words}: {self.message}" if words else self.message


class FarmError(Exception):
    """Raised when a workbook or a farm cannot be priced as it stands; carries every fault."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


def closest(name: str, known: Iterable[str]) -> str:
    """Return "; did you mean 'x'?" for the known name most like `name`, or ""."""
    by_fold = {candidate.casefold(): candidate for candidate in known}
    match = difflib.get_close_matches(name.casefold(), list(by_fold), n=1, cutoff=0.6)
    return f"; did you mean '{by_fold[match[0]]}'?" if match else ""


def rounded(number: float, figures: int = 3) -> str:
    """Return a number to so many significant figures, written out: "74800", never 7.48e+04."""
    return f"{Decimal(f'{number:.{figures}g}'):f}"
