"""Whether a workbook is enough for each command, and what more it would take."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...models.answer.assumed import assumed
from ...models.farm import Farm
from ...models.fault import Fault, Severity
from ..layout.sheets import SHEETS
from ..needs.needs import EVIDENCE, Needs
from ..words.grammar import counted, listed
from ..words.unpriced import total_in_text

CANNOT_MOOR = "cannot be moored"
"""In the message of a leg that no make-up on offer holds: no cell of its own is at fault."""


@dataclass(frozen=True)
class Reading:
    """A workbook as one kind of command reads it."""

    needs: Needs
    farm: Farm | None
    """None: it is not enough."""
    faults: tuple[Fault, ...]

    @property
    def errors(self) -> tuple[Fault, ...]:
        """What stops the command."""
        return tuple(fault for fault in self.faults if fault.severity is Severity.ERROR)

    @property
    def lacks_a_sheet(self) -> bool:
        """Whether a whole sheet that it takes is missing, or has no rows."""
        return any(one.sheet and not (one.row or one.cell or one.heading) for one in self.errors)


def enough_words(readings: Sequence[Reading]) -> Iterator[str]:
    """Yield a line for each kind of command: enough or not, and what more it would take.

    None where all of them meet the same faults, as of a file that cannot be opened.
    """
    if all(r.farm is None and r.errors == readings[0].errors for r in readings):
        return
    for reading in readings:
        name = reading.needs.title
        if reading.farm is None:
            yield f"{name}: not enough; it takes {_lacking(reading.errors)}"
        elif reading.needs is EVIDENCE:
            yield f"{name}: enough{_more_evidence(reading.farm)}"
        else:
            yield f"{name}: enough for the {total_in_text(reading.farm)}{_more(reading.farm)}"


def _lacking(errors: Sequence[Fault]) -> str:
    """Return the sheets and columns that are missing, and how many cells are at fault."""
    whole = [fault for fault in errors if not fault.cell and not fault.row]
    named = [fault for fault in whole if fault.sheet]
    sheets = [f"the sheet {fault.sheet}" for fault in named if not fault.heading]
    columns = [f"{fault.heading} on {fault.sheet}" for fault in named if fault.heading]
    others = [fault.message for fault in whole if not fault.sheet]
    loose = sum(CANNOT_MOOR in fault.message for fault in errors)
    cells = len(errors) - len(whole) - loose
    mended = [f"{counted(cells, 'cell')} mended"] if cells else []
    mended += [f"what would hold {counted(loose, 'leg')}"] if loose else []
    return listed([*dict.fromkeys([*sheets, *columns, *others, *mended])])


def _more_evidence(farm: Farm) -> str:
    more = []
    if not farm.legs:
        more.append("Legs and Chain, for what each leg asks for")
    if any("unit_price" in anchor.stood_in for anchor in farm.anchors):
        more.append("Unit price, for the cost of a kilonewton")
    if not farm.freight_priced or any("pack_length_mm" in a.stood_in for a in farm.anchors):
        more.append("pack sides and Freight, for its carriage")
    return f"; more: {'; '.join(more)}" if more else ""


def _more(farm: Farm) -> str:
    more = []
    if not farm.freight_priced:
        more.append("the sheet Freight, or freight is not priced")
    if not farm.laying_priced:
        more.append("the sheet Vessels, or the laying is not priced")
    if any("origin" in supplier.stood_in for supplier in farm.suppliers):
        more.append("the sheet Suppliers, or all prices are in the project's currency")
    found = Counter(one.catalogue for one in assumed(farm))
    if found:
        titles = {sheet.farm_field: sheet.title for sheet in SHEETS}
        said = listed([f"{number} on {titles[where]}" for where, number in found.items()])
        more.append(f"facts that defaults stand in for: {said} (check --next ranks them)")
    return f"; more: {'; '.join(more)}" if more else ""
