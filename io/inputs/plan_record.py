"""The plan's record: a sheet of the order that holds the plan whole, so that it can be read back.

Nothing is hidden: the sheet is listed in Contents, and its rows can be read. The farm is not on it
(it is on the Input sheets), nor are the checks, which are made again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...models.answer.plan import Plan
from ...models.farm import Farm
from ...models.fault import Fault
from ..paper.book import PlanBook
from ..paper.page import SheetColumn
from ..paper.style import Look
from ..words.case import Case
from ..words.kinds import NumberKind
from .program import this_program
from .records import RecordError, Row, record_of, rows_of

TITLE = "Plan record"
HEADING_ROW = 4
ROWS_PRINTED = 30

COLUMNS = (
    SheetColumn("Depth", NumberKind.COUNT),
    SheetColumn("Of", widest=16),
    SheetColumn("Its fields, in order", widest=24),
)

LEFT_OUT = ("farm", "checks")
MARK = 3
"""Where the mark of its program stands in the first row."""


@dataclass(frozen=True)
class ReadFrom:
    """What the Input sheets do not say of the farm that was priced."""

    origin_file: str
    written_with: str = ""
    """The mark of the program that wrote the order; "": it is older than such marks."""
    given: tuple[str, ...] = ()
    """The settings that its workbook set."""
    doubts: tuple[Fault, ...] = ()
    """What was doubted of it, by its own cells."""


def write_plan_record(book: PlanBook, case: Case) -> None:
    """Write the plan, and the case made for it, row by row."""
    plan = book.plan
    page = book.page(TITLE)
    page.head(
        TITLE,
        "The plan as it was priced, a row a record. For the program: moorledger papers reads "
        "it, and refuses an order whose other sheets say something else.",
        of=plan.farm.project.name,
        across=len(COLUMNS) + 4,
    )
    project = plan.farm.project
    farm = plan.farm
    read_from = ReadFrom(
        farm.origin_file, this_program(), tuple(sorted(project.given)), farm.doubts
    )
    rows = [
        *rows_of(read_from, "read from"),
        *rows_of(plan, "plan", LEFT_OUT),
        *rows_of(case, "case"),
    ]
    page.widths([8.0, 16.0, *[20.0] * (max(len(row) for row in rows) - 2)])
    page.table(HEADING_ROW, COLUMNS, ())
    for at, row in enumerate(rows, start=HEADING_ROW + 1):
        for column, cell in enumerate(row, start=1):
            page.put(at, column, cell, NumberKind.PLAIN, Look.BODY)
    page.finish(project.name, heading_row=HEADING_ROW, freeze=False, print_rows=ROWS_PRINTED)


def plan_of_record(rows: Sequence[Row], farm: Farm) -> tuple[Plan, Case]:
    """Return the plan and the case that rows of such a sheet hold; farm : of its Input sheets.

    Rows of an earlier version are read too. Raises RecordError where they hold none.
    """
    starts = [at for at, row in enumerate(rows) if row[0] == 0]
    if [str(rows[at][1]) for at in starts] != ["read from", "plan", "case"]:
        raise RecordError("the rows are not those of one plan")
    first, second, third = starts
    read_from = record_of(ReadFrom, rows[first:second])
    project = replace(farm.project, given=frozenset(read_from.given))
    farm = replace(
        farm, project=project, origin_file=read_from.origin_file, doubts=read_from.doubts
    )
    plan = record_of(Plan, rows[second:third], farm=farm, checks=())
    return plan, record_of(Case, rows[third:])


def is_of_this_program(rows: Sequence[Row]) -> bool:
    """Tell whether the program that runs wrote the order that holds these rows."""
    return len(rows[0]) > MARK and rows[0][MARK] == f"'{this_program()}'"
