"""The cutting list: how lengths of chain and rope are cut, pattern by pattern, and what is left."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate

from ...models.answer.plan import Cut, Plan
from ...models.arrays import ROUNDING
from ...models.site.project import Project
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind
from .cut_patterns import Pattern, codes_of, length_marks, numbers_of, patterns_of

HEADING_ROW = 4

COLUMNS = (
    SheetColumn("Item", widest=24),
    SheetColumn("Code", widest=7),
    SheetColumn("Its length (m)", NumberKind.LENGTH_M),
    SheetColumn("How often", NumberKind.COUNT),
    SheetColumn("Lengths", widest=14),
    SheetColumn("Pieces, in order (m)", widest=34),
    SheetColumn("Cut at the marks (m)", widest=38),
    SheetColumn("Pieces in all", NumberKind.COUNT),
    SheetColumn("Used of each (m)", NumberKind.LENGTH_M),
    SheetColumn("Left of each (m)", NumberKind.LENGTH_M),
    SheetColumn("Offcut", widest=10),
)
WIDTHS = (26.0, 8.0, 12.0, 9.0, 18.0, 44.0, 48.0, 10.0, 10.0, 10.0, 10.0)
LENGTH, OFTEN, IN_ALL, USED, LEFT = 3, 4, 8, 9, 10

CHANGED = "THE LENGTHS ORDERED HAVE CHANGED SINCE: price again before anything is cut."
WORK_CAUTION = (
    "Work: chain under tension, lengths that run out and lifts can kill: nobody stands in line or "
    "below, and competent crews lead the work, by the rules of the place."
)

NOTHING_M = 0.0005
"""An offcut shorter than half a millimetre is none."""

OFFCUTS = (
    SheetColumn("Item", widest=24),
    SheetColumn("Offcut (m)", NumberKind.LENGTH_M),
    SheetColumn("Pieces", NumberKind.COUNT),
    SheetColumn("Left of", widest=34),
)


def write_cutting_list(book: PlanBook) -> None:
    """Write a row for every pattern and how often it is cut, and the offcuts worth keeping."""
    plan = book.plan
    page = book.page("Cutting list")
    pieces = sum(len(cut.pieces) for cut in plan.cuts)
    patterns = patterns_of(plan)
    page.head(
        "Cutting list",
        f"{len(plan.cuts)} lengths are cut into {pieces} pieces by {len(patterns)} patterns; "
        f"{sum(cut.offcut_m for cut in plan.cuts):,.1f} m are left over. Which line a piece is "
        "for is on the Kit list.",
        of=plan.farm.project.name,
        across=len(COLUMNS),
    )
    page.widths(WIDTHS)
    table = page.table(HEADING_ROW, COLUMNS, _rows(page, plan, patterns))
    row = table.next_row
    for column in range(1, len(COLUMNS) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    if patterns:
        for column, value in ((OFTEN, len(plan.cuts)), (IN_ALL, pieces)):
            cells = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
            page.put(row, column, Formula(cells, value), NumberKind.COUNT, Look.TOTAL)
    flag = _changed(book, plan)
    if flag is not None:
        page.put(row + 1, 1, flag, look=Look.STRONG, across=len(COLUMNS))
    row = page.paragraphs(
        row + 2,
        [
            "Lay out each length, mark it from one end at the metres given, and cut in order. Tag "
            "every piece at once with its mark: code, length, piece, as in C2.7.1; H stands for a "
            "piece on hand. Measure chain pulled straight and rope as its maker says for its lay. "
            f"{eyes_words(plan.farm.project)}",
            WORK_CAUTION,
        ],
        len(COLUMNS),
        Look.NOTE,
    )
    shortest = plan.farm.project.shortest_offcut_m
    title = f"Offcuts to keep: {shortest:g} m and longer, and lengths left whole"
    page.put(row + 1, 1, title, look=Look.SECTION, across=len(COLUMNS))
    _write_offcuts(page, row + 2, _kept(plan, shortest))
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW, close=True)


def _write_offcuts(page: Page, row: int, kept: Iterator[tuple[Value, ...]]) -> None:
    """Write the offcuts, the last of their columns over the width of the sheet."""
    wide = len(COLUMNS) - len(OFFCUTS) + 1
    across = [1] * (len(OFFCUTS) - 1) + [wide]
    for offset, column in enumerate(OFFCUTS, start=1):
        over = across[offset - 1]
        page.put(row, offset, column.heading, column.kind, Look.HEADING, across=over)
    for at, values in enumerate(kept, start=row + 1):
        for offset, (column, value) in enumerate(zip(OFFCUTS, values, strict=True), start=1):
            page.put(at, offset, value, column.kind, across=across[offset - 1], ruled=True)


def _changed(book: PlanBook, plan: Plan) -> Formula | None:
    """Return a live flag that says when lengths are ordered that were not cut for."""
    differ = []
    for name in codes_of(plan):
        cells = [line for line in book.ordered if line.line.item == name]
        if cells:
            now = "+".join(line.quantity for line in cells)
            differ.append(f"{now}<>{sum(line.line.quantity for line in cells)}")
    return Formula(f'IF(OR({",".join(differ)}),"{CHANGED}","")', "") if differ else None


def eyes_words(project: Project) -> str:
    """Return what of a rope piece its eyes take."""
    if project.rope_in_each_eye_m <= 0:
        return "Rope pieces are cut without anything for eyes or splices: add what they take up."
    return (
        f"A rope piece is the length of the Leg schedule, between the eyes, and "
        f"{project.rope_in_each_eye_m:g} m for each of its two eyes: check that it is enough for "
        "the splice and thimble that are used."
    )


def _rows(page: Page, plan: Plan, patterns: Sequence[Pattern]) -> Iterator[tuple[Value, ...]]:
    """Yield a row a pattern."""
    numbers = numbers_of(plan)
    shortest = plan.farm.project.shortest_offcut_m
    for row, pattern in enumerate(patterns, start=HEADING_ROW + 1):
        metres, often = pattern.metres, len(pattern.cuts)
        marks = accumulate(metres)
        yield (
            pattern.item,
            pattern.code,
            pattern.stock_m,
            often,
            runs(pattern, numbers),
            " + ".join(f"{length:g}" for length in metres),
            ", ".join(f"{mark:.1f}" for mark in marks),
            Formula(f"{page.at(row, OFTEN)}*{len(metres)}", often * len(metres)),
            sum(metres),
            Formula(f"{page.at(row, LENGTH)}-{page.at(row, USED)}", pattern.stock_m - sum(metres)),
            _worth(pattern.cuts[0], shortest),
        )


def runs(pattern: Pattern, numbers: Mapping[tuple[str, bool, int], str]) -> str:
    """Return the numbers of a pattern's lengths: "12 to 16", or "H1, H3" of pieces on hand."""
    named = [numbers[cut.item, cut.on_hand, cut.number] for cut in pattern.cuts]
    if pattern.on_hand or len(named) == 1:
        return ", ".join(named)
    return f"{named[0]} to {named[-1]}"


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


