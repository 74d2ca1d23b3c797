"""The papers: one workbook a reader, each with nothing in it that its reader must not see."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Mapping

from ...models.answer.plan import Plan
from ...models.goods.supplier import ORDERED_BEFORE
from ..buying.booking import forwarders, write_booking_list
from ..buying.load_plans import write_loads_of
from ..buying.purchase_order import write_purchase_order
from ..buying.returns import returns_of, write_return
from ..evidence.evidence_book import write_engineers_evidence
from ..laying.cutting_list import write_cutting_list
from ..laying.farm_picture import write_farm_picture
from ..laying.kit_list import write_kit_list
from ..laying.laying_plan import campaigns_planned, write_laying_plan
from ..laying.legs import write_legs
from ..laying.lines import write_lines
from ..order.basis import write_basis
from ..order.summary import write_summary
from ..paper.book import PlanBook
from ..paper.page import HandWritten
from ..words.case import PLAN_ALONE, Case
from ..words.orders import orders_to_send

ENDING = ".xlsx"
ZIP_NAME = "papers.zip"

Writer = Callable[[PlanBook], None]


def papers_of(
    plan: Plan, case: Case = PLAN_ALONE, hand: HandWritten | None = None
) -> dict[str, bytes]:
    """Return file name → workbook, a paper for every reader of a plan.

    case : the options, reasons and turning points that the manager sees. hand : what was written
    by hand into the fields of the order's sheets, by their titles.
    """
    written: dict[str, bytes] = {}

    def paper(name: str, *writers: Writer) -> None:
        book = PlanBook(plan, hand)
        for write in writers:
            write(book)
        file = file_name(name)
        number = 1
        while f"{file}{ENDING}".casefold() in {known.casefold() for known in written}:
            number += 1
            file = f"{file_name(name)} {number}"
        written[f"{file}{ENDING}"] = book.content()

    paper("summary", lambda book: write_summary(book, book.page("Summary"), case))
    for supplier, lines in orders_to_send(plan):
        paper(
            f"purchase order {supplier.name}",
            lambda book, supplier=supplier, lines=lines: write_purchase_order(  # type: ignore[misc]
                book, supplier, lines
            ),
        )
    for supplier, returned in returns_of(plan):
        paper(
            f"return of goods {supplier.name}",
            lambda book, supplier=supplier, of=returned: write_return(  # type: ignore[misc]
                book, supplier, of
            ),
        )
    for forwarder, bookings in forwarders(plan).items():
        if all(booking.origin == ORDERED_BEFORE for booking in bookings):
            continue
        paper(
            f"booking {forwarder}",
            lambda book, name=forwarder, of=bookings: write_booking_list(  # type: ignore[misc]
                book, name, of
            ),
            lambda book, of=bookings: write_loads_of(book, of),  # type: ignore[misc]
        )
    paper("yard", write_cutting_list, write_kit_list)
    for campaign in campaigns_planned(plan):
        paper(
            f"laying {campaign.vessel}",
            lambda book, of=campaign: write_laying_plan(book, of),  # type: ignore[misc]
        )
    paper(
        "engineer",
        write_basis,
        write_legs,
        write_lines,
        write_farm_picture,
        write_engineers_evidence,
    )
    return written


def zip_of(papers: Mapping[str, bytes]) -> bytes:
    """Return the papers as one zip file."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as package:
        for name, paper in papers.items():
            package.writestr(name, paper)
    return content.getvalue()


def file_name(name: str) -> str:
    """Return a name as a file can have it on any system, without its ending."""
    plain = re.sub(r'[<>:"/\\|?*\x00-\x1f]', " ", name)
    return re.sub(" +", " ", plain).strip(" .")[:120].rstrip(" .") or "paper"
