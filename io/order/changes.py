"""Changes: what is otherwise than in the earlier order, and what that costs."""

from __future__ import annotations

from ..paper.book import PlanBook
from ..paper.page import Formula, SheetColumn
from ..paper.style import Look
from ..told.change_text import HEADINGS, HOW, KINDS, MONEY, SHEET, cells_of, held_words, old_total
from ..words.kinds import NumberKind

HEADING_ROW = 4
WIDEST = {"What": 12, "Which": 30, "Was": 34, "Is": 34, "Because": 60}
COLUMNS = tuple(
    SheetColumn(name, kind) if name in MONEY else SheetColumn(name, widest=WIDEST[name])
    for name, kind in zip(HEADINGS, KINDS, strict=True)
)
FIRST_MONEY, TOGETHER = 5, 8


def write_changes(book: PlanBook) -> None:
    """Write a row a change, their sums, and that they are the difference of the totals; nothing
    where there is no earlier order."""
    plan = book.plan
    if not plan.after:
        return
    page = book.page(SHEET)
    currency = plan.farm.project.currency
    page.head(
        SHEET,
        f"Against {plan.after}: what is otherwise, and what each costs more (less with a minus), "
        f"{currency}.",
        of=plan.farm.project.name,
        across=len(COLUMNS),
    )
    changes = sorted(plan.changes, key=lambda change: not change.money)
    table = page.table(HEADING_ROW, COLUMNS, [cells_of(change) for change in changes])
    row = table.next_row
    for column in range(1, len(COLUMNS) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    sums = (
        sum(change.purchase for change in changes),
        sum(change.freight for change in changes),
        sum(change.boat for change in changes),
        sum(change.money for change in changes),
    )
    for column, money in enumerate(sums, start=FIRST_MONEY):
        cells = f"{page.at(table.first, column)}:{page.at(row - 1, column)}"
        total = Formula(f"SUM({cells})", money) if changes else money
        page.put(row, column, total, NumberKind.MONEY, Look.TOTAL)
    spent = sum(plan.before.values())
    for offset, (label, money) in enumerate(
        (
            (f"What {plan.after} came to", old_total(plan)),
            ("Ordered or spent before this order", spent),
            ("This order: still to be paid", plan.installed_cost),
            ("Together, now", plan.total_cost),
            ("Difference", plan.total_cost - old_total(plan)),
        ),
        start=2,
    ):
        page.put(row + offset, 1, label, look=Look.STRONG, across=3)
        page.put(row + offset, TOGETHER, money, NumberKind.MONEY)
    notes = filter(None, (held_words(plan), HOW))
    page.paragraphs(row + 8, notes, len(COLUMNS), Look.NOTE)
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW)
