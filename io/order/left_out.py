"""Left out: what no plan can use, with the reason and the figure that came nearest."""

from __future__ import annotations

from ..paper.book import PlanBook
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..told.left_out_text import SHEET
from ..words.kinds import NumberKind

HEADING_ROW = 4

COLUMNS = (
    SheetColumn("What", widest=12),
    SheetColumn("Name", widest=34),
    SheetColumn("Reason", widest=26),
    SheetColumn("Nearest", widest=70),
    SheetColumn("Required", NumberKind.FACTOR),
    SheetColumn("Available", NumberKind.FACTOR),
    SheetColumn("Unit", widest=12),
    SheetColumn("Stands in", widest=22),
)


def write_left_out(book: PlanBook) -> None:
    """Write a row for every anchor, chain, rope, fitting, price break, service and vessel that no
    plan of the farm can use."""
    plan = book.plan
    page = book.page(SHEET)
    lead = (
        "What stands in the workbook and no plan can use, with the reason and the nearest figure."
    )
    if not plan.left_out:
        lead = "Everything that stands in the workbook can be used by some plan."
    page.head(SHEET, lead, of=plan.farm.project.name, across=len(COLUMNS))
    rows: list[tuple[Value, ...]] = [
        (
            row.what,
            row.name,
            str(row.cause),
            row.told,
            row.required,
            row.available,
            row.unit,
            f"{row.source.sheet} row {row.source.row}" if row.source else "",
        )
        for row in plan.left_out
    ]
    table = page.table(HEADING_ROW, COLUMNS, rows)
    page.paragraphs(
        table.next_row + 1,
        [
            "Usable is not the same as used: what is only dearer than what was chosen is not here. "
            "A limit is worked out on the legs that ask least."
        ],
        len(COLUMNS),
        Look.NOTE,
    )
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW)
