"""The cutting list: every length of chain and rope, and which legs it is cut for."""

from __future__ import annotations

from collections.abc import Iterator

from ..models.plan import Cut, Piece, Plan
from .page import Column, Formula, Page, Value
from .plan_book import PlanBook
from .style import Kind, Look

HEADING_ROW = 4

COLUMNS = (
    Column("Item", widest=24),
    Column("Cut from", widest=16),
    Column("Its length (m)", Kind.LENGTH_M),
    Column("Cut", Kind.COUNT),
    Column("Piece (m)", Kind.LENGTH_M),
    Column("For leg", widest=20),
    Column("Leg no.", Kind.COUNT),
    Column("Joined", widest=16),
    Column("Left over (m)", Kind.LENGTH_M),
)


def write_cutting_list(book: PlanBook) -> None:
    """Write a row for every piece cut."""
    plan = book.plan
    page = book.page("Cutting list")
    pieces = sum(len(cut.pieces) for cut in plan.cuts)
    offcuts = sum(cut.offcut_m for cut in plan.cuts)
    page.head(
        "Cutting list",
        f"{plan.farm.project.name}. {len(plan.cuts)} lengths are cut into {pieces} pieces; "
        f"{offcuts:,.1f} m are left over. Cut in the order given.",
        across=len(COLUMNS),
    )
    table = page.table(HEADING_ROW, COLUMNS, _rows(page, plan))
    page.paragraphs(
        table.next_row + 1,
        [
            "Measure chain pulled straight and rope as its maker says for its lay; add what "
            "splices and end terminations take up. Lengths here are between the ends of the "
            "finished piece."
        ],
        len(COLUMNS),
        Look.NOTE,
    )
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW)


def _rows(page: Page, plan: Plan) -> Iterator[tuple[Value, ...]]:
    """Yield a row a piece; the last piece of a length says what is left over."""
    row = HEADING_ROW + 1
    for cut in plan.cuts:
        first = row
        for number, piece in enumerate(cut.pieces, start=1):
            last = number == len(cut.pieces)
            left = Formula(
                f"{page.at(first, 3)}-SUM({page.at(first, 5)}:{page.at(row, 5)})", cut.offcut_m
            )
            yield _row(cut, number, piece, left if last else None)
            row += 1


def _row(cut: Cut, number: int, piece: Piece, left: Formula | None) -> tuple[Value, ...]:
    """Return one piece's cells."""
    joined = f"part {piece.part} of {piece.parts}" if piece.parts > 1 else ""
    return (
        cut.item,
        cut.stock,
        cut.stock_m,
        number,
        piece.length_m,
        piece.leg,
        piece.line,
        joined,
        left,
    )
