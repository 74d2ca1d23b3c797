"""The cutting list: each length of chain and rope, its marks, for which legs, what is left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from ...models.answer.plan import Cut, Piece, Plan
from ...models.arrays import ROUNDING
from ...models.site.project import Project
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind

HEADING_ROW = 4

COLUMNS = (
    SheetColumn("Item", widest=24),
    SheetColumn("Cut from", widest=16),
    SheetColumn("Its length (m)", NumberKind.LENGTH_M),
    SheetColumn("Cut", NumberKind.COUNT),
    SheetColumn("From mark (m)", NumberKind.LENGTH_M),
    SheetColumn("To mark (m)", NumberKind.LENGTH_M),
    SheetColumn("Piece (m)", NumberKind.LENGTH_M),
    SheetColumn("For line", widest=20),
    SheetColumn("Joined", widest=16),
    SheetColumn("Left over (m)", NumberKind.LENGTH_M),
    SheetColumn("Offcut", widest=10),
)
LENGTH, FROM, TO, PIECE = 3, 5, 6, 7

NOTHING_M = 0.0005
"""An offcut shorter than half a millimetre is none."""

OFFCUTS = (
    SheetColumn("Item", widest=24),
    SheetColumn("Left of", widest=16),
    SheetColumn("Offcut (m)", NumberKind.LENGTH_M),
    SheetColumn("Pieces", NumberKind.COUNT),
)


def write_cutting_list(book: PlanBook) -> None:
    """Write a row for every piece cut, and the offcuts worth keeping."""
    plan = book.plan
    page = book.page("Cutting list")
    pieces = sum(len(cut.pieces) for cut in plan.cuts)
    offcuts = sum(cut.offcut_m for cut in plan.cuts)
    page.head(
        "Cutting list",
        f"{len(plan.cuts)} lengths are cut into {pieces} pieces; "
        f"{offcuts:,.1f} m are left over. Lay out each length, mark it from one end as stated, "
        "and cut in the order given.",
        of=plan.farm.project.name,
        across=len(COLUMNS),
    )
    table = page.table(HEADING_ROW, COLUMNS, _rows(page, plan))
    row = page.paragraphs(
        table.next_row + 1,
        [
            "Marks are metres from the end where measuring starts. Measure chain pulled straight "
            f"and rope as its maker says for its lay. {eyes_words(plan.farm.project)} Chain "
            "under tension and lengths that are let go can kill: nobody stands in line."
        ],
        len(COLUMNS),
        Look.NOTE,
    )
    shortest = plan.farm.project.shortest_offcut_m
    title = f"Offcuts to keep: {shortest:g} m and longer, and lengths left whole"
    page.put(row + 1, 1, title, look=Look.SECTION, across=len(COLUMNS))
    page.table(row + 2, OFFCUTS, _kept(plan, shortest))
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW)


def eyes_words(project: Project) -> str:
    """Return what of a rope piece its eyes take."""
    if project.rope_in_each_eye_m <= 0:
        return "Rope pieces are cut without anything for eyes or splices: add what they take up."
    return (
        f"A rope piece is the length of the Leg schedule, between the eyes, and "
        f"{project.rope_in_each_eye_m:g} m for each of its two eyes: check that it is enough for "
        "the splice and thimble that are used."
    )


def _rows(page: Page, plan: Plan) -> Iterator[tuple[Value, ...]]:
    """Yield a row a piece; the last piece of a length says what is left over."""
    row = HEADING_ROW + 1
    shortest = plan.farm.project.shortest_offcut_m
    for cut in plan.cuts:
        mark = 0.0
        for number, piece in enumerate(cut.pieces, start=1):
            start = Formula(page.at(row - 1, TO), mark) if number > 1 else 0.0
            mark += piece.length_m
            end = Formula(f"{page.at(row, FROM)}+{page.at(row, PIECE)}", mark)
            left: tuple[Value, Value] = (None, None)
            if number == len(cut.pieces):
                over = Formula(f"{page.at(row, LENGTH)}-{page.at(row, TO)}", cut.offcut_m)
                left = (over, _worth(cut, shortest))
            tag = plan.farm.leg_by_name[piece.leg].tag(piece.line)
            yield _row(cut, number, piece, tag, (start, end), left)
            row += 1


def _cut_from(cut: Cut) -> str:
    """Return what it is cut from, in words: "length 3", or "on hand 1"."""
    return f"{'on hand' if cut.on_hand else 'length'} {cut.number}"


def _is_left(cut: Cut) -> bool:
    """Tell whether there is an offcut at all."""
    return cut.offcut_m >= NOTHING_M


def _is_kept(cut: Cut, shortest_m: float) -> bool:
    """Tell whether the offcut is worth keeping."""
    return _is_left(cut) and cut.offcut_m >= shortest_m - ROUNDING


def _worth(cut: Cut, shortest_m: float) -> str:
    """Return what becomes of the offcut, in words."""
    if not _is_left(cut):
        return "none"
    return "keep" if _is_kept(cut, shortest_m) else "scrap"


def _row(
    cut: Cut,
    number: int,
    piece: Piece,
    tag: str,
    marks: tuple[Value, Value],
    left: tuple[Value, Value],
) -> tuple[Value, ...]:
    """Return one piece's cells."""
    joined = f"part {piece.part} of {piece.parts}" if piece.parts > 1 else ""
    return (
        cut.item,
        _cut_from(cut),
        cut.stock_m,
        number,
        *marks,
        piece.length_m,
        tag,
        joined,
        *left,
    )


def _kept(plan: Plan, shortest_m: float) -> Iterator[tuple[Value, ...]]:
    """Yield the offcuts worth keeping, longest first by item, and the lengths nothing is cut from;
    a row for those of one length."""
    for item in plan.farm.items:
        if not item.length_sold_m:
            continue
        mine = [cut for cut in plan.cuts if cut.item == item.name]
        offcuts = [cut for cut in mine if _is_kept(cut, shortest_m)]
        for cut in sorted(offcuts, key=lambda cut: -cut.offcut_m):
            yield item.name, _cut_from(cut), cut.offcut_m, 1
        bought = sum(line.quantity for line in plan.orders if line.item == item.name)
        whole = bought - sum(not cut.on_hand for cut in mine)
        if whole > 0:
            yield item.name, "bought, not cut", item.length_sold_m, whole
        if bought or mine:
            hand = Counter(item.on_hand)
            hand.subtract(cut.stock_m for cut in mine if cut.on_hand)
            for metres, count in sorted(hand.items(), reverse=True):
                if count > 0 and metres >= shortest_m:
                    yield item.name, "on hand, not cut", metres, count