def _kept(plan: Plan, shortest_m: float) -> Iterator[tuple[Value, ...]]:
    """Yield the offcuts worth keeping, longest first by item, and the lengths nothing is cut from;
    a row for those of one length."""
    marks = length_marks(plan)
    for item in plan.farm.items:
        if not item.length_sold_m:
            continue
        mine = [cut for cut in plan.cuts if cut.item == item.name]
        kept: defaultdict[float, list[str]] = defaultdict(list)
        for cut in mine:
            if _is_kept(cut, shortest_m):
                mark = marks[cut.item, cut.on_hand, cut.number]
                kept[round(cut.offcut_m, 6)].append(mark)
        for metres, of in sorted(kept.items(), reverse=True):
            yield item.name, metres, len(of), ", ".join(of)
        bought = sum(line.quantity for line in plan.orders if line.item == item.name)
        whole = bought - sum(not cut.on_hand for cut in mine)
        if whole > 0:
            yield item.name, item.length_sold_m, whole, "bought, not cut"
        if bought or mine:
            hand = Counter(item.on_hand)
            hand.subtract(cut.stock_m for cut in mine if cut.on_hand)
            for metres, count in sorted(hand.items(), reverse=True):
                if count > 0 and metres >= shortest_m:
                    yield item.name, metres, count, "on hand, not cut"
