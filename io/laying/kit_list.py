"""The kit list: a row a line, with all that belongs to it by mark and by number."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...models.answer.plan import Plan
from ...models.evidence.lines import PlanLine, lines_of
from ...models.goods.fitting import Fitting
from ..paper.book import PlanBook
from ..paper.page import Formula, SheetColumn, Value
from ..paper.style import Look
from ..words.cautions import WORK
from ..words.kinds import NumberKind
from .cut_patterns import marks_by_line

HEADING_ROW = 4

COLUMNS = (
    SheetColumn("Line", widest=16),
    SheetColumn("Anchor", widest=22),
    SheetColumn("Anchors", NumberKind.COUNT),
    SheetColumn("Chain", widest=18),
    SheetColumn("Chain (m)", NumberKind.LENGTH_M),
    SheetColumn("Pieces of chain", widest=40),
    SheetColumn("Joins", NumberKind.COUNT),
    SheetColumn("Rope", widest=20),
    SheetColumn("Rope, cut (m)", NumberKind.LENGTH_M),
    SheetColumn("Piece of rope", widest=12),
)
ANCHORS, JOINS = 3, 7
DONE = SheetColumn("Kitted", widest=7)
WIDTHS = (12.0, 18.0, 8.0, 14.0, 8.0, 32.0, 6.0, 18.0, 9.0, 10.0)
FITTING_WIDTH = 5.0

NOTE = (
    "Pieces by their marks, as the Cutting list has them: code, length, piece. Joined pieces stand "
    "in the order from the anchor up, each join with its connector. Rope is the length cut, its "
    "eyes in it. Fittings: how many of each. Keep a line's kit together under its tag."
)


def write_kit_list(book: PlanBook) -> None:
    """Write a row for every line of the farm, and what all of them take."""
    plan = book.plan
    page = book.page("Kit list")
    lines = lines_of(plan)
    fittings = [f for f in plan.farm.fittings if any(_needs(f, line) for line in lines)]
    columns = (
        *COLUMNS,
        *(SheetColumn(f"F{number}", NumberKind.COUNT) for number in range(1, len(fittings) + 1)),
        DONE,
    )
    page.head(
        "Kit list",
        f"What belongs to every line, by its tag.{_legend(fittings)}",
        of=plan.farm.project.name,
        across=len(columns),
    )
    page.widths([*WIDTHS, *[FITTING_WIDTH] * len(fittings), DONE.widest])
    table = page.table(HEADING_ROW, columns, _rows(plan, lines, fittings))
    row = table.next_row
    for column in range(1, len(columns) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    sums = [(ANCHORS, sum(line.row.make_up.anchors for line in lines))]
    sums.append((JOINS, sum(piece.part > 1 for cut in plan.cuts for piece in cut.pieces)))
    sums += [
        (len(COLUMNS) + number, sum(_needs(fitting, line) for line in lines))
        for number, fitting in enumerate(fittings, start=1)
    ]
    if lines:
        for column, value in sums:
            cells = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
            page.put(row, column, Formula(cells, value), NumberKind.COUNT, Look.TOTAL)
    page.paragraphs(row + 2, [NOTE, WORK], len(columns), Look.NOTE)
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW, close=True)


def _legend(fittings: Sequence[Fitting]) -> str:
    """Return which fitting each short heading stands for."""
    named = ", ".join(f"F{number} {f.name}" for number, f in enumerate(fittings, start=1))
    return f" Fittings: {named}." if named else ""


def _needs(fitting: Fitting, line: PlanLine) -> int:
    """Return how many of a fitting one line takes."""
    made = line.row.make_up
    return fitting.needed(made.anchors) if fitting.applies_to(made.chain) else 0


def _rows(
    plan: Plan, lines: Sequence[PlanLine], fittings: Sequence[Fitting]
) -> Iterator[tuple[Value, ...]]:
    marks = marks_by_line(plan)
    for line in lines:
        made = line.row.make_up
        chain = marks.get((made.chain, line.leg, line.line), ())
        rope = marks.get((made.rope or "", line.leg, line.line), ())
        yield (
            line.tag,
            made.anchor,
            made.anchors,
            made.chain,
            made.chain_m,
            " ".join(chain),
            len(chain) - 1 if len(chain) > 1 else None,
            made.rope or "none",
            made.rope_piece_m(plan.farm.project) if made.rope else None,
            ", ".join(rope),
            *(_needs(fitting, line) or None for fitting in fittings),
            "",
        )
