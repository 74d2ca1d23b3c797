"""Stand-ins: what takes the place of sheets that a command can do without, and what it cannot."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from dataclasses import replace

from ...models.fault import Fault, Severity, Source
from ...models.site.project import Project
from ..layout.farm import PROJECT
from ..layout.goods import ANCHORS, CHAIN, FITTINGS, ROPE
from ..layout.offers import FREIGHT, OFFERS, SUPPLIERS
from ..needs.absent_sheets import absent_sheets
from ..needs.needs import Needs
from .records import InputRow, Records

CATALOGUES = (ANCHORS, CHAIN, ROPE, FITTINGS)
"""The sheets of goods that Offers may name."""


def left_out(read: Records, headings: Iterable[Fault], needs: Needs) -> Iterator[Fault]:
    """Yield the warning that a sheet is not used, since columns of it are missing.

    headings : what is wrong with its headings, mostly the reason: it stops nothing, and is said.
    """
    missing = ", ".join(f"'{title}'" for title in read.lacking)
    message = f"left out: for {needs.title} it would need {missing}"
    yield Fault(read.title, 0, "", "", message, Severity.WARNING)
    for fault in headings:
        stops = fault.severity is Severity.ERROR
        yield replace(fault, severity=Severity.WARNING) if stops else fault


def no_evidence(needs: Needs, reads: dict[str, Records]) -> Iterator[Fault]:
    """Yield the fault that of several sheets, of which one at least is needed, there is none."""
    if needs.one_of and not any(
        reads[sheet.title].records for sheet in needs.one_of if sheet.title in reads
    ):
        names = ", ".join(sheet.title for sheet in needs.one_of)
        yield Fault("", 0, "", "", f"nothing to go by: one of these sheets is needed: {names}")


def whose_origin(reads: dict[str, Records]) -> Iterator[Fault]:
    """Yield the fault that nothing says which goods leave from which of several origins."""
    services = reads[FREIGHT.title].records if FREIGHT.title in reads else []
    origins = {str(row.values.get("origin")).casefold() for row in services}
    if len(origins) > 1 and SUPPLIERS.title not in reads:
        message = "the sheet is missing: Freight has several origins, and only it says whose"
        yield Fault(SUPPLIERS.title, 0, "", "", message)
        unread = set(SUPPLIERS.by_field)
        reads[SUPPLIERS.title] = Records(SUPPLIERS, SUPPLIERS.title, unread=unread)


def leave_offers_of_unread_goods(reads: dict[str, Records], there: Container[str]) -> None:
    """Leave out the offers of goods whose own sheet a command does not read, such as fittings.

    there : the titles of all sheets of the workbook, read or not.
    """
    titles = [sheet.title for sheet in CATALOGUES]
    if OFFERS.title not in reads or all(one in reads or one not in there for one in titles):
        return
    known = {
        str(record.values.get("name")).casefold()
        for title in titles
        if title in reads
        for record in reads[title].records
    }
    offers = reads[OFFERS.title]
    offers.records = [
        one for one in offers.records if str(one.values.get("item")).casefold() in known
    ]


def add_stand_ins(reads: dict[str, Records], needs: Needs) -> None:
    """Add what stands for the sheets that are absent or without a row, where a command can do
    without them."""
    given = {
        title: [record.values for record in read.records]
        for title, read in reads.items()
        if read.records
    }
    settings = given.get(PROJECT.title) or [{}]
    currency = str(settings[0].get("currency") or Project().currency)
    for sheet, rows in absent_sheets(given, needs, currency):
        source = Source(sheet.title, 0)
        read = reads.setdefault(sheet.title, Records(sheet, sheet.title, needs=needs))
        read.records = [InputRow(source, values, stood_in=set(values)) for values in rows]


def stood_in(reads: dict[str, Records]) -> set[tuple[str, int, str]]:
    """Return the sheet, row and heading of every figure that is a stand-in."""
    return {
        (read.title, row.source.row, read.sheet.by_field[name].heading)
        for read in reads.values()
        for row in read.records
        for name in row.stood_in
    }
