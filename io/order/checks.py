"""Checks: every limit tested again on the finished plan."""

from __future__ import annotations

import math

from ...models.answer.check_line import CheckLine
from ..paper.book import PlanBook
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..told.plan_text import verdict
from ..words.kinds import NumberKind

HEADING_ROW = 4
ROWS_PRINTED = 25
"""Of the sheet that holds every check, besides those that failed."""

KINDS = (
    SheetColumn("Check", widest=40),
    SheetColumn("Made", NumberKind.COUNT),
    SheetColumn("Failed", NumberKind.COUNT),
    SheetColumn("Nearest", widest=76),
    SheetColumn("Required", NumberKind.MONEY),
    SheetColumn("Available", NumberKind.MONEY),
    SheetColumn("Unit", widest=12),
    SheetColumn("Used", NumberKind.SHARE_FINE),
)
COLUMNS = (
    SheetColumn("Passed", widest=9),
    SheetColumn("Check", widest=40),
    SheetColumn("Where", widest=76),
    SheetColumn("Required", NumberKind.MONEY),
    SheetColumn("Available", NumberKind.MONEY),
    SheetColumn("Unit", widest=12),
    SheetColumn("Used", NumberKind.SHARE_FINE),
)


def write_checks(book: PlanBook) -> None:
    """Write a row for every kind of check, then, on a sheet of its own, every single one."""
    _write_kinds(book)
    _write_all(book)


def _write_kinds(book: PlanBook) -> None:
    """Write a row for every kind of check, with the one that came nearest to failing."""
    plan = book.plan
    page = book.page("Checks")
    page.head("Checks", verdict(plan.checks), of=plan.farm.project.name, across=len(KINDS))
    page.lead = "Every kind of limit, tested again on the finished plan, and its nearest case."
    kinds: dict[str, list[CheckLine]] = {}
    for check in plan.checks:
        kinds.setdefault(str(check.what), []).append(check)
    rows: list[tuple[Value, ...]] = []
    looks = []
    for what, checks in sorted(kinds.items(), key=lambda kind: all(c.passed for c in kind[1])):
        nearest = max(checks, key=lambda check: (not check.passed, check.utilisation))
        failed = sum(not check.passed for check in checks)
        rows.append((what, len(checks), failed, nearest.where, *_figures(nearest)))
        looks.append(Look.ALERT if failed else Look.BODY)
    table = page.table(HEADING_ROW, KINDS, rows, looks=looks)
    page.paragraphs(
        table.next_row + 1,
        [
            "The checks read only the finished plan and the catalogues, and share no code with the "
            "search for the plan. They cannot tell whether the inputs are right. Every single "
            "check is on the next sheet."
        ],
        len(KINDS),
        Look.NOTE,
    )
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW)


def _write_all(book: PlanBook) -> None:
    """Write a row for every check, those that failed first."""
    plan = book.plan
    page = book.page("Checks in full")
    lead = f"{verdict(plan.checks)} For the screen: of this "
    lead += f"long sheet only the first {ROWS_PRINTED} checks are printed, and all that failed."
    page.head("Checks in full", lead, of=plan.farm.project.name, across=len(COLUMNS))
    page.lead = "Every single check, those that failed first."
    ordered = sorted(plan.checks, key=lambda check: check.passed)
    rows = [
        ("yes" if check.passed else "NO", str(check.what), check.where, *_figures(check))
        for check in ordered
    ]
    looks = [Look.BODY if check.passed else Look.ALERT for check in ordered]
    page.table(HEADING_ROW, COLUMNS, rows, looks=looks)
    failed = sum(not check.passed for check in plan.checks)
    page.finish(
        plan.farm.project.name,
        heading_row=HEADING_ROW,
        print_rows=HEADING_ROW + max(ROWS_PRINTED, failed),
    )


def _figures(check: CheckLine) -> tuple[Value, ...]:
    """Return what was required and available, its unit, and the share used."""
    used: Value = check.utilisation if math.isfinite(check.utilisation) else "nothing there"
    return check.required, check.available, check.unit, used
